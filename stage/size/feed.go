package size

import (
	"math"
	"strconv"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleFeed says that a feed's protection is open.
var RuleFeed = &finding.Rule{ID: "size.feed", Severity: finding.Stop, Title: "no protection for a feed",
	Text:   "No rating carries the load and is still within what the outlet gives, or the given setting can't be read.",
	Source: source.Ref{Kind: source.Standard, Doc: "ISO 8820-3", Where: "continuous load at most 75 % of the rating at 25 °C", Status: source.Seen}}

// feedShare is the most a fuse carries for good, of its rating; "feed share"
// in the table Limits. Makers' sheets of blade fuses, seen.
const feedShare = 0.75

// feedJob is one feed on its way to a rating.
type feedJob struct {
	plan.FeedSize
	wires []int // behind it
}

// hang finds which wires each feed protects.
func (z *sizer) hang() {
	z.feed = make([]feedJob, len(z.t.Feeds))
	for f := range z.feed {
		z.feed[f].Weakest, z.feed[f].State = -1, -1
		z.feed[f].wires = z.paths.Behind(f)
	}
}

// protect settles each feed's rating for its load, and thickens the wires
// behind it until they carry what it lets through. It reports a change.
func (z *sizer) protect() bool {
	z.lows()
	changed := false
	for f := range z.feed {
		changed = z.rate(f) || changed
	}
	return changed
}

func (z *sizer) rate(f int) bool {
	q, job := &z.t.Feeds[f], &z.feed[f]
	if q.Device < 0 || q.Pin < 0 || z.t.Devices[q.Device].Part == nil {
		return false
	}
	outlet := &z.t.Devices[q.Device].Part.Pins[q.Pin]
	place := finding.Place{Kind: "feed", ID: q.Name, Field: "setting", Cell: q.Setting.At}
	module := z.t.Devices[q.Device].Part.Kind == "module"
	steady := 0.0
	for s := range z.amps {
		if !short(&z.t.States[s]) {
			steady = max(steady, z.outOf(f, s))
		}
	}
	share, _ := z.d.Number("feed share", feedShare)
	because := []settle.Term{settle.Num("load", quantity.RoundTo(steady, 0.01), "A"), settle.Num("share of the rating", share*100, "%")}
	entry := z.d.Keep(q.Setting, "feed", string(q.ID), "setting")
	job.Setting = settle.Choose(entry, func() (string, settle.Reason, bool) {
		if q.Unprotected {
			return "unprotected", settle.Reason{Text: "deliberately unprotected, accepted in the design", Source: source.Ref{Kind: source.User}}, true
		}
		r := z.standard(steady/share, module)
		if r == 0 || outlet.Amps > 0 && r > float64(outlet.Amps) && steady > float64(outlet.Amps) {
			return "", settle.Reason{Text: "no rating carries the load", Because: because, Source: RuleFeed.Source}, false
		}
		if outlet.Amps > 0 {
			r = min(r, float64(outlet.Amps))
		}
		text := "next standard rating that carries the load at its share"
		if module {
			text = "next whole ampere that carries the load at its share"
		}
		return quantity.Text(r, 1) + " A", settle.Reason{Text: text, Because: because, Source: RuleFeed.Source}, true
	})
	amps, ok := rating(job.Setting.Value, z.c)
	job.Rating = quantity.Ampere(amps)
	if job.Setting.Value == "unprotected" || entry.State == settle.Garbled {
		return false
	}
	if !ok || amps <= 0 {
		if z.last(RuleFeed, place) {
			return false
		}
		what := "feed " + q.Name + ": " + job.Setting.Reason.String()
		if entry.Is() {
			what = "feed " + q.Name + ": " + strconv.Quote(entry.Value) + " is no rating: write amperes, or a fuse of the catalogue"
		}
		z.verdicts = append(z.verdicts, finding.Say(RuleFeed, place, what, "split the load over two feeds, or name a larger outlet"))
		return false
	}
	changed := false
	for _, i := range job.wires {
		j := &z.jobs[i]
		for j.wire() != nil && z.steadyCapacity(i, j.wire())*float64(z.paths.Abreast(i)) < amps {
			if !j.raise(bind{"thinnest that feed " + q.Name + " protects", []settle.Term{settle.Num("rating", amps, "A"), settle.Num("load", quantity.RoundTo(steady, 0.01), "A")}, protectSource}) {
				break
			}
			for _, l := range z.w.List[i].Legs {
				z.low[l] = z.lowest(l)
			}
			changed = true
		}
	}
	return changed
}

// weakest tells what a feed carries at most, and finds the wire behind it
// that may carry least for good.
func (z *sizer) weakest(f int) {
	job, least := &z.feed[f], math.Inf(1)
	job.Amps, job.State = 0, -1
	for s := range z.amps {
		if sum := quantity.Ampere(quantity.RoundTo(z.outOf(f, s), 1e-9)); job.State < 0 || sum > job.Amps {
			job.Amps, job.State = sum, s
		}
	}
	if job.Rating <= 0 {
		return
	}
	for _, i := range job.wires {
		if q := z.jobs[i].wire(); q != nil {
			if c := z.steadyCapacity(i, q) * float64(z.paths.Abreast(i)); c < least {
				least, job.Weakest = c, i
			}
		}
	}
}

var protectSource = source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-48: the protector opens before the wire overheats", Status: source.Seen}

// last says whether the finding has been made in an earlier round.
func (z *sizer) last(r *finding.Rule, p finding.Place) bool {
	for i := range z.verdicts {
		if z.verdicts[i].Rule == r && z.verdicts[i].Place == p {
			return true
		}
	}
	return false
}

// outOf is what leaves a feed's outlet in a state, amperes: the current of
// the wires that end at it.
func (z *sizer) outOf(f, state int) float64 {
	sum := 0.0
	for _, i := range z.feed[f].wires {
		w := &z.w.List[i]
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			if (e.Kind == plan.AtPin || e.Kind == plan.AtLead) && e.End >= 0 && z.e.List[e.End].Feed == f {
				sum += z.amps[state][i]
			}
		}
	}
	return sum
}

