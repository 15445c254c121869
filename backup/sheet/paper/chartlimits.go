package paper

import (
	"html/template"
	"strings"

	"outlast/backup"
)

// limitBar is how much of one limit is used.
type limitBar struct {
	label, figures string
	used           float64 // share of the limit
	status         backup.Status
}

// limitBars are the checks that compare with a limit; temperatures have no shares, and slips are what nobody shall do.
func (r *report) limitBars() []limitBar {
	var out []limitBar
	for _, c := range r.plan.Checks {
		if !c.HasLimit || c.Unit == "C" || c.Limit <= 0 || strings.HasPrefix(c.ID, "slip-") {
			continue
		}
		used := c.Demand / c.Limit
		if c.AtLeast {
			if c.Demand <= 0 {
				continue
			}
			used = c.Limit / c.Demand
		}
		figures := r.say("limits.of", r.figure(c.Demand, c.Unit), r.figure(c.Limit, c.Unit), r.unitName(c.Unit))
		if c.AtLeast {
			figures = r.say("limits.least", r.figure(c.Demand, c.Unit), r.figure(c.Limit, c.Unit), r.unitName(c.Unit))
		}
		out = append(out, limitBar{r.checkName(c.ID), strings.TrimRight(figures, " "+hard), used, c.Status})
	}
	return out
}

// limitFigure draws demands as bars against their limits.
func (r *report) limitFigure() *Figure {
	f := &Figure{ID: "fig-limits", Caption: r.say("limits.title")}
	var told []string
	for _, b := range r.limitBars() {
		told = append(told, b.label+" "+r.fixed(100*b.used, 0)+hard+"%")
	}
	f.Describe = r.say("limits.describe") + " " + list(told) + "."
	f.Wide = r.limitChart(wide, "fig-limits-w", f)
	f.Narrow = r.limitChart(narrow, "fig-limits-n", f)
	return f
}

// mostUsed is where a bar ends that goes far beyond its limit.
const mostUsed = 1.3

func (r *report) limitChart(w float64, id string, f *Figure) template.HTML {
	bars := r.limitBars()
	small := w < 500
	left0, rowH, right0 := 250.0, 20.0, w-150
	if small {
		left0, rowH, right0 = 2, 38, w-10
	}
	const top = 24.0
	d := &drawing{w: w, h: top + float64(len(bars))*rowH + 10}
	x := scale{lo: 0, hi: mostUsed, from: left0, to: right0}
	for i, b := range bars {
		y0 := top + float64(i)*rowH
		mid := y0 + rowH/2
		figures := r.fixed(100*b.used, 0) + hard + "%"
		if small {
			d.text(left0, y0+12, left, "", shorten(b.label, w-150, sizeText))
			d.text(right0, y0+12, end, "small", shorten(b.figures, 140, sizeSmall))
			mid = y0 + 23
		} else {
			d.text(left0-10, mid+4, end, "", shorten(b.label, left0-14, sizeText))
			d.text(w-2, mid+4, end, "small", shorten(b.figures, 142, sizeSmall))
		}
		class := "fill"
		if b.status == backup.Caution {
			class = "hatch"
		}
		if b.status == backup.Fail {
			class = "dark"
		}
		d.rect(left0, mid-5, x.at(b.used)-left0, 10, class)
		d.text(x.at(b.used)+4, mid+4, left, "halo small", figures)
		if b.status != backup.Pass {
			note := r.say("status." + string(b.status))
			if bw := x.at(b.used) - left0; width(note, sizeSmall)+8 < bw && b.status == backup.Fail {
				d.text(left0+4, mid+4, left, "small inverse", note)
			} else {
				d.text(x.at(b.used)+8+width(figures, sizeSmall), mid+4, left, "halo small", note)
			}
		}
	}
	d.line(x.at(1), top-4, x.at(1), d.h-6, "limit")
	d.text(x.at(1), top-9, middle, "accent", r.say("limits.limit"))
	return d.svg(id, f.Caption, f.Describe)
}

// drawings are the figures of the calculation sheet.
func (r *report) drawings() Section {
	return Section{ID: "drawings", Title: r.say("drawings.title"), Blocks: []Block{
		{Figure: r.limitFigure()}, {Figure: r.dayFigure()}, {Figure: r.startFigure()}, {Figure: r.chargeFigure()},
	}}
}
