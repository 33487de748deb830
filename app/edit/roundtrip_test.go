package edit

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"keyon/examples"
	"keyon/model/design"
	"keyon/store/workbook"
	"keyon/testkit/hostile"
)

func sheets(t hostile.T, b *design.Book) *workbook.Reading {
	files := fstest.MapFS{}
	for i := range b.Sheets {
		files[b.Sheets[i].Table.Name+".csv"] = &fstest.MapFile{Data: []byte(workbook.EncodeCSV(&b.Sheets[i]))}
	}
	r, err := workbook.ReadFolder("t", files)
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	return r
}

// said is what a book says row by row, sorted, without keys and foreign cells.
func said(b *design.Book) string {
	var rows []string
	for line := range strings.Lines(hostile.Text(b)) {
		switch {
		case strings.HasPrefix(line, `  "foreign `):
		case strings.HasPrefix(line, "  "):
			rows[len(rows)-1] += line
		default:
			table, _, _ := strings.Cut(line, " ")
			rows = append(rows, table+"\n")
		}
	}
	rows = slices.DeleteFunc(rows, func(r string) bool { return !strings.Contains(r, "=") })
	slices.Sort(rows)
	return strings.Join(rows, "")
}

// A book goes into a project and comes back; another taken over it leaves what
// that one says; undo leads back.
func TestRoundTrip(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprintf("%d.keyon", n))
		c, err := Create(path)
		if err != nil {
			t.Fatal(err)
		}
		defer os.Remove(path)
		defer c.Close()
		b := hostile.Book(t)
		if err := c.Take(c.Import(sheets(t, b)), by("anna")); err != nil {
			t.Fatal(err)
		}
		load := func() *design.Book {
			b, err := c.file.Load()
			if err != nil {
				t.Fatal(err)
			}
			if b.Hash() != c.Book().Hash() {
				t.Fatalf("in memory\n%s\nin the file\n%s", hostile.Text(c.Book()), hostile.Text(b))
			}
			return b
		}
		first := hostile.Text(load())
		if want := hostile.Text(b); first != want {
			t.Fatalf("got\n%s\nwant\n%s", first, want)
		}
		if p := c.Import(sheets(t, b)); len(p.Rows) > 0 {
			t.Fatalf("the same book again would change %+v", p.Rows)
		}
		other := hostile.Book(t)
		p := c.Import(sheets(t, other))
		if err := c.Take(p, by("anna")); err != nil {
			t.Fatal(err)
		}
		got := load()
		if said(got) != said(other) {
			t.Fatalf("another book over it: got\n%s\nwant\n%s", said(got), said(other))
		}
		if p.Book.Hash() != got.Hash() {
			t.Fatalf("the preview promised\n%s\ngot\n%s", hostile.Text(p.Book), hostile.Text(got))
		}
		if len(p.Rows) > 0 {
			if _, err := c.Undo(by("anna")); err != nil {
				t.Fatal(err)
			}
		}
		if got := hostile.Text(load()); got != first {
			t.Fatalf("undone: got\n%s\nwant\n%s", got, first)
		}
		ps, err := c.file.Verify()
		if err != nil || len(ps) > 0 {
			t.Fatalf("verify: %+v %v", ps, err)
		}
	})
}

func TestExamples(t *testing.T) {
	for _, name := range examples.Names() {
		r, err := workbook.ReadFolder(name, examples.Folder(name))
		if err != nil {
			t.Fatal(err)
		}
		c := newCar(t)
		take(t, c, r)
		b, err := c.File().Load()
		if err != nil {
			t.Fatal(err)
		}
		if got, want := hostile.Text(b), hostile.Text(r.Book); got != want || want == "" {
			t.Errorf("%s through a project: got\n%s\nwant\n%s", name, got, want)
		}
		mustVerify(t, c)
	}
}
