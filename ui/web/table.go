package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"strconv"

	"keyon/app/desk"
	"keyon/app/edit"
	"keyon/model/fault"
	"keyon/model/settle"
)

func (s *Server) tables(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	s.show(w, r, http.StatusOK, "tables", "Tables", of[[]desk.TableInfo]{v, v.Tables()})
}

// tablePage is what the page of a table shows.
type tablePage struct {
	*desk.Sheet
	Tables []desk.TableInfo
	Plain  bool // for reading and printing, without scripts
	From   int
	Next   int // row that the next page begins with, 0 for none
	Before int // -1 for none
	Rows   []desk.Row
}

// plainRows is how many rows a page without scripts holds.
const plainRows = 400

func (s *Server) table(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	sheet := v.Sheet(r.PathValue("table"))
	if sheet == nil {
		s.fail(w, r, fault.New(fault.NotFound, "the page of tables lists them", errors.New("no table is called "+strconv.Quote(r.PathValue("table")))))
		return
	}
	p := tablePage{Sheet: sheet, Tables: v.Tables(), Plain: r.FormValue("plain") != "", Before: -1}
	p.From, _ = strconv.Atoi(r.FormValue("from"))
	p.From = max(0, min(p.From, len(sheet.Rows)))
	end := min(p.From+plainRows, len(sheet.Rows))
	p.Rows = sheet.Rows[p.From:end]
	if end < len(sheet.Rows) {
		p.Next = end
	}
	if p.From > 0 {
		p.Before = max(0, p.From-plainRows)
	}
	s.show(w, r, http.StatusOK, "table", sheet.Name, of[tablePage]{v, p})
}

// gridRow is a row as the grid's script reads it.
type gridRow struct {
	ID    string     `json:"id"`
	Cells []gridCell `json:"cells"`
	Plan  bool       `json:"plan,omitempty"` // only the plan has it
}

// gridCell is a cell: typed text, shown value where they differ, state, and
// the worst finding.
type gridCell struct {
	T string `json:"t,omitempty"`
	V string `json:"v,omitempty"`
	S string `json:"s,omitempty"` // blank for given, or nothing
	F string `json:"f,omitempty"` // stop, look, note
	W string `json:"w,omitempty"` // what the finding says
}

func gridRowOf(r *desk.Row) gridRow {
	g := gridRow{ID: r.UID, Cells: make([]gridCell, len(r.Cells)), Plan: r.Planned()}
	for i := range r.Cells {
		c := &r.Cells[i]
		g.Cells[i] = gridCell{T: c.Text, V: c.Shown, S: short[c.State]}
		if c.Sign != nil {
			g.Cells[i].F, g.Cells[i].W = c.Sign.Severity, c.Sign.What
		}
	}
	return g
}

// short are the states a cell may have beside given and blank.
var short = map[string]string{"worked out": "w", "kept": "k", "open": "o", "garbled": "g"}

func (s *Server) rows(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	sheet := v.Sheet(r.PathValue("table"))
	if sheet == nil {
		s.fail(w, r, fault.New(fault.NotFound, "", errors.New("there is no such table")))
		return
	}
	rows := make([]gridRow, len(sheet.Rows))
	for i := range sheet.Rows {
		rows[i] = gridRowOf(&sheet.Rows[i])
	}
	answer(w, http.StatusOK, map[string]any{"edit": v.Edit, "planned": v.Plan != nil, "columns": sheet.Columns, "rows": rows, "mayEdit": callerOf(r).mayEdit()})
}

// tell answers an edit: what was done, or why not. Where somebody else was first
// both texts are told.
func tell(w http.ResponseWriter, d desk.Done, err error) {
	if err == nil {
		answer(w, http.StatusOK, d)
		return
	}
	a := map[string]any{"error": err.Error(), "hint": fault.Hint(err)}
	if m, ok := errors.AsType[*edit.Moved](err); ok {
		a["conflict"] = map[string]string{"row": m.Cell.Row, "column": m.Cell.Column, "saw": m.Saw, "holds": m.Holds, "text": m.Text}
	}
	answer(w, status(err), a)
}

