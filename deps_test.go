package keyon_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// layers says which first-level folders of ours a folder may import. It is
// the diagram of docs/architecture.md; changing it is a commit of its own.
var layers = map[string][]string{
	"num":      {"num"},
	"model":    {"num", "model"},
	"format":   {"num", "format"},
	"stage":    {"num", "model"},
	"check":    {"num", "model"},
	"draw":     {"num", "model", "format", "draw"},
	"store":    {"num", "model", "format", "store"},
	"app":      {"num", "model", "format", "stage", "check", "draw", "store", "app", "examples"},
	"ui":       {"num", "model", "format", "stage", "check", "draw", "store", "app", "ui", "examples"},
	"cmd":      {"ui"},
	"examples": {},
	"testkit":  nil, // everything; audit is held below
}

// pure folders touch neither disk, network, database, clock nor chance.
var pure = []string{"num", "model", "stage", "check", "draw"}

var impure = []string{"os", "os/exec", "net", "net/http", "database/sql", "math/rand", "math/rand/v2", "log", "log/slog", "time"}

// TestImports opens the files itself: the answer of `go list` is cached and
// would miss a new package.
func TestImports(t *testing.T) {
	seen := map[string]int{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || d.Name() == "node_modules" || strings.HasPrefix(d.Name(), ".") && path != ".") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		path = filepath.ToSlash(path)
		layer, rest, _ := strings.Cut(path, "/")
		if rest == "" {
			return nil
		}
		may, known := layers[layer]
		if !known {
			t.Errorf("%s: no layer is called %s; see docs/architecture.md", path, layer)
			return nil
		}
		seen[layer]++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range f.Imports {
			name, _ := strconv.Unquote(spec.Path.Value)
			if slices.Contains(pure, layer) && slices.Contains(impure, name) && !(name == "time" && strings.HasPrefix(path, "model/record/")) {
				t.Errorf("%s imports %s: %s is pure", path, name, layer)
			}
			ours, found := strings.CutPrefix(name, "keyon/")
			if !found {
				continue
			}
			other, _, _ := strings.Cut(ours, "/")
			dir := filepath.ToSlash(filepath.Dir(path))
			switch {
			case strings.HasPrefix(dir, "testkit/audit"):
				if ours != "model/part" && !strings.HasPrefix(ours, "testkit/audit") {
					t.Errorf("%s imports %s: the auditor shares no code with what it judges, only model/part", path, name)
				}
			case layer == "testkit":
			case !slices.Contains(may, other):
				t.Errorf("%s imports %s: %s may import %v", path, name, layer, may)
			case (layer == "stage" || layer == "check") && other == layer && !strings.HasPrefix(dir, ours):
				t.Errorf("%s imports %s: they meet in model/plan", path, name)
			case strings.HasPrefix(dir, "model/plan") == false && ours == "testkit":
				t.Errorf("%s imports test code", path)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, layer := range []string{"num", "model", "stage", "check", "app", "ui", "cmd"} {
		if seen[layer] == 0 {
			t.Errorf("no file of layer %s was seen", layer)
		}
	}
}
