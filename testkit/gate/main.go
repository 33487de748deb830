// Command gate reads the JSON of go test and decides: it prints a line a
// package and the output of what failed, and exits with 1 on a failure, on a
// skip under CI, and on a package that has no test at all.
//
// With -fuzz TIME it runs every fuzz target of the module for that long.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
)

// event is one line of `go test -json` (go doc test2json).
type event struct {
	Action, Package, Test, Output string
	ImportPath                    string
}

// elsewhere are packages without a test of their own, and whose tests run
// them. Any other package without a test fails the gate.
var elsewhere = map[string]string{
	"keyon/cmd/keyon": "ui/cli runs its one line", "keyon/testkit/gate": "ci runs it", "keyon/testkit/measure": "a person runs it", "keyon/testkit/gendocs": "ci compares what it writes",
	"keyon/app/demo": "ui/cli", "keyon/app/open": "ui/cli", "keyon/app/report": "testkit/audit, ui/cli", "keyon/draw": "app/papers",
	"keyon/check/buildable": "app/build, TestMistakes", "keyon/check/crossplug": "app/build, TestMistakes", "keyon/check/electrical": "app/build, TestMistakes", "keyon/check/signal": "app/build, TestMistakes", "keyon/check/surroundings": "app/build, TestMistakes",
	"keyon/stage/power": "app/build, testkit/audit", "keyon/stage/size": "app/build, testkit/audit",
	"keyon/model/buy": "app/papers", "keyon/model/design": "store/workbook", "keyon/model/network": "stage/route, testkit/audit", "keyon/model/plan": "app/build", "keyon/model/ring": "app/papers",
	"keyon/model/fault": "ui/cli", "keyon/model/finding": "app/build", "keyon/model/settle": "app/build", "keyon/model/source": "app/build",
	"keyon/examples": "app/build", "keyon/format/page/sample": "format", "keyon/store/whole": "store/project", "keyon/testkit/cars": "testkit/audit", "keyon/testkit/hostile": "store/workbook", "keyon/testkit/small": "stage/route", "keyon/testkit/rules": "check/electrical",
}

func main() {
	fuzz := flag.String("fuzz", "", "run every fuzz target for this long")
	flag.Parse()
	if *fuzz != "" {
		if err := runFuzz(*fuzz); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		return
	}
	if !judge(os.Stdin, os.Stdout, os.Getenv("CI") != "") {
		os.Exit(1)
	}
}

// judge prints what happened and reports whether it may pass.
func judge(in io.Reader, out io.Writer, ci bool) bool {
	type key struct{ pkg, test string }
	output := map[key][]string{}
	var failed, skipped []key
	empty := []string{}
	passed := 0
	bad := false
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		var e event
		if json.Unmarshal(lines.Bytes(), &e) != nil {
			fmt.Fprintln(out, lines.Text())
			continue
		}
		k := key{e.Package, e.Test}
		switch e.Action {
		case "output", "build-output":
			if e.Action == "build-output" {
				fmt.Fprint(out, e.Output)
				continue
			}
			output[k] = append(output[k], e.Output)
			if e.Test == "" && (strings.HasPrefix(e.Output, "ok ") || strings.HasPrefix(e.Output, "FAIL\t") || strings.HasPrefix(e.Output, "panic")) {
				fmt.Fprint(out, e.Output)
			}
			if e.Test == "" && strings.Contains(e.Output, "[no test files]") {
				empty = append(empty, e.Package)
			}
		case "build-fail":
			bad = true
		case "fail":
			bad = true
			failed = append(failed, k)
		case "skip":
			if e.Test != "" {
				skipped = append(skipped, k)
			} else if !slices.Contains(empty, e.Package) {
				empty = append(empty, e.Package)
			}
		case "pass":
			if e.Test != "" {
				passed++
			}
			delete(output, k)
		}
	}
	sort.Slice(failed, func(i, j int) bool {
		return failed[i].pkg+failed[i].test < failed[j].pkg+failed[j].test
	})
	for _, k := range failed {
		fmt.Fprintf(out, "\n--- FAIL %s %s\n%s", k.pkg, k.test, strings.Join(output[k], ""))
	}
	for _, k := range skipped {
		fmt.Fprintf(out, "--- SKIP %s %s\n%s", k.pkg, k.test, strings.Join(output[k], ""))
		bad = bad || ci
	}
	for _, p := range empty {
		if elsewhere[p] == "" {
			fmt.Fprintf(out, "--- no test in %s\n", p)
			bad = true
		}
	}
	if passed == 0 {
		bad = true
	}
	fmt.Fprintf(out, "\n%d passed, %d failed, %d skipped\n", passed, len(failed), len(skipped))
	return !bad
}

var target = regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)

func runFuzz(long string) error {
	return filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range target.FindAllSubmatch(text, -1) {
			pkg, name := "./"+filepath.Dir(path), string(m[1])
			fmt.Println("fuzz", pkg, name)
			c := exec.Command("go", "test", pkg, "-run", "^$", "-fuzz", "^"+name+"$", "-fuzzminimizetime", "10x", "-fuzztime", long)
			if text, err := c.CombinedOutput(); err != nil {
				return fmt.Errorf("fuzz %s %s: %w\n%s", pkg, name, err, text)
			}
		}
		return nil
	})
}
