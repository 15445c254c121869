package account

import (
	"fmt"
	"math"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
	"outlast/battery"
)

// workBehaviour writes down how the installed bank behaves: its volts, its charging, its air, its wear, and what other
// methods say of its size.
func (w *workings) workBehaviour() {
	w.workVolts()
	w.workCharging()
	w.workAir()
	w.workLife()
	w.workCross()
}

// published is where the figures of a published table stand.
var published = phrase.Of("published table")

// workRest shows the volts of the bank at rest at a state of charge that an earlier step, or a rule, gives.
func (w *workings) workRest(title phrase.Phrase, name string, soc working.Input, tempC working.Input, value float64) {
	b := w.p.Bank
	lithium, lead := b.RestRows(soc.Value, tempC.Value)
	cells := working.Told("cells", float64(b.Unit.Cells()), "", phrase.Of("of a unit, by its volts and chemistry"))
	s := working.Step{Title: title, Name: name,
		Formula: phrase.Of("table of open-circuit voltages by chemistry, charge and temperature, straight between points"),
		Value:   value, Unit: "V", Sources: restTables}
	soc.Name, tempC.Name = "soc", "temp_c"
	told := func(name string, v float64, unit string) working.Input { return working.Told(name, v, unit, published) }
	if !b.Unit.Chemistry.LeadAcid() {
		s.Expr = "(low_v + (high_v - low_v) * (soc - low_soc) / (high_soc - low_soc)) * cells * series"
		s.Inputs = []working.Input{soc, told("low_soc", lithium[0][0], ""), told("low_v", lithium[0][1], "V"),
			told("high_soc", lithium[1][0], ""), told("high_v", lithium[1][1], "V"), cells, w.of("series")}
		w.add(s)
		return
	}
	coldest, hottest := battery.LeadRestF()
	s.Expr = "((cold_low_v + (cold_high_v - cold_low_v) * (soc - low_soc) / (high_soc - low_soc)) * (1 - part) + " +
		"(warm_low_v + (warm_high_v - warm_low_v) * (soc - low_soc) / (high_soc - low_soc)) * part) / 6 * cells * series"
	part := min(max(tempC.Value*1.8+32, coldest), hottest)
	w.add(working.Step{Title: phrase.Of("%s: part of the way from the colder to the warmer row", title),
		Name: name + " part",
		Expr: "(min(hottest_f, max(coldest_f, temp_c * 1.8 + 32)) - cold_f) / (warm_f - cold_f)",
		Inputs: []working.Input{tempC, told("coldest_f", coldest, "F"), told("hottest_f", hottest, "F"),
			told("cold_f", lead[0][0], "F"), told("warm_f", lead[2][0], "F")},
		Value: (part - lead[0][0]) / (lead[2][0] - lead[0][0])})
	s.Inputs = []working.Input{soc, w.as("part", name+" part"), told("low_soc", lead[0][1], ""),
		told("high_soc", lead[1][1], ""),
		told("cold_low_v", lead[0][2], "V"), told("cold_high_v", lead[1][2], "V"), told("warm_low_v", lead[2][2], "V"),
		told("warm_high_v", lead[3][2], "V"), cells, w.of("series")}
	w.add(s)
}

// floorSoC is the lowest charge of the plan, as an input.
func (w *workings) floorSoC() working.Input { return w.of("floor_soc") }

func (w *workings) coldestC() working.Input { return key("site", "coldest_c", w.p.Site.ColdestC, "C") }

// workVolts shows the bank under load at the lowest charge that the plan allows.
func (w *workings) workVolts() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	w.workResistance()
	w.workLoaded()
	if d.ResistanceOhm == 0 {
		return
	}
	for i, st := range p.Starts.All {
		if behind, ok := p.Bank.BehindV(p.RunningDCW(st), p.FloorSoC(), s.ColdestC); ok {
			w.workBehind(st, behind)
			w.add(working.Step{Title: phrase.Of("Voltage while %q starts", st.Load), Name: "start_v of " + st.Load,
				Formula: phrase.Of("E - R * I, E before the start, I at the lowest voltage"),
				Expr:    "max(0, behind_v - cold_mohm / 1000 * start_dc_a)",
				Inputs: []working.Input{w.as("behind_v", "behind_v of "+st.Load), w.of("cold_mohm"),
					w.as("start_dc_a", "start_dc_a "+st.Load)}, Value: d.Starts[i].FloorV, Unit: "V",
				Sources: ohmsLaw})
		} else {
			w.add(working.Step{Title: phrase.Of("Voltage while %q starts", st.Load), Name: "start_v of " + st.Load,
				Expr:    "0",
				Formula: phrase.Of("the bank cannot give so much"), Value: d.Starts[i].FloorV, Unit: "V",
				Sources: ohmsLaw})
		}
		if d.Starts[i].Works {
			w.workLowestStart(st, d.Starts[i].SoC)
		}
	}
	if d.HasFault {
		full := working.Constant("soc", 1, "")
		rated := working.Constant("temp_c", facts.RatingC, "C")
		w.workRest(phrase.Of("Open-circuit voltage, full, 25 C"), "full_v", full, rated, b.SourceV(1, facts.RatingC))
		w.add(working.Step{Title: phrase.Of("Short-circuit current, full"), Name: "fault_full_a",
			Expr:   "full_v / (bank_mohm / 1000)",
			Inputs: []working.Input{w.of("full_v"), w.of("bank_mohm")}, Value: d.Fault.FullA, Unit: "A",
			Sources: ohmsLawBare})
		w.add(working.Step{Title: phrase.Of("Short-circuit current, nominal"), Name: "fault_nominal_a",
			Formula: phrase.Of("nominal voltage / internal resistance, as makers print it"),
			Expr:    "bank_v / (bank_mohm / 1000)", Inputs: []working.Input{w.bankV(), w.of("bank_mohm")},
			Value: d.Fault.NominalA, Unit: "A", Sources: tubularManual})
	}
}

