package assign

import (
	"slices"
	"strconv"

	"keyon/model/flow"
	"keyon/model/part"
	"keyon/num/assign"
)

// Prices of a pairing, in mm of wire: what fits better is worth so much more
// of it (judgement: house-rules). Roles decide first, then whether a pin must
// be connected, groups and indexes, then names, the contact, room to spare and
// the way.
const (
	priceSide  = 400_000 // current that would run against its row
	priceThick = 300_000 // thick cable in a cavity
	priceRole  = 100_000 // a step from the best role that may serve
	priceIdle  = 30_000  // a pin that need not be connected
	priceGroup = 20_000  // each other wire of the far device that hangs elsewhere
	priceCoil  = 15_000  // a feed on a relay's coil, a controlled output on its contact
	pricePost  = 12_000  // thin wire on a post
	priceIndex = 10_000
	priceTwin  = 8_000  // the group serves the far device's other track
	priceName  = 5_000  // nothing of the pin's name stands in the circuit's
	priceWord  = 200    // less for each word of the pin's name that does
	priceUnfit = 25_000 // contacts at the two ends of one wire that take no gauge in common
	priceTight = 20_000 // a contact that leaves no room for protecting its wire
	priceSize  = 1_000  // a step of contact size away from the other end's
	priceSpare = 40     // an ampere more than needed
	priceOrder = 1      // later pins of the part, so that equal ones fill in order
)

// price is what a pin costs an end, Forbidden where it must not serve it.
func (w *work) price(d int, v *want, s seat) int64 {
	pin := s.pin
	p := &w.t.Devices[d].Part.Pins[pin]
	f := w.parts[w.t.Devices[d].Part]
	likeness := int64(v.name.Likeness(f.words[pin]))
	if v.may&f.roles[pin] == 0 || rated(p.Role) && p.Amps > 0 && v.amps > float64(p.Amps) {
		return assign.Forbidden
	}
	// A pin that says nothing of itself is never guessed: its name must be
	// the circuit's, or it must be the only one left or one of interchangeable ones.
	if p.Role == part.Plain && likeness < 100 && !w.anyPlain(d) {
		return assign.Forbidden
	}
	cost := int64(pin)*priceOrder + (100-likeness)*priceName/100 - int64(v.name.Met(f.words[pin]))*priceWord
	if rank(p.Role) > 0 || p.Role == part.Ground && !v.ground { // among what takes, none comes before another
		step, _ := v.source.Step(f.roles[pin])
		cost += int64(step) * priceRole
	}
	if (p.Role == part.Plain) != v.plain {
		cost += priceRole
	}
	switch {
	case v.heavy && !f.post[pin]:
		cost += priceThick
	case !v.heavy && f.post[pin]:
		cost += pricePost
	}
	if v.power && (v.begins && taking.Has(p.Role) || !v.begins && giving.Has(p.Role)) {
		cost += priceSide
	}
	if s.more {
		cost += priceGroup
	}
	if !p.Needed || s.more {
		cost += priceIdle
	}
	if k := kind(p.Role); k != "" {
		cost += int64(elsewhere(v.groups, k, p.Group)+elsewhere(v.pairs, k, p.Index)) * priceGroup
		cost += int64(min(1, v.twins[p.Group])) * priceTwin
	}
	if f.coil[pin] && v.fed || f.pass[pin] && v.driven {
		cost += priceCoil
	}
	if v.index != "" && p.Index != "" && v.index != p.Index && ordered(p.Role) {
		cost += priceIndex
	}
	cost += fit(f.sizes[pin], v.size, v.direct)
	if rated(p.Role) {
		cost += roomy(f.sizes[pin], float64(p.Amps), v.amps)
	}
	if at := w.pinPlace(d, pin); at != w.t.Devices[d].Place { // pins at the device's own place are equally far
		cost += w.far(at, v.at)
	}
	return cost
}

// elsewhere counts the wires of the far device that hang in another group of
// the kind than this one.
func elsewhere(met map[string]int, kind, group string) int {
	n := 0
	if group == "" {
		return 0
	}
	for g, count := range met {
		if len(g) > len(kind) && g[:len(kind)+1] == kind+" " && g[len(kind)+1:] != group {
			n += count
		}
	}
	return n
}

// anyPlain says that it doesn't matter which of a device's free plain pins
// serves: there is one, or the part calls them interchangeable.
func (w *work) anyPlain(d int) bool {
	p := w.t.Devices[d].Part
	swap, n := "", 0
	for k := range p.Pins {
		if p.Pins[k].Role != part.Plain || w.taken[d][k] >= 0 {
			continue
		}
		if n++; n > 1 && (p.Pins[k].Swap == "" || p.Pins[k].Swap != swap) {
			return false
		}
		swap = p.Pins[k].Swap
	}
	return true
}

// ordered roles are those whose index means something to the tuner.
func ordered(r part.Role) bool {
	switch r {
	case part.Coil, part.Injector, part.KnockIn, part.ThermoPlus, part.ThermoMinus, part.BusHigh, part.BusLow, part.Shield:
		return true
	}
	return false
}

// sizes are the contact sizes of the circular series, thin to thick. Sizes 23
// to 20 share gauges (24 and 22); above, no two neighbours take one and the
// same wire through their seals (AS39029 contacts, MIL-DTL-38999N tables; seen).
var sizes = []int{23, 22, 20, 16, 12, 10, 8, 4}

// fit prices how far the contacts at two ends are apart; direct says that one
// wire joins them, without a splice to step down at. Sizes nobody knows fit.
func fit(a, b int, direct bool) int64 {
	i, k := slices.Index(sizes, a), slices.Index(sizes, b)
	if i < 0 || k < 0 {
		return 0
	}
	cost := int64(max(i-k, k-i)) * priceSize
	if direct && i != k && max(i, k) > slices.Index(sizes, 20) {
		cost += priceUnfit
	}
	return cost
}

// tight is the share of a contact's test current at which a feed's setting
// begins to leave too little room for a wire that the contact takes: bundled
// wires carry less than single ones (judgement: house-rules).
const tight = 0.6

// roomy prices what a source pin has more than it needs, and a contact that
// its wire would fill to the last.
func roomy(size int, rating, amps float64) int64 {
	cost := int64(0)
	if rating > 0 {
		cost = int64((rating - amps) * priceSpare)
	}
	if most, ok := flow.ContactAmps(sizeName(size)); ok && amps > tight*most {
		cost += priceTight
	}
	return cost
}

func sizeName(size int) string {
	if size == 22 {
		return "22D"
	}
	return strconv.Itoa(size)
}
