package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// written is a working that adds its steps when it is asked for.
func written(origins working.Origins, steps func(*working.Part)) []working.Step {
	if steps == nil {
		return nil
	}
	w := working.Part{Origins: origins}
	steps(&w)
	return w.Steps
}

func in(name string, value float64, unit string) working.Input {
	return working.Input{Name: name, Value: value, Unit: unit}
}

// dutySteps adds the working of the duty cycle.
func (u Unit) dutySteps(w *working.Part, d DutyCycle, s DutySizing) {
	sources := []working.Source{ieee485}
	if u.hasTable() {
		u.curveStep(w)
	}
	governing := s.Sections[s.Governing]
	w.Add(working.Step{Name: "section_ah", Title: phrase.Of("Largest section, %d of %d", s.Governing+1,
		len(s.Sections)),
		Expr: "sum(size_ah)", Inputs: []working.Input{in("rated_ah", u.RatedAh, "Ah")}, Table: u.termsTable(governing),
		Value: governing.Ah, Unit: "Ah", Sources: sources})
	size := "section_ah"
	if d.Random.CurrentA > 0 {
		size = "uncorrected_ah"
		minutes := max(minPeriodMin, d.Random.Minutes)
		a, _ := u.DischargeA(minutes / 60)
		w.Add(working.Step{Name: "random_ah", Title: phrase.Of("Random load"),
			Expr: "random_a * rated_ah / discharge_a",
			Inputs: []working.Input{in("random_a", d.Random.CurrentA, "A"), in("rated_ah", u.RatedAh, "Ah"),
				working.Told("discharge_a", a, "A", phrase.Of("discharge current of the unit over %g min", minutes))},
			Value: s.RandomAh, Unit: "Ah", Sources: sources})
		w.Add(working.Step{Name: size, Title: phrase.Of("Uncorrected size"), Expr: "section_ah + random_ah",
			Inputs: []working.Input{in("section_ah", governing.Ah, "Ah"), in("random_ah", s.RandomAh, "Ah")},
			Value:  s.UncorrectedAh, Unit: "Ah", Sources: sources})
	}
	w.Add(multiplierStep(d.TemperatureC, s.Multiplier))
	w.Add(working.Step{Name: "duty_ah", Title: phrase.Of("Required size"),
		Expr: size + " * multiplier * (1 + margin) / end_of_life", Inputs: []working.Input{
			in(size, s.UncorrectedAh, "Ah"), in("multiplier", s.Multiplier, ""), in("margin", d.Margin, ""),
			in("end_of_life", d.EndOfLife, "")}, Value: s.RequiredAh, Unit: "Ah", Sources: sources})
	w.Add(stringsStep("duty_ah", s.RequiredAh, u.RatedAh, s.Strings, sources))
}

// stringsStep adds how many whole strings a size takes; rounding is forgiven.
func stringsStep(name string, requiredAh, ratedAh float64, strings int, sources []working.Source) working.Step {
	return working.Step{Title: phrase.Of("Strings"), Expr: "max(1, ceil(" + name + " / rated_ah * (1 - 1e-9)))",
		Inputs: []working.Input{in(name, requiredAh, "Ah"), in("rated_ah", ratedAh, "Ah")}, Value: float64(strings),
		Sources: sources}
}

// curveStep adds the slopes of the discharge table, piece by piece: on log-log paper it is drawn in straight lines.
func (u Unit) curveStep(w *working.Part) {
	table := &working.Table{Columns: []working.Column{{Name: "from_h", Unit: "h"}, {Name: "from_ah", Unit: "Ah"},
		{Name: "to_h", Unit: "h"}, {Name: "to_ah", Unit: "Ah"},
		{Name: "slope", Expr: "ln(to_ah / from_ah) / ln(to_h / from_h)"}}}
	for i := 1; i < len(u.Capacity); i++ {
		a, b := u.Capacity[i-1], u.Capacity[i]
		table.Rows = append(table.Rows, working.Row{Values: []float64{a.Hours, a.Ah, b.Hours, b.Ah,
			segment(a, b).slope}})
	}
	w.Add(working.Step{Title: phrase.Of("Slope of the capacity table, piece by piece"),
		Formula: phrase.Of("straight on log-log paper; the last slope is the result"), Expr: "last(slope)",
		Table:   table,
		Value:   table.Rows[len(table.Rows)-1].Values[4],
		Sources: []working.Source{working.From(phrase.Of("data sheet"), working.Definition)}})
}

// piece is the line on log-log paper on which the charge of a discharge over so many hours is read: a point of it and
// its slope, 0 where the charge is held.
func (u Unit) piece(hours float64) (at RatePoint, slope float64) {
	if !u.hasTable() {
		at = RatePoint{Hours: u.RatedH, Ah: u.RatedAh}
		if hours < u.RatedH {
			slope = 1 - 1/max(u.Peukert, 1)
		}
		return at, slope
	}
	t := u.Capacity
	last := len(t) - 1
	if hours >= t[last].Hours {
		return t[last], 0
	}
	i := 1
	for hours > t[i].Hours {
		i++
	}
	return t[i-1], segment(t[i-1], t[i]).slope
}

