// Command measure times the main jobs and prints a Markdown table for
// docs/performance.md: `go run ./testkit/measure NAME`. Tests assert results
// and counts of work; seconds are only ever measured here.
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"keyon/app/build"
	"keyon/app/open"
	"keyon/app/papers"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/store/workbook"
	"keyon/testkit/cars"
)

// measures are the names that can be asked for.
var measures = []struct {
	name, what string
	run        func() error
}{
	{"plan", "the example cars, planned cold, and again after an edit", examplesPlanned},
	{"growth", "generated cars of 100 to 100,000 wires, planned cold", growth},
	{"papers", "every paper of the example cars", papersWritten},
}

func main() {
	for _, m := range measures {
		if len(os.Args) == 2 && os.Args[1] == m.name {
			fmt.Printf("%s, %s/%s, %d threads\n\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.GOMAXPROCS(0))
			if err := m.run(); err != nil {
				fmt.Fprintln(os.Stderr, "measure:", err)
				os.Exit(1)
			}
			return
		}
	}
	fmt.Fprintln(os.Stderr, "usage: go run ./testkit/measure NAME, where NAME is one of")
	for _, m := range measures {
		fmt.Fprintf(os.Stderr, "  %-8s %s\n", m.name, m.what)
	}
	os.Exit(2)
}

// timed runs f n times and gives the middle of their times.
func timed(n int, f func() error) (time.Duration, error) {
	var all []time.Duration
	for range n {
		start := time.Now()
		if err := f(); err != nil {
			return 0, err
		}
		all = append(all, time.Since(start))
	}
	slices.Sort(all)
	return all[n/2], nil
}

func milli(d time.Duration) string { return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000) }

func table(head ...string) {
	fmt.Println("| " + strings.Join(head, " | ") + " |")
	fmt.Println("|" + strings.Repeat("---|", len(head)))
}

func row(cells ...any) {
	for _, c := range cells {
		fmt.Printf("| %v ", c)
	}
	fmt.Println("|")
}

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

func examplesPlanned() error {
	table("car", "wires", "open stops", "cold", "after an edit")
	c := part.Embedded()
	for _, name := range examples.Names() {
		b, err := example(name)
		if err != nil {
			return err
		}
		wires, open := 0, 0
		cold, err := timed(9, func() error {
			p, err := build.Run(design.Read(b), c, nil)
			if err == nil {
				wires, open = len(p.Wires.List), stops(p.Verdicts)
			}
			return err
		})
		if err != nil {
			return err
		}
		mem := build.NewMemory()
		legs, n := b.Sheet("Legs"), 0
		edit := func() error {
			n++
			legs.Rows[0].Cells[legs.Table.Index("length")] = design.Cell{Text: fmt.Sprint(600 + n)}
			_, err := build.Run(design.Read(b), c, mem)
			return err
		}
		if err := edit(); err != nil {
			return err
		}
		warm, err := timed(9, edit)
		if err != nil {
			return err
		}
		row(name, wires, open, milli(cold), milli(warm))
	}
	return nil
}

func growth() error {
	table("wires", "open stops", "passes", "cold", "µs a wire")
	c := part.Embedded()
	for _, want := range []int{100, 1000, 10000, 30000, 100000} {
		b := cars.Make(1, want, cars.Options{})
		start := time.Now()
		p, err := build.Run(design.Read(b), c, nil)
		if err != nil {
			return err
		}
		took := time.Since(start)
		row(len(p.Wires.List), stops(p.Verdicts), len(p.Passes), milli(took), took.Microseconds()/int64(max(1, len(p.Wires.List))))
	}
	return nil
}

func papersWritten() error {
	table("car", "files", "size", "time")
	c := part.Embedded()
	for _, name := range examples.Names() {
		b, err := example(name)
		if err != nil {
			return err
		}
		car := &open.Car{Book: b, Design: design.Read(b), Catalogue: c}
		p, err := car.Plan(nil)
		if err != nil {
			return err
		}
		dir, err := os.MkdirTemp("", "measure")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		var files []string
		took, err := timed(3, func() (err error) {
			files, err = papers.Write(car, p, papers.Options{Dir: filepath.Join(dir, name), Date: "2027-03-01", Over: true})
			return err
		})
		if err != nil {
			return err
		}
		var size int64
		for _, f := range files {
			if info, err := os.Stat(f); err == nil {
				size += info.Size()
			}
		}
		row(name, len(files), fmt.Sprintf("%d kB", size/1000), milli(took))
	}
	return nil
}
