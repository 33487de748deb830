package audit

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"keyon/model/part"
)

// anchor is the free-air current at a rise of 100 K by gauge: MIL-W-5088L
// Fig. 3, third-party reading, seen.
var anchor = map[string]float64{"26": 8, "24": 10.7, "22": 14, "20": 18.4, "18": 24.6, "16": 28.7, "14": 39.6, "12": 51.8, "10": 68, "8": 103, "6": 140, "4": 189, "2": 260, "1": 303, "0": 352, "00": 400, "000": 480, "0000": 535}

//go:embed data/bundle.csv
var bundleText string

// curve is MIL-W-5088L Fig. 4: factor by loading (20 … 100 %) and count 1 … 19.
var curve = readCurve()

func readCurve() map[int][20]float64 {
	out := map[int][20]float64{}
	r := csv.NewReader(strings.NewReader(bundleText))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("audit: " + err.Error())
	}
	for _, row := range rows[1:] {
		n, _ := strconv.Atoi(row[0])
		p, _ := strconv.Atoi(row[1])
		f, _ := strconv.ParseFloat(row[2], 64)
		if n <= 19 {
			c := out[p]
			c[n] = f
			out[p] = c
		}
	}
	return out
}

// beyond are the exponents that carry the curves on above 19 wires (computed
// in the notes on ampacity; extrapolation but at 20 %).
var beyond = map[int]float64{20: 0.294, 40: 0.357, 60: 0.411, 80: 0.428, 100: 0.476}

func factor(n, loading int) float64 {
	if n <= 1 {
		return 1
	}
	c := curve[loading]
	if n <= 19 {
		return c[n]
	}
	return c[19] * math.Pow(float64(n)/19, -beyond[loading])
}

// altitude is the factor for the car's height: AC 43.13-1B p. 11-27.
func (a *auditor) altitude() float64 {
	mm, unit, ok := a.amount(a.car("altitude"))
	if f, known := millimetres[strings.ToLower(unit)]; ok && known {
		if unit == "" {
			f = 1000
		}
		h := mm * f / 304800 // 1000 ft
		return 1 - 0.005*h + 2.5e-5*h*h
	}
	return 1
}

// rating is a wire's insulation rating and its connectors', the lowest.
func (a *auditor) rating(i int) (own, low float64) {
	w := &a.p.Wires[i]
	for _, x := range a.c.Wires[w.Family] {
		if x.Gauge == w.Gauge {
			own = float64(x.Temperature)
		}
	}
	low = own
	for _, e := range []*end{&w.From, &w.To} {
		if k, _ := a.connector(e); k != nil && k.Temperature > 0 {
			low = min(low, float64(k.Temperature))
		}
	}
	return own, low
}

// capacity: in every lasting state a wire's current is within its free-air
// current times the factors, at the lowest rating of the leg, for the
// smallest loading that holds the leg's sum.
func (a *auditor) capacity() {
	alt := a.altitude()
	own, low := make([]float64, len(a.p.Wires)), make([]float64, len(a.p.Wires))
	for i := range a.p.Wires {
		own[i], low[i] = a.rating(i)
	}
	for s := range a.p.States {
		st := &a.p.States[s]
		if st.Seconds > 0 && st.Seconds < 300 {
			continue
		}
		amps := make([]float64, len(a.p.Wires))
		for _, w := range st.Wires {
			amps[a.wire[w.ID]] = math.Abs(w.Amps)
		}
		air := func(l int) float64 { return a.ambient(s, l) }
		for l := range a.p.Legs {
			g := &a.p.Legs[l]
			lowest := math.Inf(1)
			for _, id := range g.Wires {
				if o := own[a.wire[id]]; o > 0 {
					lowest = min(lowest, o)
				}
			}
			free := map[int]float64{}
			sum, all := 0.0, 0.0
			for _, id := range g.Wires {
				i := a.wire[id]
				base, ok := anchor[a.p.Wires[i].Gauge]
				if !ok || own[i] == 0 {
					continue
				}
				free[i] = base * math.Pow(max(min(low[i], lowest)-air(l), 0)/100, 1/2.08) * alt
				sum += amps[i]
				all += free[i]
			}
			p := 20
			for ; p < 100 && sum > float64(p)/100*all*factor(len(g.Wires), p); p += 20 {
			}
			for _, id := range g.Wires {
				if i := a.wire[id]; free[i] > 0 {
					// 1 %: the notes' exponent above 19 wires and ours differ by up to 3 % at 41 wires, on the safe side
					a.worst("capacity", amps[i], free[i]*factor(len(g.Wires), p), 0.01, fmt.Sprintf("wire %s in %s, %s", a.p.Wires[i].Number, g.Name, st.Name))
				}
			}
		}
	}
}

