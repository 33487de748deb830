package assign

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/assign"
	"keyon/num/quantity"
)

// want is one blank end with what it asks of a pin.
type want struct {
	end    int
	may    part.RoleSet // roles that go with the other ends
	facing []part.Role  // best first: what the other ends want opposite
	amps   float64      // that the other ends take
	index  string       // cylinder, bank, channel of the other end
	size   int          // contact size of the other end, 0 unknown
	direct bool         // there is one other end
	at     int          // place of the nearest known other end, -1
	name   part.Words   // of the circuit
	heavy  bool         // thick cable: posts before cavities
	driven bool         // by a controlled output
	fed    bool         // from a feed, or an outlet that is always live
	plain  bool         // the other ends say nothing of themselves
	power  bool         // current runs from its row's beginning to its end
	begins bool         // it stands at the beginning of its row
	ground bool
	source part.RoleSet   // roles of the other ends
	groups map[string]int // by kind of role and group: what else of the far device hangs there
	pairs  map[string]int // by kind of role and index: what else of the far device hangs there
	twins  map[string]int // groups that serve another track of the far device
}

// ranks orders the steps in which ends are settled: the pins of loads and
// sensors first, whose roles tell the rest; then sensor supplies, returns, and
// whatever gives or reads.
const ranks = 4

func rank(r part.Role) int {
	switch r {
	case part.SensorSupply:
		return 1
	case part.SensorReturn:
		return 2
	case part.AnalogueIn, part.TemperatureIn, part.FrequencyIn, part.KnockIn, part.DigitalIn, part.SwitchedOut, part.SupplyOut, part.HalfBridge,
		part.LowSide, part.Coil, part.Injector, part.Plain:
		return 3
	}
	return 0
}

// rankOf is the highest rank of a set: an end that may be either waits until
// the other side is known.
func rankOf(s part.RoleSet) int {
	best := 0
	for _, r := range part.Roles() {
		if s.Has(r) {
			best = max(best, rank(r))
		}
	}
	if s.Has(part.Plain) {
		best = 3
	}
	return best
}

// pins pairs the blank ends of each device with its free pins, rank by rank,
// in each rank the devices with few pins first.
func (w *work) pins() {
	byDevice := map[int][]int{}
	for i := range w.out.List {
		if x := &w.out.List[i]; w.blank(x) {
			byDevice[x.Device] = append(byDevice[x.Device], i)
		}
	}
	devices := make([]int, 0, len(byDevice))
	for d := range byDevice {
		devices = append(devices, d)
	}
	slices.SortFunc(devices, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(w.t.Devices[a].Part.Pins), len(w.t.Devices[b].Part.Pins)), cmp.Compare(a, b))
	})
	for r := range ranks {
		for _, d := range devices {
			ends := byDevice[d]
			sides, at := make([][]part.RoleSet, len(ends)), make([]int, len(ends))
			late := make([]bool, len(ends))
			for n, e := range ends {
				x := &w.out.List[e]
				sides[n], at[n] = w.narrowed(x)
				late[n] = r < ranks-1 && rankOf(sides[n][at[n]]) > r
			}
			if len(w.t.Devices[d].Part.Pins) <= fewPins && slices.Contains(late, true) {
				continue
			}
			var now []want
			byDevice[d] = nil
			for n, e := range ends {
				if late[n] {
					byDevice[d] = append(byDevice[d], e)
				} else {
					now = append(now, w.want(e, sides[n], at[n]))
				}
			}
			if len(now) > 0 {
				w.device(d, now)
			}
		}
	}
}

// fewPins is how many pins a device may have for all of its ends to be settled
// at once, as late as the latest; the ends of a controller have too little to
// do with each other for that.
const fewPins = 16

// device pairs wants with free pins.
func (w *work) device(d int, wants []want) {
	free := w.free(d, len(wants))
	cost := make([][]int64, len(wants))
	for i := range wants {
		cost[i] = make([]int64, len(free))
		for k, s := range free {
			cost[i][k] = w.price(d, &wants[i], s)
		}
	}
	col, total, err := assign.Solve(cost)
	if err != nil {
		panic("assign: " + err.Error())
	}
	col, note := w.withinBanks(d, wants, free, cost, col, total)
	w.settle(d, wants, free, col, note)
}

