package facts

import (
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/battery"
)

// A Step is one numbered step of the working.
type Step = working.Step

// trade is the source of what everybody does so; none says that there is nothing to say.
var (
	trade = phrase.Of("common practice")
	none  phrase.Phrase
)

// SourceNote says how far the figures of standards were held against them: their text is sold, and what is quoted of it
// in public was read.
func SourceNote() phrase.Phrase {
	return phrase.Of("Figures of standards are those that public texts quote: where one decides, check it in the standard itself.")
}

// Working is every step behind the figures of the plan but for the sun, in the order in which they follow from each
// other. It is written down when it is first asked for: most plans are made for a search, and nobody reads theirs.
func (p *Facts) Working() []Step { return p.written().Steps }

// Steps is the whole working: that of the plan, and how the sun of the outage's month becomes what the arrays give. The
// latter is only worked out when somebody reads it: drawing the days takes longer than the plan.
func (p *Facts) Steps() []Step { return p.writtenSun().Steps }

// workings writes steps down.
type workings struct {
	p    *Facts
	list working.List
}

// work writes down the working, with the sun or without it.
func (p *Facts) work() working.List {
	w := &workings{p: p}
	w.all()
	w.list.Locate(w.where)
	return w.list
}

func (p *Facts) workSun() working.List {
	w := &workings{p: p, list: p.written()}
	w.list.Steps = slices.Clip(w.list.Steps)
	w.workSun()
	w.list.Locate(w.where)
	return w.list
}

// where says where the key of a file stands.
func (w *workings) where(k working.Key) phrase.Phrase {
	switch o := w.p.Site.Origin(k.Table, k.At, k.Key); {
	case o.Line > 0:
		return phrase.Of("line %d", o.Line)
	case o.Class != "":
		return phrase.Of("typical of %s", phrase.Name(o.Class))
	case o.Entry != "":
		return phrase.Of("catalog entry %s", phrase.Name(o.Entry))
	}
	return phrase.Of("default")
}

func (w *workings) all() {
	p := w.p
	w.workDemand()
	w.workStarts()
	w.workInverter()
	w.workBank()
	w.workBehaviour()
	w.workWires()
	for _, c := range p.Checks {
		if !c.HasLimit {
			continue
		}
		formula := phrase.Of("(limit - demand) / limit, met if demand <= limit: %s", c.Status.Word())
		if c.AtLeast {
			formula = phrase.Of("(demand - limit) / limit, met if demand >= limit: %s", c.Status.Word())
		}
		if marginUnit(c) == "K" {
			formula = phrase.Of("demand - limit, met if demand >= limit: %s", c.Status.Word())
		}
		w.step(phrase.Of("Check %s: margin", phrase.Check(c.ID)), formula,
			phrase.Of("demand %s, limit %s", wording.WithUnit(c.Demand, c.Unit), wording.WithUnit(c.Limit, c.Unit)),
			c.Margin, marginUnit(c), none)
		w.list.Steps[len(w.list.Steps)-1].Check = c.ID
	}
}

func marginUnit(c verdict.Check) string {
	if c.AtLeast && c.Unit == "C" {
		return "K"
	}
	return ""
}

func (w *workings) step(title, formula, numbers phrase.Phrase, value float64, unit string, source phrase.Phrase) {
	w.list.Add(Step{Title: title, Formula: formula, Numbers: numbers, Value: value, Unit: unit, Source: source})
}

