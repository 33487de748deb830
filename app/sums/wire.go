package sums

import (
	"fmt"
	"math"

	"keyon/model/fault"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/quantity"
)

// WireAsk is a question about one wire, as typed. Blank texts take their
// defaults: no return of its own, 40 °C, 150 °C insulation, alone, sea level.
type WireAsk struct {
	Amps, Length, Return, Ambient, Insulation string
	Bundle                                    int
	Loading, Altitude, Volts, Drop            string
	Gauge, Family                             string
}

// WireAnswer is the answer; what JSON calls each value is part of its promise.
type WireAnswer struct {
	Version        int     `json:"version"`
	Gauge          string  `json:"gauge"`
	Family         string  `json:"family"`
	FreeAirA       float64 `json:"free_air_a"`
	BundleFactor   float64 `json:"bundle_factor"`
	AltitudeFactor float64 `json:"altitude_factor"`
	CapacityA      float64 `json:"capacity_a"`
	ConductorC     float64 `json:"conductor_c"`
	ResistanceOhm  float64 `json:"resistance_ohm"`
	DropV          float64 `json:"drop_v"`
	OK             bool    `json:"ok"`
	Reasons        Reasons `json:"reasons"`
}

// asked is a question in SI.
type asked struct {
	amps, length, ambient, insulation, loading, altitude, drop float64
	bundle                                                     int
}

// Wire finds the thinnest gauge that carries the current and keeps the drop,
// or judges the gauge that was named.
func Wire(c part.Catalogue, q WireAsk) (*WireAnswer, error) {
	a, err := q.read()
	if err != nil {
		return nil, err
	}
	family := q.Family
	if family == "" {
		family = "AS22759/32" // tin, 150 °C
		if a.insulation > 150 {
			family = "AS22759/41" // nickel, 200 °C
		}
	}
	wires := c.Wires[family]
	if len(wires) == 0 {
		return nil, fault.New(fault.NotFound, "keyon parts --kind wire lists the families", fmt.Errorf("no wire family is called %q", family))
	}
	if q.Family == "" {
		wires = append(wires, thicker(c, wires)...)
	}
	if q.Gauge != "" {
		for _, w := range wires {
			if w.Gauge == q.Gauge {
				return a.answer(w), nil
			}
		}
		return nil, fault.New(fault.NotFound, "keyon parts --kind wire lists the gauges", fmt.Errorf("%s has no gauge %q", family, q.Gauge))
	}
	var last *WireAnswer
	for _, w := range wires {
		if w.OhmPerM <= 0 {
			continue
		}
		if last = a.answer(w); last.OK {
			return last, nil
		}
	}
	if last == nil {
		return nil, fault.New(fault.NotFound, "name another family", fmt.Errorf("%s has no resistance figures", family))
	}
	return last, nil
}

// thicker carries on where a light family ends: gauges above its thickest.
func thicker(c part.Catalogue, have []*part.Wire) []*part.Wire {
	var out []*part.Wire
	top := have[len(have)-1].Area
	for _, f := range []string{"AS22759/41", "AS22759/34"} {
		for _, w := range c.Wires[f] {
			if w.Area > top*1.01 && w.OhmPerM > 0 {
				out, top = append(out, w), w.Area
			}
		}
	}
	return out
}

func (q *WireAsk) read() (a asked, err error) {
	or := func(text, fallback string) string {
		if text == "" {
			return fallback
		}
		return text
	}
	var back float64
	for _, x := range []struct {
		to         *float64
		name, text string
		dim        quantity.Dim
		unit       string
		least      float64
	}{
		{&a.amps, "amps", q.Amps, quantity.AmpereDim, "A", 0}, {&a.length, "length", q.Length, quantity.LengthDim, "m", 0}, {&back, "return", or(q.Return, "0"), quantity.LengthDim, "m", 0},
		{&a.ambient, "ambient", or(q.Ambient, "40"), quantity.CelsiusDim, "C", -100}, {&a.insulation, "insulation", or(q.Insulation, "150"), quantity.CelsiusDim, "C", -100},
		{&a.loading, "loading", or(q.Loading, "100%"), quantity.ShareDim, "", 0}, {&a.altitude, "altitude", or(q.Altitude, "0"), quantity.LengthDim, "m", -500}, {&a.drop, "drop", or(q.Drop, "0.5"), quantity.VoltDim, "V", 0},
	} {
		if *x.to, err = ask(x.name, x.text, x.dim, x.unit); err != nil {
			return a, err
		}
		if *x.to < x.least {
			return a, fault.New(fault.Usage, "", fmt.Errorf("%s %q is less than can be", x.name, x.text))
		}
	}
	if a.loading > 1 {
		return a, fault.New(fault.Usage, "write a share such as 60% or 0.6", fmt.Errorf("loading %q is more than all", q.Loading))
	}
	if q.Volts != "" {
		v, err := ask("volts", q.Volts, quantity.VoltDim, "V")
		if err != nil {
			return a, err
		}
		if v > 60 {
			return a, fault.New(fault.Usage, "higher voltages need other rules and licensed practice", fmt.Errorf("volts %q: the scope ends at 60 V DC", q.Volts))
		}
		if q.Drop == "" {
			a.drop = v * 0.5 / 14 // the share of FAA's 0.5 V in a 14 V system
		}
	}
	if a.bundle = max(q.Bundle, 1); q.Bundle < 0 {
		return a, fault.New(fault.Usage, "", fmt.Errorf("a bundle of %d wires", q.Bundle))
	}
	a.length += back
	return a, nil
}

