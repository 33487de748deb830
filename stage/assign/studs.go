package assign

import (
	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
)

// room is how many more lugs a stud takes.
func (w *work) room(s int) int { return max(0, w.t.Studs[s].MostLugs-w.lugs[s]) }

func (w *work) onStud(x *plan.End, s int, o settle.Origin, r settle.Reason) {
	x.Stud, x.Pin = s, value(o, r)
	x.Pin.Value = w.t.Studs[s].Name
	w.lugs[s]++
}

// studs brings the open grounds to ground studs with room at the least sum of
// ways.
func (w *work) studs() {
	var open []int
	for i := range w.out.List {
		if x := &w.out.List[i]; w.isOurs(x) && x.Device < 0 && x.Stud < 0 && w.class(x) == "ground" {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return
	}
	at := map[int][]int{}
	rooms := make([]int, len(w.t.Studs))
	for s := range w.t.Studs {
		if rooms[s] = w.room(s); w.t.Studs[s].Use != "supply" && rooms[s] > 0 && w.t.Studs[s].Place >= 0 {
			at[w.t.Studs[s].Place] = append(at[w.t.Studs[s].Place], s)
		}
	}
	of, mm := w.spread(len(open), len(w.t.Studs), at, func(i int) int {
		for _, k := range w.out.Of[w.out.List[open[i]].Circuit] {
			if o := &w.out.List[k]; k != open[i] && w.at(o) >= 0 {
				return w.at(o)
			}
		}
		return -1
	}, func(_, _ int, mm int64) (int64, bool) { return mm, mm < noWay }, func(s int) int { return rooms[s] })
	for i, s := range of {
		x := &w.out.List[open[i]]
		if s < 0 {
			x.Pin.Reason.Text = "no free stud"
			w.verdicts = append(w.verdicts, finding.Say(RuleStud, w.place(x), w.t.Circuits[x.Circuit].Name+" finds no ground stud with room", "add a stud, or allow more lugs on one"))
			continue
		}
		w.onStud(x, s, settle.Worked, settle.Reason{Text: "ground stud with room, nearest where all of them are counted together", Because: []settle.Term{settle.Num("way", float64(mm[i]), "mm")},
			Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "grounds: nearest stud"}})
	}
}
