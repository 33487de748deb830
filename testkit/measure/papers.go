package main

import (
	"fmt"
	"os"
	"path/filepath"

	"keyon/app/open"
	"keyon/app/papers"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/part"
)

func papersWritten(r *tables) error {
	r.table("car", "files", "size", "time, least of 3")
	c := part.Embedded()
	for _, name := range examples.Names() {
		b, err := example(name)
		if err != nil {
			return err
		}
		car := &open.Car{Book: b, Design: design.Read(b), Catalogue: c}
		p, err := car.Plan(nil)
		if err != nil {
			return err
		}
		dir, err := os.MkdirTemp("", "measure")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		var files []string
		took, _, err := timed(3, func() (err error) {
			files, err = papers.Write(car, p, papers.Options{Dir: filepath.Join(dir, name), Date: "2027-03-01", Over: true})
			return err
		})
		if err != nil {
			return err
		}
		var size int64
		for _, f := range files {
			if info, err := os.Stat(f); err == nil {
				size += info.Size()
			}
		}
		r.row(name, len(files), fmt.Sprintf("%d kB", size/1000), milli(took))
	}
	return nil
}
