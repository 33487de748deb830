// Command measure times the main jobs and prints Markdown tables for
// docs/performance.md: `go run ./testkit/measure NAME`. With -write it puts
// them into that file, with machine and command. Tests assert results and
// counts of work; seconds are only ever measured here.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"time"

	"keyon/examples"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/store/workbook"
)

// measure is one name that can be asked for.
type measure struct {
	name, what string
	run        func(r *tables) error
}

// measures are all of them.
var measures = []measure{
	{"plan", "the example cars: cold, after an edit, stage by stage, half given and all blank", examplesPlanned},
	{"growth", "generated cars of 100 to 100,000 wires, planned cold and after an edit", growth},
	{"audit", "worst shares of each limit on examples and generated cars, by the auditor", audited},
	{"papers", "every paper of the example cars", papersWritten},
	{"packing", "bundles against the best published packings", packed},
	{"network", "networks solved, and the same by ngspice", networks},
	{"milp", "exact optimisation, and the same by glpsol", optimised},
	{"store", "a project of 100,000 circuits: taken over, opened, edited, verified, written", stored},
	{"kill", "a project killed while it is edited", killed},
	{"fuzz", "every fuzz target of the module, ten seconds each", fuzzed},
}

const file = "docs/performance.md"

func main() {
	write := flag.Bool("write", false, "put the tables into "+file)
	flag.Usage = usage
	flag.Parse()
	if flag.NArg() == 3 && flag.Arg(0) == killChild {
		fmt.Fprintln(os.Stderr, "measure:", child(flag.Arg(1), flag.Arg(2)))
		os.Exit(1)
	}
	defer runtime.KeepAlive(make([]byte, 64<<20)) // as the command does
	for _, m := range measures {
		if flag.NArg() == 1 && flag.Arg(0) == m.name {
			r := &tables{}
			if err := m.run(r); err != nil {
				fmt.Fprintln(os.Stderr, "measure:", err)
				os.Exit(1)
			}
			text := section(m, r.text.String())
			os.Stdout.WriteString(text)
			if *write {
				if err := put(m.name, text); err != nil {
					fmt.Fprintln(os.Stderr, "measure: write "+file+":", err)
					os.Exit(1)
				}
			}
			return
		}
	}
	usage()
	os.Exit(2)
}

func usage() {
	fmt.Fprintln(os.Stderr, "usage: go run ./testkit/measure [-write] NAME, where NAME is one of")
	for _, m := range measures {
		fmt.Fprintf(os.Stderr, "  %-8s %s\n", m.name, m.what)
	}
}

// section heads a measure's tables with its command and the machine.
func section(m measure, body string) string {
	return fmt.Sprintf("## `go run ./testkit/measure %s`\n\n%s. %s.\n\n%s", m.name, strings.ToUpper(m.what[:1])+m.what[1:], machine(), strings.TrimRight(body, "\n")+"\n")
}

// machine is what the figures were taken on.
func machine() string {
	cpu := runtime.GOARCH
	if data, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		for line := range strings.Lines(string(data)) {
			if name, value, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(name) == "model name" {
				cpu = strings.TrimSpace(value)
				break
			}
		}
	}
	return fmt.Sprintf("%s, %d threads, %s, %s", cpu, runtime.GOMAXPROCS(0), runtime.GOOS, runtime.Version())
}

// put replaces a measure's section of the file, or adds it at the end.
func put(name, text string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	old := string(data)
	head := "## `go run ./testkit/measure " + name + "`\n"
	from := strings.Index(old, head)
	if from < 0 {
		return os.WriteFile(file, []byte(strings.TrimRight(old, "\n")+"\n\n"+text), 0o644)
	}
	to := len(old)
	if next := strings.Index(old[from+len(head):], "\n## "); next >= 0 {
		to = from + len(head) + next + 1
		text += "\n"
	}
	return os.WriteFile(file, []byte(old[:from]+text+old[to:]), 0o644)
}

// tables collects Markdown.
type tables struct{ text bytes.Buffer }

func (r *tables) table(head ...string) {
	if r.text.Len() > 0 {
		r.text.WriteString("\n")
	}
	fmt.Fprintln(&r.text, "| "+strings.Join(head, " | ")+" |")
	fmt.Fprintln(&r.text, "|"+strings.Repeat("---|", len(head)))
}

func (r *tables) row(cells ...any) {
	for _, c := range cells {
		fmt.Fprintf(&r.text, "| %v ", c)
	}
	r.text.WriteString("|\n")
}

func (r *tables) note(format string, args ...any) {
	r.text.WriteString("\n")
	fmt.Fprintf(&r.text, format, args...)
	r.text.WriteString("\n")
}

// timed runs f n times and gives the least and the middle of their times: the
// least is the work, the rest what else the machine did.
func timed(n int, f func() error) (least, middle time.Duration, err error) {
	var all []time.Duration
	for range n {
		start := time.Now()
		if err := f(); err != nil {
			return 0, 0, err
		}
		all = append(all, time.Since(start))
	}
	slices.Sort(all)
	return all[0], all[n/2], nil
}

func milli(d time.Duration) string { return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000) }

func stops(vs []finding.Verdict) (n int) {
	for i := range vs {
		if vs[i].Open() && vs[i].Severity() == finding.Stop {
			n++
		}
	}
	return n
}

func example(name string) (*design.Book, error) {
	r, err := workbook.ReadFolder(name, examples.Folder(name))
	if err != nil {
		return nil, err
	}
	r.Book.Identify()
	return r.Book, nil
}

// outside runs a program of somebody else's; missing says that it isn't here.
func outside(stdin io.Reader, name string, args ...string) (out []byte, took time.Duration, missing bool, err error) {
	path, err := exec.LookPath(name)
	if err != nil {
		return nil, 0, true, nil
	}
	c := exec.Command(path, args...)
	c.Stdin = stdin
	start := time.Now()
	out, err = c.CombinedOutput()
	return out, time.Since(start), false, err
}