// ambient is a state's own temperature, else the leg's.
func (a *auditor) ambient(s, l int) float64 {
	for _, row := range a.tables["States"] {
		if strings.TrimSpace(row["state"]) == a.p.States[s].Name && strings.TrimSpace(row["ambient"]) != "" {
			if v := a.number(row["ambient"]); v == v {
				return v
			}
		}
	}
	return a.p.Legs[l].Ambient
}

// draw is what a load takes by the design: amps, else watts, else ohms.
type draw struct{ amps, watts, ohms, least float64 }

// loads: what the plan says a device takes follows from the table Loads laid
// over the part's own figures: a row replaces the part's figures for its
// state, one without a state for all.
func (a *auditor) loads() {
	type key struct{ device, from, to, state string }
	want := map[key]draw{}
	devices := map[string]*part.Device{}
	var states []string
	for _, s := range a.p.States {
		states = append(states, s.Name)
	}
	pick := func(p *part.Device, roles ...part.Role) string {
		for _, r := range roles {
			for _, q := range p.Pins {
				if q.Role == r {
					return q.Name
				}
			}
		}
		return ""
	}
	pins := func(p *part.Device, from, to string) (string, string) {
		if from == "" {
			from = pick(p, part.SupplyIn, part.StarterIn, part.SensorIn)
		}
		if to == "" {
			to = pick(p, part.Ground, part.LoadMinus, part.InjectorIn, part.SensorGround, part.Case)
		}
		return from, to
	}
	in := func(state string) []string {
		if state == "" {
			return states
		}
		for _, s := range states {
			if same(s, state) {
				return []string{s}
			}
		}
		return nil
	}
	for _, everywhere := range []bool{true, false} {
		for device, id := range a.parts {
			p := a.c.Devices[id]
			if p == nil {
				continue
			}
			devices[strings.ToLower(device)] = p
			for _, l := range p.Loads {
				if (l.State == "") != everywhere {
					continue
				}
				from, to := pins(p, l.From, l.To)
				for _, s := range in(l.State) {
					want[key{strings.ToLower(device), from, to, s}] = draw{float64(l.Mean), float64(l.Power), float64(l.Ohm), float64(l.LeastVolts)}
				}
			}
		}
	}
	for _, everywhere := range []bool{true, false} {
		for _, row := range a.tables["Loads"] {
			p := devices[strings.ToLower(text(row, "device"))]
			if p == nil || (text(row, "state") == "") != everywhere {
				continue
			}
			from, to := pins(p, text(row, "from pin"), text(row, "to pin"))
			for _, s := range in(text(row, "state")) {
				k := key{strings.ToLower(text(row, "device")), from, to, s}
				d := want[k]
				amps, watts, ohms := a.number(row["mean"]), a.number(row["power"]), a.number(row["resistance"])
				if amps == amps || watts == watts || ohms == ohms {
					d.amps, d.watts, d.ohms = zero(amps), zero(watts), zero(ohms)
				}
				if v := a.number(row["least volts"]); v == v {
					d.least = v
				}
				want[k] = d
			}
		}
	}
	for s := range a.p.States {
		st := &a.p.States[s]
		for _, d := range st.Devices {
			w, ok := want[key{strings.ToLower(d.Device), d.From, d.To, st.Name}]
			a.r.Checked["loads"]++
			amps := 0.0
			switch {
			case !ok:
				a.say("loads: nobody asked for %s from %s to %s in %s", d.Device, d.From, d.To, st.Name)
				continue
			case d.Out:
				if d.Volts > 0 && w.least == 0 {
					a.say("loads: %s is cut out in %s without least volts", d.Device, st.Name)
				}
			case d.Volts <= 0:
			case w.amps > 0:
				amps = w.amps
			case w.watts > 0:
				amps = w.watts / d.Volts
			case w.ohms > 0:
				amps = d.Volts / w.ohms
			}
			// 1 nA of the JSON's rounding; at the wrong sign or near 0 V nothing flows.
			if math.Abs(amps-d.Amps) > 1e-8+1e-6*amps && d.Volts > 0.01 {
				a.say("loads: %s takes %g A in %s, by the design %g A", d.Device, d.Amps, st.Name, amps)
			}
		}
	}
}

