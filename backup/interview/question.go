package interview

import (
	"slices"
	"strings"

	"outlast/backup/phrase"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// A Question is one that an owner can answer.
type Question struct {
	Key     string        // its name in a file of answers
	Part    phrase.Phrase // the heading under which it stands
	Ask     phrase.Phrase // in the owner's words
	Help    phrase.Phrase // what is allowed, with an example
	Assumed phrase.Phrase // what is taken where nobody knows
	Choices []Choice
	Several bool     // takes a list, item by item
	Picks   []Choice // of a list: classes that its items may name
	Open    bool     // besides the choices, others are allowed

	check  func(text string) error // nil only where the answer is read by nothing but accepted
	writes []string                // keys of the site file in which the answer ends up
}

// A Choice is one of a few answers; others may be allowed too, as Help tells.
type Choice struct {
	Answer string        // as it is kept
	Typed  phrase.Phrase // what people type for it
	Label  phrase.Phrase
}

// Keys of the questions.
const (
	keyName      = "name"
	keySupply    = "supply"
	keyLatitude  = "latitude"
	keyAltitude  = "altitude"
	keyHours     = "hours"
	keyStands    = "battery-stands"
	keyColdest   = "coldest"
	keyHottest   = "hottest"
	KeyStaysOn   = "stays-on"
	keyDepends   = "depends-on"
	keyPlate     = "plate" // and the class after it
	keyInverter  = "inverter"
	keyBattery   = "battery"
	keyPanels    = "panels"
	keySlope     = "slope"
	keyFacing    = "facing"
	keyAir       = "coldest-air"
	keySun       = "sun"
	keyGenerator = "generator"

	// KeyHours is the question for the hours of the outage.
	KeyHours = keyHours
)

// parts are the questions in their order; those of a part depend on the answers of the parts before it only.
func (in *Interview) parts() [][]Question {
	first, last := [][]Question{in.home(), in.outage()}, [][]Question{in.inverter(), in.battery(), in.panels(),
		in.array(), in.generator()}
	if in.loads == "" {
		first = append(first, in.staysOn(), in.depends(), in.plates())
	}
	return append(first, last...)
}

// Next gives the questions of the first part that has any without an answer, those without one; nil when all are
// answered.
func (in *Interview) Next() []Question {
	for _, part := range in.parts() {
		open := slices.DeleteFunc(part, func(q Question) bool { _, ok := in.answers[q.Key]; return ok })
		if len(open) > 0 {
			return open
		}
	}
	return nil
}

// question finds a question by its key.
func (in *Interview) question(key string) (Question, error) {
	var keys []string
	for _, part := range in.parts() {
		for _, q := range part {
			if q.Key == key {
				return q, nil
			}
			keys = append(keys, q.Key)
		}
	}
	if slices.Contains([]string{keySlope, keyFacing, keyAir, keySun}, key) {
		return Question{}, refuse(phrase.Of("answer panels and latitude as well"),
			phrase.Of("there are no solar panels at a known latitude to tell %s of", key))
	}
	hint := phrase.Of("the questions are %s", strings.Join(keys, ", "))
	if near := didYouMean(key, keys); !near.Empty() {
		hint = near
	}
	if class, ok := strings.CutPrefix(key, keyPlate+" "); ok {
		return Question{}, refuse(hint, phrase.Of("found a plate of %q, which is no motor of those that stay on",
			strict.Clip(class)))
	}
	return Question{}, refuse(hint, phrase.Of("no question is called %q", strict.Clip(key)))
}

func (in *Interview) home() []Question {
	part := phrase.Of("The home")
	q := []Question{
		{Key: keyName, Part: part, Ask: phrase.Of("What is the home called?"), Help: phrase.Of("any name, for the papers"), Assumed: unnamed,
			check: func(string) error { return nil }, writes: []string{"name"}},
		{Key: keySupply, Part: part, Ask: phrase.Of("What does the grid bring to the house?"),
			Help: phrase.Of("volts to neutral, x and phases: 230, 230x3, 120x2"), Assumed: supplies[0].short, Open: true,
			check:  func(s string) error { _, err := parseSupply(s); return err },
			writes: []string{"nominal_v", "phases"}},
		{Key: keyLatitude, Part: part, Ask: phrase.Of("How far north does it lie? South of the equator is negative."),
			Help: phrase.Of("degrees of latitude, -90 to 90: 51.5"), Assumed: phrase.Of("none; heating and cooling run in all months"),
			check: within(-90, 90, ""), writes: []string{"latitude"}},
		{Key: keyAltitude, Part: part, Ask: phrase.Of("How high above the sea?"), Help: phrase.Of("in m, -500 to 6000: 250"),
			Assumed: phrase.Of("%g m, up to which most inverters keep full power", unknownAltitudeM),
			check:   within(-500, 6000, "m"), writes: []string{"altitude_m"}},
	}
	for _, s := range supplies {
		q[1].Choices = append(q[1].Choices, Choice{s.answer, phrase.Name(s.answer), s.label})
	}
	return q
}

func (in *Interview) outage() []Question {
	part := phrase.Of("The outage")
	q := []Question{
		{Key: keyHours, Part: part, Ask: phrase.Of("For how many hours must the battery carry the home by itself?"),
			Help:    phrase.Of("hours, up to 8760: 24"),
			Assumed: phrase.Symbols("%g h", unknownHours), check: within(0.01, 8760, "h"), writes: []string{"autonomy_h"}},
		{Key: keyStands, Part: part, Ask: phrase.Of("Where does the battery stand?"), Help: phrase.Of("one of the words"),
			Assumed: unknownPlace.label,
			check:   func(s string) error { _, err := parsePlace(s); return err }},
		{Key: keyColdest, Part: part, Ask: phrase.Of("How cold does it get there in winter?"),
			Help:    phrase.Of("degrees Celsius, or with F: 5 or 41 F"),
			Assumed: phrase.Of("what is usual of such a place"), check: celsius(-60, 60), writes: []string{"coldest_c"}},
		{Key: keyHottest, Part: part, Ask: phrase.Of("How hot does it get in summer where the inverter hangs?"),
			Help:    phrase.Of("degrees Celsius, or with F: 35 or 95 F"),
			Assumed: phrase.Symbols("%s", phrase.Measure(num(unknownHottestC)+" C")), check: celsius(-40, 80), writes: []string{"hottest_c"}},
	}
	for _, p := range places {
		q[1].Choices = append(q[1].Choices, Choice{p.word, p.typed, p.label})
	}
	return q
}

func (in *Interview) staysOn() []Question {
	return []Question{{Key: KeyStaysOn, Part: phrase.Of("What stays on"), Several: true,
		Ask:     phrase.Of("What has to stay on, and how many of it?"),
		Help:    phrase.Of("names such as chest-freezer, led-lamp*8, microwave 900 W 0.5 h; what no name fits: other beer cooler 300 W 5 h"),
		Assumed: phrase.Of("the least that a home keeps on: %s", in.basicsSaid()),
		Picks:   in.picks(func(catalog.Appliance) bool { return true }),
		check:   func(s string) error { return in.checkList(s, true) }, writes: loadKeys}}
}

func (in *Interview) depends() []Question {
	var some []phrase.Phrase
	for _, c := range in.picks(medical)[:min(4, len(in.picks(medical)))] {
		some = append(some, c.Typed)
	}
	return []Question{{Key: keyDepends, Part: phrase.Of("Who depends on it"), Several: true,
		Ask: phrase.Of("Does anybody depend on a machine, for breath or health?"),
		Help: phrase.Of("none, or names such as %s; other names likewise: other feeding pump 30 W 12 h",
			phrase.Separated(some, ", ")),
		Assumed: phrase.Of("nobody: ask again before anything is built"),
		Picks:   in.picks(medical), check: func(s string) error { return in.checkList(s, false) }, writes: loadKeys}}
}

var loadKeys = []string{"use", "name", "quantity", "running_w", "hours_per_day", "motor", "code", "locked_rotor_a"}

// picks are the classes of which some may be picked.
func (in *Interview) picks(these func(catalog.Appliance) bool) (out []Choice) {
	for _, c := range in.classes {
		if these(c) {
			out = append(out, Choice{c.ID, called(c), labelOf(c)})
		}
	}
	return out
}

// labelOf is what a class is called.
func labelOf(c catalog.Appliance) phrase.Phrase { return phrase.Symbols("%s", phrase.Label(c.Label)) }

// called is what people type for a class: its label, or its id where a comma of the label would part a list.
func called(c catalog.Appliance) phrase.Phrase {
	if strings.ContainsAny(c.Label, ",;") {
		return phrase.Name(c.ID)
	}
	return labelOf(c)
}

// basicsSaid are the basics by what their classes are called.
func (in *Interview) basicsSaid() phrase.Phrase {
	list, _ := in.parseList(strings.Join(basics, ", "))
	var said []phrase.Phrase
	for _, l := range list {
		if said = append(said, called(l.class)); l.quantity > 1 {
			said[len(said)-1] = phrase.Symbols("%s*%d", called(l.class), l.quantity)
		}
	}
	return phrase.Separated(said, ", ")
}

func medical(c catalog.Appliance) bool { return c.Medical }

func (in *Interview) plates() (qs []Question) {
	for _, l := range in.listed() {
		key := keyPlate + " " + l.class.ID
		if !l.motor() || slices.ContainsFunc(qs, func(q Question) bool { return q.Key == key }) {
			continue
		}
		qs = append(qs, Question{Key: key, Part: phrase.Of("Motors by their plates"),
			Ask:     phrase.Of("What does the plate of the motor say? %s", labelOf(l.class)),
			Help:    phrase.Of("kW or hp, amps, volts, code letter or locked-rotor amps, what is there: 1.1 kW 8 A 230 V code G, or 1 hp LRA 40"),
			Assumed: phrase.Of("figures that are typical of the class"), check: func(s string) error {
				_,
					err := parsePlate(s)
				return err
			}, writes: loadKeys})
	}
	return qs
}

var equipmentPart = phrase.Of("Equipment")

func (in *Interview) inverter() []Question {
	return []Question{{Key: keyInverter, Part: equipmentPart, Ask: phrase.Of("Which inverter is there already, or planned?"),
		Help: phrase.Of("none, or a name that `outlast catalog` lists, with how many: hybrid-5k-48*1"), Assumed: chosenHere,
		check: func(s string) error {
			_, _, err := pieceKind{find: func(id string) error { _, err := in.cat.Inverter(id); return err },
				none: func(id string) phrase.Phrase { return phrase.Of("no inverter %q in the catalog", strict.Clip(id)) }}.read(s)
			return err
		},
		writes: []string{"use", "count"}}}
}

func (in *Interview) battery() []Question {
	return []Question{{Key: keyBattery, Part: equipmentPart, Ask: phrase.Of("Which battery is there already, or planned?"),
		Help:    phrase.Of("none, or a name that `outlast catalog` lists, with how many: lfp-51-100*3; without a number the planner counts them"),
		Assumed: chosenHere,
		check: func(s string) error {
			_, _, err := pieceKind{find: func(id string) error { _, err := in.cat.Battery(id); return err },
				none:      func(id string) phrase.Phrase { return phrase.Of("no battery %q in the catalog", strict.Clip(id)) },
				uncounted: phrase.Of("without a number the planner counts them"),
			}.read(s)
			return err
		},
		writes: []string{"use", "strings", "nominal_v"}}}
}

// chosenHere is what an unknown inverter or battery is taken to be.
var chosenHere = phrase.Of("chosen here, the cheapest of the catalog that passes")

func (in *Interview) panels() []Question {
	return []Question{{Key: keyPanels, Part: phrase.Of("Sun"),
		Ask:  phrase.Of("How many solar panels are there or planned, of how many watts each?"),
		Help: phrase.Of("none, or 12 x 440 W"), Assumed: phrase.Of("none there"), check: func(s string) error {
			_,
				err := in.parsePanels(s)
			return err
		},
		writes: []string{"modules_per_string", "strings"}}}
}

// array are the questions about panels, for who has any.
func (in *Interview) array() []Question {
	p, err := in.parsePanels(in.known(keyPanels))
	if err != nil || p.count == 0 {
		return nil
	}
	part := phrase.Of("Sun")
	qs := []Question{
		{Key: keySlope, Part: part, Ask: phrase.Of("How steep do they lie?"), Help: phrase.Of("degrees from level, 0 to 90: 30"),
			Assumed: phrase.Of("flat"),
			check:   within(0, 90, ""), writes: []string{"tilt_deg"}},
		{Key: keyFacing, Part: part, Ask: phrase.Of("Which way do they face?"),
			Help:    phrase.Of("a word such as south or north-west, or degrees clockwise from north: 180"),
			Assumed: phrase.Of("counted as lying flat, where no direction counts"),
			check:   func(s string) error { _, err := parseFacing(s); return err }, writes: []string{"azimuth_deg"}},
		{Key: keyAir, Part: part, Ask: phrase.Of("What is the coldest that it has ever been outdoors there?"),
			Help: phrase.Of("degrees Celsius, or with F: -18 or 0 F; the coldest night that anybody remembers, not a usual " +
				"winter: the colder the panels, the more volts their strings have"),
			Assumed: phrase.Of("the coldest that is to be expected at that latitude and height"),
			check:   celsius(-60, 50), writes: []string{"coldest_air_c"}},
		{Key: keySun, Part: part, Ask: phrase.Of("How much sun falls on level ground there on a mean day of each month?"),
			Help:    phrase.Of("twelve figures in kWh/m2, January first: 0.6 1.1 2.2 …"),
			Assumed: phrase.Of("not counted: what the panels give is not told"),
			check:   func(s string) error { _, err := parseSun(s); return err },
			writes:  []string{"monthly_kwh_m2_day"}},
	}
	if in.known(keyLatitude) == "" {
		return nil // the sun of a place that nobody knows cannot be told, and the reader wants it
	}
	return qs
}

func (in *Interview) generator() []Question {
	return []Question{{Key: keyGenerator, Part: phrase.Of("Generator"), Ask: phrase.Of("Which generator is there or planned?"),
		Help:    phrase.Of("none, VA or kVA and what it burns: 6.5 kVA petrol, or a name that `outlast catalog` lists"),
		Assumed: phrase.Of("none there"),
		check:   func(s string) error { _, err := in.parseGenerator(s); return err },
		writes:  []string{"use", "rated_va", "fuel"}}}
}
