package desk

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"keyon/app/edit"
	"keyon/examples"
	"keyon/model/fault"
	"keyon/store/project"
	"keyon/store/workbook"
)

// Cars lists the project files of a folder.
func Cars(folder string) []string {
	list, err := os.ReadDir(folder)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range list {
		if e.Type().IsRegular() && strings.EqualFold(filepath.Ext(e.Name()), project.Extension) {
			out = append(out, e.Name())
		}
	}
	return out
}

// CarIn is the path of a project file that Cars lists: no other is opened.
func CarIn(folder, name string) (string, error) {
	if !slices.Contains(Cars(folder), name) {
		return "", fault.New(fault.NotFound, "choose one of the list", fmt.Errorf("%s holds no car called %q", folder, name))
	}
	return filepath.Join(folder, name), nil
}

// demoCar is the example that is shown first.
const demoCar = "tern"

// Demo makes a project file of the example car in a folder, under a name that
// is free.
func Demo(folder, who string, now time.Time) (string, error) {
	read, err := workbook.ReadFolder(demoCar, examples.Folder(demoCar))
	if err != nil {
		return "", err
	}
	name := demoCar
	for n := 2; exists(filepath.Join(folder, name+project.Extension)); n++ {
		name = fmt.Sprintf("%s-%d", demoCar, n)
	}
	return begun(folder, name, func(car *edit.Car) error {
		return car.Take(car.Import(read), edit.By{Who: who, When: now})
	})
}

// Begin makes a project file: of a workbook, or with nothing but its name.
func Begin(folder, name, from string, data []byte, who string, now time.Time) (string, error) {
	if name = strings.TrimSpace(name); name == "" {
		return "", fault.New(fault.Invalid, "write a name for the car", errors.New("a car without a name"))
	}
	by := edit.By{Who: who, When: now}
	if from == "" {
		return begun(folder, fileName(name), func(car *edit.Car) error {
			_, err := car.Add([]edit.NewRow{{Table: "Car", Cells: map[string]string{"key": "name", "value": name}}}, by)
			return err
		})
	}
	read, err := workbook.Read(from, data) // before the file is made: nothing half done
	if err != nil {
		return "", err
	}
	return begun(folder, fileName(name), func(car *edit.Car) error { return car.Take(car.Import(read), by) })
}

// begun makes a file and fills it; nothing is left of it where that fails.
func begun(folder, name string, fill func(*edit.Car) error) (string, error) {
	path := filepath.Join(folder, name+project.Extension)
	car, err := edit.Create(path)
	if err != nil {
		return "", err
	}
	if err := errors.Join(fill(car), car.Close()); err != nil {
		os.Remove(path)
		return "", err
	}
	return path, nil
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// fileName is a car's name as the name of a file.
func fileName(name string) string {
	s := strings.Trim(strings.Map(func(r rune) rune {
		if r == ' ' || strings.ContainsRune(`/\:*?"<>|.`, r) || r < ' ' {
			return '-'
		}
		return r
	}, strings.ToLower(name)), "-")
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60])
	}
	if s == "" {
		return "car"
	}
	return s
}
