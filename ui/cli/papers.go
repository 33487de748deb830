package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"keyon/app/open"
	"keyon/app/papers"
)

func papersCommand(e *env) *cobra.Command {
	var o papers.Options
	c := &cobra.Command{
		Use:   "papers CAR -o FOLDER",
		Short: "writes the papers: a pack for each loom, and the tuner's pack",
		Long:  "Each loom gets a PDF, a workbook and a label file; each pack is usable alone. Packs of looms that a stop finding touches are marked NOT FOR BUILDING. The folder is complete or absent.",
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
			if o.Date == "" {
				o.Date = time.Now().Format("2006-01-02")
			}
			files, err := papers.Write(car, p, o)
			if err != nil {
				return err
			}
			for _, f := range files {
				fmt.Fprintln(e.out, f)
			}
			return e.judge(p.Verdicts)
		},
	}
	c.Flags().StringVarP(&o.Dir, "out", "o", "papers", "folder to write to")
	c.Flags().StringSliceVar(&o.Looms, "loom", nil, "only these looms")
	c.Flags().StringVar(&o.Paper, "paper", "", "A4 or letter (as the car says)")
	c.Flags().StringVar(&o.Date, "date", "", "date printed, such as 2027-03-01 (today)")
	c.Flags().BoolVar(&o.Over, "over", false, "replace papers that are there")
	return c
}