// workResistance shows the resistance of the bank, warm and full, and at the lowest charge in the cold.
func (w *workings) workResistance() {
	p := w.p
	b, d := p.Bank, p.Details
	if d.ResistanceOhm == 0 {
		return
	}
	w.add(working.Step{Title: phrase.Of("Internal resistance of the bank"), Name: "bank_mohm",
		Expr: "series * resistance_mohm / strings",
		Inputs: []working.Input{w.of("series"), key("bank", "resistance_mohm", b.Unit.ResistanceMohm, "mohm"),
			w.stringsInput()},
		Value: 1000 * d.ResistanceOhm, Unit: "mohm",
		Sources: sheetWarm})
	s := working.Step{Title: phrase.Of("Internal resistance at the minimum state of charge in the cold"),
		Name:  "cold_mohm",
		Value: 1000 * d.ColdOhm, Unit: "mohm", Inputs: []working.Input{w.of("bank_mohm"), w.floorSoC()},
		Sources: thumb}
	s.Expr, s.Inputs = w.resistanceExpr(s.Inputs)
	w.add(s)
}

// resistanceExpr is the formula of the resistance at floor_soc in the cold.
func (w *workings) resistanceExpr(inputs []working.Input) (string, []working.Input) {
	c := w.p.Bank.Unit.Chemistry
	expr := "bank_mohm"
	if a, b, ok := c.ColdRows(w.p.Site.ColdestC); ok {
		rule := phrase.Of("rule of thumb")
		expr += " * (colder + (warmer - colder) * (coldest_c - colder_c) / (warmer_c - colder_c))"
		inputs = append(inputs, w.coldestC(), working.Told("colder_c", a[0], "C", rule),
			working.Told("colder", a[1], "", rule),
			working.Told("warmer_c", b[0], "C", rule), working.Told("warmer", b[1], "", rule))
	}
	if c.LeadAcid() {
		return expr + " * (1 + (empty_factor - 1) * (1 - floor_soc))",
			append(inputs, working.Constant("empty_factor", battery.LeadEmptyResistance, ""))
	}
	return expr + " * (1 + (empty_factor - 1) * max(0, 1 - floor_soc / knee_soc))",
		append(inputs, working.Constant("empty_factor", battery.LithiumEmptyResistance, ""),
			working.Constant("knee_soc", battery.LithiumKneeSoC, ""))
}

// powerV is the formula of the volts under a power, of inputs under these names, and what the published cells add to
// it.
func (w *workings) powerV(powerW, soc float64) (expr string, inputs []working.Input, ok bool) {
	p := w.p
	b := p.Bank
	expr, ok = "rest_v", true
	if b.Unit.ResistanceMohm > 0 {
		expr = "rest_v * (1 + sqrt(1 - 4 * cold_mohm / 1000 * power_w / rest_v^2)) / 2"
		inputs = append(inputs, w.of("cold_mohm"))
	}
	if b.Unit.Chemistry.LeadAcid() {
		return expr, inputs, ok
	}
	v, ohm, ok := b.SagLine(powerW, soc, p.Site.ColdestC)
	line := "line_v * (1 + sqrt(1 - 4 * line_mohm / 1000 * power_w / line_v^2)) / 2"
	from := phrase.Of("volts of published cells under load, with the factor of the cold: V - R * I")
	return "min(" + expr + ", " + line + ")",
		append(inputs, working.Told("line_v", v, "V", from), working.Told("line_mohm", 1000*ohm, "mohm", from)), ok
}

// workLoaded shows the volts under everything that runs at once, at the lowest charge of the plan.
func (w *workings) workLoaded() {
	p := w.p
	d := p.Details
	if !d.HasLoaded {
		return
	}
	loadedW := p.Inverter.DCPower(p.Demand.Scheduled.W)
	if !d.Carries {
		if p.Site.Unit.Chemistry.LeadAcid() {
			w.add(working.Step{Title: phrase.Of("Highest power at the minimum state of charge"),
				Expr:   "rest_v^2 / (4 * cold_mohm / 1000)",
				Inputs: []working.Input{w.of("rest_v"), w.of("cold_mohm")}, Value: d.RestV * d.RestV / 4 / d.ColdOhm,
				Unit: "W", Sources: ohmsLaw})
		}
		return
	}
	expr, inputs, ok := w.powerV(loadedW, p.FloorSoC())
	s := working.Step{Title: phrase.Of("Voltage at full simultaneous load"), Name: "loaded_v", Value: d.LoadedV,
		Unit:    "V",
		Sources: ohmsLaw}
	if !p.Site.Unit.Chemistry.LeadAcid() {
		s.Formula = phrase.Of("the lower of E - R * P/V and E less the fall of published cells at P/V, with the factor of the cold")
		s.Sources = battery.LoadedSource()
	}
	if ok {
		s.Expr = expr
		s.Inputs = append([]working.Input{w.of("rest_v"), w.as("power_w", "scheduled_dc_w")}, inputs...)
	}
	w.add(s)
}