// zero is a number, or 0 for none.
func zero(x float64) float64 {
	if x != x {
		return 0
	}
	return x
}

// currents: what runs into a splice or crossing runs out of it.
func (a *auditor) currents() {
	for s := range a.p.States {
		st := &a.p.States[s]
		sum := map[string]float64{}
		most := map[string]float64{}
		for _, x := range st.Wires {
			w := &a.p.Wires[a.wire[x.ID]]
			for _, e := range []struct {
				at   string
				amps float64
			}{{w.From.node(), -x.Amps}, {w.To.node(), x.Amps}} {
				sum[w.Circuit+"\x00"+e.at] += e.amps
				most[w.Circuit+"\x00"+e.at] = max(most[w.Circuit+"\x00"+e.at], math.Abs(e.amps))
			}
		}
		// A crossing on several contacts may share unevenly on its two sides.
		many := map[string]bool{}
		for _, x := range a.p.Cavities {
			if x.N > 1 {
				many[x.Join+"\x00"+x.Circuit] = true
			}
		}
		for k, v := range sum {
			circuit, at, _ := strings.Cut(k, "\x00")
			if !strings.HasPrefix(at, "splice") && !strings.HasPrefix(at, "join") {
				continue
			}
			if f := strings.Fields(at); strings.HasPrefix(at, "join") && many[strings.Join(f[1:len(f)-1], " ")+"\x00"+circuit] {
				continue
			}
			a.r.Checked["currents"]++
			if math.Abs(v) > 1e-6+1e-6*most[k] {
				a.say("currents: %g A too many at %s of %s in %s", v, at, circuit, st.Name)
			}
		}
	}
}

// ohm is a wire's resistance at its temperature with half of each contact.
func (a *auditor) ohm(i int, celsius float64) float64 {
	w := &a.p.Wires[i]
	r := w.Ohm / 1e6 * w.Network * (234.5 + celsius) / 254.5
	for _, e := range []*end{&w.From, &w.To} {
		if c := a.c.Contacts[e.Contact]; c != nil {
			r += float64(c.Ohm) / 2
		}
	}
	return r
}

