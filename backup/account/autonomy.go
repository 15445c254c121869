package account

import (
	"math"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/battery"
)

// mostRows is how many steps of an outage are written down: beyond, nobody follows them.
const mostRows = 3000

// workAutonomy follows the installed bank through the outage, at the end of its life and new.
func (w *workings) workAutonomy() {
	p := w.p
	depth := working.Step{Title: phrase.Of("Depth of discharge of the simulation"), Name: "depth", Value: modelDepth(p),
		Expr: "max_dod", Inputs: []working.Input{w.of("max_dod")}, Sources: definition}
	switch {
	case p.Bank.NeverAbove:
		depth.Formula = phrase.Of("not even a full bank carries everything at once above the cut-off: nothing can be taken")
		depth.Expr, depth.Inputs = "least", []working.Input{working.Constant("least", depth.Value, "")}
	case p.Raised():
		depth.Expr, depth.Inputs = "max(0.01, 1 - floor_soc)", []working.Input{w.of("floor_soc")}
	}
	w.add(depth)
	w.workModel()
	source := bankModels
	w.workLasting(phrase.Of("Autonomy"), "autonomy_h", "", p.Site.Practice.EndOfLife, p.Bank.AutonomyH,
		p.Bank.AutonomyCap,
		source)
	w.workLasting(phrase.Of("Autonomy, new"), "autonomy_new_h", " new", 1, p.Bank.AutonomyNewH,
		p.Bank.AutonomyNewH >= facts.LongestWalkH, theSame)
}

// modelDepth is the depth of discharge that the installed bank is simulated with.
func modelDepth(p *facts.Facts) float64 { return p.DepthUnder(p.Bank.Bank, p.Demand.Scheduled.W) }

// workInside shows what the bank holds at the beginning and at the end of a simulation, with so much of its capacity
// left by age, and the steps that its table takes.
func (w *workings) workInside(of string, age float64, m battery.Followed) []working.Input {
	p := w.p
	in := m.Inside()
	life := key("practice", "end_of_life", p.Site.Practice.EndOfLife, "")
	ah, credit := "model_ah"+of, working.Input{}
	capacity := working.Step{Title: phrase.Of("Capacity of the bank in the cold at the end of its life"), Name: ah,
		Unit: "Ah",
		Expr: "bank_ah * k_temperature * end_of_life", Inputs: []working.Input{w.of("bank_ah"),
			w.of("k_temperature"), life},
		Value: p.Bank.CapacityAh() * p.Bank.Sizing.KTemperature * age * p.RateCredit(p.Bank.Bank), Sources: definition}
	if of != "" {
		capacity.Title = phrase.Of("Capacity of the new bank in the cold")
		capacity.Expr, capacity.Inputs = "bank_ah * k_temperature", capacity.Inputs[:2]
	}
	if p.RateCredit(p.Bank.Bank) != 1 {
		credit = w.as("k_rate", "k_rate_installed")
		capacity.Expr, capacity.Inputs = capacity.Expr+" * k_rate", append(capacity.Inputs, credit)
	}
	w.add(capacity)
	reserve := key("outage", "reserve", p.Site.Outage.Reserve, "")
	if !p.Bank.Unit.Chemistry.LeadAcid() {
		w.add(working.Step{Title: phrase.Of("Energy inside when full"), Name: "full_wh" + of, Unit: "Wh",
			Formula: phrase.Of("the loss of discharging is held inside, on top"),
			Expr:    "model_ah * bank_v / one_way",
			Inputs:  []working.Input{w.as("model_ah", ah), w.of("one_way"), w.bankV()}, Value: in.Full,
			Sources: definition})
		full := w.as("full_wh", "full_wh"+of)
		w.add(working.Step{Title: phrase.Of("Energy inside at the beginning"), Name: "start_wh" + of, Unit: "Wh",
			Expr: "full_wh * reserve", Inputs: []working.Input{full, reserve}, Value: in.Stored, Sources: definition})
		w.add(working.Step{Title: phrase.Of("Energy inside at which the discharge stops"), Name: "floor_wh" + of,
			Unit: "Wh",
			Expr: "(1 - depth) * full_wh", Inputs: []working.Input{w.of("depth"), full}, Value: in.Floor,
			Sources: definition})
		return []working.Input{w.as("start_wh", "start_wh"+of), w.as("floor_wh", "floor_wh"+of), w.of("one_way")}
	}
	share := "strings * k_temperature * end_of_life"
	inputs := []working.Input{w.of("wells_ah"), w.stringsInput(), w.of("k_temperature"), life, w.as("model_ah", ah)}
	if of != "" {
		share = "strings * k_temperature"
		inputs = append(inputs[:3:3], inputs[4])
	}
	w.add(working.Step{Title: phrase.Of("Charge in both wells when full"), Name: "full_ah" + of, Unit: "Ah",
		Expr: "max(wells_ah * " + share + ", model_ah)", Inputs: inputs, Value: in.Full, Sources: definition})
	full := w.as("full_ah", "full_ah"+of)
	w.add(working.Step{Title: phrase.Of("Charge in both wells at the beginning"), Name: "start_ah" + of, Unit: "Ah",
		Expr: "full_ah - model_ah * (1 - reserve)", Inputs: []working.Input{full, w.as("model_ah", ah), reserve},
		Value: in.Stored, Sources: definition})
	w.add(working.Step{Title: phrase.Of("Charge in both wells at which the discharge stops"), Name: "floor_ah" + of,
		Unit: "Ah",
		Expr: "full_ah - depth * model_ah", Inputs: []working.Input{full, w.of("depth"), w.as("model_ah", ah)},
		Value: in.Floor, Sources: definition})
	return []working.Input{w.as("start_ah", "start_ah"+of), w.as("floor_ah", "floor_ah"+of), w.of("available_share"),
		w.of("rate_per_h"), w.bankV()}
}