// mostPerPost is how many wires a post may take (AC 43.13-1B 11-174, seen).
const mostPerPost = 4

// seat is a pin that may be chosen. A post is there once for every lug it has
// room for; more says that a lug is there before.
type seat struct {
	pin  int
	more bool
}

// free lists the seats that may still be chosen.
func (w *work) free(d, most int) []seat {
	f := w.parts[w.t.Devices[d].Part]
	var out []seat
	for k := range f.roles {
		if !f.post[k] {
			if w.taken[d][k] < 0 {
				out = append(out, seat{k, false})
			}
			continue
		}
		on := w.onPost[pinAt{d, k}]
		for n := on; n < min(on+most, mostPerPost); n++ {
			out = append(out, seat{k, n > 0})
		}
	}
	return out
}

// want gathers what an end asks for from the other ends of its circuit.
func (w *work) want(end int, sides []part.RoleSet, at int) want {
	x := &w.out.List[end]
	q := &w.t.Circuits[x.Circuit]
	v := want{end: end, may: sides[at], at: -1, name: part.WordsOf(q.Name), heavy: q.Class.Value == "heavy", ground: q.Class.Value == "ground", direct: len(sides) == 2, power: supplied(q.Class.Value), begins: strings.HasSuffix(x.ID, "/from"), amps: w.load(x),
		groups: map[string]int{}, pairs: map[string]int{}, twins: map[string]int{}}
	for n, i := range w.out.Of[x.Circuit] {
		o := &w.out.List[i]
		if i == end {
			continue
		}
		v.source |= sides[n]
		switch {
		case w.isOurs(o):
			v.fed = v.fed || w.class(x) != "ground"
		case sides[n].Has(part.SwitchedOut):
			v.driven = true
		case sides[n].Has(part.SupplyOut):
			v.fed = true
		}
		if v.at < 0 {
			v.at = w.at(o)
		}
		p := w.part(o)
		if p == nil || o.PinIndex < 0 {
			continue
		}
		if s := w.parts[p].sizes[o.PinIndex]; s > v.size {
			v.size = s // the thinnest rules: a larger number is a thinner contact
		}
		if v.index == "" {
			v.index = p.Pins[o.PinIndex].Index
		}
		if v.index == "" {
			v.index = trailing(w.t.Devices[o.Device].Name)
		}
		w.company(&v, x, o)
	}
	v.plain = v.source == part.SetOf(part.Plain)
	if v.index == "" {
		v.index = trailing(q.Name)
	}
	for _, k := range q.Kin {
		if k == x.Circuit {
			continue
		}
		for _, i := range w.out.Of[k] {
			if y := &w.out.List[i]; y.Device == x.Device && y.PinIndex >= 0 {
				v.meets(&w.part(y).Pins[y.PinIndex])
			}
		}
	}
	return v
}

// kind is the sort of pins that belong together in a group: a sensor's supply,
// return and signal; the two lines of a bus; the two of a thermocouple.
func kind(r part.Role) string {
	switch r {
	case part.SensorSupply, part.SensorReturn, part.AnalogueIn, part.TemperatureIn, part.FrequencyIn, part.KnockIn:
		return "sensor"
	case part.BusHigh, part.BusLow:
		return "bus"
	case part.ThermoPlus, part.ThermoMinus:
		return "thermocouple"
	case part.HalfBridge:
		return "bridge"
	}
	return ""
}

func (v *want) meets(p *part.Pin) {
	k := kind(p.Role)
	if k == "" {
		return
	}
	if p.Group != "" {
		v.groups[k+" "+p.Group]++
	}
	if p.Index != "" && k != "sensor" {
		v.pairs[k+" "+p.Index]++
	}
}

// company notes where the other wires of a far device hang on x's device. Of
// a device with two tracks only the wires of the same track count; where the
// other track hangs is better left to it.
func (w *work) company(v *want, x, far *plan.End) {
	p := w.part(far)
	if far.Device == x.Device || len(p.Pins) > len(w.part(x).Pins) {
		return // a module is no sensor of the dash
	}
	track := p.Pins[far.PinIndex].Group
	for k, c := range w.taken[far.Device] {
		if c < 0 || c == x.Circuit {
			continue
		}
		for _, i := range w.out.Of[c] {
			y := &w.out.List[i]
			if y.Device != x.Device || y.PinIndex < 0 {
				continue
			}
			pin := &w.part(y).Pins[y.PinIndex]
			if g := p.Pins[k].Group; g == "" || g == track {
				v.meets(pin)
			} else if pin.Group != "" {
				v.twins[pin.Group]++
			}
		}
	}
}

