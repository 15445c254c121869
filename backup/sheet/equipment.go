package sheet

import (
	"slices"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/wording"
)

func inverterSection(p *backup.Plan) grid.Section {
	g, s := p.Inverter, p.Site
	rows := [][]phrase.Phrase{
		{phrase.Of("Continuous rating"), grid.Num(grid.Whole(g.RatedVA())), grid.Unit("VA"),
			grid.Measure(grid.Whole(g.RatedW()), "W")},
		{phrase.Of("At %s and %s", wording.Amount(s.HottestC, "C"), wording.Amount(s.AltitudeM, "m")),
			grid.Num(grid.Whole(g.DeratedVA())), grid.Unit("VA"), grid.Measure(grid.Whole(g.DeratedW()), "W")},
		{phrase.Of("Pass-through current per phase"), grid.Num(grid.OrNone(g.PassThroughA())), grid.Unit("A"),
			phrase.Of("required %s", grid.Measured(grid.Tenth(p.Grid.PassThroughA), "A"))},
		{phrase.Of("AC input current per phase"), grid.Num(grid.OrNone(g.ACInputA())), grid.Unit("A"),
			phrase.Of("required %s", grid.Measured(grid.Tenth(p.Grid.InputA), "A"))},
		{phrase.Of("Standby consumption"), grid.Num(grid.Short(g.IdleW())), grid.Unit("W"), {}},
	}
	if g.Headroom > 0 {
		kept := []phrase.Phrase{phrase.Of("Rating less headroom"), grid.Num(grid.Whole(g.LimitVA())), grid.Unit("VA"),
			phrase.Of("%s; %s of the ratings is kept free", grid.Measured(grid.Whole(g.LimitW()), "W"),
				grid.Measured(grid.Short(100*g.Headroom), "%"))}
		rows = slices.Insert(rows, 2, kept)
	}
	return grid.Section{Title: phrase.Of("Inverter: %d x %s", g.Count, equipment(g.Unit.ID, g.Unit.Label)),
		Table: grid.Values(phrase.Of("Inverter"), rows)}
}

func bankSection(p *backup.Plan) grid.Section {
	b, z := p.Bank, p.Bank.Sizing
	chosen := phrase.Of("as given")
	if b.Sized {
		chosen = phrase.Of("sized by the planner")
	}
	rows := [][]phrase.Phrase{
		{phrase.Of("Layout"), phrase.Symbols("%d x %d", b.Strings, b.Series), {},
			phrase.Of("strings x units in series, %s", chosen)},
		{phrase.Of("Voltage"), grid.Num(grid.Short(b.NominalV())), grid.Unit("V"),
			phrase.Of("end-of-discharge voltage %.1f V", b.MinV())},
		{phrase.Of("Energy required"), grid.Num(grid.Whole(b.EnergyDCWh)), grid.Unit("Wh"),
			phrase.Of("%s of it to the loads", grid.Measured(grid.Whole(b.EnergyACWh), "Wh"))},
		{phrase.Of("Depth of discharge"), grid.Num(grid.Whole(100 * b.DoD)), grid.Unit("%"),
			phrase.Of("usable capacity in an outage %s", grid.Measured(grid.Whole(100*z.UsableFraction), "%"))},
		{phrase.Of("Low-voltage cut-off"), grid.Num(grid.Tenth(b.CutoffV)), grid.Unit("V"),
			phrase.Of("under load, second stage; the first is a state of charge of %s",
				grid.Measured(grid.Whole(100*b.FloorSoC), "%"))},
		{phrase.Of("Temperature factor"), grid.Num(grid.Whole(100 * z.KTemperature)), grid.Unit("%"),
			phrase.Of("at %s", wording.Amount(p.Site.ColdestC, "C"))},
		{phrase.Of("Discharge-rate factor"), grid.Num(grid.Whole(100 * z.KRate)), grid.Unit("%"),
			phrase.Of("at %s", grid.Measured(grid.Tenth(z.MeanCurrentA), "A"))},
		{phrase.Of("Capacity required"), grid.Num(grid.Short(p.EnoughAh())), grid.Unit("Ah"),
			phrase.Of("design margin, cold, rate and age included")},
		{phrase.Of("Capacity installed"), grid.Num(grid.Whole(b.CapacityAh())), grid.Unit("Ah"),
			phrase.Count(b.Units(), "%d unit", "%d units")},
	}
	return grid.Section{Title: phrase.Of("Bank: %d x %s, %s", b.Units(), equipment(b.Unit.ID, b.Unit.Label),
		b.Unit.Chemistry.Word()),
		Table: grid.Values(phrase.Of("Bank"), append(rows, autonomyRows(p)...))}
}

// equipment is the id of an entry of the catalog and its label.
func equipment(id, label string) phrase.Phrase {
	if label == "" {
		return phrase.Name(id)
	}
	return phrase.Symbols("%s, %s", phrase.Name(id), phrase.Label(label))
}
