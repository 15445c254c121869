package account

import (
	"math"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/working"
	"outlast/battery"
)

// workModelCharge shows how long the state model takes to fill the new bank at 25 C. The model goes minute by minute;
// what it does in them has a closed form, so that it can be followed without them.
func (w *workings) workModelCharge(title phrase.Phrase, c facts.ChargeTime) {
	if w.p.Bank.Unit.Chemistry.LeadAcid() {
		w.workWellsCharge(title, c)
	} else {
		w.workLithiumCharge(title, c)
	}
}

// modelCharged is the last step of both.
func modelCharged(title phrase.Phrase, c facts.ChargeTime, how phrase.Phrase) working.Step {
	return working.Step{Title: phrase.Of("%s, by the state model", title), Value: c.ModelH, Unit: "h",
		Formula: phrase.Of("minute steps from the lowest charge to %g, new, 25 C: %s", facts.NearlyFull, how),
		Sources: bankModels}
}

func (w *workings) workLithiumCharge(title phrase.Phrase, c facts.ChargeTime) {
	p := w.p
	b, u := p.Bank, p.Bank.Unit
	oneWay := math.Sqrt(u.RoundTrip)
	full, in := b.CapacityAh()*b.NominalV()/oneWay, c.ChargeA*b.NominalV()*oneWay
	w.add(working.Step{Title: phrase.Of("%s: energy inside when full, new, 25 C", title),
		Name: "new_full_wh of " + c.By,
		Expr: "bank_ah * bank_v / one_way", Inputs: []working.Input{w.of("bank_ah"), w.bankV(), w.of("one_way")},
		Value: full, Unit: "Wh", Sources: definition})
	w.add(working.Step{Title: phrase.Of("%s: power that is stored", title), Name: "stored_w of " + c.By,
		Expr:   "charge_a * bank_v * one_way",
		Inputs: []working.Input{w.as("charge_a", "charge_a of "+c.By), w.bankV(), w.of("one_way")}, Value: in,
		Unit:    "W",
		Sources: definition})
	taper := working.Step{Title: phrase.Of("%s: fall of the power near full", title), Name: "taper_per_h of " + c.By,
		Unit: "1/h",
		Formula: phrase.Of("so that the constant voltage begins at %g with the greatest charge current",
			float64(battery.TaperFromSoC)), Sources: fromMemory}
	taper.Expr = "strings * max_charge_a * bank_v * one_way / ((1 - taper_soc) * new_full_wh)"
	taper.Inputs = []working.Input{w.stringsInput(), key("bank", "max_charge_a", u.MaxChargeA, "A")}
	most := u.MaxChargeA * float64(b.Strings)
	if u.MaxChargeA == 0 {
		a := working.Constant("usual_c", battery.UsualChargeC, "1/h")
		most = battery.UsualChargeC * b.CapacityAh()
		taper.Expr = "usual_c * bank_ah * bank_v * one_way / ((1 - taper_soc) * new_full_wh)"
		taper.Inputs = []working.Input{a, w.of("bank_ah")}
	}
	taper.Inputs = append(taper.Inputs, w.bankV(), w.of("one_way"),
		working.Constant("taper_soc", battery.TaperFromSoC, ""), w.as("new_full_wh", "new_full_wh of "+c.By))
	taper.Value = most * b.NominalV() * oneWay / ((1 - battery.TaperFromSoC) * full)
	w.add(taper)
	s := modelCharged(title, c, phrase.Of("all is stored until the taper begins, then what is missing dies away"))
	const missing, end, from = "new_full_wh * (1 - floor_soc)", "(new_full_wh * (1 - nearly_full))",
		"stored_w / taper_per_h"
	s.Expr = "ceil((max(0, " + missing + " - max(" + from + ", " + end + ")) / stored_w + max(0, ln(min(" + from +
		", " +
		missing + ") / " + end + ")) / taper_per_h) * 60 - 1e-9) / 60"
	s.Inputs = []working.Input{w.as("new_full_wh", "new_full_wh of "+c.By), w.floorSoC(),
		w.as("stored_w", "stored_w of "+c.By),
		w.as("taper_per_h", "taper_per_h of "+c.By), working.Constant("nearly_full", facts.NearlyFull, "")}
	w.add(s)
}

