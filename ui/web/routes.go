package web

import (
	"net/http"
	"time"

	"keyon/app/desk"
	"keyon/model/fault"
)

// routes are all addresses there are. Opening cars and letting guests in is
// for the desk only.
func (s *Server) routes(atDesk bool) http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /static/{version}/{file...}", s.static)
	m.HandleFunc("POST /theme", s.setTheme)
	m.HandleFunc("GET /{$}", s.home)

	m.HandleFunc("GET /findings", s.car(s.findings))
	m.HandleFunc("POST /findings/accept", s.car(s.accept))
	m.HandleFunc("POST /findings/fix", s.car(s.fix))

	m.HandleFunc("GET /tables", s.car(s.tables))
	m.HandleFunc("GET /table/{table}", s.car(s.table))
	m.HandleFunc("GET /table/{table}/rows", s.car(s.rows))
	m.HandleFunc("POST /table/{table}/change", s.car(s.change))
	m.HandleFunc("POST /table/{table}/give", s.car(s.give))
	m.HandleFunc("POST /table/{table}/release", s.car(s.release))
	m.HandleFunc("POST /table/{table}/delete", s.car(s.deleteRows))
	m.HandleFunc("GET /pick", s.car(s.pick))
	m.HandleFunc("GET /why", s.car(s.why))
	m.HandleFunc("POST /undo", s.car(s.undo))
	m.HandleFunc("POST /redo", s.car(s.redo))
	m.HandleFunc("GET /history", s.car(s.history))
	m.HandleFunc("GET /events", s.car(s.events))

	m.HandleFunc("GET /plugs", s.car(s.plugs))
	m.HandleFunc("GET /plug", s.car(s.plug))
	m.HandleFunc("GET /circuits", s.car(s.circuits))
	m.HandleFunc("GET /circuit", s.car(s.circuit))
	m.HandleFunc("GET /wire", s.car(s.wire))
	m.HandleFunc("GET /build", s.car(s.build))
	m.HandleFunc("GET /search", s.car(s.search))
	m.HandleFunc("GET /parts", s.car(s.parts))

	m.HandleFunc("GET /whatif", s.car(s.whatIf))
	m.HandleFunc("POST /whatif", s.car(s.keep))
	m.HandleFunc("GET /papers", s.car(s.papers))
	m.HandleFunc("GET /papers/pack", s.car(s.pack))
	m.HandleFunc("GET /papers/paper", s.car(s.paper))
	m.HandleFunc("GET /papers/file/{file}", s.car(s.packFile))
	m.HandleFunc("GET /sums", s.sums)
	m.HandleFunc("GET /sums/wire", s.sumWire)
	m.HandleFunc("GET /sums/bundle", s.sumBundle)

	m.HandleFunc("GET /bring", s.car(s.bring))
	m.HandleFunc("POST /bring", s.car(s.hand))
	m.HandleFunc("GET /bring/{id}", s.car(s.preview))
	m.HandleFunc("POST /bring/{id}", s.car(s.take))

	if atDesk {
		m.HandleFunc("GET /start", s.start)
		m.HandleFunc("POST /start/demo", s.startDemo)
		m.HandleFunc("POST /start/open", s.startOpen)
		m.HandleFunc("POST /start/new", s.startNew)
		m.HandleFunc("GET /phones", s.phones)
		m.HandleFunc("POST /phones/code", s.newCode)
		m.HandleFunc("POST /phones/shut", s.shut)
		m.HandleFunc("POST /phones/away", s.away)
	} else {
		m.HandleFunc("GET /join", s.joinPage)
		m.HandleFunc("POST /join", s.join)
		m.HandleFunc("POST /leave", s.leave)
	}
	m.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, http.StatusNotFound, "there is no page "+r.URL.Path, "the line at the top leads everywhere")
	})
	return m
}

// car gives a handler the car on the desk; without one the first page asks.
func (s *Server) car(h func(http.ResponseWriter, *http.Request, *desk.Desk)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		k := s.desk.Load()
		switch {
		case k != nil:
			h(w, r, k)
		case callerOf(r).desk && r.Method == http.MethodGet && !wantsJSON(r):
			http.Redirect(w, r, "/start", http.StatusSeeOther)
		default:
			s.fail(w, r, fault.New(fault.NotFound, "open one at the desk", errNoCar))
		}
	}
}

// patience is how long a page waits for the plan of the newest edit before it
// shows what there is and catches up by itself.
const patience = 1500 * time.Millisecond

// viewFor is the view a page shows.
func viewFor(k *desk.Desk) *desk.View {
	v := k.Now()
	if v.Plan == nil && v.Past != nil {
		return v // a large car just opened: its last findings, at once
	}
	return k.Fresh(patience)
}

// back sends the browser to where it came from within the site.
func back(w http.ResponseWriter, r *http.Request, otherwise string) {
	to := r.FormValue("back")
	if len(to) < 1 || to[0] != '/' || len(to) > 1 && (to[1] == '/' || to[1] == '\\') {
		to = otherwise
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func (s *Server) setTheme(w http.ResponseWriter, r *http.Request) {
	value, age := r.FormValue("theme"), 365*24*3600
	if value != "light" && value != "dark" {
		age = -1
	}
	http.SetCookie(w, &http.Cookie{Name: "theme", Value: value, Path: "/", MaxAge: age, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	back(w, r, "/")
}