// workBehind shows the volts behind the resistance before a start.
func (w *workings) workBehind(st facts.Start, behind float64) {
	p := w.p
	name := "running_dc_w of " + st.Load
	if st.MaxW <= p.Demand.Scheduled.W {
		w.dcPower(phrase.Of("Power from the bank before the start of %q", st.Load), name, "start_w of "+st.Load)
	} else {
		w.dcPower(phrase.Of("Power from the bank before the start of %q", st.Load), name, "scheduled_w")
	}
	running := p.RunningDCW(st)
	volts, _ := p.Bank.PowerV(running, p.FloorSoC(), p.Site.ColdestC)
	expr, inputs, ok := w.powerV(running, p.FloorSoC())
	s := working.Step{Title: phrase.Of("Voltage before the start of %q", st.Load), Name: "running_v of " + st.Load,
		Value: volts,
		Unit:  "V", Sources: ohmsLaw}
	if ok {
		s.Expr = expr
		s.Inputs = append([]working.Input{w.of("rest_v"), w.as("power_w", name)}, inputs...)
	}
	w.add(s)
	w.add(working.Step{Title: phrase.Of("Voltage behind the resistance before the start of %q", st.Load),
		Name: "behind_v of " + st.Load,
		Expr: "running_v + cold_mohm / 1000 * running_dc_w / running_v",
		Inputs: []working.Input{w.as("running_v", "running_v of "+st.Load), w.of("cold_mohm"),
			w.as("running_dc_w", name)},
		Value: behind, Unit: "V", Sources: ohmsLaw})
}

// halving is the table of a search for the lowest state of charge: what was tried, the volts there, and what is left
// between carries and does not.
func (w *workings) halving(volts func(soc float64) (v float64, ok bool), limit float64) *working.Table {
	t := &working.Table{Columns: []working.Column{{Name: "soc"},
		{Name: "v", Unit: "V", Title: phrase.Of("volts of the bank at that charge; 0: it cannot give the power")},
		{Name: "carries", Expr: "floor(min(1, v / threshold_v))"},
		{Name: "low", Expr: "carries * before_low + (1 - carries) * soc"},
		{Name: "high", Expr: "carries * soc + (1 - carries) * before_high"}}}
	at := func(soc float64) float64 {
		v, ok := volts(soc)
		if !ok {
			return 0
		}
		return v
	}
	low, high := 0.0, 1.0
	for _, soc := range battery.Halvings(func(soc float64) bool { return at(soc) >= limit }) {
		v := at(soc)
		carries := math.Floor(min(1, v/limit))
		low, high = carries*low+(1-carries)*soc, carries*soc+(1-carries)*high
		t.Rows = append(t.Rows, working.Row{Values: []float64{soc, v, carries, low, high}})
	}
	return t
}

// workLowestStart shows how the lowest charge at which a load starts was found.
func (w *workings) workLowestStart(st facts.Start, value float64) {
	p := w.p
	running, starting := p.RunningDCW(st), p.StartDCW(st)
	t := w.halving(func(soc float64) (float64, bool) {
		return p.Bank.StartV(running, starting, soc, p.Site.ColdestC)
	}, p.Bank.CutoffV)
	w.add(working.Step{Title: phrase.Of("Lowest charge at which %q starts", st.Load),
		Formula: phrase.Of("least charge with a voltage at constant power >= the cut-off, by bisection"),
		Expr:    "last(high)",
		Inputs:  []working.Input{w.as("threshold_v", "cutoff_v")}, Table: t, Value: value,
		Sources: ohmsLaw})
}

