package web

import (
	"errors"
	"io"
	"net/http"
	"strings"

	"keyon/app/desk"
	"keyon/app/edit"
	"keyon/app/report"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/store/workbook"
)

// bringPage asks for a workbook, a file, or pasted text.
type bringPage struct {
	What    string // ours, foreign
	As      string // Circuits, Pins
	Part    string
	Text    string
	Parts   []desk.Choice
	Trouble string
	Hint    string
}

func (s *Server) bring(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.showBring(w, r, k, http.StatusOK, bringPage{What: r.FormValue("what"), As: r.FormValue("as"), Part: r.FormValue("part")})
}

func (s *Server) showBring(w http.ResponseWriter, r *http.Request, k *desk.Desk, code int, p bringPage) {
	v := k.Now()
	if p.As == "" {
		p.As = "Circuits"
	}
	p.Parts = v.Pick(settle.Cell{Table: "Pins", Column: "part"}, "")
	s.show(w, r, code, "bring", "Bring tables in", of[bringPage]{v, p})
}

// hand takes what somebody brings and leads to what it would change.
func (s *Server) hand(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	p := bringPage{What: r.FormValue("what"), As: r.FormValue("as"), Part: r.FormValue("part"), Text: r.FormValue("text")}
	in, err := handed(r, k, p)
	if err != nil {
		p.Trouble, p.Hint = err.Error(), fault.Hint(err)
		s.showBring(w, r, k, status(err), p)
		return
	}
	to := "/bring/" + in.ID
	if in.Reading == nil {
		to = here(here(to, "as", p.As), "part", p.Part)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func handed(r *http.Request, k *desk.Desk, p bringPage) (*desk.Incoming, error) {
	if p.What == "foreign" && strings.TrimSpace(p.Text) != "" {
		return k.HandPasted(p.Text)
	}
	file, head, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) || err == nil && head.Size == 0 {
		return nil, fault.New(fault.Invalid, "choose a file, or paste the cells into the field", errors.New("nothing was handed over"))
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(file)
	if err != nil {
		return nil, err
	}
	if p.What == "foreign" {
		return k.HandForeign(head.Filename, data)
	}
	return k.Hand(head.Filename, data)
}

// previewPage shows what would change, and asks what headings mean.
type previewPage struct {
	In        *desk.Incoming
	Preview   *edit.Preview
	Findings  []report.Finding
	Stops     int
	Foreign   *edit.ForeignPreview
	As, Part  string
	Sheet     int
	Headings  []heading
	Columns   []string // that a heading may mean
	Roles     []roleLine
	AllRoles  []string
	Shown     []edit.RowChange
	More      int
	Trouble   string
	Hint      string
	Added     int
	Changed   int
	Removed   int
	NeedsPart bool
}

// heading is a heading of a foreign table with the first texts under it.
type heading struct {
	Name, Column string
	Sample       []string
}

type roleLine struct {
	edit.RoleGuess
	At int
}

// firstRows is how many changed rows a preview prints.
const firstRows = 200

var errLost = errors.New("what was handed over is not here any more")

func (s *Server) preview(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.showPreview(w, r, k, http.StatusOK, nil)
}

func (s *Server) showPreview(w http.ResponseWriter, r *http.Request, k *desk.Desk, code int, trouble error) {
	in := k.Incoming(r.PathValue("id"))
	if in == nil {
		s.fail(w, r, fault.New(fault.NotFound, "hand it over again", errLost))
		return
	}
	p := previewPage{In: in, As: r.FormValue("as"), Part: r.FormValue("part")}
	if in.Reading != nil {
		p.Preview = k.Import(in)
	} else {
		f := tableOfForm(r, in)
		fp, err := k.Foreign(f, edit.Target{Table: p.As, Part: p.Part}, columnsOf(r, f))
		if err != nil {
			if trouble == nil {
				trouble, code = err, status(err)
			}
			p.NeedsPart = p.As == "Pins" && strings.TrimSpace(p.Part) == ""
		} else {
			p.Foreign, p.Preview = fp, fp.Preview
		}
		p.foreign(f, fp)
	}
	if p.Preview != nil {
		name := report.CellName(func(c settle.Cell) string {
			if ref := p.Preview.Ref(c); ref != "" {
				return ref
			}
			return c.Table + " " + c.Column
		})
		p.Findings = report.OfFindings(p.Preview.Findings, name, false)
		for _, f := range p.Findings {
			if f.Severity == finding.Stop {
				p.Stops++
			}
		}
		p.Shown = p.Preview.Rows
		if len(p.Shown) > firstRows {
			p.Shown, p.More = p.Shown[:firstRows], len(p.Shown)-firstRows
		}
		p.Added, p.Changed, p.Removed = p.Preview.Count(edit.Added), p.Preview.Count(edit.Changed), p.Preview.Count(edit.Removed)
	}
	if trouble != nil {
		p.Trouble, p.Hint = trouble.Error(), fault.Hint(trouble)
	}
	s.show(w, r, code, "preview", "Look before taking over", of[previewPage]{k.Now(), p})
}

func (p *previewPage) foreign(f *workbook.Foreign, fp *edit.ForeignPreview) {
	for i, h := range f.Headings {
		x := heading{Name: h}
		if fp != nil {
			x.Column = fp.Columns[h]
		}
		for _, l := range f.Lines[:min(3, len(f.Lines))] {
			if i < len(l.Cells) && l.Cells[i] != "" {
				x.Sample = append(x.Sample, l.Cells[i])
			}
		}
		p.Headings = append(p.Headings, x)
	}
	if t := design.ByName(p.As); t != nil {
		for _, c := range t.Columns {
			if p.As != "Pins" || c.Name != "part" {
				p.Columns = append(p.Columns, c.Name)
			}
		}
	}
	if p.As == "Circuits" {
		p.Columns = append(p.Columns, "from device and pin", "to device and pin")
	}
	for _, role := range part.Roles() {
		p.AllRoles = append(p.AllRoles, string(role))
	}
	if fp != nil {
		for i, g := range fp.Roles {
			p.Roles = append(p.Roles, roleLine{g, i})
		}
	}
}

func tableOfForm(r *http.Request, in *desk.Incoming) *workbook.Foreign {
	for _, f := range in.Tables {
		if f.Sheet == r.FormValue("sheet") {
			return f
		}
	}
	return in.Tables[0]
}

// columnsOf is what the form says each heading means; nil where it doesn't.
func columnsOf(r *http.Request, f *workbook.Foreign) map[string]string {
	if r.FormValue("named") == "" {
		return nil
	}
	out := map[string]string{}
	for _, h := range f.Headings {
		if c := r.FormValue("heading " + h); c != "" {
			out[h] = c
		}
	}
	return out
}

func (s *Server) take(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	in := k.Incoming(r.PathValue("id"))
	if in == nil {
		s.fail(w, r, fault.New(fault.NotFound, "hand it over again", errLost))
		return
	}
	if r.FormValue("do") != "take" {
		s.showPreview(w, r, k, http.StatusOK, nil)
		return
	}
	var err error
	table := ""
	if in.Reading != nil {
		_, err = k.Take(in, callerOf(r).Name)
	} else {
		table, err = s.takeForeign(r, k, in)
	}
	if err != nil {
		s.showPreview(w, r, k, status(err), err)
		return
	}
	k.Fresh(patience)
	if table != "" {
		http.Redirect(w, r, href("table", table), http.StatusSeeOther)
		return
	}
	http.Redirect(w, r, "/findings", http.StatusSeeOther)
}

func (s *Server) takeForeign(r *http.Request, k *desk.Desk, in *desk.Incoming) (string, error) {
	f := tableOfForm(r, in)
	to := edit.Target{Table: r.FormValue("as"), Part: r.FormValue("part")}
	p, err := k.Foreign(f, to, columnsOf(r, f))
	if err != nil {
		return "", err
	}
	var roles []edit.RoleGuess
	for _, g := range p.Roles {
		if role := r.FormValue("role " + g.UID); role != "" {
			g.Role = part.Role(role)
			roles = append(roles, g)
		}
	}
	_, err = k.TakeForeign(p, roles, callerOf(r).Name)
	return to.Table, err
}