// workLasting follows the bank step by step of the daily profile until it does not carry the demand any more.
func (w *workings) workLasting(title phrase.Phrase, name, of string, age, value float64, capped bool,
	source []working.Source) {
	p := w.p
	s := working.Step{Title: title, Name: name, Value: value, Unit: "h", Sources: source,
		Formula: phrase.Of("simulation of the installed bank, from %s to the moment when the demand is not supplied in full",
			calendar.ClockAt(p.Bank.StartMin))}
	state, err := p.Model(age)
	m, ok := state.(battery.Followed)
	if err != nil || !ok { // the plan itself would have failed
		w.add(s)
		return
	}
	if capped {
		s.Formula = phrase.Of("nothing ends it: it is followed for a year, and no longer")
		s.Expr, s.Inputs = "longest_h", []working.Input{working.Constant("longest_h", facts.LongestWalkH, "h")}
		w.add(s)
		return
	}
	inputs := w.workInside(of, age, m)
	lithium := !p.Bank.Unit.Chemistry.LeadAcid()
	t := w.lastingTable(m, lithium)
	if t == nil {
		s.Formula = phrase.Of("%s; it takes too many steps to write them down", s.Formula)
		w.add(s)
		return
	}
	s.Table, s.Expr = t, "sum(time_h)"
	g := p.Inverter
	s.Inputs = append(inputs, key("inverter", "idle_w", g.Unit.IdleW, "W"),
		key("inverter", "count", float64(g.Count), ""),
		key("practice", "growth", p.Site.Practice.Growth, ""))
	if most := m.Inside().Most / (1 + p.Site.Practice.Growth); !math.IsInf(most, 1) { // of what flows
		what := working.Told("most_w", most, "W", phrase.Of("current limits of inverters and bank at nominal volts"))
		if !lithium {
			what = working.Told("most_a", most, "A", phrase.Of("current limits of inverters and bank"))
		}
		s.Inputs = append(s.Inputs, what)
	}
	if last := t.Rows[len(t.Rows)-1].Values; !lithium && last[5] > 0 {
		// What is left at the end is nothing: the time that it would last shows that.
		s.Expr = "sum(time_h) + last(left_ah) / last(a)"
	}
	w.add(s)
}