// workCutoff shows the low-voltage cut-off, what keeps it below the lowest charge of the plan, and the volts at rest
// there.
func (w *workings) workCutoff() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	w.add(working.Step{Title: phrase.Of("Low-voltage cut-off to set"), Name: "cutoff_v",
		Formula: phrase.Of("the higher of series * min_v and dc_min_v, up to a tenth of a volt"),
		Expr:    "ceil(max(series * min_v, dc_min_v) * 10 - 1e-9) / 10",
		Inputs: []working.Input{w.of("series"), key("bank", "min_v", s.Unit.MinV, "V"),
			key("inverter", "dc_min_v", p.Inverter.Unit.DCMinV, "V")}, Value: b.CutoffV, Unit: "V",
		Sources: sheetOrUsual})
	planned := working.Step{Title: phrase.Of("Minimum state of charge of the plan"), Name: "floor_soc",
		Expr:   "1 - max_dod",
		Inputs: []working.Input{w.of("max_dod")}, Value: b.FloorSoC, Sources: definition}
	if p.Raised() {
		dcW := p.Inverter.DCPower(p.Demand.Scheduled.W)
		limit := b.CutoffV * (1 - verdict.Slack)
		t := w.halving(func(soc float64) (float64, bool) { return b.PowerV(dcW, soc, s.ColdestC) }, limit)
		planned.Formula = phrase.Of("least charge at which full simultaneous load stays above the cut-off, " +
			"by bisection to a thousandth, then up to a hundredth that still does")
		planned.Sources = ohmsLaw
		planned.Table, planned.Inputs = t, []working.Input{w.of("max_dod"), working.Told("threshold_v", limit, "V",
			phrase.Of("the cut-off, less rounding"))}
		found := t.Rows[len(t.Rows)-1].Values[4]
		down := math.Floor(found*100) / 100
		switch b.FloorSoC {
		case max(1-b.DoD, down):
			planned.Expr = "max(1 - max_dod, floor(last(high) * 100) / 100)"
		default:
			planned.Expr = "max(1 - max_dod, min(1, floor(last(high) * 100) / 100 + 0.01))"
		}
	}
	w.add(planned)
	w.workRest(phrase.Of("Open-circuit voltage at the minimum state of charge"), "rest_v", w.floorSoC(), w.coldestC(),
		d.RestV)
}

// workPlanned shows the volts under everything that runs at once at the planned depth, where they are not those at the
// lowest charge of the plan, which are shown already.
func (w *workings) workPlanned() {
	p := w.p
	planned, powerW := 1-p.Bank.DoD, p.Inverter.DCPower(p.Demand.Scheduled.W)
	if !p.Sags() || planned == p.FloorSoC() && w.has("loaded_v") {
		return
	}
	volts, carries := p.Bank.PowerV(powerW, planned, p.Site.ColdestC)
	w.add(working.Step{Title: phrase.Of("State of charge at the planned depth"), Name: "planned_soc",
		Expr: "1 - max_dod", Inputs: []working.Input{w.of("max_dod")}, Value: planned, Sources: definition})
	w.workRest(phrase.Of("Open-circuit voltage at the planned depth"), "planned_rest_v", w.of("planned_soc"),
		w.coldestC(), p.Bank.SourceV(planned, p.Site.ColdestC))
	s := working.Step{Title: phrase.Of("Voltage at full simultaneous load at the planned depth"), Name: "planned_v",
		Value: volts, Unit: "V", Sources: ohmsLaw}
	if expr, inputs, ok := w.powerV(powerW, planned); !carries {
		s.Formula = phrase.Of("the bank cannot give that power at this charge: half its volts at rest")
		s.Expr, s.Inputs = "rest_v / 2", []working.Input{w.as("rest_v", "planned_rest_v")}
	} else if ok {
		for i := range inputs {
			if mohm := 1000 * p.Bank.ResistanceOhmAt(planned, p.Site.ColdestC); inputs[i].Name == "cold_mohm" &&
				!working.Same(inputs[i].Value, mohm) {
				inputs[i] = working.Told("cold_mohm", mohm, "mohm", phrase.Of("resistance at that charge, in the cold"))
			}
		}
		s.Expr = expr
		s.Inputs = append([]working.Input{w.as("rest_v", "planned_rest_v"), w.as("power_w", "scheduled_dc_w")},
			inputs...)
	}
	w.add(s)
}

// stageName is the name of the step that has the voltage of a stage of charging at the coldest.
func stageName(s battery.Stage) string { return "coldest voltage of " + stageWord(s).String() }

