package interview

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// Defaults of what nobody knows, on the safe side. Own planning rules, except where a source is named.
const (
	unknownHours = 24.0
	// unknownAltitudeM is as high as most inverters keep their rating: the default of derate_from_m. Generators lose
	// power from the sea on.
	unknownAltitudeM = 1000.0
	// unknownHottestC is a garage or an attic in a hot summer; inverters lose power from 40 or 45 C on.
	unknownHottestC = 40.0
	// unknownPF is the power factor at which sets are rated: 0.8 by common practice.
	unknownPF = 0.8
)

// unnamed is what a home is called where nobody names it.
var unnamed = phrase.Of("Home")

// basics is what a home is taken to keep on where nobody says: common practice.
var basics = []string{"fridge-freezer", "led-lamp*6", "router"}

// A supply is what the grid brings.
type supply struct {
	answer    string
	volts     float64 // line to neutral
	phases    int
	short     phrase.Phrase
	label     phrase.Phrase // and where it is used
	frequency float64
}

// supplies are the usual ones: voltages of IEC 60038, table 1; where they are used, from memory. The first is taken
// where nobody knows.
var supplies = []supply{
	{"230", 230, 1, phrase.Of("230 V, one phase"),
		phrase.Of("230 V, one phase: homes in Europe, Africa, Australia and most of Asia"), 50},
	{"230x3", 230, 3, phrase.Of("230/400 V, three phases"), phrase.Of("230/400 V, three phases: larger homes there"), 50},
	{"120x2", 120, 2, phrase.Of("120/240 V, split phase"), phrase.Of("120/240 V, split phase: homes in North America"), 60},
	{"120", 120, 1, phrase.Of("120 V, one phase"), phrase.Of("120 V, one phase: small homes and flats there"), 60},
}

// american says whether a supply is that of North America, whose people write Fahrenheit and AWG, and call petrol gas:
// by its volts.
func (s supply) american() bool { return s.volts >= 115 && s.volts <= 125 }

// lowVolts is what separates the systems of 100 to 127 V from those of 220 to 240 V.
const lowVolts = 150.0

var supplyForm = pattern.Of(`^(\d+(?:\.\d+)?) ?v?(?: ?[x*×] ?([123]))?$`)

// parseSupply reads "230x3"; volts on both sides of a stroke are of the two usual systems.
func parseSupply(text string) (supply, error) {
	t := strings.ToLower(text)
	for _, pair := range []struct {
		stroke string
		of     int // in supplies
	}{{"230/400", 1}, {"120/240", 2}} {
		if strings.TrimSuffix(strings.TrimSuffix(t, "v"), " ") == pair.stroke {
			return supplies[pair.of], nil
		}
	}
	m := supplyForm.FindStringSubmatch(t)
	if m == nil {
		return supply{}, refuse(phrase.Of("230 is one phase of 230 V, 230x3 three of them, 120x2 split phase"),
			phrase.Of("found %q, want volts to neutral and phases", strict.Clip(text)))
	}
	s := supply{answer: text, phases: 1, frequency: 50}
	s.volts, _ = strconv.ParseFloat(m[1], 64)
	if m[2] != "" {
		s.phases = int(m[2][0] - '0')
	}
	if s.volts < lowVolts {
		s.frequency = 60
	}
	return s, nil
}

// A place is where the battery stands, and how cold it gets there where nobody has measured it.
type place struct {
	word         string // as the list of questions has it
	typed, label phrase.Phrase
	coldestC     float64
	words        []string // in every language, as [tabular.Plain] writes them
}

// places: the temperatures are own planning rules, on the cold side of what such places have in a cold temperate
// winter.
var places = []place{
	{"heated", phrase.Of("heated"), phrase.Of("in a heated room"), 15,
		[]string{"heated", "beheizt", "geheizt", "calefactado", "chauffe"}},
	{"cellar", phrase.Of("cellar"), phrase.Of("in a cellar, or a room that is not heated"), 5,
		[]string{"cellar", "basement", "keller", "sotano", "bodega", "cave", "sous sol"}},
	{"garage", phrase.Of("garage"), phrase.Of("in a garage or a shed"), -5,
		[]string{"garage", "schuppen", "garaje", "cobertizo", "abri"}},
	{"outdoors", phrase.Of("outdoors"), phrase.Of("outdoors"), -15,
		[]string{"outdoors", "outside", "draussen", "im freien", "exterior", "al aire libre", "a la intemperie", "exterieur", "a l exterieur", "dehors"}},
}

