package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"keyon/app/edit"
	"keyon/app/report"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/store/workbook"
)

func importCommand(e *env) *cobra.Command {
	var take bool
	c := &cobra.Command{
		Use:   "import CAR.keyon WORKBOOK",
		Short: "shows what a workbook would change in a project, and does it with --take",
		Long:  "Reads a workbook or a folder of CSV files and lists the rows that would be added, changed and removed, with findings at their cells. Nothing is changed without --take; with it all is, in one step that undo takes back.",
		Args:  cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			car, err := edit.Open(args[0])
			if err != nil {
				return err
			}
			defer car.Close()
			tables, err := car.Read(args[1]) // the car knows the decimal mark where the workbook doesn't say
			if err != nil {
				return err
			}
			return e.take(car, args[1], tables, take)
		},
	}
	c.Flags().BoolVar(&take, "take", false, "do it")
	return c
}

// take previews a workbook and takes it over where asked.
func (e *env) take(car *edit.Car, path string, r *workbook.Reading, do bool) error {
	pre := car.Import(r)
	for i := range pre.Rows {
		c := &pre.Rows[i]
		if do {
			continue
		}
		fmt.Fprintf(e.out, "%-8s %s %s\n", c.Kind, c.Table, c.Name)
		if c.Kind == edit.Changed {
			for _, x := range c.Cells {
				fmt.Fprintf(e.out, "         %s: %q → %q\n", x.Column, x.Old.Text, x.New.Text)
			}
		}
	}
	name := report.CellName(func(c settle.Cell) string {
		if s := pre.Ref(c); s != "" {
			return s
		}
		return report.Plain(c)
	})
	for i := range pre.Findings {
		if v := &pre.Findings[i]; v.Open() && v.Severity() > finding.Note {
			printFinding(e.out, v, name)
		}
	}
	fmt.Fprintf(e.out, "%s: %s added, %d changed, %d removed; findings: %s\n", path, plural(pre.Count(edit.Added), "row"), pre.Count(edit.Changed), pre.Count(edit.Removed), count(pre.Findings))
	if err := e.judge(pre.Findings); err != nil {
		return err
	}
	if !do {
		if len(pre.Rows) > 0 {
			fmt.Fprintln(e.out, "nothing was changed; --take does it")
		}
		return nil
	}
	return car.Take(pre, by())
}