func (w *workings) workDemand() {
	p := w.p
	d := p.Demand
	in := p.InOutage()
	w.step(phrase.Of("Month of the outage"), phrase.Of("given, or the month with the highest daily energy"),
		wording.MonthWord(p.Month), float64(p.Month), "", none)
	var watts, energy []phrase.Phrase
	for _, l := range in {
		watts = append(watts, phrase.Symbols("%d*%g", l.Quantity, l.RunningW))
		energy = append(energy, phrase.Symbols("%d*%g*%g", l.Quantity, l.RunningW, l.HoursPerDay))
	}
	w.step(phrase.Of("Connected power"), phrase.Of("sum of quantity * running_w; of an interlock one member"),
		terms(watts), d.Connected.W, "W", phrase.Of("definition"))
	w.step(phrase.Of("Connected apparent power"), phrase.Of("sqrt((sum P)^2 + (sum Q)^2), Q = P*tan(acos(pf))"), none,
		d.Connected.VA, "VA", phrase.Of("definition"))
	w.step(phrase.Of("Scheduled power"), phrase.Of("highest sum over the minutes of the day"),
		phrase.Of("peak minute %s", calendar.Clock(d.Scheduled.AtMin)), d.Scheduled.W, "W", phrase.Of("definition"))
	w.called("scheduled_w")
	w.step(phrase.Of("Scheduled apparent power"), phrase.Of("highest vector sum over the minutes of the day"),
		phrase.Of("peak minute %s", calendar.Clock(d.Scheduled.VAAtMin)), d.Scheduled.VA, "VA", phrase.Of("definition"))
	w.called("scheduled_va")
	w.step(phrase.Of("Probable power"),
		phrase.Of("smallest sum w with P(sum <= w) >= %g, each unit on by hours_per_day / hours of its windows",
			p.Site.Practice.Confidence),
		phrase.Of("exact distribution, interval of the day with the highest value"), d.ProbableW, "W",
		phrase.Of("binomial and Poisson-binomial distribution, any text on statistics"))
	w.step(phrase.Of("Energy of a day"), phrase.Of("sum of quantity * running_w * hours_per_day"), terms(energy),
		d.EnergyWhPerDay, "Wh", phrase.Of("definition"))
	w.called("energy_wh_per_day")
}

// called names the result of the last step, so that other parts of the plan can ask for it.
func (w *workings) called(name string) { w.list.Steps[len(w.list.Steps)-1].Name = name }

// terms joins the terms of a sum; a long sum is cut, since the table of loads shows it whole.
func terms(list []phrase.Phrase) phrase.Phrase {
	const most = 12
	if len(list) == 0 {
		return phrase.Of("no loads")
	}
	if len(list) > most {
		return phrase.Of("%s + … (%d terms)", phrase.Separated(list[:most], " + "), len(list))
	}
	return phrase.Separated(list, " + ")
}

func (w *workings) workStarts() {
	p := w.p
	// compared shows a start as its check takes it: in total or on a phase.
	compared := func(start, rating, formula phrase.Phrase, atMin int, seconds, demandVA, limitVA float64, phase int) {
		w.step(start, formula, phrase.Symbols("%s%s", phrase.Of("peak minute %s, lasting %g s", calendar.Clock(atMin),
			seconds), onPhase(phase)), demandVA, "VA", phrase.Of("definition"))
		where := phrase.Of("in total")
		if phase > 0 {
			where = phrase.Of("on phase %d, with its equal share of the rating", phase)
		}
		limit := phrase.Of("highest va among overload points with seconds >= t, or the continuous rating; derated")
		if h := p.Inverter.Headroom; h > 0 {
			limit = limit.Then(phrase.Of(", less a headroom of %g", h))
		}
		w.step(rating, limit,
			phrase.Of("t = %g s, compared %s", seconds, where), limitVA, "VA",
			phrase.Of("stepwise reading of the data sheet, the safe side"))
	}
	for _, st := range p.Starts.All {
		compared(phrase.Of("Start of %q", st.Load), phrase.Of("Rating for the start of %q", st.Load),
			phrase.Of("start of one unit + the other loads that run in that minute, as vectors"), st.AtMin, st.Seconds,
			st.DemandVA, st.LimitVA, st.Phase)
		w.list.Steps[len(w.list.Steps)-2].Name = "start_va " + st.Load
	}
	r, title, formula := p.Starts.Restart, phrase.Of("Restart, all loads at once"),
		phrase.Of("sum of starting powers, all units, of what is scheduled")
	if r.DemandVA != r.VA || r.Seconds == 0 {
		w.step(title, formula, phrase.Of("peak minute %s", calendar.Clock(r.AtMin)), r.VA, "VA",
			phrase.Of("definition"))
	}
	if r.Seconds > 0 {
		compared(title, phrase.Of("Rating for the restart"), formula, r.TightAtMin, r.Seconds, r.DemandVA, r.LimitVA,
			r.Phase)
	}
}

