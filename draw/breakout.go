package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/num/quantity"
)

// tree is a loom spread from its datum.
type tree struct {
	datum int
	nodes []node // the datum first, each place behind the one it hangs on
	loops []int  // legs that close a loop, or hang on nothing that is reached
}

// node is a place of a loom with its running dimension.
type node struct {
	place, leg, up int // up is the node it hangs on, -1 for the datum
	run            quantity.Length
	open           bool // a leg on the way has no length
}

// spread lays a loom out from its datum: the place where most wires end in a
// connector, so that the tape has something to hold on to.
func (k *Car) spread(loom int) tree {
	l := &k.t.Looms[loom]
	at := map[int][]int{}
	for _, i := range l.Legs {
		g := &k.t.Legs[i]
		at[g.From] = append(at[g.From], i)
		at[g.To] = append(at[g.To], i)
	}
	ends := map[int]int{}
	for i := range k.looms[loom].Connectors {
		c := &k.looms[loom].Connectors[i]
		ends[c.Place] += len(c.Fills)
	}
	t := tree{datum: -1}
	for _, place := range l.Places {
		if len(at[place]) > 0 && (t.datum < 0 || ends[place] > ends[t.datum]) {
			t.datum = place
		}
	}
	if t.datum < 0 {
		return t
	}
	used := map[int]bool{}
	seen := map[int]bool{t.datum: true}
	// reach is how far the loom goes on behind a leg: short branches are listed
	// first, so that the trunk runs on at the end.
	var reach func(place int, used map[int]bool) quantity.Length
	reach = func(place int, used map[int]bool) quantity.Length {
		far := quantity.Length(0)
		for _, i := range at[place] {
			if !used[i] {
				used[i] = true
				far = max(far, k.t.Legs[i].Length.Value+reach(k.otherEnd(i, place), used))
			}
		}
		return far
	}
	var walk func(n int)
	walk = func(n int) {
		from := t.nodes[n]
		legs := slices.Clone(at[from.place])
		far := map[int]quantity.Length{}
		for _, i := range legs {
			far[i] = k.t.Legs[i].Length.Value + reach(k.otherEnd(i, from.place), map[int]bool{i: true, from.leg: true})
		}
		slices.SortStableFunc(legs, func(a, b int) int {
			return cmp.Or(cmp.Compare(far[a], far[b]), buy.Natural(k.t.Legs[a].Name, k.t.Legs[b].Name))
		})
		for _, i := range legs {
			other := k.otherEnd(i, from.place)
			if used[i] || seen[other] {
				continue
			}
			used[i], seen[other] = true, true
			g := &k.t.Legs[i]
			t.nodes = append(t.nodes, node{other, i, n, from.run + g.Length.Value, from.open || !g.Length.Settled()})
			walk(len(t.nodes) - 1)
		}
	}
	t.nodes = []node{{t.datum, -1, -1, 0, false}}
	walk(0)
	for _, i := range l.Legs {
		if !used[i] {
			t.loops = append(t.loops, i)
		}
	}
	return t
}

func (k *Car) otherEnd(leg, place int) int {
	if g := &k.t.Legs[leg]; g.From == place {
		return g.To
	}
	return k.t.Legs[leg].From
}

// breakout gives running dimensions from one datum, for a tape measure laid
// along the loom: a drawing to scale, then a line for each leg.
func (k *Car) breakout(loom int) Paper {
	p := Paper{Title: "Breakout list", For: "where branches leave: running dimensions from one datum"}
	tr := k.spread(loom)
	if tr.datum < 0 {
		return p
	}
	legs := table{id: "breakout", name: "Breakouts", cols: []page.Column{{Head: "Place", Weight: 2}, {Head: "On leg from", Weight: 2}, {Head: "Leg", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "From datum", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Wires", Align: page.ToRight}, {Head: "Diameter", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Covering", Weight: 1}, {Head: "Finish"}}}
	for _, n := range tr.nodes[1:] {
		run := k.length(n.run)
		if n.open {
			run = txt("open")
		}
		k.legLine(&legs, n.leg, k.place(n.place), k.place(tr.nodes[n.up].place), run)
	}
	loops := table{id: "loops", name: "Loops", cols: legs.cols}
	for _, i := range tr.loops {
		k.legLine(&loops, i, k.place(k.t.Legs[i].To), k.place(k.t.Legs[i].From), txt("–"))
	}
	carries := table{id: "carries", name: "Places", cols: []page.Column{{Head: "Place", Weight: 1}, {Head: "What ends or joins here", Weight: 3}}}
	here := k.carries(loom)
	for _, n := range tr.nodes {
		if s := here[n.place]; len(s) > 0 {
			carries.add("", txt(k.place(n.place)), txt(joined(s)))
		}
	}
	p.Blocks = []page.Block{page.Paragraph{Text: "Datum: " + k.place(tr.datum) + ". Lay the tape along the legs. Drawn to scale along the tape; branches hang on the line they leave from. Diameters are with covering" + k.wallsFrom(loom) + "."}}
	p.Blocks = append(p.Blocks, k.treeDrawing(&tr)...)
	p.table(&legs, page.Heading{Text: "Legs"})
	p.table(&loops, page.Heading{Text: "Legs that close a loop"})
	p.table(&carries, page.Heading{Text: "Places"})
	return p
}

// wallsFrom says so where the walls of sleeves are known from memory only.
func (k *Car) wallsFrom(loom int) string {
	for _, l := range k.t.Looms[loom].Legs {
		if s := k.c.Sleeves[k.p.Bundles.Legs[l].Sleeve.Value]; s != nil && memory(s.Source) {
			return ", the sleeves' walls by memory (check)"
		}
	}
	return ""
}

