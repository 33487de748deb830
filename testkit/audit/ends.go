package audit

import (
	"slices"
	"strings"

	"keyon/model/part"
)

// cavities: one circuit a cavity, one wire a contact on each half.
func (a *auditor) cavities() {
	who := map[string]string{}
	use := func(key, circuit string) {
		a.r.Checked["cavity"]++
		if o, ok := who[key]; ok && o != circuit {
			a.say("cavity: %s serves %s and %s", key, o, circuit)
		}
		who[key] = circuit
	}
	for _, x := range a.p.Cavities {
		use("join "+x.Join+" "+x.Cavity, x.Circuit)
	}
	for _, e := range a.p.Ends {
		if e.Device != "" && e.Cavity != "" {
			use("pin "+e.Device+" "+e.Connector+" "+e.Cavity, e.Circuit)
		}
	}
	wires := map[string]int{}
	for i := range a.p.Wires {
		for _, e := range []*end{&a.p.Wires[i].From, &a.p.Wires[i].To} {
			switch {
			case e.Kind == "cavity":
				wires[e.Join+"/"+e.Half+" "+e.Cavity]++
			case e.Kind == "pin" && e.Cavity != "":
				wires[e.Device+"/"+e.Connector+" "+e.Cavity]++
			}
		}
	}
	for k, n := range wires {
		if n > 1 && !a.takesTwo(k) {
			a.say("cavity: %d wires in %s", n, k)
		}
	}
}

// takesTwo says whether a device's connector lets a contact take two wires.
func (a *auditor) takesTwo(key string) bool {
	device, _, _ := strings.Cut(key, "/")
	if d := a.c.Devices[a.parts[device]]; d != nil {
		for _, k := range d.Connectors {
			if c := a.c.Connectors[k.Part]; c != nil && c.MostPerContact > 1 {
				return true
			}
		}
	}
	return false
}

// connector finds the part and contact gender a wire's end goes into.
func (a *auditor) connector(e *end) (k *part.Connector, gender string) {
	if e.Kind == "cavity" {
		for _, j := range a.p.Joins {
			if j.Name == e.Join {
				gender = "pin"
				if j.Sockets == e.Half {
					gender = "socket"
				}
				return a.c.Connectors[j.Part], gender
			}
		}
		return nil, ""
	}
	d := a.c.Devices[a.parts[e.Device]]
	if d == nil {
		return nil, ""
	}
	for _, x := range d.Connectors {
		if x.Name == e.Connector {
			if k = a.c.Connectors[x.Part]; k != nil {
				if gender = k.Gender; gender == "" {
					gender = "socket"
				}
			}
			return k, gender
		}
	}
	return nil, ""
}

// contacts: the contact fits the cavity, takes the gauge, and its grommet
// closes round the wire.
func (a *auditor) contacts() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		for _, e := range []*end{&w.From, &w.To} {
			if e.Kind != "pin" && e.Kind != "cavity" {
				continue
			}
			k, gender := a.connector(e)
			if k == nil {
				continue
			}
			at := slices.IndexFunc(k.Cavities, func(c part.Cavity) bool { return c.Name == e.Cavity })
			if at < 0 {
				a.say("contact: %s has no cavity %q (wire %s)", k.ID, e.Cavity, w.Number)
				continue
			}
			contact := a.c.Contacts[e.Contact]
			if contact == nil {
				continue // the figures are missing and a finding says so
			}
			a.r.Checked["contact"]++
			if contact.Size != k.Cavities[at].Size && !slices.Contains(k.Cavities[at].Contacts, contact.ID) {
				a.say("contact: size %s in a cavity of size %s (wire %s)", contact.Size, k.Cavities[at].Size, w.Number)
			}
			if contact.Gender != "" && contact.Gender != gender {
				a.say("contact: %s in a half with %ss (wire %s)", contact.ID, gender, w.Number)
			}
			if w.Cable == "" && !slices.Contains(contact.Gauges, w.Gauge) && !strings.HasSuffix(w.Gauge, "mm2") {
				a.say("contact: %s does not take gauge %s (wire %s)", contact.ID, w.Gauge, w.Number)
			}
			if k.Sealed && w.Cable == "" && contact.WireMost > 0 && len(k.Cavities[at].Seals) == 0 && (w.OD < contact.WireLeast.MM()-1e-6 || w.OD > contact.WireMost.MM()+1e-6) {
				a.say("contact: %.3f mm outside the seal %.2f to %.2f mm (wire %s)", w.OD, contact.WireLeast.MM(), contact.WireMost.MM(), w.Number)
			}
		}
	}
}

// studs: no more lugs on a post than it holds; four where the design says
// nothing (common practice, and the house's default).
func (a *auditor) studs() {
	lugs := map[string]int{}
	for i := range a.p.Wires {
		for _, e := range []*end{&a.p.Wires[i].From, &a.p.Wires[i].To} {
			if e.Stud != "" {
				lugs[e.Stud]++
			}
		}
	}
	for _, s := range a.p.Studs {
		most := s.Most
		for _, row := range a.tables["Studs"] {
			if n := a.number(row["most lugs"]); same(row["stud"], s.Name) && n == n {
				most = int(n)
			}
		}
		if most == 0 {
			most = 4
		}
		a.worst("lugs", float64(lugs[s.Name]), float64(most), 0, "stud "+s.Name)
	}
}

// partners is the auditor's own table of what one end of a circuit needs at
// another (common practice). Roles that are not listed need nothing special.
var partners = map[string][]string{
	"analogue out":     {"analogue in", "digital in"},
	"resistive out":    {"temperature in", "analogue in"},
	"frequency out":    {"frequency in", "digital in"},
	"knock out":        {"knock in"},
	"coil in":          {"coil"},
	"injector in":      {"injector", "low side out", "ground"},
	"sensor supply in": {"sensor supply"},
	"thermocouple +":   {"thermocouple +"},
	"thermocouple -":   {"thermocouple -"},
	"bus high":         {"bus high"},
	"bus low":          {"bus low"},
	"starter in":       {"supply out", "battery +"},
}

// roles: each end that needs a partner has one on its circuit.
func (a *auditor) roles() {
	of := map[string][]string{}
	count := map[string]int{}
	for _, e := range a.p.Ends {
		of[e.Circuit] = append(of[e.Circuit], e.Role)
		count[e.Circuit+"\x00"+e.Role]++
	}
	for _, e := range a.p.Ends {
		need := partners[e.Role]
		if need == nil {
			continue
		}
		a.r.Checked["role"]++
		ok := false
		for _, r := range need {
			if r == e.Role {
				ok = ok || count[e.Circuit+"\x00"+r] > 1
			} else {
				ok = ok || slices.Contains(of[e.Circuit], r)
			}
		}
		if !ok {
			a.say("role: %s of %s on %s finds none of %v", e.Role, e.Device, e.Circuit, need)
		}
	}
}
