package interview

import (
	"math"
	"strings"

	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// A plate is what stands on the plate of a motor; 0 or "" is not told.
type plate struct {
	kw, hp       float64 // output; one of them at most
	amps, volts  float64
	code         string // letter of the locked-rotor code
	lockedRotorA float64
}

func (p plate) outputW() float64 {
	if p.hp > 0 {
		return p.hp * hpW
	}
	return p.kw * 1000
}

var plateFigure = pattern.Of(
	`(?i)^(?:(lra|code|i|u|p) ?[=:]? ?)?(\d+(?:[.,]\d+)?|[a-v]\b) ?(kw|hp|w|a|v)?(?:[ ,;]+|$)`)

// parsePlate reads "1.1 kW 8 A 230 V code G" or "1 hp LRA 40".
func parsePlate(text string) (p plate, err error) {
	wrong := func(found string) (plate, error) {
		return plate{}, refuse(phrase.Of("1.1 kW 8 A 230 V code G, or 1 hp LRA 40"),
			phrase.Of("found %q, want kW or hp, A, V, code and a letter, or LRA and A", strict.Clip(found)))
	}
	for rest := decimals(text); rest != ""; {
		m := plateFigure.FindStringSubmatch(rest)
		if m == nil {
			return wrong(rest)
		}
		name, digits, unit := strings.ToLower(m[1]), m[2], strings.ToLower(m[3])
		if name == "code" {
			if len(digits) != 1 || unit != "" || strings.ContainsAny(digits, "0123456789IOQioq") {
				return wrong(m[0])
			}
			p.code = strings.ToUpper(digits)
			rest = rest[len(m[0]):]
			continue
		}
		v, nerr := number(digits)
		if nerr != nil {
			return wrong(m[0])
		}
		if v <= 0 || v > mostPlate {
			return plate{}, refuse(noHint, phrase.Of("found %q, want a figure above 0, at most %d",
				strict.Clip(strings.TrimSpace(m[0])), mostPlate))
		}
		into := map[string]*float64{"kw": &p.kw, "hp": &p.hp, "a": &p.amps, "v": &p.volts}[unit]
		switch {
		case name == "lra" && (unit == "" || unit == "a"):
			into = &p.lockedRotorA
		case name == "lra":
			into = nil
		case unit == "w":
			into, v = &p.kw, v/1000
		}
		if into == nil {
			return wrong(m[0])
		}
		*into = v
		rest = rest[len(m[0]):]
	}
	switch {
	case p.kw > 0 && p.hp > 0:
		p.hp = 0 // both say the same, and the first is exact
	case p.code != "" && p.outputW() == 0:
		return plate{}, refuse(noHint, phrase.Of("found a code letter without kW or hp, for which it counts"))
	}
	if p.code != "" && p.lockedRotorA > 0 {
		p.code = "" // the current is exact, the letter a band
	}
	return p, nil
}

// mostPlate is more than any plate in a home says.
const mostPlate = 10_000

// runningVA is what a motor draws by its amps, at the volts of the plate or of the supply; 0 where no amps are told.
// Volts between lines on a supply of three phases are those of a motor of three phases.
func (p plate) runningVA(s supply) float64 {
	volts := p.volts
	if volts == 0 {
		volts = s.volts
	}
	if s.phases == 3 && p.betweenLines(s) {
		return math.Sqrt(3) * volts * p.amps
	}
	return volts * p.amps
}

// betweenLines says whether a motor lies between lines, by the volts of its plate.
func (p plate) betweenLines(s supply) bool { return s.phases > 1 && p.volts > 1.5*s.volts }
