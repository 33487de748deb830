package web

import (
	"fmt"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"unicode"

	"keyon/app/desk"
	"keyon/model/fault"
)

func (s *Server) papers(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	s.show(w, r, http.StatusOK, "papers", "Papers", of[[]desk.Jobs]{v, v.Looms()})
}

func (s *Server) packOf(r *http.Request, k *desk.Desk) (*desk.View, *desk.Pack, error) {
	v := k.Fresh(patience)
	p, err := v.Pack(r.FormValue("name"), s.today())
	return v, p, err
}

func (s *Server) pack(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v, p, err := s.packOf(r, k)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, r, http.StatusOK, "pack", "Papers of "+p.Name, of[*desk.Pack]{v, p})
}

// paperPage is one paper on the screen.
type paperPage struct {
	Pack   *desk.Pack
	Paper  desk.Paper
	Number int
	Sheets [][]byte
}

// paper shows one paper, by its number or, as a connector's pin sheet, title.
func (s *Server) paper(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v, p, err := s.packOf(r, k)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	n, err := strconv.Atoi(r.FormValue("paper"))
	if title := r.FormValue("title"); err != nil && title != "" {
		if at, ok := p.Sheet(title); ok {
			n, err = at, nil
		}
	}
	if err != nil || n < 0 || n >= len(p.Papers) {
		s.fail(w, r, fault.New(fault.NotFound, "the pack lists its papers", fmt.Errorf("the papers of %s have no such paper", p.Name)))
		return
	}
	x := paperPage{Pack: p, Paper: p.Papers[n], Number: n}
	for i := range x.Paper.Pages {
		b, err := p.Page(x.Paper.First + i)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		x.Sheets = append(x.Sheets, b)
	}
	s.show(w, r, http.StatusOK, "paper", x.Paper.Title, of[paperPage]{v, x})
}

// packFile gives a pack as a file: pdf, xlsx, labels.csv; pdf of one paper
// where it is named.
func (s *Server) packFile(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	_, p, err := s.packOf(r, k)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	var data []byte
	kind, name := "", fileName(p.Name)
	switch r.PathValue("file") {
	case "pdf":
		n := -1
		if q := r.FormValue("paper"); q != "" {
			if n, err = strconv.Atoi(q); err != nil || n < 0 {
				s.fail(w, r, fault.New(fault.NotFound, "", fmt.Errorf("there is no paper %q", q)))
				return
			}
		}
		data, err = p.PDF(n)
		kind, name = "application/pdf", name+".pdf"
	case "xlsx":
		data, err = p.Workbook()
		kind, name = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", name+".xlsx"
	case "labels":
		data, kind, name = p.LabelFile(), "text/csv; charset=utf-8", name+"-labels.csv"
	default:
		err = fault.New(fault.NotFound, "", fmt.Errorf("papers come as pdf, xlsx and labels, not as %q", r.PathValue("file")))
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	how := "attachment"
	if kind == "application/pdf" && r.FormValue("save") == "" {
		how = "inline"
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType(how, map[string]string{"filename": name}))
	w.Write(data)
}

// fileName is a name with letters, digits and hyphens only.
func fileName(name string) string {
	name = strings.Trim(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, name), "-")
	if r := []rune(name); len(r) > 60 {
		name = string(r[:60])
	}
	if name == "" {
		return "papers"
	}
	return name
}

func hint(err error) string { return fault.Hint(err) }
