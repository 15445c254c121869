package strict

import (
	"fmt"
	"math"
	"strings"
)

// A unit is one that people may write where a key wants another: how it is printed, what it measures, and how many of
// the smallest common measure it is.
type unit struct {
	symbol, of string
	factor     float64
}

// units by how they are spelled in small letters. Conversions are definitions, but for the horsepower, of which there
// are several: this is the electrical one, 746 W.
var units = map[string]unit{
	"w": {"W", "power", 1}, "kw": {"kW", "power", 1e3}, "mw": {"MW", "power", 1e6}, "hp": {"hp", "power", 746},
	"watt": {"W", "power", 1}, "watts": {"W", "power", 1},
	"va": {"VA", "apparent", 1}, "kva": {"kVA", "apparent", 1e3},
	"wh": {"Wh", "energy", 3600}, "kwh": {"kWh", "energy", 3.6e6}, "mj": {"MJ", "energy", 1e6},
	"ah": {"Ah", "charge", 1}, "mah": {"mAh", "charge", 1e-3},
	"a": {"A", "current", 1}, "ma": {"mA", "current", 1e-3}, "ka": {"kA", "current", 1e3}, "amp": {"A", "current", 1},
	"amps": {"A", "current", 1},
	"v":    {"V", "voltage", 1}, "mv": {"mV", "voltage", 1e-3}, "kv": {"kV", "voltage", 1e3},
	"volt":  {"V", "voltage", 1},
	"volts": {"V", "voltage", 1},
	"mm":    {"mm", "length", 1e-3}, "cm": {"cm", "length", 1e-2}, "m": {"m", "length", 1}, "km": {"km", "length", 1e3},
	"in": {"in", "length", 0.0254}, "inch": {"in", "length", 0.0254}, "ft": {"ft", "length", 0.3048},
	"feet": {"ft", "length", 0.3048},
	"mm2":  {"mm2", "area", 1e-6}, "mm²": {"mm2", "area", 1e-6}, "cm2": {"cm2", "area", 1e-4},
	"cm²": {"cm2", "area", 1e-4}, "m2": {"m2", "area", 1}, "m²": {"m2", "area", 1}, "awg": {"AWG", "area", 0},
	"ms": {"ms", "time", 1e-3}, "s": {"s", "time", 1}, "sec": {"s", "time", 1}, "seconds": {"s", "time", 1},
	"min": {"min", "time", 60}, "minutes": {"min", "time", 60},
	"h": {"h", "time", 3600}, "hr": {"h", "time", 3600}, "hrs": {"h", "time", 3600}, "hour": {"h", "time", 3600},
	"hours": {"h", "time", 3600},
	"d":     {"d", "time", 86400}, "day": {"d", "time", 86400}, "days": {"d", "time", 86400},
	"kg": {"kg", "mass", 1}, "g": {"g", "mass", 1e-3}, "t": {"t", "mass", 1e3}, "lb": {"lb", "mass", 0.45359237},
	"lbs":  {"lb", "mass", 0.45359237},
	"mohm": {"mohm", "resistance", 1e-3}, "mω": {"mohm", "resistance", 1e-3}, "ohm": {"ohm", "resistance", 1},
	"ω": {"ohm", "resistance", 1},
	"l": {"l", "volume", 1}, "litre": {"l", "volume", 1}, "litres": {"l", "volume", 1},
	"hz": {"Hz", "frequency", 1}, "khz": {"kHz", "frequency", 1e3},
	"c": {"C", "temperature", 1}, "°c": {"C", "temperature", 1}, "f": {"F", "temperature", 1},
	"°f":      {"F", "temperature", 1},
	"degrees": {"degrees", "angle", 1}, "deg": {"degrees", "angle", 1}, "°": {"degrees", "angle", 1},
	"%": {"%", "share", 0.01},
}

// unitOf finds a unit; the key's own unit of a plain share is "".
func unitOf(spelled string) (unit, bool) {
	if spelled == "" {
		return unit{"", "share", 1}, true
	}
	u, ok := units[strings.ToLower(spelled)]
	return u, ok
}

// to converts a number of one unit to another; ok is false where they measure different things.
func (u unit) to(other unit, v float64) (converted float64, ok bool) {
	switch {
	case u.of != other.of:
		return 0, false
	case u.symbol == other.symbol:
	case other.symbol == "AWG":
		return 0, false
	case u.symbol == "AWG": // ASTM B258: 0.005 inches at gauge 36, and 92 times that 39 gauges thicker; areas as they are printed
		d := 0.127 * math.Pow(92, (36-v)/39)
		return math.Round(d*d*math.Pi/4*1e-6/other.factor*100) / 100, true
	case u.symbol == "F" && other.symbol == "C":
		v = (v - 32) / 1.8
	case u.symbol == "C" && other.symbol == "F":
		v = v*1.8 + 32
	default:
		v *= u.factor / other.factor
	}
	// Six digits are what a hint needs, and no more than what a factor with a rounding of its own can give.
	return rounded(v), true
}

func rounded(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}

// otherUnit finds the key of a table that a name means but for its unit: "running_kw" is "running_w". from is the unit
// of the name, to that of the key.
func (ks *Keys) otherUnit(name string) (k *Key, from, to unit, ok bool) {
	words := strings.Split(strings.ToLower(name), "_")
	for i := range ks.List {
		known := strings.Split(ks.List[i].Name, "_")
		if len(known) != len(words) || len(words) < 2 {
			continue
		}
		differ := -1
		for j := range words {
			if words[j] != known[j] {
				if differ >= 0 {
					differ = -2
					break
				}
				differ = j
			}
		}
		if differ < 0 {
			continue
		}
		from, is := units[words[differ]]
		to, known2 := units[known[differ]]
		if is && known2 && from.of == to.of {
			return &ks.List[i], from, to, true
		}
	}
	return nil, unit{}, unit{}, false
}

// unitHint tells how a name with another unit is written.
func unitHint(k *Key, from, to unit, n *node) string {
	if n.form == formWhole || n.form == formFraction {
		if v, ok := from.to(to, n.num); ok && from.symbol != to.symbol {
			return fmt.Sprintf("did you mean %q? it is in %s: %s %s are %s", k.Name, to.symbol, Clip(n.text),
				from.symbol, num(v))
		}
	}
	if from.symbol == to.symbol {
		return fmt.Sprintf("did you mean %q?", k.Name)
	}
	return fmt.Sprintf("did you mean %q? it is in %s, not %s", k.Name, to.symbol, from.symbol)
}
