package resolve

import (
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/geom"
	"keyon/num/quantity"
)

// House defaults, each a limit the shop may set in the table Limits.
const (
	houseAmbient    = 40   // °C, "ambient": closed bodywork in summer, away from engine and exhaust; judgement
	houseSlackShare = 0.05 // "leg slack share": sag between supports; judgement, after AC 43.13-1B 11-118 (at most half an inch under light hand pressure)
	houseSlack      = 20   // mm, "leg slack": movement and re-termination; judgement, after AC 43.13-1B 11-118
	houseSpares     = 0.1  // "join spare share": MIL-HDBK-1012, 10 % spare ways
	houseLugs       = 4    // "most lugs on a stud": AC 43.13-1B 11-174
)

// zonesAndPlaces settles ambient temperatures and positions.
func (r *resolver) zonesAndPlaces() {
	ambient, given := r.d.Number("ambient", houseAmbient)
	reason := settle.Reason{Text: "no zone says otherwise: ambient of the house", Because: []settle.Term{settle.Num("ambient", ambient, "°C")},
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "ambient"}}
	if given {
		reason.Source.Kind = source.User
	}
	r.ambient = quantity.Celsius(ambient)
	for i := range r.d.Zones {
		z := &r.d.Zones[i]
		e := settle.Entry[quantity.Celsius]{State: z.Ambient.State, Value: quantity.Celsius(z.Ambient.Value), Text: z.Ambient.Text, At: z.Ambient.At}
		r.t.Zones = append(r.t.Zones, plan.Zone{ID: z.ID, Name: z.Name, Exposures: z.Exposures.Value,
			Ambient: settle.Choose(e, func() (quantity.Celsius, settle.Reason, bool) { return r.ambient, reason, true })})
	}

	metal := map[string]bool{"": true} // a chassis is taken for metal (common practice) unless an assembly of that name says otherwise
	for i := range r.d.Assemblies {
		a := &r.d.Assemblies[i]
		metal[a.Name] = a.Metal.Or(false)
		if strings.EqualFold(a.Name, "chassis") {
			metal[""] = a.Metal.Or(true)
		}
	}
	for i := range r.d.Places {
		p := &r.d.Places[i]
		at := finding.Place{Kind: "place", ID: p.Name}
		q := plan.Place{ID: p.ID, Name: p.Name, Assembly: p.Assembly.Value, Loom: -1}
		q.Zone = r.zones.look(p.Zone, field(at, "zone"))
		if r.assemblies.look(p.Assembly, field(at, "assembly")) >= 0 || !p.Assembly.Is() {
			q.Metal = metal[p.Assembly.Value]
		}
		q.Ambient = r.zoneAmbient(q.Zone)
		q.Known = p.X.Is() && p.Y.Is() && p.Z.Is()
		q.At = geom.Point{X: float64(p.X.Value), Y: float64(p.Y.Value), Z: float64(p.Z.Value)}
		r.partPosition(p, at)
		r.t.PlaceOf[p.Name] = i
		r.t.Places = append(r.t.Places, q)
	}
}

func field(p finding.Place, name string) finding.Place {
	p.Field = name
	return p
}

// zoneAmbient is a zone's ambient, the house's where there is none.
func (r *resolver) zoneAmbient(zone int) quantity.Celsius {
	if zone >= 0 && r.t.Zones[zone].Ambient.Settled() {
		return r.t.Zones[zone].Ambient.Value
	}
	return r.ambient
}

// partPosition reports the first blank coordinate of a position given in part.
func (r *resolver) partPosition(p *design.Place, at finding.Place) {
	var blank []design.LengthEntry
	for _, e := range []design.LengthEntry{p.X, p.Y, p.Z} {
		if e.State == settle.Blank {
			blank = append(blank, e)
		}
	}
	if len(blank) == 0 || len(blank) == 3 {
		return
	}
	at.Field, at.Cell = blank[0].At.Column, blank[0].At
	r.say(finding.Say(RulePosition, at, "the "+at.Field+" of "+p.Name+" is blank beside other coordinates; the place has no position", "enter the "+at.Field))
}

