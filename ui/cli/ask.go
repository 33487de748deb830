package cli

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"keyon/app/edit"
	"keyon/app/open"
	"keyon/app/report"
	"keyon/model/fault"
	"keyon/num/quantity"
)

// planned reads and plans a car.
func planned(path string) (*open.Car, *report.Plan, error) {
	car, err := open.Read(path)
	if err != nil {
		return nil, nil, err
	}
	p, err := car.Plan(nil)
	if err != nil {
		return nil, nil, err
	}
	return car, report.OfPlan(car.Design, car.Catalogue, p, car.Cell), nil
}

func traceCommand(e *env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "trace CAR CIRCUIT",
		Short: "follows a circuit end to end: every cavity, splice, gauge and leg",
		Args:  cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			_, p, err := planned(args[0])
			if err != nil {
				return err
			}
			name := strings.Join(args[1:], " ")
			t, ok := report.TraceOf(p, name)
			if !ok {
				return fault.New(fault.NotFound, "keyon plan "+args[0]+" lists the circuits", fmt.Errorf("no circuit is called %q", name))
			}
			if asJSON {
				return e.json(t)
			}
			fmt.Fprintf(e.out, "%s (%s), %.2f m of wire; %s\n", t.Circuit, t.Class, t.Metres, t.Reason)
			w := tabwriter.NewWriter(e.out, 0, 4, 2, ' ', 0)
			for _, x := range t.Wires {
				fmt.Fprintf(w, "%s\t%s\t→ %s\t%s %s %s\t%.0f mm\t%s\n", x.Number, x.From, x.To, x.Family, x.Gauge, x.Colour, x.CutMM, strings.Join(x.Legs, ", "))
			}
			return w.Flush()
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "for programs")
	return c
}

func whyCommand(e *env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "why CAR THING FIELD",
		Short: "explains a value: the chain of reasons down to the sources",
		Long:  "THING is a wire's number or ID, or the name of a leg, feed, join or circuit; with its kind in front where a name stands for two (\"leg dash–box\"). FIELD is gauge, family, colour, cut, number, label, way, pin, cavity, length, diameter, sleeve, setting, part, key or splice.",
		Args:  cobra.MinimumNArgs(3),
		RunE: func(_ *cobra.Command, args []string) error {
			_, p, err := planned(args[0])
			if err != nil {
				return err
			}
			y, err := report.WhyOf(p, strings.Join(args[1:len(args)-1], " "), args[len(args)-1])
			if err != nil {
				return fault.New(fault.NotFound, "", err)
			}
			if asJSON {
				return e.json(y)
			}
			fmt.Fprintf(e.out, "%s, %s: %s\n", y.Thing, y.Field, y.Value)
			for i, b := range y.Chain {
				origin := b.Origin
				if origin != "" {
					origin += ", "
				}
				fmt.Fprintf(e.out, "%s%s: %s%s\n", strings.Repeat("  ", min(i+1, 2)), b.What, origin, b.Reason)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "for programs")
	return c
}

func diffCommand(e *env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "diff CAR-A CAR-B",
		Short: "what changed between two cars: wires, lengths, gauges, cavities, findings, stale papers",
		Args:  cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			_, a, err := planned(args[0])
			if err != nil {
				return err
			}
			_, b, err := planned(args[1])
			if err != nil {
				return err
			}
			return e.printDiff(report.Compare(a, b), asJSON)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "for programs")
	return c
}

func (e *env) printDiff(d *report.Diff, asJSON bool) error {
	if asJSON {
		return e.json(d)
	}
	if d.Same {
		fmt.Fprintln(e.out, "nothing changed")
		return nil
	}
	w := tabwriter.NewWriter(e.out, 0, 4, 2, ' ', 0)
	for _, c := range d.Changes {
		old, is := c.Old, c.New
		if old == "" {
			old = "—"
		}
		if is == "" {
			is = "—"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s → %s\n", c.Kind, c.Name, c.Field, old, is)
	}
	w.Flush()
	for _, f := range d.Added {
		fmt.Fprintf(e.out, "new finding   %s: %s\n", f.Severity, f.Text)
	}
	for _, f := range d.Gone {
		fmt.Fprintf(e.out, "gone          %s: %s\n", f.Severity, f.Text)
	}
	fmt.Fprintf(e.out, "%s\n", plural(len(d.Changes), "change"))
	for _, p := range d.Papers {
		fmt.Fprintf(e.out, "print anew    %s\n", p)
	}
	return nil
}

func moveCommand(e *env) *cobra.Command {
	var asJSON, apply bool
	c := &cobra.Command{
		Use:   "move CAR ASSEMBLY DX DY DZ",
		Short: "what would change if an assembly moved; --apply moves it",
		Long:  "DX is rearward, DY to the driver's right, DZ up; lengths such as 20, 20mm or -1.5in. All places of the assembly move together; given leg lengths stay, lengths from places follow. A negative length stands after --.",
		Args:  cobra.ExactArgs(5),
		RunE: func(_ *cobra.Command, args []string) error {
			car, before, err := planned(args[0])
			if err != nil {
				return err
			}
			var by3 [3]quantity.Length
			for i, a := range args[2:] {
				unit := "mm"
				if car.Design.Car.Units.Inches {
					unit = "in"
				}
				v, err := quantity.Parse(a, quantity.LengthDim, unit, car.Design.Car.Units.Decimal)
				if err != nil {
					return fault.New(fault.Usage, "write lengths such as 20, 20mm or -1.5in", fmt.Errorf("%s: %w", a, err))
				}
				by3[i] = quantity.Length(v)
			}
			writes, err := edit.Move(car.Book, car.Design, args[1], by3)
			if err != nil {
				return err
			}
			moved := car.With(writes)
			p, err := moved.Plan(nil)
			if err != nil {
				return err
			}
			if err := e.printDiff(report.Compare(before, report.OfPlan(moved.Design, moved.Catalogue, p, moved.Cell)), asJSON); err != nil || !apply {
				return err
			}
			file, err := edit.Open(args[0])
			if err != nil {
				return err
			}
			defer file.Close()
			return file.Paste("move "+args[1], writes, by())
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "for programs")
	c.Flags().BoolVar(&apply, "apply", false, "do it (a project file)")
	return c
}
