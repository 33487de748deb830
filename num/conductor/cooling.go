package conductor

import "math"

// A Cooling is the heat that one wire in one air loses, against the temperature
// of its conductor, and from it how that temperature moves in time:
//
//	C · dT/dt = I²·R(T) - q(T)
//
// The steady loss q of HeatBalanceCurrent is taken at every moment. In the first
// seconds the insulation lags behind and the conductor is hotter than this; give
// the heat of the conductor alone to stay on the safe side.
//
// Between the points of the table q is a straight line, on which the equation
// has its exact answer; time can't run away and nothing is stepped. The points
// lie close enough that q is within 0.1 % of the law.
type Cooling struct {
	wire Wire
	temp []float64 // °C, rising, from the air to the melting point
	loss []float64 // W/m
}

// NewCooling tabulates the wire's loss from the air's temperature to the melting
// point. The wire needs its Heat: see HeatOf.
func NewCooling(w Wire, air Air) (*Cooling, error) {
	top, err := HeatBalanceCurrent(w, w.Metal.Melting, air)
	if err != nil {
		return nil, err
	}
	if err := inRange("heating in time", limit{"heat capacity, J/(K·m)", w.Heat, 1e-4, 1e7}); err != nil {
		return nil, err
	}
	c := &Cooling{wire: w}
	for above := 0.0; air.Temp+above < top.Surface; above = above*1.03 + 0.1 {
		b := w.at(air.Temp+above, air)
		c.temp = append(c.temp, b.Conductor)
		c.loss = append(c.loss, b.Watts)
	}
	c.temp = append(c.temp, top.Conductor)
	c.loss = append(c.loss, top.Watts)
	return c, nil
}

// HeatOf is the heat capacity in J/(K·m) of a wire: conductor area in m² times
// its metal, and the insulation between the diameters at density·specific heat,
// filling in J/(K·m³), about 2e6 for most polymers (judgement).
func HeatOf(w Wire, area, filling float64) float64 {
	return area*w.Metal.Heat + math.Pi/4*(w.Outer*w.Outer-w.Core*w.Core)*filling
}

// line is the net heat on stretch i as a straight line a + b·(T - temp[i]).
func (c *Cooling) line(i int, amps float64) (a, b float64) {
	made := amps * amps * c.wire.Ohm20
	span := c.temp[i+1] - c.temp[i]
	a = made*c.wire.Metal.Factor(c.temp[i]) - c.loss[i]
	end := made*c.wire.Metal.Factor(c.temp[i+1]) - c.loss[i+1]
	return a, (end - a) / span
}

// stretch is the table's stretch that holds t.
func (c *Cooling) stretch(t float64) int {
	i := 0
	for i < len(c.temp)-2 && t >= c.temp[i+1] {
		i++
	}
	return i
}

func (c *Cooling) check(amps, from, to float64) error {
	cold, hot := c.temp[0], c.temp[len(c.temp)-1]
	return inRange("heating in time",
		limit{"current, A", amps, 0, 1e6},
		limit{"temperature at the start, °C", from, cold, hot},
		limit{"temperature at the end, °C", to, cold, hot})
}

// Time is the seconds that a steady current in A takes to bring the conductor
// from one temperature to the other, up or down; infinite if it never does. Both
// lie between the air's temperature and the melting point. The heat that
// melting itself takes is left out.
func (c *Cooling) Time(amps, from, to float64) (seconds float64, err error) {
	if err := c.check(amps, from, to); err != nil {
		return 0, err
	}
	t, sum := c.run(amps, from, to, math.Inf(1))
	if t != to {
		return math.Inf(1), nil
	}
	return sum, nil
}

// After is the temperature in °C that the conductor has after the seconds at a
// steady current in A; the melting point if it gets there.
func (c *Cooling) After(amps, from, seconds float64) (t float64, err error) {
	if err := c.check(amps, from, from); err != nil {
		return 0, err
	}
	if err := inRange("heating in time", limit{"time, s", seconds, 0, math.MaxFloat64}); err != nil {
		return 0, err
	}
	i := c.stretch(from)
	a, b := c.line(i, amps)
	to := c.temp[0]
	if a+b*(from-c.temp[i]) > 0 {
		to = c.temp[len(c.temp)-1]
	}
	t, _ = c.run(amps, from, to, seconds)
	return t, nil
}

// run lets the conductor go from one temperature towards the other for at most
// the seconds, stretch by stretch. On a straight line of net heat a + b·x,
//
//	t = C/b · ln((a + b·x1)/(a + b·x0))
//
// and back, x1 = x0 + n0·(e^(b·t/C) - 1)/b with n0 the net heat at x0. A stretch
// on which the net heat dies out takes for ever. It returns where it came to and
// the time spent.
func (c *Cooling) run(amps, from, to, seconds float64) (t, spent float64) {
	t = from
	i := c.stretch(from)
	down := to < from
	for t != to {
		if down && t == c.temp[i] {
			i--
		} else if !down && t == c.temp[i+1] {
			i++
		}
		a, b := c.line(i, amps)
		end := min(c.temp[i+1], to)
		if down {
			end = max(c.temp[i], to)
		}
		x0, x1 := t-c.temp[i], end-c.temp[i]
		n0, n1 := a+b*x0, a+b*x1
		if n0 == 0 || (n0 < 0) != down {
			return t, spent
		}
		took := math.Inf(1)
		if n1 != 0 && (n1 < 0) == down {
			took = c.wire.Heat * (x1 - x0) / n0 * logRatio(n1/n0)
		}
		if took > seconds-spent {
			return t + grow(n0, b, (seconds-spent)/c.wire.Heat), seconds
		}
		spent += took
		t = end
	}
	return t, spent
}

// logRatio is ln(r)/(r - 1), 1 at r = 1.
func logRatio(r float64) float64 {
	if r == 1 {
		return 1
	}
	return math.Log1p(r-1) / (r - 1)
}

// grow is n0·(e^(b·x) - 1)/b, n0·x at b = 0.
func grow(n0, b, x float64) float64 {
	if b == 0 {
		return n0 * x
	}
	return n0 * math.Expm1(b*x) / b
}
