package wiring

import (
	"math"
	"slices"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/working"
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
	Brief    bool   // leaves the working out: for one of many tries
	load     string // the name of LoadA in the working; "" means "current_a"
}

// A Choice is a conductor for a run.
type Choice struct {
	Size       Size
	Found      bool // the size passes; if not, Size is the largest of the tables, or the given one
	Ampacity   Ampacity
	OhmPerKm   float64 // of one conductor at the working temperature of its insulation
	Drop       Drop    // of LoadA
	StartDrop  Drop    // of StartA
	OneSecondA float64 // heats it within a second by as much as a start may, from the working temperature of its insulation
	Checks     []Check
	Rejected   []Rejection // every smaller size, smallest first; none of a given size

	steps func(*working.Part) // adds the working
}

// A Rejection says why a size is too small. It is put into words only when asked: most searches reject several sizes.
type Rejection struct {
	Size  Size
	sides sides
	index int
}

// Failed gives the checks that the size fails.
func (r Rejection) Failed() []Check {
	return failed(r.sides.checks(phrase.Measure(r.Size.Name), false))
}

func failed(checks []Check) []Check {
	var bad []Check
	for _, c := range checks {
		if c.Status == Fail {
			bad = append(bad, c)
		}
	}
	return bad
}

// rejected adds why a size is too small: by what it fails, and what it would have in the first of these comparisons.
func (b *bound) rejected(w *working.Part, r Rejection) {
	failed := r.Failed()
	if len(failed) == 0 {
		return
	}
	texts := make([]phrase.Phrase, len(failed))
	for i, c := range failed {
		texts[i] = phrase.Of("%s: demand %s %s, limit %s %s", c.Reason, fig(c.Demand), c.Unit, fig(c.Limit), c.Unit)
	}
	s := Step{Title: phrase.Of("Too small: %s", phrase.Measure(r.Size.Name)), Formula: phrase.Separated(texts, "; "),
		Unit: failed[0].Unit}
	what := r.sides.firstFailed()
	c, _ := b.at(r.index)
	f := b.figureOf(what, r.index, &c)
	s.Expr, s.Inputs, s.Value, s.Sources = f.expr, f.inputs, f.value, f.sources
	if s.Unit == "%" {
		s.Expr, s.Value = "100 * ("+s.Expr+")", 100*s.Value
	}
	w.Add(s)
}

// A figure is one figure of a size as an expression over figures of tables and of the run.
type figure struct {
	expr    string
	inputs  []working.Input
	value   float64
	sources []working.Source
}

// put replaces a name in an expression by what it stands for.
func (f figure) put(name string, by figure) figure {
	f.expr = strings.ReplaceAll(f.expr, name, "("+by.expr+")")
	f.inputs = slices.DeleteFunc(f.inputs, func(i working.Input) bool { return i.Name == name })
	for _, i := range by.inputs {
		if !slices.ContainsFunc(f.inputs, func(have working.Input) bool { return have.Name == i.Name }) {
			f.inputs = append(f.inputs, i)
		}
	}
	f.sources = append(by.sources, f.sources...)
	return f
}

// figureOf is what a comparison of a size is about, all in one: what it bears, of drops what it loses.
func (b *bound) figureOf(what Comparison, i int, c *Choice) figure {
	table := b.place.tableSource(i)
	tabulated := figure{"tabulated_a", []working.Input{working.Told("tabulated_a", c.Ampacity.TableA, "A",
		table.Phrase())}, c.Ampacity.TableA, []working.Source{table}}
	expr, terminal := b.place.expr(i)
	ampacity := figure{expr, append([]working.Input{tabulated.inputs[0],
		in("ambient_factor", c.Ampacity.AmbientFactor, ""), in("group_factor", c.Ampacity.GroupFactor, "")},
		terminal...), c.Ampacity.A, tabulated.sources}
	switch what {
	case OfTable:
		return tabulated
	case OfAmpacity:
		return ampacity
	case OfProtection:
		return b.protection(i, c, ampacity)
	case OfSurge:
		return b.surge(c).put("ampacity_a", ampacity)
	case OfTotalDrop:
		d := b.fraction(b.lost(b.load, b.LoadA, "power_factor", b.PowerFactor, i, c, c.Drop.Fraction))
		d.expr = "upstream_drop + " + d.expr
		d.inputs, d.value = append(d.inputs, in("upstream_drop", b.Upstream, "")), b.Upstream+d.value
		return d
	case OfStartDrop:
		return b.fraction(b.lost("start_a", b.StartA, "start_power_factor", b.StartPowerFactor, i, c,
			c.StartDrop.Fraction))
	default:
		return b.fraction(b.lost(b.load, b.LoadA, "power_factor", b.PowerFactor, i, c, c.Drop.Fraction))
	}
}

