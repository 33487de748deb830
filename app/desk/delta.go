package desk

import "slices"

// Delta is what differs from one view to a later one, for whoever shows one
// table and the findings.
type Delta struct {
	Rows   []Row     // of the table: changed or new
	Gone   []string  // UIDs
	Moved  bool      // the table's columns differ: read it anew
	Counts Counts    // of the later view
	Added  []Finding // open ones that were not
	Ended  []Finding // that were open
}

// Delta compares with an earlier view; table may be blank.
func (v *View) Delta(old *View, table string) *Delta {
	d := &Delta{Counts: v.Counts("")}
	had := map[string]bool{}
	for _, f := range old.Opened() {
		had[f.Key] = true
	}
	has := map[string]bool{}
	for _, f := range v.Opened() {
		has[f.Key] = true
		if !had[f.Key] {
			d.Added = append(d.Added, f)
		}
	}
	for _, f := range old.Opened() {
		if !has[f.Key] {
			d.Ended = append(d.Ended, f)
		}
	}
	a, b := old.Sheet(table), v.Sheet(table)
	if a == nil || b == nil || a == b {
		return d
	}
	if !slices.EqualFunc(a.Columns, b.Columns, func(x, y Column) bool { return x.Name == y.Name }) {
		d.Moved = true
		return d
	}
	was := make(map[string]*Row, len(a.Rows))
	for i := range a.Rows {
		was[a.Rows[i].UID] = &a.Rows[i]
	}
	for i := range b.Rows {
		r := &b.Rows[i]
		o := was[r.UID]
		delete(was, r.UID)
		if o == nil || !slices.EqualFunc(o.Cells, r.Cells, same) {
			d.Rows = append(d.Rows, *r)
		}
	}
	for i := range a.Rows { // in the table's order
		if was[a.Rows[i].UID] != nil {
			d.Gone = append(d.Gone, a.Rows[i].UID)
		}
	}
	return d
}

func same(a, b Cell) bool {
	return a.Text == b.Text && a.Shown == b.Shown && a.State == b.State && (a.Sign == nil) == (b.Sign == nil) && (a.Sign == nil || *a.Sign == *b.Sign)
}