// drops: along a plain load's own circuits, from its pins to the feed and to
// the ground, the wires lose what the plan says it loses, or less where the
// plan follows the way on through a relay or bar. 0.5 % for temperatures.
func (a *auditor) drops() {
	of := map[string][]int{}
	for i := range a.p.Wires {
		of[a.p.Wires[i].Circuit] = append(of[a.p.Wires[i].Circuit], i)
	}
	type at struct{ device, pin string }
	ends := map[at]int{}
	byCircuit := map[string][]int{}
	for i, e := range a.p.Ends {
		if e.Device != "" {
			ends[at{e.Device, e.Pin}] = i
		}
		byCircuit[e.Circuit] = append(byCircuit[e.Circuit], i)
	}
	for s := range a.p.States {
		st := &a.p.States[s]
		amps, hot := map[int]float64{}, map[int]float64{}
		for _, w := range st.Wires {
			amps[a.wire[w.ID]], hot[a.wire[w.ID]] = math.Abs(w.Amps), w.T
		}
		for _, d := range st.Devices {
			p := a.c.Devices[a.parts[d.Device]]
			if p == nil || d.Out || d.Amps == 0 || !slices.Contains([]string{"lamp", "pump", "fan", "sensor"}, p.Kind) {
				continue
			}
			sum, found := 0.0, true
			for _, pin := range []string{d.From, d.To} {
				i, ok := ends[at{d.Device, pin}]
				if !ok {
					found = false
					continue
				}
				goal := -1
				for _, k := range byCircuit[a.p.Ends[i].Circuit] {
					e := &a.p.Ends[k]
					if k != i && (e.Feed != "" || e.Stud != "" || slices.Contains([]string{"sensor supply", "sensor return", "switched out", "supply out"}, e.Role)) {
						goal = k
						break
					}
				}
				if goal < 0 {
					found = false
					continue
				}
				way, ok := a.way(of[a.p.Ends[i].Circuit], "end "+a.p.Ends[i].ID, "end "+a.p.Ends[goal].ID)
				found = found && ok
				for _, w := range way {
					sum += amps[w] * a.ohm(w, hot[w])
				}
			}
			if !found {
				continue
			}
			a.r.Checked["drop"]++
			if sum > d.Way*1.005+1e-6 {
				a.say("drop: %s loses %g V on its own wires, the plan says %g V in %s", d.Device, sum, d.Way, st.Name)
			}
			a.r.Worst["drop V"] = max(a.r.Worst["drop V"], d.Way)
		}
	}
}

// way finds the wires between two nodes of a circuit, breadth first.
func (a *auditor) way(wires []int, from, to string) ([]int, bool) {
	back := map[string]int{from: -1}
	queue := []string{from}
	for len(queue) > 0 && queue[0] != to {
		n := queue[0]
		queue = queue[1:]
		for _, i := range wires {
			x, y := a.p.Wires[i].From.node(), a.p.Wires[i].To.node()
			if y == n {
				x, y = y, x
			}
			if x != n {
				continue
			}
			if _, ok := back[y]; !ok {
				back[y] = i
				queue = append(queue, y)
			}
		}
	}
	if _, ok := back[to]; !ok {
		return nil, false
	}
	var out []int
	for n := to; n != from; {
		i := back[n]
		out = append(out, i)
		if x := a.p.Wires[i].From.node(); x == n {
			n = a.p.Wires[i].To.node()
		} else {
			n = x
		}
	}
	return out, true
}

// feeds: a feed's rating is within what each wire of its own circuits may
// carry for good, by the auditor's own capacity in the worst leg; wires of one
// circuit that run side by side share it.
func (a *auditor) feeds() {
	rating := map[string]float64{}
	for _, f := range a.p.Feeds {
		if f.Setting != "unprotected" {
			rating[f.Name] = f.Rating
		}
	}
	feed := map[string]string{}
	for _, e := range a.p.Ends {
		if e.Feed != "" && rating[e.Feed] > 0 {
			feed[e.Circuit] = e.Feed
		}
	}
	alt := a.altitude()
	// A join is one place however many of its contacts a circuit takes.
	at := func(e *end) string {
		if e.Kind == "cavity" {
			return "join " + e.Join
		}
		return e.node()
	}
	beside := make([]string, len(a.p.Wires))
	share := map[string]float64{}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		beside[i] = w.Circuit + "|" + at(&w.From) + "|" + at(&w.To)
		share[beside[i]]++
	}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		f := feed[w.Circuit]
		base, ok := anchor[w.Gauge]
		own, low := a.rating(i)
		if f == "" || !ok || own == 0 {
			continue
		}
		for _, name := range w.Legs {
			g := &a.p.Legs[a.leg[name]]
			lowest := low
			for _, id := range g.Wires {
				if o, _ := a.rating(a.wire[id]); o > 0 {
					lowest = min(lowest, o)
				}
			}
			// The kindest loading the plan may have used is 20 %.
			may := base * math.Pow(max(lowest-g.Ambient, 0)/100, 1/2.08) * alt * factor(len(g.Wires), 20)
			a.worst("feed", rating[f], may*share[beside[i]], 0.01, fmt.Sprintf("feed %s over wire %s in %s", f, w.Number, name))
		}
	}
}
