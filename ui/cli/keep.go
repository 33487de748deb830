package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/app/open"
	"keyon/model/fault"
)

func undoCommand(e *env) *cobra.Command {
	return takeBackCommand(e, "undo", "takes back your last edit of a project, as a new edit", (*edit.Car).Undo)
}

func redoCommand(e *env) *cobra.Command {
	return takeBackCommand(e, "redo", "does again what your last undo took back", (*edit.Car).Redo)
}

func takeBackCommand(e *env, name, short string, do func(*edit.Car, edit.By) (string, error)) *cobra.Command {
	return &cobra.Command{
		Use:   name + " CAR.keyon",
		Short: short,
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			car, err := edit.Open(args[0])
			if err != nil {
				return err
			}
			defer car.Close()
			what, err := do(car, by())
			if err == nil {
				fmt.Fprintln(e.out, what)
			}
			return err
		},
	}
}

func freezeCommand(e *env) *cobra.Command {
	var since string
	c := &cobra.Command{
		Use:   "freeze CAR.keyon [LOOM]",
		Short: "keeps what was worked out for a loom, so that later edits leave it alone",
		Long:  "Writes every choice of the present plan that touches the loom (without LOOM: every choice) into the table Kept: pins, ways, cavities, splices, gauges, numbers, labels. A kept choice holds unless it becomes a stop; `keyon plan` then lists what changed. Delete its row, or undo, to let it go.",
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(_ *cobra.Command, args []string) error {
			seen, err := open.Read(args[0])
			if err != nil {
				return err
			}
			p, err := seen.Plan(nil)
			if err != nil {
				return err
			}
			loom := ""
			if len(args) > 1 {
				loom = args[1]
				known := false
				for i := range p.Things.Looms {
					known = known || p.Things.Looms[i].Name == loom
				}
				if !known {
					return fault.New(fault.NotFound, "the table Looms names them", fmt.Errorf("no loom is called %q", loom))
				}
			}
			kept := map[[3]string]bool{}
			for r, s := 0, seen.Book.Sheet("Kept"); r < len(s.Rows); r++ {
				kept[[3]string{s.Text(r, "kind"), s.Text(r, "thing"), s.Text(r, "field")}] = true
			}
			var rows []edit.NewRow
			for _, x := range build.Freeze(p, loom) {
				if !kept[[3]string{x.Kind, x.Thing, x.Field}] {
					rows = append(rows, edit.NewRow{Table: "Kept", Cells: map[string]string{"kind": x.Kind, "thing": x.Thing, "field": x.Field, "value": x.Value, "loom": x.Loom, "since": since}})
				}
			}
			car, err := edit.Open(args[0])
			if err != nil {
				return err
			}
			defer car.Close()
			if len(rows) > 0 {
				if _, err := car.Add(rows, by()); err != nil {
					return err
				}
			}
			fmt.Fprintf(e.out, "%s kept, %d were kept before\n", plural(len(rows), "choice"), len(kept))
			return nil
		},
	}
	c.Flags().StringVar(&since, "revision", "", "revision letter to note beside each choice")
	return c
}