func (w *workings) workInverter() {
	p := w.p
	s, g := p.Site, p.Inverter
	inv := g.Unit
	w.step(phrase.Of("Derating by heat"), phrase.Of("1 - derate_per_c * (hottest_c - derate_from_c), from 0 to 1"),
		phrase.Symbols("1 - %g*(%g - %g)", inv.DeratePerC, s.HottestC, inv.DerateFromC), g.DeratingHeat, "",
		phrase.Of("data sheet or default"))
	w.step(phrase.Of("Derating by altitude"),
		phrase.Of("1 - derate_per_100m * (altitude_m - derate_from_m)/100, from 0 to 1"),
		phrase.Symbols("1 - %g*(%g - %g)/100", inv.DeratePer100M, s.AltitudeM, inv.DerateFromM), g.DeratingAltitude, "",
		phrase.Of("data sheet or default"))
	w.step(phrase.Of("Continuous rating"), phrase.Of("rated_va * count * both factors"),
		phrase.Symbols("%g*%d*%.4g*%.4g", inv.RatedVA, g.Count, g.DeratingHeat, g.DeratingAltitude), g.DeratedVA(),
		"VA", phrase.Of("data sheet"))
	w.step(phrase.Of("Continuous power rating"), phrase.Of("rated_w * count * both factors"),
		phrase.Symbols("%g*%d*%.4g*%.4g", inv.RatedW, g.Count, g.DeratingHeat, g.DeratingAltitude), g.DeratedW(), "W",
		phrase.Of("data sheet"))
	if h := g.Headroom; h > 0 {
		w.step(phrase.Of("Continuous rating, less headroom"), phrase.Of("rating * (1 - headroom)"),
			phrase.Symbols("%.6g*(1 - %g)", g.DeratedVA(), h), g.LimitVA(), "VA", phrase.Of("practice of the designer"))
		w.step(phrase.Of("Continuous power rating, less headroom"), phrase.Of("rating * (1 - headroom)"),
			phrase.Symbols("%.6g*(1 - %g)", g.DeratedW(), h), g.LimitW(), "W", phrase.Of("practice of the designer"))
		w.step(phrase.Of("Battery current of the inverters, less headroom"), phrase.Of("rating * (1 - headroom)"),
			phrase.Symbols("%g*%d*(1 - %g)", inv.MaxDischargeA, g.Count, h), g.LimitDischargeA(), "A",
			phrase.Of("practice of the designer"))
	}
	w.step(phrase.Of("Pass-through current per phase"),
		phrase.Of("largest phase of the scheduled VA, held-off loads included / nominal_v"),
		phrase.Symbols("%.6g VA / %g V", p.Grid.PassThroughA*s.NominalV, s.NominalV), p.Grid.PassThroughA, "A",
		phrase.Of("definition"))
	w.called("grid_pass_a")
	w.step(phrase.Of("Charger power from the grid"),
		phrase.Of("charger_a * count * charge voltage of the bank / efficiency"),
		phrase.Symbols("%.6g A * %.6g V / %g", g.ChargerA(), float64(s.Series)*s.Unit.ChargeV, inv.Efficiency),
		g.ChargerInputW(float64(s.Series)*s.Unit.ChargeV), "W", phrase.Of("energy balance"))
	w.called("charger_w")
}

