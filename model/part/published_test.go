package part

import (
	"encoding/csv"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keyon/num/conductor"
)

// reference reads a published table kept outside the project.
func reference(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("../../../shared/reference", file))
	if err != nil {
		t.Skip("no reference tables beside the project: " + file)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		list = append(list, m)
	}
	return list
}

func num(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// near compares to a share of the wanted value.
func near(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// TestEveryRow: each row of each data file names a source that is listed and
// a status that exists, and says which figure is missing.
func TestEveryRow(t *testing.T) {
	entries, err := os.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	table := func(file string) (rows [][]string, column map[string]int) {
		f, err := os.Open(filepath.Join("data", file))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		rows, err = csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		column = map[string]int{}
		for i, h := range rows[0] {
			column[h] = i
		}
		return rows[1:], column
	}
	listed, used := map[string]bool{}, map[string]bool{}
	sources, at := table("sources.csv")
	for _, r := range sources {
		listed[r[at["key"]]] = true
		if r[at["kind"]] == "" || r[at["doc"]] == "" {
			t.Errorf("source %s has no kind or document", r[at["key"]])
		}
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".csv") || e.Name() == "sources.csv" {
			continue
		}
		rows, at := table(e.Name())
		if len(rows) == 0 {
			t.Errorf("%s is empty", e.Name())
		}
		for i, r := range rows {
			source, status := r[at["source"]], r[at["status"]]
			used[source] = true
			if !listed[source] {
				t.Errorf("%s row %d: no source %q in sources.csv", e.Name(), i+2, source)
			}
			if !slices.Contains([]string{"seen", "memory", "computed", "missing"}, status) {
				t.Errorf("%s row %d: status %q", e.Name(), i+2, status)
			}
			if status == "missing" && r[at["note"]] == "" {
				t.Errorf("%s row %d: the note doesn't say what is missing", e.Name(), i+2)
			}
		}
		if i, ok := at["ohm_source"]; ok {
			for _, r := range rows {
				used[r[i]] = true
			}
		}
	}
	for k := range listed {
		if !used[k] {
			t.Errorf("source %s is used by no row", k)
		}
	}
}

// TestGaugeFormula holds the AWG formula to published sizes.
func TestGaugeFormula(t *testing.T) {
	for _, c := range []struct {
		gauge string
		mm    float64
		mm2   float64
	}{
		{"20", 0.8118, 0.5176},   // ASTM B258
		{"0000", 11.684, 107.22}, // ASTM B258
		{"36", 0.1270, 0.01267},  // ASTM B258: 36 is 0.005 in
		{"10", 2.588, 5.261},     // ASTM B258
	} {
		n, ok := conductor.GaugeNumber(c.gauge)
		if d, a := conductor.GaugeDiameter(n)*1e3, conductor.GaugeArea(n)*1e6; !ok || !near(d, c.mm, 2e-4) || !near(a, c.mm2, 3e-4) {
			t.Errorf("gauge %s: %.4f mm, %.4f mm², want %.4f mm, %.4f mm²", c.gauge, d, a, c.mm, c.mm2)
		}
	}
}

// family29606A is the families whose conductor is that of the table, by
// coating; 12 is the 37 strand one.
var family29606A = map[string][]string{"tin": {"AS22759/32", "AS22759/34", "AS22759/16"}, "silver": {"AS22759/44", "AS22759/43"}, "nickel": {"AS22759/41"}}

// TestResistanceByCoating: greatest resistance in ohm per kilometre at 20 °C,
// MIL-DTL-29606A Table III-A, annealed copper, p. 24.
func TestResistanceByCoating(t *testing.T) {
	c := Embedded()
	rows := []struct {
		gauge               string
		silver, nickel, tin float64
	}{
		{"24", 79.7, 85.0, 86.0}, {"22", 49.5, 52.5, 53.1}, {"20", 30.2, 32.1, 32.4}, {"18", 19.0, 20.0, 20.4},
		{"16", 14.8, 15.6, 15.8}, {"14", 9.45, 9.84, 10.0}, {"12", 6.23, 6.50, 6.63}, {"10", 3.90, 4.07, 4.13},
	}
	for _, r := range rows {
		for coating, want := range map[string]float64{"silver": r.silver, "nickel": r.nickel, "tin": r.tin} {
			found := false
			for _, f := range family29606A[coating] {
				w := c.WireOf(f, r.gauge)
				if w == nil {
					continue
				}
				found = true
				if got := float64(w.OhmPerM) * 1e3; !near(got, want, 1e-9) || w.Coating != coating {
					t.Errorf("%s %s (%s): %g Ω/km, want %g (%s)", f, r.gauge, w.Coating, got, want, coating)
				}
			}
			if !found {
				t.Errorf("no wire of gauge %s with %s", r.gauge, coating)
			}
		}
	}
}

// TestConductorsAgainstTable compares every AWG wire with the reference
// table, row by row: 29606A for 30 to 0, the drawings for 00 to 0000.
func TestConductorsAgainstTable(t *testing.T) {
	rows := reference(t, "as22759_conductor.csv")
	n := 0
	for coating, families := range family29606A {
		for _, f := range families {
			for _, w := range Embedded().Wires[f] {
				for _, r := range rows {
					set := "MIL-DTL-29606A"
					if len(w.Gauge) > 1 && w.Gauge[0] == '0' {
						set = map[string]string{"tin": "drawing 55A8039", "nickel": "drawing 55A0813"}[coating]
					}
					if r["dataset"] != set || r["awg"] != w.Gauge || r["coating"] != coating || r["stranding"] != w.Strands {
						continue
					}
					n++
					if ohm := num(t, r["rmax20_ohm_per_km"]); !near(float64(w.OhmPerM)*1e3, ohm, 1e-6) {
						t.Errorf("%s: %g Ω/km, want %g", w.ID, float64(w.OhmPerM)*1e3, ohm)
					}
					if mm2 := num(t, r["area_nom_mm2"]); !near(w.Area.MM2(), mm2, 1e-6) {
						t.Errorf("%s: %g mm², want %g", w.ID, w.Area.MM2(), mm2)
					}
					if a, ok := AreaOf(w.Gauge); !ok || !near(a.MM2(), w.Area.MM2(), 0.006) {
						t.Errorf("area of gauge %s: %g mm², the wire has %g", w.Gauge, a.MM2(), w.Area.MM2())
					}
				}
			}
		}
	}
	if n < 60 {
		t.Errorf("only %d wires were compared", n)
	}
}

// TestFinishedWire compares outside diameter and mass with the reference
// table, and some typed from the drawings.
func TestFinishedWire(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		id           string
		outside, tol float64 // in
		kg           float64 // per km
	}{
		{"AS22759/41 20", .058, .002, 6.994}, // drawing 55A0813 rev S, Table I: 4.70 lb/1000 ft
		{"AS22759/41 8", .195, .008, 95.54},  // same, 64.2 lb/1000 ft
		{"AS22759/34 4", .325, .015, 230.7},  // drawing 55A8039 rev H, Table I: 155 lb/1000 ft
		{"AS22759/32 22", .043, .002, 4.167}, // memory
	} {
		w := c.wireByID(k.id)
		if w == nil {
			t.Fatalf("no wire %s", k.id)
		}
		if !near(w.Outside.MM(), k.outside*25.4, 5e-4) || !near(w.OutsideMost.MM(), (k.outside+k.tol)*25.4, 5e-4) || !near(float64(w.MassPerM)*1e3, k.kg, 1e-3) {
			t.Errorf("%s: %.3f to %.3f mm, %.3f kg/km", k.id, w.Outside.MM(), w.OutsideMost.MM(), float64(w.MassPerM)*1e3)
		}
	}
	for _, r := range reference(t, "as22759_finished.csv") {
		spec, _, _ := strings.Cut(r["spec"], " ")
		w := c.WireOf(spec, r["awg"])
		if w == nil {
			t.Errorf("%s %s is not in the catalogue", spec, r["awg"])
			continue
		}
		if !near(w.Outside.MM(), num(t, r["od_nom_mm"]), 1e-4) {
			t.Errorf("%s: outside %g mm, want %s", w.ID, w.Outside.MM(), r["od_nom_mm"])
		}
		if kg := r["weight_max_kg_per_km"]; kg == "" && w.MassPerM != 0 || kg != "" && !near(float64(w.MassPerM)*1e3, num(t, kg), 1e-4) {
			t.Errorf("%s: %g kg/km, want %q", w.ID, float64(w.MassPerM)*1e3, kg)
		}
	}
	for _, w := range c.Wires["AS22759/16"] {
		if w.Outside != 0 || w.MassPerM != 0 || w.Source.Status != "missing" {
			t.Errorf("%s has an outside diameter; no published one is known", w.ID)
		}
	}
}

