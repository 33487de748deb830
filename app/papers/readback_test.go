//go:build outside

package papers_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"keyon/app/open"
	"keyon/app/papers"
)

func outside(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

var pairWord = regexp.MustCompile(`[\pL\d]+`)

// together are the pairs of words that stand in one line.
func together(text string) map[string]bool {
	out := map[string]bool{}
	for line := range strings.Lines(text) {
		words := pairWord.FindAllString(line, -1)
		for _, a := range words {
			for _, b := range words {
				out[a+" "+b] = true
			}
		}
	}
	return out
}

// TestReadBack reads every pack with programs that are not ours: poppler for
// the text, qpdf for the structure, openpyxl for the workbook. Every wire of
// the loom stands in the cut list with its cut length, and in the workbook
// with the same; both ends have a label.
func TestReadBack(t *testing.T) {
	for _, name := range []string{"tern", "retrofit"} {
		car, p := example(t, name)
		dir := filepath.Join(t.TempDir(), "papers")
		if _, err := papers.Write(car, p, papers.Options{Dir: dir, Date: "2027-03-01"}); err != nil {
			t.Fatal(err)
		}
		for l := range p.Things.Looms {
			base := filepath.Join(dir, strings.ReplaceAll(p.Things.Looms[l].Name, " ", "-"))
			outside(t, "qpdf", "--check", base+".pdf")
			print := together(outside(t, "pdftotext", "-layout", base+".pdf", "-"))
			book := together(outside(t, "/usr/bin/python3", "-c", `
import sys, openpyxl
for s in openpyxl.load_workbook(sys.argv[1], data_only=True):
    for r in s.iter_rows(values_only=True):
        print(s.title, *["" if c is None else c for c in r], sep="|")
`, base+".xlsx"))
			data, err := os.ReadFile(base + "-labels.csv")
			if err != nil {
				t.Fatal(err)
			}
			label := together(string(data))
			wires := 0
			for i := range p.Wires.List {
				if p.Wires.List[i].Loom != l {
					continue
				}
				wires++
				cut := &p.Cuts.Wires[i]
				number, mm := cut.Number.Value, fmt.Sprintf("%.0f", float64(cut.Cut.Value)*1000)
				if !print[number+" "+mm] {
					t.Errorf("%s: %s is not in the printed cut list with %s mm", base, number, mm)
				}
				if !book[number+" "+mm] {
					t.Errorf("%s: %s is not in the workbook with %s mm", base, number, mm)
				}
				if !label[number+" "+number] {
					t.Errorf("%s: %s has no label", base, number)
				}
			}
			if wires == 0 {
				t.Errorf("%s has no wires", base)
			}
		}
	}
}

// TestNotForBuilding: a stop on a loom marks its pack, and only that.
func TestNotForBuilding(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../examples/retrofit")); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "Circuits.csv")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	wrong := strings.Replace(string(data), "FORCE,gear lever,OUT,cut box,,,22", "FORCE,gear lever,OUT,cut box,,,12", 1)
	if wrong == string(data) {
		t.Fatal("the example has no circuit FORCE of gauge 22 any more")
	}
	if err := os.WriteFile(file, []byte(wrong), 0o644); err != nil {
		t.Fatal(err)
	}
	car, err := open.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	p, err := car.Plan(nil)
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "papers")
	if _, err := papers.Write(car, p, papers.Options{Dir: out, Date: "2027-03-01"}); err != nil {
		t.Fatal(err)
	}
	for base, want := range map[string]bool{"cabin-loom": true, "gearbox-loom": false} {
		text := strings.ToLower(outside(t, "pdftotext", "-l", "1", filepath.Join(out, base+".pdf"), "-"))
		if strings.Contains(text, "not for building") != want {
			t.Errorf("%s: marked not for building: %v", base, !want)
		}
	}
}
