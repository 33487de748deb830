package edit

import (
	"errors"
	"slices"

	"keyon/model/fault"
	"keyon/store/project"
)

// Undo takes back the person's last edit that still stands, as a new edit, and
// gives its words. It is refused where a cell of it has moved on.
func (c *Car) Undo(by By) (string, error) {
	done, _, err := c.stacks(by.Who)
	if err != nil {
		return "", err
	}
	return c.takeBack(done, "undo ", by, "there is nothing to undo")
}

// Redo does again what the person's last undo took back. Any other edit of
// theirs since ends that.
func (c *Car) Redo(by By) (string, error) {
	_, undone, err := c.stacks(by.Who)
	if err != nil {
		return "", err
	}
	return c.takeBack(undone, "redo ", by, "there is nothing to redo")
}

// stacks sorts a person's groups into those that undo, and those that redo,
// would take back next; the last comes first.
func (c *Car) stacks(who string) (done, undone []project.Group, err error) {
	groups, err := c.file.Groups(who)
	if err != nil {
		return nil, nil, err
	}
	for _, g := range groups {
		takes := func(s []project.Group) bool { return len(s) > 0 && s[len(s)-1].ID == g.Undoes }
		switch {
		case g.Undoes == 0:
			done, undone = append(done, g), nil
		case takes(done):
			g.What = done[len(done)-1].What
			done, undone = done[:len(done)-1], append(undone, g)
		case takes(undone):
			g.What = undone[len(undone)-1].What
			undone, done = undone[:len(undone)-1], append(done, g)
		}
	}
	return done, undone, nil
}

func (c *Car) takeBack(from []project.Group, word string, by By, nothing string) (string, error) {
	if len(from) == 0 {
		return "", fault.New(fault.NotFound, "", errors.New(nothing))
	}
	g := from[len(from)-1]
	changes, _, err := c.file.Changes(g.ID, -1)
	if err != nil {
		return "", err
	}
	slices.Reverse(changes)
	for i := range changes {
		changes[i] = changes[i].Inverse()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return g.What, c.apply(project.Group{Who: by.Who, When: by.When, What: word + g.What, Undoes: g.ID}, changes)
}

// Moment is one line of the history: who did what, when, and to what.
type Moment struct {
	project.Group
	Changes []project.Change // the first ones
	Count   int              // of all
}

// shown is how many changes of an edit the history lists: an import has
// thousands.
const shown = 200

// History lists the last n edits of everybody, newest first, each with its
// first changes.
func (c *Car) History(n int) ([]Moment, error) {
	groups, err := c.file.Groups("")
	if err != nil {
		return nil, err
	}
	slices.Reverse(groups)
	var out []Moment
	for _, g := range groups[:min(n, len(groups))] {
		m := Moment{Group: g}
		if m.Changes, m.Count, err = c.file.Changes(g.ID, shown); err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	return out, nil
}