// protection is the largest rating of a device that protects a size.
func (b *bound) protection(i int, c *Choice, ampacity figure) figure {
	f := ampacity
	f.value = c.Ampacity.DeviceA
	small := smallConductor(b.Laying.Tables, i)
	if b.practice.NextSizeUp {
		list := ratingSource(b.Laying.Tables, Breaker)
		next, ok := NextRating(b.Laying.Tables, Breaker, c.Ampacity.A)
		if !ok {
			next = c.Ampacity.A
		}
		f = figure{"max(" + f.expr + ", rating_a)", append(f.inputs,
			working.Told("rating_a", next, "A", list.Phrase())),
			f.value, append(f.sources, list)}
	}
	if math.IsInf(small, 1) {
		return f
	}
	rule := working.NEC.At(phrase.Name("240.4(D)"), working.Quoted)
	return figure{"min(" + f.expr + ", small_conductor_a)",
		append(f.inputs, working.Told("small_conductor_a", small, "A", rule.Phrase())), f.value,
		append(f.sources, rule)}
}

// surge is the short current that a size withstands.
func (b *bound) surge(c *Choice) figure {
	return figure{"max(ampacity_a, section_mm2 * copper_k * sqrt(ln(1 + surge_rise_k / (copper_zero_c + insulation_c)) / surge_s))",
		[]working.Input{in("ampacity_a", c.Ampacity.A, "A"), b.section(c),
			in("copper_k", copperHeat.value, "A s^0.5/mm2"),
			in("surge_rise_k", b.practice.SurgeRiseK, "K"), in("copper_zero_c", copperZeroC.value, "C"),
			in("insulation_c", b.place.InsulationC, "C"), in("surge_s", b.SurgeS, "s")}, b.surgeLimitA(c),
		append([]working.Source{copperHeat.source}, forFigure(phrase.Name("surge_rise_k"),
			whose(b.practice.SurgeRiseK, practiceDefaults.surgeRise))...)}
}

// section is the cross-section of a size, of the US tables by its circular mils.
func (b *bound) section(c *Choice) working.Input {
	return working.Told("section_mm2", c.Size.MM2, "mm2", phrase.Of("conductor %s", phrase.Measure(c.Size.Name)))
}

// lost is the fraction of the voltage that a size loses, in V as long as fraction has not been at it.
func (b *bound) lost(current string, amps float64, pfName string, pf float64, i int, c *Choice,
	fraction float64) figure {
	system := b.Laying.System
	table, resistance, constants, sources := tabulated(b.Laying.Tables, b.Laying.Strand, i)
	f := figure{system.expr(current, pfName, pf > 0), b.dropInputs(current, amps, pfName, pf, c.OhmPerKm),
		fraction, nil}
	if system != DC {
		f.sources = []working.Source{acReactance.source.For(phrase.Name("reactance_ohm_km"))}
	}
	return f.put("resistance_ohm_km", figure{resistance, append([]working.Input{table,
		in("insulation_c", b.place.InsulationC, "C")}, constants...), c.OhmPerKm, sources})
}

// fraction divides a drop by the voltage.
func (b *bound) fraction(f figure) figure {
	f.expr += " / voltage_v"
	f.inputs = append(f.inputs, in("voltage_v", b.VoltageV, "V"))
	return f
}