func readJSON(r *http.Request, to any) error {
	if err := json.NewDecoder(r.Body).Decode(to); err != nil {
		return fault.New(fault.Invalid, "", err)
	}
	return nil
}

func (s *Server) change(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	var b desk.Block
	err := readJSON(r, &b)
	b.Table = r.PathValue("table")
	var n desk.Done
	if err == nil {
		n, err = k.Change(b, callerOf(r).Name)
	}
	tell(w, n, err)
}

// cells are cells of one table as a person saw them.
type cells struct {
	Rows  []string    `json:"rows"`
	Cells []desk.Seen `json:"cells"`
}

func (s *Server) give(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	var c cells
	err := readJSON(r, &c)
	var n desk.Done
	if err == nil {
		n, err = k.Give(r.PathValue("table"), c.Cells, callerOf(r).Name)
	}
	tell(w, n, err)
}

func (s *Server) release(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	var c cells
	err := readJSON(r, &c)
	var n desk.Done
	if err == nil {
		n, err = k.Release(r.PathValue("table"), c.Cells, callerOf(r).Name)
	}
	tell(w, n, err)
}

func (s *Server) deleteRows(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	var c cells
	err := readJSON(r, &c)
	var n desk.Done
	if err == nil {
		n, err = k.Delete(r.PathValue("table"), c.Rows, c.Cells, callerOf(r).Name)
	}
	tell(w, n, err)
}

func (s *Server) pick(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	list := k.Now().Pick(cellOf(r), r.FormValue("q"))
	if list == nil {
		list = []desk.Choice{}
	}
	answer(w, http.StatusOK, list)
}

func cellOf(r *http.Request) settle.Cell {
	return settle.Cell{Table: r.FormValue("table"), Row: r.FormValue("row"), Column: r.FormValue("column")}
}

// whyPage explains a cell, or a field of a thing.
type whyPage struct {
	*desk.Why
	Chain   []chainLink
	History []desk.CellMoment
	Try     string
}

type chainLink struct{ What, Origin, Reason string }

func (s *Server) why(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	y, err := v.Why(cellOf(r))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p := whyPage{Why: y}
	if y.Thing != "" && y.Field != "" && y.State != "given" {
		if chain, err := v.Chain(y.Thing, y.Field); err == nil {
			for _, c := range chain.Chain {
				p.Chain = append(p.Chain, chainLink{c.What, c.Origin, c.Reason})
			}
		}
	}
	if p.History, err = k.CellHistory(y.Cell, 20); err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, r, http.StatusOK, "why", y.Name, of[whyPage]{v, p})
}

func (s *Server) undo(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.takeBack(w, r, k, k.Undo)
}
func (s *Server) redo(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.takeBack(w, r, k, k.Redo)
}

func (s *Server) takeBack(w http.ResponseWriter, r *http.Request, k *desk.Desk, f func(string) (desk.Done, error)) {
	done, err := f(callerOf(r).Name)
	switch {
	case wantsJSON(r):
		tell(w, done, err)
	case err != nil:
		s.fail(w, r, err)
	default:
		k.Fresh(patience)
		back(w, r, "/history")
	}
}

func (s *Server) history(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	list, err := k.History(200)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	v := viewFor(k)
	s.show(w, r, http.StatusOK, "history", "History", of[[]moment]{v, momentsOf(v, list)})
}

// moment is an edit with its first changes in words.
type moment struct {
	edit.Moment
	First []string
	More  int
}

// firstChanges is how many changes of an edit are told.
const firstChanges = 6

func momentsOf(v *desk.View, list []edit.Moment) []moment {
	name := v.CellName()
	out := make([]moment, len(list))
	for i, m := range list {
		out[i].Moment = m
		for n, c := range m.Changes {
			if n == firstChanges {
				out[i].More = len(m.Changes) - n
				break
			}
			out[i].First = append(out[i].First, desk.ChangeWords(c, name))
		}
	}
	return out
}
