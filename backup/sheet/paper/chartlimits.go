package paper

import (
	"cmp"
	"html/template"
	"outlast/backup/verdict"
	"slices"
	"strings"
)

// limitBar is how much of one limit is used.
type limitBar struct {
	label, figures string
	part           string  // of the label, which stays where the rest is cut off: ", phase 2"
	tightest       string  // of how many it is the tightest; empty: of itself
	used           float64 // share of the limit
	status         verdict.Status
}

// limitBars are the checks that compare with a limit. Temperatures have no shares, and slips are what nobody shall do; of strings and
// cables, of which there are many, the tightest stands for all.
func (r *report) limitBars() []limitBar {
	var out []limitBar
	byGroup := grouped(r.plan.Checks)
	for _, g := range verdict.Groups() {
		var bars []limitBar
		for _, c := range byGroup[g] {
			bars = append(bars, r.barsOf(c)...)
		}
		if (g == verdict.OfCables || g == verdict.OfArray) && len(bars) > 1 {
			tightest := slices.MaxFunc(bars, func(a, b limitBar) int { return cmp.Compare(a.used, b.used) })
			tightest.tightest = ", " + r.Say("limits.tightest", len(bars))
			bars = []limitBar{tightest}
		}
		out = append(out, bars...)
	}
	return out
}

// barsOf are the bars of a check. What is compared with the rating of each phase has one for each, as the worst alone would not show the others.
func (r *report) barsOf(c verdict.Check) []limitBar {
	whole, ok := r.limitBar(c)
	if !ok {
		return nil
	}
	s := r.plan.Demand.Scheduled
	phases := map[string][]float64{"inverter-continuous": s.PhaseVA, "inverter-continuous-w": s.PhaseW}[c.ID]
	limit := map[string]float64{"inverter-continuous": r.plan.Inverter.LimitVA(), "inverter-continuous-w": r.plan.Inverter.LimitW()}[c.ID] / float64(max(1, len(phases)))
	if len(phases) < 2 || limit <= 0 {
		return []limitBar{whole}
	}
	var out []limitBar
	for i, demand := range phases {
		of := c
		of.Demand, of.Limit = demand, limit
		if demand <= limit*(1+1e-9) && of.Status == verdict.Fail {
			of.Status = verdict.Pass
		}
		if bar, ok := r.limitBar(of); ok {
			bar.part = r.Say("limits.phase", i+1)
			out = append(out, bar)
		}
	}
	return out
}

// ofLimit says how much of a limit is used; some have no unit.
func (r *report) ofLimit(id, used, limit, unit string) string {
	return strings.TrimRight(r.Say(id, used, limit, unit), " "+hard)
}

func (r *report) limitBar(c verdict.Check) (bar limitBar, ok bool) {
	if !c.HasLimit || c.Unit == "C" || c.Limit <= 0 || verdict.Family(c.ID) == "slip-" || (c.AtLeast && c.Demand <= 0) {
		return limitBar{}, false
	}
	used, figures := c.Demand/c.Limit, "limits.of"
	if c.AtLeast {
		used, figures = c.Limit/c.Demand, "limits.least"
	}
	unit := r.UnitName(c.Unit)
	if c.Unit == "circuits" || c.Unit == "strings" {
		unit = "" // the name of the check says it, and a noun would have to agree: "3 von 6 Strängen"
	}
	text := r.ofLimit(figures, r.figure(c.Demand, c.Unit), r.figure(c.Limit, c.Unit), unit)
	return limitBar{label: r.checkName(c.ID), figures: text, used: used, status: c.Status}, true
}

