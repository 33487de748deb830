package desk

import (
	"bytes"
	"compress/flate"
	"encoding/gob"
	"fmt"
	"os"
	"slices"

	"keyon/app/build"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/store/project"
)

// Past is what the project file keeps of its last plan, so that a large car
// shows its findings and worked-out cells while it is planned anew. It is
// taken only where tables, catalogue and program are the same.
type Past struct {
	Found  []pastFinding
	Cells  []pastCell
	Rows   map[string][]string // of the plan only, by table
	Passed int

	Findings []Finding `json:"-"` // made of Found
	cells    map[string]worked
}

// pastFinding is an open or accepted finding without what leads into the
// program: its rule is named.
type pastFinding struct {
	Rule string
	F    Finding
}

type pastCell struct {
	Cell   settle.Cell
	Shown  string
	Origin settle.Origin
	Alias  bool
}

// planTables are the tables with worked-out cells.
var planTables = []string{"Circuits", "Legs", "Looms", "Joins", "Feeds", "Cables", "Wires", "Cavities", "Splices"}

// none stands for no past.
var none = &Past{}

func (v *View) past() *Past {
	if v.Past == nil {
		return none
	}
	return v.Past
}

func (p *Past) count(loom string) (c Counts) {
	c.Passed = p.Passed
	for i := range p.Findings {
		f := &p.Findings[i]
		switch {
		case loom != "" && !slices.Contains(f.Looms, loom):
		case f.Waived != "":
			c.Waived++
		case f.Rule.Severity == finding.Stop:
			c.Stop++
		case f.Rule.Severity == finding.Look:
			c.Look++
		default:
			c.Note++
		}
	}
	return c
}

func (p *Past) worked(table string) worked {
	if w, ok := p.cells[table]; ok {
		return w
	}
	return worked{cells: map[settle.Cell]said{}}
}

// planKey is what a plan follows from. The program is told by its own file:
// any other build may plan otherwise.
func planKey(v *View) project.PlanKey {
	program := "unknown"
	if exe, err := os.Executable(); err == nil {
		if i, err := os.Stat(exe); err == nil {
			program = fmt.Sprint(i.Size(), i.ModTime().UnixNano())
		}
	}
	return project.PlanKey{Design: v.Design.Hash, Catalogue: part.Embedded().Hash(), Program: program}
}

// remember keeps a whole view in the file. It is a convenience: what can't be
// kept is worked out again.
func (k *Desk) remember(v *View) {
	if !v.Whole() {
		return
	}
	p := Past{Rows: map[string][]string{}, Passed: v.Counts("").Passed}
	for _, f := range v.Verdicts() {
		if f.OK {
			continue
		}
		rule := f.Rule.ID
		f.Rule, f.Terms, f.Number = nil, nil, nil
		p.Found = append(p.Found, pastFinding{rule, f})
	}
	for _, t := range planTables {
		w := v.worked(t)
		p.Rows[t] = w.rows
		for at, s := range w.cells {
			p.Cells = append(p.Cells, pastCell{at, s.shown, s.origin, s.alias})
		}
	}
	var b bytes.Buffer
	z, _ := flate.NewWriter(&b, flate.BestSpeed)
	if gob.NewEncoder(z).Encode(p) != nil || z.Close() != nil {
		return
	}
	_ = k.car.File().KeepPlan(planKey(v), b.Bytes())
}

// remembered is the view of an earlier run, or one without any plan.
func (k *Desk) remembered() *View {
	v := read(k.car.Book())
	v.Path = k.Path
	data, err := k.car.File().Plan(planKey(v))
	if err != nil || data == nil {
		return v
	}
	p := &Past{cells: map[string]worked{}}
	if gob.NewDecoder(flate.NewReader(bytes.NewReader(data))).Decode(p) != nil {
		return v
	}
	rules := map[string]*finding.Rule{}
	for _, r := range build.AllRules() {
		rules[r.ID] = r
	}
	for _, f := range p.Found {
		if f.F.Rule = rules[f.Rule]; f.F.Rule != nil {
			p.Findings = append(p.Findings, f.F)
		}
	}
	for _, t := range planTables {
		p.cells[t] = worked{cells: map[settle.Cell]said{}, rows: p.Rows[t]}
	}
	for _, c := range p.Cells {
		p.cells[c.Cell.Table].cells[c.Cell] = said{shown: c.Shown, origin: c.Origin, alias: c.Alias}
	}
	v.Past = p
	return v
}
