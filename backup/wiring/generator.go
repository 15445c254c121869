package wiring

import (
	"outlast/backup/phrase"
)

// A Generator is a set and what is asked of it.
type Generator struct {
	RatedVA     float64        // continuous; a portable set's label often shows the peak, 15 to 25 % more
	PowerFactor float64        // of the rating; 0 means 0.8
	Rules       []DeratingRule // the one that leaves least counts; none: those of its engine, see [DeratingRulesOf]
	Turbo       bool           // with Fuel, the kind of engine
	AltitudeM   float64
	AmbientC    float64
	// RunningW, RunningVA are of everything at once, the charger included.
	RunningW, RunningVA float64
	// StartVA is drawn by the largest motor alone while it starts, TotalStartVA by everything in that moment; 0 means
	// no start.
	StartVA, TotalStartVA float64
	MeanW                 float64 // output that the fuel is reckoned with; 0 means RunningW
	Fuel                  string  // "diesel", another word for another fuel, "" if it is unknown
	FuelLPerH             float64 // of the maker, at MeanW, 0 to 1e4; 0 means that the chart is read
	TankL                 float64 // 0 means unknown
	Practice              Practice
}

// A GeneratorResult says what the set has left, what it starts, and how long its tank lasts.
type GeneratorResult struct {
	Derating            Derating
	DeratedVA, DeratedW float64
	Dip                 float64 // fraction of the voltage lost while the largest motor starts
	FuelLPerH           float64 // of the maker, else of the chart; of the chart at full load where MeanW is above the rating
	FuelLineLPerH       float64 // of the straight line, beside the chart
	ByChart             bool
	TankH               float64 // 0 if the tank is unknown
	Checks              []Check // of what runs in VA and in W, of the starts, and of the dip
	Working             []Step
	Cautions            []phrase.Phrase
}

// defaultGeneratorPF: kW = 0.8 kVA.
var defaultGeneratorPF = sourced{0.8, phrase.Of("public guide, general practice"), quoted}

// wetStacking is the load below which a diesel should not run for long.
var wetStacking = sourced{0.30, phrase.Of("guide page on diesel sets"), published}

// GeneratorDip is the fraction of its voltage that a generator loses while a motor that draws startVA at full voltage
// starts: x / (x + rated / start), a divider of the alternator's transient reactance x (per unit) and the motor's
// standstill impedance.
//
// Source: the usual estimate (memory). With x = 0.25 it puts the pump makers' table of generators, made for a dip of 35
// %, at 30 to 41 %.
func GeneratorDip(ratedVA, startVA, reactance float64) (float64, error) {
	if err := firstError(within(phrase.Of("rating"), ratedVA, 1, maxVA, "VA"),
		within(phrase.Of("starting power"), startVA, 0, maxVA, "VA"),
		within(phrase.Of("reactance"), reactance, 0.01, 1, "per unit")); err != nil {
		return 0, err
	}
	return reactance * startVA / (reactance*startVA + ratedVA), nil
}

// SizeGenerator rates a generator set at its place and holds it against the loads.
//
// Running power above the derated rating fails, above GeneratorShare of it is a caution; a dip above GeneratorDip
// fails; a start that takes more than GeneratorStart times the rating is a caution, because that published rule counts
// watts of its own reckoning.
func SizeGenerator(g Generator) (GeneratorResult, error) {
	p, err := g.Practice.Filled()
	if err != nil {
		return GeneratorResult{}, err
	}
	if g.PowerFactor == 0 {
		g.PowerFactor = defaultGeneratorPF.value
	}
	if err := firstError(within(phrase.Of("rating"), g.RatedVA, 1, maxVA, "VA"),
		within(phrase.Of("power factor"), g.PowerFactor, 0.1, 1, ""),
		within(phrase.Of("running power"), g.RunningW, 0, maxVA, "W"),
		within(phrase.Of("running power"), g.RunningVA, 0, maxVA, "VA"),
		within(phrase.Of("starting power"), g.StartVA, 0, maxVA, "VA"),
		within(phrase.Of("starting power in all"), g.TotalStartVA, 0, maxVA, "VA"),
		within(phrase.Of("mean power"), g.MeanW, 0, maxVA, "W"), within(phrase.Of("tank"), g.TankL, 0, 1e7, "L"),
		optional(phrase.Of("fuel"), g.FuelLPerH, 1e-3, 1e4, "L/h")); err != nil {
		return GeneratorResult{}, err
	}
	var r GeneratorResult
	if len(g.Rules) == 0 {
		g.Rules = DeratingRulesOf(g.Fuel, g.Turbo)
	}
	if r.Derating, err = GeneratorDerating(g.AltitudeM, g.AmbientC, g.Rules...); err != nil {
		return GeneratorResult{}, err
	}
	r.DeratedVA = g.RatedVA * r.Derating.Factor
	r.DeratedW = r.DeratedVA * g.PowerFactor
	r.Working = append(r.Working, r.Derating.Working...)
	r.Working = append(r.Working,
		Step{Title: phrase.Of("Generator, derated"), Formula: phrase.Of("rating x altitude x heat, rule: %s",
			string(r.Derating.Rule)),
			Numbers: phrase.Symbols("%s x %s x %s", fig(g.RatedVA), fig(r.Derating.Altitude), fig(r.Derating.Heat)),
			Value:   r.DeratedVA, Unit: "VA",
			Source: cite(phrase.Of("factors are cumulative: alternator training sheet"),
				published)},
		Step{Title: phrase.Of("Generator, derated"), Formula: phrase.Of("VA x power factor"),
			Numbers: phrase.Symbols("%s x %s", fig(r.DeratedVA), fig(g.PowerFactor)), Value: r.DeratedW, Unit: "W",
			Source: whose(g.PowerFactor, defaultGeneratorPF)})
	r.Checks = append(r.Checks, share(OfRunningVA, g.RunningVA, r.DeratedVA, "VA", p),
		share(OfRunningW, g.RunningW, r.DeratedW, "W", p))
	if err := g.start(&r, p); err != nil {
		return GeneratorResult{}, err
	}
	if err := g.fuel(&r); err != nil {
		return GeneratorResult{}, err
	}
	return r, nil
}

