package electrical

import (
	"fmt"
	"math"

	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/quantity"
)

// RuleProtects: the feed opens before its thinnest wire overheats.
var RuleProtects = &finding.Rule{ID: "electrical.protects", Severity: finding.Stop, Title: "feed doesn't protect the wire",
	Text:   "The rating of a feed is at most the continuous capacity of every wire behind it. Deliberately unprotected feeds are named in the design.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-48: the protector opens before the wire overheats", Status: source.Seen}}

// RuleShare: a fuse is not loaded above its share for good.
var RuleShare = &finding.Rule{ID: "electrical.share", Severity: finding.Stop, Title: "feed overloaded",
	Text:   "The continuous load of a feed is at most 75 % of its rating (\"feed share\" in Limits); a module's channel may give its whole setting.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "ISO 8820-3", Where: "continuous load at 25 °C, makers' sheets", Status: source.Seen}}

// steady is a wire's least continuous capacity over legs and lasting states.
func (j *judge) steady(i int, lows []float64, legs [][]int) float64 {
	least := math.Inf(1)
	q := j.p.Sizes.Wires[i].Wire
	for _, l := range j.p.Wires.List[i].Legs {
		if lows[l] <= float64(j.t.Legs[l].Ambient) {
			continue
		}
		for s := range j.p.Power.States {
			if short(&j.t.States[s]) {
				continue
			}
			air := float64(j.t.Legs[l].Ambient)
			if st := &j.t.States[s]; st.HasAmbient {
				air = float64(st.Ambient)
			}
			shares := make([]conductor.Share, len(legs[l]))
			for k, w := range legs[l] {
				if x := j.p.Sizes.Wires[w].Wire; x != nil {
					shares[k] = conductor.Share{Free: free(x, j.rating(w, lows[l])-air), Amps: abs(float64(j.p.Power.States[s].Amps[w]))}
				}
			}
			load, err := conductor.Load(shares, float64(j.d.Car.Altitude))
			if err != nil {
				return 0
			}
			least = min(least, free(q, j.rating(i, lows[l])-air)*load.Factor)
		}
	}
	for s := range j.p.Power.States {
		if w, ok := j.jumper(i, s); ok && !short(&j.t.States[s]) {
			least = min(least, w.capacity)
		}
	}
	if math.IsInf(least, 1) { // no state lasts, or surroundings.heat has said that it is too hot
		return free(q, max(float64(q.Temperature)-40, 0))
	}
	return least
}

func (j *judge) protects() {
	legs := make([][]int, len(j.t.Legs))
	lows := make([]float64, len(j.t.Legs))
	for l := range lows {
		lows[l] = math.Inf(1)
	}
	for i := range j.p.Wires.List {
		for _, l := range j.p.Wires.List[i].Legs {
			legs[l] = append(legs[l], i)
			if q := j.p.Sizes.Wires[i].Wire; q != nil {
				lows[l] = min(lows[l], float64(q.Temperature))
			}
		}
	}
	memo := map[int]float64{}
	for f := range j.t.Feeds {
		if f >= len(j.p.Sizes.Feeds) || j.t.Feeds[f].Unprotected || j.p.Sizes.Feeds[f].Rating <= 0 {
			continue
		}
		rating := float64(j.p.Sizes.Feeds[f].Rating)
		for _, i := range j.ways.Behind(f) {
			if j.p.Sizes.Wires[i].Wire == nil {
				continue
			}
			c, ok := memo[i]
			if !ok {
				c = j.steady(i, lows, legs)
				memo[i] = c
			}
			place, words := j.wire(i, "gauge"), "gauge "+j.p.Sizes.Wires[i].Gauge.Value
			if n := j.ways.Abreast(i); n > 1 {
				c *= float64(n)
				words = fmt.Sprintf("%d wires of gauge %s side by side", n, j.p.Sizes.Wires[i].Gauge.Value)
			}
			if q := &j.p.Sizes.Feeds[f].Setting; q.Origin == settle.FromUser && j.p.Sizes.Wires[i].Gauge.Origin != settle.FromUser {
				place = finding.Place{Kind: "feed", ID: j.t.Feeds[f].Name, Field: "setting", Cell: j.t.Feeds[f].Setting.At}
			}
			r, k := quantity.Apart(rating, c, 1)
			v := finding.Judge(RuleProtects, place, rating, finding.Limit{AtMost: true, Value: c, Unit: "A"},
				fmt.Sprintf("%s: feed %s lets %s A through, %s may carry %s A for good", j.named(i), j.t.Feeds[f].Name, r, words, k),
				settle.Num("load of the feed", float64(j.p.Sizes.Feeds[f].Amps), "A"))
			v.Related = []finding.Place{{Kind: "feed", ID: j.t.Feeds[f].Name}}
			v.Fixes = j.blankGauge(i, place)
			if place.Kind == "feed" {
				v.Fixes = []finding.Fix{{Text: "leave the setting blank to have it worked out", Edit: &finding.Edit{Cell: place.Cell}}}
			}
			j.add(v)
		}
	}
}

func (j *judge) shares() {
	share, _ := j.d.Number("feed share", 0.75)
	for f := range j.t.Feeds {
		q := &j.t.Feeds[f]
		if f >= len(j.p.Sizes.Feeds) || q.Unprotected || j.p.Sizes.Feeds[f].Rating <= 0 || q.Device < 0 || j.t.Devices[q.Device].Part == nil {
			continue
		}
		limit := float64(j.p.Sizes.Feeds[f].Rating)
		if j.t.Devices[q.Device].Part.Kind != "module" {
			limit *= share
		}
		most, state := 0.0, -1
		for s := range j.p.Power.States {
			if a := abs(float64(j.p.Power.States[s].Feeds[f])); !short(&j.t.States[s]) && a > most {
				most, state = a, s
			}
		}
		if state < 0 {
			continue
		}
		a, l := quantity.Apart(most, limit, 2)
		v := finding.Judge(RuleShare, finding.Place{Kind: "feed", ID: q.Name, Field: "setting", Cell: q.Setting.At}, most, finding.Limit{AtMost: true, Value: limit, Unit: "A"},
			fmt.Sprintf("%s carries %s A in %s, at most %s A for good", q.Name, a, j.t.States[state].Name, l), settle.Num("rating", float64(j.p.Sizes.Feeds[f].Rating), "A"))
		v.Fixes = []finding.Fix{{Text: "leave the setting blank to have it worked out, or move loads to another feed"}}
		j.add(v)
	}
}
