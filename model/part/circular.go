package part

import (
	"fmt"
	"strconv"
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

// Circular connectors of MIL-DTL-38999 series III. Three parts share one
// insert arrangement: "38999-15-35" where both genders may be built (a join),
// "38999-15-35P" and "38999-15-35S" for a loom side with pins or sockets.
//
// Positions are on the front (mating) face of the pin insert, main key up:
// the socket front and the pin rear are its mirror image in x, the socket
// rear is as given (MIL-STD-1560C 5.1).
const circularStandard = "MIL-DTL-38999 III"

// serviceVolts are the suggested operating voltages at sea level, direct
// current, by service rating (MIL-DTL-38999N Table III test values; a
// catalogue's operating column, seen).
var serviceVolts = map[string]quantity.Volt{"M": 550, "N": 450, "I": 850, "II": 1250} // V

func (c *Catalogue) circulars(origin map[string]source.Ref) {
	shells := map[string]Connector{}
	codes := map[string]string{}
	each("shells.csv", origin, func(r record) {
		p := Panel{
			JamHole: r.mm("jam_hole_mm"), JamFlat: r.mm("jam_flat_mm"), FlangeRear: r.mm("flange_rear_hole_mm"), FlangeFront: r.mm("flange_front_hole_mm"),
			PitchR1: r.mm("pitch_r1_mm"), PitchR2: r.mm("pitch_r2_mm"), Screw: r.mm("screw_hole_mm"), Flange: r.mm("flange_mm"), AcrossFlats: r.mm("jam_hex_mm"),
			JamLeast: r.mm("jam_panel_least_mm"), JamMost: r.mm("jam_panel_most_mm"), FlangeMost: r.mm("flange_panel_most_mm"),
			JamTorqueLeast: r.number("jam_torque_least_nm"), JamTorqueMost: r.number("jam_torque_most_nm"), CouplingTorque: r.number("coupling_torque_nm"),
			RearThread: r.text("rear_thread"),
		}
		s := Connector{
			Standard: circularStandard, ShellSize: r.text("shell"), Sealed: true, Outside: r.mm("outside_mm"), Entry: r.mm("grommet_mm"),
			Temperature: quantity.Celsius(r.number("temp_c")), Outline: "round", MostPerContact: 1, Panel: p, KeyAngles: map[string][]float64{},
			Cutout: fmt.Sprintf("jam nut: D hole %s mm, %s mm across the flat; flange from behind: hole at least %s mm, screws %s mm at %s mm",
				show(p.JamHole), show(p.JamFlat), show(p.FlangeRear), show(p.Screw), show(p.PitchR1)),
			Torque: fmt.Sprintf("coupling at most %s N·m, jam nut %s to %s N·m", quantity.Text(p.CouplingTorque, 1), quantity.Text(p.JamTorqueLeast, 2), quantity.Text(p.JamTorqueMost, 2)),
		}
		for _, k := range r.list("keys", ";") {
			name, angles, ok := strings.Cut(k, "=")
			if !ok {
				r.fail("keys", "not key=angles")
			}
			s.Keys = append(s.Keys, name)
			for a := range strings.SplitSeq(angles, "/") {
				v, err := strconv.ParseFloat(a, 64)
				if err != nil {
					r.fail("keys", err.Error())
				}
				s.KeyAngles[name] = append(s.KeyAngles[name], v)
			}
		}
		s.Note, s.Check, s.Shell = r.text("note"), r.list("check", ";"), r.origins()
		shells[s.ShellSize], codes[s.ShellSize] = s, r.text("code")
	})
	holes := map[string][]Cavity{}
	each("cavities.csv", origin, func(r record) {
		a := r.text("arrangement")
		holes[a] = append(holes[a], Cavity{Name: r.text("cavity"), Size: r.text("size"), X: r.mm("x_mm"), Y: r.mm("y_mm")})
	})
	each("arrangements.csv", origin, func(r record) {
		a := r.text("arrangement")
		base, ok := shells[r.text("shell")]
		if !ok {
			r.fail("shell", "no such shell size")
		}
		check := base.Check
		base.Head = r.header("38999-"+a, "circular connector, shell size "+base.ShellSize+", arrangement "+a+", "+r.text("contacts")+" ways")
		base.Check = check
		base.Arrangement, base.Cavities, base.Availability, base.Volts = a, holes[a], r.text("availability"), serviceVolts[r.text("rating")]
		for _, g := range []struct{ letter, gender, words string }{{"", "", ""}, {"P", "pin", ", pins"}, {"S", "socket", ", sockets"}} {
			k := base
			k.ID, k.Title, k.Gender = base.ID+g.letter, base.Title+g.words, g.gender
			c.Connectors[k.ID] = &k
		}
	})
}

func show(l quantity.Length) string { return quantity.Text(l.MM(), 2) }

// shellCodes are the letters of the standard's part numbers for shell sizes
// 9 to 25 (MIL-DTL-38999N).
const shellCodes = "ABCDEFGHJ"

// Styles of a circular's two halves, with the number of their detail sheet.
const (
	Plug   = "26" // free half
	Wall   = "20" // fixed half with a square flange
	JamNut = "24" // fixed half with a jam nut
	finish = "W"  // class: aluminium, olive drab cadmium, 175 °C (memory)
)

// Number is the standard's part number of one half: D38999/26WD35SN. Gender
// and key fill in where the part leaves a choice; "" for other connectors.
func (k *Connector) Number(style, gender, key string) string {
	shell, err := strconv.Atoi(k.ShellSize)
	_, n, ok := strings.Cut(k.Arrangement, "-")
	if k.Standard != circularStandard || err != nil || !ok || (shell-9)/2 >= len(shellCodes) {
		return ""
	}
	if k.Gender != "" {
		gender = k.Gender
	}
	if key == "" {
		key = k.Keys[0]
	}
	return "D38999/" + style + finish + string(shellCodes[(shell-9)/2]) + n + map[string]string{"pin": "P", "socket": "S"}[gender] + key
}

// CircularID reads a part number such as D38999/26WD35SN into the catalogue's
// ID ("38999-15-35S") and the keying position.
func CircularID(number string) (id ID, key string, ok bool) {
	t, ok := strings.CutPrefix(strings.ToUpper(strings.ReplaceAll(number, " ", "")), "D38999/")
	if !ok || len(t) < 7 {
		return "", "", false
	}
	shell := strings.IndexByte(shellCodes, t[3])
	key, gender, n := t[len(t)-1:], t[len(t)-2:len(t)-1], t[4:len(t)-2]
	if shell < 0 || gender != "P" && gender != "S" {
		return "", "", false
	}
	return fmt.Sprintf("38999-%d-%s%s", 9+2*shell, n, gender), key, true
}