var unknownPlace = places[2]

func parsePlace(text string) (place, error) {
	plain := tabular.Plain(text)
	var words []string
	var typed []phrase.Phrase
	for _, p := range places {
		if slices.Contains(p.words, plain) {
			return p, nil
		}
		words, typed = append(words, p.words...), append(typed, p.typed)
	}
	return place{}, refuse(didYouMean(plain, words), phrase.Of("found %q, want %s", strict.Clip(text), or(typed)))
}

// didYouMean is a hint to the nearest of some words, or none.
func didYouMean(text string, words []string) phrase.Phrase {
	if near := strict.Nearest(text, words); near != "" {
		return phrase.Of("did you mean %q?", near)
	}
	return noHint
}

var (
	decimalComma = pattern.Of(`^([+-]?\d+),(\d{1,2})$`)
	grouped      = pattern.Of(`^[+-]?[1-9]\d{0,2}[.,]\d{3}$`)
)

// number reads a number as people write it: with a point or a comma for decimals, never with marks for thousands, as
// "6,500" may be meant for either.
func number(text string) (float64, error) {
	text = strings.Replace(text, "−", "-", 1) // as papers and refusals write it
	if grouped.MatchString(text) && (strings.Contains(text, ",") || strings.HasSuffix(text, "0")) {
		return 0, refuse(phrase.Of("write it without a mark for thousands"),
			phrase.Of("found %q, which may be meant for thousands or for decimals", strict.Clip(text)))
	}
	if m := decimalComma.FindStringSubmatch(text); m != nil {
		text = m[1] + "." + m[2]
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(text, "xXpP_") {
		return 0, refuse(noHint, phrase.Of("found %q, want a number", strict.Clip(text)))
	}
	return v, nil
}

// withUnit reads a number that may stand with its unit.
func withUnit(text, unit string) (float64, error) {
	t := strings.TrimSpace(text)
	if n := len(t) - len(unit); n > 0 && strings.EqualFold(t[n:], unit) {
		t = strings.TrimSpace(t[:n])
	}
	return number(t)
}

// within checks a number between two bounds.
func within(lo, hi float64, unit string) func(string) error {
	return func(text string) error {
		v, err := withUnit(text, unit)
		if err != nil {
			return err
		}
		if !(v >= lo && v <= hi) {
			return refuse(noHint, phrase.Of("found %q, want a number from %g to %s", strict.Clip(text), lo,
				phrase.Measure(strings.TrimSpace(num(hi)+" "+unit))))
		}
		return nil
	}
}

// parseCelsius reads a temperature in degrees Celsius, or in Fahrenheit where an F stands behind it.
func parseCelsius(text string) (float64, error) {
	t := strings.ToUpper(strings.NewReplacer("°", "", " ", "").Replace(text))
	if f, ok := strings.CutSuffix(t, "F"); ok {
		v, err := number(f)
		return math.Round((v-32)/1.8*10) / 10, err
	}
	return number(strings.TrimSuffix(t, "C"))
}

func celsius(lo, hi float64) func(string) error {
	return func(text string) error {
		v, err := parseCelsius(text)
		if err != nil {
			return err
		}
		if !(v >= lo && v <= hi) {
			return refuse(noHint, phrase.Of("found %q, want degrees Celsius from %g to %g, or Fahrenheit with F behind it",
				strict.Clip(text), lo, hi))
		}
		return nil
	}
}

var fraction = pattern.Of(`(?i)(?:(\d+)[ -]?)?(?:(\d)/(\d)|([¼½¾])) ?-?(hp|kw)\b`)

// decimals writes the fractions of a plate, "1 1/2 hp", with a point.
func decimals(text string) string {
	return fraction.ReplaceAllStringFunc(text, func(found string) string {
		m := fraction.FindStringSubmatch(found)
		whole, _ := strconv.ParseFloat("0"+m[1], 64)
		over, _ := strconv.ParseFloat(m[2], 64)
		under, _ := strconv.ParseFloat(m[3], 64)
		switch m[4] {
		case "¼":
			over, under = 1, 4
		case "½":
			over, under = 1, 2
		case "¾":
			over, under = 3, 4
		}
		if under == 0 {
			return found
		}
		return num(math.Round((whole+over/under)*1000)/1000) + " " + m[5]
	})
}
