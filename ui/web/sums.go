package web

import (
	"net/http"
	"strconv"
	"strings"

	"keyon/app/sums"
	"keyon/model/fault"
	"keyon/model/part"
)

func (s *Server) sums(w http.ResponseWriter, r *http.Request) {
	s.show(w, r, http.StatusOK, "sums", "Quick sums", sumsPage{})
}

// sumsPage is a question with its answer.
type sumsPage struct {
	Which    string
	Wire     sums.WireAsk
	Bundle   string
	Families []string
	WireIs   *sums.WireAnswer
	BundleIs *sums.BundleAnswer
	Picture  []byte
	Trouble  string
	Hint     string
}

func (p *sumsPage) trouble(err error) int {
	if err == nil {
		return http.StatusOK
	}
	p.Trouble, p.Hint = err.Error(), fault.Hint(err)
	return status(err)
}

func (s *Server) sumWire(w http.ResponseWriter, r *http.Request) {
	c := part.Embedded()
	p := sumsPage{Which: "wire", Families: c.Families}
	f := r.FormValue
	n := 1
	var err error
	if f("bundle") != "" {
		if n, err = strconv.Atoi(strings.TrimSpace(f("bundle"))); err != nil {
			err = fault.New(fault.Usage, "write a whole number of wires", err)
		}
	}
	p.Wire = sums.WireAsk{Amps: f("amps"), Length: f("length"), Return: f("return"), Ambient: f("ambient"), Insulation: f("insulation"), Bundle: n, Loading: f("loading"), Altitude: f("altitude"), Volts: f("volts"), Drop: f("drop"), Gauge: f("gauge"), Family: f("family")}
	if err == nil && r.URL.RawQuery != "" {
		p.WireIs, err = sums.Wire(c, p.Wire)
	}
	s.show(w, r, p.trouble(err), "sums", "Quick sum: wire", p)
}

func (s *Server) sumBundle(w http.ResponseWriter, r *http.Request) {
	p := sumsPage{Which: "bundle", Bundle: r.FormValue("wires")}
	var err error
	if p.Bundle != "" {
		if p.BundleIs, err = sums.Bundle(strings.Fields(p.Bundle)); err == nil {
			p.Picture, err = p.BundleIs.Picture()
		}
	}
	s.show(w, r, p.trouble(err), "sums", "Quick sum: bundle", p)
}
