package wiring

import (
	"outlast/backup/phrase"
)

// A run is a conductor from one place to another, and what is asked of it. [SizeFeeder], [SizeBank] and [SizePV] fill
// it in by the rules of their trade.
type run struct {
	Laying   Laying
	VoltageV float64 // line to neutral; DC between the poles; 1 to 10,000
	LengthM  float64 // one way; 0 means unknown: then no drop is checked, and a caution says so
	LoadA    float64 // current that the drop is computed with, in each conductor
	// PowerFactor of LoadA, and of StartA; 0 means unknown, so that the worst is taken.
	PowerFactor, StartPowerFactor float64

	NeedA      float64 // what it must carry as it is laid; 0 means ContinuousFactor x LoadA
	NeedTableA float64 // what the table must give before any factor; 0 means no such rule
	DeviceA    float64 // rating of the protective device before it; 0 means none
	SurgeA     float64 // highest short current, SurgeS long; 0 means none
	SurgeS     float64 // up to 300 s: what lasts longer is a load
	StartA     float64 // current while the largest motor starts, for the drop; 0 means none
	Upstream   float64 // fraction of the voltage lost before this run, for the limit on the whole way

	Practice Practice
	Brief    bool // leaves the working out: for one of many tries
}

// A Choice is a conductor for a run.
type Choice struct {
	Size      Size
	Found     bool // the size passes; if not, Size is the largest of the tables, or the given one
	Ampacity  Ampacity
	OhmPerKm  float64 // of one conductor at the working temperature of its insulation
	Drop      Drop    // of LoadA
	StartDrop Drop    // of StartA
	Checks    []Check
	Rejected  []Rejection // every smaller size, smallest first; none of a given size
	Working   []Step
}

// A Rejection says why a size is too small. It is put into words only when asked: most searches reject several sizes.
type Rejection struct {
	Size  Size
	sides sides
}

// Failed gives the checks that the size fails.
func (r Rejection) Failed() []Check { return failed(r.sides.checks(phrase.Measure(r.Size.Name))) }

func failed(checks []Check) []Check {
	var bad []Check
	for _, c := range checks {
		if c.Status == Fail {
			bad = append(bad, c)
		}
	}
	return bad
}

// Step puts the rejection into one line of a working; its value is the limit that was broken first.
func (r Rejection) Step() Step {
	failed := r.Failed()
	texts := make([]phrase.Phrase, len(failed))
	for i, c := range failed {
		texts[i] = phrase.Of("%s: demand %s %s, limit %s %s", c.Reason, fig(c.Demand), c.Unit, fig(c.Limit), c.Unit)
	}
	s := Step{Title: phrase.Of("Too small: %s", phrase.Measure(r.Size.Name)),
		Formula: phrase.Of("demand at most limit"),
		Numbers: phrase.Separated(texts, "; ")}
	if len(failed) > 0 {
		s.Value, s.Unit = failed[0].Limit, failed[0].Unit
	}
	return s
}

// choose finds the smallest conductor of the run's tables that carries the current as it is laid, stands the surge,
// suits the device and keeps the drop within its limits. method stands for an empty one.
//
// Errors: a number out of its range, an unknown word, an ambient temperature that the tables don't reach. That no size
// is large enough is no error but Found = false.
func (r run) choose(method Method) (Choice, error) {
	b, err := r.bind(method)
	if err != nil {
		return Choice{}, err
	}
	var rejected []Rejection
	last := len(sizes(r.Laying.Tables)) - 1
	for i := 0; ; i++ {
		c, compared := b.at(i)
		if c.Found || i == last {
			c.Rejected = rejected
			return b.described(i, c, compared), nil
		}
		if rejected == nil {
			rejected = make([]Rejection, 0, last)
		}
		rejected = append(rejected, Rejection{c.Size, compared})
	}
}

// assess tests the standard size of mm2 in the run. Errors as with choose, and for a cross-section that is no standard
// size.
func (r run) assess(method Method, mm2 float64) (Choice, error) {
	b, err := r.bind(method)
	if err != nil {
		return Choice{}, err
	}
	i, err := indexOf(r.Laying.Tables, mm2)
	if err != nil {
		return Choice{}, err
	}
	c, compared := b.at(i)
	return b.described(i, c, compared), nil
}