// limitFigure draws demands as bars against their limits.
func (r *report) limitFigure() *Figure {
	f := &Figure{ID: "fig-limits", Caption: r.Say("limits.title")}
	var told []string
	for _, b := range r.limitBars() {
		told = append(told, b.label+b.part+" "+r.Fixed(100*b.used, 0)+hard+"%")
	}
	f.Describe = r.Say("limits.describe") + " " + list(told) + "."
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
	left0, rowH, right0 := 240.0, 20.0, w-226
	if small {
		left0, rowH, right0 = 2, 38, w
		for _, b := range bars { // behind the longest bar there is room for the longest words
			right0 = min(right0, w-10-width(r.usedText(b), sizeSmall))
		}
	}
	const top = 24.0
	d := &drawing{w: w, h: top + float64(len(bars))*rowH + 10}
	x := scale{lo: 0, hi: mostUsed, from: left0, to: right0}
	limit := x.at(1)
	d.text(limit, top-9, middle, "accent", r.Say("limits.limit"))
	for i, b := range bars {
		y := top + float64(i)*rowH
		if small {
			r.limitBelow(d, b, x, y)
		} else {
			r.limitBeside(d, b, x, y+rowH/2)
		}
	}
	if !small {
		d.line(limit, top-4, limit, d.h-6, "limit")
	}
	return d.svg(id, f.Caption, f.Describe)
}

// limitBelow is a bar on narrow paper, its words above it as wide as the drawing: so the line of the limit is drawn at each bar.
func (r *report) limitBelow(d *drawing, b limitBar, x scale, y float64) {
	mid, limit := y+23, x.at(1)
	d.limitBar(b, x, mid)
	d.line(limit, mid-7, limit, mid+9, "limit")
	figures := shorten(b.figures, 140, sizeSmall)
	d.text(x.from, y+12, left, "", b.name(d.w-x.from-16-width(figures, sizeSmall), b.part+b.tightest))
	d.text(d.w-4, y+12, end, "small", figures)
	used := r.usedText(b)
	d.text(b.usedAt(x, used), mid+4, left, "halo small", used)
}

// limitBeside is a bar on wide paper, its words beside it.
func (r *report) limitBeside(d *drawing, b limitBar, x scale, mid float64) {
	d.limitBar(b, x, mid)
	figures, last := shorten(b.figures, 142, sizeSmall), b.part
	used := r.usedText(b) + b.tightest
	if b.usedAt(x, used)+width(used, sizeSmall) > d.w-8-width(figures, sizeSmall) {
		used, last = r.usedText(b), b.part+b.tightest
	}
	d.text(x.from-10, mid+4, end, "", b.name(x.from-14, last))
	d.text(d.w-2, mid+4, end, "small", figures)
	d.text(b.usedAt(x, used), mid+4, left, "halo small", used)
}

// limitBar draws the bar itself, broken where it goes on beyond the scale.
func (d *drawing) limitBar(b limitBar, x scale, mid float64) {
	class := map[verdict.Status]string{verdict.Pass: "fill", verdict.Caution: "hatch", verdict.Fail: "dark"}[b.status]
	d.rect(x.from, mid-5, x.at(b.used)-x.from, 10, class)
	if b.used > mostUsed {
		d.broken(x.at(1)+8, mid, 10)
	}
}

// usedText tells how much of the limit is used, and what is wrong with that.
func (r *report) usedText(b limitBar) string {
	text := r.Fixed(100*b.used, 0) + hard + "%"
	if b.used > mostTold {
		text = ">" + r.Fixed(100*mostTold, 0) + hard + "%"
	}
	if b.status != verdict.Pass {
		text += ", " + r.Say("status."+string(b.status))
	}
	return text
}

// usedAt is where words behind a bar begin: not across the line of the limit.
func (b limitBar) usedAt(x scale, text string) float64 {
	at, limit := x.at(b.used)+4, x.at(1)
	if at < limit+4 && at+width(text, sizeSmall) > limit-2 {
		return limit + 4
	}
	return at
}

// name is the label of a bar in a width; its end stays where the rest is cut off.
func (b limitBar) name(most float64, last string) string {
	return shorten(b.label, most-width(last, sizeText), sizeText) + last
}

// drawings are the figures of the calculation sheet.
func (r *report) drawings() (Section, error) {
	s := Section{ID: "drawings", Title: r.Say("drawings.title"), Blocks: []Block{
		{Figure: r.limitFigure()}, {Figure: r.dayFigure()},
	}}
	starts, others := r.startFigure()
	s.Blocks = append(s.Blocks, Block{Figure: starts})
	if len(others) > 0 {
		s.Blocks = append(s.Blocks, para(r.Say("starts.others", list(others))))
	}
	s.Blocks = append(s.Blocks, Block{Figure: r.chargeFigure()})
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