// share passes up to GeneratorShare of the rating and fails above the rating.
func share(of Comparison, demand, rating float64, unit string, p Practice) Check {
	c := compare(of, demand, rating, unit, phrase.Of("derated output of the generator at the site"))
	if c.Status == Pass && demand > p.GeneratorShare*rating {
		c.Status = Caution
		c.Reason = phrase.Of("above %s of the derated output", phrase.Measure(percent(p.GeneratorShare)))
	}
	return c
}

func (g Generator) start(r *GeneratorResult, p Practice) error {
	if g.TotalStartVA > 0 {
		c := compare(OfGeneratorStart, g.TotalStartVA, p.GeneratorStart*r.DeratedVA, "VA",
			phrase.Of("%s times the derated output", fig(p.GeneratorStart)))
		if c.Status == Fail {
			c.Status = Caution
		}
		r.Checks = append(r.Checks, c)
	}
	if g.StartVA == 0 {
		return nil
	}
	if r.DeratedVA < 1 { // nothing left to start with, nor to divide by
		r.Dip = 1
	} else {
		var err error
		if r.Dip, err = GeneratorDip(r.DeratedVA, g.StartVA, p.GeneratorReactance); err != nil {
			return err
		}
	}
	r.Checks = append(r.Checks, comparePercent(OfDip, r.Dip, p.GeneratorDip,
		phrase.Of("voltage dip while the largest motor starts")))
	r.Working = append(r.Working, Step{Title: phrase.Of("Voltage dip at the largest start"),
		Formula: phrase.Of("x / (x + rating / start)"),
		Numbers: phrase.Of("%s / (%s + %s / %s), limit %s", fig(p.GeneratorReactance), fig(p.GeneratorReactance),
			fig(r.DeratedVA), fig(g.StartVA), fig(p.GeneratorDip)),
		Value: r.Dip, Unit: "", Source: phrase.Of("x: %s; limit: %s",
			whose(p.GeneratorReactance, practiceDefaults.genReactor),
			whose(p.GeneratorDip, practiceDefaults.genDip))})
	return nil
}

func (g Generator) fuel(r *GeneratorResult) error {
	ratedKW := g.RatedVA * g.PowerFactor / 1000
	if g.MeanW == 0 {
		g.MeanW = g.RunningW
	}
	outputKW := min(g.MeanW/1000, ratedKW)
	switch {
	case g.FuelLPerH > 0:
		r.FuelLPerH = g.FuelLPerH
		r.Working = append(r.Working, Step{Title: phrase.Of("Fuel consumption"),
			Formula: phrase.Of("by the maker's data"),
			Numbers: phrase.Symbols("%s kW", fig(outputKW)), Value: r.FuelLPerH, Unit: "L/h",
			Source: phrase.Of("data sheet")})
	case ratedKW < 0.1:
		r.Cautions = append(r.Cautions, phrase.Of("the set is too small for the fuel chart"))
	default:
		if err := r.readChart(ratedKW, outputKW); err != nil {
			return err
		}
	}
	if g.TankL > 0 && r.FuelLPerH > 0 {
		var err error
		if r.TankH, err = TankH(g.TankL, r.FuelLPerH); err != nil {
			return err
		}
		r.Working = append(r.Working, Step{Title: phrase.Of("Running hours of a tank"),
			Formula: phrase.Of("tank / flow"),
			Numbers: phrase.Symbols("%s / %s", fig(g.TankL), fig(r.FuelLPerH)), Value: r.TankH, Unit: "h",
			Source: none})
	}
	if outputKW < wetStacking.value*ratedKW && (g.Fuel == diesel || g.Fuel == "") {
		r.Cautions = append(r.Cautions,
			phrase.Of("the mean load is below %s of the rating: a diesel engine soots up at such a low load",
				phrase.Measure(percent(wetStacking.value))))
	}
	if r.ByChart && g.Fuel != diesel {
		r.Cautions = append(r.Cautions, phrase.Of("the fuel chart is of diesel sets; a petrol set burns more"))
	}
	return nil
}

const diesel = "diesel"

// readChart takes the fuel from the published chart, with the straight line beside it.
func (r *GeneratorResult) readChart(ratedKW, outputKW float64) error {
	lph, steps, err := FuelChart(ratedKW, outputKW)
	if err != nil {
		return err
	}
	line, err := FuelLine(ratedKW, outputKW)
	if err != nil {
		return err
	}
	r.FuelLPerH, r.FuelLineLPerH, r.ByChart = lph, line, true
	r.Working = append(r.Working, steps...)
	r.Working = append(r.Working, Step{Title: phrase.Of("Fuel consumption, straight line for comparison"),
		Formula: phrase.Of("0.0473 x rated kW + 0.2574 x output kW"),
		Numbers: phrase.Symbols("%s kW, %s kW", fig(ratedKW), fig(outputKW)), Value: line, Unit: "L/h",
		Source: fuelLine.perRatedKW.cite()})
	return nil
}
