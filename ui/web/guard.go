package web

import (
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"

	"keyon/app/door"
	"keyon/model/fault"
)

// policy is all that a page may load: what this server gives, and nothing
// inline.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// caller is who asks.
type caller struct {
	desk bool
	door.Guest
}

// mayEdit says whether the caller may change the car.
func (c caller) mayEdit() bool { return c.desk || c.MayEdit }

type callerKey struct{}

func callerOf(r *http.Request) caller {
	c, _ := r.Context().Value(callerKey{}).(caller)
	return c
}

// free are the paths a guest may see before showing the code.
func free(path string) bool {
	return path == "/join" || path == "/theme" || strings.HasPrefix(path, "/static/")
}

// guarded puts everything in front of the routes that keeps others out.
func (s *Server) guarded(next http.Handler, atDesk bool) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, http.StatusForbidden, "this came from another site's page", "open the page itself and do it there")
	}))
	checked := cross.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c := caller{desk: atDesk}
		if atDesk {
			c.Name = s.o.Who
		} else if cookie, err := r.Cookie(cookieName(r)); err == nil {
			if g, ok := s.door.Who(cookie.Value); ok {
				c.Guest = g
			}
		}
		switch {
		case !c.desk && c.ID == "" && !free(r.URL.Path):
			if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
				http.Redirect(w, r, "/join", http.StatusSeeOther)
				return
			}
			s.refuse(w, r, http.StatusUnauthorized, "this phone has not shown the code", "open this address in its browser and type the code of the desk page")
			return
		case r.Method != http.MethodGet && r.Method != http.MethodHead && !c.mayEdit() && !free(r.URL.Path) && r.URL.Path != "/leave":
			s.refuse(w, r, http.StatusForbidden, "this phone may look, not change", "ask at the desk for a code that may change things")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), callerKey{}, c)))
	}))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch x := recover(); {
			case x == nil:
			case x == http.ErrAbortHandler:
				panic(x)
			default:
				log.Printf("keyon: %s %s: %v\n%s", r.Method, r.URL.Path, x, debug.Stack())
				s.fail(w, r, fmt.Errorf("internal error: %v", x))
			}
		}()
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // without it older browsers call the origin null
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
		h.Set("Cache-Control", "no-store")
		if !hostOK(r, atDesk) {
			// no page: it would be one of ours under a name that isn't
			http.Error(w, "this server answers to its own address only", http.StatusMisdirectedRequest)
			return
		}
		if o := r.Header.Get("Origin"); o != "" && !ownOrigin(o, r.Host) {
			s.refuse(w, r, http.StatusForbidden, "this came from another site's page", "open the page itself and do it there")
			return
		}
		checked.ServeHTTP(w, r)
	})
}

// mostBody bounds what may be sent: a workbook of a large car.
const mostBody = 64 << 20

// hostOK says that the name asked for is an address of this server: a name
// that somebody else's DNS leads here would share our origin with them. At the
// desk it is a loopback name, in the shop the address that was reached.
func hostOK(r *http.Request, atDesk bool) bool {
	host, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		host, port = r.Host, "80"
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	ip, at, err := net.SplitHostPort(local.String())
	if err != nil || at != port {
		return false
	}
	if atDesk {
		named := net.ParseIP(host)
		return host == "localhost" || named != nil && named.IsLoopback()
	}
	a, b := net.ParseIP(host), net.ParseIP(ip)
	return a != nil && b != nil && a.Equal(b)
}

func ownOrigin(origin, host string) bool {
	u, err := url.Parse(origin)
	return err == nil && u.Scheme == "http" && u.Host == host
}

// status is the answer to a kind of error.
func status(err error) int {
	if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return http.StatusRequestEntityTooLarge
	}
	switch fault.Of(err) {
	case fault.Invalid, fault.Usage:
		return http.StatusUnprocessableEntity
	case fault.NotFound:
		return http.StatusNotFound
	case fault.Conflict:
		return http.StatusConflict
	}
	return http.StatusInternalServerError
}

// fail tells an error as a page, or as JSON to a script.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	s.refuse(w, r, status(err), err.Error(), fault.Hint(err))
}

func (s *Server) refuse(w http.ResponseWriter, r *http.Request, code int, what, hint string) {
	if wantsJSON(r) {
		answer(w, code, map[string]any{"error": what, "hint": hint})
		return
	}
	s.show(w, r, code, "error", "That did not work", struct {
		Code       int
		What, Hint string
	}{code, what, hint})
}

func wantsJSON(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "application/json") || strings.HasPrefix(r.Header.Get("Content-Type"), "application/json")
}