func (k *Car) legLine(t *table, leg int, place, from string, run cell) {
	g, b := &k.t.Legs[leg], &k.p.Bundles.Legs[leg]
	finish := "bench"
	if g.OnCar {
		finish = "car"
	}
	length := txt("open")
	if g.Length.Settled() {
		length = k.length(g.Length.Value)
	}
	t.add(string(g.ID), txt(place), txt(from), length, run, count(len(b.Wires)), k.lengthOrBlank(b.Covered), dash(b.Sleeve.Value), txt(finish))
}

// carries lists the connectors, posts and splices of a loom by place.
func (k *Car) carries(loom int) map[int][]string {
	out := map[int][]string{}
	for i := range k.looms[loom].Connectors {
		c := &k.looms[loom].Connectors[i]
		out[c.Place] = append(out[c.Place], c.Name)
	}
	for _, q := range k.posts(loom) {
		out[q.place] = append(out[q.place], q.name)
	}
	for i := range k.p.Wires.Splices {
		if s := &k.p.Wires.Splices[i]; s.Loom == loom {
			out[s.Place] = append(out[s.Place], "splice "+k.t.Circuits[s.Circuit].Name)
		}
	}
	return out
}

// Measures of the tree, mm.
const (
	treeRow  = 6.4 // a place a row
	treeAxis = 8   // the scale above
	treeText = 3.2
)

// treeDrawing draws the tree, as many rows to a drawing as a page holds.
func (k *Car) treeDrawing(t *tree) []page.Block {
	w := k.o.Size.W - 27
	longest := quantity.Length(0)
	for _, n := range t.nodes {
		longest = max(longest, n.run)
	}
	name := 0.0
	for _, n := range t.nodes {
		name = max(name, page.Width(page.Regular, treeText, page.Clean(k.place(n.place))))
	}
	name = min(name+3, 62)
	run := w - name - 22 // what is left for the drawing
	x := func(l quantity.Length) float64 {
		if longest == 0 {
			return 3
		}
		return 3 + float64(l/longest)*(run-6)
	}
	rows := int(math.Floor((k.o.Size.H - 70 - treeAxis) / treeRow))
	parts := (len(t.nodes) + rows - 1) / rows
	rows = (len(t.nodes) + parts - 1) / parts
	last := make([]int, len(t.nodes)) // by node: the last that hangs on it
	for i, n := range t.nodes {
		if n.up >= 0 {
			last[n.up] = i
		}
	}
	var out []page.Block
	for from := 0; from < len(t.nodes); from += rows {
		to := min(from+rows, len(t.nodes))
		d := page.Drawing{W: w, H: treeAxis + float64(to-from)*treeRow}
		y := func(i int) float64 { return treeAxis + (float64(i-from)+0.5)*treeRow }
		d.Marks = append(d.Marks, k.scale(longest, x, d.H)...)
		for i, n := range t.nodes {
			if last[i] > i && i < to && last[i] >= from { // the line that branches hang on
				d.Marks = append(d.Marks, page.Line{Class: page.Heavy, A: page.Point{X: x(n.run), Y: max(y(i), treeAxis)}, B: page.Point{X: x(n.run), Y: min(y(last[i]), d.H)}})
			}
			if i < from || i >= to {
				continue
			}
			at := page.Point{X: x(n.run), Y: y(i)}
			if n.up >= 0 {
				d.Marks = append(d.Marks, page.Line{ID: string(k.t.Legs[n.leg].ID), Class: page.Heavy, A: page.Point{X: x(t.nodes[n.up].run), Y: at.Y}, B: at})
			}
			d.Marks = append(d.Marks, page.Line{Class: page.Fine, A: page.Point{X: at.X + 1.6, Y: at.Y}, B: page.Point{X: run + 1, Y: at.Y}})
			d.Marks = append(d.Marks, page.Circle{Class: page.Solid, Centre: at, R: 1.1})
			face, dim := page.Regular, k.length(n.run).print
			if i == 0 {
				face, dim = page.Bold, "datum"
			} else if n.open {
				dim = "open"
			}
			d.Marks = append(d.Marks,
				page.In(page.Box{X: run + 2, Y: at.Y - treeRow/2, W: name, H: treeRow}, k.place(n.place), face, treeText, 2, page.Left, page.Plain),
				page.In(page.Box{X: w - 19, Y: at.Y - treeRow/2, W: 18.5, H: treeRow}, dim, page.Bold, treeText, 2, page.Right, page.Plain))
		}
		out = append(out, d)
	}
	return out
}

// scale draws the tape above the map, with light lines down.
func (k *Car) scale(longest quantity.Length, x func(quantity.Length) float64, h float64) []page.Mark {
	unit := quantity.MM
	if k.d.Car.Units.Inches {
		unit = quantity.In
	}
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000} {
		if step = s; float64(longest/unit)/s <= 8 {
			break
		}
	}
	var out []page.Mark
	for v := 0.0; quantity.Length(v)*unit <= longest; v += step {
		at := x(quantity.Length(v) * unit)
		out = append(out, page.Line{Class: page.Muted, A: page.Point{X: at, Y: 4.2}, B: page.Point{X: at, Y: h}},
			page.Text{Class: page.Muted, At: page.Point{X: at, Y: 3.4}, Text: fmt.Sprint(v), Size: 2.6, Anchor: page.Centre})
		if v == 0 && longest == 0 {
			break
		}
	}
	return out
}