// lastingTable goes through the outage as the simulation does; nil where that takes too many steps.
func (w *workings) lastingTable(m battery.Followed, lithium bool) *working.Table {
	p := w.p
	load := []working.Column{{Name: "load_w", Unit: "W"}, {Name: "efficiency"},
		{Name: "dc_w", Unit: "W", Expr: "(load_w / efficiency + idle_w * count) * (1 + growth)"}}
	length := working.Column{Name: "length_h", Unit: "h", Title: phrase.Of("of this part of the day")}
	t := &working.Table{}
	limited := !math.IsInf(m.Inside().Most, 1)
	if lithium {
		hours := "min(length_h, max(0, (before_stored_wh - lowest_wh) * one_way / max(dc_w, 1e-9)))"
		if limited {
			hours += " * floor(min(1, most_w * (1 + growth) * (1 + 1e-9) / max(dc_w, 1e-9)))"
		}
		t.Columns = append(load, length,
			working.Column{Name: "lowest_wh", Unit: "Wh",
				Title: phrase.Of("where it ends with this power: floor or cut-off voltage")},
			working.Column{Name: "time_h", Unit: "h", Expr: hours},
			working.Column{Name: "stored_wh", Unit: "Wh", Expr: "before_stored_wh - dc_w * time_h / one_way"})
	} else {
		t.Columns = append(load, length,
			working.Column{Name: "lowest_ah", Unit: "Ah",
				Title: phrase.Of("where it ends with this power: floor or cut-off voltage")},
			working.Column{Name: "time_h", Unit: "h", Title: phrase.Of("in which the demand is supplied")},
			working.Column{Name: "a", Unit: "A", Expr: "dc_w / bank_v"},
			working.Column{Name: "gone", Expr: "1 - exp(-rate_per_h * time_h)"},
			working.Column{Name: "total_ah", Unit: "Ah", Expr: "before_total_ah - a * time_h"},
			working.Column{Name: "available_ah", Unit: "Ah",
				Expr: "(1 - gone) * before_available_ah + available_share * gone * before_total_ah - a * (gone + " +
					"available_share * (rate_per_h * time_h - gone)) / rate_per_h"},
			working.Column{Name: "left_ah", Unit: "Ah", Expr: "min(total_ah - lowest_ah, available_ah)"})
	}
	g, growth := p.Inverter, 1+p.Site.Practice.Growth
	rate := 0.0
	if fit := p.Details.Kinetic; fit != nil {
		rate = fit.RatePerH
	}
	row := func(label phrase.Phrase, load, length, lowest, hours float64, none bool) {
		in := m.Inside()
		efficiency, dc := g.EfficiencyAt(load), g.DCPower(load)*growth
		if none { // before anything is drawn: nothing of the row is asked for
			efficiency, dc = 1, g.IdleW()*growth
		}
		values := []float64{load, efficiency, dc, length, lowest, hours}
		if lithium {
			values = append(values, in.Stored)
		} else {
			a := dc / p.Bank.NominalV()
			values = append(values, a, -math.Expm1(-rate*hours), in.Stored, in.Available,
				min(in.Stored-lowest, in.Available))
		}
		t.Rows = append(t.Rows, working.Row{Label: label, Values: values})
	}
	row(phrase.Of("beginning"), 0, 0, m.Lowest(0), 0, true)
	profile, minute := p.Demand.Profile, p.StartMin()
	step := 0
	for step < len(profile) && float64(profile[step].EndMin) <= minute {
		step++
	}
	if step == len(profile) {
		minute -= calendar.DayMin
	}
	for ; len(t.Rows) < mostRows; step++ {
		st := profile[step%len(profile)]
		stepH := (float64(st.EndMin) - minute) / 60
		dc := p.FromBank(st.W)
		lowest, lasts := m.Lowest(dc), m.Lasts(dc, stepH)
		m.Step(dc, lasts)
		row(wording.Range(calendar.ClockAt(math.Mod(minute+calendar.DayMin, calendar.DayMin)),
			calendar.Clock(st.EndMin)), st.W, stepH, lowest, lasts, false)
		if lasts < stepH {
			return t
		}
		if minute = float64(st.EndMin); minute == calendar.DayMin {
			minute = 0
		}
	}
	return nil
}

