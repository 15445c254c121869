package sheet

import (
	"fmt"
	"slices"

	"outlast/backup"
	"outlast/backup/sheet/speech"
)

func inverterSection(p *backup.Plan) section {
	g, s := p.Inverter, p.Site
	rows := [][]string{
		{"Continuous rating", whole(g.RatedVA()), "VA", whole(g.RatedW()) + " W"},
		{fmt.Sprintf("At %g C and %g m", s.HottestC, s.AltitudeM), whole(g.DeratedVA()), "VA", whole(g.DeratedW()) + " W"},
		{"Pass-through current per phase", orNone(g.PassThroughA()), "A", "required " + tenth(p.Grid.PassThroughA) + " A"},
		{"AC input current per phase", orNone(g.ACInputA()), "A", "required " + tenth(p.Grid.InputA) + " A"},
		{"Standby consumption", short(g.IdleW()), "W", ""},
	}
	if g.Headroom > 0 {
		kept := []string{"Rating less headroom", whole(g.LimitVA()), "VA", fmt.Sprintf("%s W; %s %% of the ratings is kept free", whole(g.LimitW()), short(100*g.Headroom))}
		rows = slices.Insert(rows, 2, kept)
	}
	name := fmt.Sprintf("Inverter: %d x %s", g.Count, equipment(g.Unit.ID, g.Unit.Label))
	return section{title: name, table: table{[]string{"Inverter", "Value", "", ""}, []bool{false, true, false, false}, rows}}
}

func bankSection(p *backup.Plan) section {
	b, z := p.Bank, p.Bank.Sizing
	chosen := "as given"
	if b.Sized {
		chosen = "sized by the planner"
	}
	rows := [][]string{
		{"Layout", fmt.Sprintf("%d x %d", b.Strings, b.Series), "", fmt.Sprintf("strings x units in series, %s", chosen)},
		{"Voltage", short(b.NominalV()), "V", fmt.Sprintf("end-of-discharge voltage %.1f V", b.MinV())},
		{"Energy required", whole(b.EnergyDCWh), "Wh", fmt.Sprintf("%s Wh of it to the loads", whole(b.EnergyACWh))},
		{"Depth of discharge", whole(100 * b.DoD), "%", fmt.Sprintf("usable capacity in an outage %s %%", whole(100*z.UsableFraction))},
		{"Low-voltage cut-off", tenth(b.CutoffV), "V", fmt.Sprintf("under load, second stage; the first is a state of charge of %s %%", whole(100*b.FloorSoC))},
		{"Temperature factor", whole(100 * z.KTemperature), "%", fmt.Sprintf("at %g C", p.Site.ColdestC)},
		{"Discharge-rate factor", whole(100 * z.KRate), "%", fmt.Sprintf("at %.1f A", z.MeanCurrentA)},
		{"Capacity required", whole(z.RequiredAh), "Ah", "design margin, cold, rate and age included"},
		{"Capacity installed", whole(b.CapacityAh()), "Ah", plural(b.Units(), "unit", "units")},
	}
	rows = append(rows, autonomyRows(p)...)
	name := fmt.Sprintf("Bank: %d x %s, %s", b.Units(), equipment(b.Unit.ID, b.Unit.Label), b.Unit.Chemistry)
	return section{title: name, table: table{[]string{"Bank", "Value", "", ""}, []bool{false, true, false, false}, rows}}
}

func equipment(id, label string) string {
	if label == "" {
		return speech.Clean(id)
	}
	return speech.Clean(id + ", " + label)
}
