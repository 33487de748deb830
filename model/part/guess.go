package part

import (
	"regexp"
	"slices"
	"strings"
	"sync"
)

// Trust is how far a guessed role may be believed. None is taken without a
// person's yes.
type Trust string

// Named: the text is a role's own name. Likely: a usual word for one role.
// Maybe: a word that stands for several.
const (
	Named  Trust = "named"
	Likely Trust = "likely"
	Maybe  Trust = "maybe"
)

// Guess is what the words on a pin-out seem to say about a pin of a
// controller or module, seen from that device: its 5 V is an outlet.
type Guess struct {
	Role  Role
	Index string // cylinder or channel, of coils and injectors
	Group string // bus, such as CAN2
	Trust Trust
	Word  string // the words it follows from
}

// guesses are the words on pin-outs and the roles they usually mean, first
// match first. Common practice of controller makers' sheets, from memory.
var guesses = sync.OnceValue(func() []guessRule {
	var rules []guessRule
	for _, r := range []struct {
		role  Role
		trust Trust
		words string
	}{
		{Plain, Named, `NC|N\.C\.?|NOT (USED|CONNECTED)|UNUSED|RESERVED|DO NOT CONNECT`},
		{Shield, Likely, `SHIELD|SCREEN|SHLD|SCRN|DRAIN`},
		{BusHigh, Likely, `CAN ?([A-D]|[0-9]*) ?(BUS ?)?(H|HI|HIGH|\+)[0-9]?`},
		{BusLow, Likely, `CAN ?([A-D]|[0-9]*) ?(BUS ?)?(L|LO|LOW|-)[0-9]?`},
		{ThermoPlus, Likely, `(EGT|TC|THERMOCOUPLE|K TYPE|TYPE K) ?[0-9]* ?(\+|P|POS|PLUS)`},
		{ThermoMinus, Likely, `(EGT|TC|THERMOCOUPLE|K TYPE|TYPE K) ?[0-9]* ?(-|N|NEG|MINUS)`},
		{HalfBridge, Likely, `HB ?[0-9]*[AB]?|(HALF|H) BRIDGE ?[0-9]*|ETC [AB+-]|DBW [AB+-]`},
		{LowSide, Maybe, `(LAMBDA|O2|LSU|WIDEBAND) ?[0-9]* ?(HEATER|HEAT|HTR)`},
		{LowSide, Likely, `LOW SIDE|LS ?[0-9]+|LSO ?[0-9]*|LSD ?[0-9]*|SINKING OUT(PUT)?`},
		{SwitchedOut, Likely, `HIGH SIDE|HS ?[0-9]+|HSO ?[0-9]*|HSD ?[0-9]*|SWITCHED (OUT|12V|SUPPLY)`},
		{SensorReturn, Likely, `(SENS(OR)?|SIG(NAL)?|ANALOG(UE)?|ANA|AV) ?(GND|GROUND|0V|RET(URN)?|EARTH)|S-?GND|A-?GND|0V ?[A-H0-9]?( (SENS(OR)?|SIG(NAL)?|REF|OUT))?|SENSOR 0V|5V (GND|RETURN|0V)`},
		{Ground, Likely, `(P(OWER|WR)?|CASE|MAIN|ECU|BATT?(ERY)?|INJ(ECTOR)?|IGN(ITION)?)?[ -]?(GND|GROUND|EARTH)[ -]?[A-H0-9]*|BATT? ?-|BATTERY (-|NEG(ATIVE)?)|B-|CHASSIS`},
		{SensorSupply, Likely, `\+?5V0? ?[A-H0-9]?( (OUT|REF|SENS(OR)?|SUPPLY|AUX|EXC))*|(SENS(OR)?|ANALOG(UE)?) (5V|SUPPLY|PWR|POWER)|VREF ?[0-9]*|8V ?[0-9]*`},
		{KnockIn, Likely, `KNOCK ?[0-9]*( ?(SENSOR|IN|SIG(NAL)?|\+))?|KNK ?[0-9]*|KS ?[0-9]`},
		{Injector, Likely, `INJ(ECTOR|ECTION)?S? ?[A-H0-9]*( (OUT(PUT)?|LOW))?`},
		{Coil, Likely, `IGN(ITION)? ?(OUT(PUT)? ?)?[0-9]+|COIL ?[0-9]+|SPARK ?[0-9]+`},
		{SupplyIn, Likely, `\+?1[24]V ?(IN(PUT)?|SUPPLY|KEY ON|PWR|POWER|BATT?(ERY)?|PERM(ANENT)?)?|V ?BATT?|BATT?(ERY)? ?\+?|B\+|(ECU|MAIN|UNIT)[ _](PWR|POWER|SUPPLY)( IN)?|PWR( IN(PUT)?)?|POWER( IN(PUT)?| SUPPLY)?|SUPPLY( IN(PUT)?| 12V)?|IGN(ITION)?( ?(SW(ITCH)?|FEED|SENSE|IN|12V))?|KEY ON|KL ?(15|30)`},
		{TemperatureIn, Likely, `(AV ?)?(ENGINE |COOLANT |WATER |OIL |FUEL |AIR |INLET |GEARBOX )*TEMP(ERATURE)?S? ?[0-9]*( (IN|SENSOR))?|AT ?[0-9]+|CLT|ECT|IAT|NTC ?[0-9]*|ACT`},
		{FrequencyIn, Likely, `(FREQ(UENCY)?|UDIG|HALL|CRANK(SHAFT)?|CAM(SHAFT)?|TRIG(GER)?|VR|WHEEL SPEED|WSP?|SPEED|TURBO SPEED|RPM|TACHO) ?[0-9]*[+-]?( (IN(PUT)?|SENSOR|SIG(NAL)?))?`},
		{DigitalIn, Likely, `D(IG(ITAL)?)? ?IN(PUT)?S? ?[0-9]*|DIN ?[0-9]*|DI ?[0-9]+|SW(ITCH)? ?(IN(PUT)?)? ?[0-9]*`},
		{DigitalOut, Likely, `D(IG(ITAL)?)? ?OUT(PUT)?S? ?[0-9]*|DOUT ?[0-9]*`},
		{AnalogueIn, Likely, `AV ?[0-9]*|AIN ?[0-9]*|AN(V|LG)? ?[0-9]+|ANALOG(UE)?( VOLT(AGE)?)?( ?IN(PUT)?)?S? ?[0-9]*|TPS ?[0-9]*|MAP|APS ?[0-9]*`},
		{AnalogueIn, Maybe, `(FUEL |OIL |BRAKE |COOLANT )?PRESS(URE)? ?[0-9]*|POS(ITION)? ?[0-9]*|LAMBDA ?[0-9]*( (IN|SIG(NAL)?))?|O2 ?[0-9]*`},
		{LowSide, Maybe, `(AUX|PWM|OUT(PUT)?|RELAY|FUEL PUMP|FAN|TACHO OUT|IDLE|BOOST|SOLENOID|VALVE) ?[0-9]*( ?(OUT(PUT)?|RELAY|DRIVE))?`},
		{Coil, Maybe, `SPARK|COIL`},
	} {
		rules = append(rules, guessRule{r.role, r.trust, regexp.MustCompile(`(?:^| )(?:` + r.words + `)(?:$| )`), regexp.MustCompile(`^(?:` + r.words + `)$`)})
	}
	return rules
})

