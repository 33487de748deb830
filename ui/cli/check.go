package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"keyon/app/open"
	"keyon/app/report"
)

func checkCommand(e *env) *cobra.Command {
	var asJSON, all bool
	c := &cobra.Command{
		Use:   "check CAR",
		Short: "says what is wrong: what must not be built so, what to look at",
		Long:  "Plans the car and prints the findings: stops (don't build it so), looks (a person decides), notes. CAR is a .keyon file, a workbook, or a folder of CSV files.",
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
			if asJSON {
				return e.json(report.Findings{Version: report.Version, Car: car.Design.Car.Name, Findings: report.OfFindings(p.Verdicts, car.Cell, true)})
			}
			for i := range p.Verdicts {
				if v := &p.Verdicts[i]; !v.OK || all {
					printFinding(e.out, v, car.Cell)
				}
			}
			if all {
				e.notApplied(p.Verdicts)
			}
			fmt.Fprintln(e.out, count(p.Verdicts))
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "all findings for programs, passed ones too")
	c.Flags().BoolVar(&all, "all", false, "passed findings too, with their margins, and rules that were applied nowhere")
	return c
}