// TestMetricCable compares JIS C 3406, ISO 6722-1, IEC 60228 and SAE J1128.
func TestMetricCable(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		id      string
		ohm, od float64
	}{
		{"JIS C3406 AV 2mm2", 8.81, 3.1},       // JIS C 3406, maker's page: 26 g/m
		{"JIS C3406 AV 0.5mm2", 32.7, 2.2},     // same
		{"JIS C3406 AVf 1.25mm2", 14.7, 2.7},   // same
		{"JIS C3406 AV 100mm2", 0.168, 17.6},   // same
		{"ISO 6722-1 thin 2.5mm2", 7.60, 3.0},  // memory; outside diameter seen on a maker's sheet
		{"ISO 6722-1 thin 0.35mm2", 54.4, 1.4}, // memory
		{"IEC 60228 class 5 2.5mm2", 7.98, 0},  // IEC 60228:2004 table 3
		{"IEC 60228 class 5 50mm2", 0.386, 0},  // same
	} {
		w := c.wireByID(k.id)
		if w == nil {
			t.Fatalf("no wire %s", k.id)
		}
		if !near(float64(w.OhmPerM)*1e3, k.ohm, 1e-6) || !near(w.Outside.MM(), k.od, 1e-6) {
			t.Errorf("%s: %g Ω/km, outside %g mm, want %g and %g", k.id, float64(w.OhmPerM)*1e3, w.Outside.MM(), k.ohm, k.od)
		}
	}
	for _, r := range reference(t, "jis_c3406_av.csv") {
		size, flexible := strings.CutSuffix(r["size"], "f")
		w := c.WireOf(map[bool]string{true: "JIS C3406 AVf", false: "JIS C3406 AV"}[flexible], size+"mm2")
		if w == nil {
			t.Errorf("no AV %s", r["size"])
			continue
		}
		if !near(float64(w.OhmPerM)*1e3, num(t, r["rmax20_mohm_per_m"]), 1e-6) || !near(w.Outside.MM(), num(t, r["od_std_mm"]), 1e-6) || !near(w.OutsideMost.MM(), num(t, r["od_max_mm"]), 1e-6) || !near(float64(w.MassPerM)*1e3, num(t, r["mass_g_per_m"]), 1e-6) {
			t.Errorf("%s differs from the published row: %+v", w.ID, w)
		}
	}
	for _, r := range reference(t, "iec60228.csv") {
		if w := c.WireOf("IEC 60228 class 5", r["area_nom_mm2"]+"mm2"); w == nil || !near(float64(w.OhmPerM)*1e3, num(t, r["class5_plain_max_ohm_per_km"]), 1e-6) {
			t.Errorf("IEC 60228 class 5 %s: %+v", r["area_nom_mm2"], w)
		}
	}
	for _, r := range reference(t, "sae_j1128.csv") {
		if r["dataset"] != "GXL wire" {
			continue
		}
		if w := c.WireOf("SAE J1128 GXL", r["sae_size"]); w == nil || !near(w.Outside.MM(), num(t, r["od_nom_in"])*25.4, 1e-4) || !near(float64(w.MassPerM)*1e3, num(t, r["weight_kg_per_km"]), 1e-4) {
			t.Errorf("GXL %s: %+v", r["sae_size"], w)
		}
	}
}

