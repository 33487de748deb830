package assign

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/assign"
	"keyon/num/quantity"
)

// Prices of a pairing, in mm of wire: what fits better is worth so much more
// of it (judgement). Roles decide first, then groups and indexes, then the
// contact, then the room to spare and the way.
const (
	priceRole  = 100_000
	priceGroup = 20_000
	priceIndex = 10_000
	priceName  = 5_000 // the circuit isn't named after the pin
	priceSize  = 1_000 // a step of contact size away from the other end's
	priceSpare = 40    // an ampere more than needed
	priceOrder = 1     // later pins of the part, so that equal ones fill in order
)

// pins pairs the blank ends of each device with its free pins. Devices that
// give (controllers, modules) come after those that have few pins, so that
// roles are known when their turn comes.
func (w *work) pins() {
	devices := make([]int, 0, len(w.byDev))
	for d := range w.byDev {
		devices = append(devices, d)
	}
	slices.SortFunc(devices, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(w.t.Devices[a].Part.Pins), len(w.t.Devices[b].Part.Pins)), cmp.Compare(a, b))
	})
	for _, d := range devices {
		w.device(d)
	}
}

// want is one blank end with what it asks of a pin.
type want struct {
	end   int
	roles []part.Role // that may serve, best first
	amps  float64
	index string
	size  int // contact size of the other end, 0 unknown
	group string
	at    int    // place of the other end, -1
	name  string // of the circuit
	heavy bool   // its class is heavy: posts before cavities
}

func (w *work) device(d int) {
	p := w.t.Devices[d].Part
	var free []int
	for i := range p.Pins {
		if _, used := w.taken[[2]int{d, i}]; !used || p.Pins[i].Cavity == "" { // a post takes several lugs
			free = append(free, i)
		}
	}
	wants := make([]want, len(w.byDev[d]))
	for i, e := range w.byDev[d] {
		wants[i] = w.want(e)
	}
	closed := map[[2]int]bool{} // want, pin: tried and over a bank's limit
	for round := 0; ; round++ {
		cost := make([][]int64, len(wants))
		for i := range wants {
			cost[i] = make([]int64, len(free))
			for k, pin := range free {
				cost[i][k] = w.price(d, &wants[i], pin)
				if closed[[2]int{i, pin}] {
					cost[i][k] = assign.Forbidden
				}
			}
		}
		col, _, err := assign.Solve(cost)
		if err != nil {
			panic("assign: " + err.Error())
		}
		// A bank that would be over its limit gives up its largest new load;
		// each round closes a pair, so it ends.
		if i, pin := w.overBank(d, wants, free, col); i >= 0 && round < 64 {
			for k := range p.Pins {
				if p.Pins[k].Group == p.Pins[pin].Group {
					closed[[2]int{i, k}] = true
				}
			}
			continue
		}
		w.settle(d, wants, free, col)
		return
	}
}

// want gathers what an end asks for from the other ends of its circuit.
func (w *work) want(end int) want {
	x := &w.out.List[end]
	v := want{end: end, at: -1}
	var known []part.Role // of the other ends
	var far []int         // devices at the other ends whose pins are blank too
	q := &w.t.Circuits[x.Circuit]
	for _, i := range w.out.Of[x.Circuit] {
		o := &w.out.List[i]
		if i == end {
			continue
		}
		if o.Stud >= 0 {
			for _, r := range []part.Role{part.Ground, part.LoadMinus, part.Case, part.InjectorIn} {
				v.roles = add(v.roles, r)
			}
			v.at = w.t.Studs[o.Stud].Place
			continue
		}
		if o.Device < 0 || w.t.Devices[o.Device].Part == nil {
			continue
		}
		dev := &w.t.Devices[o.Device]
		if v.at < 0 {
			v.at = dev.Place
		}
		if o.PinIndex < 0 {
			far = append(far, o.Device)
			continue
		}
		pin := &dev.Part.Pins[o.PinIndex]
		for _, r := range part.Wants(pin.Role) {
			if classOf(r, pin.Role, q.Class.Value) {
				v.roles = add(v.roles, r)
			}
		}
		known = append(known, pin.Role)
		v.amps += w.draws[[2]int{o.Device, o.PinIndex}]
		if s := contactSize(dev, pin); s > 0 && (v.size == 0 || s > v.size) {
			v.size = s // the thinnest wanted rules: a larger number is a thinner contact
		}
		if v.index == "" {
			v.index = pin.Index
			if v.index == "" {
				v.index = trailing(dev.Name)
			}
		}
		if v.group == "" {
			v.group = w.sensorGroup(o, x.Device)
		}
	}
	if v.index == "" {
		v.index = trailing(q.Name)
	}
	// One of several on the same source: whatever goes with what the others want.
	for _, r := range known {
		for _, s := range part.Wants(r) {
			for _, o := range part.Wants(s) {
				if classOf(s, r, q.Class.Value) && classOf(o, s, q.Class.Value) && (part.Mates(o, r) || side(o) == side(r)) && !(gives(o) && gives(r)) {
					v.roles = add(v.roles, o)
				}
			}
		}
	}
	if len(known) == 0 {
		for _, r := range w.between(far, q.Class.Value) {
			v.roles = add(v.roles, r)
		}
	}
	v.name, v.heavy = q.Name, q.Class.Value == "heavy"
	return v
}

