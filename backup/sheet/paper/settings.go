package paper

import (
	"math"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
	"outlast/battery"
)

// settings is what to enter into the inverter, worked out for the whole bank.
func (r *report) settings() doc.Section {
	return doc.Section{ID: "settings", Title: r.Say("settings.title"),
		Blocks: []doc.Block{doc.Para(r.Say("settings.text")), {Table: r.settingsTable()}, {Table: r.voltageTable()}}}
}

// settingRows is a table of settings that grows row by row.
type settingRows struct {
	*report
	t *doc.Table
}

// add adds a row; id is that of its words.
func (s settingRows) add(id string, value doc.Cell, unit, remark string) {
	s.named(s.Say(id), value, unit, remark)
}

func (s settingRows) named(name string, value doc.Cell, unit, remark string) {
	s.t.Rows = append(s.t.Rows,
		doc.Row{Cells: []doc.Cell{doc.Plain(name), value, doc.Plain(unit), doc.Plain(remark)}})
}

// settingsTable has a row for every limit that a caution or a note tells.
func (r *report) settingsTable() *doc.Table {
	s := settingRows{r, &doc.Table{ID: "settings", Caption: r.Say("settings.caption"),
		Columns: []doc.Column{doc.Head(r.Say("col.setting")), doc.Right(r.Say("col.value"), ""),
			doc.Tight(r.Say("col.unit")), doc.Head(r.Say("col.remark"))}, Note: r.Say("settings.note")}}
	s.add("settings.chemistry", doc.Plain(r.Say("chemistry."+string(r.Plan.Bank.Unit.Chemistry))), "", "")
	s.chargeVoltages()
	s.currents()
	s.charge()
	s.generator()
	s.temperatures()
	return s.t
}

// chargeVoltages are those at 25 degrees, and how the charger changes them with the temperature.
func (s settingRows) chargeVoltages() {
	b, u, inverter := s.Plan.Bank, s.Plan.Bank.Unit, s.Plan.Inverter.Unit
	at25 := s.Say("settings.at-25", s.Temperature(25))
	for _, v := range s.Plan.Details.Stages {
		if v.Stage == battery.Absorption || v.Stage == battery.Float {
			s.add("stage."+v.Name, s.Num(v.At25, 1), "V", at25)
		}
	}
	switch {
	case u.EqualiseV > 0 && inverter.Equalises:
		s.add("stage.equalise", s.Num(float64(b.Series)*u.EqualiseV, 1), "V", s.Say("settings.equalise-now-and-then"))
	case u.Chemistry.LeadAcid():
		s.add("stage.equalise", doc.Plain(s.Say("settings.off")), "", s.Say("settings.equalise-off"))
	}
	if mv := u.CompensationMV(); mv > 0 {
		coldest := s.Plan.Site.ColdestC
		s.add("settings.compensation", s.Num(-mv*float64(b.Cells()), 0), "mV/K",
			s.Say("settings.compensation-cells", b.Cells()))
		s.add("settings.highest", s.Num(b.HighestChargeV(coldest, inverter.Equalises), 1), "V",
			s.Say("settings.at-coldest", s.Temperature(coldest)))
	}
}

// currents are the limits of what charges the bank and of what is taken from the grid.
func (s settingRows) currents() {
	charge := s.Plan.Details.Charge
	if charge.SetA > 0 {
		remark := s.Say("settings.charge-current")
		if charge.SourcesLess() {
			remark = s.Say("settings.bank-takes", s.Amount(charge.MostA, "A"))
		}
		s.add("settings.charge-limit", s.limit(charge.SetA), "A", remark)
	}
	if charge.ColdA > 0 {
		s.add("settings.charge-cold", s.limit(charge.ColdA), "A",
			s.Say("settings.charge-cold-remark", s.Temperature(s.Plan.Site.ColdestC)))
	}
	if limit := s.Plan.Grid.LimitA; limit > 0 {
		s.add("settings.grid-limit", s.limit(limit), "A", s.Say("settings.grid-limit-remark"))
	}
}

// charge is what is kept in the bank, and what is switched off as it falls.
func (s settingRows) charge() {
	b := s.Plan.Bank
	s.add("settings.reserve", s.Num(100*s.Plan.Site.Outage.Reserve, 0), "%", s.Say("settings.reserve-remark"))
	s.add("settings.floor", s.Num(100*b.FloorSoC, 0), "%", s.Say("settings.floor-remark",
		s.Fixed(100*(1-b.FloorSoC), 0)))
	s.add("settings.cutoff", s.Num(b.CutoffV, 1), "V", s.Say("settings.cutoff-remark"))
	for _, l := range s.Relays() {
		s.named(s.Say("settings.drop", speech.Name(s.Called(l.Name))), s.Num(100*l.DropBelow, 0), "%",
			s.Say("settings.drop-remark"))
	}
}

func (s settingRows) generator() {
	if g := s.Plan.GeneratorRuns; g != nil {
		s.add("settings.generator-start", s.Num(100*g.StartSoC, 0), "%", "")
		s.add("settings.generator-stop", s.Num(100*g.StopSoC, 0), "%", "")
	}
	if g := s.Plan.Generator; g != nil {
		if set := g.ChargeSetting(); set.A > 0 {
			remark := "settings.generator-charge-remark"
			switch {
			case set.Least:
				remark = "settings.generator-charge-least"
			case set.FewerLoads:
				remark = "settings.generator-charge-rest"
			}
			s.add("settings.generator-charge", s.limit(set.A), "A", s.Say(remark))
		}
	}
}

// temperatures are those between which the bank is charged.
func (s settingRows) temperatures() {
	u := s.Plan.Bank.Unit
	if least, _, _, ok := u.LeastChargeC(); ok {
		value, unit, remark := s.Degrees(least, s.Say("settings.charge-min-remark"))
		s.add("settings.charge-min", value, unit, remark)
	}
	if u.ChargeMaxC != nil {
		value, unit, remark := s.Degrees(*u.ChargeMaxC, "")
		s.add("settings.charge-max", value, unit, remark)
	}
}

// limit is the cell of a limit to enter.
func (r *report) limit(x float64) doc.Cell {
	decimals := 0
	if x < 10 {
		decimals = 1
	}
	return r.Num(verdict.Settable(x), decimals)
}

// least is the cell of what is required at least.
func (r *report) least(x float64) doc.Cell {
	if x == math.Trunc(x) {
		return r.Num(x, 0)
	}
	return r.Num(x, 1)
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
