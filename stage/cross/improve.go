package cross

import (
	"math"

	"keyon/model/part"
	"keyon/model/settle"
)

// temper is how a circuit minds its neighbours.
type kind uint8

const (
	plain  kind = iota
	rough       // disturbs others
	tender      // is disturbed
)

func temper(class string) kind {
	switch class {
	case "ignition":
		return rough
	case "low-level", "thermocouple", "coax":
		return tender
	}
	return plain
}

// face prices a placing on the real positions, in thousandths of the least
// distance between cavities of the connector:
//
//   - contacts that belong side by side (kin, contacts of one circuit) cost
//     their distance beyond one pitch, three times over;
//   - a rough contact nearer than three pitches to a tender one costs what it
//     lacks, once;
//   - two free cavities next to each other cost a tenth of a pitch.
//
// The weights are judgement; without positions nothing costs anything.
type face struct {
	w      *work
	conn   *part.Connector
	list   []contact
	needs  []need
	pitch  float64
	holder []int   // by cavity: contact, -1 free
	beside [][]int // by contact: contacts that belong beside it
	temper []kind  // by contact
	mixed  bool    // there are both rough and tender contacts
}

// improve exchanges cavities while that lowers the price: within a contact
// size, a contact that has a price with any other or with a free cavity. Given
// and kept contacts stay.
func (w *work) improve(j int, conn *part.Connector, list []contact) {
	f := &face{w: w, conn: conn, list: list, needs: w.needs[j]}
	if !f.ready() {
		return
	}
	budget := 2_000_000 // prices of a contact looked at
	for again := true; again && budget > 0; {
		again = false
		for i := range list {
			if list[i].origin != settle.Worked || list[i].cavity < 0 || f.of(i) == 0 {
				continue
			}
			for v := range conn.Cavities {
				budget -= len(f.beside[i]) + 1
				if f.swap(i, v) {
					again = true
				}
			}
		}
	}
}

func (f *face) ready() bool {
	f.pitch = math.Inf(1)
	c := f.conn.Cavities
	for i := range c {
		for k := range i {
			if d := f.apart(i, k); d > 0 {
				f.pitch = min(f.pitch, d)
			}
		}
	}
	if math.IsInf(f.pitch, 1) {
		return false
	}
	f.holder = make([]int, len(c))
	for v := range f.holder {
		f.holder[v] = -1
	}
	f.beside, f.temper = make([][]int, len(f.list)), make([]kind, len(f.list))
	at := map[int][]int{} // contacts by circuit
	var count [3]int
	for i := range f.list {
		x := f.needs[f.list[i].need].circuit
		if f.list[i].cavity >= 0 {
			f.holder[f.list[i].cavity] = i
		}
		f.temper[i] = temper(f.w.t.Circuits[x].Class.Value)
		count[f.temper[i]]++
		at[x] = append(at[x], i)
	}
	pairs := false
	for i := range f.list {
		x := f.needs[f.list[i].need].circuit
		kin := f.w.kin[x]
		if len(kin) < 2 {
			kin = []int{x}
		}
		for _, k := range kin {
			for _, o := range at[k] {
				if o != i {
					f.beside[i] = append(f.beside[i], o)
					pairs = true
				}
			}
		}
	}
	f.mixed = count[rough] > 0 && count[tender] > 0
	return pairs || f.mixed
}

func (f *face) apart(a, b int) float64 {
	c := f.conn.Cavities
	return math.Hypot(float64(c[a].X-c[b].X), float64(c[a].Y-c[b].Y))
}

// of is what contact i costs where it is.
func (f *face) of(i int) int64 {
	v := f.list[i].cavity
	if v < 0 {
		return 0
	}
	sum := 0.0
	for _, o := range f.beside[i] {
		if u := f.list[o].cavity; u >= 0 {
			sum += 3 * max(0, f.apart(v, u)/f.pitch-1.01)
		}
	}
	if f.mixed && f.temper[i] != plain {
		for o := range f.list {
			if u := f.list[o].cavity; u >= 0 && f.temper[o] != plain && f.temper[o] != f.temper[i] {
				sum += max(0, 3-f.apart(v, u)/f.pitch)
			}
		}
	}
	return int64(math.Round(sum * 1000))
}

// swap moves contact i to cavity v, and what is there to where i was, if that
// costs less and both may.
func (f *face) swap(i, v int) bool {
	c := &f.list[i]
	u := c.cavity
	if u == v || f.conn.Cavities[u].Size != f.conn.Cavities[v].Size {
		return false
	}
	o := f.holder[v]
	if o >= 0 && f.list[o].origin != settle.Worked {
		return false
	}
	before := f.of(i)
	if o >= 0 {
		before += f.of(o)
	}
	c.cavity, f.holder[v] = v, i
	f.holder[u] = o
	if o >= 0 {
		f.list[o].cavity = u
	}
	after := f.of(i)
	if o >= 0 {
		after += f.of(o)
	}
	if after < before {
		return true
	}
	c.cavity, f.holder[u], f.holder[v] = u, i, o
	if o >= 0 {
		f.list[o].cavity = v
	}
	return false
}
