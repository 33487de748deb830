package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"keyon/app/desk"
	"keyon/format/page"
	"keyon/format/svg"
	"keyon/model/finding"
	"keyon/model/settle"
)

//go:embed all:pages all:vendor
var embedded embed.FS

// pages are the templates, styles and scripts: a folder a page.
type pages struct {
	files   fs.FS
	dev     bool
	version string // of all files; part of every address, so that browsers may keep them

	mu   sync.Mutex
	made map[string]*template.Template
}

func newPages(folder string) (*pages, error) {
	p := &pages{files: embedded, made: map[string]*template.Template{}}
	if folder != "" {
		p.files, p.dev, p.version = os.DirFS(folder), true, "dev"
		return p, nil
	}
	h := sha256.New()
	h.Write([]byte(svg.Style()))
	err := fs.WalkDir(p.files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(p.files, name)
		fmt.Fprintf(h, "%s %d ", name, len(b))
		h.Write(b)
		return err
	})
	p.version = hex.EncodeToString(h.Sum(nil)[:6])
	return p, err
}

// template is the page's, with the frame around it.
func (p *pages) template(name string) (*template.Template, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if t := p.made[name]; t != nil && !p.dev {
		return t, nil
	}
	t, err := template.New("frame").Funcs(funcs).Funcs(template.FuncMap{"asset": func(file string) string { return "/static/" + p.version + "/" + file }}).
		ParseFS(p.files, "pages/base/*.html", "pages/"+name+"/*.html")
	if err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	p.made[name] = t
	return t, nil
}

// has says that the page has a file of its own: a style or a script.
func (p *pages) has(file string) bool {
	_, err := fs.Stat(p.files, file)
	return err == nil
}

// frame is what stands around every page.
type frame struct {
	Page, Title string
	Car         string
	File        string
	Design      string
	Edit        int64
	Planned     bool // the plan includes the newest edit
	Early       bool // no plan at all yet
	Broken      string
	Counts      desk.Counts
	Theme       string
	Who         string
	AtDesk      bool
	Known       bool // sees more than the page that asks for the code
	MayEdit     bool
	Open        bool // a car is open
	Path        string
	Style       string
	Script      string
	Data        any
}

// show prints a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, code int, page, title string, data any) {
	c := callerOf(r)
	f := frame{Page: page, Title: title, Theme: theme(r), Who: c.Name, AtDesk: c.desk, Known: c.desk || c.ID != "", MayEdit: c.mayEdit(), Path: r.URL.RequestURI(), Data: data}
	if k := s.desk.Load(); k != nil && f.Known {
		v := k.Now()
		if d, ok := data.(viewed); ok && d.seen() != nil {
			v = d.seen()
		}
		f.Open, f.Car, f.File, f.Edit, f.Counts = true, v.CarName(), k.Name(), v.Edit, v.Counts("")
		f.Planned, f.Early, f.Design = v.Edit >= k.Now().Edit && v.Plan != nil, v.Plan == nil, v.Design.Hash[:min(8, len(v.Design.Hash))]
		if v.Broken != nil {
			f.Broken = v.Broken.Error()
		}
	}
	if s.pages.has("pages/" + page + "/" + page + ".css") {
		f.Style = "pages/" + page + "/" + page + ".css"
	}
	if s.pages.has("pages/" + page + "/" + page + ".js") {
		f.Script = "pages/" + page + "/" + page + ".js"
	}
	t, err := s.pages.template(page)
	var b bytes.Buffer
	if err == nil {
		err = t.ExecuteTemplate(&b, "frame", f)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	w.Write(b.Bytes())
}

// viewed is the data of a page that was made from one view.
type viewed interface{ seen() *desk.View }

// of is data of a page with the view it was made from.
type of[T any] struct {
	V *desk.View
	X T
}

func (d of[T]) seen() *desk.View { return d.V }

// answer gives JSON to a script of ours.
func answer(w http.ResponseWriter, code int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	json.NewEncoder(w).Encode(v)
}

// static serves styles, scripts and the drawings' style sheet.
func (s *Server) static(w http.ResponseWriter, r *http.Request) {
	name := path.Clean(r.PathValue("file"))
	ext := path.Ext(name)
	if !slices.Contains([]string{".css", ".js", ".svg", ".ttf", ".woff2", ".png", ".txt"}, ext) {
		http.NotFound(w, r)
		return
	}
	var b []byte
	var err error
	switch {
	case name == "drawing.css":
		b = []byte(svg.Style())
	case strings.HasPrefix(name, "font/"):
		b, err = font(strings.TrimPrefix(name, "font/"))
	default:
		b, err = fs.ReadFile(s.pages.files, name)
	}
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", mime.TypeByExtension(ext))
	if !s.pages.dev {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	w.Write(b)
}

// theme is what the person chose: light, dark, or blank for the system's.
func theme(r *http.Request) string {
	if c, err := r.Cookie("theme"); err == nil && (c.Value == "light" || c.Value == "dark") {
		return c.Value
	}
	return ""
}

var funcs = template.FuncMap{
	"svg":   func(b []byte) template.HTML { return template.HTML(b) }, // of format/svg, which escapes every text
	"sign":  func(severity string) string { return signs[severity] },
	"place": func(p finding.Place) template.URL { return template.URL(hrefOf(p)) },
	"plural": func(n int, word string) string {
		if n == 1 {
			return "1 " + word
		}
		return fmt.Sprintf("%d %ss", n, word)
	},
	"join":  strings.Join,
	"list":  func(x ...any) []any { return x },
	"add":   func(a, b int) int { return a + b },
	"group": desk.Grouped,
	"dict": func(pairs ...any) map[string]any {
		m := map[string]any{}
		for i := 0; i+1 < len(pairs); i += 2 {
			m[pairs[i].(string)] = pairs[i+1]
		}
		return m
	},
	"metres":  func(m float64) string { return fmt.Sprintf("%.1f", m) },
	"percent": func(x float64) string { return fmt.Sprintf("%+.0f %%", x*100) },
	"hit":     func(h desk.Hit) template.URL { return template.URL(hitHref(h)) },
	"cell":    func(at settle.Cell) template.URL { return template.URL(cellHref(at)) },
	"here":    func(uri, name, value string) template.URL { return template.URL(here(uri, name, value)) },
	"when":    func(t time.Time) string { return t.Local().Format("2 Jan 15:04") },
	"iso":     func(t time.Time) string { return t.Format(time.RFC3339) },
	"href":    func(kind, name string) template.URL { return template.URL(href(kind, name)) },
}

// signs stand beside colours, which alone would say nothing to many.
var signs = map[string]string{"stop": "■", "look": "▲", "note": "●", "ok": "✓"}

// font gives the fonts that drawings are measured with.
func font(name string) ([]byte, error) {
	f, ok := map[string]page.Face{"regular.ttf": page.Regular, "bold.ttf": page.Bold, "mono.ttf": page.Mono}[name]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return f.TTF(), nil
}
