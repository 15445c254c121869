package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Generator is a set and what is asked of it.
type Generator struct {
	RatedVA     float64        // continuous; a portable set's label often shows the peak, 15 to 25 % more
	UsableVA    float64        // of the rating, what the home's phases can use; 0 means all
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
	MeanW                 float64 // asked of it on average; 0 means RunningW
	Fuel                  string  // "diesel", another word for another fuel, "" if it is unknown
	// FuelLPerH is of the maker, or typical, 0 to 1e4, at an output in W; nil, or what gives 0, means that the chart of
	// diesel sets is read.
	FuelLPerH func(outputW float64) float64
	TankL     float64 // 0 means unknown
	Practice  Practice
}

// A GeneratorResult says what the set has left, what it starts, and how long its tank lasts.
type GeneratorResult struct {
	Derating             Derating
	DeratedVA, DeratedW  float64
	Dip                  float64 // fraction of the voltage lost while the largest motor starts
	MeanW                float64 // output that the fuel is reckoned with: what is asked on average, no more than DeratedW
	FuelLPerH            float64 // of the maker, else of the chart
	FuelLineLPerH        float64 // of the straight line, beside the chart
	ByChart              bool
	TankH                float64 // 0 if the tank is unknown
	Checks               []Check // of what runs in VA and in W, of the starts, and of the dip
	Cautions             []phrase.Phrase
	rating, output, fuel func(*working.Part)
}

// Rating is how the rating came about.
func (r GeneratorResult) Rating(origins working.Origins) []Step { return written(origins, r.rating) }

// Output is how the output on average came about, "output_kw" of "rated_kw". It takes the steps of
// [GeneratorResult.Rating] by their names, and "asked_w" from who asked.
func (r GeneratorResult) Output(origins working.Origins) []Step { return written(origins, r.output) }

// Fuel is how fuel and tank came about. It takes the steps of [GeneratorResult.Output] by their names, and "flow_l_h" of
// the maker from who told it.
func (r GeneratorResult) Fuel(origins working.Origins) []Step { return written(origins, r.fuel) }

// defaultGeneratorPF: kW = 0.8 kVA.
var defaultGeneratorPF = known(0.8, working.Plainly(phrase.Of("public guide, general practice"), working.Practice))

// wetStacking is the load below which a diesel should not run for long.
var wetStacking = known(0.30, working.From(phrase.Of("guide page on diesel sets"), working.Read))

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
	if g.UsableVA == 0 {
		g.UsableVA = g.RatedVA
	}
	if err := firstError(within(phrase.Of("rating"), g.RatedVA, 1, maxVA, "VA"),
		within(phrase.Of("rating"), g.UsableVA, 0.1, g.RatedVA, "VA"),
		within(phrase.Of("power factor"), g.PowerFactor, 0.1, 1, ""),
		within(phrase.Of("running power"), g.RunningW, 0, maxVA, "W"),
		within(phrase.Of("running power"), g.RunningVA, 0, maxVA, "VA"),
		within(phrase.Of("starting power"), g.StartVA, 0, maxVA, "VA"),
		within(phrase.Of("starting power in all"), g.TotalStartVA, 0, maxVA, "VA"),
		within(phrase.Of("mean power"), g.MeanW, 0, maxVA, "W"), within(phrase.Of("tank"), g.TankL, 0, 1e7, "L")); err != nil {
		return GeneratorResult{}, err
	}
	var r GeneratorResult
	if len(g.Rules) == 0 {
		g.Rules = DeratingRulesOf(g.Fuel, g.Turbo)
	}
	if r.Derating, err = GeneratorDerating(g.AltitudeM, g.AmbientC, g.Rules...); err != nil {
		return GeneratorResult{}, err
	}
	r.DeratedVA = g.UsableVA * r.Derating.Factor
	r.DeratedW = r.DeratedVA * g.PowerFactor
	r.Checks = append(r.Checks, share(OfRunningVA, g.RunningVA, r.DeratedVA, "VA", p),
		share(OfRunningW, g.RunningW, r.DeratedW, "W", p))
	if err := g.start(&r, p); err != nil {
		return GeneratorResult{}, err
	}
	if err := g.fuel(&r); err != nil {
		return GeneratorResult{}, err
	}
	r.rating = func(w *working.Part) { g.writeRating(w, r, p) }
	r.output = func(w *working.Part) { g.writeOutput(w, r) }
	r.fuel = func(w *working.Part) { g.writeFuel(w, r) }
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
	return nil
}

func (g Generator) fuel(r *GeneratorResult) error {
	ratedKW := g.ratedKW()
	r.MeanW = min(g.askedW(), r.DeratedW)
	outputKW := r.MeanW / 1000
	if g.FuelLPerH != nil {
		r.FuelLPerH = g.FuelLPerH(r.MeanW)
		if err := optional(phrase.Of("fuel"), r.FuelLPerH, 1e-3, 1e4, "L/h"); err != nil {
			return err
		}
	}
	switch {
	case r.FuelLPerH > 0:
	case ratedKW < LeastChartKW:
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
	}
	if outputKW < wetStacking.value*ratedKW && (g.Fuel == diesel || g.Fuel == "") {
		r.Cautions = append(r.Cautions,
			phrase.Of("the mean load is below %s of the rating: a diesel engine soots up at such a low load",
				phrase.Measure(percent(wetStacking.value))))
	}
	return nil
}

const diesel = "diesel"