// workCharging shows the voltages of charging, its currents and its times.
func (w *workings) workCharging() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	u := b.Unit
	unitV := map[battery.Stage]working.Input{battery.Absorption: key("bank", "charge_v", u.ChargeV, "V"),
		battery.Float: key("bank", "float_v", u.FloatV, "V"), battery.Equalise: key("bank", "equalise_v",
			u.EqualiseV, "V")}
	for _, v := range d.Stages {
		for _, at := range []struct {
			title phrase.Phrase
			name  string
			temp  working.Input
			volts float64
		}{{phrase.Of("Voltage of %s, coldest", stageWord(v.Stage)), stageName(v.Stage), w.coldestC(), v.AtColdest},
			{phrase.Of("Voltage of %s, hottest", stageWord(v.Stage)), "", key("site", "hottest_c", s.HottestC, "C"),
				v.AtHottest}} {
			volts := unitV[v.Stage]
			w.add(working.Step{Title: at.title, Name: at.name, Expr: "series * (" + volts.Name +
				" + cells * compensation_mv / 1000 * (25 - " +
				at.temp.Name + "))",
				Inputs: []working.Input{w.of("series"), volts, w.cellsInput(), w.compensation(), at.temp},
				Value:  at.volts,
				Unit:   "V", Sources: sheetOrUsual})
		}
	}
	low, high := u.Chemistry.RechargeFactor()
	w.add(working.Step{Title: phrase.Of("Charge factor"), Name: "charge_factor",
		Formula: phrase.Of("middle of the range by chemistry"),
		Expr:    "(least + most) / 2", Inputs: []working.Input{working.Constant("least", low, ""),
			working.Constant("most", high, "")},
		Value: (low + high) / 2, Sources: trade})
	installed := w.of("bank_ah")
	leastC, mostC := u.Chemistry.ChargeC()
	w.add(working.Step{Title: phrase.Of("Minimum charge current"), Name: "least_charge_a",
		Formula: phrase.Of("lead-acid: C/20; lithium: none"),
		Expr:    "least * bank_ah", Inputs: []working.Input{working.Constant("least", leastC, "A/Ah"), installed},
		Value: d.Charge.LeastA, Unit: "A", Sources: trade})
	most := working.Step{Title: phrase.Of("Maximum charge current"), Name: "most_charge_a", Value: d.Charge.MostA,
		Unit:    "A",
		Sources: []working.Source{d.Charge.Source}}
	if u.MaxChargeA > 0 {
		most.Expr, most.Inputs = "max_charge_a * strings",
			[]working.Input{key("bank", "max_charge_a", u.MaxChargeA, "A"), w.stringsInput()}
	} else {
		most.Formula = phrase.Of("the usual share of the capacity")
		most.Expr, most.Inputs = "most * bank_ah", []working.Input{working.Constant("most", mostC, "A/Ah"),
			installed}
	}
	w.add(most)
	w.workEntered()
	if a := p.Inverter.ChargerA(); a > 0 {
		w.add(working.Step{Title: phrase.Of("Charge current per Ah of the bank"), Name: "charge_rate",
			Expr:   "grid_charger_a / bank_ah",
			Inputs: []working.Input{w.of("grid_charger_a"), installed}, Value: a / b.CapacityAh(), Unit: "A/Ah",
			Sources: definition})
		if len(p.Site.Arrays) > 0 {
			w.workSources()
			w.add(working.Step{Title: phrase.Of("Charge current per Ah of the bank, arrays included"), Name: "sources_rate",
				Expr: "sources_a / bank_ah", Inputs: []working.Input{w.of("sources_a"), installed},
				Value: p.ChargeSourcesA() / b.CapacityAh(), Unit: "A/Ah", Sources: definition})
		}
		if u.MaxChargeA > 0 {
			w.add(working.Step{Title: phrase.Of("Limit of the charge current per Ah"), Name: "charge_rate_limit",
				Expr: "max_charge_a / rated_ah", Inputs: []working.Input{key("bank", "max_charge_a", u.MaxChargeA, "A"),
					key("bank", "rated_ah", u.RatedAh, "Ah")}, Value: u.MaxChargeA / u.RatedAh, Unit: "A/Ah",
				Sources: sheet})
		}
		if d.Charge.LeastA > 0 {
			w.add(working.Step{Title: phrase.Of("Least charge current per Ah"), Name: "charge_rate_least",
				Expr: "least_charge_a / bank_ah", Inputs: []working.Input{w.of("least_charge_a"), installed},
				Value: d.Charge.LeastA / b.CapacityAh(), Unit: "A/Ah", Sources: trade})
		}
	}
	for _, c := range d.Charges {
		w.workCharge(c)
	}
}

// workEntered shows the limit of the charge current as it is entered.
func (w *workings) workEntered() {
	charge := w.p.Details.Charge
	less, inputs := "most_charge_a", []working.Input{w.of("most_charge_a")}
	if charge.SourcesA > 0 {
		w.workSources()
		less, inputs = "min(most_charge_a, sources_a)", append(inputs, w.of("sources_a"))
	}
	step := working.Step{Title: phrase.Of("Charge current to enter"), Name: "set_charge_a", Value: charge.SetA, Unit: "A",
		Formula: phrase.Of("rounded down to what can be entered"), Sources: definition}
	switch slack := working.Constant("slack", verdict.Slack, ""); {
	case charge.SetA >= 10:
		step.Expr, step.Inputs = fmt.Sprintf("floor(%s + slack)", less), append(inputs, slack)
	case verdict.Settable(charge.SetA) > 0:
		step.Expr, step.Inputs = fmt.Sprintf("floor(10 * %s + slack) / 10", less), append(inputs, slack)
	default: // less than can be entered
		step.Expr, step.Inputs, step.Formula = less, inputs, phrase.Phrase{}
	}
	w.add(step)
}

// workCharge shows how long a source of current takes to fill the bank.
func (w *workings) workCharge(c facts.ChargeTime) {
	p := w.p
	if !c.Problem.Empty() {
		return
	}
	title, offered := phrase.Of("Charging from the grid"),
		phrase.Of("current of the grid chargers, under the limit of the current from the grid")
	if c.By == facts.ByGenerator {
		title, offered = phrase.Of("Charging from the generator"),
			phrase.Of("what the loads leave of the generator, on the mean of the day")
	}
	in := working.Told("offered_a", c.OfferedA, "A", offered)
	if c.By == facts.ByGrid && c.OfferedA == p.Inverter.ChargerA() {
		in = w.as("offered_a", "grid_charger_a")
	}
	name := "charge_a of " + c.By
	w.add(working.Step{Title: phrase.Of("%s, current", title), Name: name, Expr: "min(offered_a, set_charge_a)",
		Inputs: []working.Input{in, w.of("set_charge_a")}, Value: c.ChargeA, Unit: "A", Sources: definition})
	w.workRecharge(title, w.as("charge_a", name), c.Recharge)
	if c.ModelOK {
		w.workModelCharge(title, c)
	}
	if c.Cold.Hours > 0 {
		w.workRecharge(phrase.Of("%s, coldest battery space", title), working.Told("charge_a", c.Cold.ChargeA, "A",
			phrase.Of("the most in the coldest battery space, as it is entered")), c.Cold)
	}
}

