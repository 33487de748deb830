package web

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"keyon/app/door"
	"keyon/format/code"
	"keyon/format/page"
	"keyon/format/svg"
	"keyon/model/fault"
)

// share is the line to the shop's network. It is there only while somebody at
// the desk wants it.
type share struct {
	mu     sync.Mutex
	server *http.Server
	at     []string // addresses that phones reach, "192.168.1.20:8766"
}

// start listens on the shop's network; addr blank takes every address of the
// computer and a free port.
func (s *share) start(addr string, h http.Handler) ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server != nil {
		return s.at, nil
	}
	if addr == "" {
		addr = ":0"
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("listen for phones on %s: %w", addr, err)
	}
	s.at = reached(l.Addr().(*net.TCPAddr))
	if len(s.at) == 0 {
		l.Close()
		return nil, fault.New(fault.NotFound, "join the shop's network first", errors.New("this computer has no address on a network"))
	}
	s.server = Listen(h)
	go s.server.Serve(l)
	return s.at, nil
}

func (s *share) stop() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server != nil {
		s.server.Close()
		s.server, s.at = nil, nil
	}
}

func (s *share) addresses() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.at)
}

// reached are the addresses under which a listener is reached from outside.
func reached(at *net.TCPAddr) []string {
	if !at.IP.IsUnspecified() {
		return []string{at.String()}
	}
	var out []string
	list, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && n.IP.To4() != nil && !n.IP.IsLinkLocalUnicast() {
			out = append(out, net.JoinHostPort(n.IP.String(), fmt.Sprint(at.Port)))
		}
	}
	return out
}

// Listen makes a server with limits on how slow a browser may be. Writing has
// none: events stay open.
func Listen(h http.Handler) *http.Server {
	return &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 1 << 16, BaseContext: func(net.Listener) context.Context { return context.Background() }}
}

// phonesPage shows the code and who is in.
type phonesPage struct {
	Open    bool
	Code    door.Code
	Minutes int
	Links   []phoneLink
	Guests  []door.Guest
	Trouble string
	Hint    string
}

type phoneLink struct {
	URL  string
	Code []byte // QR as SVG
}

func (s *Server) phones(w http.ResponseWriter, r *http.Request) {
	s.showPhones(w, r, http.StatusOK, nil)
}

func (s *Server) showPhones(w http.ResponseWriter, r *http.Request, status int, trouble error) {
	p := phonesPage{Guests: s.door.Guests()}
	if trouble != nil {
		p.Trouble, p.Hint = trouble.Error(), fault.Hint(trouble)
	}
	if p.Code, p.Open = s.door.Code(); p.Open {
		p.Minutes = int(p.Code.Until.Sub(s.o.Clock()).Minutes() + 0.999)
		for _, a := range s.share.addresses() {
			u := "http://" + a + "/join?code=" + p.Code.Text
			l := phoneLink{URL: "http://" + a}
			if qr, err := code.QR("code", u, 50); err == nil {
				l.Code, _ = svg.Encode(page.Page{W: 50, H: 50, Marks: []page.Mark{qr}}, svg.Options{Title: "code that leads a phone to " + a, Inline: true})
			}
			p.Links = append(p.Links, l)
		}
	}
	s.show(w, r, status, "phones", "Phones", p)
}

// newCode opens the line to the shop's network and makes a code.
func (s *Server) newCode(w http.ResponseWriter, r *http.Request) {
	if _, err := s.share.start(s.o.ShopAddr, s.Shop()); err != nil {
		s.showPhones(w, r, status(err), err)
		return
	}
	s.door.Open(r.FormValue("edit") != "")
	http.Redirect(w, r, "/phones", http.StatusSeeOther)
}

// shut makes the code void; with "all" it sends everybody away and closes the
// line.
func (s *Server) shut(w http.ResponseWriter, r *http.Request) {
	s.door.Shut()
	if r.FormValue("all") != "" {
		s.door.Away("")
		s.share.stop()
	}
	http.Redirect(w, r, "/phones", http.StatusSeeOther)
}

func (s *Server) away(w http.ResponseWriter, r *http.Request) {
	if id := r.FormValue("guest"); id != "" {
		s.door.Away(id)
	}
	http.Redirect(w, r, "/phones", http.StatusSeeOther)
}

// joinPage asks a phone for the code.
type joinPage struct{ Code, Name, Trouble, Hint string }

func (s *Server) joinPage(w http.ResponseWriter, r *http.Request) {
	if callerOf(r).ID != "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	s.show(w, r, http.StatusOK, "join", "Join", joinPage{Code: r.FormValue("code")})
}

func (s *Server) join(w http.ResponseWriter, r *http.Request) {
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		from = r.RemoteAddr
	}
	p := joinPage{Code: r.PostFormValue("code"), Name: r.PostFormValue("name")}
	token, err := s.door.Enter(from, p.Code, p.Name)
	if err != nil {
		p.Trouble, p.Hint = err.Error(), fault.Hint(err)
		code := http.StatusForbidden
		if errors.Is(err, door.ErrTooOften) {
			code = http.StatusTooManyRequests
		}
		s.show(w, r, code, "join", "Join", p)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: token, Path: "/", MaxAge: int(door.GuestStays.Seconds()), HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (s *Server) leave(w http.ResponseWriter, r *http.Request) {
	s.door.Away(callerOf(r).ID)
	http.SetCookie(w, &http.Cookie{Name: cookieName(r), Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/join", http.StatusSeeOther)
}

// cookieName differs by port: browsers share cookies between the ports of one
// address.
func cookieName(r *http.Request) string {
	_, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		port = "80"
	}
	return "keyon-" + strings.Trim(port, "/")
}

func token(r *http.Request) string {
	if c, err := r.Cookie(cookieName(r)); err == nil {
		return c.Value
	}
	return ""
}
