package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"keyon/app/desk"
	"keyon/app/report"
	"keyon/draw"
	"keyon/model/fault"
	"keyon/model/part"
)

// plugsPage lists connectors, narrowed by words.
type plugsPage struct {
	Words string
	Looms []plugLoom
	Count int
}

type plugLoom struct {
	Name  string
	Plugs []draw.PlugName
}

func (s *Server) plugs(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.listPlugs(w, viewFor(k), r, r.FormValue("words"))
}

func (s *Server) listPlugs(w http.ResponseWriter, v *desk.View, r *http.Request, words string) {
	p := plugsPage{Words: words}
	for _, x := range desk.FindPlugs(v.Plugs(), words) {
		if n := len(p.Looms); n == 0 || p.Looms[n-1].Name != x.Loom {
			p.Looms = append(p.Looms, plugLoom{Name: x.Loom})
		}
		l := &p.Looms[len(p.Looms)-1]
		l.Plugs = append(l.Plugs, x)
		p.Count++
	}
	s.show(w, r, http.StatusOK, "plugs", "At a plug", of[plugsPage]{v, p})
}

// plug is a connector's page. A device with one connector is that connector;
// a device or join with several lists them. What a label's code says works as
// a name too.
func (s *Server) plug(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	name := strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(r.FormValue("name")), "keyon plug "))
	x, err := v.Plug(name)
	switch {
	case err != nil:
		s.fail(w, r, err)
	case x != nil:
		s.show(w, r, http.StatusOK, "plug", x.Name, of[*desk.Plug]{v, x})
	default:
		list := desk.PlugsOf(v.Plugs(), name)
		switch {
		case len(list) == 1:
			http.Redirect(w, r, href("plug", list[0].Name), http.StatusSeeOther)
		case len(list) > 1:
			s.listPlugs(w, v, r, name)
		case v.Plan == nil:
			s.fail(w, r, fault.New(fault.Conflict, "wait a moment and load the page again", errors.New("the plan is not there yet")))
		default:
			s.fail(w, r, fault.New(fault.NotFound, "the page “At a plug” lists those that have wires", fmt.Errorf("no connector with wires is called %q", name)))
		}
	}
}

func (s *Server) circuits(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	var list []report.Circuit
	if p := v.Report(); p != nil {
		list = desk.FindCircuits(p.Circuits, r.FormValue("words"))
	}
	s.show(w, r, http.StatusOK, "circuits", "Circuits", of[struct {
		Words string
		List  []report.Circuit
	}]{v, struct {
		Words string
		List  []report.Circuit
	}{r.FormValue("words"), list}})
}

func (s *Server) circuit(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	name := r.FormValue("name")
	t := v.Walk(name)
	if t == nil {
		s.fail(w, r, fault.New(fault.NotFound, "the page of circuits lists them", fmt.Errorf("no circuit is called %q", name)))
		return
	}
	s.show(w, r, http.StatusOK, "circuit", name, of[*desk.Walk]{v, t})
}

// wire leads to the circuit of a wire, by its number or ID.
func (s *Server) wire(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	circuit, id, ok := viewFor(k).WireNamed(r.FormValue("name"))
	if !ok {
		s.fail(w, r, fault.New(fault.NotFound, "search for it in the line at the top", fmt.Errorf("no wire is called %q", r.FormValue("name"))))
		return
	}
	http.Redirect(w, r, href("circuit", circuit)+"#wire-"+id, http.StatusSeeOther)
}

func (s *Server) build(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	name := r.FormValue("loom")
	if name == "" {
		s.show(w, r, http.StatusOK, "build", "What to build", of[[]desk.Jobs]{v, v.Looms()})
		return
	}
	j := v.Loom(name)
	if j == nil {
		s.fail(w, r, fault.New(fault.NotFound, "the page “What to build” lists the looms", fmt.Errorf("no loom is called %q", name)))
		return
	}
	s.show(w, r, http.StatusOK, "loom", name, of[loomPage]{v, loomPage{j, v.LoomLegs(name), v.LoomWires(name), v.LoomMap(name)}})
}

// loomPage is a loom with its legs and wires.
type loomPage struct {
	*desk.Jobs
	LegList  []report.Leg
	WireList []report.Wire
	Map      []byte // its legs drawn from above; nil where places have no coordinates
}

func (s *Server) search(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	words := strings.TrimSpace(r.FormValue("q"))
	hits := v.Search(words)
	if wantsJSON(r) {
		type hit struct {
			desk.Hit
			Href string `json:"href"`
		}
		out := []hit{}
		for _, h := range hits {
			out = append(out, hit{h, hitHref(h)})
		}
		answer(w, http.StatusOK, out)
		return
	}
	s.show(w, r, http.StatusOK, "search", "Search", of[struct {
		Words string
		Hits  []desk.Hit
	}]{v, struct {
		Words string
		Hits  []desk.Hit
	}{words, hits}})
}

// parts shows one part of the catalogue, or searches it.
func (s *Server) parts(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	v := viewFor(k)
	type page struct {
		Name, Title, Words string
		Lines              []part.Line
		Hits               []part.Hit
		More               int
	}
	p := page{Name: r.FormValue("name"), Words: r.FormValue("words")}
	p.Lines, p.Title = v.Catalogue.Show(p.Name), v.Catalogue.Title(p.Name)
	if p.Lines == nil {
		if p.Words == "" {
			p.Words = p.Name
		}
		p.Hits = v.Catalogue.Search(p.Words)
		if p.Words == "" {
			p.Hits = v.Catalogue.List("device")
		}
		if len(p.Hits) > mostParts {
			p.More, p.Hits = len(p.Hits)-mostParts, p.Hits[:mostParts]
		}
	}
	s.show(w, r, http.StatusOK, "parts", "Parts", of[page]{v, p})
}

// mostParts is how many parts a page lists; words narrow the rest.
const mostParts = 200
