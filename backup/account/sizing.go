package account

import (
	"math"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/battery"
)

// workSeries shows how many units make a string.
func (w *workings) workSeries() {
	p := w.p
	s, u := p.Site, p.Site.Unit
	t := &working.Table{Columns: []working.Column{{Name: "n"}, {Name: "v", Unit: "V", Expr: "n * nominal_v"},
		{Name: "off_v", Unit: "V", Expr: "abs(v - nominal_dc_v)"}, {Name: "lowest_v", Unit: "V", Expr: "n * min_v"},
		{Name: "highest_v", Unit: "V",
			Expr: "n * (highest_charge_v + cells * compensation_mv / 1000 * max(0, 25 - coldest_c))"}}}
	highest := u.ChargeV
	if s.Inverter.Equalises {
		highest = max(highest, u.EqualiseV)
	}
	for _, n := range battery.SeriesTried(u, s.Inverter.NominalDCV, s.Series) {
		b := battery.Bank{Unit: u, Series: n, Strings: 1}
		t.Rows = append(t.Rows, working.Row{Values: []float64{float64(n), b.NominalV(),
			math.Abs(b.NominalV() - s.Inverter.NominalDCV), b.MinV(),
			b.HighestChargeV(s.ColdestC, s.Inverter.Equalises)}})
	}
	charge := key("bank", "charge_v", highest, "V")
	if highest > u.ChargeV {
		charge = key("bank", "equalise_v", highest, "V")
	}
	charge.Name = "highest_charge_v"
	w.add(working.Step{Title: phrase.Of("Units in series"), Name: "series",
		Formula: phrase.Of("nominal_dc_v / unit volts to the nearest whole number whose voltages fit the DC window, " +
			"the last row; from the nearest on"),
		Expr: "last(n)", Table: t, Inputs: []working.Input{key("inverter", "nominal_dc_v",
			s.Inverter.NominalDCV, "V"),
			key("bank", "nominal_v", u.NominalV, "V"), key("bank", "min_v", u.MinV, "V"), charge,
			w.cellsInput(), w.compensation(), key("site", "coldest_c", s.ColdestC, "C"),
			key("inverter", "dc_min_v", s.Inverter.DCMinV, "V"), key("inverter", "dc_max_v", s.Inverter.DCMaxV, "V")},
		Value: float64(s.Series), Sources: definition})
	w.add(working.Step{Title: phrase.Of("Nominal voltage of the bank"), Name: "bank_v", Expr: "series * nominal_v",
		Inputs: []working.Input{w.of("series"), key("bank", "nominal_v", u.NominalV, "V")}, Value: p.Bank.NominalV(),
		Unit: "V", Sources: definition})
}

// cellsInput is how many cells a unit has.
func (w *workings) cellsInput() working.Input {
	return working.Told("cells", float64(w.p.Site.Unit.Cells()), "", phrase.Of("of a unit, by its volts and chemistry"))
}

func (w *workings) compensation() working.Input {
	in := key("bank", "charge_mv_per_cell_c", w.p.Site.Unit.CompensationMV(), "mV/K")
	in.Name = "compensation_mv"
	if v, ok := w.p.Site.NumberOf("bank", "", "charge_mv_per_cell_c"); ok && v != in.Value {
		in.From = working.Origin{Told: phrase.Of("charge_mv_per_cell_c, whatever its sign")}
	}
	return in
}

// bankV is the nominal volts of the bank.
func (w *workings) bankV() working.Input { return w.of("bank_v") }

// workBank shows how the bank is sized, and how long it lasts.
func (w *workings) workBank() {
	w.workEnergy()
	w.workDepth()
	w.workRequired()
	w.workInstalled()
	w.workCutoff()
	w.workUsable()
	w.workAutonomy()
	w.workCurrents()
	w.workChargingVolts()
}

// reserve is the state of charge that is kept for outages.
func (w *workings) reserve() working.Input {
	return key("outage", "reserve", w.p.Site.Outage.Reserve, "")
}

