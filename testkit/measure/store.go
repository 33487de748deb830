package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"keyon/app/edit"
	"keyon/model/settle"
	"keyon/store/workbook"
)

// stored times a project of 100,000 circuits: taken over from CSV, opened,
// edited, verified, written and read as a workbook.
func stored(r *tables) error {
	dir, err := os.MkdirTemp("", "keyon-store-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	const n = 100_000
	var b bytes.Buffer
	b.WriteString("circuit,from,from pin,to,to pin,class,gauge,wire,colour,note\n")
	for i := range n {
		fmt.Fprintf(&b, "C%06d,ECU%d,%d,DEV%d,%d,signal,22,AS22759/32,WH,row %d\n", i, i/100, i%100, i/7, i%7, i)
	}
	by := edit.By{Who: "measure", When: time.Unix(0, 0)}
	path := filepath.Join(dir, "big.keyon")
	car, err := edit.Create(path)
	if err != nil {
		return err
	}
	var read *workbook.Reading
	var pre *edit.Preview
	book := filepath.Join(dir, "big.xlsx")
	edits := 0
	steps := []struct {
		what  string
		times int
		f     func() error
	}{
		{"read as CSV", 3, func() (err error) { read, err = workbook.Read("Circuits.csv", b.Bytes()); return err }},
		{"shown what it would change", 3, func() error { pre = car.Import(read); return nil }},
		{"taken over, one transaction", 1, func() error { return car.Take(pre, by) }},
		{"opened", 3, func() error {
			if err := car.Close(); err != nil {
				return err
			}
			car, err = edit.Open(path)
			return err
		}},
		{"one cell edited", 50, func() error {
			edits++
			return car.Set(settle.Cell{Table: "Circuits", Row: read.Book.Sheet("Circuits").Rows[n/2].UID, Column: "note"}, note(n/2, edits-1), note(n/2, edits), by)
		}},
		{"verified", 1, func() error {
			ps, err := car.File().Verify()
			if err == nil && len(ps) > 0 {
				err = fmt.Errorf("verify: %s", ps[0].What)
			}
			return err
		}},
		{"written as XLSX", 1, func() error { return workbook.WriteXLSX(book, car.Book(), false) }},
		{"read as XLSX", 1, func() error { _, err := workbook.ReadPath(book); return err }},
	}
	r.table(fmt.Sprintf("%d circuits", n), "time")
	for _, s := range steps {
		d, _, err := timed(s.times, s.f)
		if err != nil {
			return fmt.Errorf("%s: %w", s.what, err)
		}
		r.row(s.what, milli(d))
	}
	return car.Close()
}

// note is what the edited cell holds after so many edits.
func note(row, edits int) string {
	if edits == 0 {
		return fmt.Sprint("row ", row)
	}
	return fmt.Sprint("edit ", edits)
}
