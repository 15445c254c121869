package paper

import (
	"html/template"
	"math"

	"outlast/backup/facts"
)

// monthFigure sets what the arrays give against what the backup board takes, a mean day of each month; nil without an array whose
// sun is known.
func (r *report) monthFigure() *Figure {
	re := r.recharge
	if re == nil || len(r.plan.Site.Arrays) == 0 || !r.sunKnown() {
		return nil
	}
	f := &Figure{ID: "fig-months", Caption: r.Say("months.title")}
	var told []string
	for m, month := range re.Months {
		told = append(told, r.Say("months.one", r.Say(monthID(m+1)), r.Amount(month.ArrayWh, "Wh"), r.Amount(month.LoadWh, "Wh")))
	}
	f.Describe = r.Say("months.describe") + " " + list(told) + "."
	f.Wide = r.monthChart(wide, "fig-months-w", f)
	f.Narrow = r.monthChart(narrow, "fig-months-n", f)
	return f
}

// sunKnown tells whether anything is known of the sun on the arrays.
func (r *report) sunKnown() bool {
	for _, m := range r.recharge.Months {
		if m.ArrayWh > 0 {
			return true
		}
	}
	return false
}

func (r *report) monthChart(w float64, id string, f *Figure) template.HTML {
	months := r.recharge.Months
	most := 1.0
	for _, m := range months {
		most = max(most, m.ArrayWh, m.LoadWh)
	}
	d := &drawing{w: w}
	// The two kinds of bars are told apart by being empty and full.
	key := func(class string) func(*drawing, float64, float64) {
		return func(d *drawing, x, y float64) { d.rect(x+4, y-5, 10, 10, class) }
	}
	top := d.key(44, 10, w-4, []keyItem{{key("outline"), r.Say("months.load")}, {key("fill"), r.Say("months.array")}}) + 28
	d.h = top + 196
	by, unit := kilo(most, "Wh")
	step := nice(most*1.05, 5)
	area := plotArea{d, scale{lo: 0, hi: 12, from: 44, to: w - 8}, scale{lo: 0, hi: roundUp(most*1.05, step), from: d.h - 28, to: top}}
	area.yAxis(r.voice, step, by, unit)
	slot := area.x.at(1) - area.x.at(0)
	bar := slot * 0.36
	for m, month := range months {
		x := area.x.at(float64(m)) + slot/2
		yl, ya := area.y.at(month.LoadWh), area.y.at(month.ArrayWh)
		d.rect(x-bar-1, yl, bar, area.bottom()-yl, "outline")
		d.rect(x+1, ya, bar, area.bottom()-ya, "fill")
		class := ""
		if m+1 == r.plan.Month {
			class = "strong"
		}
		d.text(x, area.bottom()+16, middle, class, r.Say(monthID(m+1)+".short"))
	}
	return d.svg(id, f.Caption, f.Describe)
}

// rechargeTable is the recharge by month.
func (r *report) rechargeTable() *Table {
	re := r.recharge
	if re == nil {
		return nil
	}
	array := len(r.plan.Site.Arrays) > 0
	t := &Table{ID: "recharge", Caption: r.Say("recharge.caption"), Columns: []Column{head(r.Say("col.month")), right(r.Say("col.bank-gives"), "Wh")}}
	if array {
		t.Columns = append(t.Columns, right(r.Say("col.array-gives"), "Wh"), head(r.Say("col.covers")), right(r.Say("col.refill"), "d"))
	}
	if re.Generator {
		t.Columns = append(t.Columns, right(r.Say("col.engine"), "h"), right(r.Say("col.fuel"), "l"))
	}
	for m, month := range re.Months {
		row := Row{Cells: []Cell{cell(r.Say(monthID(m + 1))), r.num(month.LoadWh, 0)}}
		if array {
			covers := r.Say("no")
			if month.Carries {
				covers = r.Say("yes")
			}
			row.Cells = append(row.Cells, r.num(month.ArrayWh, 0), cell(covers), r.wait(month.RefillDays.P50))
		}
		if re.Generator {
			h, l := r.num(month.GeneratorH, 1), r.num(month.GeneratorL, 1)
			if !month.GeneratorOK {
				h, l = cell(r.Say("recharge.weak")), cell("–")
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
	}
	return t
}

// wait is the cell of days until the bank is full.
func (r *report) wait(days float64) Cell {
	if math.IsInf(days, 1) {
		return cell("–")
	}
	return r.num(days, 1)
}

// sunDaysTable tells the spread behind the mean days of the recharge; nil where no sun is known.
func (r *report) sunDaysTable() *Table {
	re := r.recharge
	if re == nil || re.Draws == 0 {
		return nil
	}
	t := &Table{ID: "sun-days", Caption: r.Say("days.caption"), Columns: []Column{head(r.Say("col.month"))}}
	for _, id := range []string{"col.array-share", "col.refill-share"} {
		for _, percent := range []string{"10", "50", "90"} {
			unit := "Wh"
			if id == "col.refill-share" {
				unit = "d"
			}
			t.Columns = append(t.Columns, right(r.Say(id, percent), unit))
		}
	}
	for m, month := range re.Months {
		wh, d := month.ArrayDays, month.RefillDays
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say(monthID(m + 1))), r.num(wh.P10, 0), r.num(wh.P50, 0), r.num(wh.P90, 0), r.wait(d.P10), r.wait(d.P50), r.wait(d.P90)}})
	}
	from := r.Say("days.file")
	if re.Draws > 1 {
		from = r.Say("days.drawn", re.Draws)
	}
	t.Note = from + " " + r.Say("days.dash", facts.RefillMostDays)
	return t
}

// generatorTable is what the generator has left in its place, and what is asked of it.
func (r *report) generatorTable() *Table {
	g, gen := r.plan.Generator, r.plan.Site.Generator
	if g == nil || gen == nil {
		return nil
	}
	s := r.plan.Site
	t := r.values("generator", r.Say("generator.caption", r.equipmentName(gen.ID, gen.Label)),
		[4]any{r.Say("inverter.rated"), r.num(gen.RatedVA, 0), "VA", r.Amount(gen.RatedVA*gen.PowerFactor, "W")},
		[4]any{r.Say("inverter.derated"), r.num(g.DeratedVA, 0), "VA", r.Say("inverter.derated-remark", r.Amount(g.DeratedW, "W"), r.Temperature(s.HottestC), r.Amount(s.AltitudeM, "m"))},
		[4]any{r.Say("generator.running"), r.num(g.RunningVA, 0), "VA", r.Say("generator.running-remark", r.Amount(g.RunningW, "W"), r.Amount(g.LoadsW, "W"))})
	add := func(id string, c Cell, unit, remark string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say(id)), c, cell(unit), cell(remark)}})
	}
	if g.StartVA > 0 {
		add("generator.start", r.num(g.StartVA, 0), "VA", r.Say("generator.start-remark", r.Fixed(100*g.Dip, 1)))
	}
	if g.FuelLPerH > 0 {
		remark := r.Say("generator.by-sheet")
		if g.FuelByChart {
			remark = r.Say("generator.by-chart")
		}
		add("generator.fuel", r.num(g.FuelLPerH, 1), "l/h", r.Amount(g.MeanW, "W")+", "+remark)
	}
	if g.TankH > 0 {
		add("generator.tank", r.num(g.TankH, 1), "h", r.Amount(gen.FuelL, "l"))
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
