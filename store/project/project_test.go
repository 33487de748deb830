package project

import (
	"bytes"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"keyon/model/design"
	"keyon/model/fault"
)

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func fresh(t testing.TB) *Project {
	t.Helper()
	p, err := Create(filepath.Join(t.TempDir(), "tern.keyon"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

// add is a row of Circuits with a name, and a note in a foreign column.
func add(uid, name, note string) Change {
	return Change{Table: "Circuits", Row: uid, Is: &Row{Cells: map[string]design.Cell{"circuit": {Text: name}}, Extra: map[string]string{"shop note": note}}}
}

func cell(uid, column, old, is string) Change {
	return Change{Table: "Circuits", Row: uid, Column: column, Old: design.Cell{Text: old}, New: design.Cell{Text: is}}
}

func apply(t testing.TB, p *Project, cs ...Change) int64 {
	t.Helper()
	id, err := p.Apply(Group{Who: "anna", When: noon, What: "test"}, cs)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func clean(t testing.TB, p *Project) {
	t.Helper()
	ps, err := p.Verify()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range ps {
		t.Errorf("verify: %s", x.What)
	}
}

func circuits(t testing.TB, p *Project) []design.Row {
	t.Helper()
	b, err := p.Load()
	if err != nil {
		t.Fatal(err)
	}
	return b.Sheet("Circuits").Rows
}

func TestApply(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1", "thin"), add("b", "F2", ""))
	apply(t, p, cell("a", "gauge", "", "00"), Change{Table: "Circuits", Row: "b", Column: "shop note", Foreign: true, New: design.Cell{Text: "hot"}})
	rows := circuits(t, p)
	if len(rows) != 2 || rows[0].Cells[6].Text != "00" || rows[0].Extra[0] != "thin" || rows[1].Extra[0] != "hot" {
		t.Fatalf("rows %+v", rows)
	}
	for name, c := range map[string]struct {
		change Change
		kind   fault.Kind
	}{
		"a cell that moved on":        {cell("a", "gauge", "", "22"), fault.Conflict},
		"a row that is not there":     {cell("c", "gauge", "", "22"), fault.Conflict},
		"a row that is there already": {add("a", "F3", ""), fault.Conflict},
		"a row edited since":          {Change{Table: "Circuits", Row: "a", Was: add("a", "F1", "thin").Is}, fault.Conflict},
		"no such table":               {Change{Table: "row", Row: "a", Column: "x", New: design.Cell{Text: "1"}}, fault.Invalid},
		"no such column":              {cell("a", "uid", "", "1"), fault.Invalid},
		"no UTF-8":                    {cell("a", "note", "", "\xff"), fault.Invalid},
		"nothing":                     {Change{Table: "Circuits", Row: "a"}, fault.Invalid},
	} {
		// with a good change before it: all or none
		_, err := p.Apply(Group{Who: "bert", When: noon, What: "test"}, []Change{cell("b", "note", "", "half"), c.change})
		if fault.Of(err) != c.kind {
			t.Errorf("%s: %v, want kind %v", name, err, c.kind)
		}
	}
	if rows := circuits(t, p); rows[1].Cells[11].Text != "" {
		t.Errorf("half an edit was written: %+v", rows[1])
	}
	_, err := p.Apply(Group{Who: "bert", When: noon}, []Change{cell("a", "gauge", "22", "20")})
	if clash, ok := errors.AsType[*Clash](err); !ok || clash.Holds != "00" || clash.Change.New.Text != "20" {
		t.Errorf("a clash tells what stands there and what was wanted: %v", err)
	}
	clean(t, p)
	es, err := p.History("Circuits", "a", "gauge", 10)
	if err != nil || len(es) != 2 || es[0].Change.New.Text != "00" || es[0].Group.Who != "anna" || !es[0].Group.When.Equal(noon) || es[1].Change.Is == nil {
		t.Errorf("history %+v %v", es, err)
	}
}

// A row that is removed and comes back stands where it stood.
func TestRemove(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1", ""), add("b", "F2", "x"), add("c", "F3", ""))
	id := apply(t, p, Change{Table: "Circuits", Row: "b", Was: add("b", "F2", "x").Is})
	if rows := circuits(t, p); len(rows) != 2 {
		t.Fatalf("rows %+v", rows)
	}
	cs, n, err := p.Changes(id, -1)
	if err != nil || len(cs) != 1 || n != 1 {
		t.Fatal(cs, n, err)
	}
	apply(t, p, cs[0].Inverse())
	if rows := circuits(t, p); len(rows) != 3 || rows[1].UID != "b" || rows[1].Extra[0] != "x" {
		t.Errorf("rows %+v", rows)
	}
	clean(t, p)
}

func TestOpenOthers(t *testing.T) {
	dir := t.TempDir()
	p, err := Create(filepath.Join(dir, "a.keyon"))
	if err != nil {
		t.Fatal(err)
	}
	p.Close()
	good, err := os.ReadFile(p.Path)
	if err != nil {
		t.Fatal(err)
	}
	newer := bytes.Clone(good)
	binary.BigEndian.PutUint32(newer[60:], uint32(len(migrations)+1)) // user version: sqlite.org/fileformat2.html, 1.3
	other := bytes.Clone(good)
	binary.BigEndian.PutUint32(other[68:], 0x47504b47) // another program's application ID
	for name, c := range map[string]struct {
		data []byte
		kind fault.Kind
	}{
		"newer":           {newer, fault.Newer},
		"another program": {other, fault.Invalid},
		"empty":           {nil, fault.Invalid},
		"text":            {[]byte(strings.Repeat("circuit,from\n", 100)), fault.Invalid},
		"cut short":       {good[:len(good)/2], fault.Corrupt},
		"overwritten":     {append(bytes.Clone(good[:100]), bytes.Repeat([]byte{0xaa}, len(good)-100)...), fault.Corrupt},
	} {
		path := filepath.Join(dir, strings.ReplaceAll(name, " ", "")+".keyon")
		os.WriteFile(path, c.data, 0o644)
		p, err := Open(path)
		if err == nil {
			_, err = p.Load()
			p.Close()
		}
		if fault.Of(err) != c.kind || fault.Hint(err) == "" {
			t.Errorf("%s: %v (kind %v), want kind %v with a hint", name, err, fault.Of(err), c.kind)
		}
		if got, _ := os.ReadFile(path); !bytes.Equal(got, c.data) {
			t.Errorf("%s: the file was changed", name)
		}
	}
	if _, err := Open(filepath.Join(dir, "none.keyon")); fault.Of(err) != fault.NotFound {
		t.Errorf("no such file: %v", err)
	}
	if _, err := Create(p.Path); fault.Of(err) != fault.Conflict {
		t.Errorf("create over a file: %v", err)
	}
}

// A file of an older schema is copied before it is changed; a step that fails
// leaves it at the step before.
func TestMigrate(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1", ""))
	p.Close()
	more := append(append([]string{}, migrations...), "CREATE TABLE two (x); INSERT INTO two VALUES (2)", "CREATE TABLE three (x); SELECT nonsense")
	if _, err := open(p.Path, more); err == nil {
		t.Fatal("a broken step was taken")
	}
	old := strings.TrimSuffix(p.Path, Extension) + "-schema1" + Extension
	q, err := open(old, migrations)
	if err != nil {
		t.Fatalf("the copy before the change: %v", err)
	}
	if rows := circuits(t, q); len(rows) != 1 {
		t.Errorf("the copy holds %+v", rows)
	}
	q.Close()
	if q, err = open(p.Path, more[:len(migrations)+1]); err != nil {
		t.Fatal(err)
	}
	defer q.Close()
	var two, three int
	if err := q.db.QueryRow("SELECT x FROM two").Scan(&two); err != nil || two != 2 {
		t.Errorf("step 2: %d %v", two, err)
	}
	if err := q.db.QueryRow("SELECT count(*) FROM sqlite_schema WHERE name = 'three'").Scan(&three); err != nil || three != 0 {
		t.Errorf("half of a broken step is there: %d %v", three, err)
	}
	if v, err := q.version(); err != nil || v != len(migrations)+1 {
		t.Errorf("version %d %v", v, err)
	}
	if _, err := Open(p.Path); fault.Of(err) != fault.Newer {
		t.Errorf("the program of before opens it: %v", err)
	}
}

// Every connection has the settings that the data's safety stands on.
func TestSettings(t *testing.T) {
	p := fresh(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "foreign_keys": "1", "synchronous": "2", "busy_timeout": "5000", "application_id": "1803120494"} {
		var got string
		if err := p.db.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %q, want %q (%v)", pragma, got, want, err)
		}
	}
}

// Verify finds what another program did to the file.
func TestVerify(t *testing.T) {
	for name, c := range map[string]struct{ sql, want string }{
		"a cell changed":        {`UPDATE row SET cells = '{"circuit":"F9"}' WHERE uid = 'a'`, "differs from what its history"},
		"a row removed":         {`DELETE FROM row WHERE uid = 'a'`, "is lost"},
		"a row put in":          {`INSERT INTO row VALUES ('Circuits', 'z', 9, '{}', NULL)`, "in no history"},
		"an unknown table":      {`INSERT INTO row VALUES ('Wheels', 'z', 9, '{}', NULL)`, "not known"},
		"an unknown column":     {`UPDATE row SET cells = '{"wheel":"x"}' WHERE uid = 'a'`, "not known"},
		"a cell that is broken": {`UPDATE row SET cells = '{' WHERE uid = 'a'`, "can't be read"},
		"a foreign cell adrift": {`UPDATE row SET extra = '["a","b"]' WHERE uid = 'a'`, "can't be read"},
		"history rewritten":     {`UPDATE history SET old = '"18"' WHERE col = 'gauge'`, "held"},
		"history cut":           {`DELETE FROM history WHERE kind = 'row'`, "was not there"},
		"an edit lost":          {`DELETE FROM edit`, "names a row of edit"},
		"a part rewritten":      {`UPDATE part SET data = 'x'`, "is not what was copied"},
	} {
		p := fresh(t)
		apply(t, p, add("a", "F1", "n"), add("b", "F2", ""))
		apply(t, p, cell("a", "gauge", "", "20"))
		if err := p.UseParts([]PartCopy{{"wire", "22", []byte(`{"ohm":1}`)}}); err != nil {
			t.Fatal(err)
		}
		clean(t, p)
		if _, err := p.db.Exec("PRAGMA foreign_keys = 0"); err != nil {
			t.Fatal(err)
		}
		if _, err := p.db.Exec(c.sql); err != nil {
			t.Fatal(err)
		}
		ps, err := p.Verify()
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		found := false
		for _, x := range ps {
			found = found || strings.Contains(x.What, c.want) && x.Fix != ""
		}
		if !found {
			t.Errorf("%s: problems %+v, want one with %q", name, ps, c.want)
		}
	}
}

func TestFreeze(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1 \x00\"", "n"))
	b, err := p.Load()
	if err != nil {
		t.Fatal(err)
	}
	wire := PartCopy{"wire", "22", []byte(`{"ohm":1}`)}
	if err := p.UseParts([]PartCopy{wire}); err != nil {
		t.Fatal(err)
	}
	r := Revision{Loom: "engine", Letter: "A", Who: "anna", When: noon, Program: "1.0"}
	if err := p.Freeze(r, b, []PartCopy{wire}); err != nil {
		t.Fatal(err)
	}
	if err := p.Freeze(r, b, nil); fault.Of(err) != fault.Conflict {
		t.Errorf("a revision was frozen twice: %v", err)
	}
	// the car moves on, and so does the catalogue
	apply(t, p, cell("a", "circuit", "F1 \x00\"", "F7"))
	if err := p.UseParts([]PartCopy{{"wire", "22", []byte(`{"ohm":2}`)}}); err != nil {
		t.Fatal(err)
	}
	was, parts, err := p.Frozen("engine", "A")
	if err != nil || was.Hash() != b.Hash() || len(parts) != 1 || string(parts[0].Data) != `{"ohm":1}` {
		t.Errorf("the revision came back as %+v %+v %v", was, parts, err)
	}
	if used, err := p.PartsUsed(); err != nil || len(used) != 1 || string(used[0].Data) != `{"ohm":2}` {
		t.Errorf("parts in use %+v %v", used, err)
	}
	if rs, err := p.Revisions(); err != nil || len(rs) != 1 || rs[0] != r {
		t.Errorf("revisions %+v %v", rs, err)
	}
	if _, _, err := p.Frozen("dash", "A"); fault.Of(err) != fault.NotFound {
		t.Errorf("no such revision: %v", err)
	}
	clean(t, p)
}

func TestPlan(t *testing.T) {
	p := fresh(t)
	key := func(i int) PlanKey { return PlanKey{"d" + string(rune('a'+i)), "c", "1"} }
	for i := range plansKept + 3 {
		if err := p.KeepPlan(key(i), []byte{byte(i)}); err != nil {
			t.Fatal(err)
		}
	}
	var n int
	if err := p.db.QueryRow("SELECT count(*) FROM plan").Scan(&n); err != nil || n != plansKept {
		t.Errorf("%d plans kept, want %d (%v)", n, plansKept, err)
	}
	if got, err := p.Plan(key(plansKept + 2)); err != nil || len(got) != 1 {
		t.Errorf("the last plan: %v %v", got, err)
	}
	if got, err := p.Plan(PlanKey{"da", "c", "1"}); err != nil || got != nil {
		t.Errorf("the first plan: %v %v", got, err)
	}
	if err := p.DropPlans(); err != nil {
		t.Fatal(err)
	}
	clean(t, p)
}

func TestBackup(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1", ""))
	path := filepath.Join(filepath.Dir(p.Path), "copy.keyon")
	if err := p.Backup(path); err != nil {
		t.Fatal(err)
	}
	if err := p.Backup(path); fault.Of(err) != fault.Conflict {
		t.Errorf("over a file: %v", err)
	}
	q, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer q.Close()
	if rows := circuits(t, q); len(rows) != 1 {
		t.Errorf("the copy holds %+v", rows)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".keyon-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// Two programs at one file: the second sees what the first wrote, and edits of
// both are kept.
func TestTwo(t *testing.T) {
	p := fresh(t)
	apply(t, p, add("a", "F1", ""))
	q, err := Open(p.Path)
	if err != nil {
		t.Fatal(err)
	}
	defer q.Close()
	apply(t, q, cell("a", "gauge", "", "20"))
	if _, err := p.Apply(Group{Who: "bert", When: noon}, []Change{cell("a", "gauge", "", "18")}); fault.Of(err) != fault.Conflict {
		t.Errorf("over the other's edit: %v", err)
	}
	apply(t, p, cell("a", "gauge", "20", "18"))
	// while one writes, the other waits and does not fail
	tx, err := p.db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error)
	go func() {
		_, err := q.Apply(Group{Who: "cleo", When: noon}, []Change{cell("a", "gauge", "18", "16")})
		done <- err
	}()
	time.Sleep(50 * time.Millisecond)
	tx.Rollback()
	if err := <-done; err != nil {
		t.Errorf("a writer that had to wait: %v", err)
	}
	clean(t, p)
}

var update = flag.Bool("update", false, "write the file of the present schema")

// A file of every released schema opens.
func TestReleased(t *testing.T) {
	if *update {
		p := fresh(t)
		apply(t, p, add("a", "F1", "thin"), add("b", "F2", "hot"))
		apply(t, p, cell("a", "gauge", "", "00"))
		b, err := p.Load()
		if err != nil {
			t.Fatal(err)
		}
		if err := p.Freeze(Revision{"engine", "A", "anna", noon, "1.0"}, b, []PartCopy{{"wire", "22", []byte(`{}`)}}); err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("testdata/schema%d.keyon", len(migrations))
		os.Remove(name)
		if err := p.Backup(name); err != nil {
			t.Fatal(err)
		}
	}
	files, _ := filepath.Glob("testdata/schema*.keyon")
	if len(files) != len(migrations) {
		t.Errorf("%d files in testdata for %d schemas", len(files), len(migrations))
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "old.keyon")
		os.WriteFile(path, data, 0o644)
		p, err := Open(path)
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		rows := circuits(t, p)
		if len(rows) != 2 || rows[0].Cells[0].Text != "F1" || rows[0].Cells[6].Text != "00" || rows[1].Extra[0] != "hot" {
			t.Errorf("%s holds %+v", f, rows)
		}
		clean(t, p)
		p.Close()
	}
}
