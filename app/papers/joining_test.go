//go:build outside

package papers_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"keyon/app/report"
	"keyon/model/part"
)

// splices: each wire of each splice.
func (o *oracle) splices(loom string, run map[string]float64) want {
	u := o.unit()
	out := want{tab: "Splices", group: "Splice", heads: []string{"Wire", "Comes from", "Size", "Colour", "Cut|"}, units: []string{"", "", o.sizeUnit(), "", u}}
	for _, s := range o.p.Splices {
		if s.Loom != loom {
			continue
		}
		what := "no splice of the catalogue fits"
		if s.Part != "" {
			what = s.Part
			if q := o.c.Splices[s.Part]; q != nil {
				what = memory(s.Part+", "+q.Title, q.Source.Status == "memory")
			}
		}
		where := ""
		if r, ok := run[s.Place]; ok {
			where = ", " + o.lengthText(r) + " " + u + " from datum"
		}
		group := s.Circuit + ", at " + s.Place + where + ": " + what
		for _, id := range s.Wires {
			w := o.wires[id]
			for _, e := range endsOf(w) {
				if e.at.Splice == s.ID {
					out.rows = append(out.rows, wantRow{group, "", []any{w.Number, e.far().name, o.size(w), dashed(w.Colour), o.length(w.CutMM)}})
				}
			}
		}
	}
	return out
}

// posts: lugs on studs, device posts and leads, thickest lowest.
func (o *oracle) posts(loom string, ground bool) want {
	out := want{tab: map[bool]string{true: "Grounds", false: "Posts"}[ground], group: "Post", heads: []string{"Order|", "Wire", "Circuit", "Comes from", "Lug", "Size", "Loom"}, units: []string{"", "", "", "", "", o.sizeUnit(), ""}}
	type stack struct {
		title string
		ends  []end
		here  bool
	}
	of := map[string]*stack{}
	for i := range o.p.Wires {
		w := &o.p.Wires[i]
		for _, e := range endsOf(w) {
			name, thread, isGround, most := "", "", false, 0
			switch e.at.Kind {
			case "stud":
				for _, s := range o.p.Studs {
					if s.Name == e.at.Stud {
						name, thread, isGround, most = "stud "+s.Name, s.Thread, s.Use == "ground", s.MostLugs
					}
				}
			case "cavity":
				for _, j := range o.p.Joins {
					if j.Name == e.at.Join && o.c.Connector(j.Part) == nil {
						name, thread = j.Name+"/"+e.at.Half, j.Part
					}
				}
			case "lead":
				name = e.name
				for _, q := range o.pins(e.at.Device) {
					if q.Name == e.at.Pin {
						thread, _ = strings.CutPrefix(q.Contact, "stud ")
						if thread == q.Contact {
							thread = ""
						}
					}
				}
			}
			if name == "" || isGround != ground {
				continue
			}
			s := of[name]
			if s == nil {
				s = &stack{title: name}
				if thread != "" {
					s.title += ", " + thread
				} else if e.at.Kind == "cavity" {
					s.title += ", thread not given"
				}
				s.title += ", at " + e.at.Place
				if thread != "" {
					s.title += o.torque(thread)
				}
				if most > 0 {
					s.title += fmt.Sprintf(", %%d of at most %d lug", most)
					if most > 1 {
						s.title += "s"
					}
				}
				of[name] = s
			}
			s.ends = append(s.ends, e)
			s.here = s.here || w.Loom == loom
		}
	}
	for _, name := range keys(of) {
		s := of[name]
		if !s.here {
			continue
		}
		slices.SortStableFunc(s.ends, func(a, b end) int {
			return cmp.Or(cmp.Compare(b.w.AreaMM2, a.w.AreaMM2), cmp.Compare(a.w.Number, b.w.Number))
		})
		title := s.title
		if strings.Contains(title, "%d") {
			title = fmt.Sprintf(title, len(s.ends))
		}
		for n, e := range s.ends {
			other := "this"
			if e.w.Loom != loom {
				other = cmp.Or(e.w.Loom, "none")
			}
			lug := o.crimped(&report.WireEnd{Contact: e.at.Contact, Lug: e.at.Lug})
			out.rows = append(out.rows, wantRow{title, "", []any{number{float64(n + 1), 0}, e.w.Number, e.w.Circuit, e.far().name, dashed(strings.TrimPrefix(lug.(string), "–")), o.size(e.w), other}})
		}
	}
	return out
}

func (o *oracle) pins(device string) []part.Pin {
	if q := o.device(device); q != nil {
		return q.Pins
	}
	return nil
}

func (o *oracle) torque(thread string) string {
	for _, id := range keys(o.c.Studs) {
		if s := o.c.Studs[id]; s.Thread == thread && s.TorqueMost > 0 {
			return memory(", nut "+trim(s.TorqueLeast, 1)+" to "+trim(s.TorqueMost, 1)+" N·m", s.Source.Status == "memory")
		}
	}
	return ", nut torque: the maker's figure"
}