// sized is choose without a cross-section, assess with one.
func (r run) sized(method Method, mm2 float64) (Choice, error) {
	if mm2 == 0 {
		return r.choose(method)
	}
	return r.assess(method, mm2)
}

// bound is a run that has been checked, with its defaults and limits.
type bound struct {
	run
	place                            place
	practice                         Practice
	need                             Step // how NeedA came about
	dropLimit, totalLimit, startDrop float64
}

func (r run) bind(method Method) (*bound, error) {
	p, err := r.Practice.FilledFor(r.Laying.Tables)
	if err != nil {
		return nil, err
	}
	if err := firstError(voltRange(phrase.Of("voltage"), r.VoltageV), lengthRange(r.LengthM),
		currentRange(phrase.Of("load"), r.LoadA), currentRange(phrase.Of("required current"), r.NeedA),
		currentRange(phrase.Of("required tabulated current"), r.NeedTableA),
		optional(phrase.Of("device"), r.DeviceA, 0.1, maxA, "A"), currentRange(phrase.Of("starting current"), r.SurgeA),
		currentRange(phrase.Of("start"), r.StartA), within(phrase.Of("starting time"), r.SurgeS, 0, 300, "s"),
		within(phrase.Of("drop before the run"), r.Upstream, 0, 1, ""),
		powerFactorRange(r.PowerFactor), powerFactorRange(r.StartPowerFactor)); err != nil {
		return nil, err
	}
	if r.SurgeA > 0 && r.SurgeS < 1e-3 {
		return nil, failure(phrase.Of("starting current of %g A for %g s, want at least 0.001 s", r.SurgeA, r.SurgeS))
	}
	b := &bound{run: r, practice: p}
	if b.place, err = r.Laying.place(method); err != nil {
		return nil, err
	}
	b.need = Step{Title: phrase.Of("Required current"), Formula: none, Numbers: phrase.Of("as required of the run"),
		Value: r.NeedA, Unit: "A", Source: none}
	if b.NeedA == 0 {
		b.NeedA = p.ContinuousFactor * r.LoadA
		b.need = Step{Title: phrase.Of("Required current"), Formula: phrase.Of("continuous factor x load"),
			Numbers: phrase.Symbols("%s x %s", fig(p.ContinuousFactor), fig(r.LoadA)), Value: b.NeedA, Unit: "A",
			Source: whose(p.ContinuousFactor, continuousOf(r.Laying.Tables))}
	}
	b.dropLimit, b.totalLimit, b.startDrop = p.DCDropLimit, p.DCDropLimit, p.StartDropLimit
	if r.Laying.System != DC {
		more := p.longRun(r.LengthM)
		b.dropLimit, b.totalLimit = p.ACDropLimit+more, p.TotalDropLimit+more
	}
	return b, nil
}

// at tries one size, without words.
func (b *bound) at(i int) (Choice, sides) {
	t := b.Laying.Tables
	c := Choice{Size: sizes(t)[i], Ampacity: b.place.ampacity(i)}
	if b.practice.NextSizeUp {
		c.Ampacity.DeviceA = nextSizeUp(t, i, c.Ampacity.A)
	}
	c.OhmPerKm = resistanceAt(t, b.Laying.Strand, i, b.place.InsulationC)
	c.Drop = drop(b.Laying.System, b.LengthM, b.LoadA, c.OhmPerKm, b.VoltageV, b.PowerFactor)
	c.StartDrop = drop(b.Laying.System, b.LengthM, b.StartA, c.OhmPerKm, b.VoltageV, b.StartPowerFactor)
	compared := b.compare(&c)
	c.Found = compared.fit()
	return c, compared
}

// described adds the words to a size that was tried.
func (b *bound) described(i int, c Choice, compared sides) Choice {
	c.Checks = compared.checks(phrase.Measure(c.Size.Name))
	if !b.Brief {
		c.Working = b.working(i, c)
	}
	return c
}

func (b *bound) surgeLimitA(c *Choice) float64 {
	return b.place.surgeA(c.Size.MM2, c.Ampacity.A, b.practice.SurgeRiseK, b.SurgeS)
}