// answer works one gauge through.
func (a asked) answer(w *part.Wire) *WireAnswer {
	x := &WireAnswer{Version: Version, Gauge: w.Gauge, Family: w.Family, Reasons: Reasons{}}
	rise := a.insulation - a.ambient
	free, ok := conductor.FreeAir(w.Gauge, max(rise, 0))
	if !ok {
		free, _, _ = conductor.FreeAirOf(float64(w.OhmPerM), max(rise, 0))
	}
	factor, extrapolated := conductor.Bundle(a.bundle, a.loading)
	height := conductor.Altitude(a.altitude)
	x.FreeAirA, x.BundleFactor, x.AltitudeFactor = free, factor, height
	x.CapacityA = free * factor * height
	mil := source.Ref{Kind: source.Standard, Doc: "MIL-W-5088L", Where: "Fig. 3", Status: source.Seen}
	x.Reasons.add(settle.Reason{Text: "free air: I100·(rise/100)^(1/2.08)", Because: []settle.Term{settle.Num("gauge "+w.Gauge+", rise", rise, "K"), settle.Num("free air", free, "A")}, Source: mil})
	mil.Where = "Fig. 4"
	text := "bundle factor"
	if extrapolated {
		text += ", carried on beyond the chart"
	}
	x.Reasons.add(settle.Reason{Text: text, Because: []settle.Term{settle.Num("wires", float64(a.bundle), ""), settle.Num("loading", a.loading*100, "%"), settle.Num("factor", factor, "")}, Source: mil})
	x.Reasons.add(settle.Reason{Text: "altitude factor: 1 - 0.005·h + 0.000025·h², h in 1000 ft", Because: []settle.Term{settle.Num("height", a.altitude, "m"), settle.Num("factor", height, "")}, Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "p. 11-27", Status: source.Computed}})
	share := math.Inf(1)
	if x.CapacityA > 0 {
		share = a.amps / x.CapacityA
	}
	x.ConductorC = a.ambient
	if !math.IsInf(share, 0) {
		x.ConductorC = conductor.PartLoad(a.ambient, a.insulation, share)
	}
	hot := min(x.ConductorC, 1000) // beyond, the wire is gone and the sum says nothing
	x.ResistanceOhm = float64(w.OhmPerM) * a.length * conductor.Copper.Factor(hot)
	x.DropV = a.amps * x.ResistanceOhm
	x.Reasons.add(settle.Reason{Text: "conductor temperature: ambient + rise·share^2.08", Because: []settle.Term{settle.Num("share of capacity", share*100, "%"), settle.Num("conductor", x.ConductorC, "°C")}, Source: source.Ref{Kind: source.Standard, Doc: "MIL-W-5088L", Where: "Fig. 3 read backwards", Status: source.Computed}})
	x.Reasons.add(settle.Reason{Text: "resistance: R20·length·(234.5+T)/254.5", Because: []settle.Term{settle.Num("R20", float64(w.OhmPerM)*1e3, "Ω/km"), settle.Num("length out and back", a.length, "m"), settle.Num("resistance", x.ResistanceOhm, "Ω")}, Source: w.Source})
	x.Reasons.add(settle.Reason{Text: "drop: amps·resistance", Because: []settle.Term{settle.Num("drop", x.DropV, "V"), settle.Num("allowed", a.drop, "V")}, Source: source.Ref{Kind: source.Physics, Doc: "Ohm"}})
	x.OK = x.CapacityA >= a.amps && x.DropV <= a.drop
	switch {
	case x.CapacityA < a.amps:
		x.Reasons = append(x.Reasons, fmt.Sprintf("not enough: %.2f A asked, %.2f A carried", a.amps, x.CapacityA))
	case x.DropV > a.drop:
		x.Reasons = append(x.Reasons, fmt.Sprintf("too much drop: %.3f V, allowed %.3f V", x.DropV, a.drop))
	}
	return x
}