// TestWireHangsTogether: what must hold for any wire, whoever measured it.
func TestWireHangsTogether(t *testing.T) {
	const copper = 8.89 // g/cm³, IEC 60028
	c := Embedded()
	for _, f := range c.Families {
		for i, w := range c.Wires[f] {
			if strings.HasPrefix(f, "KX") || f == "coax" {
				continue // no copper
			}
			if i > 0 && (c.Wires[f][i-1].Area >= w.Area || c.Wires[f][i-1].OhmPerM <= w.OhmPerM) {
				t.Errorf("%s is not thicker than %s", w.ID, c.Wires[f][i-1].ID)
			}
			// Nothing conducts better than its copper: R·A ≥ 0.98/58 Ω·mm²/m (IEC
			// 60028; 2 % for nominal areas that are rounded).
			// IEC 60228 itself allows 0.386 Ω/km at 50 mm² of class 5.
			if ra := float64(w.OhmPerM) * w.Area.MM2() * 58; ra < 0.98 || ra > 1.3 {
				t.Errorf("%s: resistance times area is %.3f of copper's", w.ID, ra)
			}
			if w.Outside > 0 && w.Conductor >= w.Outside || w.OutsideMost > 0 && w.OutsideMost < w.Outside {
				t.Errorf("%s: conductor %g, outside %g to %g mm don't stand in order", w.ID, w.Conductor.MM(), w.Outside.MM(), w.OutsideMost.MM())
			}
			if g := float64(w.MassPerM) * 1e3; g > 0 && g < w.Area.MM2()*copper*0.95 {
				t.Errorf("%s weighs %.2f g/m, its copper alone %.2f", w.ID, g, w.Area.MM2()*copper)
			}
		}
	}
}

