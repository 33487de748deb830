package web

import (
	"errors"
	"io"
	"net/http"
	"strings"

	"keyon/app/desk"
	"keyon/model/fault"
)

// startPage is the first visit: open, bring, begin.
type startPage struct {
	Folder  string
	Cars    []string
	Name    string
	Trouble string
	Hint    string
}

func (s *Server) start(w http.ResponseWriter, r *http.Request) {
	s.showStart(w, r, http.StatusOK, startPage{})
}

func (s *Server) showStart(w http.ResponseWriter, r *http.Request, code int, p startPage) {
	p.Folder = s.o.Folder
	p.Cars = desk.Cars(s.o.Folder)
	s.show(w, r, code, "start", "Begin", p)
}

func (s *Server) began(w http.ResponseWriter, r *http.Request, path string, err error) {
	if err == nil {
		err = s.open(path)
	}
	if err != nil {
		s.showStart(w, r, status(err), startPage{Name: r.FormValue("name"), Trouble: err.Error(), Hint: fault.Hint(err)})
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (s *Server) startDemo(w http.ResponseWriter, r *http.Request) {
	path, err := desk.Demo(s.o.Folder, s.o.Who, s.o.Clock())
	s.began(w, r, path, err)
}

func (s *Server) startOpen(w http.ResponseWriter, r *http.Request) {
	path, err := desk.CarIn(s.o.Folder, r.FormValue("file"))
	s.began(w, r, path, err)
}

// startNew begins a car: empty, or from a workbook.
func (s *Server) startNew(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimSpace(r.FormValue("name"))
	var data []byte
	file, head, err := r.FormFile("file")
	from := ""
	if err == nil {
		defer file.Close()
		from = head.Filename
		if data, err = io.ReadAll(file); err == nil && name == "" {
			name = strings.TrimSuffix(from, ".xlsx")
		}
	}
	if err != nil && !errors.Is(err, http.ErrMissingFile) && !errors.Is(err, http.ErrNotMultipart) {
		s.began(w, r, "", err)
		return
	}
	path, err := desk.Begin(s.o.Folder, name, from, data, s.o.Who, s.o.Clock())
	s.began(w, r, path, err)
}