// workRecharge shows the two parts of filling the bank with a current.
func (w *workings) workRecharge(title phrase.Phrase, current working.Input, r battery.Recharge) {
	ah, factor, soc := w.of("bank_ah"), w.of("charge_factor"), w.floorSoC()
	knee := working.Constant("knee_soc", battery.LeadBulkSoC, "")
	rest := working.Step{Title: phrase.Of("%s, constant voltage", title),
		Formula: phrase.Of("lead-acid: 0.42 * Ah / current"),
		Expr:    "min(1, (1 - floor_soc) / (1 - knee_soc)) * absorption_rule * bank_ah / charge_a",
		Inputs: []working.Input{soc, knee, working.Constant("absorption_rule", battery.LeadAbsorptionRule, ""), ah,
			current},
		Value: r.AbsorptionH, Unit: "h", Sources: chargerPractice}
	if !w.p.Bank.Unit.Chemistry.LeadAcid() {
		knee.Value = battery.TaperFromSoC
		rest.Formula = phrase.Of("lithium: twice the time of full current for the last twentieth")
		rest.Expr = "tail * charge_factor * min(1 - floor_soc, 1 - knee_soc) * bank_ah / charge_a"
		rest.Inputs = []working.Input{working.Constant("tail", battery.LithiumTail, ""), factor, soc, knee, ah, current}
	}
	w.add(working.Step{Title: phrase.Of("%s, full current", title),
		Expr:   "charge_factor * max(0, knee_soc - floor_soc) * bank_ah / charge_a",
		Inputs: []working.Input{factor, knee, soc, ah, current}, Value: r.BulkH, Unit: "h",
		Sources: chargingText})
	w.add(rest)
}

// workAir shows the air that the bank requires while it is charged.
func (w *workings) workAir() {
	p := w.p
	b := p.Bank
	gas, ok := b.Unit.Chemistry.Gas()
	if !ok {
		return
	}
	w.workC10()
	heat := working.Step{Title: phrase.Of("Factor of heat on gassing"), Name: "gas_heat",
		Formula: phrase.Of("twice with every 8 K above 40 C"),
		Expr:    "2^(max(0, hottest_c - 40) / 8)",
		Inputs:  []working.Input{key("site", "hottest_c", p.Site.HottestC, "C")},
		Value:   math.Exp2(max(0, p.Site.HottestC-battery.TableHottestC) / 8),
		Sources: gasByHeat}
	w.add(heat)
	cells := []working.Input{w.of("series"), w.cellsInput()}
	current := func(a battery.Ventilation) working.Input {
		if sources := p.ChargeSourcesA(); sources == a.CurrentA {
			w.workSources()
			return w.as("gas_a", "sources_a")
		}
		if p.Details.Charge.MostA == a.CurrentA {
			return w.as("gas_a", "most_charge_a")
		}
		return working.Told("gas_a", a.CurrentA, "A", phrase.Of("0.5 A for each 100 Ah of valve-regulated cells"))
	}
	for _, v := range []struct {
		title phrase.Phrase
		name  string
		air   battery.Ventilation
	}{{phrase.Of("Ventilation air flow on float charge"), "float_flow", b.AirOnFloat},
		{phrase.Of("Ventilation air flow on boost charge"), "boost_flow", b.AirOnBoost}} {
		a := v.air
		flow := working.Step{Title: v.title, Name: v.name, Value: a.FlowM3PerH, Unit: "m3/h"}
		opening := working.Step{Title: phrase.Of("Ventilation opening, inlet and outlet each"),
			Name:    v.name + " opening",
			Formula: phrase.Of("air at 0.1 m/s"), Expr: "28 * flow", Value: a.OpeningCM2, Unit: "cm2",
			Sources: airStandard}
		switch a.Rule {
		case battery.AirByTable:
			flow.Expr = "0.05 * series * cells * gas_ma_per_ah * gas_heat * c10_ah / 1000"
			flow.Inputs = append(cells[:2:2], working.Told("gas_ma_per_ah", a.GasMAPerAh, "mA/Ah", published),
				w.of("gas_heat"), w.of("c10_ah"))
			flow.Sources = []working.Source{gas.Source}
		case battery.AirByCharger:
			flow.Formula = phrase.Of("all of the charging current as hydrogen, kept under 2 %%: volts above the table")
			flow.Expr = "series * cells * gas_a * 0.00042 * (25 + 273.15) / 273.15 / 0.02"
			flow.Inputs = append(cells[:2:2], current(a))
			flow.Sources = hydrogenRule
		case battery.AirByAS:
			flow.Formula = phrase.Of("0.006 l/s * cells * current")
			flow.Expr = "0.006 * series * cells * gas_a * 3.6"
			flow.Inputs = append(cells[:2:2], current(a))
			flow.Sources = airAustralia
			opening.Formula, opening.Expr, opening.Sources = phrase.Of("100 cm2 for each l/s"), "100 * flow / 3.6",
				flow.Sources
		}
		w.add(flow)
		opening.Inputs = []working.Input{w.as("flow", v.name)}
		w.add(opening)
	}
	boost := b.AirOnBoost
	w.add(working.Step{Title: phrase.Of("Free volume of a well ventilated room"), Expr: "2.5 * flow",
		Inputs: []working.Input{w.as("flow", "boost_flow")}, Value: boost.RoomM3, Unit: "m3",
		Sources: roomStandard})
	w.add(working.Step{Title: phrase.Of("Distance of sources of sparks from the vents"),
		Formula: phrase.Of("28.8 * cube root of cells behind a vent * mA of gas, at least 500 mm"),
		Expr:    "max(500, 28.8 * (cells * 1000 * flow / (0.05 * series * cells))^(1 / 3))",
		Inputs:  append(cells[:2:2], w.as("flow", "boost_flow")), Value: boost.DistanceMM, Unit: "mm",
		Sources: sparkStandard})
	w.workFrost()
}