func (w *workings) workBank() {
	p := w.p
	s, g, b := p.Site, p.Inverter, p.Bank
	z, hours := b.Sizing, s.Outage.AutonomyH
	w.step(phrase.Of("Energy of the autonomy, AC"),
		phrase.Of("largest energy of any window of autonomy_h hours of the daily profile, or from the given start"),
		phrase.Of("%g h from %s", hours, calendar.ClockAt(b.StartMin)), b.EnergyACWh, "Wh", phrase.Of("definition"))
	if len(s.Inverter.EfficiencyCurve) == 0 {
		w.step(phrase.Of("Energy of the autonomy, DC"), phrase.Of("E_ac / efficiency + idle_w * count * autonomy_h"),
			phrase.Symbols("%.6g/%g + %g*%d*%g", b.EnergyACWh, s.Inverter.Efficiency, s.Inverter.IdleW, g.Count, hours),
			b.EnergyDCWh, "Wh", phrase.Of("energy balance"))
	} else {
		w.step(phrase.Of("Energy of the autonomy, DC"),
			phrase.Of("sum over the profile of (P_ac / efficiency(P_ac) + idle_w * count) * time"),
			phrase.Of("efficiency curve of the inverter, step by step"),
			b.EnergyDCWh, "Wh", phrase.Of("energy balance"))
	}
	w.step(phrase.Of("Units in series"),
		phrase.Of("nominal_dc_v / unit volts to the nearest whole number whose voltages fit the DC window"),
		phrase.Symbols("%g/%g", s.Inverter.NominalDCV, s.Unit.NominalV), float64(b.Series), "", phrase.Of("definition"))
	w.called("series")
	w.step(phrase.Of("Usable share"), phrase.Of("reserve - (1 - max_dod)"),
		phrase.Symbols("%g - (1 - %g)", s.Outage.Reserve, b.DoD), z.UsableFraction, "", phrase.Of("definition"))
	w.step(phrase.Of("Mean discharge current"), phrase.Of("E_dc * (1 + growth) / (V_nominal * autonomy_h)"),
		phrase.Symbols("%.6g*(1 + %g)/(%g*%g)", b.EnergyDCWh, s.Practice.Growth, b.NominalV(), hours), z.MeanCurrentA,
		"A", phrase.Of("definition"))
	w.step(phrase.Of("Capacity factor of temperature"), phrase.Of("table by chemistry, never above 1"),
		phrase.Of("%s at %s", s.Unit.Chemistry.Word(), wording.Amount(s.ColdestC, "C")), z.KTemperature, "",
		battery.TemperatureSource(s.Unit.Chemistry, s.ColdestC))
	rate := phrase.Of("exponent %g, H = %g h, I = %.6g A, C = %.6g Ah", s.Unit.Peukert, s.Unit.RatedH, z.MeanCurrentA,
		z.RequiredAh)
	formula, source := phrase.Of("(C/(I*H))^(k-1), solved together with C, never above 1"),
		phrase.Of("Peukert's rule for a capacity at H hours")
	if len(s.Unit.Capacity) > 1 {
		rate = phrase.Of("capacity table of the unit, I = %.6g A on C = %.6g Ah", z.MeanCurrentA, z.RequiredAh)
		formula,
			source = phrase.Of("capacity table, straight on log-log, solved together with C; its last point is held"),
			phrase.Of("data sheet")
	}
	w.step(phrase.Of("Capacity factor of rate"), formula, rate, z.KRate, "", source)
	w.step(phrase.Of("Required capacity"),
		phrase.Of("E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature * k_rate)"),
		phrase.Symbols("%.6g*%g*%g / (%g*%.4g*%g*%.4g*%.4g)", b.EnergyDCWh, 1+s.Practice.Growth, 1+s.Practice.Margin,
			b.NominalV(), z.UsableFraction, s.Practice.EndOfLife, z.KTemperature, z.KRate),
		z.RequiredAh, "Ah", phrase.Of("autonomy method, stand-alone systems, common practice"))
	w.step(phrase.Of("Strings needed"), phrase.Of("required capacity / unit Ah, rounded up"),
		phrase.Symbols("%.6g/%g", z.RequiredAh, s.Unit.RatedAh), float64(z.Strings), "", phrase.Of("definition"))
	w.called("strings")
	w.step(phrase.Of("Installed capacity"), phrase.Of("strings * unit Ah"),
		phrase.Symbols("%d*%g", b.Strings, s.Unit.RatedAh), b.CapacityAh(), "Ah", phrase.Of("definition"))
	w.called("bank_ah")
	if faster, slower, ok := b.Unit.RowsAround(z.MeanCurrentA / float64(b.Strings)); ok {
		w.step(phrase.Of("Peukert exponent at the mean current"),
			phrase.Of("ln(t2/t1) / ln(I1/I2) of the two rows of the capacity table around the current of a string"),
			phrase.Symbols("%g Ah / %g h, %g Ah / %g h", faster.Ah, faster.Hours, slower.Ah, slower.Hours),
			battery.PeukertExponent(faster, slower), "",
			phrase.Of("Peukert's rule, as a manual of battery monitors has it; to compare, not used in the plan"))
	}
	w.step(phrase.Of("Usable energy at end of life"),
		phrase.Of("V_nominal * Ah * usable share * end_of_life * k_temperature * k_rate of the installed bank"),
		phrase.Symbols("%g*%g*%.4g*%g*%.4g*%.4g", b.NominalV(), b.CapacityAh(), p.usableShare(), s.Practice.EndOfLife,
			z.KTemperature, b.KRate), p.UsableWh(), "Wh", phrase.Of("definition"))
	w.step(phrase.Of("Autonomy"),
		phrase.Of("simulation of the installed bank at the end of its life, to the moment when the demand is not supplied in full"),
		phrase.Of("from %s", calendar.ClockAt(b.StartMin)), b.AutonomyH, "h",
		phrase.Of("two-well kinetic model for lead-acid, energy model for lithium"))
	w.step(phrase.Of("Autonomy, new"), phrase.Of("the same with the whole capacity"), none, b.AutonomyNewH, "h",
		phrase.Of("the same"))
	w.step(phrase.Of("End-of-discharge voltage of the bank"), phrase.Of("series * min_v"),
		phrase.Symbols("%d*%.6g", b.Series, s.Unit.MinV), p.lowV(), "V",
		phrase.Of("data sheet or default by chemistry"))
	w.called("low_v")
	w.step(phrase.Of("Battery current of the scheduled power"),
		phrase.Of("(idle_w*count + P/efficiency) / lowest voltage"),
		phrase.Symbols("%.6g W / %.6g V", g.DCPower(p.Demand.Scheduled.W), p.lowV()),
		g.DCPower(p.Demand.Scheduled.W)/p.lowV(), "A", phrase.Of("energy balance"))
	w.step(phrase.Of("Highest charging voltage"),
		phrase.Of("charge (or equalise) voltage, raised by the compensation to coldest_c"),
		phrase.Of("%d cells at %s", b.Cells(), wording.Amount(s.ColdestC, "C")), p.chargingV(), "V",
		phrase.Of("data sheet or default by chemistry"))
}