// askedW is what is asked of it on average.
func (g Generator) askedW() float64 {
	if g.MeanW == 0 {
		return g.RunningW
	}
	return g.MeanW
}

// readChart takes the fuel from the published chart, with the straight line beside it.
func (r *GeneratorResult) readChart(ratedKW, outputKW float64) error {
	lph, err := FuelChart(ratedKW, outputKW)
	if err != nil {
		return err
	}
	line, err := FuelLine(ratedKW, outputKW)
	if err != nil {
		return err
	}
	r.FuelLPerH, r.FuelLineLPerH, r.ByChart = lph, line, true
	return nil
}

// writeRating adds the steps up to what it starts.
func (g Generator) writeRating(w *working.Part, r GeneratorResult, p Practice) {
	r.Derating.write(w)
	from := in("rated_va", g.RatedVA, "VA")
	if g.UsableVA < g.RatedVA {
		from = in("usable_va", g.UsableVA, "VA")
	}
	w.Add(Step{Name: "derated_va", Title: phrase.Of("Generator, derated"), Formula: phrase.Of("rule: %s",
		string(r.Derating.Rule)), Expr: from.Name + " * altitude_factor * heat_factor",
		Inputs: []working.Input{from,
			ruled("altitude_factor", r.Derating.Altitude, r.Derating.Rule, w),
			ruled("heat_factor", r.Derating.Heat, r.Derating.Rule, w)},
		Value: r.DeratedVA, Unit: "VA", Sources: []working.Source{working.From(
			phrase.Of("factors are cumulative: alternator training sheet"), working.Read)}})
	w.Add(Step{Name: "derated_w", Title: phrase.Of("Generator, derated"), Expr: "derated_va * power_factor",
		Inputs: []working.Input{in("derated_va", r.DeratedVA, "VA"), in("power_factor", g.PowerFactor, "")},
		Value:  r.DeratedW, Unit: "W", Sources: whose(g.PowerFactor, defaultGeneratorPF)})
	if g.StartVA > 0 && r.DeratedVA >= 1 {
		w.Add(Step{Name: "dip", Title: phrase.Of("Voltage dip at the largest start"),
			Formula: phrase.Of("limit: %s", fig(p.GeneratorDip)),
			Expr:    "generator_reactance * start_va / (generator_reactance * start_va + derated_va)",
			Inputs: []working.Input{in("generator_reactance", p.GeneratorReactance, ""),
				in("start_va", g.StartVA, "VA"), in("derated_va", r.DeratedVA, "VA")}, Value: r.Dip,
			Sources: append(forFigure(phrase.Name("generator_reactance"),
				whose(p.GeneratorReactance, practiceDefaults.genReactor)),
				forFigure(phrase.Of("limit"), whose(p.GeneratorDip, practiceDefaults.genDip))...)})
	}
	if g.TotalStartVA > 0 {
		w.Add(Step{Name: "start_limit_va", Title: phrase.Of("Starting power without a caution"),
			Expr: "generator_start * derated_va", Inputs: []working.Input{in("generator_start", p.GeneratorStart, ""),
				in("derated_va", r.DeratedVA, "VA")}, Value: p.GeneratorStart * r.DeratedVA, Unit: "VA",
			Sources: whose(p.GeneratorStart, practiceDefaults.genStart)})
	}
}

// writeOutput adds the steps up to its output on average.
func (g Generator) writeOutput(w *working.Part, r GeneratorResult) {
	w.Add(Step{Name: "rated_kw", Title: phrase.Of("Rated power"), Expr: "rated_va * power_factor / 1000",
		Inputs: []working.Input{in("rated_va", g.RatedVA, "VA"), in("power_factor", g.PowerFactor, "")},
		Value:  g.ratedKW(), Unit: "kW"})
	w.Add(Step{Name: "output_kw", Title: phrase.Of("Mean output"), Expr: "min(asked_w, derated_w) / 1000",
		Inputs: []working.Input{in("asked_w", g.askedW(), "W"), in("derated_w", r.DeratedW, "W")},
		Value:  r.MeanW / 1000, Unit: "kW"})
}

// ratedKW is its rated power.
func (g Generator) ratedKW() float64 { return g.RatedVA * g.PowerFactor / 1000 }

// writeFuel adds the steps of fuel and tank.
func (g Generator) writeFuel(w *working.Part, r GeneratorResult) {
	ratedKW, outputKW := g.ratedKW(), r.MeanW/1000
	if r.ByChart {
		chartSteps(w, ratedKW, outputKW, r.FuelLPerH)
		w.Add(Step{Title: phrase.Of("Fuel consumption, straight line for comparison"),
			Expr: "per_rated_kw * rated_kw + per_output_kw * output_kw", Inputs: []working.Input{in("rated_kw", ratedKW, "kW"),
				in("output_kw", outputKW, "kW"), in("per_rated_kw", fuelLine.perRatedKW.value, "L/h kW"),
				in("per_output_kw", fuelLine.perOutputKW.value, "L/h kW")}, Value: r.FuelLineLPerH, Unit: "L/h",
			Sources: fuelLine.perRatedKW.sources()})
	}
	if r.TankH > 0 {
		w.Add(Step{Title: phrase.Of("Running hours of a tank"), Expr: "fuel_l / flow_l_h", Inputs: []working.Input{
			in("fuel_l", g.TankL, "L"), in("flow_l_h", r.FuelLPerH, "L/h")}, Value: r.TankH, Unit: "h"})
	}
}