// endOfLife is the share of the capacity that is left in the end.
func (w *workings) endOfLife() working.Input {
	return key("practice", "end_of_life", w.p.Site.Practice.EndOfLife, "")
}

// workDepth shows the depth that practice and battery allow, and the share of the charge that the plan may use.
func (w *workings) workDepth() {
	s, b := w.p.Site, w.p.Bank
	depth := working.Step{Title: phrase.Of("Greatest depth of discharge"), Name: "max_dod", Value: b.DoD,
		Formula: phrase.Of("that of the practice, but no more than the unit's own limit; without it what is usual for the chemistry"),
		Sources: sheetOrUsual}
	unitDoD := key("bank", "max_dod", s.Unit.MaxDoD, "")
	practice := key("practice", "max_dod", s.Practice.MaxDoD, "")
	switch {
	case s.Practice.MaxDoD > 0 && b.DoD < s.Practice.MaxDoD:
		depth.Expr, practice.Name = "min(practice_max_dod, max_dod)", "practice_max_dod"
		depth.Inputs = []working.Input{practice, unitDoD}
	case s.Practice.MaxDoD > 0:
		depth.Expr, depth.Inputs = "max_dod", []working.Input{practice}
	default:
		depth.Expr, depth.Inputs = "max_dod", []working.Input{unitDoD}
	}
	w.add(depth)
	w.add(working.Step{Title: phrase.Of("Usable share"), Name: "usable_share", Expr: "reserve - (1 - max_dod)",
		Inputs: []working.Input{w.reserve(), w.of("max_dod")}, Value: b.Sizing.UsableFraction, Sources: definition})
}

// workRequired shows the capacity that the hours require.
func (w *workings) workRequired() {
	s, z := w.p.Site, w.p.Bank.Sizing
	autonomy := key("outage", "autonomy_h", s.Outage.AutonomyH, "h")
	growth, margin := key("practice", "growth", s.Practice.Growth, ""), key("practice", "margin", s.Practice.Margin, "")
	w.add(working.Step{Title: phrase.Of("Mean discharge current"), Name: "mean_a",
		Expr:   "dc_wh * (1 + growth) / (bank_v * autonomy_h)",
		Inputs: []working.Input{w.of("dc_wh"), growth, autonomy, w.bankV()}, Value: z.MeanCurrentA,
		Unit:    "A",
		Sources: definition})
	w.workCold()
	w.add(working.Step{Title: phrase.Of("Charge that must come out"), Name: "given_ah",
		Expr: "dc_wh * (1 + growth) * (1 + margin) / (bank_v * usable_share * end_of_life * k_temperature)",
		Inputs: append([]working.Input{w.of("dc_wh"), growth, margin, w.of("usable_share"),
			w.endOfLife(), w.of("k_temperature")},
			w.bankV()), Value: z.RequiredAh * z.KRate, Unit: "Ah",
		Sources: autonomyMethod})
	w.workRate()
	w.add(working.Step{Title: phrase.Of("Required capacity"), Name: "required_ah", Expr: "given_ah / k_rate",
		Inputs: []working.Input{w.of("given_ah"), w.of("k_rate")}, Value: z.RequiredAh, Unit: "Ah",
		Sources: autonomyMethod})
}

