package workbook

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"keyon/examples"
	"keyon/model/design"
	"keyon/testkit/hostile"
)

func throughXLSX(t hostile.T, b *design.Book) *design.Book {
	var buf bytes.Buffer
	if err := EncodeXLSX(&buf, b); err != nil {
		t.Fatalf("write: %v", err)
	}
	r, err := Read("t.xlsx", buf.Bytes())
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	for _, f := range r.Findings {
		t.Fatalf("finding: %s %s", f.Rule.ID, f.What)
	}
	return r.Book
}

func throughCSV(t hostile.T, b *design.Book) *design.Book {
	files := fstest.MapFS{}
	for i := range b.Sheets {
		files[b.Sheets[i].Table.Name+".csv"] = &fstest.MapFile{Data: []byte(EncodeCSV(&b.Sheets[i]))}
	}
	r, err := ReadFolder("t", files)
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	for _, f := range r.Findings {
		t.Fatalf("finding: %s %s", f.Rule.ID, f.What)
	}
	return r.Book
}

// Every text comes back, whatever is in it.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := hostile.Book(t)
		b.Sheets = slices.DeleteFunc(b.Sheets, func(s design.Sheet) bool { return len(s.Rows) == 0 })
		want := hostile.Text(b)
		if got := hostile.Text(throughXLSX(t, b)); got != want {
			t.Fatalf("XLSX: got\n%s\nwant\n%s", got, want)
		}
		if got := hostile.Text(throughCSV(t, b)); got != want {
			t.Fatalf("CSV: got\n%s\nwant\n%s", got, want)
		}
	})
}

func TestExamples(t *testing.T) {
	for _, name := range examples.Names() {
		r, err := ReadFolder(name, examples.Folder(name))
		if err != nil {
			t.Fatal(err)
		}
		r.Book.Identify()
		want := hostile.Text(r.Book)
		if !strings.Contains(want, "Circuits") {
			t.Errorf("%s has no circuits", name)
		}
		var one, two bytes.Buffer
		if EncodeXLSX(&one, r.Book) != nil || EncodeXLSX(&two, r.Book.Clone()) != nil || !bytes.Equal(one.Bytes(), two.Bytes()) {
			t.Errorf("%s: the same book gave other bytes", name)
		}
		if got := hostile.Text(throughXLSX(t, r.Book)); got != want {
			t.Errorf("%s through XLSX differs", name)
		}
		if got := hostile.Text(throughCSV(t, r.Book)); got != want {
			t.Errorf("%s through CSV differs", name)
		}
	}
}
