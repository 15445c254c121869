package drawing

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// limitBar is how much of one limit is used.
type limitBar struct {
	label, figures string
	part           string  // of the label, which stays where the rest is cut off: ", phase 2"
	tightest       string  // of how many it is the tightest; empty: of itself
	used           float64 // share of the limit
	status         verdict.Status
}

// limitBars are the checks that compare with a limit. Temperatures have no shares, and slips are what nobody shall do;
// of strings and cables, of which there are many, the tightest stands for all.
func limitBars(r *findings.Report) []limitBar {
	var out []limitBar
	byGroup := findings.Grouped(r.Plan.Checks)
	for _, g := range verdict.Groups() {
		var bars []limitBar
		for _, c := range byGroup[g] {
			bars = append(bars, barsOf(r, c)...)
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

// barsOf are the bars of a check. What is compared with the rating of each phase has one for each, as the worst alone
// would not show the others.
func barsOf(r *findings.Report, c verdict.Check) []limitBar {
	whole, ok := barOf(r, c)
	if !ok {
		return nil
	}
	s := r.Plan.Demand.Scheduled
	phases := map[string][]float64{"inverter-continuous": s.PhaseVA, "inverter-continuous-w": s.PhaseW}[c.ID]
	limit := map[string]float64{"inverter-continuous": r.Plan.Inverter.LimitVA(),
		"inverter-continuous-w": r.Plan.Inverter.LimitW()}[c.ID] / float64(max(1, len(phases)))
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
		if bar, ok := barOf(r, of); ok {
			bar.part = r.Say("limits.phase", i+1)
			out = append(out, bar)
		}
	}
	return out
}

// ofLimit says how much of a limit is used; some have no unit.
func ofLimit(r *findings.Report, id, used, limit, unit string) string {
	return strings.TrimRight(r.Say(id, used, limit, unit), " "+speech.Hard)
}

func barOf(r *findings.Report, c verdict.Check) (bar limitBar, ok bool) {
	if !c.HasLimit || c.Unit == "C" || c.Limit <= 0 || verdict.Family(c.ID) == "slip-" || (c.AtLeast && c.Demand <= 0) {
		return limitBar{}, false
	}
	used, figures := c.Demand/c.Limit, "limits.of"
	if c.AtLeast {
		used, figures = c.Limit/c.Demand, "limits.least"
	}
	demand, limit, in := c.Told()
	unit := r.UnitName(in)
	if in == "circuits" || in == "strings" {
		unit = "" // the name of the check says it, and a noun would have to agree: "3 von 6 Strängen"
	}
	of, than := r.Figures(demand, limit, in)
	text := ofLimit(r, figures, of, than, unit)
	return limitBar{label: r.CheckName(c.ID), figures: text, used: used, status: c.Status}, true
}

// LimitFigure draws demands as bars against their limits.
func LimitFigure(r *findings.Report) *doc.Figure {
	f := &doc.Figure{ID: "fig-limits", Caption: r.Say("limits.title"), Across: true}
	var told []string
	for _, b := range limitBars(r) {
		told = append(told, b.label+b.part+" "+r.Fixed(100*b.used, 0)+speech.Hard+"%")
	}
	f.Describe = r.Say("limits.describe") + " " + findings.List(told) + "."
	f.Wide = limitChart(r, wide, "fig-limits-w", f)
	f.Narrow = limitChart(r, narrow, "fig-limits-n", f)
	return f
}

// mostUsed is where a bar ends that goes far beyond its limit.
const mostUsed = 1.35

// mostTold is the largest share that is told in figures: beyond it they say no more than that it is far too much.
const mostTold = 10

func limitChart(r *findings.Report, w float64, id string, f *doc.Figure) template.HTML {
	bars := limitBars(r)
	small := w < 500
	left0, rowH, right0 := 240.0, 20.0, w-226
	if small {
		left0, rowH, right0 = 2, 38, w
		for _, b := range bars { // behind the longest bar there is room for the longest words
			right0 = min(right0, w-10-doc.Width(usedText(r, b), sizeSmall))
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
			limitBelow(r, d, b, x, y)
		} else {
			limitBeside(r, d, b, x, y+rowH/2)
		}
	}
	if !small {
		d.line(limit, top-4, limit, d.h-6, "limit")
	}
	return d.svg(id, f.Caption, f.Describe)
}

// limitBelow is a bar on narrow paper, its words above it as wide as the drawing: so the line of the limit is drawn at
// each bar.
func limitBelow(r *findings.Report, d *drawing, b limitBar, x scale, y float64) {
	mid, limit := y+23, x.at(1)
	d.limitBar(b, x, mid)
	d.line(limit, mid-7, limit, mid+9, "limit")
	figures := doc.Shorten(b.figures, 140, sizeSmall)
	d.text(x.from, y+12, left, "", b.name(d.w-x.from-16-doc.Width(figures, sizeSmall), b.part+b.tightest))
	d.text(d.w-4, y+12, end, "small", figures)
	used := usedText(r, b)
	d.text(b.usedAt(x, used), mid+4, left, "halo small", used)
}

// limitBeside is a bar on wide paper, its words beside it.
func limitBeside(r *findings.Report, d *drawing, b limitBar, x scale, mid float64) {
	d.limitBar(b, x, mid)
	figures, last := doc.Shorten(b.figures, 142, sizeSmall), b.part
	used := usedText(r, b) + b.tightest
	if b.usedAt(x, used)+doc.Width(used, sizeSmall) > d.w-8-doc.Width(figures, sizeSmall) {
		used, last = usedText(r, b), b.part+b.tightest
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
func usedText(r *findings.Report, b limitBar) string {
	text := r.Fixed(100*b.used, 0) + speech.Hard + "%"
	if b.used > mostTold {
		text = ">" + r.Fixed(100*mostTold, 0) + speech.Hard + "%"
	}
	if b.status != verdict.Pass {
		text += ", " + r.Say("status."+string(b.status))
	}
	return text
}

// usedAt is where words behind a bar begin: not across the line of the limit.
func (b limitBar) usedAt(x scale, text string) float64 {
	at, limit := x.at(b.used)+4, x.at(1)
	if at < limit+4 && at+doc.Width(text, sizeSmall) > limit-2 {
		return limit + 4
	}
	return at
}

// name is the label of a bar in a width; its end stays where the rest is cut off.
func (b limitBar) name(most float64, last string) string {
	return doc.Shorten(b.label, most-doc.Width(last, sizeText), sizeText) + last
}
