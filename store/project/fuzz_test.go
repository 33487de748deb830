package project

import (
	"os"
	"path/filepath"
	"testing"

	"keyon/model/design"
)

// FuzzFile opens whatever the bytes are as a project file. It may be refused;
// it must not panic, and what loads must verify or be told.
func FuzzFile(f *testing.F) {
	good, err := os.ReadFile("testdata/schema1.keyon")
	if err != nil {
		f.Fatal(err)
	}
	// the file in small pieces that the fuzzer can turn over
	f.Add(uint32(0), []byte{})
	f.Add(uint32(60), []byte{0, 0, 0, 9})
	f.Add(uint32(100), []byte{13})
	f.Add(uint32(4096), []byte{0xff, 0xff, 0xff, 0xff})
	f.Add(uint32(28), []byte{0, 0, 0, 1})
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, at uint32, patch []byte) {
		data := append([]byte{}, good...)
		copy(data[int(at)%len(data):], patch)
		path := filepath.Join(dir, "x.keyon")
		for _, s := range []string{"", "-wal", "-shm", "-journal"} {
			os.Remove(path + s)
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		p, err := Open(path)
		if err != nil {
			return
		}
		defer p.Close()
		b, err := p.Load()
		if err == nil {
			design.Read(b)
		}
		p.Verify()
		p.Groups("")
		p.History("", "", "", 100)
		p.Revisions()
		p.Frozen("engine", "A")
		p.PartsUsed()
	})
}

// FuzzRow reads hostile JSON as the cells of a row, both ways of reading.
func FuzzRow(f *testing.F) {
	f.Add([]byte(`{"circuit":"F1","gauge":["00","AWG"]}`), []byte(`["a","","b"]`))
	f.Add([]byte(`{"circuit":"F1","note":"a\u0000\""}`), []byte(`null`))
	f.Add([]byte(`{}`), []byte(`[]`))
	s := &design.Sheet{Table: design.ByName("Circuits"), Extra: []string{"x", "y", "z"}}
	f.Fuzz(func(t *testing.T, cells, extra []byte) {
		row := func() design.Row {
			return design.Row{Cells: make([]design.Cell, len(s.Table.Columns)), Extra: make([]string, 3)}
		}
		quick := row()
		if !fillPlain(&quick, s.Table, cells) {
			return
		}
		slow := string(extra)
		r, err := parseRow(1, string(cells), &slow, s.Extra)
		if err != nil {
			return
		}
		for i, c := range s.Table.Columns {
			if got, want := quick.Cells[i], r.Cells[c.Name]; got != want {
				t.Errorf("column %s of %q: quick reading %q, slow %q", c.Name, cells, got, want)
			}
		}
	})
}