// wellsCharge is a lead-acid bank while it is charged, minute by minute, in closed forms.
type wellsCharge struct {
	share, rate, full, target float64
	start, amps               float64
}

const minuteH = 1. / 60

// fullCurrent finds the last minute at which the available well takes all of the current, by trying: the table of what
// was tried, and the minute.
func (k wellsCharge) fullCurrent() (search *working.Table, minutes float64) {
	search = &working.Table{Columns: []working.Column{{Name: "n"},
		{Name: "gone", Expr: "1 - exp(-rate_per_h * n / 60)"},
		{Name: "available_ah", Unit: "Ah",
			Expr: "available_share * new_start_ah + stored_a * (gone + available_share * (rate_per_h * n / 60 - gone)) / rate_per_h"},
		{Name: "fits", Expr: "floor(min(1, available_share * new_full_ah / available_ah))"},
		{Name: "low_n", Expr: "fits * n + (1 - fits) * before_low_n"}}}
	low, high := 0.0, 1.0
	try := func(n float64) bool {
		available := k.available(n)
		fits := math.Floor(min(1, k.share*k.full/available))
		if fits == 1 {
			low = n
		}
		search.Rows = append(search.Rows, working.Row{Values: []float64{n, -math.Expm1(-k.rate * n * minuteH),
			available, fits, low}})
		return fits == 1
	}
	try(0)
	for try(high) {
		high *= 2
	}
	for high-low > 1 {
		if n := math.Floor((low + high) / 2); !try(n) {
			high = n
		}
	}
	return search, low
}

// available is the charge in reach after so many minutes of the full current.
func (k wellsCharge) available(minutes float64) float64 {
	x := k.rate * minutes * minuteH
	gone := -math.Expm1(-x)
	return k.share*k.start + k.amps*(gone+k.share*(x-gone))/k.rate
}