// side is which side of a load a role stands on: 1 where current comes from,
// 2 where it goes, 0 where that means nothing.
func side(r part.Role) int {
	switch r {
	case part.SupplyIn, part.SupplyOut, part.SwitchedOut, part.Battery, part.Alternator, part.StarterIn, part.SensorSupply, part.SensorIn, part.MotorIn:
		return 1
	case part.Ground, part.Case, part.LoadMinus, part.SensorGround, part.SensorReturn, part.LowSide, part.Injector, part.InjectorIn:
		return 2
	}
	return 0
}

// between lists the roles of a device's pins that go with some free pin of
// the far devices in a circuit of that class, best first; of the class alone
// where there is no far device.
func (w *work) between(far []int, class string) []part.Role {
	if len(far) == 0 {
		return ofClass[class]
	}
	var out []part.Role
	mates := map[part.Role]int{}
	for _, r := range ofClass[class] {
		for _, f := range far {
			for i := range w.t.Devices[f].Part.Pins {
				o := w.t.Devices[f].Part.Pins[i].Role
				if _, used := w.taken[[2]int{f, i}]; used || o == part.Plain {
					continue
				}
				if o == r && (r == part.BusHigh || r == part.BusLow || r == part.ThermoPlus || r == part.ThermoMinus || r == part.Shield || r == part.Ground) || o != r && part.Mates(r, o) && classOf(r, o, class) {
					mates[r]++
				}
			}
		}
		if mates[r] > 0 {
			out = append(out, r)
		}
	}
	// What the far device has most pins for is what it is there for.
	slices.SortStableFunc(out, func(a, b part.Role) int { return cmp.Compare(mates[b], mates[a]) })
	return out
}

// ofClass are the roles of either side of a class, for circuits whose other
// end says nothing.
var ofClass = map[string][]part.Role{
	"power":         {part.SupplyIn, part.LoadMinus, part.MotorIn, part.SwitchedOut, part.SupplyOut, part.LowSide, part.HalfBridge, part.InjectorIn, part.Injector},
	"ground":        {part.Ground, part.LoadMinus, part.Case},
	"heavy":         {part.Battery, part.SupplyIn, part.SupplyOut, part.StarterIn, part.Alternator, part.Ground},
	"sensor supply": {part.SensorIn, part.SensorSupply}, "sensor return": {part.SensorGround, part.SensorReturn},
	"signal":    {part.AnalogueOut, part.Resistive, part.FrequencyOut, part.DigitalOut, part.AnalogueIn, part.TemperatureIn, part.FrequencyIn, part.DigitalIn},
	"low-level": {part.FrequencyOut, part.KnockOut, part.FrequencyIn, part.KnockIn},
	"data":      {part.BusHigh, part.BusLow}, "ignition": {part.CoilIn, part.Coil}, "injection": {part.InjectorIn, part.Injector},
	"thermocouple": {part.ThermoPlus, part.ThermoMinus}, "shield": {part.Shield},
	"extinguisher": {part.SupplyIn, part.SupplyOut, part.Battery, part.Ground, part.DigitalOut, part.DigitalIn, part.SensorGround, part.SensorReturn},
}

