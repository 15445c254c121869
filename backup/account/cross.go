package account

import (
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// workCross sets the published methods beside the plan's own.
func (w *workings) workCross() {
	p := w.p
	c := p.Details.Cross
	if c == nil {
		return
	}
	if !c.Problem.Empty() {
		w.notDone(phrase.Of("Cross-check by published methods"), c.Problem)
		return
	}
	ours := w.as("ours_ah", "required_ah")
	show := func(method phrase.Phrase, size string, steps []working.Step, why phrase.Phrase) {
		w.list.AddAll(steps, func(s *working.Step) { s.Title = phrase.Of("%s: %s", method, phrase.Lower(s.Title)) })
		of := w.as("size_ah", size)
		w.add(working.Step{Title: phrase.Of("%s over the plan's own", method), Formula: why,
			Expr:   "size_ah / max(ours_ah, 1e-12)",
			Inputs: []working.Input{of, ours}, Value: verdict.Share(of.Value, ours.Value)})
	}
	w.workPeriods(c)
	show(phrase.Of("Duty-cycle method"), "duty_ah", c.Duty.Working(crossOrigin), c.DutyWhy)
	w.workMethodDays()
	show(phrase.Of("Autonomy method"), "method_ah", c.Autonomy.Working(crossOrigin), c.AutonomyWhy)
}

// workPeriods shows the duty cycle: the steps of the daily profile as currents of the bank.
func (w *workings) workPeriods(c *facts.CrossCheck) {
	t := &working.Table{Columns: []working.Column{
		{Name: "current_a", Unit: "A", Title: phrase.Of("of the bank at its nominal voltage, growth included")},
		{Name: "lasts_min", Unit: "min"}, {Name: "period", Expr: "before_period + 1"},
		{Name: "end_min", Unit: "min", Expr: "before_end_min + lasts_min"}}}
	periods, _ := w.p.DutyPeriods()
	end := 0.0
	for i, period := range periods {
		end += period.Minutes
		t.Rows = append(t.Rows, working.Row{Values: []float64{period.CurrentA, period.Minutes, float64(i + 1), end}})
	}
	w.add(working.Step{Title: phrase.Of("Duty-cycle method: periods"), Formula: c.DutyNote, Expr: "last(period)",
		Table: t,
		Value: float64(c.DutyPeriods), Sources: ieee485})
}

// workMethodDays shows what the autonomy method begins with: energy by the day, and the multiplier of the temperature.
func (w *workings) workMethodDays() {
	p := w.p
	autonomy := key("outage", "autonomy_h", p.Site.Outage.AutonomyH, "h")
	days := p.Site.Outage.AutonomyH / 24
	w.add(working.Step{Title: phrase.Of("Days of autonomy"), Name: "days", Expr: "autonomy_h / 24",
		Inputs: []working.Input{autonomy}, Value: days, Unit: "d"})
	w.add(working.Step{Title: phrase.Of("Energy from the bank in a day"), Name: "daily_wh",
		Expr:   "dc_wh * (1 + growth) / days",
		Inputs: []working.Input{w.of("dc_wh"), key("practice", "growth", p.Site.Practice.Growth, ""), w.of("days")},
		Value:  p.Bank.EnergyDCWh * (1 + p.Site.Practice.Growth) / days, Unit: "Wh"})
	w.add(working.Step{Title: phrase.Of("Temperature multiplier"), Name: "temperature_multiplier",
		Expr:   "1 / k_temperature",
		Inputs: []working.Input{w.of("k_temperature")}, Value: 1 / p.Bank.Sizing.KTemperature})
}

// crossOrigin says where the figures of the published methods come from.
func crossOrigin(name string) working.Origin {
	given := func(table string) working.Origin { return working.Origin{Key: &working.Key{Table: table, Key: name}} }
	switch name {
	case "rated_ah":
		return given("bank")
	case "margin", "end_of_life":
		return given("practice")
	case "coldest_c":
		return given("site")
	case "bank_v", "days", "daily_wh", "temperature_multiplier", "max_dod":
		return working.Origin{Name: name}
	}
	return working.Origin{}
}
