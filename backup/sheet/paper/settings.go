package paper

import (
	"math"

	"outlast/battery"
)

// settings is what to enter into the inverter, worked out for the whole bank.
func (r *report) settings() Section {
	return Section{ID: "settings", Title: r.Say("settings.title"), Blocks: []Block{para(r.Say("settings.text")), {Table: r.settingsTable()}, {Table: r.voltageTable()}}}
}

// settingsTable has a row for every limit that a caution or a note tells.
func (r *report) settingsTable() *Table {
	p := r.plan
	t := &Table{ID: "settings", Caption: r.Say("settings.caption"), Columns: []Column{head(r.Say("col.setting")), right(r.Say("col.value"), ""), tight(r.Say("col.unit")), head(r.Say("col.remark"))}, Note: r.Say("settings.note")}
	add := func(id string, c Cell, unit, remark string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say(id)), c, cell(unit), cell(remark)}})
	}
	b, u := p.Bank, p.Bank.Unit
	cells := b.Cells()
	add("settings.chemistry", cell(r.Say("chemistry."+string(u.Chemistry))), "", "")
	at25 := r.Say("settings.at-25", r.Temperature(25))
	for _, v := range p.Details.Stages {
		if v.Stage == battery.Absorption || v.Stage == battery.Float {
			add("stage."+v.Name, r.num(v.At25, 1), "V", at25)
		}
	}
	switch {
	case u.EqualiseV > 0 && p.Inverter.Unit.Equalises:
		add("stage.equalise", r.num(float64(b.Series)*u.EqualiseV, 1), "V", r.Say("settings.equalise-now-and-then"))
	case u.Chemistry.LeadAcid():
		add("stage.equalise", cell(r.Say("settings.off")), "", r.Say("settings.equalise-off"))
	}
	if mv := u.CompensationMV(); mv > 0 {
		add("settings.compensation", r.num(-mv*float64(cells), 0), "mV/K", r.Say("settings.compensation-cells", cells))
		add("settings.highest", r.num(b.HighestChargeV(p.Site.ColdestC, p.Inverter.Unit.Equalises), 1), "V", r.Say("settings.at-coldest", r.Temperature(p.Site.ColdestC)))
	}
	if charge := p.Details.Charge; charge.SetA > 0 {
		remark := r.Say("settings.charge-current")
		if charge.SourcesLess() {
			remark = r.Say("settings.bank-takes", r.Amount(charge.MostA, "A"))
		}
		add("settings.charge-limit", r.limit(charge.SetA), "A", remark)
	}
	if cold := p.Details.Charge.ColdA; cold > 0 {
		add("settings.charge-cold", r.limit(cold), "A", r.Say("settings.charge-cold-remark", r.Temperature(p.Site.ColdestC)))
	}
	if p.Grid.LimitA > 0 {
		add("settings.grid-limit", r.limit(p.Grid.LimitA), "A", r.Say("settings.grid-limit-remark"))
	}
	add("settings.reserve", r.num(100*p.Site.Outage.Reserve, 0), "%", r.Say("settings.reserve-remark"))
	add("settings.floor", r.num(100*b.FloorSoC, 0), "%", r.Say("settings.floor-remark", r.Fixed(100*(1-b.FloorSoC), 0)))
	add("settings.cutoff", r.num(b.CutoffV, 1), "V", r.Say("settings.cutoff-remark"))
	for _, l := range r.relays() {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say("settings.drop", name(r.called(l.Name)))), r.num(100*l.DropBelow, 0), cell("%"), cell(r.Say("settings.drop-remark"))}})
	}
	if g := p.GeneratorRuns; g != nil {
		add("settings.generator-start", r.num(100*g.StartSoC, 0), "%", "")
		add("settings.generator-stop", r.num(100*g.StopSoC, 0), "%", "")
	}
	if g := p.Generator; g != nil && g.ChargeLimited {
		add("settings.generator-charge", r.limit(g.ChargeA), "A", r.Say("settings.generator-charge-remark"))
	}
	if least, _, _, ok := u.LeastChargeC(); ok {
		add("settings.charge-min", r.degrees(least), "", r.Say("settings.charge-min-remark"))
	}
	if u.ChargeMaxC != nil {
		add("settings.charge-max", r.degrees(*u.ChargeMaxC), "", "")
	}
	return t
}

// limit is the cell of a limit to enter: rounded down, so that it holds.
func (r *report) limit(x float64) Cell {
	if x < 10 {
		return r.num(math.Floor(10*x+1e-9)/10, 1)
	}
	return r.num(math.Floor(x+1e-9), 0)
}

// degrees is the cell of a temperature, with its unit.
func (v voice) degrees(c float64) Cell {
	return Cell{Text: Text{S: v.Temperature(c)}, Exact: exact(c)}
}

// voltageTable is the charging voltages at the temperatures that the battery space sees, of the whole bank.
func (r *report) voltageTable() *Table {
	s := r.plan.Site
	t := &Table{ID: "charging-voltages", Caption: r.Say("voltages.caption"), Plain: true, Columns: []Column{
		head(r.Say("col.stage")), right(r.Temperature(s.ColdestC), "V"), right(r.Temperature(25), "V"), right(r.Temperature(s.HottestC), "V"),
	}}
	for _, v := range r.plan.Details.Stages {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say("stage." + v.Name)), r.num(v.AtColdest, 1), r.num(v.At25, 1), r.num(v.AtHottest, 1)}})
	}
	if r.plan.Bank.Unit.CompensationMV() == 0 {
		t.Note = r.Say("voltages.constant")
	}
	return t
}
