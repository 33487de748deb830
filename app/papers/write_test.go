package papers_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/app/papers"
	"keyon/model/fault"
)

// read returns the bytes of all files below a folder.
func read(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		b, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = string(b)
	}
	return out
}

// TestWrite: a set is complete or absent, the same input makes the same bytes,
// and nothing of anybody else's is lost.
func TestWrite(t *testing.T) {
	car, p := example(t, "retrofit")
	parent := t.TempDir()
	dir := filepath.Join(parent, "papers")
	o := papers.Options{Dir: dir, Date: "2027-03-01"}
	write := func(over bool) error {
		o.Over = over
		_, err := papers.Write(car, p, o)
		return err
	}
	refused := func(what string, err error) {
		t.Helper()
		var f *fault.Error
		if !errors.As(err, &f) || f.Kind != fault.Conflict || f.Hint == "" {
			t.Errorf("%s: %v, want a conflict with a hint", what, err)
		}
	}
	if err := write(false); err != nil {
		t.Fatal(err)
	}
	first := read(t, dir)
	if len(first) < 4 {
		t.Fatalf("only %d files", len(first))
	}
	refused("a set is there", write(false))
	if err := write(true); err != nil {
		t.Fatalf("over our own set: %v", err)
	}
	if d := cmp.Diff(first, read(t, dir)); d != "" {
		t.Errorf("same input, other bytes:\n%.2000s", d)
	}

	mine := filepath.Join(dir, "notes.pdf")
	if err := os.WriteFile(mine, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	refused("a foreign file", write(true))
	if b, err := os.ReadFile(mine); err != nil || string(b) != "mine" {
		t.Errorf("the foreign file is %q, %v", b, err)
	}
	os.Remove(mine)

	for name := range first {
		if strings.HasSuffix(name, ".xlsx") {
			if err := os.WriteFile(filepath.Join(dir, name), []byte("with my ticks"), 0o644); err != nil {
				t.Fatal(err)
			}
			break
		}
	}
	refused("a workbook somebody wrote into", write(true))

	o.Dir = filepath.Join(parent, "empty")
	if err := os.Mkdir(o.Dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := write(false); err != nil {
		t.Errorf("an empty folder: %v", err)
	}
	o.Dir = filepath.Join(parent, "file")
	if err := os.WriteFile(o.Dir, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	refused("a file of that name", write(true))

	o.Dir, o.Looms = filepath.Join(parent, "none"), []string{"no such loom"}
	if err := write(false); err == nil {
		t.Error("an unknown loom was accepted")
	}
	if _, err := os.Stat(o.Dir); err == nil {
		t.Error("a refused set left a folder")
	}
	left, err := filepath.Glob(filepath.Join(parent, ".papers-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
