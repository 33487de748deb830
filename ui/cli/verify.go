package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"keyon/store/project"
)

func verifyCommand(e *env) *cobra.Command {
	return &cobra.Command{
		Use:   "verify CAR.keyon",
		Short: "looks a project file through: integrity, identities, history",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			p, err := project.Open(args[0])
			if err != nil {
				return err
			}
			defer p.Close()
			problems, err := p.Verify()
			if err != nil {
				return err
			}
			for _, x := range problems {
				fmt.Fprintf(e.out, "%s\n    fix  %s\n", x.What, x.Fix)
			}
			if len(problems) > 0 {
				e.status = couldNot
				fmt.Fprintf(e.out, "%s: %s\n", args[0], plural(len(problems), "problem"))
				return nil
			}
			fmt.Fprintf(e.out, "%s: nothing wrong\n", args[0])
			return nil
		},
	}
}
