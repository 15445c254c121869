package sheet

import (
	"slices"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/wording"
)

func inverterSection(p *backup.Plan) section {
	g, s := p.Inverter, p.Site
	rows := [][]phrase.Phrase{
		{phrase.Of("Continuous rating"), num(whole(g.RatedVA())), unit("VA"), measure(whole(g.RatedW()), "W")},
		{phrase.Of("At %s and %s", wording.Amount(s.HottestC, "C"), wording.Amount(s.AltitudeM, "m")),
			num(whole(g.DeratedVA())), unit("VA"), measure(whole(g.DeratedW()), "W")},
		{phrase.Of("Pass-through current per phase"), num(orNone(g.PassThroughA())), unit("A"),
			phrase.Of("required %s", measured(tenth(p.Grid.PassThroughA), "A"))},
		{phrase.Of("AC input current per phase"), num(orNone(g.ACInputA())), unit("A"),
			phrase.Of("required %s", measured(tenth(p.Grid.InputA), "A"))},
		{phrase.Of("Standby consumption"), num(short(g.IdleW())), unit("W"), {}},
	}
	if g.Headroom > 0 {
		kept := []phrase.Phrase{phrase.Of("Rating less headroom"), num(whole(g.LimitVA())), unit("VA"),
			phrase.Of("%s; %s of the ratings is kept free", measured(whole(g.LimitW()), "W"),
				measured(short(100*g.Headroom), "%"))}
		rows = slices.Insert(rows, 2, kept)
	}
	return section{title: phrase.Of("Inverter: %d x %s", g.Count, equipment(g.Unit.ID, g.Unit.Label)),
		table: values(phrase.Of("Inverter"), rows)}
}

func bankSection(p *backup.Plan) section {
	b, z := p.Bank, p.Bank.Sizing
	chosen := phrase.Of("as given")
	if b.Sized {
		chosen = phrase.Of("sized by the planner")
	}
	rows := [][]phrase.Phrase{
		{phrase.Of("Layout"), phrase.Symbols("%d x %d", b.Strings, b.Series), {},
			phrase.Of("strings x units in series, %s", chosen)},
		{phrase.Of("Voltage"), num(short(b.NominalV())), unit("V"),
			phrase.Of("end-of-discharge voltage %.1f V", b.MinV())},
		{phrase.Of("Energy required"), num(whole(b.EnergyDCWh)), unit("Wh"),
			phrase.Of("%s of it to the loads", measured(whole(b.EnergyACWh), "Wh"))},
		{phrase.Of("Depth of discharge"), num(whole(100 * b.DoD)), unit("%"),
			phrase.Of("usable capacity in an outage %s", measured(whole(100*z.UsableFraction), "%"))},
		{phrase.Of("Low-voltage cut-off"), num(tenth(b.CutoffV)), unit("V"),
			phrase.Of("under load, second stage; the first is a state of charge of %s",
				measured(whole(100*b.FloorSoC), "%"))},
		{phrase.Of("Temperature factor"), num(whole(100 * z.KTemperature)), unit("%"),
			phrase.Of("at %s", wording.Amount(p.Site.ColdestC, "C"))},
		{phrase.Of("Discharge-rate factor"), num(whole(100 * z.KRate)), unit("%"),
			phrase.Of("at %s", measured(tenth(z.MeanCurrentA), "A"))},
		{phrase.Of("Capacity required"), num(whole(z.RequiredAh)), unit("Ah"),
			phrase.Of("design margin, cold, rate and age included")},
		{phrase.Of("Capacity installed"), num(whole(b.CapacityAh())), unit("Ah"),
			phrase.Count(b.Units(), "%d unit", "%d units")},
	}
	return section{title: phrase.Of("Bank: %d x %s, %s", b.Units(), equipment(b.Unit.ID, b.Unit.Label),
		phrase.Name(string(b.Unit.Chemistry))),
		table: values(phrase.Of("Bank"), append(rows, autonomyRows(p)...))}
}

// equipment is the id of an entry of the catalog and its label.
func equipment(id, label string) phrase.Phrase {
	if label == "" {
		return phrase.Name(id)
	}
	return phrase.Symbols("%s, %s", phrase.Name(id), phrase.Label(label))
}