// termsTable is the section of a duty cycle, a row for each change of the current.
func (u Unit) termsTable(sec DutySection) *working.Table {
	slope := phrase.Of("of the capacity table there, 0 beyond its end")
	if !u.hasTable() {
		slope = phrase.Of("1 - 1 / peukert for discharges faster than the rated one, else 0")
	}
	t := &working.Table{Columns: []working.Column{
		{Name: "current_a", Unit: "A", Title: phrase.Of("current of the period")},
		{Name: "lasts_min", Unit: "min", Title: phrase.Of("until the current changes")},
		{Name: "change_a", Unit: "A", Expr: "current_a - before_current_a"},
		{Name: "to_end_min", Unit: "min", Expr: "before_to_end_min - before_lasts_min"},
		{Name: "point_h", Unit: "h", Title: phrase.Of("point on the line at which the charge is read")},
		{Name: "point_ah", Unit: "Ah"},
		{Name: "slope", Title: slope},
		{Name: "kt", Title: phrase.Of("rated capacity over the current that a unit can give so long"),
			Expr: "rated_ah * to_end_min / 60 / (point_ah * (to_end_min / 60 / point_h)^slope)"},
		{Name: "size_ah", Unit: "Ah", Expr: "change_a * kt"},
	}}
	current := 0.0
	for i, term := range sec.Terms {
		current += term.ChangeA
		lasts := term.Minutes
		if i+1 < len(sec.Terms) {
			lasts -= sec.Terms[i+1].Minutes
		}
		at, slope := u.piece(term.Minutes / 60)
		t.Rows = append(t.Rows, working.Row{Values: []float64{current, lasts, term.ChangeA, term.Minutes, at.Hours,
			at.Ah,
			slope, term.Kt, term.Ah}})
	}
	return t
}

// multiplierStep is how the temperature multiplier of the standard is read: straight between two rows, and 1 in warmth.
func multiplierStep(tempC, value float64) working.Step {
	a, b := bracket(ieee485Multiplier, toF(tempC))
	low, high := in("low_f", a.X, "F"), in("high_f", b.X, "F")
	atLow, atHigh := in("low_multiplier", a.Y, ""), in("high_multiplier", b.Y, "")
	for _, i := range []*working.Input{&low, &high, &atLow, &atHigh} {
		i.From = working.Origin{Told: ieee485.Phrase()}
	}
	return working.Step{Name: "multiplier", Title: phrase.Of("Temperature factor"),
		Formula: phrase.Of("straight between two rows of the table in degrees Fahrenheit, not under 1"),
		Expr: "min(multiplier_most, max(1, low_multiplier + (high_multiplier - low_multiplier) * (coldest_c * 1.8 " +
			"+ 32 - low_f) / (high_f - low_f)))",
		Inputs: []working.Input{in("coldest_c", tempC, "C"), low, high, atLow, atHigh,
			in("multiplier_most", 1/capacityFloor, "")}, Value: value, Sources: []working.Source{ieee485}}
}

// write adds the working of the autonomy method.
func (c AutonomyCase) write(w *working.Part, s AutonomySizing) {
	sources := []working.Source{standAlone}
	day := working.Step{Name: "day_ah", Title: phrase.Of("Charge of a day"), Expr: "daily_wh / bank_v",
		Inputs: []working.Input{in("daily_wh", c.DailyWh, "Wh"), in("bank_v", c.BankV, "V")}, Value: s.DailyAh,
		Unit:    "Ah",
		Sources: sources}
	if c.Efficiency != 1 {
		day.Expr = "daily_wh / efficiency / bank_v"
		day.Inputs = append(day.Inputs, in("efficiency", c.Efficiency, ""))
	}
	w.Add(day)
	w.Add(working.Step{Name: "stored_ah", Title: phrase.Of("Charge of the autonomy"), Expr: "day_ah * days",
		Inputs: []working.Input{in("day_ah", s.DailyAh, "Ah"), in("days", c.Days, "d")}, Value: s.StoredAh, Unit: "Ah",
		Sources: sources})
	w.Add(working.Step{Name: "method_ah", Title: phrase.Of("Required size"),
		Expr: "stored_ah / max_dod * temperature_multiplier * (1 + margin)", Inputs: []working.Input{
			in("stored_ah", s.StoredAh, "Ah"), in("max_dod", c.MaxDoD, ""),
			in("temperature_multiplier", c.Multiplier, ""), in("margin", c.Allowance, "")}, Value: s.RequiredAh,
		Unit:    "Ah",
		Sources: sources})
	if c.UnitAh > 0 {
		w.Add(stringsStep("method_ah", s.RequiredAh, c.UnitAh, s.Strings, sources))
	}
}
