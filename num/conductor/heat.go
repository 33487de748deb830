package conductor

import "math"

// A Wire is an insulated round conductor as a body that makes and loses heat.
type Wire struct {
	Metal      Metal
	Ohm20      float64 // Ω/m at 20 °C
	Core       float64 // diameter of the conductor, m
	Outer      float64 // diameter over the insulation, m; Core if bare
	Insulation float64 // W/(m·K): about 0.24 ETFE, 0.19 PVC, 0.35 cross-linked polyethylene
	Emissivity float64 // of the surface, 0 to 1; 0.9 for polymer or tape
	Heat       float64 // J/(K·m) to warm a metre; only Cooling needs it
}

// Air is what surrounds a wire.
type Air struct {
	Temp     float64 // °C
	Pressure float64 // atm, 1 at sea level
}

// A Balance is a wire or bundle at rest: heat made equals heat lost.
type Balance struct {
	Amps       float64 // A; 0 for a bundle
	Conductor  float64 // °C; of a bundle, its hottest wire
	Surface    float64 // °C
	Watts      float64 // W/m
	Convection float64 // W/(m²·K)
	Radiation  float64 // W/(m²·K)
	Rayleigh   float64
	Nusselt    float64
}

const (
	kelvin    = 273.15   // K at 0 °C
	boltzmann = 5.670e-8 // W/(m²·K⁴), CODATA
	gravity   = 9.80665  // m/s², ISO 80000-3
	prandtl   = 0.707    // of air, 250 to 700 K
	halvings  = 45       // steps of every bisection: a 1e-11 °C of the widest range
)

// churchill is (1 + (0.559/Pr)^(9/16))^(8/27) for air.
var churchill = math.Pow(1+math.Pow(0.559/prandtl, 9./16), 8./27)

// surface is the heat lost per metre by a horizontal cylinder whose skin is at
// ts °C in still air.
//
//	q   = π·D·(h_c + h_r)·(Ts - Ta)
//	h_r = ε·σ·(Ts² + Ta²)·(Ts + Ta)          in kelvin
//	h_c = Nu·k/D
//	Nu  = [0.60 + 0.387·Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27)]²
//	Ra  = g·β·|Ts-Ta|·D³·Pr/ν²,  β = 1/Tf
//	k   = 0.0263·(Tf/300)^0.85,  ν = 1.589e-5·(Tf/300)^1.77/p    Tf mean film temperature, K
//
// Churchill and Chu, horizontal cylinder, Ra up to 1e12 (constants memory; air
// at 300 K and its exponents a fit to tables, memory).
func surface(outer, emissivity, ts float64, air Air) Balance {
	s, a := ts+kelvin, air.Temp+kelvin
	film := (s + a) / 2
	k := 0.0263 * math.Pow(film/300, 0.85)
	nu := 1.589e-5 * math.Pow(film/300, 1.77) / air.Pressure
	b := Balance{Surface: ts}
	b.Rayleigh = gravity / film * math.Abs(ts-air.Temp) * outer * outer * outer * prandtl / (nu * nu)
	root := 0.60 + 0.387*math.Pow(b.Rayleigh, 1./6)/churchill
	b.Nusselt = root * root
	b.Convection = b.Nusselt * k / outer
	b.Radiation = emissivity * boltzmann * (s*s + a*a) * (s + a)
	b.Watts = math.Pi * outer * (b.Convection + b.Radiation) * (ts - air.Temp)
	return b
}

// through is the insulation's resistance to heat, K·m/W: ln(D/d)/(2πk).
func (w Wire) through() float64 {
	if w.Outer <= w.Core {
		return 0
	}
	return math.Log(w.Outer/w.Core) / (2 * math.Pi * w.Insulation)
}

func (w Wire) check(air Air) error {
	return inRange("heat balance",
		limit{"resistance, Ω/m", w.Ohm20, 1e-6, 10},
		limit{"conductor diameter, m", w.Core, 1e-5, 0.2},
		limit{"outside diameter, m", w.Outer, w.Core, 0.5},
		limit{"insulation conductivity, W/(m·K)", w.Insulation, 0.01, 1000},
		limit{"emissivity", w.Emissivity, 0, 1},
		limit{"resistance line, °C", w.Metal.Zero, 1, 1000},
		limit{"melting point, °C", w.Metal.Melting, 1, 4000},
		limit{"air temperature, °C", air.Temp, -100, 400},
		limit{"air pressure, atm", air.Pressure, 0.01, 10})
}

