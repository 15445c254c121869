package account

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/sums"
	"outlast/backup/working"
)

// workRatings shows what heat and altitude leave of the ratings of the inverters.
func (w *workings) workRatings() {
	p := w.p
	s, g, inv := p.Site, p.Inverter, p.Inverter.Unit
	count := key("inverter", "count", float64(g.Count), "")
	w.add(working.Step{Title: phrase.Of("Derating by heat"), Name: "heat",
		Expr: "min(1, max(0, 1 - max(0, derate_per_c * (hottest_c - derate_from_c))))",
		Inputs: []working.Input{key("inverter", "derate_per_c", inv.DeratePerC, "1/K"),
			key("site", "hottest_c", s.HottestC, "C"),
			key("inverter", "derate_from_c", inv.DerateFromC, "C")},
		Value: g.DeratingHeat, Sources: sheetOrDefault})
	w.add(working.Step{Title: phrase.Of("Derating by altitude"), Name: "altitude",
		Expr: "min(1, max(0, 1 - max(0, derate_per_100m * (altitude_m - derate_from_m) / 100)))",
		Inputs: []working.Input{key("inverter", "derate_per_100m", inv.DeratePer100M, ""),
			key("site", "altitude_m", s.AltitudeM, "m"), key("inverter", "derate_from_m", inv.DerateFromM, "m")},
		Value: g.DeratingAltitude, Sources: sheetOrDefault})
	rated := func(title phrase.Phrase, name, of string, rating, value float64, unit string) {
		w.add(working.Step{Title: title, Name: name, Expr: of + " * count * heat * altitude",
			Inputs: []working.Input{key("inverter", of, rating, unit), count, w.of("heat"), w.of("altitude")},
			Value:  value, Unit: unit, Sources: sheet})
	}
	rated(phrase.Of("Continuous rating"), "derated_va", "rated_va", inv.RatedVA, g.DeratedVA(), "VA")
	rated(phrase.Of("Continuous power rating"), "derated_w", "rated_w", inv.RatedW, g.DeratedW(), "W")
	va, watts := "derated_va", "derated_w"
	if h := g.Headroom; h > 0 {
		less := func(title phrase.Phrase, name, of string, value float64, unit string) {
			w.add(working.Step{Title: title, Name: name, Expr: of + " * (1 - headroom)",
				Inputs: []working.Input{w.of(of), key("practice", "headroom", h, "")}, Value: value, Unit: unit,
				Sources: designers})
		}
		va, watts = "limit_va", "limit_w"
		less(phrase.Of("Continuous rating, less headroom"), va, "derated_va", g.LimitVA(), "VA")
		less(phrase.Of("Continuous power rating, less headroom"), watts, "derated_w", g.LimitW(), "W")
	}
	if n := float64(s.Phases); n > 1 {
		phases := key("site", "phases", n, "")
		w.add(working.Step{Title: phrase.Of("Continuous rating of a phase"), Name: "phase_va", Expr: va + " / phases",
			Inputs: []working.Input{w.of(va), phases}, Value: g.LimitVA() / n, Unit: "VA", Sources: definition})
		w.add(working.Step{Title: phrase.Of("Continuous power rating of a phase"), Name: "phase_w",
			Expr:   watts + " / phases",
			Inputs: []working.Input{w.of(watts), phases}, Value: g.LimitW() / n, Unit: "W", Sources: definition})
	}
}

// workRating shows what the inverters are rated for over a time, in total or on a phase.
func (w *workings) workRating(title phrase.Phrase, name string, seconds, value float64, phase int) {
	w.workRatingLess(w.p.Inverter.Headroom, title, name, seconds, value, phase)
}

// workRatingLess is the same less a share of it that is kept free.
func (w *workings) workRatingLess(headroom float64, title phrase.Phrase, name string, seconds, value float64,
	phase int) {
	p := w.p
	g := p.Inverter
	where := phrase.Of("in total")
	if phase > 0 {
		where = phrase.Of("on phase %d, with its equal share of the rating", phase)
	}
	s := working.Step{Title: title, Name: name, Expr: "rated_va", Value: value, Unit: "VA",
		Formula: phrase.Of("highest va among overload points with seconds >= t, or the continuous rating; derated; compared %s",
			where),
		Inputs:  []working.Input{key("inverter", "rated_va", g.Unit.RatedVA, "VA")},
		Sources: sheetStepwise}
	if points := g.Unit.Overload; len(points) > 0 {
		t := &working.Table{Columns: []working.Column{{Name: "seconds", Unit: "s"}, {Name: "va", Unit: "VA"},
			{Name: "counts", Expr: "floor(min(1, seconds / t))"},
			{Name: "counted_va", Unit: "VA", Expr: "va * counts"}}}
		from := w.where(working.Key{Table: "inverter", Key: "overload"})
		for _, o := range points {
			counts := math.Floor(min(1, o.Seconds/seconds))
			t.Rows = append(t.Rows, working.Row{Label: from, Values: []float64{o.Seconds, o.VA, counts, o.VA * counts}})
		}
		s.Expr, s.Table = "max(rated_va, max(counted_va))", t
		s.Inputs = append(s.Inputs, working.Told("t", seconds, "s", phrase.Of("time of the start")))
	}
	s.Expr += " * count * heat * altitude"
	s.Inputs = append(s.Inputs, key("inverter", "count", float64(g.Count), ""), w.of("heat"), w.of("altitude"))
	if headroom > 0 {
		s.Expr += " * (1 - headroom)"
		s.Inputs = append(s.Inputs, key("practice", "headroom", headroom, ""))
	}
	if phase > 0 {
		s.Expr += " / phases"
		s.Inputs = append(s.Inputs, key("site", "phases", float64(p.Site.Phases), ""))
	}
	w.add(s)
}

