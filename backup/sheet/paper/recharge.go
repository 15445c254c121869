package paper

import (
	"math"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/wording"
)

// rechargeTable is the recharge by month.
func (r *report) rechargeTable() *doc.Table {
	re := r.Recharge
	if re == nil {
		return nil
	}
	array := len(r.Plan.Site.Arrays) > 0
	t := &doc.Table{ID: "recharge", Caption: r.Say("recharge.caption"),
		Columns: []doc.Column{doc.Head(r.Say("col.month")), doc.Right(r.Say("col.bank-gives"), "Wh")}}
	if array {
		t.Columns = append(t.Columns, doc.Right(r.Say("col.array-gives"), "Wh"), doc.Head(r.Say("col.covers")),
			doc.Right(r.Say("col.refill"), "d"))
	}
	if re.Generator {
		t.Columns = append(t.Columns, doc.Right(r.Say("col.engine"), "h"), doc.Right(r.Say("col.fuel"), "l"))
	}
	for m, month := range re.Months {
		row := doc.Row{Cells: []doc.Cell{doc.Plain(r.MonthName(m + 1)), r.Num(month.LoadWh, 0)}}
		if array {
			covers := r.Say("no")
			if month.Carries {
				covers = r.Say("yes")
			}
			row.Cells = append(row.Cells, r.Num(month.ArrayWh, 0), doc.Plain(covers), r.wait(month.RefillDays.P50))
		}
		if re.Generator {
			h, l := r.Num(month.GeneratorH, 1), r.Num(month.GeneratorL, 1)
			if !month.GeneratorOK {
				h, l = doc.Plain(r.Say("recharge.weak")), doc.Plain("–")
			}
			row.Cells = append(row.Cells, h, l)
		}
		t.Rows = append(t.Rows, row)
	}
	if array {
		t.Note = r.Say("recharge.note-array")
	}
	if re.Generator {
		t.Note += " " + r.Say("recharge.note-generator")
		if !re.NoCharging.Empty() {
			t.Note += " " + r.Prose(re.NoCharging)
		}
	}
	return t
}

// wait is the cell of days until the bank is full.
func (r *report) wait(days float64) doc.Cell {
	if math.IsInf(days, 1) {
		return doc.Plain("–")
	}
	return r.Num(days, 1)
}

// sunDaysTable tells the spread behind the mean days of the recharge; nil where no sun is known.
func (r *report) sunDaysTable() *doc.Table {
	re := r.Recharge
	if re == nil || re.Draws == 0 {
		return nil
	}
	t := &doc.Table{ID: "sun-days", Caption: r.Say("days.caption"), Columns: []doc.Column{doc.Head(r.Say("col.month"))}}
	for _, id := range []string{"col.array-share", "col.refill-share"} {
		for _, percent := range []string{"10", "50", "90"} {
			unit := "Wh"
			if id == "col.refill-share" {
				unit = "d"
			}
			t.Columns = append(t.Columns, doc.Right(r.Say(id, percent), unit))
		}
	}
	for m, month := range re.Months {
		wh, d := month.ArrayDays, month.RefillDays
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.MonthName(m + 1)), r.Num(wh.P10, 0),
			r.Num(wh.P50, 0), r.Num(wh.P90, 0), r.wait(d.P10), r.wait(d.P50), r.wait(d.P90)}})
	}
	from := r.Say("days.file")
	if re.Draws > 1 {
		from = r.Say("days.drawn", re.Draws)
	}
	t.Note = from + " " + r.Say("days.dash", facts.RefillMostDays)
	return t
}

// generatorTable is what the generator has left in its place, and what is asked of it.
func (r *report) generatorTable() *doc.Table {
	g, gen := r.Plan.Generator, r.Plan.Site.Generator
	if g == nil || gen == nil {
		return nil
	}
	s := r.Plan.Site
	caption := r.Say("group.generator") + "."
	if !findings.Nameless(gen.ID, gen.Label) {
		caption = r.Say("generator.caption", r.EquipmentName(gen.ID, gen.Label))
	}
	running := r.Amount(g.RunningW, "W")
	if g.TimesW > 0 {
		running = r.Prose(g.Counted(phrase.Symbols("%s", wording.Amount(g.RunningW, "W"))))
	}
	label, remark := r.Say("generator.running"), r.Say("generator.running-remark", running, r.Amount(g.LoadsW, "W"))
	if g.ChargersUnknown() {
		label, remark = r.Say("generator.running-alone"), running
	}
	t := r.values("generator", caption,
		[4]any{r.Say("inverter.rated"), r.Num(gen.RatedVA, 0), "VA", r.Amount(gen.RatedVA*gen.PowerFactor, "W")},
		[4]any{r.Say("inverter.derated"), r.Num(g.DeratedVA, 0), "VA",
			r.Say("inverter.derated-remark", r.Amount(g.DeratedW, "W"), r.Temperature(s.HottestC),
				r.Amount(s.AltitudeM, "m"))},
		[4]any{label, r.Num(g.RunningVA, 0), "VA", remark})
	add := func(id string, c doc.Cell, unit, remark string) {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say(id)), c, doc.Plain(unit), doc.Plain(remark)}})
	}
	if g.StartVA > 0 {
		add("generator.start", r.Num(g.StartVA, 0), "VA", r.Say("generator.start-remark", r.Fixed(100*g.Dip, 1)))
	}
	if g.FuelLPerH > 0 {
		remark := r.Say("generator.by-sheet")
		switch {
		case g.FuelByChart():
			remark = r.Say("generator.by-chart")
		case g.FuelByKind():
			remark = r.Say("generator.by-kind")
		}
		add("generator.fuel", r.Num(g.FuelLPerH, 1), "l/h", r.Amount(g.MeanW, "W")+", "+remark)
	}
	if g.TankH > 0 {
		add("generator.tank", r.Num(g.TankH, 1), "h", r.Amount(gen.FuelL, "l"))
	}
	return t
}

// sunShare is what the arrays give on a mean day of the outage's month over what the backup board takes then.
func sunShare(m facts.RechargeMonth) float64 {
	if m.LoadWh <= 0 {
		return 0
	}
	return m.ArrayWh / m.LoadWh
}