// workWires writes down the steps of every run, of the generator and of the break.
func (w *workings) workWires() {
	p := w.p
	w.workForWires()
	part := func(label phrase.Phrase, steps []Step) {
		w.list.AddAll(steps, func(s *Step) { s.Title = phrase.Of("%s: %s", label, phrase.Lower(s.Title)) })
	}
	for _, r := range p.Runs {
		part(r.Label, r.Working())
	}
	part(phrase.Of("Generator"), p.rated.Working())
	if p.Inverter.Unit.TransferMs != nil {
		w.list.Add(Step{Title: phrase.Of("Interruption that electronics tolerate"),
			Formula: phrase.Of("tolerance curve, no voltage"), Value: toleratedMS(), Unit: "ms",
			Sources: []working.Source{working.ITIC.At(phrase.Phrase{}, working.Read)}})
	}
}

// workForWires writes down what conductors and generator ask for and no step before has worked out.
func (w *workings) workForWires() {
	p := w.p
	s, g := p.Site, p.Inverter
	add := func(step Step) {
		if !w.list.Has(step.Name) {
			w.list.Add(step)
		}
	}
	given := func(name string, value float64, unit, table string) working.Input {
		return working.Given(name, value, unit, table, "", name)
	}
	phases, nominal := given("phases", float64(s.Phases), "", "site"), given("nominal_v", s.NominalV, "V", "site")
	chargerW := g.ChargerInputW(float64(s.Series) * s.Unit.ChargeV)
	add(Step{Name: "grid_input_a", Title: phrase.Of("Current from the grid per phase, with the chargers"),
		Expr: "grid_pass_a + charger_w / (phases * nominal_v)", Inputs: []working.Input{
			working.Named("grid_pass_a", p.Grid.PassThroughA, "A"), working.Named("charger_w", chargerW, "W"), phases,
			nominal}, Value: p.Grid.InputA, Unit: "A"})
	add(Step{Name: "bank_v", Title: phrase.Of("Nominal voltage of the bank"), Expr: "series * unit_v",
		Inputs: []working.Input{working.Named("series", float64(p.Bank.Series), ""),
			working.Given("unit_v", s.Unit.NominalV, "V", "bank", "", "nominal_v")}, Value: p.Bank.NominalV(),
		Unit: "V"})
	for _, st := range p.Starts.All {
		add(Step{Name: "start_dc_a " + st.Load, Title: phrase.Of("Battery current while %q starts", st.Load),
			Expr: "start_dc_w / low_v", Inputs: []working.Input{
				working.Told("start_dc_w", p.startDCW(st), "W", phrase.Of("starting power, through the inverter")),
				working.Named("low_v", p.lowV(), "V")}, Value: p.dcStartA(st), Unit: "A"})
	}
}