// workInstalled shows the strings, what they hold, and how much of it at the current of the plan.
func (w *workings) workInstalled() {
	b := w.p.Bank
	z, ratedAh := b.Sizing, key("bank", "rated_ah", w.p.Site.Unit.RatedAh, "Ah")
	w.add(working.Step{Title: phrase.Of("Strings needed"), Name: "strings_needed",
		Expr:   "max(1, ceil(required_ah / rated_ah * (1 - 1e-9)))",
		Inputs: []working.Input{w.of("required_ah"), ratedAh}, Value: float64(z.Strings), Sources: definition})
	strings := working.Step{Title: phrase.Of("Strings of the bank"), Name: "strings", Expr: "strings",
		Value:  float64(b.Strings),
		Inputs: []working.Input{key("bank", "strings", float64(b.Strings), "")}, Sources: definition}
	switch needed := w.of("strings_needed"); {
	case b.Sized && needed.Value == strings.Value:
		strings.Expr, strings.Inputs = "strings_needed", []working.Input{needed}
	case b.Sized:
		strings.Inputs[0] = working.Told("strings", strings.Value, "", phrase.Of("chosen by the planner"))
	}
	w.add(strings)
	w.add(working.Step{Title: phrase.Of("Installed capacity"), Name: "bank_ah", Expr: "strings * rated_ah",
		Inputs: []working.Input{w.stringsInput(), ratedAh}, Value: b.CapacityAh(), Unit: "Ah", Sources: definition})
	w.workRateInstalled()
	if faster, slower, ok := b.Unit.RowsAround(z.MeanCurrentA / float64(b.Strings)); ok {
		row := func(name string, v float64, unit string) working.Input {
			return working.Given(name, v, unit, "bank", "", "capacity")
		}
		w.add(working.Step{Title: phrase.Of("Peukert exponent at the mean current"),
			Formula: phrase.Of("of the two rows of the capacity table around the current of a string"),
			Expr:    "ln(slow_h / fast_h) / ln((fast_ah / fast_h) / (slow_ah / slow_h))",
			Inputs: []working.Input{row("fast_h", faster.Hours, "h"), row("fast_ah", faster.Ah, "Ah"),
				row("slow_h", slower.Hours, "h"), row("slow_ah", slower.Ah, "Ah")},
			Value:   battery.PeukertExponent(faster, slower),
			Sources: monitorManual})
	}
}

// workUsable shows the energy that the plan may use, above a minimum that was raised too.
func (w *workings) workUsable() {
	p := w.p
	usable := "usable_share"
	if p.Raised() {
		usable = "usable_share_raised"
		w.add(working.Step{Title: phrase.Of("Usable share above the raised minimum state of charge"), Name: usable,
			Expr: "max(0, reserve - floor_soc)", Inputs: []working.Input{w.reserve(), w.of("floor_soc")},
			Value: p.UsableShare(), Sources: definition})
	}
	w.add(working.Step{Title: phrase.Of("Usable energy at end of life"), Name: "usable_wh",
		Expr: "bank_v * bank_ah * usable_share * end_of_life * k_temperature * k_rate",
		Inputs: append([]working.Input{w.of("bank_ah"), w.as("usable_share", usable), w.endOfLife(), w.of("k_temperature"),
			w.as("k_rate", "k_rate_installed")}, w.bankV()), Value: p.UsableWh(), Unit: "Wh", Sources: definition})
}

