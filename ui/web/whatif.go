package web

import (
	"net/http"
	"time"

	"keyon/app/desk"
	"keyon/model/settle"
)

// whatIfPage is the question, and the answer where it was asked.
type whatIfPage struct {
	Assemblies []string
	Try        desk.Try
	Name       string // of the cell
	Is         desk.Cell
	Choices    []desk.Choice
	Answer     *desk.Answer
	Trouble    string
	Hint       string
}

func tryOf(r *http.Request) desk.Try {
	return desk.Try{Assembly: r.FormValue("assembly"), By: [3]string{r.FormValue("x"), r.FormValue("y"), r.FormValue("z")},
		Cell: settle.Cell{Table: r.FormValue("table"), Row: r.FormValue("row"), Column: r.FormValue("column")}, Text: r.FormValue("text")}
}

func (s *Server) whatIf(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.showWhatIf(w, r, k, http.StatusOK, nil)
}

func (s *Server) showWhatIf(w http.ResponseWriter, r *http.Request, k *desk.Desk, code int, trouble error) {
	v := viewFor(k)
	p := whatIfPage{Try: tryOf(r)}
	for _, a := range v.Design.Assemblies {
		p.Assemblies = append(p.Assemblies, a.Name)
	}
	if p.Try.Cell.Table != "" {
		p.Name = v.CellName()(p.Try.Cell)
		p.Is, _ = v.Find(p.Try.Cell)
		p.Choices = v.Pick(p.Try.Cell, "")
	}
	if r.FormValue("ask") != "" {
		var err error
		if p.Answer, err = k.WhatIf(p.Try); err != nil && trouble == nil {
			trouble, code = err, status(err)
		}
	}
	if trouble != nil {
		p.Trouble, p.Hint = trouble.Error(), hint(trouble)
	}
	s.show(w, r, code, "whatif", "What if", of[whatIfPage]{v, p})
}

func (s *Server) keep(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	if _, err := k.Keep(tryOf(r), r.FormValue("saw"), callerOf(r).Name); err != nil {
		s.showWhatIf(w, r, k, status(err), err)
		return
	}
	k.Fresh(patience)
	http.Redirect(w, r, "/history", http.StatusSeeOther)
}

// today is the date that papers carry.
func (s *Server) today() string { return s.o.Clock().Format(time.DateOnly) }