// classOf says whether two roles may make a circuit of that class; classes
// that share pins (signal and low-level, power and heavy) go together.
func classOf(a, b part.Role, class string) bool {
	c := part.Class(a, b)
	near := map[string]string{"low-level": "signal", "heavy": "power", "injection": "power", "extinguisher": "power"}
	fold := func(s string) string {
		if n, ok := near[s]; ok {
			return n
		}
		return s
	}
	return fold(c) == fold(class) || class == "sensor return" || class == "extinguisher" || class == "heavy" && c == "ground"
}

func add(list []part.Role, r part.Role) []part.Role {
	if slices.Contains(list, r) {
		return list
	}
	return append(list, r)
}

// trailing is the number a name ends in: "coil 3" gives "3".
func trailing(name string) string {
	i := len(strings.TrimRight(name, "0123456789"))
	return name[i:]
}

// contactSize is the number of a pin's contact size: 22D is 22.
func contactSize(dev *plan.Device, pin *part.Pin) int {
	for k := range dev.Connectors {
		c := &dev.Connectors[k]
		if c.Name != pin.Connector || c.Part == nil {
			continue
		}
		for i := range c.Part.Cavities {
			if c.Part.Cavities[i].Name == pin.Cavity {
				n, _ := strconv.Atoi(strings.TrimRight(c.Part.Cavities[i].Size, "DMTX"))
				return n
			}
		}
	}
	return 0
}

// sensorGroup is the supply or return group in which the far device of an end
// already hangs on a controller, so that its other wires join it there.
func (w *work) sensorGroup(o *plan.End, on int) string {
	p := w.t.Devices[on].Part
	for i := range p.Pins {
		r := p.Pins[i].Role
		if r != part.SensorSupply && r != part.SensorReturn {
			continue
		}
		c, ok := w.taken[[2]int{on, i}]
		if !ok {
			continue
		}
		for _, e := range w.out.Of[c] {
			if w.out.List[e].Device == o.Device {
				return p.Pins[i].Group
			}
		}
	}
	return ""
}

// price is what a pin costs an end, Forbidden where it must not serve it.
func (w *work) price(d int, v *want, pin int) int64 {
	p := &w.t.Devices[d].Part.Pins[pin]
	rank := slices.Index(v.roles, p.Role)
	named := p.Name != "" && strings.HasSuffix(v.name, p.Name)
	source := gives(p.Role) || p.Role == part.SensorSupply
	switch {
	case p.Role == part.Plain && named: // pins that say nothing but their name
		rank = len(v.roles)
	case rank < 0, source && p.Amps > 0 && v.amps > float64(p.Amps):
		return assign.Forbidden
	}
	cost := int64(rank)*priceRole + int64(pin)*priceOrder
	if cost += priceName; named { // the longer the likeness, the surer
		cost -= min(int64(len(p.Name))*priceName/10, priceName)
	}
	if (p.Cavity == "") != v.heavy { // thick cable goes on posts, the rest in cavities
		cost += 3 * priceRole
	}
	if _, used := w.taken[[2]int{d, pin}]; used {
		cost += priceGroup
	}
	if v.group != "" && p.Group != "" && p.Group != v.group && (p.Role == part.SensorSupply || p.Role == part.SensorReturn) {
		cost += priceGroup
	}
	if v.index != "" && p.Index != "" && v.index != p.Index && w.ordered(p.Role) {
		cost += priceIndex
	}
	if s := contactSize(&w.t.Devices[d], p); s > 0 && v.size > 0 {
		cost += int64(max(s-v.size, v.size-s)) * priceSize
	}
	if source && p.Amps > 0 {
		cost += int64((float64(p.Amps) - v.amps) * priceSpare)
	}
	at := w.t.Devices[d].Place
	for k := range w.t.Devices[d].Connectors {
		if c := &w.t.Devices[d].Connectors[k]; c.Name == p.Connector {
			at = c.Place
		}
	}
	if at != w.t.Devices[d].Place { // all pins at one place are equally far
		cost += w.far(at, v.at)
	}
	return cost
}

