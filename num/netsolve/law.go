package netsolve

// Mode is how an element works in a solution.
type Mode uint8

// Modes. A conductor, a battery, a closed contact and a fed load conduct. An
// element is Off where it carries nothing by its own law: an open contact, a
// blocking diode, an alternator below its bus.
const (
	Conducts Mode = iota
	Off
	Regulates // an alternator that holds its voltage
	Limits    // an alternator at its most amps
	CutOut    // a load that got less than its least volts
	Unfed     // a load that no source reaches

	probed // a load that may be Unfed, while its supply is looked for
)

func (m Mode) String() string {
	return [...]string{"conducts", "off", "regulates", "limits", "cut out", "unfed"}[m]
}

const (
	// The share of the highest voltage below which a load without least volts
	// counts as collapsed. A high-voltage root lies far above it, and a law that
	// fades out over it is continuous. Judgement.
	hopeless = 1e-3
	// Leak of a load that is out or reversed, so that a node with nothing else
	// on it rests at a definite voltage; judgement, the same as the usual
	// 1 pS of circuit simulators.
	leakSiemens = 1e-12
	// Leak of a probed load in its own direction: enough to tell a wire that
	// hangs free from a live one; judgement.
	bleedSiemens = 1e-4
	// A step that gains less than this times the square of the highest voltage
	// in watts moves no current that matters; judgement.
	idleSiemens = 1e-10
	// What is added to a slope of zero in the matrix, though not in the law, so
	// that a step is defined; small beside leakSiemens.
	floorSiemens = 1e-15
)

// siemens returns the conductance of an element that obeys Ohm's law in this
// mode.
func (el *law) siemens(mode Mode) (float64, bool) {
	switch {
	case mode == CutOut || mode == Unfed:
		return leakSiemens, true
	case el.kind == resistor || el.kind == contact || el.kind == loadR:
		return 1 / el.ohm, true
	}
	return 0, false
}

// level holds the voltages by which the laws of a net are scaled.
type level struct {
	top     float64 // the highest EMF or regulated voltage
	ceiling float64 // the sum of all, which no load can exceed
}

// flow returns the current a→b through an element at voltage w = V(a)-V(b) and
// its slope di/dw. With flat, a load of constant power takes the current that
// it would take at the ceiling.
func (el *law) flow(w float64, mode Mode, lv level, flat bool) (amps, slope float64) {
	switch el.kind {
	case resistor:
		return w / el.ohm, 1 / el.ohm
	case contact:
		if el.open {
			return 0, 0
		}
		return w / el.ohm, 1 / el.ohm
	case battery:
		return (w - el.volts) / el.ohm, 1 / el.ohm
	case diode:
		if w <= el.volts {
			return 0, 0
		}
		return (w - el.volts) / el.ohm, 1 / el.ohm
	case alternator:
		amps := (el.volts - w) / el.ohm
		switch {
		case amps <= 0:
			return 0, 0
		case amps >= el.draw:
			return -el.draw, 0
		}
		return -amps, 1 / el.ohm
	}
	switch {
	case mode == probed && w > 0:
		return bleedSiemens * w, bleedSiemens
	case mode != Conducts || w < 0 && el.kind != loadR:
		return leakSiemens * w, leakSiemens
	}
	switch el.kind {
	case loadI:
		return fade(el.draw, w, hopeless*lv.top)
	case loadP:
		if flat {
			return fade(el.draw/lv.ceiling, w, hopeless*lv.top)
		}
		// Below its least volts a load of constant power is a resistance: it is
		// about to drop out, and the network stays solvable until then.
		knee := el.least
		if knee == 0 {
			knee = hopeless * lv.top
		}
		if w > knee {
			return el.draw / w, -el.draw / (w * w)
		}
		return fade(el.draw/knee, w, knee)
	}
	return w / el.ohm, 1 / el.ohm
}

// fade is a current that falls to nothing over the last volts.
func fade(amps, w, volts float64) (float64, float64) {
	if w >= volts {
		return amps, 0
	}
	slope := max(amps/volts, leakSiemens)
	return slope * w, slope
}

// eager is the law of flow with every switching element taken as it mostly
// works: diodes conduct, alternators regulate, loads draw. It is linear, and
// its solution is where the search starts.
func (el *law) eager(mode Mode, lv level) (amps, slope float64) {
	switch el.kind {
	case diode, alternator, battery:
		return -el.volts / el.ohm, 1 / el.ohm
	case loadI:
		if mode == Conducts {
			return el.draw, 0
		}
	case loadP:
		if mode == Conducts {
			return el.draw / lv.ceiling, 0
		}
	}
	return el.flow(0, mode, lv, true)
}

// mode names how a settled element works at voltage w.
func (el *law) mode(w float64, mode Mode) Mode {
	switch el.kind {
	case contact:
		if el.open {
			return Off
		}
	case diode:
		if w <= el.volts {
			return Off
		}
	case alternator:
		amps := (el.volts - w) / el.ohm
		switch {
		case amps <= 0:
			return Off
		case amps >= el.draw:
			return Limits
		}
		return Regulates
	case loadI, loadR, loadP:
		return mode
	}
	return Conducts
}