// workSources shows the most that all sources together put into the bank, once.
func (w *workings) workSources() {
	p := w.p
	if w.has("sources_a") {
		return
	}
	inv := p.Inverter.Unit
	limit := inv.MaxChargeA * float64(p.Inverter.Count)
	count := key("inverter", "count", float64(p.Inverter.Count), "")
	s := working.Step{Title: phrase.Of("Current of all that charges the bank"), Name: "sources_a",
		Value:   p.ChargeSourcesA(),
		Unit:    "A",
		Sources: definition}
	if p.Inverter.ChargerA() == 0 {
		s.Expr, s.Inputs = "max_charge_a * count", []working.Input{key("inverter", "max_charge_a", inv.MaxChargeA, "A"),
			count}
		w.add(s)
		return
	}
	s.Expr, s.Inputs = "grid_charger_a", []working.Input{w.of("grid_charger_a")}
	if len(p.Site.Arrays) > 0 {
		t := &working.Table{Columns: []working.Column{{Name: "module_w", Unit: "W"}, {Name: "modules"},
			{Name: "w", Unit: "W", Expr: "module_w * modules"}}}
		for i, a := range p.Site.Arrays {
			n := float64(a.ModulesPerString * a.Strings)
			t.Rows = append(t.Rows, working.Row{Label: phrase.Of("Array %d", i+1),
				Values: []float64{a.Module.RatedW, n, a.Module.RatedW * n}})
		}
		s.Expr, s.Table = "grid_charger_a + sum(w) / bank_v", t
		s.Inputs = append(s.Inputs, w.bankV())
	}
	if limit > 0 {
		s.Expr = "min(" + s.Expr + ", max_charge_a * count)"
		s.Inputs = append(s.Inputs, key("inverter", "max_charge_a", inv.MaxChargeA, "A"), count)
	}
	w.add(s)
}

// workC10 shows the capacity in 10 h, which the rates of gas are of.
func (w *workings) workC10() {
	b := w.p.Bank
	u := b.Unit
	s := working.Step{Title: phrase.Of("Capacity in 10 h"), Name: "c10_ah", Value: b.C10Ah(), Unit: "Ah",
		Sources: sheet,
		Formula: phrase.Of("from the capacity table or the exponent; for the gassing figures")}
	strings, ratedAh := w.stringsInput(), key("bank", "rated_ah", u.RatedAh, "Ah")
	low, high, table := u.CurveAround(10)
	row := func(name string, v float64, unit string) working.Input {
		return working.Given(name, v, unit, "bank", "", "capacity")
	}
	switch {
	case !table:
		s.Expr = "max(rated_ah, rated_ah * (10 / rated_h)^(1 - 1 / max(1, peukert))) * strings"
		s.Inputs = []working.Input{ratedAh, key("bank", "rated_h", u.RatedH, "h"),
			key("bank", "peukert", u.Peukert, ""), strings}
	case high.Hours == 0:
		s.Expr, s.Inputs = "low_ah * strings", []working.Input{row("low_ah", low.Ah, "Ah"), strings}
		if low.Hours < 10 {
			s.Expr, s.Inputs = "max(rated_ah, low_ah) * strings", append(s.Inputs, ratedAh)
		}
	default:
		s.Expr = "low_ah * (10 / low_h)^(ln(high_ah / low_ah) / ln(high_h / low_h)) * strings"
		s.Inputs = []working.Input{row("low_h", low.Hours, "h"), row("low_ah", low.Ah, "Ah"),
			row("high_h", high.Hours, "h"),
			row("high_ah", high.Ah, "Ah"), strings}
		if low.Hours > 10 {
			s.Expr, s.Inputs = "max(rated_ah, "+s.Expr[:len(s.Expr)-len(" * strings")]+") * strings",
				append(s.Inputs, ratedAh)
		}
	}
	w.add(s)
}

