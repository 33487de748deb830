package part

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"keyon/num/quantity"
)

func lengthMM(mm float64) quantity.Length { return quantity.Length(mm) * quantity.MM }

func areasOf(t *testing.T, gauges []string) []quantity.Area {
	t.Helper()
	var list []quantity.Area
	for _, g := range gauges {
		a, ok := AreaOf(g)
		if !ok {
			t.Fatalf("no area of gauge %s", g)
		}
		list = append(list, a)
	}
	return list
}

// circulars are the arrangements once each, in the order of their names.
func circulars() []*Connector {
	var list []*Connector
	for _, k := range Embedded().Connectors {
		if k.Arrangement != "" && k.Gender == "" {
			list = append(list, k)
		}
	}
	slices.SortFunc(list, func(a, b *Connector) int { return natural(a.ID, b.ID) })
	return list
}

// TestArrangementCounts: ways by contact size, MIL-STD-1560C.
func TestArrangementCounts(t *testing.T) {
	c := Embedded()
	for id, want := range map[string]map[string]int{ // MIL-STD-1560C
		"38999-9-35": {"22D": 6}, "38999-11-35": {"22D": 13}, "38999-13-35": {"22D": 22}, "38999-15-35": {"22D": 37}, "38999-17-35": {"22D": 55},
		"38999-19-35": {"22D": 66}, "38999-21-35": {"22D": 79}, "38999-23-35": {"22D": 100}, "38999-25-35": {"22D": 128},
		"38999-15-15": {"20": 14, "16": 1}, "38999-15-97": {"20": 8, "16": 4}, "38999-21-11": {"12": 11}, "38999-25-24": {"16": 12, "12": 12}, "38999-25-11": {"20": 2, "10": 9}, "38999-17-26": {"20": 26},
	} {
		k := c.Connectors[id]
		if k == nil {
			t.Errorf("no connector %s", id)
			continue
		}
		got := map[string]int{}
		for _, v := range k.Cavities {
			got[v.Size]++
		}
		if !maps.Equal(got, want) {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
	rows := reference(t, "insert_arrangements.csv")
	seen := 0
	for _, r := range rows {
		k := c.Connectors["38999-"+r["arrangement"]]
		if r["positions"] == "no" {
			if k != nil {
				t.Errorf("%s has no published positions and is in the catalogue", k.ID)
			}
			continue
		}
		seen++
		n := map[string]int{}
		for _, v := range k.Cavities {
			n[v.Size]++
		}
		total := 0
		for _, size := range []string{"22D", "20", "16", "12", "10"} {
			total += n[size]
			if float64(n[size]) != num(t, r["n_"+size]) {
				t.Errorf("%s: %d cavities of size %s, want %s", k.ID, n[size], size, r["n_"+size])
			}
		}
		if total != len(k.Cavities) || float64(total) != num(t, r["contacts_total"]) || k.ShellSize != r["shell_size"] {
			t.Errorf("%s: %d cavities in shell %s, want %s in %s", k.ID, len(k.Cavities), k.ShellSize, r["contacts_total"], r["shell_size"])
		}
	}
	if seen != len(circulars()) {
		t.Errorf("%d arrangements, the table has %d with positions", len(circulars()), seen)
	}
}

// TestCavityPositions compares every position with the published table, which
// rounds inches to 0.001; ours rounds a digitised one to 0.01 mm: 0.018 mm is
// no difference.
func TestCavityPositions(t *testing.T) {
	at := map[string]Cavity{}
	for _, k := range circulars() {
		for _, v := range k.Cavities {
			if _, twice := at[k.Arrangement+" "+v.Name]; twice {
				t.Errorf("%s has two cavities %s", k.ID, v.Name)
			}
			at[k.Arrangement+" "+v.Name] = v
		}
	}
	rows := reference(t, "insert_positions.csv")
	for _, r := range rows {
		v, ok := at[r["arrangement"]+" "+r["contact"]]
		if !ok || v.Size != r["contact_size"] || math.Abs(v.X.MM()-num(t, r["x_in"])*25.4) > 0.018 || math.Abs(v.Y.MM()-num(t, r["y_in"])*25.4) > 0.018 {
			t.Errorf("%s cavity %s: %+v, want size %s at %s, %s in", r["arrangement"], r["contact"], v, r["contact_size"], r["x_in"], r["y_in"])
		}
	}
	if len(rows) != len(at) {
		t.Errorf("%d cavities, the table has %d", len(at), len(rows))
	}
}

// pinDiameter is the contact's own, mm; MIL-DTL-38999N Table V.
var pinDiameter = map[string]float64{"22D": 0.762, "20": 1.016, "16": 1.5875, "12": 2.388, "10": 3.175}

// TestArrangementSpacing: no two contacts touch, sealed wires of the greatest
// diameter pass side by side, and all lie within the grommet.
func TestArrangementSpacing(t *testing.T) {
	c := Embedded()
	for _, k := range circulars() {
		for i, a := range k.Cavities {
			for _, b := range k.Cavities[:i] {
				gap := math.Hypot(a.X.MM()-b.X.MM(), a.Y.MM()-b.Y.MM())
				if touch := (pinDiameter[a.Size] + pinDiameter[b.Size]) / 2; gap <= touch {
					t.Errorf("%s: contacts %s and %s are %.3f mm apart, their pins need %.3f", k.ID, a.Name, b.Name, gap, touch)
				}
				wa, wb := c.contactsBySize[a.Size][0].WireMost.MM(), c.contactsBySize[b.Size][0].WireMost.MM()
				if gap < (wa+wb)/2 {
					t.Errorf("%s: wires of cavities %s and %s would touch: %.3f mm apart for %.2f and %.2f mm", k.ID, a.Name, b.Name, gap, wa, wb)
				}
			}
			if r := math.Hypot(a.X.MM(), a.Y.MM()) + pinDiameter[a.Size]/2; r > k.Entry.MM()/2 {
				t.Errorf("%s: cavity %s reaches %.2f mm from the middle, the grommet %.2f", k.ID, a.Name, r, k.Entry.MM()/2)
			}
		}
	}
}

// TestMirror: every pattern but 15-97 is its own mirror image in x, so a face
// drawn from the wrong side has its holes right and its names wrong
// (MIL-STD-1560C; 0.3 mm for rounding and digitised drawings).
func TestMirror(t *testing.T) {
	var odd []string
	for _, k := range circulars() {
		for _, a := range k.Cavities {
			if !slices.ContainsFunc(k.Cavities, func(b Cavity) bool {
				return a.Size == b.Size && math.Hypot(a.X.MM()+b.X.MM(), a.Y.MM()-b.Y.MM()) < 0.3
			}) {
				odd = append(odd, k.Arrangement)
				break
			}
		}
	}
	if strings.Join(odd, " ") != "15-97" {
		t.Errorf("patterns that differ from their mirror image: %v, want 15-97 alone", odd)
	}
}

// TestContactNames: capitals without I, O, Q, then lower case without l and o
// and, but for four patterns, i (MIL-STD-1560C 5.1), or plain numbers.
func TestContactNames(t *testing.T) {
	withI := []string{"21-39", "21-41", "23-55", "25-61"}
	for _, k := range circulars() {
		for _, v := range k.Cavities {
			if strings.Trim(v.Name, "0123456789") == "" {
				continue
			}
			if strings.ContainsAny(v.Name, "IOQlo") || v.Name == "i" && !slices.Contains(withI, k.Arrangement) {
				t.Errorf("%s has a contact named %s", k.ID, v.Name)
			}
		}
	}
}

// TestKeys: minor key angles from the main key, MIL-DTL-38999N figure 6, and
// the cut-outs and torques of figure 11.
func TestKeys(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		id, key string
		want    []float64
	}{
		{"38999-9-35", "N", []float64{105, 140, 215, 265}}, {"38999-9-35", "B", []float64{80, 118, 230, 312}}, {"38999-9-35", "E", []float64{91, 131, 197, 240}},
		{"38999-11-35", "N", []float64{95, 141, 208, 236}}, {"38999-11-35", "C", []float64{53, 156, 220, 255}}, {"38999-15-35", "A", []float64{113, 156, 182, 292}},
	} {
		if got := c.Connectors[k.id].KeyAngles[k.key]; !slices.Equal(got, k.want) {
			t.Errorf("%s key %s: %v, want %v", k.id, k.key, got, k.want)
		}
	}
	p := c.Connectors["38999-15-35"].Panel
	if p.JamHole.MM() != 28.83 || p.JamFlat.MM() != 27.56 || p.FlangeRear.MM() != 26.59 || p.JamTorqueLeast != 7.91 || p.JamTorqueMost != 8.47 || p.CouplingTorque != 2.3 { // MIL-DTL-38999N fig. 11, Table VI
		t.Errorf("shell size 15: %+v", p)
	}
	byShell := map[string]*Connector{}
	for _, k := range circulars() {
		byShell[k.ShellSize] = k
		if k.Keys[0] != "N" {
			t.Errorf("%s: the first key is %s, want N", k.ID, k.Keys[0])
		}
		for i, a := range k.Keys {
			for _, b := range k.Keys[:i] {
				if slices.Equal(k.KeyAngles[a], k.KeyAngles[b]) {
					t.Errorf("%s: keys %s and %s are the same", k.ID, a, b)
				}
			}
		}
	}
	n := 0
	for _, r := range reference(t, "keying.csv") {
		n++
		got := byShell[r["shell_size"]].KeyAngles[r["keying"]]
		want := []float64{num(t, r["angle_1_deg"]), num(t, r["angle_2_deg"]), num(t, r["angle_3_deg"]), num(t, r["angle_4_deg"])}
		if !slices.Equal(got, want) {
			t.Errorf("shell %s key %s: %v, want %v", r["shell_size"], r["keying"], got, want)
		}
	}
	if n != 6*len(byShell) {
		t.Errorf("%d keying rows for %d shells", n, len(byShell))
	}
	for _, r := range reference(t, "panel_cutouts.csv") {
		k := byShell[r["shell_size"]]
		for column, got := range map[string]quantity.Length{
			"jamnut_D_dia_mm": k.Panel.JamHole, "jamnut_D_flat_mm": k.Panel.JamFlat, "flange_rear_mount_hole_min_mm": k.Panel.FlangeRear, "flange_front_mount_hole_min_mm": k.Panel.FlangeFront,
			"plug_coupling_nut_max_od_mm": k.Outside, "hole_pitch_R1_mm": k.Panel.PitchR1, "hole_pitch_R2_mm": k.Panel.PitchR2, "mount_hole_dia_mm": k.Panel.Screw,
		} {
			if !near(got.MM(), num(t, r[column]), 1e-9) {
				t.Errorf("shell %s, %s: %g mm, want %s", r["shell_size"], column, got.MM(), r[column])
			}
		}
	}
}

// TestNumbers: part numbers lead to their parts and back.
func TestNumbers(t *testing.T) {
	c := Embedded()
	for number, id := range map[string]string{
		"D38999/26WD35SN": "38999-15-35S", "D38999/20WA98PN": "38999-9-98P", "d38999/24wj61sb": "38999-25-61S", "D38999/26 WE 26 PA": "38999-17-26P",
	} {
		k := c.Connector(number)
		if k == nil || k.ID != id {
			t.Errorf("%s: %v, want %s", number, k, id)
			continue
		}
		_, key, _ := CircularID(number)
		style := strings.ToUpper(number)[7:9]
		if got := k.Number(style, "", key); got != strings.ToUpper(strings.ReplaceAll(number, " ", "")) {
			t.Errorf("%s comes back as %s", number, got)
		}
	}
	for _, bad := range []string{"", "D38999/", "D38999/26W", "D38999/26WQ35SN", "D38999/26WD35XN", "D38999/26WD999SN", "M39029/58-360", "D38999/26WÄ35SN"} {
		if k := c.Connector(bad); k != nil {
			t.Errorf("%q leads to %s", bad, k.ID)
		}
	}
	if n := c.Connectors["relay-socket-5"].Number(Plug, "", ""); n != "" {
		t.Errorf("a relay socket has the number %s", n)
	}
}