// at is the wire when its surface is at ts: what it loses, and how hot the
// conductor must be to drive that through the insulation.
func (w Wire) at(ts float64, air Air) Balance {
	b := surface(w.Outer, w.Emissivity, ts, air)
	b.Conductor = ts + b.Watts*w.through()
	return b
}

// bisect halves lo to hi, where low says that x is still too low.
func bisect(lo, hi float64, low func(x float64) bool) float64 {
	for range halvings {
		x := lo + (hi-lo)/2
		if low(x) {
			lo = x
		} else {
			hi = x
		}
	}
	return lo + (hi-lo)/2
}

// HeatBalanceCurrent is the current that holds the conductor at t °C for good:
// I²·R(T) = q, with the heat q going through the insulation and off its surface
//
//	q = (Tc - Ts)·2πk/ln(D/d) = π·D·(h_c + h_r)·(Ts - Ta)
//
// No constant is fitted: it comes to 0.91 to 1.01 of the MIL-W-5088L anchors for
// sizes 24 to 4. The temperature lies between the air's and the melting point.
func HeatBalanceCurrent(w Wire, t float64, air Air) (Balance, error) {
	if err := w.check(air); err != nil {
		return Balance{}, err
	}
	err := inRange("heat balance", limit{"conductor temperature, °C", t, air.Temp, w.Metal.Melting})
	if err != nil {
		return Balance{}, err
	}
	ts := bisect(air.Temp, t, func(ts float64) bool { return w.at(ts, air).Conductor < t })
	b := w.at(ts, air)
	b.Conductor = t
	b.Amps = math.Sqrt(b.Watts / (w.Ohm20 * w.Metal.Factor(t)))
	return b, nil
}

// HeatBalanceTemp is the temperature that the current in A brings the conductor
// to for good. Where that is above the melting point it returns a *RangeError
// with the current and the most that balances.
func HeatBalanceTemp(w Wire, amps float64, air Air) (Balance, error) {
	if err := w.check(air); err != nil {
		return Balance{}, err
	}
	if err := inRange("heat balance", limit{"current, A", amps, 0, 1e6}); err != nil {
		return Balance{}, err
	}
	low := func(ts float64) bool {
		b := w.at(ts, air)
		return b.Watts < amps*amps*w.Ohm20*w.Metal.Factor(b.Conductor)
	}
	b := w.at(bisect(air.Temp, w.Metal.Melting, low), air)
	if b.Conductor > w.Metal.Melting || low(w.Metal.Melting) {
		most, err := HeatBalanceCurrent(w, w.Metal.Melting, air)
		if err != nil {
			return Balance{}, err
		}
		return Balance{}, &RangeError{"heat balance", "current, A", amps, 0, most.Amps}
	}
	b.Amps = amps
	return b, nil
}

// A Body is a bundle seen as one round body that makes heat all through.
type Body struct {
	Metal      Metal
	Outer      float64 // m
	Inner      float64 // W/(m·K) across the bundle: 0.1 to 0.2 loose wire, 0.25 and more potted
	Emissivity float64
}

// HeatBalanceBundle is the temperature at rest of a bundle whose wires make
// watts20 per metre, the sum of I²·R20. Its middle is the hotter by
// q/(4·π·k) (memory: even source in a cylinder); all wires are taken as hot as
// the middle. Where the middle would melt it returns a *RangeError.
func HeatBalanceBundle(body Body, watts20 float64, air Air) (Balance, error) {
	w := Wire{Metal: body.Metal, Ohm20: 1, Core: body.Outer, Outer: body.Outer, Insulation: 1, Emissivity: body.Emissivity}
	if err := w.check(air); err != nil {
		return Balance{}, err
	}
	if err := inRange("heat balance", limit{"bundle conductivity, W/(m·K)", body.Inner, 0.01, 1000}); err != nil {
		return Balance{}, err
	}
	at := func(ts float64) Balance {
		b := surface(body.Outer, body.Emissivity, ts, air)
		b.Conductor = ts + b.Watts/(4*math.Pi*body.Inner)
		return b
	}
	melting := body.Metal.Melting
	hottest := at(bisect(air.Temp, melting, func(ts float64) bool { return at(ts).Conductor < melting }))
	most := hottest.Watts / body.Metal.Factor(melting)
	if err := inRange("heat balance", limit{"heat of the bundle at 20 °C, W/m", watts20, 0, most}); err != nil {
		return Balance{}, err
	}
	return at(bisect(air.Temp, hottest.Surface, func(ts float64) bool {
		b := at(ts)
		return b.Watts < watts20*body.Metal.Factor(b.Conductor)
	})), nil
}