// workFrost shows where the acid freezes.
func (w *workings) workFrost() {
	p := w.p
	ice := p.Details.Frost
	if ice == nil {
		return
	}
	told := func(name string, v float64, unit string) working.Input { return working.Told(name, v, unit, published) }
	line := func(soc float64) (gravity, freezing []working.Input) {
		g, f := battery.FreezingRows(soc)
		return []working.Input{told("low_soc", g[0][0], ""), told("low_gravity", g[0][1], ""),
				told("high_soc", g[1][0], ""),
				told("high_gravity", g[1][1], "")}, []working.Input{told("gravity_a", f[0][0], ""),
				told("a_f", f[0][1], "F"),
				told("gravity_b", f[1][0], ""), told("b_f", f[1][1], "F")}
	}
	gravity, freezing := line(p.FloorSoC())
	w.add(working.Step{Title: phrase.Of("Gravity of the acid at the minimum state of charge"), Name: "gravity",
		Expr:   "low_gravity + (high_gravity - low_gravity) * (floor_soc - low_soc) / (high_soc - low_soc)",
		Inputs: append([]working.Input{w.floorSoC()}, gravity...), Value: battery.GravityAt(p.FloorSoC()),
		Sources: battery.AcidSource()})
	w.add(working.Step{Title: phrase.Of("Freezing point at the minimum state of charge"), Name: "freezes_c",
		Expr:   "(a_f + (b_f - a_f) * (gravity - gravity_a) / (gravity_b - gravity_a) - 32) / 1.8",
		Inputs: append([]working.Input{w.of("gravity")}, freezing...), Value: ice.FreezesC, Unit: "C",
		Sources: battery.AcidSource()})
	s := working.Step{Title: phrase.Of("State of charge below which it freezes at the coldest"),
		Formula: phrase.Of("the same, solved for the charge; 0: not even when empty"), Value: ice.LeastSoC,
		Sources: theSame}
	if ice.LeastSoC > 0 && ice.LeastSoC < 1 {
		gravity, freezing := line(ice.LeastSoC)
		s.Expr = "low_soc + (high_soc - low_soc) * (gravity_a + (gravity_b - gravity_a) * (coldest_c * 1.8 + 32 - a_f)" +
			" / (b_f - a_f) - low_gravity) / (high_gravity - low_gravity)"
		s.Inputs = append(append([]working.Input{w.coldestC()}, gravity...), freezing...)
	} else {
		s.Formula = phrase.Of("0: not even when empty: the coldest is not below the freezing point of an empty one")
		s.Expr = "max(0, min(1, 1e12 * ((empty_f - 32) / 1.8 - coldest_c)))"
		s.Inputs = []working.Input{w.coldestC(), told("empty_f", battery.FreezingC(0)*1.8+32, "F")}
	}
	w.add(s)
}

// workLife shows how the bank wears.
func (w *workings) workLife() {
	p := w.p
	d := p.Details
	if d.HasCycles {
		var beyond phrase.Phrase
		if d.CyclesBeyond {
			beyond = phrase.Of("; outside the table")
		}
		s := working.Step{Title: phrase.Of("Cycles at the planned depth of discharge"), Value: d.Cycles, Unit: "cycles",
			Formula: phrase.Of("cycles table of the unit, straight on log-log%s", beyond),
			Sources: sheetCycles}
		a, b, n := p.Bank.Unit.CyclesAround(p.Bank.DoD)
		row := func(name string, v float64) working.Input { return working.Given(name, v, "", "bank", "", "cycles") }
		switch {
		case n == 1 && p.Bank.DoD <= a.DoD:
			s.Expr, s.Inputs = "low_cycles", []working.Input{row("low_cycles", a.Cycles)}
		case n == 1:
			s.Expr = "low_cycles * low_dod / max_dod"
			s.Inputs = []working.Input{row("low_cycles", a.Cycles), row("low_dod", a.DoD), w.of("max_dod")}
		default:
			s.Expr = "low_cycles * (max_dod / low_dod)^(ln(high_cycles / low_cycles) / ln(high_dod / low_dod))"
			s.Inputs = []working.Input{w.of("max_dod"), row("low_dod", a.DoD), row("low_cycles", a.Cycles),
				row("high_dod", b.DoD),
				row("high_cycles", b.Cycles)}
		}
		w.add(s)
	}
	w.add(working.Step{Title: phrase.Of("Calendar life at hottest_c"),
		Formula: phrase.Of("of the life at 25 C, all the time as hot as that"),
		Expr:    "2^((25 - max(25, hottest_c)) / 10)",
		Inputs:  []working.Input{key("site", "hottest_c", p.Site.HottestC, "C")},
		Value:   d.CalendarShare,
		Sources: lifeByHeat})
}

// stageWord names a stage of charging for a sentence.
func stageWord(s battery.Stage) phrase.Phrase {
	switch s {
	case battery.Absorption:
		return phrase.Of("absorption")
	case battery.Float:
		return phrase.Of("float")
	}
	return phrase.Of("equalise")
}
