package drawing

import (
	"html/template"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
)

// MonthFigure sets what the arrays give against what the backup board takes, a mean day of each month; nil without an
// array whose sun is known.
func MonthFigure(r *findings.Report) *doc.Figure {
	re := r.Recharge
	if re == nil || len(r.Plan.Site.Arrays) == 0 || !r.SunKnown() {
		return nil
	}
	f := &doc.Figure{ID: "fig-months", Caption: r.Say("months.title")}
	var told []string
	for m, month := range re.Months {
		told = append(told, r.Say("months.one", r.MonthName(m+1), r.Amount(month.ArrayWh, "Wh"),
			r.Amount(month.LoadWh, "Wh")))
	}
	f.Describe = r.Say("months.describe") + " " + findings.List(told) + "."
	f.Wide = monthChart(r, wide, "fig-months-w", f)
	f.Narrow = monthChart(r, narrow, "fig-months-n", f)
	return f
}

func monthChart(r *findings.Report, w float64, id string, f *doc.Figure) template.HTML {
	months := r.Recharge.Months
	most := 1.0
	for _, m := range months {
		most = max(most, m.ArrayWh, m.LoadWh)
	}
	d := &drawing{w: w}
	// The two kinds of bars are told apart by being empty and full.
	key := func(class string) func(*drawing, float64, float64) {
		return func(d *drawing, x, y float64) { d.rect(x+4, y-5, 10, 10, class) }
	}
	top := d.key(44, 10, w-4, []keyItem{{key("outline"), r.Say("months.load")},
		{key("fill"), r.Say("months.array")}}) + 28
	d.h = top + 196
	by, unit := kilo(most, "Wh")
	step := nice(most*1.05, 5)
	area := plotArea{d, scale{lo: 0, hi: 12, from: 44, to: w - 8},
		scale{lo: 0, hi: roundUp(most*1.05, step), from: d.h - 28, to: top}}
	area.yAxis(r.Voice, step, by, unit)
	slot := area.x.at(1) - area.x.at(0)
	bar := slot * 0.36
	for m, month := range months {
		x := area.x.at(float64(m)) + slot/2
		yl, ya := area.y.at(month.LoadWh), area.y.at(month.ArrayWh)
		d.rect(x-bar-1, yl, bar, area.bottom()-yl, "outline")
		d.rect(x+1, ya, bar, area.bottom()-ya, "fill")
		class := ""
		if m+1 == r.Plan.Month {
			class = "strong"
		}
		d.text(x, area.bottom()+16, middle, class, r.ShortMonth(m+1))
	}
	return d.svg(id, f.Caption, f.Describe)
}
