// Package demo runs the main job on an example car: tables to workbook and
// project file, plan, papers. It takes the same steps a user's own car takes.
package demo

import (
	"fmt"
	"os"
	"path/filepath"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/app/open"
	"keyon/app/papers"
	"keyon/examples"
	"keyon/model/fault"
	"keyon/model/plan"
	"keyon/store/project"
	"keyon/store/workbook"
)

// Result is what the demo left.
type Result struct {
	Workbook, Project string
	Papers            []string
	Car               *open.Car
	Plan              *plan.Plan
}

// Run writes the example into dir, which must not hold one yet unless over
// says that it may be replaced.
func Run(dir, name string, over bool, by edit.By, date string) (*Result, error) {
	r := &Result{Workbook: filepath.Join(dir, name+".xlsx"), Project: filepath.Join(dir, name+project.Extension)}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("make %s: %w", dir, err)
	}
	if _, err := os.Stat(r.Project); err == nil {
		if !over {
			return nil, fault.New(fault.Conflict, "choose another folder, or add --over to replace it", fmt.Errorf("%s is there already", r.Project))
		}
		for _, f := range []string{r.Project, r.Project + "-wal", r.Project + "-shm"} {
			if err := os.Remove(f); err != nil && !os.IsNotExist(err) {
				return nil, fmt.Errorf("replace %s: %w", r.Project, err)
			}
		}
	}
	read, err := workbook.ReadFolder(name, examples.Folder(name))
	if err != nil {
		return nil, err
	}
	read.Book.Identify()
	if err := workbook.WriteXLSX(r.Workbook, read.Book, over); err != nil {
		return nil, err
	}
	if err := fill(r.Project, r.Workbook, by); err != nil {
		return nil, err
	}
	if r.Car, err = open.Read(r.Project); err != nil {
		return nil, err
	}
	if r.Plan, err = r.Car.Plan(build.NewMemory()); err != nil {
		return nil, err
	}
	r.Papers, err = papers.Write(r.Car, r.Plan, papers.Options{Dir: filepath.Join(dir, "papers"), Date: date, Over: over})
	return r, err
}

// fill makes the project file from the workbook, as `keyon new --from` does.
func fill(file, book string, by edit.By) error {
	car, err := edit.Create(file)
	if err != nil {
		return err
	}
	defer car.Close()
	read, err := workbook.ReadPath(book)
	if err != nil {
		return err
	}
	return car.Take(car.Import(read), by)
}