// workCurrents shows what flows from the bank, at the scheduled power and at each start, and what the bank may give.
func (w *workings) workCurrents() {
	p := w.p
	s, b := p.Site, p.Bank
	w.add(working.Step{Title: phrase.Of("End-of-discharge voltage of the bank"), Name: "low_v", Expr: "series * min_v",
		Inputs: []working.Input{w.of("series"), key("bank", "min_v", s.Unit.MinV, "V")}, Value: p.LowV(), Unit: "V",
		Sources: sheetOrUsual})
	w.dcPower(phrase.Of("Power from the bank at the scheduled power"), "scheduled_dc_w", "scheduled_w")
	w.add(working.Step{Title: phrase.Of("Battery current of the scheduled power"), Name: "dc_a",
		Expr:   "scheduled_dc_w / low_v",
		Inputs: []working.Input{w.of("scheduled_dc_w"), w.of("low_v")},
		Value:  p.Inverter.DCPower(p.Demand.Scheduled.W) / p.LowV(),
		Unit:   "A", Sources: energyBalance})
	if u := b.Unit; u.MaxDischargeA > 0 {
		count := w.stringsInput()
		w.add(working.Step{Title: phrase.Of("Discharge current of the bank at most"), Name: "bank_dc_a",
			Expr: "strings * max_discharge_a", Inputs: []working.Input{count,
				key("bank", "max_discharge_a", u.MaxDischargeA, "A")}, Value: float64(b.Strings) * u.MaxDischargeA,
			Unit:    "A",
			Sources: sheet})
		if u.PulseA > 0 {
			w.add(working.Step{Title: phrase.Of("Pulse current of the bank at most"), Name: "bank_pulse_a",
				Expr: "strings * max(max_discharge_a, pulse_a)", Inputs: []working.Input{count,
					key("bank", "max_discharge_a", u.MaxDischargeA, "A"), key("bank", "pulse_a", u.PulseA, "A")},
				Value: float64(b.Strings) * max(u.MaxDischargeA, u.PulseA), Unit: "A", Sources: sheet})
		}
	}
	for _, st := range p.Starts.All {
		name := "start_dc_w of " + st.Load
		w.dcPower(phrase.Of("Power from the bank at the start of %q", st.Load), name, "start_w of "+st.Load)
		w.add(working.Step{Title: phrase.Of("Battery current at the start of %q", st.Load),
			Name: "start_dc_a " + st.Load,
			Expr: "start_dc_w / low_v", Inputs: []working.Input{w.as("start_dc_w", name), w.of("low_v")},
			Value: p.DCStartA(st), Unit: "A", Sources: energyBalance})
	}
}

// workChargingVolts shows the highest voltage of the bank.
func (w *workings) workChargingVolts() {
	p := w.p
	s := p.Site
	charge, highest := key("bank", "charge_v", s.Unit.ChargeV, "V"), s.Unit.ChargeV
	if s.Inverter.Equalises && s.Unit.EqualiseV > highest {
		charge = key("bank", "equalise_v", s.Unit.EqualiseV, "V")
	}
	charge.Name = "highest_charge_v"
	w.add(working.Step{Title: phrase.Of("Highest charging voltage"), Name: "charging_v",
		Formula: phrase.Of("charge (or equalise) voltage, raised by the compensation to coldest_c"),
		Expr:    "series * (highest_charge_v + cells * compensation_mv / 1000 * max(0, 25 - coldest_c))",
		Inputs: []working.Input{w.of("series"), charge, w.cellsInput(), w.compensation(),
			key("site", "coldest_c", s.ColdestC, "C")}, Value: p.ChargingV(), Unit: "V",
		Sources: sheetOrUsual})
}

// stringsInput is how many strings the bank has.
func (w *workings) stringsInput() working.Input { return w.of("strings") }

// windowTable is the steps of the day's profile in the hours of the outage, each with all of its time in them.
func (w *workings) windowTable(startMin, hours float64, columns []working.Column,
	values func(load, hours float64) []float64) *working.Table {
	p := w.p
	t := &working.Table{Columns: columns}
	end := startMin + hours*60
	for _, st := range p.Demand.Profile {
		h := 0.0
		for day := 0.0; day < end; day += calendar.DayMin {
			from, to := max(startMin, day+float64(st.StartMin)), min(end, day+float64(st.EndMin))
			h += max(0, to-from) / 60
		}
		if h > 0 {
			t.Rows = append(t.Rows, working.Row{Label: wording.Range(calendar.Clock(st.StartMin),
				calendar.Clock(st.EndMin)), Values: values(st.W, h)})
		}
	}
	return t
}

