package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"keyon/app/sums"
	"keyon/model/part"
)

func calcCommand(e *env) *cobra.Command {
	c := &cobra.Command{
		Use:   "calc",
		Short: "quick sums without a car: wire, bundle",
	}
	c.AddCommand(calcWire(e), calcBundle(e))
	return c
}

func calcWire(e *env) *cobra.Command {
	var q sums.WireAsk
	var asJSON bool
	c := &cobra.Command{
		Use:     "wire --amps A --length L",
		Short:   "which gauge carries a current over a distance, or what a gauge does",
		Example: "keyon calc wire --amps 20 --length 5m --return 1m --ambient 50C --insulation 200C --bundle 8 --loading 60% --drop 0.5V",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			a, err := sums.Wire(part.Embedded(), q)
			if err != nil {
				return err
			}
			if !a.OK {
				e.status = findings
			}
			if asJSON {
				return e.json(a)
			}
			verdict := "carries it"
			if !a.OK {
				verdict = "does not do"
			}
			fmt.Fprintf(e.out, "gauge %s of %s %s: capacity %.2f A, conductor %.0f °C, drop %.3f V\n", a.Gauge, a.Family, verdict, a.CapacityA, a.ConductorC, a.DropV)
			for _, r := range a.Reasons {
				fmt.Fprintf(e.out, "  %s\n", r)
			}
			return nil
		},
	}
	f := c.Flags()
	f.StringVar(&q.Amps, "amps", "", "current, such as 20 or 500mA")
	f.StringVar(&q.Length, "length", "", "way out, such as 5m, 12ft")
	f.StringVar(&q.Return, "return", "", "way back in the same gauge (none)")
	f.StringVar(&q.Ambient, "ambient", "", "air, such as 50C or 122F (40C)")
	f.StringVar(&q.Insulation, "insulation", "", "rating of the wire (150C)")
	f.IntVar(&q.Bundle, "bundle", 1, "wires in the bundle")
	f.StringVar(&q.Loading, "loading", "", "share of the bundle's capacity in use (100%)")
	f.StringVar(&q.Altitude, "altitude", "", "height above the sea (0m)")
	f.StringVar(&q.Volts, "volts", "", "nominal voltage; sets the drop where none is given")
	f.StringVar(&q.Drop, "drop", "", "drop allowed, out and back (0.5V)")
	f.StringVar(&q.Gauge, "gauge", "", "judge this gauge instead of choosing")
	f.StringVar(&q.Family, "family", "", "wire family by standard number, such as AS22759/32")
	f.BoolVar(&asJSON, "json", false, "for programs")
	_ = c.MarkFlagRequired("amps")
	_ = c.MarkFlagRequired("length")
	return c
}

func calcBundle(e *env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "bundle DIAMETER[xCOUNT]…",
		Short:   "how thick round wires lie together (mm)",
		Example: "keyon calc bundle 2.1x7 1.4 0.9x12",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			a, err := sums.Bundle(args)
			if err != nil {
				return err
			}
			if asJSON {
				return e.json(a)
			}
			fmt.Fprintf(e.out, "%d wires lie in a circle of %.2f mm; no arrangement is under %.2f mm\n", len(a.Circles), a.DiameterMM, a.BoundMM)
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "with the place of every wire")
	return c
}
