package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"keyon/app/desk"
)

// event is what an open page is told: an edit is saved, or a plan is there
// with all that changed by it.
type event struct {
	Edit    int64         `json:"edit"`
	Planned bool          `json:"planned"`
	Early   bool          `json:"early,omitempty"` // no plan at all yet
	Who     string        `json:"who,omitempty"`
	What    string        `json:"what,omitempty"`
	Broken  string        `json:"broken,omitempty"`
	Counts  *desk.Counts  `json:"counts,omitempty"`
	Rows    []gridRow     `json:"rows,omitempty"`
	Gone    []string      `json:"gone,omitempty"`
	Again   bool          `json:"again,omitempty"` // read the table anew
	Added   []findingLine `json:"added,omitempty"`
	Ended   []findingLine `json:"ended,omitempty"`
	More    int           `json:"more,omitempty"` // further findings that came or went
	Closed  bool          `json:"closed,omitempty"`
}

type findingLine struct {
	Severity string `json:"severity"`
	Title    string `json:"title"`
	What     string `json:"what"`
	Href     string `json:"href"`
}

// mostLines is how many findings an event carries each way; the page of
// findings has them all.
const mostLines = 20

// mostRows is how many changed rows an event carries; beyond, the table is
// read anew.
const mostRows = 3000

// beat keeps the line open through routers that drop silent ones.
const beat = 20 * time.Second

func (s *Server) events(w http.ResponseWriter, r *http.Request, k *desk.Desk) {
	out := http.NewResponseController(w)
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	events, stop := k.Listen()
	defer stop()
	table := r.FormValue("table")
	shown := k.Now()
	send := func(e event) error {
		b, err := json.Marshal(e)
		if err == nil {
			_, err = fmt.Fprintf(w, "data: %s\n\n", b)
		}
		if err == nil {
			err = out.Flush()
		}
		return err
	}
	// a page that was made from an older view, or lost its line, catches up
	first := viewEvent(shown, shown, desk.Event{Edit: shown.Edit, Planned: shown.Plan != nil}, "")
	first.Again = r.FormValue("edit") != fmt.Sprint(shown.Edit) || r.FormValue("planned") != fmt.Sprint(shown.Plan != nil)
	if send(first) != nil {
		return
	}
	tick := time.NewTicker(beat)
	defer tick.Stop()
	who := callerOf(r)
	for {
		select {
		case <-r.Context().Done():
			return
		case <-tick.C:
			if !who.desk {
				if _, ok := s.door.Who(token(r)); !ok {
					return
				}
			}
			if _, err := fmt.Fprint(w, ": \n\n"); err != nil || out.Flush() != nil {
				return
			}
		case e := <-events:
			now := k.Now()
			if s.desk.Load() != k {
				send(event{Closed: true})
				return
			}
			if !e.Planned && now.Edit < e.Edit {
				if send(event{Edit: e.Edit, Who: e.Who, What: e.What}) != nil {
					return
				}
				continue
			}
			if now == shown {
				continue
			}
			if send(viewEvent(now, shown, e, table)) != nil {
				return
			}
			shown = now
		}
	}
}

func viewEvent(now, old *desk.View, e desk.Event, table string) event {
	d := now.Delta(old, table)
	x := event{Edit: now.Edit, Planned: true, Early: now.Plan == nil, Who: e.Who, What: e.What, Counts: &d.Counts, Gone: d.Gone, Again: d.Moved}
	if now.Broken != nil {
		x.Broken = now.Broken.Error()
	}
	if len(d.Rows) > mostRows || len(d.Gone) > mostRows {
		x.Again, x.Gone, d.Rows = true, nil, nil
	}
	for i := range d.Rows {
		x.Rows = append(x.Rows, gridRowOf(&d.Rows[i]))
	}
	x.Added, x.Ended = lines(d.Added), lines(d.Ended)
	x.More = len(d.Added) + len(d.Ended) - len(x.Added) - len(x.Ended)
	return x
}

func lines(list []desk.Finding) []findingLine {
	var out []findingLine
	for _, f := range list[:min(len(list), mostLines)] {
		to := cellHref(f.Cell)
		if to == "" {
			to = hrefOf(f.Place)
		}
		out = append(out, findingLine{f.Severity, f.Rule.Title, f.What, to})
	}
	return out
}