// workEnergy shows the energy of the autonomy, on the AC side and from the bank.
func (w *workings) workEnergy() {
	p := w.p
	s, g, b := p.Site, p.Inverter, p.Bank
	hours := s.Outage.AutonomyH
	t := w.windowTable(b.StartMin, hours, []working.Column{{Name: "mean_w", Unit: "W",
		Title: phrase.Of("mean power of the loads whose windows hold that time")}, {Name: "time_h", Unit: "h",
		Title: phrase.Of("of that time in the window")}, {Name: "wh", Unit: "Wh", Expr: "mean_w * time_h"}},
		func(load, h float64) []float64 { return []float64{load, h, load * h} })
	w.add(working.Step{Title: phrase.Of("Energy of the autonomy, AC"), Name: "ac_wh",
		Formula: phrase.Of("largest energy of any window of autonomy_h hours of the daily profile, "+
			"or from the given start: %g h from %s",
			hours, calendar.ClockAt(b.StartMin)),
		Expr: "sum(wh)", Table: t, Value: b.EnergyACWh, Unit: "Wh", Sources: definition})
	dc := working.Step{Title: phrase.Of("Energy of the autonomy, DC"), Name: "dc_wh", Value: b.EnergyDCWh, Unit: "Wh",
		Sources: energyBalance}
	idle, count := key("inverter", "idle_w", g.Unit.IdleW, "W"), key("inverter", "count", float64(g.Count), "")
	if len(s.Inverter.EfficiencyCurve) == 0 {
		dc.Expr = "ac_wh / efficiency + idle_w * count * autonomy_h"
		dc.Inputs = []working.Input{w.of("ac_wh"), key("inverter", "efficiency", s.Inverter.Efficiency, ""), idle,
			count,
			key("outage", "autonomy_h", hours, "h")}
	} else {
		dc.Expr, dc.Inputs = "sum(wh)", []working.Input{idle, count}
		dc.Table = w.windowTable(b.StartMin, hours, []working.Column{{Name: "mean_w", Unit: "W"},
			{Name: "time_h", Unit: "h"},
			{Name: "efficiency", Title: phrase.Of("read from efficiency_curve")},
			{Name: "dc_w", Unit: "W", Expr: "mean_w / efficiency + idle_w * count"},
			{Name: "wh", Unit: "Wh", Expr: "dc_w * time_h"}},
			func(load, h float64) []float64 {
				return []float64{load, h, g.EfficiencyAt(load), g.DCPower(load), g.DCPower(load) * h}
			})
	}
	w.add(dc)
}

// workCold shows what the cold leaves of the capacity.
func (w *workings) workCold() {
	p := w.p
	u, coldest := p.Site.Unit, p.Site.ColdestC
	s := working.Step{Title: phrase.Of("Capacity factor of temperature"), Name: "k_temperature",
		Formula: phrase.Of("table by chemistry (%s), never above 1", u.Chemistry.Word()),
		Value:   p.Bank.Sizing.KTemperature,
		Sources: battery.TemperatureSource(u.Chemistry, coldest)}
	a, b, multiplier, ok := battery.TemperatureRows(u.Chemistry, coldest)
	table := phrase.Of("published table")
	switch line := "colder + (warmer - colder) * (coldest_c - colder_c) / (warmer_c - colder_c)"; {
	case !ok:
		s.Expr = "1"
	case multiplier:
		s.Expr = "1 / (" + line + ")"
	default:
		s.Expr = "max(least, " + line + ")"
	}
	if ok {
		s.Inputs = []working.Input{key("site", "coldest_c", coldest, "C"), working.Told("colder_c", a[0], "C", table),
			working.Told("colder", a[1], "", table), working.Told("warmer_c", b[0], "C", table),
			working.Told("warmer", b[1], "", table)}
		if multiplier {
			s.Expr = "max(least, " + s.Expr + ")"
		}
		s.Inputs = append(s.Inputs, working.Constant("least", battery.CapacityFloor, ""))
	}
	w.add(s)
}

