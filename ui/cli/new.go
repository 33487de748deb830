package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"keyon/app/edit"
	"keyon/store/project"
	"keyon/store/workbook"
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
			var tables *workbook.Reading // read before the file is made: nothing half done
			if from != "" {
				var err error
				if tables, err = workbook.ReadPath(from); err != nil {
					return err
				}
			}
			car, err := edit.Create(path)
			if err != nil {
				return err
			}
			defer car.Close()
			if tables != nil {
				if err := e.take(car, from, tables, true); err != nil {
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