// legs settles where legs run and how long they are.
func (r *resolver) theLegs() {
	share, _ := r.d.Number("leg slack share", houseSlackShare)
	slack, _ := r.d.Number("leg slack", houseSlack)
	open := map[int]int{} // place without position → its finding
	for i := range r.d.Legs {
		l := &r.d.Legs[i]
		at := finding.Place{Kind: "leg", ID: l.From.Value + " " + l.To.Value}
		q := plan.Leg{ID: l.ID, Name: l.From.Value + "–" + l.To.Value, Hole: l.Hole.Or(0), KeepOut: l.KeepOut.Value, OnCar: l.Finish.Value == "car",
			Build: l.Build.Value, Sleeve: l.Sleeve, Loom: -1}
		q.From = r.places.look(l.From, field(at, "from"))
		q.To = r.places.look(l.To, field(at, "to"))
		q.Zone = r.zones.look(l.Zone, field(at, "zone"))
		q.Ambient = r.legAmbient(l, &q)
		q.Length = settle.Choose(l.Length, func() (quantity.Length, settle.Reason, bool) {
			return r.legLength(&q, share, slack)
		})
		switch {
		case q.From >= 0 && q.From == q.To:
			p := field(at, "to")
			p.Cell = l.To.At
			r.say(finding.Say(RuleLeg, p, "the leg begins and ends at "+l.From.Value, "name the other place"))
			q.Length = settle.Value[quantity.Length]{}
			q.To = -1
		case l.Length.State == settle.Blank && !q.Length.Settled() && q.From >= 0 && q.To >= 0:
			r.noLength(l, &q, at, open)
		}
		r.t.Legs = append(r.t.Legs, q)
	}
}

// legAmbient is the ambient of the leg's own zone, else that of the hotter of
// its places, which is then its zone.
func (r *resolver) legAmbient(l *design.Leg, q *plan.Leg) quantity.Celsius {
	if q.Zone >= 0 || l.Zone.State != settle.Blank {
		return r.zoneAmbient(q.Zone)
	}
	hot := r.ambient
	for _, p := range []int{q.From, q.To} {
		if p < 0 || r.t.Places[p].Zone < 0 {
			continue
		}
		if a := r.t.Places[p].Ambient; q.Zone < 0 || a > hot {
			q.Zone, hot = r.t.Places[p].Zone, a
		}
	}
	return hot
}

func (r *resolver) legLength(q *plan.Leg, share, slack float64) (quantity.Length, settle.Reason, bool) {
	if q.From < 0 || q.To < 0 || !r.t.Places[q.From].Known || !r.t.Places[q.To].Known {
		return 0, settle.Reason{Text: "the positions of its places are not all known"}, false
	}
	straight := quantity.Length(r.t.Places[q.From].At.Distance(r.t.Places[q.To].At))
	return step5(straight*quantity.Length(1+share) + quantity.Length(slack)*quantity.MM), settle.Reason{
		Text:    "distance of its places × (1 + share) + slack, up to 5 mm",
		Because: []settle.Term{settle.Num("distance", straight.MM(), "mm"), settle.Num("share", share, ""), settle.Num("slack", slack, "mm")},
		Source:  source.Ref{Kind: source.Judgement, Doc: "AC 43.13-1B", Where: "11-118 asks for slack; its amount is the house's"},
	}, true
}

// noLength reports a leg without a length, once for each place whose position
// is what is missing. Positions given in part have been reported already.
func (r *resolver) noLength(l *design.Leg, q *plan.Leg, at finding.Place, open map[int]int) {
	at.Field, at.Cell = "length", l.Length.At
	for _, p := range []int{q.From, q.To} {
		row := &r.d.Places[p]
		if r.t.Places[p].Known {
			continue
		}
		if row.X.State != settle.Blank || row.Y.State != settle.Blank || row.Z.State != settle.Blank {
			return
		}
		if f, told := open[p]; told {
			r.vs[f].Related = append(r.vs[f].Related, at)
			return
		}
		open[p] = len(r.vs)
		r.say(finding.Say(RuleLength, at, "the leg "+q.Name+" has no length, and "+row.Name+" has no position to work it out from", "enter the length", "enter the position of "+row.Name))
		return
	}
}
