package network

import (
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
)

// Drop allowed on the way from the feed to the load and back.
const (
	dropContinuous   = 0.5 // V; FAA AC 43.13-1B Table 11-6 for a 14 V system (memory; Tables 11-7 and 11-8 agree)
	dropIntermittent = 1.0 // V, states shorter than two minutes; the same table
	dropStarter      = 0.5 // V, battery to starter; car makers' service texts, 0.2 to 0.5 V, seen. Its ground runs through metal.
	dropTrunk        = 2.0 // % of the source's volts, source to bus; FAA handbook, seen
	dropSensor       = 0.1 // V, a 5 V sensor and its return; common practice
)

// DropLimit is the drop a load's way may have, in volts, with its name in the
// table Limits.
func DropLimit(t *plan.Things, l *plan.Load) (name string, volts float64, src source.Ref) {
	faa := source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "Table 11-6, 14 V system", Status: source.Memory}
	if p := t.Devices[l.Device].Part; p != nil {
		switch p.Pins[l.From].Role {
		case part.SensorIn:
			return "drop sensor", dropSensor, source.Ref{Kind: source.Practice, Doc: "voltage-drop-limits", Where: "sensor and controller ground"}
		case part.StarterIn:
			return "drop starter", dropStarter, source.Ref{Kind: source.Practice, Doc: "voltage-drop-limits", Where: "starter test, positive side", Status: source.Seen}
		}
	}
	if s := t.States[l.State].Seconds; s > 0 && s < 120 {
		return "drop intermittent", dropIntermittent, faa
	}
	return "drop continuous", dropContinuous, faa
}

// TrunkLimit is the drop from the source to a bus, in volts at the source's
// voltage, by "drop source to bus" of the table Limits (percent).
func TrunkLimit(percent, volts float64) float64 { return percent / 100 * volts }

// TrunkPercent is the house's default with its name and source.
func TrunkPercent() (name string, percent float64, src source.Ref) {
	return "drop source to bus", dropTrunk, source.Ref{Kind: source.Standard, Doc: "FAA-H-8083", Where: "generator or battery to bus, 2 % of regulated voltage", Status: source.Seen}
}
