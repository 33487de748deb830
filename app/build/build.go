// Package build runs the pipeline: it is the main path of the program. A car
// goes in as a design and a catalogue; a plan with its findings comes out.
//
// Someone new should read Stages first: what each stage reads, what it makes,
// and why it stands where it does. Settle is the only loop over stages.
package build

import (
	"fmt"
	"runtime/debug"

	"keyon/check/buildable"
	"keyon/check/complete"
	"keyon/check/crossplug"
	"keyon/check/electrical"
	"keyon/check/signal"
	"keyon/check/surroundings"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/many"
	"keyon/stage/assign"
	"keyon/stage/bundle"
	"keyon/stage/cross"
	"keyon/stage/cut"
	"keyon/stage/power"
	"keyon/stage/resolve"
	"keyon/stage/route"
	"keyon/stage/size"
	"keyon/stage/split"
)

// work is what one pass carries from stage to stage.
type work struct {
	d     *design.Design
	c     part.Catalogue
	guess plan.Guess
	mem   *Memory
	p     *plan.Plan
}

// Stage is a row of the pipeline.
type Stage struct {
	Name, Reads, Makes, Why string
	Rules                   []*finding.Rule
	run                     func(w *work) []finding.Verdict
}

// Stages is the pipeline of design.md 4, in order. Each stage reads the car
// and the tables above its own, and adds one.
var Stages = []Stage{
	{"resolve", "design, catalogue", "Things", "first: everything below speaks of things, not of names", resolve.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Things, v = resolve.Run(w.d, w.c)
		return
	}},
	{"assign", "Things", "Ends", "before route: a way needs both of its ends", assign.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Ends, v = assign.Run(w.d, w.p.Things)
		return
	}},
	{"route", "Things, Ends, guess", "Routes", "before cross: which joins a circuit crosses decides who needs a cavity", route.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Routes, v = route.Run(w.d, w.p.Things, w.p.Ends, w.guess)
		return
	}},
	{"cross", "Routes, Things, Ends", "Cavities", "before split: a circuit that takes two contacts becomes two wires", cross.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Cavities, v = cross.Run(w.d, w.c, w.p.Things, w.p.Ends, w.p.Routes)
		return
	}},
	{"split", "Ends, Routes, Cavities", "Wires", "before size: gauge belongs to a wire, and identity must not depend on it", split.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Wires, v = split.Run(w.d, w.p.Things, w.p.Ends, w.p.Routes, w.p.Cavities)
		return
	}},
	{"size", "Wires, Cavities, Ends, Things", "Sizes", "after split: current, length and neighbours of every wire are known", size.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Sizes, v = size.Run(w.d, w.c, w.p.Things, w.p.Ends, w.p.Cavities, w.p.Wires)
		return
	}},
	{"power", "Wires, Sizes, Things", "Power", "after size: the whole network with the copper that was chosen", power.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Power, v = power.Run(w.d, w.c, w.p.Things, w.p.Ends, w.p.Cavities, w.p.Wires, w.p.Sizes)
		return
	}},
	{"bundle", "Wires, Sizes", "Bundles", "after size: a leg is as thick as its wires", bundle.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Bundles, v = bundle.Run(w.d, w.c, w.p.Things, w.p.Wires, w.p.Sizes, w.mem.Pack)
		return
	}},
	{"cut", "Ends, Wires, Sizes, Bundles", "Cuts", "last: length needs the bundle's twist, and labels need numbers", cut.Rules, func(w *work) (v []finding.Verdict) {
		w.p.Cuts, v = cut.Run(w.d, w.c, w.p.Things, w.p.Ends, w.p.Cavities, w.p.Wires, w.p.Sizes, w.p.Bundles)
		return
	}},
}

// Check is a family of rules over design and plan.
type Check struct {
	Name  string
	Rules []*finding.Rule
	run   func(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict
}

// Checks judge the finished plan, given values and worked-out ones alike.
var Checks = []Check{
	{"complete", complete.Rules, complete.Run},
	{"electrical", electrical.Rules, electrical.Run},
	{"signal", signal.Rules, signal.Run},
	{"buildable", buildable.Rules, buildable.Run},
	{"crossplug", crossplug.Rules, crossplug.Run},
	{"surroundings", surroundings.Rules, surroundings.Run},
}

// Run plans a car. The error is about the program's own work (a stage that
// broke its contract); what is wrong with the car is in the plan's Verdicts.
// Equal designs and catalogues give equal plans, whatever mem remembers.
func Run(d *design.Design, c part.Catalogue, mem *Memory) (*plan.Plan, error) {
	if mem == nil {
		mem = NewMemory()
	}
	c, own := c.With(d)
	p, err := Settle(d, c, mem)
	if err != nil {
		return p, err
	}
	p.Verdicts = append(append(p.Verdicts, d.Findings...), own...)
	p.Verdicts = waive(d, p.Verdicts)
	setLooms(p)
	finding.Sort(p.Verdicts)
	return p, nil
}

// pass runs every stage on one guess. A broken stage leaves the tables above
// it in the plan, with an error naming it.
func pass(d *design.Design, c part.Catalogue, g plan.Guess, mem *Memory) (*plan.Plan, error) {
	w := &work{d: d, c: c, guess: g, mem: mem, p: &plan.Plan{}}
	for i := range Stages {
		s := &Stages[i]
		if err := guarded("stage "+s.Name, func() {
			mem.traced(s.Name, func() { w.p.Verdicts = append(w.p.Verdicts, s.run(w)...) })
		}); err != nil {
			return w.p, err
		}
	}
	return w.p, nil
}

// judge adds the verdicts of every check to a plan. Checks only read, so they
// judge side by side.
func judge(d *design.Design, c part.Catalogue, p *plan.Plan, mem *Memory) error {
	said, errs := make([][]finding.Verdict, len(Checks)), make([]error, len(Checks))
	many.Do(len(Checks), func(i int) {
		k := &Checks[i]
		errs[i] = guarded("check "+k.Name, func() {
			mem.traced("check "+k.Name, func() { said[i] = k.run(d, c, p) })
		})
	})
	for i := range Checks {
		if errs[i] != nil {
			return errs[i]
		}
		p.Verdicts = append(p.Verdicts, said[i]...)
	}
	return nil
}

// Broken is a stage or check that panicked: a fault of ours.
type Broken struct {
	Where string
	Cause any
	Stack string
}

// Error names the stage.
func (b *Broken) Error() string { return fmt.Sprintf("%s: internal error: %v", b.Where, b.Cause) }

func guarded(where string, f func()) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &Broken{where, r, string(debug.Stack())}
		}
	}()
	f()
	return nil
}

// Table is what the stage made in a plan.
func (s *Stage) Table(p *plan.Plan) any {
	switch s.Makes {
	case "Things":
		return p.Things
	case "Ends":
		return p.Ends
	case "Routes":
		return p.Routes
	case "Cavities":
		return p.Cavities
	case "Wires":
		return p.Wires
	case "Sizes":
		return p.Sizes
	case "Power":
		return p.Power
	case "Bundles":
		return p.Bundles
	}
	return p.Cuts
}