// TestContactRanges: MIL-DTL-38999N Tables IV and V, pin and socket alike.
func TestContactRanges(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		pin, socket, size, gauges string
		least, most, amps, mohm   float64 // mm, mm, A, mΩ
		pull                      float64 // N at the thickest size; memory
	}{
		{"M39029/58-360", "M39029/56-348", "22D", "28 26 24 22", 0.76, 1.37, 5, 14.6, 53.4},
		{"M39029/58-363", "M39029/56-351", "20", "24 22 20", 1.02, 2.11, 7.5, 7.33, 89},
		{"M39029/58-364", "M39029/56-352", "16", "20 18 16", 1.65, 2.77, 13, 3.77, 222.4},
		{"M39029/58-365", "M39029/56-353", "12", "14 12", 2.46, 3.61, 23, 1.83, 489.3},
		{"M39029/58-528", "M39029/56-527", "10", "10", 3.43, 4.12, 33, 1.0, 667.2},
	} {
		for gender, id := range map[string]string{"pin": k.pin, "socket": k.socket} {
			got := c.Contacts[id]
			if got == nil {
				t.Errorf("no contact %s", id)
				continue
			}
			if got.Size != k.size || got.Gender != gender || strings.Join(got.Gauges, " ") != k.gauges ||
				!near(got.WireLeast.MM(), k.least, 1e-9) || !near(got.WireMost.MM(), k.most, 1e-9) || float64(got.Amps) != k.amps || !near(float64(got.Ohm)*1e3, k.mohm, 1e-9) {
				t.Errorf("%s: %+v", id, got)
			}
			last := got.Gauges[len(got.Gauges)-1]
			if !near(got.Pull[last], k.pull, 1e-9) || got.From("pull").Status != "memory" || got.From("amps").Status != "seen" {
				t.Errorf("%s: crimp tensile %g N at %s, want %g", id, got.Pull[last], last, k.pull)
			}
		}
	}
	for _, r := range reference(t, "contacts.csv") {
		for _, dash := range []string{r["pin_dash"], r["socket_dash"]} {
			k := c.Contacts["M39029"+dash]
			if dash == "" || k == nil {
				continue
			}
			if strings.Join(k.Gauges, ";") != r["awg_accepted"] || !near(k.WireLeast.MM(), num(t, r["wire_od_min_mm"]), 1e-9) || !near(k.WireMost.MM(), num(t, r["wire_od_max_mm"]), 1e-9) ||
				!near(float64(k.Amps), num(t, r["test_current_A"]), 1e-9) || !near(float64(k.Ohm)*1e3, num(t, r["max_drop_mV_at_test_current"])/num(t, r["test_current_A"]), 0.005) {
				t.Errorf("%s differs from the published row", k.ID)
			}
		}
	}
}

