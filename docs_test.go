package keyon_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

//go:generate go run ./testkit/gendocs

// TestLimitsDocumented: every house limit that code asks for by name stands in
// docs/file-format.md, so that a person can set it.
func TestLimitsDocumented(t *testing.T) {
	text, err := os.ReadFile("docs/file-format.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range sources(t) {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) != 2 {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			lit, isText := call.Args[0].(*ast.BasicLit)
			if !ok || !isText || sel.Sel.Name != "Number" || lit.Kind != token.STRING {
				return true
			}
			if name, _ := strconv.Unquote(lit.Value); !strings.Contains(string(text), "`"+name+"`") {
				t.Errorf("%s: the limit %q is not in docs/file-format.md", file, name)
			}
			return true
		})
	}
}

// TestLinks: every link between our documents leads somewhere.
func TestLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:]+)(#[^)]*)?\)`)
	for _, pattern := range []string{"*.md", "docs/*.md", "docs/decisions/*.md"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range link.FindAllStringSubmatch(string(text), -1) {
				if _, err := os.Stat(filepath.Join(filepath.Dir(file), m[1])); err != nil {
					t.Errorf("%s links to %s: %v", file, m[1], err)
				}
			}
		}
	}
}

// TestDependencies: every module we require directly has its line in
// docs/dependencies.md.
func TestDependencies(t *testing.T) {
	text, err := os.ReadFile("docs/dependencies.md")
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, file := range sources(t) {
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range f.Imports {
			name, _ := strconv.Unquote(spec.Path.Value)
			if host, _, _ := strings.Cut(name, "/"); strings.Contains(host, ".") {
				used[name] = true
			}
		}
	}
	mod, err := os.ReadFile("go.mod")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(mod), "\n") {
		module := strings.Fields(line)
		if len(module) < 2 || !strings.Contains(module[0], ".") {
			continue
		}
		for name := range used {
			if name == module[0] || strings.HasPrefix(name, module[0]+"/") {
				if !strings.Contains(string(text), "`"+module[0]+"`") {
					t.Errorf("%s is imported and has no line in docs/dependencies.md", module[0])
				}
				break
			}
		}
	}
}

// sources lists every Go file of the module.
func sources(t *testing.T) []string {
	var out []string
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || d.Name() == "node_modules") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") {
			out = append(out, path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