type guessRule struct {
	role        Role
	trust       Trust
	part, whole *regexp.Regexp
}

var lastDigits = regexp.MustCompile(`([0-9]+)[^0-9]*$`)

// GuessRole guesses a pin's role from the words on a pin-out, the surest text
// first: what the pin is said to be, then its name. Where two texts that are
// no better than maybe disagree with none surer, the first holds. ok is false
// where no word is known.
func GuessRole(texts ...string) (g Guess, ok bool) {
	for _, t := range texts {
		if r, named := ParseRole(t); named && r != Plain {
			return withNumber(Guess{Role: r, Trust: Named, Word: strings.TrimSpace(t)}, texts), true
		}
	}
	for _, t := range texts {
		t = pinWords(t)
		// a text that is one word of the table as a whole says more than a
		// text that has one somewhere
		for _, whole := range []bool{true, false} {
			for _, r := range guesses() {
				re := r.part
				if whole {
					re = r.whole
				}
				m := re.FindString(t)
				if m == "" || ok && trustRank(r.trust) <= trustRank(g.Trust) {
					continue
				}
				g, ok = Guess{Role: r.role, Trust: r.trust, Word: strings.TrimSpace(m)}, true
			}
			if ok && g.Trust != Maybe {
				return withNumber(g, texts), true
			}
		}
	}
	return withNumber(g, texts), ok
}

func trustRank(t Trust) int {
	switch t {
	case Named:
		return 2
	case Likely:
		return 1
	}
	return 0
}

// withNumber adds the cylinder of a coil or injector and the bus of a bus pin,
// from the first text with a number that says the same role.
func withNumber(g Guess, texts []string) Guess {
	number := ""
	for _, t := range texts {
		m := lastDigits.FindStringSubmatch(t)
		if m != nil && slices.ContainsFunc(guesses(), func(r guessRule) bool { return r.role == g.Role && r.part.MatchString(pinWords(t)) }) {
			number = strings.TrimLeft(m[1], "0")
			break
		}
	}
	switch g.Role {
	case Coil, Injector:
		g.Index = number
	case BusHigh, BusLow:
		g.Group = "CAN" + number
	}
	return g
}

// pinWords is a text in capitals with single spaces for what only parts words; a
// plus or minus at the end of a word stays.
func pinWords(t string) string {
	t = strings.ToUpper(t)
	var b strings.Builder
	r := []rune(t)
	for i, c := range r {
		switch {
		case c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c > 127 || c == '+':
			b.WriteRune(c)
		case c == '-' && (i+1 == len(r) || r[i+1] == ' '):
			b.WriteRune(c)
		case c == '.' && i > 0 && i+1 < len(r) && r[i-1] >= '0' && r[i-1] <= '9':
			b.WriteRune(c)
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
