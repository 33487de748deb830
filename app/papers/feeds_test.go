//go:build outside

package papers_test

import (
	"slices"

	"keyon/app/report"
)

// feeds with a circuit in the loom; "" for all.
func (o *oracle) feeds(loom string) want {
	out := want{tab: "Feeds", heads: []string{"Feed", "Outlet", "Setting", "Rating|", "Most|", "In state", "Serves", "Weakest wire"}, units: []string{"", "", "", "A", "A", "", "", ""}}
	for _, f := range o.p.Feeds {
		var serves []string
		here := false
		for _, e := range o.p.Ends {
			if e.Feed == f.Name && !slices.Contains(serves, e.Circuit) {
				serves = append(serves, e.Circuit)
				here = here || o.has(e.Circuit, loom)
			}
		}
		if !here {
			continue
		}
		weak, state := "", f.State
		if w := o.wires[f.Weakest]; w != nil {
			weak = w.Number + " " + w.Circuit
		}
		if f.Amps == 0 {
			state = ""
		}
		outlet := ""
		if f.Device != "" && f.Pin != "" {
			outlet = f.Device + ":" + f.Pin
		}
		var rating any
		if f.RatingA > 0 {
			rating = number{f.RatingA, 2}
		}
		out.rows = append(out.rows, wantRow{"", "", []any{f.Name, dashed(outlet), settingOf(f.Setting), rating, number{f.Amps, 2}, state, anyOrder(serves), dashed(weak)}})
	}
	return out
}

// settingOf takes a setting with or without the mark of memory: the JSON
// doesn't say which fuse it is.
type settingOf string

// anyOrder is a list joined by commas in any order.
type anyOrder []string

func (o *oracle) has(circuit, loom string) bool {
	for i := range o.p.Wires {
		if w := &o.p.Wires[i]; w.Circuit == circuit && (loom == "" || w.Loom == loom) {
			return true
		}
	}
	return loom == ""
}

// loads of devices with a circuit in the loom: most amps and least volts.
func (o *oracle) loads(loom string) want {
	out := want{tab: "Loads", heads: []string{"Device", "From pin", "To pin", "Most|", "In state", "Least|", "In state", "Needs|", "Lost on the way|"}, units: []string{"", "", "", "A", "", "V", "", "V", "V"}}
	here := map[string]bool{}
	for _, e := range o.p.Ends {
		if e.Device != "" {
			here[e.Device] = here[e.Device] || o.has(e.Circuit, loom)
		}
	}
	type worst struct {
		most, least *report.DeviceVolts
		in, at      string
	}
	of := map[string]*worst{}
	for s := range o.p.States {
		for i := range o.p.States[s].Devices {
			x := &o.p.States[s].Devices[i]
			if !here[x.Device] {
				continue
			}
			k := x.Device + "\x00" + x.From + "\x00" + x.To
			w := of[k]
			if w == nil {
				w = &worst{most: x, least: x, in: o.p.States[s].Name, at: o.p.States[s].Name}
				of[k] = w
			}
			if x.Amps > w.most.Amps {
				w.most, w.in = x, o.p.States[s].Name
			}
			if x.Volts < w.least.Volts {
				w.least, w.at = x, o.p.States[s].Name
			}
		}
	}
	for _, k := range keys(of) {
		w := of[k]
		var needs any
		if w.least.LeastV > 0 {
			needs = number{w.least.LeastV, 2}
		}
		out.rows = append(out.rows, wantRow{"", "", []any{w.most.Device, dashed(w.most.From), dashed(w.most.To), number{w.most.Amps, 2}, w.in, number{w.least.Volts, 2}, w.at, needs, number{w.least.WayV, 3}}})
	}
	return out
}