// compare sets what is asked of a size beside what it bears.
func (b *bound) compare(c *Choice) sides {
	s := sides{surgeS: b.SurgeS, riseK: b.practice.SurgeRiseK, dropV: c.Drop.V, startV: c.StartDrop.V}
	s.ask(OfAmpacity, b.NeedA, c.Ampacity.A)
	if b.NeedTableA > 0 {
		s.ask(OfTable, b.NeedTableA, c.Ampacity.TableA)
	}
	if b.DeviceA > 0 {
		s.ask(OfProtection, b.DeviceA, c.Ampacity.DeviceA)
	}
	if b.SurgeA > 0 {
		s.ask(OfSurge, b.SurgeA, b.surgeLimitA(c))
	}
	if b.LengthM == 0 {
		return s
	}
	s.ask(OfDrop, c.Drop.Fraction, b.dropLimit)
	if b.Upstream > 0 {
		s.ask(OfTotalDrop, b.Upstream+c.Drop.Fraction, b.totalLimit)
	}
	if b.StartA > 0 {
		s.ask(OfStartDrop, c.StartDrop.Fraction, b.startDrop)
	}
	return s
}

// working shows the numbers behind a choice. Lines for what was not asked are left out.
func (b *bound) working(i int, c Choice) []Step {
	p, d := b.practice, practiceDefaults
	steps := append([]Step{b.need}, b.place.steps(i, c.Ampacity)...)
	if b.SurgeA > 0 {
		limit := b.surgeLimitA(&c)
		steps = append(steps, Step{Title: phrase.Of("Starting current it withstands"),
			Formula: phrase.Of("section x 226 x sqrt(ln(1 + rise / (234.5 + t)) / seconds), at least its current-carrying capacity"),
			Numbers: phrase.Of("%s mm2, %s K from %s, %s s", fig(c.Size.MM2), fig(p.SurgeRiseK),
				phrase.Amount{Value: b.place.InsulationC, Unit: "C"}, fig(b.SurgeS)), Value: limit, Unit: "A",
			Source: phrase.Of("%s; rise: %s", copperHeat.cite(), whose(p.SurgeRiseK, d.surgeRise))})
	}
	steps = append(steps, Step{Title: phrase.Of("Resistance of one conductor"), Formula: none,
		Numbers: phrase.Of("%s at %s", phrase.Measure(c.Size.Name),
			phrase.Amount{Value: b.place.InsulationC, Unit: "C"}),
		Value: c.OhmPerKm, Unit: "ohm/km",
		Source: resistanceSource(b.Laying.Tables, b.Laying.Strand, i)})
	if b.LengthM == 0 {
		return steps
	}
	limit, def := p.ACDropLimit, d.acDrop
	if b.Laying.System == DC {
		limit, def = p.DCDropLimit, d.dcDrop
	}
	steps = append(steps, b.dropSteps(phrase.Of("Voltage drop"), c.Drop, b.LoadA, c.OhmPerKm, b.PowerFactor,
		b.dropLimit, whose(limit, def))...)
	if b.StartA > 0 {
		steps = append(steps, b.dropSteps(phrase.Of("Voltage drop at the largest start"), c.StartDrop, b.StartA,
			c.OhmPerKm, b.StartPowerFactor, b.startDrop,
			whose(p.StartDropLimit, d.startDrop))...)
	}
	return steps
}

func (b *bound) dropSteps(name phrase.Phrase, d Drop, amps, ohmPerKm, pf, limit float64,
	limitSource phrase.Phrase) []Step {
	s := b.Laying.System
	numbers, source := phrase.Symbols("%s, %s A, R %s ohm/km", phrase.Amount{Value: b.LengthM, Unit: "m"}, fig(amps),
		fig(ohmPerKm)), none
	if s != DC {
		numbers = phrase.Of("%s, X %s ohm/km, power factor %s", numbers, fig(acReactance.value), powerFactorText(pf))
		source = phrase.Of("X: %s", acReactance.cite())
	}
	return []Step{
		{Title: name, Formula: s.formula(pf), Numbers: numbers, Value: d.V, Unit: "V", Source: source},
		{Title: phrase.Of("%s, fraction", name), Formula: phrase.Of("drop / voltage, limit %s", fig(limit)),
			Numbers: phrase.Symbols("%s / %s", fig(d.V), fig(b.VoltageV)), Value: d.Fraction, Unit: "",
			Source: phrase.Of("limit: %s", limitSource)},
	}
}

func powerFactorText(pf float64) phrase.Phrase {
	if pf == 0 {
		return phrase.Of("the worst")
	}
	return phrase.Symbols("%s", fig(pf))
}
