package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// fuzzed runs every fuzz target of the module.
func fuzzed(r *tables) error {
	r.table("target", "package", "inputs tried", "new kinds", "failures")
	target := regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)
	tried := regexp.MustCompile(`execs: (\d+).*new interesting: (\d+)`)
	return filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range target.FindAllSubmatch(text, -1) {
			pkg, name := "./"+filepath.ToSlash(filepath.Dir(path)), string(m[1])
			out, _, _, err := outside(nil, "go", "test", pkg, "-run", "^$", "-fuzz", "^"+name+"$", "-fuzztime", "10s")
			if err != nil {
				return fmt.Errorf("fuzz %s %s: %w\n%s", pkg, name, err, out)
			}
			inputs, kinds := "", ""
			if all := tried.FindAllSubmatch(out, -1); len(all) > 0 {
				inputs, kinds = string(all[len(all)-1][1]), string(all[len(all)-1][2])
			}
			r.row(name, pkg, inputs, kinds, 0)
		}
		return nil
	})
}