// ordered roles are those whose index means something to the tuner.
func (w *work) ordered(r part.Role) bool {
	switch r {
	case part.Coil, part.Injector, part.KnockIn, part.ThermoPlus, part.ThermoMinus, part.BusHigh, part.BusLow, part.Shield:
		return true
	}
	return false
}

// overBank finds a pairing that takes a bank, or the whole device, over its
// limit: the want with the largest load there; -1 for none.
func (w *work) overBank(d int, wants []want, free, col []int) (i, pin int) {
	p := w.t.Devices[d].Part
	if len(p.GroupAmps) == 0 {
		return -1, -1
	}
	sum := map[string]float64{}
	load := map[string]int{}
	for k := range p.Pins {
		c, ok := w.taken[[2]int{d, k}]
		if !ok || p.Pins[k].Group == "" || !gives(p.Pins[k].Role) && p.Pins[k].Role != part.SensorSupply {
			continue // what comes back doesn't load the bank a second time
		}
		for _, e := range w.out.Of[c] {
			if o := &w.out.List[e]; o.Device != d && o.PinIndex >= 0 {
				sum[p.Pins[k].Group] += w.draws[[2]int{o.Device, o.PinIndex}]
			}
		}
	}
	for i, c := range col {
		if c == assign.None || !gives(p.Pins[free[c]].Role) && p.Pins[free[c]].Role != part.SensorSupply {
			continue
		}
		g := p.Pins[free[c]].Group
		sum[g] += wants[i].amps
		if j, ok := load[g]; !ok || wants[i].amps > wants[j].amps {
			load[g] = i
		}
	}
	groups := make([]string, 0, len(load))
	for g := range load {
		groups = append(groups, g)
	}
	slices.Sort(groups)
	for _, g := range groups {
		if limit := float64(p.GroupAmps[g]); limit > 0 && sum[g] > limit && wants[load[g]].amps > 0 {
			return load[g], free[col[load[g]]]
		}
	}
	return -1, -1
}

// settle writes the pairing down and says what is missing, once a role.
func (w *work) settle(d int, wants []want, free, col []int) {
	p := w.t.Devices[d].Part
	short := map[string][]int{}
	var order []string
	for i, c := range col {
		x := &w.out.List[wants[i].end]
		if c == assign.None {
			role := "free pin"
			if len(wants[i].roles) > 0 {
				role = string(wants[i].roles[0])
			}
			if short[role] == nil {
				order = append(order, role)
			}
			short[role] = append(short[role], wants[i].end)
			continue
		}
		pin := free[c]
		x.PinIndex = pin
		because := []settle.Term{}
		if wants[i].amps > 0 && p.Pins[pin].Amps > 0 {
			because = append(because, settle.Num("load", quantity.RoundTo(wants[i].amps, 0.01), "A"), settle.Num("pin may carry", float64(p.Pins[pin].Amps), "A"))
		}
		if n, err := strconv.ParseFloat(p.Pins[pin].Index, 64); err == nil {
			because = append(because, settle.Num("index", n, ""))
		}
		role := string(p.Pins[pin].Role)
		if role == "" {
			role = "pin"
		}
		x.Pin = settle.Value[string]{Origin: settle.Worked, Reason: settle.Reason{Text: "cheapest free " + role + " by role, rating, index, group and way", Because: because, Source: practice}}
		w.take(x, x.Circuit)
	}
	for _, role := range order {
		ends := short[role]
		x := &w.out.List[ends[0]]
		names := make([]string, len(ends))
		for i, e := range ends {
			names[i] = w.t.Circuits[w.out.List[e].Circuit].Name
			w.out.List[e].Pin.Reason.Text = "no free pin"
		}
		v := finding.Say(RulePin, w.place(x), fmt.Sprintf("%s has no %s left for %s: %s more needed", w.t.Devices[d].Name, role, strings.Join(names, ", "), plural(len(ends), role)),
			"a larger device or a second one", "free a pin that needs less")
		for _, e := range ends[1:] {
			v.Related = append(v.Related, w.place(&w.out.List[e]))
		}
		w.verdicts = append(w.verdicts, v)
	}
}
