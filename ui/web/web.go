// Package web is keyon in a browser: the server, its pages, and who may see
// them. A handler reads a form, asks app/desk, and prints; it decides nothing
// about a car.
//
// It decides what a page shows and where a link leads, which address counts
// as the desk and which as the shop's network, and what a browser may load.
// It takes for granted that whoever reaches the loopback address sits at the
// desk. Codes and guests are app/door's.
package web

import (
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"keyon/app/desk"
	"keyon/app/door"
)

// Options say what a server serves.
type Options struct {
	Folder   string           // where new cars are made and cars to open are looked for
	Who      string           // who sits at the desk
	ShopAddr string           // where phones join; blank: every address of the computer, a free port
	Clock    func() time.Time // nil: the computer's
	Pages    string           // folder to read pages from at each request; blank: those inside the program
	Desk     *desk.Desk       // the open car; nil: the first page asks
}

// Server serves one car, to the desk and to guests.
type Server struct {
	o     Options
	door  *door.Door
	pages *pages
	share share
	desk  atomic.Pointer[desk.Desk]

	opening sync.Mutex
}

// New makes a server. It listens nowhere by itself: Desk is its handler.
func New(o Options) (*Server, error) {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	p, err := newPages(o.Pages)
	if err != nil {
		return nil, err
	}
	s := &Server{o: o, door: door.New(o.Clock), pages: p}
	if o.Desk != nil {
		s.desk.Store(o.Desk)
	}
	return s, nil
}

// Desk is the handler for whoever sits at the computer: for a loopback
// address only.
func (s *Server) Desk() http.Handler { return s.guarded(s.routes(true), true) }

// Shop is the handler for the shop's network: nobody gets further than the
// page that asks for the code without having shown it.
func (s *Server) Shop() http.Handler { return s.guarded(s.routes(false), false) }

// Close stops sharing and closes the car.
func (s *Server) Close() error {
	s.share.stop()
	if k := s.desk.Swap(nil); k != nil {
		return k.Close()
	}
	return nil
}

// open puts another car on the desk.
func (s *Server) open(path string) error {
	s.opening.Lock()
	defer s.opening.Unlock()
	if k := s.desk.Load(); k != nil && sameFile(k.Path, path) {
		return nil
	}
	k, err := desk.Open(path, s.o.Clock)
	if err != nil {
		return err
	}
	if old := s.desk.Swap(k); old != nil {
		return old.Close()
	}
	return nil
}

func sameFile(a, b string) bool {
	x, errA := filepath.Abs(a)
	y, errB := filepath.Abs(b)
	return errA == nil && errB == nil && x == y
}
