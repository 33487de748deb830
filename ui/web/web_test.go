package web_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"keyon/app/desk"
	"keyon/app/edit"
	"keyon/store/workbook"
	"keyon/ui/web"
)

func clock() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }

func server(t *testing.T) *web.Server {
	t.Helper()
	path := filepath.Join(t.TempDir(), "car.keyon")
	car, err := edit.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := workbook.ReadPath("../../examples/retrofit")
	if err != nil {
		t.Fatal(err)
	}
	if err := car.Take(car.Import(r), edit.By{Who: "anna", When: clock()}); err != nil {
		t.Fatal(err)
	}
	if err := car.Close(); err != nil {
		t.Fatal(err)
	}
	k, err := desk.Open(path, clock)
	if err != nil {
		t.Fatal(err)
	}
	k.Fresh(time.Minute)
	s, err := web.New(web.Options{Folder: filepath.Dir(path), Who: "anna", Clock: clock, Desk: k})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// answer is what came back, read to its end.
type answer struct {
	code int
	head http.Header
	body string
}

// ask asks over a real connection: the guard looks at the address it came in by.
func ask(t *testing.T, at *httptest.Server, method, path string, head ...string) answer {
	t.Helper()
	r, err := http.NewRequest(method, at.URL+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", "text/html")
	for i := 0; i < len(head); i += 2 {
		r.Header.Set(head[i], head[i+1])
	}
	w, err := http.DefaultTransport.RoundTrip(r) // follows nothing
	if err != nil {
		t.Fatal(err)
	}
	defer w.Body.Close()
	body, err := io.ReadAll(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer{w.StatusCode, w.Header, string(body)}
}

func serve(t *testing.T, h http.Handler) *httptest.Server {
	s := httptest.NewServer(h)
	t.Cleanup(s.Close)
	return s
}

// TestPages: every page of the line at the top opens, shows the car's own
// things, and may load nothing from elsewhere.
func TestPages(t *testing.T) {
	h := serve(t, server(t).Desk())
	for path, want := range map[string]string{
		"/": "Gear-cut retrofit", "/findings": "", "/tables": "Circuits", "/table/Circuits": "FORCE", "/plugs": "cut box", "/circuits": "FORCE",
		"/circuit?name=FORCE": "", "/build": "cabin loom", "/search?q=FORCE": "FORCE", "/parts?q=sensor": "", "/whatif": "", "/papers": "cabin loom", "/sums": "", "/history": "anna", "/bring": "", "/phones": "", "/start": "",
	} {
		w := ask(t, h, "GET", path)
		if w.code != http.StatusOK || !strings.Contains(w.body, want) {
			t.Errorf("GET %s: %d, %q not in it", path, w.code, want)
		}
		if p := w.head.Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") {
			t.Errorf("GET %s: policy %q", path, p)
		}
	}
	if w := ask(t, h, "GET", "/nowhere"); w.code != http.StatusNotFound {
		t.Errorf("GET /nowhere: %d", w.code)
	}
}

// TestKeptOut: another site's page changes nothing, and the shop's network
// gets no further than the page that asks for the code.
func TestKeptOut(t *testing.T) {
	s := server(t)
	at, shop := serve(t, s.Desk()), serve(t, s.Shop())
	if w := ask(t, at, "POST", "/undo", "Sec-Fetch-Site", "cross-site", "Origin", "http://example.org"); w.code != http.StatusForbidden {
		t.Errorf("another site's undo: %d", w.code)
	}
	for _, path := range []string{"/", "/findings", "/table/Circuits", "/papers"} {
		if w := ask(t, shop, "GET", path); w.code == http.StatusOK || strings.Contains(w.body, "FORCE") {
			t.Errorf("GET %s without the code: %d", path, w.code)
		}
	}
	if w := ask(t, shop, "GET", "/join"); w.code != http.StatusOK {
		t.Errorf("GET /join: %d", w.code)
	}
}
