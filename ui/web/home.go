package web

import (
	"errors"
	"net/http"

	"keyon/app/desk"
	"keyon/app/edit"
)

var errNoCar = errors.New("no car is open")

// home is the first page: what is wrong, what to build next, what is at a plug.
func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	k := s.desk.Load()
	if k == nil {
		if callerOf(r).desk {
			http.Redirect(w, r, "/start", http.StatusSeeOther)
			return
		}
		s.refuse(w, r, http.StatusNotFound, errNoCar.Error(), "open one at the desk")
		return
	}
	v := viewFor(k)
	recent, err := k.History(5)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	open := v.Opened()
	s.show(w, r, http.StatusOK, "home", v.CarName(), of[struct {
		Counts desk.Counts
		First  []desk.Finding
		Looms  []desk.Jobs
		Plugs  int
		Recent []edit.Moment
		Empty  bool
	}]{v, struct {
		Counts desk.Counts
		First  []desk.Finding
		Looms  []desk.Jobs
		Plugs  int
		Recent []edit.Moment
		Empty  bool
	}{v.Counts(""), open[:min(len(open), 4)], v.Looms(), len(v.Plugs()), recent, len(v.Book.Sheet("Devices").Rows) == 0}})
}