func (w *workings) workWellsCharge(title phrase.Phrase, c facts.ChargeTime) {
	p := w.p
	b, u, fit := p.Bank, p.Bank.Unit, p.Details.Kinetic
	if fit == nil {
		return
	}
	full := max(fit.FullAh*float64(b.Strings), b.CapacityAh())
	k := wellsCharge{share: fit.AvailableShare, rate: fit.RatePerH, full: full,
		target: full - b.CapacityAh()*(1-facts.NearlyFull), start: full - b.CapacityAh()*(1-c.FromSoC),
		amps: c.ChargeA * u.RoundTrip}
	of := func(name string) string { return name + " of " + c.By }
	as := func(name string) working.Input { return w.as(name, of(name)) }
	add := func(what phrase.Phrase, name string, s working.Step) {
		s.Title, s.Name, s.Sources = phrase.Of("%s: %s", title, what), of(name), definition
		w.add(s)
	}
	add(phrase.Of("charge in both wells when full, new, 25 C"), "new_full_ah",
		working.Step{Expr: "max(wells_ah * strings, bank_ah)",
			Inputs: []working.Input{w.of("wells_ah"), w.stringsInput(), w.of("bank_ah")}, Value: full, Unit: "Ah"})
	add(phrase.Of("charge in both wells at the beginning"), "new_start_ah",
		working.Step{Expr: "new_full_ah - bank_ah * (1 - floor_soc)",
			Inputs: []working.Input{as("new_full_ah"), w.of("bank_ah"), w.floorSoC()}, Value: k.start, Unit: "Ah"})
	add(phrase.Of("charge in both wells at the end"), "new_target_ah",
		working.Step{Expr: "new_full_ah - bank_ah * (1 - nearly_full)",
			Inputs: []working.Input{as("new_full_ah"), w.of("bank_ah"),
				working.Constant("nearly_full", facts.NearlyFull, "")},
			Value: k.target, Unit: "Ah"})
	add(phrase.Of("current that is stored"), "stored_a", working.Step{Expr: "charge_a * round_trip",
		Inputs: []working.Input{w.as("charge_a", of("charge_a")), key("bank", "round_trip", u.RoundTrip, "")},
		Value:  k.amps,
		Unit:   "A"})
	share, rate := w.of("available_share"), w.of("rate_per_h")
	if needed := math.Ceil((k.target-k.start)/k.amps/minuteH - 1e-9); k.available(needed-1) <= k.share*k.full {
		s := modelCharged(title, c, phrase.Of("the current is stored in full to the end"))
		s.Expr = "max(0, ceil((new_target_ah - new_start_ah) / stored_a * 60 - 1e-9)) / 60"
		s.Inputs = []working.Input{as("new_target_ah"), as("new_start_ah"), as("stored_a")}
		w.add(s)
		return
	}
	search, full1 := k.fullCurrent()
	add(phrase.Of("minutes in which all of the current is stored"), "full_current_n", working.Step{
		Formula: phrase.Of("the last minute at which the available well is not yet full, by trying"),
		Expr:    "last(low_n)",
		Inputs:  []working.Input{rate, share, as("new_start_ah"), as("new_full_ah"), as("stored_a")}, Table: search,
		Value: full1})
	x := k.rate * minuteH
	gone := -math.Expm1(-x)
	drain := (gone + k.share*(x-gone)) / k.rate
	add(phrase.Of("share of the flow in a minute"), "gone", working.Step{Expr: "1 - exp(-rate_per_h / 60)",
		Inputs: []working.Input{rate},
		Value:  gone})
	add(phrase.Of("charge that a current of 1 A brings into reach in a minute"), "reach_ah", working.Step{
		Expr:   "(gone + available_share * (rate_per_h / 60 - gone)) / rate_per_h",
		Inputs: []working.Input{as("gone"), share, rate}, Value: drain, Unit: "Ah"})
	after := k.start + k.amps*full1*minuteH
	add(phrase.Of("charge in both wells after those minutes"), "after_ah",
		working.Step{Expr: "new_start_ah + stored_a * full_current_n / 60",
			Inputs: []working.Input{as("new_start_ah"), as("stored_a"), as("full_current_n")}, Value: after,
			Unit: "Ah"})
	reached := k.available(full1)
	add(phrase.Of("available charge after those minutes"), "reached_ah", working.Step{
		Expr: "available_share * new_start_ah + stored_a * (1 - exp(-rate_per_h * full_current_n / 60) + available_share * " +
			"(rate_per_h * full_current_n / 60 - 1 + exp(-rate_per_h * full_current_n / 60))) / rate_per_h",
		Inputs: []working.Input{share, as("new_start_ah"), as("stored_a"), rate, as("full_current_n")}, Value: reached,
		Unit: "Ah"})
	next := after + minuteH*(k.share*k.full-(1-gone)*reached-k.share*gone*after)/drain
	add(phrase.Of("charge in both wells a minute later, when the available one is full"), "next_ah", working.Step{
		Expr: "after_ah + (available_share * new_full_ah - (1 - gone) * reached_ah - available_share * gone * " +
			"after_ah) / reach_ah / 60",
		Inputs: []working.Input{as("after_ah"), share, as("new_full_ah"), as("gone"), as("reached_ah"), as("reach_ah")},
		Value:  next, Unit: "Ah"})
	s := modelCharged(title, c, phrase.Of("then each minute brings the same share of what is missing"))
	s.Expr = "(full_current_n + 1 + max(0, ceil(ln((new_full_ah - new_target_ah) / (new_full_ah - next_ah)) / " +
		"ln(1 - available_share * gone / reach_ah / 60) - 1e-9))) / 60"
	s.Inputs = []working.Input{as("full_current_n"), as("new_full_ah"), as("new_target_ah"), as("next_ah"), share,
		as("gone"),
		as("reach_ah")}
	w.add(s)
}
