package web

import (
	"keyon/app/desk"
	"net/url"

	"keyon/model/finding"
	"keyon/model/settle"
)

// href is the page of a thing; blank where it has none.
func href(kind, name string) string {
	q := url.QueryEscape(name)
	switch kind {
	case "circuit":
		return "/circuit?name=" + q
	case "wire":
		return "/wire?name=" + q
	case "plug", "connector", "device", "join":
		return "/plug?name=" + q
	case "loom":
		return "/build?loom=" + q
	case "table":
		return "/table/" + url.PathEscape(name)
	case "pack":
		return "/papers/pack?name=" + q
	case "part":
		return "/parts?name=" + q
	case "rule":
		return "/findings?rule=" + q + "&all=1"
	}
	if t := tableOf[kind]; t != "" {
		return "/table/" + t + "?find=" + q
	}
	return ""
}

var tableOf = map[string]string{"leg": "Legs", "place": "Places", "stud": "Studs", "feed": "Feeds", "cable": "Cables", "zone": "Zones", "assembly": "Assemblies", "state": "States", "limit": "Limits", "load": "Loads", "body": "Bodies", "part": "Parts", "waiver": "Waivers"}

// hrefOf is the page of a finding's thing.
func hrefOf(p finding.Place) string { return href(p.Kind, p.ID) }

// cellHref leads to a cell in its table.
func cellHref(at settle.Cell) string {
	if at.Table == "" {
		return ""
	}
	q := url.Values{}
	if at.Row != "" {
		q.Set("row", at.Row)
	}
	if at.Column != "" {
		q.Set("column", at.Column)
	}
	return "/table/" + url.PathEscape(at.Table) + "?" + q.Encode()
}

// hitHref leads to what a search found.
func hitHref(h desk.Hit) string {
	if h.In != "" && h.Row != "" {
		switch h.Kind {
		case "circuit", "wire", "device", "join", "loom":
			return href(h.Kind, h.Name)
		}
		return cellHref(settle.Cell{Table: h.In, Row: h.Row})
	}
	return href(h.Kind, h.Name)
}
