package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"keyon/app/edit"
	"keyon/store/project"
)

func newCommand(e *env) *cobra.Command {
	var from string
	c := &cobra.Command{
		Use:   "new CAR.keyon",
		Short: "starts a car as a project file, empty or from a workbook",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			path := args[0]
			if !strings.EqualFold(filepath.Ext(path), project.Extension) {
				path += project.Extension
			}
			car, err := edit.Create(path)
			if err != nil {
				return err
			}
			defer car.Close()
			if from != "" {
				if err := e.take(car, from, true); err != nil {
					return err
				}
			}
			fmt.Fprintf(e.out, "%s made\n", path)
			return nil
		},
	}
	c.Flags().StringVar(&from, "from", "", "workbook or folder of CSV files to begin with")
	return c
}