// workRate shows the factor of the rate that the sizing counts with: the discharge curve at the hours in which the mean
// current would take the charge that must come out.
func (w *workings) workRate() {
	p := w.p
	u, z := p.Site.Unit, p.Bank.Sizing
	s := working.Step{Title: phrase.Of("Capacity factor of rate"), Name: "k_rate", Value: z.KRate}
	if z.MeanCurrentA == 0 {
		s.Expr = "1"
		w.add(s)
		return
	}
	hours := z.RequiredAh * z.KRate / z.MeanCurrentA
	low, high, table := u.CurveAround(hours)
	s.Inputs = []working.Input{w.of("given_ah"), w.of("mean_a")}
	row := func(name string, v float64, unit string) working.Input {
		return working.Given(name, v, unit, "bank", "", "capacity")
	}
	ratedAh := key("bank", "rated_ah", u.RatedAh, "Ah")
	switch {
	case !table:
		s.Formula = phrase.Of("(C/(I*H))^(k-1), solved together with C, never above 1")
		s.Expr = "min(1, (given_ah / mean_a / rated_h)^(1 - 1 / max(1, peukert)))"
		s.Sources = peukertsRule
		s.Inputs = append(s.Inputs, key("bank", "rated_h", u.RatedH, "h"), key("bank", "peukert", u.Peukert, ""))
	case high.Hours == 0: // slower than the table
		s.Formula = phrase.Of("capacity table, straight on log-log, solved together with C; its last point is held")
		s.Expr, s.Sources = "low_ah / rated_ah", sheet
		s.Inputs = []working.Input{row("low_ah", low.Ah, "Ah"), ratedAh}
	default:
		s.Formula = phrase.Of("capacity table, straight on log-log, solved together with C; its last point is held")
		s.Expr = "low_ah / rated_ah * (given_ah / mean_a / low_h)^(ln(high_ah / low_ah) / ln(high_h / low_h))"
		s.Sources = sheet
		s.Inputs = append(s.Inputs, row("low_h", low.Hours, "h"), row("low_ah", low.Ah, "Ah"),
			row("high_h", high.Hours, "h"),
			row("high_ah", high.Ah, "Ah"), ratedAh)
	}
	w.add(s)
}

// workRateInstalled shows the factor of the rate of the installed bank at the mean current.
func (w *workings) workRateInstalled() {
	p := w.p
	b, u := p.Bank, p.Bank.Unit
	s := working.Step{Title: phrase.Of("Capacity factor of rate, installed bank"), Name: "k_rate_installed",
		Value:  b.KRate,
		Inputs: []working.Input{w.of("mean_a"), w.stringsInput(), key("bank", "rated_ah", u.RatedAh, "Ah")}}
	row := func(name string, v float64, unit string) working.Input {
		return working.Given(name, v, unit, "bank", "", "capacity")
	}
	faster, slower, ok := u.RowsAround(b.Sizing.MeanCurrentA / float64(b.Strings))
	switch {
	case ok:
		const slope = "(ln(slow_ah / fast_ah) / ln(slow_h / fast_h))"
		s.Expr = "fast_ah / rated_ah * (mean_a / strings * fast_h / fast_ah)^(-" + slope + " / (1 - " + slope + "))"
		s.Sources = sheet
		s.Inputs = append(s.Inputs, row("fast_h", faster.Hours, "h"), row("fast_ah", faster.Ah, "Ah"),
			row("slow_h", slower.Hours, "h"), row("slow_ah", slower.Ah, "Ah"))
	case len(u.Capacity) > 1:
		s.Expr, s.Sources = "slowest_ah / rated_ah", sheet
		s.Inputs = []working.Input{row("slowest_ah", u.Capacity[len(u.Capacity)-1].Ah, "Ah"), s.Inputs[2]}
	case b.Sizing.MeanCurrentA == 0:
		s.Expr, s.Inputs = "1", nil
	default:
		s.Expr = "min(1, (rated_ah / (mean_a / strings * rated_h))^(max(1, peukert) - 1))"
		s.Sources = peukertsRule
		s.Inputs = append(s.Inputs, key("bank", "rated_h", u.RatedH, "h"), key("bank", "peukert", u.Peukert, ""))
	}
	w.add(s)
}
