package cli

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"keyon/app/open"
	"keyon/app/report"
	"keyon/model/fault"
	"keyon/model/part"
)

func partsCommand(e *env) *cobra.Command {
	var asJSON bool
	var kind, file string
	c := &cobra.Command{
		Use:   "parts [WORDS]",
		Short: "searches the catalogue, or shows one part with the source of each figure",
		Long:  "Without words it lists the kinds of parts. With the name of a part it shows its figures, with units and sources; else it lists what matches all words. Everyday words work too: kill switch, fuse box.",
		Args:  cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			cat := part.Embedded()
			if file != "" {
				car, err := open.Read(file)
				if err != nil {
					return err
				}
				cat, _ = cat.With(car.Design)
			}
			words := strings.Join(args, " ")
			if lines := cat.Show(words); lines != nil {
				if asJSON {
					return e.json(struct {
						Version int         `json:"version"`
						Part    string      `json:"part"`
						Lines   []part.Line `json:"lines"`
					}{report.Version, words, lines})
				}
				w := tabwriter.NewWriter(e.out, 0, 4, 2, ' ', 0)
				for _, l := range lines {
					fmt.Fprintf(w, "%s\t%s\t%s\n", l.Label, strings.TrimSpace(l.Value+" "+l.Unit), l.Source)
				}
				return w.Flush()
			}
			hits := cat.List(kind)
			if words != "" {
				hits = cat.Search(words)
			}
			if words == "" && kind == "" && !asJSON {
				n := map[string]int{}
				for _, h := range hits {
					n[h.Kind]++
				}
				for _, k := range part.Kinds {
					fmt.Fprintf(e.out, "%-10s %d\n", k, n[k])
				}
				fmt.Fprintln(e.out, "keyon parts --kind device lists a kind; keyon parts fan searches")
				return nil
			}
			var list []part.Hit
			for _, h := range hits {
				if kind == "" || h.Kind == kind {
					list = append(list, h)
				}
			}
			if asJSON {
				return e.json(struct {
					Version int        `json:"version"`
					Parts   []part.Hit `json:"parts"`
				}{report.Version, list})
			}
			if len(list) == 0 {
				return fault.New(fault.NotFound, "fewer or other words find more; `keyon parts` lists the kinds", fmt.Errorf("no part matches %q", words))
			}
			w := tabwriter.NewWriter(e.out, 0, 4, 2, ' ', 0)
			for _, h := range list {
				fmt.Fprintf(w, "%s\t%s\t%s\n", h.Kind, h.ID, h.Title)
			}
			return w.Flush()
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "for programs")
	c.Flags().StringVar(&kind, "kind", "", "only this kind, such as device or contact")
	c.Flags().StringVar(&file, "car", "", "with the shop's own parts of this car")
	return c
}