// steadyCapacity is the least continuous capacity of a gauge over its legs, in
// the states that last.
func (z *sizer) steadyCapacity(i int, q *part.Wire) float64 {
	least := math.Inf(1)
	for _, l := range z.w.List[i].Legs {
		low := z.low[l]
		for s := range z.t.States {
			if !short(&z.t.States[s]) {
				least = min(least, z.of(i, q, l, s, low))
			}
		}
	}
	if len(z.w.List[i].Legs) == 0 {
		for s := range z.t.States {
			if !short(&z.t.States[s]) {
				least = min(least, z.alone(i, q, s))
			}
		}
	}
	if math.IsInf(least, 1) { // no state lasts
		return z.freeAir(q, max(float64(q.Temperature)-40, 0))
	}
	return least
}

// standard is the next rating at or above amps: a whole ampere for a module's
// channel, a blade fuse's rating else; 0 where there is none.
func (z *sizer) standard(amps float64, module bool) float64 {
	if module {
		return max(1, quantity.RoundUp(amps, 1))
	}
	best := 0.0
	for _, f := range z.c.Fuses {
		if r := float64(f.Rating); !f.Breaker && r >= amps && (best == 0 || r < best) {
			best = r
		}
	}
	return best
}

// rating reads a feed's setting: amperes, or a fuse of the catalogue.
func rating(setting string, c part.Catalogue) (float64, bool) {
	if f := c.Fuses[setting]; f != nil {
		return float64(f.Rating), true
	}
	v, err := quantity.Parse(strings.TrimSpace(setting), quantity.AmpereDim, "A", quantity.Auto)
	return v, err == nil
}
