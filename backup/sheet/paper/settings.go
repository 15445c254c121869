package paper

import (
	"math"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/battery"
)

// settings is what to enter into the inverter, worked out for the whole bank.
func (r *report) settings() doc.Section {
	return doc.Section{ID: "settings", Title: r.Say("settings.title"),
		Blocks: []doc.Block{doc.Para(r.Say("settings.text")), {Table: r.settingsTable()}, {Table: r.voltageTable()}}}
}

// settingsTable has a row for every limit that a caution or a note tells.
func (r *report) settingsTable() *doc.Table {
	p := r.Plan
	t := &doc.Table{ID: "settings", Caption: r.Say("settings.caption"),
		Columns: []doc.Column{doc.Head(r.Say("col.setting")), doc.Right(r.Say("col.value"), ""),
			doc.Tight(r.Say("col.unit")), doc.Head(r.Say("col.remark"))}, Note: r.Say("settings.note")}
	add := func(id string, c doc.Cell, unit, remark string) {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say(id)), c, doc.Plain(unit), doc.Plain(remark)}})
	}
	b, u := p.Bank, p.Bank.Unit
	cells := b.Cells()
	add("settings.chemistry", doc.Plain(r.Say("chemistry."+string(u.Chemistry))), "", "")
	at25 := r.Say("settings.at-25", r.Temperature(25))
	for _, v := range p.Details.Stages {
		if v.Stage == battery.Absorption || v.Stage == battery.Float {
			add("stage."+v.Name, r.Num(v.At25, 1), "V", at25)
		}
	}
	switch {
	case u.EqualiseV > 0 && p.Inverter.Unit.Equalises:
		add("stage.equalise", r.Num(float64(b.Series)*u.EqualiseV, 1), "V", r.Say("settings.equalise-now-and-then"))
	case u.Chemistry.LeadAcid():
		add("stage.equalise", doc.Plain(r.Say("settings.off")), "", r.Say("settings.equalise-off"))
	}
	if mv := u.CompensationMV(); mv > 0 {
		add("settings.compensation", r.Num(-mv*float64(cells), 0), "mV/K", r.Say("settings.compensation-cells", cells))
		add("settings.highest", r.Num(b.HighestChargeV(p.Site.ColdestC, p.Inverter.Unit.Equalises), 1), "V",
			r.Say("settings.at-coldest", r.Temperature(p.Site.ColdestC)))
	}
	if charge := p.Details.Charge; charge.SetA > 0 {
		remark := r.Say("settings.charge-current")
		if charge.SourcesLess() {
			remark = r.Say("settings.bank-takes", r.Amount(charge.MostA, "A"))
		}
		add("settings.charge-limit", r.limit(charge.SetA), "A", remark)
	}
	if cold := p.Details.Charge.ColdA; cold > 0 {
		add("settings.charge-cold", r.limit(cold), "A", r.Say("settings.charge-cold-remark",
			r.Temperature(p.Site.ColdestC)))
	}
	if p.Grid.LimitA > 0 {
		add("settings.grid-limit", r.limit(p.Grid.LimitA), "A", r.Say("settings.grid-limit-remark"))
	}
	add("settings.reserve", r.Num(100*p.Site.Outage.Reserve, 0), "%", r.Say("settings.reserve-remark"))
	add("settings.floor", r.Num(100*b.FloorSoC, 0), "%", r.Say("settings.floor-remark", r.Fixed(100*(1-b.FloorSoC), 0)))
	add("settings.cutoff", r.Num(b.CutoffV, 1), "V", r.Say("settings.cutoff-remark"))
	for _, l := range r.Relays() {
		t.Rows = append(t.Rows,
			doc.Row{Cells: []doc.Cell{doc.Plain(r.Say("settings.drop", speech.Name(r.Called(l.Name)))),
				r.Num(100*l.DropBelow, 0), doc.Plain("%"), doc.Plain(r.Say("settings.drop-remark"))}})
	}
	if g := p.GeneratorRuns; g != nil {
		add("settings.generator-start", r.Num(100*g.StartSoC, 0), "%", "")
		add("settings.generator-stop", r.Num(100*g.StopSoC, 0), "%", "")
	}
	if g := p.Generator; g != nil && g.ChargeLimited {
		add("settings.generator-charge", r.limit(g.ChargeA), "A", r.Say("settings.generator-charge-remark"))
	}
	if least, _, _, ok := u.LeastChargeC(); ok {
		add("settings.charge-min", degrees(r.Voice, least), "", r.Say("settings.charge-min-remark"))
	}
	if u.ChargeMaxC != nil {
		add("settings.charge-max", degrees(r.Voice, *u.ChargeMaxC), "", "")
	}
	return t
}

// limit is the cell of a limit to enter: rounded down, so that it holds.
func (r *report) limit(x float64) doc.Cell {
	if x < 10 {
		return r.Num(math.Floor(10*x+1e-9)/10, 1)
	}
	return r.Num(math.Floor(x+1e-9), 0)
}

// degrees is the cell of a temperature, with its unit.
func degrees(v findings.Voice, c float64) doc.Cell {
	return doc.Cell{Text: doc.Text{S: v.Temperature(c)}, Exact: findings.Exact(c)}
}

// voltageTable is the charging voltages at the temperatures that the battery space sees, of the whole bank.
func (r *report) voltageTable() *doc.Table {
	s := r.Plan.Site
	t := &doc.Table{ID: "charging-voltages", Caption: r.Say("voltages.caption"), Plain: true, Columns: []doc.Column{
		doc.Head(r.Say("col.stage")), doc.Right(r.Temperature(s.ColdestC), "V"), doc.Right(r.Temperature(25), "V"),
		doc.Right(r.Temperature(s.HottestC), "V"),
	}}
	for _, v := range r.Plan.Details.Stages {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say("stage." + v.Name)), r.Num(v.AtColdest, 1),
			r.Num(v.At25, 1), r.Num(v.AtHottest, 1)}})
	}
	if r.Plan.Bank.Unit.CompensationMV() == 0 {
		t.Note = r.Say("voltages.constant")
	}
	return t
}
