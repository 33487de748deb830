package web

import (
	"net/http"
	"net/url"

	"keyon/app/desk"
)

// findingsPage is what the page of findings shows.
type findingsPage struct {
	desk.Filter
	Show     string // open, margins, accepted
	Groups   []desk.Group
	List     []desk.Finding
	Shown    int
	Total    int
	Counts   desk.Counts
	Looms    []string
	Accept   string // key of the finding whose form is open
	Reason   string
	Trouble  string
	More     string // address of the whole list
	RuleText string
}

// firstFindings is how many findings a page shows before it is asked for all.
const firstFindings = 150

func (s *Server) findings(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	s.showFindings(w, r, k, http.StatusOK, findingsPage{Accept: r.FormValue("accept")})
}

func (s *Server) showFindings(w http.ResponseWriter, r *http.Request, k *desk.Desk, code int, p findingsPage) {
	v := viewFor(k)
	p.Filter = desk.Filter{Severity: r.FormValue("severity"), Loom: r.FormValue("loom"), Rule: r.FormValue("rule"), Words: r.FormValue("words")}
	p.Show = r.FormValue("show")
	p.Counts = v.Counts(p.Loom)
	var all []desk.Finding
	switch p.Show {
	case "margins":
		all = v.Margins()
	case "accepted":
		all = v.Accepted()
	default:
		p.Show, all = "open", v.Opened()
	}
	all = p.Pick(all)
	p.Total = len(all)
	if r.FormValue("all") == "" && len(all) > firstFindings {
		q := r.URL.Query()
		q.Set("all", "1")
		p.More = "/findings?" + q.Encode()
		all = all[:firstFindings]
	}
	p.Shown = len(all)
	if p.Show == "open" {
		p.Groups = desk.Grouped(all)
	} else {
		p.List = all
	}
	for _, l := range v.Design.Looms {
		p.Looms = append(p.Looms, l.Name)
	}
	s.show(w, r, code, "findings", "What is wrong", of[findingsPage]{v, p})
}

// accept takes a finding as it is, with a reason and a name.
func (s *Server) accept(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	key, reason, name := r.FormValue("key"), r.FormValue("reason"), r.FormValue("name")
	if name == "" {
		name = callerOf(r).Name
	}
	if _, err := k.Waive(key, reason, name, callerOf(r).Name); err != nil {
		s.showFindings(w, r, k, status(err), findingsPage{Accept: key, Reason: reason, Trouble: err.Error()})
		return
	}
	k.Fresh(patience)
	back(w, r, "/findings")
}

// fix does the one edit that a finding proposes.
func (s *Server) fix(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	n := 0
	if f := r.FormValue("fix"); len(f) == 1 && f[0] >= '0' && f[0] <= '9' {
		n = int(f[0] - '0')
	}
	if _, err := k.Fix(r.FormValue("key"), n, callerOf(r).Name); err != nil {
		s.fail(w, r, err)
		return
	}
	k.Fresh(patience)
	back(w, r, "/findings")
}

// here is the page's own address with one parameter changed.
func here(uri, name, value string) string {
	u, err := url.Parse(uri)
	if err != nil {
		return "/"
	}
	q := u.Query()
	if value == "" {
		q.Del(name)
	} else {
		q.Set(name, value)
	}
	u.RawQuery = q.Encode()
	return u.String()
}