// TestPublishedFacts: crimp minimums, colours, terminal numbers, protection.
func TestPublishedFacts(t *testing.T) {
	value := map[string]Fact{}
	for _, f := range Facts("") {
		if _, twice := value[f.ID]; twice {
			t.Errorf("two facts are called %s", f.ID)
		}
		value[f.ID] = f
	}
	for id, n := range map[string]float64{
		"UL 486A 22": 35.6, "UL 486A 12": 311.5, "UL 486A 00": 1334.5, // UL 486A column: 8, 70, 300 lbf; the print of 1235 N is a slip
		"MIL-T-7928 20": 84.5, "MIL-T-7928 16": 222.5, "MIL-T-7928 10": 667.2, // MIL-T-7928: 19, 50, 150 lbf
		"IEC 60352-2 0.5mm2": 60, "IEC 60352-2 2.5mm2": 230, // memory
		"AC 43.13-1B 20": 5, "AC 43.13-1B 10": 30, // AC 43.13-1B Table 11-3, fuse
	} {
		if f, ok := value[id]; !ok || f.Value != n {
			t.Errorf("%s: %g, want %g", id, f.Value, n)
		}
	}
	for id, title := range map[string]string{
		"IEC 60757 BK": "black", "IEC 60757 VT": "violet", "IEC 60757 GNYE": "green-yellow", "DIN 47002 SW": "black", "DIN 47002 GE": "yellow",
		"MIL-STD-681 2": "red", "MIL-STD-681 9": "white", "SAE J1939-11 yellow": "CAN_H", "SAE J1939-11 green": "CAN_L",
		"DIN 72552 30": "battery positive, direct", "DIN 72552 50": "starter control, direct", "DIN 72552 B+": "alternator battery positive",
	} {
		if value[id].Title != title {
			t.Errorf("%s: %q, want %q", id, value[id].Title, title)
		}
	}
	tables := map[string]string{"UL486A": "UL 486A", "MIL-T-7928": "MIL-T-7928"}
	for _, r := range reference(t, "crimp_tension.csv") {
		doc, ok := tables[r["table"]]
		if !ok {
			continue
		}
		gauge := r["awg"]
		if n, ok := strings.CutSuffix(gauge, "/0"); ok {
			gauge = strings.Repeat("0", int(num(t, n)))
		}
		// A pound-force is 4.44822 N exactly enough.
		if f := value[doc+" "+gauge]; !near(f.Value, num(t, r["min_lbf"])*4.44822, 0.005) {
			t.Errorf("%s %s: %g N, want %s lbf", doc, gauge, f.Value, r["min_lbf"])
		}
	}
	for _, r := range reference(t, "colours.csv") {
		if doc := r["code"]; doc == "IEC 60757" || doc == "DIN 47002" || doc == "MIL-STD-681" {
			if f := value[doc+" "+r["symbol"]]; f.Title != r["meaning"] {
				t.Errorf("%s %s: %q, want %q", doc, r["symbol"], f.Title, r["meaning"])
			}
		}
	}
}

// TestFusesAndSplices holds the seen figures.
func TestFusesAndSplices(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		id       string
		mohm, i2 float64
	}{{"fuse-maxi-40", 1.4, 8500}, {"fuse-maxi-30", 1.9, 4100}, {"fuse-blade-40", 1.44, 3300}} { // makers' sheets, seen second-hand
		if f := c.Fuses[k.id]; f == nil || !near(float64(f.Ohm)*1e3, k.mohm, 1e-9) || f.Melting != k.i2 || f.Source.Status != "seen" {
			t.Errorf("%s: %+v", k.id, f)
		}
	}
	// A fuse of a family has less resistance and a larger melting integral than
	// the next smaller one, where both are known.
	for _, family := range []string{"blade", "mini", "maxi"} {
		list := slices.SortedFunc(maps.Values(c.Fuses), func(a, b *Fuse) int { return int(2 * (a.Rating - b.Rating)) })
		var last *Fuse
		for _, f := range list {
			if f.Family != family || f.Ohm == 0 {
				continue
			}
			if last != nil && (f.Ohm >= last.Ohm || f.Melting != 0 && last.Melting != 0 && f.Melting <= last.Melting) {
				t.Errorf("%s doesn't follow %s", f.ID, last.ID)
			}
			last = f
		}
	}
	// Circular mils: d² in thousandths of an inch. NASA-STD-8739.4 adds them.
	for _, k := range []struct {
		gauges []string
		want   string
	}{
		{[]string{"22", "22"}, "AS81824/1-1"},       // 2 × 754 = 1508, within 304 to 1510
		{[]string{"22", "22", "22"}, "AS81824/1-2"}, // 2262, within 779 to 2680
		{[]string{"18", "18"}, "AS81824/1-3"},       // 3800, within 1900 to 6755
		{[]string{"12", "12"}, "solder-sleeve-4"},   // 11746, within 6100 to 19000
		{[]string{"30"}, ""},                        // 112: nothing so small
	} {
		got := ""
		if s := c.SpliceFor(areasOf(t, k.gauges)...); s != nil {
			got = s.ID
		}
		if got != k.want {
			t.Errorf("splice of %v: %q, want %q", k.gauges, got, k.want)
		}
	}
}
