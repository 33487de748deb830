package cli

import (
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"keyon/app/demo"
	"keyon/model/finding"
	"keyon/model/settle"
)

func demoCommand(e *env) *cobra.Command {
	var out, date string
	var over bool
	c := &cobra.Command{
		Use:   "demo",
		Short: "writes the example car, plans it, prints what it found, and makes its papers",
		RunE: func(*cobra.Command, []string) error {
			if date == "" {
				date = time.Now().Format("2006-01-02")
			}
			r, err := demo.Run(out, demoCar, over, by(), date)
			if err != nil {
				return err
			}
			e.summary(r)
			return e.judge(r.Plan.Verdicts)
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "out", "folder to write to")
	c.Flags().StringVar(&date, "date", "", "date printed on the papers, such as 2027-03-01 (today)")
	c.Flags().BoolVar(&over, "over", false, "replace what an earlier demo left there")
	return c
}

// demoCar is the example that the demo shows.
const demoCar = "tern"

// summary tells a builder what is settled, what is open, and what must not
// be built so.
func (e *env) summary(r *demo.Result) {
	p := r.Plan
	worked := 0
	for i := range p.Sizes.Wires {
		if p.Sizes.Wires[i].Gauge.Origin == settle.Worked {
			worked++
		}
	}
	fmt.Fprintf(e.out, "%s\n", r.Car.Design.Car.Name)
	fmt.Fprintf(e.out, "settled   %s in %s over %s; %d gauges worked out, the rest given\n", plural(len(p.Wires.List), "wire"), plural(len(p.Things.Looms), "loom"), plural(len(p.Things.Legs), "leg"), worked)
	open := 0
	for i := range p.Sizes.Wires {
		if !p.Sizes.Wires[i].Gauge.Settled() || !p.Cuts.Wires[i].Cut.Settled() {
			open++
		}
	}
	fmt.Fprintf(e.out, "open      %s without size or length; findings: %s\n", plural(open, "wire"), count(p.Verdicts))
	shown := 0
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		if !v.Open() || v.Severity() < finding.Look {
			continue
		}
		if v.Severity() == finding.Stop {
			fmt.Fprint(e.out, "do not build it so: ")
		} else if shown++; shown > 8 {
			continue
		} else {
			fmt.Fprint(e.out, "look      ")
		}
		fmt.Fprintf(e.out, "%s: %s\n", v.Rule.Title, v.What)
	}
	if shown > 8 {
		fmt.Fprintf(e.out, "          and %d more: keyon check %s\n", shown-8, r.Project)
	}
	fmt.Fprintf(e.out, "written   %s, %s", r.Workbook, r.Project)
	for _, f := range r.Papers {
		fmt.Fprintf(e.out, ", %s", f)
	}
	fmt.Fprintf(e.out, "\nnext      keyon check %s; keyon plan %s\n", r.Project, filepath.ToSlash(r.Project))
}