// workInverter shows what flows while the grid is there, and what the inverters may take from the bank.
func (w *workings) workInverter() {
	p := w.p
	s, g := p.Site, p.Inverter
	inv := g.Unit
	lane := 0
	if s.Phases > 1 {
		for i, va := range p.Grid.Demand.PhaseVA {
			if va > p.Grid.Demand.PhaseVA[max(0, lane-1)] || lane == 0 {
				lane = i + 1
			}
		}
	}
	passVA := p.Grid.Demand.PhaseVA[max(0, lane-1)]
	_, parts := p.Asked.GridSet.PeakParts(lane, true, false)
	pass := working.Step{Title: phrase.Of("Apparent power that passes through, largest phase"), Name: "pass_va",
		Formula: phrase.Of("highest vector sum over the minutes of the day, held-off loads included"),
		Expr:    "sqrt(sum(w)^2 + sum(var)^2)", Table: sums.Table(p.Asked.GridLoads, parts, true, nil), Value: passVA,
		Unit:    "VA",
		Sources: definition}
	if pass.Table == nil {
		pass.Expr = "0"
	}
	w.add(pass)
	volts := key("site", "nominal_v", s.NominalV, "V")
	w.add(working.Step{Title: phrase.Of("Pass-through current per phase"), Name: "grid_pass_a",
		Expr:   "pass_va / nominal_v",
		Inputs: []working.Input{w.of("pass_va"), volts}, Value: p.Grid.PassThroughA, Unit: "A", Sources: definition})
	count, phases := key("inverter", "count", float64(g.Count), ""), key("site", "phases", float64(s.Phases), "")
	ofPhase := func(title phrase.Phrase, name, of string, rating, value float64) {
		if value > 0 {
			w.add(working.Step{Title: title, Name: name, Expr: of + " * count * unit_phases / phases",
				Inputs: []working.Input{key("inverter", of, rating, "A"), count,
					working.Given("unit_phases", float64(inv.Phases), "", "inverter", "", "phases"), phases},
				Value: value, Unit: "A", Sources: sheet})
		}
	}
	ofPhase(phrase.Of("Pass-through rating of a phase"), "pass_limit_a", "pass_through_a", inv.PassThroughA,
		g.PassThroughA())
	charger := working.Step{Title: phrase.Of("Current of the grid chargers"), Name: "grid_charger_a",
		Expr:   "charger_a * count",
		Inputs: []working.Input{key("inverter", "charger_a", inv.ChargerA, "A"), count}, Value: g.ChargerA(), Unit: "A",
		Sources: sheet}
	if inv.MaxChargeA > 0 {
		charger.Expr = "min(charger_a, max_charge_a) * count"
		charger.Inputs = append(charger.Inputs, key("inverter", "max_charge_a", inv.MaxChargeA, "A"))
	}
	w.add(charger)
	w.add(working.Step{Title: phrase.Of("Charger power from the grid"), Name: "charger_w",
		Expr: "grid_charger_a * series * charge_v / efficiency",
		Inputs: []working.Input{w.of("grid_charger_a"), w.of("series"),
			key("bank", "charge_v", s.Unit.ChargeV, "V"), key("inverter", "efficiency", inv.Efficiency, "")},
		Value: g.ChargerInputW(float64(s.Series) * s.Unit.ChargeV), Unit: "W", Sources: energyBalance})
	w.add(working.Step{Title: phrase.Of("Current from the grid per phase, chargers included"), Name: "grid_input_a",
		Expr:   "grid_pass_a + charger_w / phases / nominal_v",
		Inputs: []working.Input{w.of("grid_pass_a"), w.of("charger_w"), phases, volts}, Value: p.Grid.InputA, Unit: "A",
		Sources: definition})
	ofPhase(phrase.Of("Rating of the input of a phase"), "input_limit_a", "ac_input_a", inv.ACInputA, g.ACInputA())
	if inv.MaxDischargeA > 0 {
		limit := working.Step{Title: phrase.Of("Battery current of the inverters"), Name: "inverter_dc_a",
			Expr:   "max_discharge_a * count",
			Inputs: []working.Input{key("inverter", "max_discharge_a", inv.MaxDischargeA, "A"), count},
			Value:  g.LimitDischargeA(), Unit: "A", Sources: sheet}
		if g.Headroom > 0 {
			limit.Title, limit.Expr = phrase.Of("Battery current of the inverters, less headroom"),
				limit.Expr+" * (1 - headroom)"
			limit.Inputs = append(limit.Inputs, key("practice", "headroom", g.Headroom, ""))
		}
		w.add(limit)
	}
}
