package cli

import (
	"fmt"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"keyon/app/build"
	"keyon/app/open"
	"keyon/app/report"
	"keyon/model/fault"
	"keyon/model/finding"
)

func planCommand(e *env) *cobra.Command {
	var asJSON bool
	var show string
	c := &cobra.Command{
		Use:   "plan CAR",
		Short: "works out what is blank and prints the wires",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			car, err := open.Read(args[0])
			if err != nil {
				return err
			}
			p, err := car.Plan(nil)
			if err != nil {
				return err
			}
			if err := e.judge(p.Verdicts); err != nil {
				return err
			}
			if show != "" {
				i := slices.IndexFunc(build.Stages, func(s build.Stage) bool { return s.Name == show })
				if i < 0 {
					return fault.New(fault.Usage, "write one of: "+stageNames(), fmt.Errorf("--show %s is no stage", show))
				}
				s := &build.Stages[i]
				fmt.Fprintf(e.out, "stage %s reads %s and makes %s; it stands here because: %s\n", s.Name, s.Reads, s.Makes, s.Why)
				return e.json(s.Table(p))
			}
			r := report.OfPlan(car.Design, car.Catalogue, p, car.Cell)
			if asJSON {
				return e.json(r)
			}
			w := tabwriter.NewWriter(e.out, 0, 4, 2, ' ', 0)
			fmt.Fprintln(w, "wire\tcircuit\tfrom\tto\tgauge\tcolour\tcut mm\tamps\tmay carry\twhy this gauge")
			for _, x := range r.Wires {
				fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%.0f\t%.2f\t%.2f\t%s\n", x.Number, x.Circuit, x.From, x.To, x.Gauge, x.Colour, x.CutMM, x.Amps, x.CapacityA, x.Reasons["gauge"])
			}
			w.Flush()
			fmt.Fprintf(e.out, "%s, %s, %s; findings: %s\n", plural(len(r.Wires), "wire"), plural(len(r.Splices), "splice"), plural(len(r.Legs), "leg"), count(p.Verdicts))
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "the whole plan for programs (docs/json.md)")
	c.Flags().StringVar(&show, "show", "", "what one stage made, such as size")
	return c
}

func stageNames() string {
	s := ""
	for i := range build.Stages {
		if i > 0 {
			s += ", "
		}
		s += build.Stages[i].Name
	}
	return s
}

// notApplied lists the rules that found nothing to judge.
func (e *env) notApplied(vs []finding.Verdict) {
	seen := map[string]bool{}
	for i := range vs {
		seen[vs[i].Rule.ID] = true
	}
	for _, r := range build.AllRules() {
		if !seen[r.ID] {
			fmt.Fprintf(e.out, "%s: not applied (%s)\n", r.ID, r.Title)
		}
	}
}