// settle writes the pairing down and says what is missing, once a role.
func (w *work) settle(d int, wants []want, free []seat, col []int, note string) {
	short := map[string][]int{}
	var order []string
	for i, c := range col {
		x := &w.out.List[wants[i].end]
		if c == assign.None {
			role := wants[i].asks()
			if short[role] == nil {
				order = append(order, role)
			}
			short[role] = append(short[role], i)
			continue
		}
		x.PinIndex = free[c].pin
		x.Pin = value(settle.Worked, w.reason(d, &wants[i], free[c].pin, note))
		w.take(x)
	}
	for _, role := range order {
		w.short(d, role, wants, short[role])
	}
}

// asks is the role an end misses, for messages.
func (v *want) asks() string {
	best := part.Role("free pin")
	least := 1 << 30
	for _, r := range part.Roles() {
		if n, _ := v.source.Step(part.SetOf(r)); v.may.Has(r) && n < least {
			best, least = r, n
		}
	}
	return string(best)
}

// reason lets a person see why a pin was chosen.
func (w *work) reason(d int, v *want, pin int, note string) settle.Reason {
	p := &w.t.Devices[d].Part.Pins[pin]
	r := settle.Reason{Source: practice}
	if v.amps > 0 && p.Amps > 0 && rated(p.Role) {
		r.Because = append(r.Because, settle.Num("load", quantity.RoundTo(v.amps, 0.01), "A"), settle.Num("pin may carry", float64(p.Amps), "A"))
	}
	free := 1 // with the one chosen, which is still free here
	for k := range w.t.Devices[d].Part.Pins {
		if k != pin && w.t.Devices[d].Part.Pins[k].Role == p.Role && w.taken[d][k] < 0 {
			free++
		}
	}
	r.Because = append(r.Because, settle.Num("free pins of this role", float64(free), ""), settle.Num("price", float64(w.price(d, v, seat{pin: pin})), "mm of wire"))
	role := string(p.Role)
	if role == "" {
		role = "pin"
	}
	r.Text = "cheapest free " + role + " by role, rating, group, index, name, contact and way" + note
	switch k := kind(p.Role); {
	case p.Group != "" && v.groups[k+" "+p.Group] > 0:
		r.Text += "; its other wires hang in group " + p.Group + " too"
	case p.Index != "" && p.Index == v.index && ordered(p.Role):
		r.Text += "; index " + p.Index + " as the far end"
	}
	return r
}

// short reports the ends that found no pin of a role.
func (w *work) short(d int, role string, wants []want, missing []int) {
	names := make([]string, len(missing))
	most := 0.0
	for n, i := range missing {
		x := &w.out.List[wants[i].end]
		names[n] = w.t.Circuits[x.Circuit].Name
		x.Pin.Reason.Text = "no free pin"
		most = max(most, wants[i].amps)
	}
	strong := ""
	if p := w.strongest(d, part.Role(role)); p > 0 && most > p {
		strong = fmt.Sprintf("; %s A is more than the %s A of the strongest", quantity.Text(most, 2), quantity.Text(p, 2))
	}
	first := &w.out.List[wants[missing[0]].end]
	v := finding.Say(RulePin, w.place(first), fmt.Sprintf("%s has no %s left for %s: %s more needed%s", w.t.Devices[d].Name, role, strings.Join(names, ", "), plural(len(missing), role), strong),
		"take a larger device or a second one", "free a pin that needs less")
	for _, i := range missing[1:] {
		v.Related = append(v.Related, w.place(&w.out.List[wants[i].end]))
	}
	w.verdicts = append(w.verdicts, v)
}

// strongest is the largest rating among a device's free pins of a role, A.
func (w *work) strongest(d int, role part.Role) float64 {
	best := 0.0
	for k := range w.t.Devices[d].Part.Pins {
		if p := &w.t.Devices[d].Part.Pins[k]; p.Role == role && w.taken[d][k] < 0 {
			best = max(best, float64(p.Amps))
		}
	}
	return best
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
