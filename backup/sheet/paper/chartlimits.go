package paper

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"outlast/backup/sheet/paper/words"
	"outlast/backup/verdict"
)

// limitBar is how much of one limit is used.
type limitBar struct {
	label, figures string
	note           string  // beside the bar
	used           float64 // share of the limit
	status         verdict.Status
}

// limitBars are the checks that compare with a limit. Temperatures have no shares, and slips are what nobody shall do; of strings and
// cables, of which there are many, the tightest stands for all.
func (r *report) limitBars() []limitBar {
	var out []limitBar
	byGroup := grouped(r.plan.Checks)
	for _, g := range groups {
		var bars []limitBar
		for _, c := range byGroup[g.id] {
			if bar, ok := r.limitBar(c); ok {
				bars = append(bars, bar)
			}
		}
		if (g.id == "group.cable" || g.id == "group.array") && len(bars) > 1 {
			tightest := slices.MaxFunc(bars, func(a, b limitBar) int { return cmp.Compare(a.used, b.used) })
			tightest.note = r.say("limits.tightest", len(bars))
			bars = []limitBar{tightest}
		}
		out = append(out, bars...)
	}
	return out
}

// ofLimit says how much of a limit is used; some have no unit.
func (r *report) ofLimit(id, used, limit, unit string) string {
	return strings.TrimRight(r.say(id, used, limit, unit), " "+hard)
}

func (r *report) limitBar(c verdict.Check) (bar limitBar, ok bool) {
	if !c.HasLimit || c.Unit == "C" || c.Limit <= 0 || words.Family(c.ID) == "slip-" || (c.AtLeast && c.Demand <= 0) {
		return limitBar{}, false
	}
	used, figures := c.Demand/c.Limit, "limits.of"
	if c.AtLeast {
		used, figures = c.Limit/c.Demand, "limits.least"
	}
	unit := r.unitName(c.Unit)
	if c.Unit == "circuits" || c.Unit == "strings" {
		unit = "" // the name of the check says it, and a noun would have to agree: "3 von 6 Strängen"
	}
	text := r.ofLimit(figures, r.figure(c.Demand, c.Unit), r.figure(c.Limit, c.Unit), unit)
	note := ""
	if c.Status != verdict.Pass {
		note = r.say("status." + string(c.Status))
	}
	return limitBar{r.checkName(c.ID), text, note, used, c.Status}, true
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
const mostUsed = 1.35

// mostTold is the largest share that is told in figures: beyond it they say no more than that it is far too much.
const mostTold = 10

func (r *report) limitChart(w float64, id string, f *Figure) template.HTML {
	bars := r.limitBars()
	small := w < 500
	left0, rowH, right0 := 240.0, 20.0, w-206
	if small {
		left0, rowH, right0 = 2, 38, w-10
	}
	const top = 24.0
	d := &drawing{w: w, h: top + float64(len(bars))*rowH + 10}
	x := scale{lo: 0, hi: mostUsed, from: left0, to: right0}
	row := func(i int) (top0, mid float64) {
		top0 = top + float64(i)*rowH
		if small {
			return top0, top0 + 23
		}
		return top0, top0 + rowH/2
	}
	for i, b := range bars {
		_, mid := row(i)
		class := map[verdict.Status]string{verdict.Pass: "fill", verdict.Caution: "hatch", verdict.Fail: "dark"}[b.status]
		d.rect(left0, mid-5, x.at(b.used)-left0, 10, class)
	}
	d.line(x.at(1), top-4, x.at(1), d.h-6, "limit")
	d.text(x.at(1), top-9, middle, "accent", r.say("limits.limit"))
	for i, b := range bars {
		y0, mid := row(i)
		if small {
			d.text(left0, y0+12, left, "", shorten(b.label, w-150, sizeText))
			d.text(right0, y0+12, end, "halo small", shorten(b.figures, 140, sizeSmall))
		} else {
			d.text(left0-10, mid+4, end, "", shorten(b.label, left0-14, sizeText))
			d.text(w-2, mid+4, end, "small", shorten(b.figures, 142, sizeSmall))
		}
		used := r.fixed(100*b.used, 0) + hard + "%"
		if b.used > mostTold {
			used = ">" + r.fixed(100*mostTold, 0) + hard + "%"
		}
		if b.note != "" {
			used += ", " + b.note
		}
		// In the bar of a far broken limit there is room for the words, beyond it there may be none.
		if end0 := x.at(b.used); small && end0+4+width(used, sizeSmall) > w-4 {
			class := "small inverse"
			if b.status != verdict.Fail {
				class = "halo small"
			}
			d.text(end0-4, mid+4, end, class, used)
		} else {
			at := end0 + 4
			beyond, long := x.at(1)+4, width(used, sizeSmall)
			if at < beyond && at+long > x.at(1)-2 && beyond+long <= w-4 { // not across the limit, where there is room
				at = beyond
			}
			d.text(at, mid+4, left, "halo small", used)
		}
	}
	return d.svg(id, f.Caption, f.Describe)
}

// drawings are the figures of the calculation sheet.
func (r *report) drawings() (Section, error) {
	s := Section{ID: "drawings", Title: r.say("drawings.title"), Blocks: []Block{
		{Figure: r.limitFigure()}, {Figure: r.dayFigure()}, {Figure: r.startFigure()}, {Figure: r.chargeFigure()},
	}}
	if r.draws != nil {
		s.Blocks = append(s.Blocks, para(r.drawsText()))
	}
	if shares := r.shareFigure(); shares != nil {
		s.Blocks = slices.Insert(s.Blocks, 1, Block{Figure: shares})
	}
	survive, err := r.surviveFigure()
	if survive != nil {
		s.Blocks = append(s.Blocks, Block{Figure: survive}, para(r.prose(r.options.Year.Counted.Text())))
	}
	if months := r.monthFigure(); months != nil {
		s.Blocks = append(s.Blocks, Block{Figure: months})
	}
	return s, err
}