// workModel shows what the simulation counts with: the kinetic model of a lead-acid unit and how well it fits, or the
// loss each way of lithium.
func (w *workings) workModel() {
	p := w.p
	u := p.Bank.Unit
	if !u.Chemistry.LeadAcid() {
		w.add(working.Step{Title: phrase.Of("Efficiency each way"), Name: "one_way", Expr: "sqrt(round_trip)",
			Inputs: []working.Input{key("bank", "round_trip", u.RoundTrip, "")}, Value: math.Sqrt(u.RoundTrip),
			Sources: definition})
		return
	}
	fit := p.Details.Kinetic
	if fit == nil {
		return
	}
	from := phrase.Of("fitted to the discharges from the Peukert exponent")
	if len(u.Capacity) > 1 {
		from = phrase.Of("fitted to the discharges from the capacity table and the rated point")
	}
	from = phrase.Of("%s, so that the sum of the weighted squares of the errors of 1/q is least for this k'", from)
	source := kineticModel
	w.add(working.Step{Title: phrase.Of("Kinetic model of a unit, rate k' of the flow between the wells"),
		Name:    "rate_per_h",
		Formula: phrase.Of("found by trying: the fit with the least errors; the table below shows them"),
		Value:   fit.RatePerH,
		Unit:    "1/h", Sources: source})
	// For a given k' the two other constants are linear in 1/q.
	t := &working.Table{Columns: []working.Column{{Name: "time_h", Unit: "h"}, {Name: "ah", Unit: "Ah"},
		{Name: "weight"},
		{Name: "g", Expr: "(1 - exp(-rate_per_h * time_h)) / (rate_per_h * time_h)"},
		{Name: "u", Expr: "ah / unit_ah * g"}, {Name: "v", Expr: "ah / unit_ah * (1 - g)"},
		{Name: "uu", Expr: "weight * u * u"}, {Name: "uv", Expr: "weight * u * v"},
		{Name: "vv", Expr: "weight * v * v"},
		{Name: "wu", Expr: "weight * u"}, {Name: "wv", Expr: "weight * v"}}}
	points, weights := u.WellPoints(), u.WellWeights()
	for i, at := range points {
		x := fit.RatePerH * at.Hours
		g, q, k := -math.Expm1(-x)/x, at.Ah/points[0].Ah, weights[i]
		a, b := q*g, q*(1-g)
		t.Rows = append(t.Rows, working.Row{Values: []float64{at.Hours, at.Ah, k, g, a, b, k * a * a, k * a * b,
			k * b * b,
			k * a, k * b}})
	}
	const det = "(sum(uu) * sum(vv) - sum(uv)^2)"
	const a, b = "(sum(wu) * sum(vv) - sum(wv) * sum(uv))", "(sum(wv) * sum(uu) - sum(wu) * sum(uv))"
	unit := working.Told("unit_ah", points[0].Ah, "Ah", phrase.Of("the first of the discharges"))
	inputs := []working.Input{w.of("rate_per_h"), unit}
	shareExpr, fullExpr := b+" / "+a, "unit_ah * "+det+" / "+b
	switch fit.AvailableShare {
	case 1:
		shareExpr = "1"
		fullExpr = "unit_ah * (sum(uu) + 2 * sum(uv) + sum(vv)) / (sum(wu) + sum(wv))"
	case battery.LeastAvailableShare:
		shareExpr = "least_share"
		fullExpr = "unit_ah * (sum(uu) + 2 * least_share * sum(uv) + least_share^2 * sum(vv)) / (sum(wu) + " +
			"least_share * sum(wv)) / least_share"
		inputs = append(inputs, working.Constant("least_share", battery.LeastAvailableShare, ""))
	}
	w.add(working.Step{Title: phrase.Of("Kinetic model of a unit, share c in the available well"),
		Name:    "available_share",
		Formula: from, Expr: shareExpr, Inputs: inputs, Table: t, Value: fit.AvailableShare, Sources: source})
	w.add(working.Step{Title: phrase.Of("Kinetic model of a unit, charge in both wells"), Name: "wells_ah",
		Formula: phrase.Of("as above; the charge that the slowest discharge would give"), Expr: fullExpr,
		Inputs: inputs,
		Table:  t, Value: fit.FullAh, Unit: "Ah", Sources: source})
	errs := &working.Table{Columns: []working.Column{{Name: "time_h", Unit: "h"}, {Name: "ah", Unit: "Ah"},
		{Name: "gone", Expr: "1 - exp(-rate_per_h * time_h)"},
		{Name: "fitted_ah", Unit: "Ah",
			Expr: "wells_ah * available_share * time_h * rate_per_h / (gone + available_share * (rate_per_h * time_h - gone))"},
		{Name: "residual", Expr: "fitted_ah / ah - 1"}, {Name: "size", Expr: "abs(residual)"}}}
	for i, at := range points {
		errs.Rows = append(errs.Rows, working.Row{Values: []float64{at.Hours, at.Ah,
			-math.Expm1(-fit.RatePerH * at.Hours),
			fit.CapacityAh(at.Hours), fit.Residuals[i], math.Abs(fit.Residuals[i])}})
	}
	w.add(working.Step{Title: phrase.Of("Kinetic model of a unit, largest residual"),
		Formula: phrase.Of("fitted over given capacity, less 1"),
		Expr:    "max(size)", Inputs: []working.Input{w.of("rate_per_h"), w.of("available_share"), w.of("wells_ah")},
		Table: errs, Value: fit.WorstResidual()})
}
