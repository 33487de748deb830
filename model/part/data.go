package part

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

//go:embed data/*.csv
var files embed.FS

// record is one row of a data file. A column that isn't there or a figure
// that can't be read is a broken contract of the program's own data: it
// panics, and a test reads every file.
type record struct {
	file   string
	line   int
	head   map[string]int
	cells  []string
	origin map[string]source.Ref
}

// each reads a data file row by row.
func each(file string, origin map[string]source.Ref, f func(r record)) {
	text, err := files.ReadFile("data/" + file)
	if err != nil {
		panic("part: " + err.Error())
	}
	in := csv.NewReader(strings.NewReader(string(text)))
	rows, err := in.ReadAll()
	if err != nil {
		panic("part: " + file + ": " + err.Error())
	}
	head := make(map[string]int, len(rows[0]))
	for i, h := range rows[0] {
		head[h] = i
	}
	for i, cells := range rows[1:] {
		f(record{file, i + 2, head, cells, origin})
	}
}

func (r record) fail(column, why string) {
	panic(fmt.Sprintf("part: %s line %d, %s: %s", r.file, r.line, column, why))
}

func (r record) text(column string) string {
	i, ok := r.head[column]
	if !ok {
		r.fail(column, "no such column")
	}
	return r.cells[i]
}

// number is the figure of a cell, 0 where it is empty: not known.
func (r record) number(column string) float64 {
	t := r.text(column)
	if t == "" {
		return 0
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil {
		r.fail(column, err.Error())
	}
	return v
}

func (r record) mm(column string) quantity.Length {
	return quantity.Length(r.number(column)) * quantity.MM
}

func (r record) mm2(column string) quantity.Area {
	return quantity.Area(r.number(column)) * quantity.MM2
}

func (r record) yes(column string) bool { return r.text(column) == "yes" }

func (r record) list(column, sep string) []string {
	t := r.text(column)
	if t == "" {
		return nil
	}
	return strings.Split(t, sep)
}

// pairs reads "28=13.3;26=22.2".
func (r record) pairs(column string) map[string]string {
	list := r.list(column, ";")
	if list == nil {
		return nil
	}
	m := make(map[string]string, len(list))
	for _, p := range list {
		k, v, ok := strings.Cut(p, "=")
		if !ok {
			r.fail(column, "not name=value")
		}
		m[k] = v
	}
	return m
}

// numbers reads "28=13.3;26=22.2" where the values are figures.
func (r record) numbers(column string) map[string]float64 {
	p := r.pairs(column)
	if p == nil {
		return nil
	}
	m := make(map[string]float64, len(p))
	for k, t := range p {
		v, err := strconv.ParseFloat(t, 64)
		if err != nil {
			r.fail(column, err.Error())
		}
		m[k] = v
	}
	return m
}

// ref is the source of a row, from its source and status columns.
func (r record) ref(column, status string) source.Ref {
	key := r.text(column)
	s, ok := r.origin[key]
	if !ok {
		r.fail(column, "no source "+strconv.Quote(key))
	}
	s.Status = source.Status(r.text(status))
	switch s.Status {
	case source.Seen, source.Memory, source.Computed, source.Missing:
	default:
		r.fail(status, "no status "+strconv.Quote(string(s.Status)))
	}
	return s
}

func (r record) origins() source.Ref { return r.ref("source", "status") }

// header fills what every part carries from the usual columns.
func (r record) header(id ID, title string) Head {
	h := Head{ID: id, Title: title, Source: r.origins()}
	if _, ok := r.head["note"]; ok {
		h.Note = r.text("note")
	}
	if _, ok := r.head["check"]; ok {
		h.Check = r.list("check", ";")
	}
	return h
}

// documents reads sources.csv, the list the other files point at.
func documents() map[string]source.Ref {
	m := map[string]source.Ref{}
	each("sources.csv", nil, func(r record) {
		m[r.text("key")] = source.Ref{Kind: source.Kind(r.text("kind")), Doc: r.text("doc"), Where: r.text("where")}
	})
	return m
}
