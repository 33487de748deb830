package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"keyon/app/open"
	"keyon/store/workbook"
)

func exportCommand(e *env) *cobra.Command {
	var over bool
	c := &cobra.Command{
		Use:   "export CAR TARGET",
		Short: "writes the tables as a workbook (TARGET.xlsx) or a folder of CSV files",
		Args:  cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			car, err := open.Read(args[0])
			if err != nil {
				return err
			}
			if strings.EqualFold(filepath.Ext(args[1]), ".xlsx") {
				err = workbook.WriteXLSX(args[1], car.Book, over)
			} else {
				err = workbook.WriteCSV(args[1], car.Book, over)
			}
			if err != nil {
				return err
			}
			fmt.Fprintf(e.out, "%s written\n", args[1])
			return nil
		},
	}
	c.Flags().BoolVar(&over, "over", false, "replace what is there")
	return c
}
