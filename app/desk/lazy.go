package desk

import (
	"sync"

	"keyon/app/open"
	"keyon/app/report"
	"keyon/draw"
	"keyon/model/buy"
	"keyon/model/design"
	"keyon/model/settle"
)

// lazy is what a view works out when it is first asked for.
type lazy struct {
	report   once[*report.Plan]
	looms    once[[]buy.Loom]
	drawn    once[*draw.Car]
	cells    once[report.CellName]
	findings once[[]Finding]
	opened   once[[]Finding]
	at       once[map[settle.Cell]*Sign]
	names    once[*names]
	find     once[[]entry]

	sheets onceBy[*Sheet]
	saids  onceBy[worked]
	packs  onceBy[*Pack]
}

// once is a value made at its first use.
type once[T any] struct {
	do    sync.Once
	value T
}

func (o *once[T]) get(make func() T) T {
	o.do.Do(func() { o.value = make() })
	return o.value
}

// onceBy is a value of each name, made at its first use.
type onceBy[T any] struct {
	mu   sync.Mutex
	made map[string]T
}

func (o *onceBy[T]) get(name string, make func() T) T {
	o.mu.Lock()
	defer o.mu.Unlock()
	x, ok := o.made[name]
	if !ok {
		x = make()
		if o.made == nil {
			o.made = map[string]T{}
		}
		o.made[name] = x
	}
	return x
}

// Report is the plan as programs read it; nil before there is a plan.
func (v *View) Report() *report.Plan {
	return v.lazy.report.get(func() *report.Plan {
		if v.Plan == nil {
			return nil
		}
		return report.OfPlan(v.Design, v.Catalogue, v.Plan, v.CellName())
	})
}

// CellName names cells as a person calls them: "Circuits FUEL PUMP / gauge".
func (v *View) CellName() report.CellName {
	return v.lazy.cells.get(func() report.CellName { return open.InBook(v.Book) })
}

// names finds rows and things by what people and plans call them.
type names struct {
	row  map[settle.Cell]int // table and UID, without column: index in its sheet
	wire map[string]int      // index of a wire by ID and by number
}

func (v *View) index() *names {
	return v.lazy.names.get(func() *names {
		n := &names{row: map[settle.Cell]int{}, wire: map[string]int{}}
		for i := range v.Book.Sheets {
			s := &v.Book.Sheets[i]
			for r := range s.Rows {
				n.row[settle.Cell{Table: s.Table.Name, Row: s.Rows[r].UID}] = r
			}
		}
		if v.Plan != nil {
			for i := range v.Plan.Wires.List {
				n.wire[v.Plan.Wires.List[i].ID] = i
				if i < len(v.Plan.Cuts.Wires) && v.Plan.Cuts.Wires[i].Number.Value != "" {
					n.wire[v.Plan.Cuts.Wires[i].Number.Value] = i
				}
			}
		}
		return n
	})
}

// row is a row of the book; nil where it is gone.
func (v *View) row(table, uid string) (*design.Sheet, *design.Row) {
	s := v.Book.Sheet(table)
	if r, ok := v.index().row[settle.Cell{Table: table, Row: uid}]; ok && s != nil {
		return s, &s.Rows[r]
	}
	return s, nil
}
