package flow

import (
	"keyon/model/plan"
)

// Walk is a circuit's spans in order outward from its root.
type Walk struct {
	Steps []Step
	Ends  []int // the circuit's ends in the order they are met; ^end where a shield ends free beside that end
	Back  bool  // current runs towards the root
}

// Step is one span of a walk.
type Step struct {
	Span   int
	Turned bool // the span's To is nearer the root than its From
	Parent int  // step it follows on, -1 at the root
	Lo, Hi int  // the ends beyond it are Ends[Lo:Hi]
}

// Near and Far are the span's joints nearer to and farther from the root.
func (s *Step) Near(r *plan.Route) *plan.Joint {
	if s.Turned {
		return &r.Spans[s.Span].To
	}
	return &r.Spans[s.Span].From
}

// Far is the other joint.
func (s *Step) Far(r *plan.Route) *plan.Joint {
	if s.Turned {
		return &r.Spans[s.Span].From
	}
	return &r.Spans[s.Span].To
}

// node tells joints apart: both halves of a join are one.
type node struct {
	kind  byte
	index int
}

func nodeOf(j *plan.Joint) node {
	switch {
	case j.End >= 0:
		return node{'e', j.End}
	case j.Join >= 0:
		return node{'j', j.Join}
	case j.Point >= 0:
		return node{'p', j.Point}
	}
	return node{'b', j.Beside}
}

// Through walks a route from its circuit's root. Spans that hang together with
// nothing at the root are left out: a route's spans are one tree.
func Through(t *plan.Things, e *plan.Ends, r *plan.Route) Walk {
	root, back := Root(t, e, r.Circuit)
	w := Walk{Back: back}
	if root < 0 || len(r.Spans) == 0 {
		return w
	}
	around := make(map[node][]int, 2*len(r.Spans))
	for i := range r.Spans {
		a, b := nodeOf(&r.Spans[i].From), nodeOf(&r.Spans[i].To)
		around[a] = append(around[a], i)
		around[b] = append(around[b], i)
	}
	done := make([]bool, len(r.Spans))
	// Depth first without recursion: a long chain must not exhaust the stack.
	type frame struct {
		at   node
		next int // into around[at]
		step int // step that led here, -1
	}
	stack := []frame{{node{'e', root}, 0, -1}}
	w.Ends = append(w.Ends, root)
	for len(stack) > 0 {
		f := &stack[len(stack)-1]
		spans := around[f.at]
		if f.next == len(spans) {
			if f.step >= 0 {
				w.Steps[f.step].Hi = len(w.Ends)
			}
			stack = stack[:len(stack)-1]
			continue
		}
		i := spans[f.next]
		f.next++
		if done[i] {
			continue
		}
		done[i] = true
		s := Step{Span: i, Parent: f.step, Lo: len(w.Ends), Turned: nodeOf(&r.Spans[i].From) != f.at}
		far := nodeOf(s.Far(r))
		switch far.kind {
		case 'e':
			w.Ends = append(w.Ends, far.index)
		case 'b':
			w.Ends = append(w.Ends, ^far.index)
		}
		w.Steps = append(w.Steps, s)
		stack = append(stack, frame{far, 0, len(w.Steps) - 1})
	}
	return w
}

// Amps is what is expected to run through each step: what the ends without a
// source on one side take. With sources on both sides it is the larger.
func (w *Walk) Amps(f *Table) []float64 {
	taken := make([]float64, len(w.Ends)+1) // by the first i ends
	sources := make([]int, len(w.Ends)+1)
	for i, end := range w.Ends {
		taken[i+1], sources[i+1] = taken[i], sources[i]
		switch {
		case end < 0:
		case f.Source[end]:
			sources[i+1]++
		default:
			taken[i+1] += f.Amps[end]
		}
	}
	amps := make([]float64, len(w.Steps))
	for i := range w.Steps {
		s := &w.Steps[i]
		beyond, far := taken[s.Hi]-taken[s.Lo], sources[s.Hi] > sources[s.Lo]
		here, near := taken[len(w.Ends)]-beyond, sources[len(w.Ends)] > sources[s.Hi]-sources[s.Lo]
		switch {
		case near && !far:
			amps[i] = beyond
		case far && !near:
			amps[i] = here
		case near:
			amps[i] = max(beyond, here)
		default:
			amps[i] = min(beyond, here)
		}
	}
	return amps
}
