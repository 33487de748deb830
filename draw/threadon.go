package draw

import (
	"fmt"
	"strings"

	"keyon/format/page"
	"keyon/model/buy"
)

// thread is what goes on at one place of a loom, in order.
type thread struct {
	place int
	items []threadItem
}

type threadItem struct{ text, connector string }

// threads gathers the plan's thread-on lists by place: each leg's covering
// first, then what sits nearer the connectors, each thing once.
func (k *Car) threads(loom int) []thread {
	var out []thread
	at := map[int]int{}
	for _, th := range k.p.Cuts.Thread {
		leg := &k.t.Legs[th.Leg]
		if leg.Loom != loom {
			continue
		}
		i, ok := at[th.Place]
		if !ok {
			i = len(out)
			at[th.Place] = i
			out = append(out, thread{place: th.Place})
		}
		e := &out[i]
		n := 0
		for n < len(e.items) && e.items[n].connector == "" {
			n++
		}
		for _, text := range th.Items {
			x := threadItem{text: text}
			for _, word := range []string{"label sleeve of ", "boot or backshell of "} {
				if name, ok := strings.CutPrefix(text, word); ok {
					x.connector = name
				}
			}
			if x.connector == "" {
				if _, cut := buy.Covering(k.c, k.p, th.Leg); cut > 0 {
					x.text += fmt.Sprintf(", cut at %s %s", k.length(cut).print, k.lengthUnit())
				}
				x.text += ", on leg " + leg.Name
				e.items = append(e.items[:n], append([]threadItem{x}, e.items[n:]...)...)
				n++
				continue
			}
			if !has(e.items, x) {
				e.items = append(e.items, x)
			}
		}
	}
	return out
}

func has(list []threadItem, x threadItem) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// threadOn lists what goes on each leg end before its connectors.
func (k *Car) threadOn(loom int) Paper {
	p := Paper{Title: "Thread-on list", For: "what goes on a leg end before its connector closes the way"}
	t := table{id: "thread", name: "Thread-on", group: "End at", tick: true, plain: true, cols: []page.Column{{Head: "No.", Align: page.ToRight}, {Head: "Goes on", Weight: 1}}}
	for _, e := range k.threads(loom) {
		t.head("End at " + k.place(e.place))
		for n, x := range e.items {
			t.add("", count(n+1), txt(x.text))
		}
	}
	p.table(&t, page.Paragraph{Text: "In this order, from the loom outward. What is forgotten here means crimping again."})
	return p
}