// dropInputs are what a drop is computed from.
func (b *bound) dropInputs(current string, amps float64, pfName string, pf, ohmPerKm float64) []working.Input {
	inputs := []working.Input{in("length_m", b.LengthM, "m"), in(current, amps, "A"),
		in("resistance_ohm_km", ohmPerKm, "ohm/km")}
	if b.Laying.System == DC {
		return inputs
	}
	inputs = append(inputs, in("reactance_ohm_km", acReactance.value, "ohm/km"))
	if pf > 0 {
		inputs = append(inputs, in(pfName, pf, ""))
	}
	return inputs
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
		rejected = append(rejected, Rejection{c.Size, compared, i})
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
	asked                            bool // NeedA was given
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
	if r.load == "" {
		r.load = "current_a"
	}
	b := &bound{run: r, practice: p}
	if b.place, err = r.Laying.place(method); err != nil {
		return nil, err
	}
	if b.asked = b.NeedA > 0; !b.asked {
		b.NeedA = p.ContinuousFactor * r.LoadA
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
	c.OneSecondA = b.place.oneSecondA(c.Size.MM2, b.practice.SurgeRiseK)
	c.Drop = drop(b.Laying.System, b.LengthM, b.LoadA, c.OhmPerKm, b.VoltageV, b.PowerFactor)
	c.StartDrop = drop(b.Laying.System, b.LengthM, b.StartA, c.OhmPerKm, b.VoltageV, b.StartPowerFactor)
	compared := b.compare(&c)
	c.Found = compared.fit()
	return c, compared
}

// described adds the words to a size that was tried.
func (b *bound) described(i int, c Choice, compared sides) Choice {
	c.Checks = compared.checks(phrase.Measure(c.Size.Name), b.Brief)
	if !b.Brief {
		c.steps = func(w *working.Part) { b.working(w, i, c) }
	}
	return c
}

func (b *bound) surgeLimitA(c *Choice) float64 {
	return max(c.Ampacity.A, c.OneSecondA/math.Sqrt(b.SurgeS))
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
func (b *bound) working(w *working.Part, i int, c Choice) {
	p := b.practice
	if !b.asked && b.NeedA > 0 {
		w.Add(Step{Name: "required_a", Title: phrase.Of("Required current"), Expr: "continuous_factor * " + b.load,
			Inputs: []working.Input{in("continuous_factor", p.ContinuousFactor, ""), in(b.load, b.LoadA, "A")},
			Value:  b.NeedA, Unit: "A", Sources: whose(p.ContinuousFactor, continuousOf(b.Laying.Tables))})
	}
	b.place.factors(w)
	if n := len(c.Rejected); n > 0 {
		b.rejected(w, c.Rejected[n-1])
	}
	b.place.steps(w, i, c.Ampacity, p.NextSizeUp)
	if b.SurgeA > 0 {
		f := b.surge(&c)
		w.Add(Step{Name: "withstood_a", Title: phrase.Of("Starting current it withstands"), Expr: f.expr,
			Inputs: f.inputs, Value: f.value, Unit: "A", Sources: f.sources})
	}
	table, expr, constants, sources := tabulated(b.Laying.Tables, b.Laying.Strand, i)
	w.Add(Step{Name: "resistance_ohm_km", Title: phrase.Of("Resistance of one conductor"), Expr: expr,
		Inputs: append([]working.Input{table, in("insulation_c", b.place.InsulationC, "C")}, constants...),
		Value:  c.OhmPerKm, Unit: "ohm/km", Sources: sources})
	if b.LengthM == 0 {
		return
	}
	limit, def := p.ACDropLimit, practiceDefaults.acDrop
	if b.Laying.System == DC {
		limit, def = p.DCDropLimit, practiceDefaults.dcDrop
	}
	b.dropSteps(w, "drop", phrase.Of("Voltage drop"), c.Drop, b.load, b.LoadA, "power_factor", b.PowerFactor,
		c.OhmPerKm, b.dropLimit, whose(limit, def))
	b.limitStep(w)
	if b.StartA > 0 {
		b.dropSteps(w, "start_drop", phrase.Of("Voltage drop at the largest start"), c.StartDrop, "start_a", b.StartA,
			"start_power_factor", b.StartPowerFactor, c.OhmPerKm, b.startDrop,
			whose(p.StartDropLimit, practiceDefaults.startDrop))
	}
}

// limitStep adds the limit of the drop where a long run has more than the practice gives.
func (b *bound) limitStep(w *working.Part) {
	if b.Laying.System == DC || b.practice.longRun(b.LengthM) == 0 {
		return
	}
	w.Add(Step{Name: "drop_limit", Title: phrase.Of("Permitted voltage drop of a long run"),
		Expr: "ac_drop + min(long_run_most, long_run_per_m * max(0, length_m - long_run_from_m))",
		Inputs: append([]working.Input{in("ac_drop", b.practice.ACDropLimit, "")},
			b.longRunInputs()...),
		Value: b.dropLimit, Sources: whose(b.practice.ACDropLimit, practiceDefaults.acDrop)})
}

// longRunInputs are what a long run adds to a limit.
func (b *bound) longRunInputs() []working.Input { return longRunInputs(b.practice, b.LengthM) }

func longRunInputs(p Practice, lengthM float64) []working.Input {
	return []working.Input{in("long_run_most", LongRunMost, ""), in("long_run_per_m", p.LongRunPerM, "1/m"),
		in("length_m", lengthM, "m"), in("long_run_from_m", LongRunFromM, "m")}
}

// dropSteps adds a drop in V and as a fraction of the voltage, which goes by name, with its limit.
func (b *bound) dropSteps(w *working.Part, name string, title phrase.Phrase, d Drop, current string, amps float64,
	pfName string, pf, ohmPerKm, limit float64, limitSources []working.Source) {
	s := Step{Name: name + "_v", Title: title, Expr: b.Laying.System.expr(current, pfName, pf > 0),
		Inputs: b.dropInputs(current, amps, pfName, pf, ohmPerKm), Value: d.V, Unit: "V"}
	if b.Laying.System != DC {
		s.Sources = []working.Source{acReactance.source.For(phrase.Name("reactance_ohm_km"))}
		if pf == 0 {
			s.Formula = phrase.Of("of the worst power factor, as none is known")
		}
	}
	w.Add(s)
	w.Add(Step{Name: name, Title: phrase.Of("%s, fraction", title), Formula: phrase.Of("limit: %s", fig(limit)),
		Expr: name + "_v / voltage_v", Value: d.Fraction,
		Inputs:  []working.Input{in(name+"_v", d.V, "V"), in("voltage_v", b.VoltageV, "V")},
		Sources: forFigure(phrase.Of("limit"), limitSources)})
}
