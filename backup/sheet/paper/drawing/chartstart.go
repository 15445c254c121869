package drawing

import (
	"cmp"
	"html/template"
	"math"
	"slices"
	"strconv"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// startMark is one start in the drawing: all that is drawn while it lasts.
type startMark struct {
	label       string
	seconds, va float64
	over        bool
}

// startMarks are the starts in VA on the phase that is tightest, as a phase has its share of the rating; one that is
// compared in total has an equal part on each. So all of them stand under one curve.
func startMarks(r *findings.Report) []startMark {
	var out []startMark
	for _, st := range r.Plan.Starts.All {
		va := st.DemandVA
		if st.Phase == 0 {
			va /= phaseShare(r)
		}
		out = append(out, startMark{speech.Name(r.Called(st.Load)), st.Seconds, va, st.DemandVA > st.LimitVA*(1+1e-9)})
	}
	slices.SortStableFunc(out, func(a, b startMark) int { return cmp.Compare(b.va, a.va) })
	return out
}

// phaseShare is what the ratings are divided by to give those of a phase.
func phaseShare(r *findings.Report) float64 { return float64(max(1, r.Plan.Site.Phases)) }

// StartFigure sets each start against the overload curve, and tells those that have no label in it.
func StartFigure(r *findings.Report) (f *doc.Figure, others []string) {
	p := r.Plan
	title, describe := "starts.title", "starts.describe"
	if p.Site.Phases > 1 {
		title, describe = "starts.title.phase", "starts.describe.phase"
	}
	f = &doc.Figure{ID: "fig-starts", Caption: r.Say(title)}
	var told []string
	for _, st := range p.Starts.All {
		share := 1.0
		if st.Phase == 0 {
			share = phaseShare(r)
		}
		told = append(told, r.Say("starts.one", speech.Name(r.Called(st.Load)), r.Amount(st.DemandVA/share, "VA"),
			r.Short(st.Seconds), r.Amount(st.LimitVA/share, "VA")))
	}
	f.Describe = r.Say(describe, r.Amount(p.Inverter.LimitVA()/phaseShare(r), "VA")) + " " + findings.List(told) + "."
	marks := startMarks(r)
	labelled := labelFirst(marks)
	f.Wide = startChart(r, wide, "fig-starts-w", f, marks, labelled)
	f.Narrow = startChart(r, narrow, "fig-starts-n", f, marks, labelled)
	for i, m := range marks {
		if !labelled[i] {
			others = append(others, m.label+" "+r.Amount(m.va, "VA"))
		}
	}
	return f, others
}

// mostLabels is how many starts have their name in the drawing; the rest stand in a list below it.
const mostLabels = 5

// labelFirst are the starts that get a label: first those that the inverter does not bear, then the largest.
func labelFirst(marks []startMark) []bool {
	labelled, left := make([]bool, len(marks)), mostLabels
	for _, over := range []bool{true, false} {
		for i, m := range marks {
			if m.over == over && left > 0 {
				labelled[i], left = true, left-1
			}
		}
	}
	return labelled
}

// startChart draws the curve and every start. On narrow paper the names stand in a key above, and their numbers at the
// marks. Where a label finds no room, it is taken off the labelled ones.
func startChart(r *findings.Report, w float64, id string, f *doc.Figure, marks []startMark,
	labelled []bool) template.HTML {
	d := &drawing{w: w, h: 300}
	top := 30.0
	small := w < 500
	if small {
		top = startKey(r, d, marks, labelled) + 26
		d.h = top + 300
	}
	area := startArea(r, d, marks, top)
	taken := startCurve(r, area)
	for _, m := range marks {
		x, y := area.x.at(m.seconds), area.y.at(m.va)
		taken = append(taken, box{x - 5, y - 5, x + 5, y + 5})
		if m.over {
			d.path(cross(x, y, 5), "line")
		} else {
			d.circle(x, y, 3.6, "dot")
		}
	}
	n := 0
	for i, m := range marks {
		if !labelled[i] {
			continue
		}
		n++
		text := doc.Shorten(m.label, 170, sizeText) + " " + r.Amount(m.va, "VA")
		if small {
			text = strconv.Itoa(n)
		}
		b, ok := area.label(m, text, taken)
		labelled[i] = ok
		if ok {
			taken = append(taken, b)
		}
	}
	if len(marks) == 0 {
		for i, line := range wrap(r.Say("starts.none"), area.x.to-area.x.from-16, sizeText, 3) {
			d.text(area.x.from+8, area.bottom()-44+14*float64(i), left, "", line)
		}
	}
	return d.svg(id, f.Caption, f.Describe)
}

// startKey numbers the labelled starts, and gives the height of the last.
func startKey(r *findings.Report, d *drawing, marks []startMark, labelled []bool) float64 {
	var items []keyItem
	for i, m := range marks {
		if labelled[i] {
			n := strconv.Itoa(len(items) + 1)
			number := func(d *drawing, x, y float64) { d.text(x+keySample, y+4, end, "small", n) }
			items = append(items, keyItem{number, doc.Shorten(m.label, 150, sizeSmall) + " " + r.Amount(m.va, "VA")})
		}
	}
	return d.key(26, 10, d.w-4, items)
}

// bearsVA is what the inverter bears for a time, of one phase.
func bearsVA(r *findings.Report, seconds float64) float64 {
	return r.Plan.Inverter.StartLimitVA(seconds) / phaseShare(r)
}

// startArea is the frame with its axes, wide enough for the curve and all starts.
func startArea(r *findings.Report, d *drawing, marks []startMark, top float64) plotArea {
	lo, hi, most := 0.1, 100.0, bearsVA(r, 0)
	for _, o := range r.Plan.Inverter.Unit.Overload {
		lo, hi = min(lo, o.Seconds/2), max(hi, o.Seconds*4)
	}
	for _, m := range marks {
		lo, hi, most = min(lo, m.seconds/2), max(hi, m.seconds*4), max(most, m.va)
	}
	most *= 1.05
	by, unit := kilo(most, "VA")
	step := nice(most, 5)
	area := plotArea{d, scale{lo: lo, hi: hi, from: 44, to: d.w - 10, log: true},
		scale{lo: 0, hi: roundUp(most, step), from: d.h - 36, to: top}}
	area.yAxis(r.Voice, step, by, unit)
	for s := math.Pow(10, math.Ceil(math.Log10(lo)-1e-9)); s <= hi*(1+1e-9); s *= 10 {
		x := area.x.at(s)
		d.line(x, area.bottom(), x, area.bottom()+4, "axis")
		d.text(x, area.bottom()+16, middle, "", r.Short(math.Round(s*1e6)/1e6))
	}
	d.text(area.x.to, area.bottom()+30, end, "small", r.Say("axis.seconds"))
	return area
}

// startCurve draws what the inverter bears, and gives the boxes of the curve and its words. It steps down where a
// rating ends; right of the last it is the continuous one.
func startCurve(r *findings.Report, area plotArea) (taken []box) {
	overload, always := r.Plan.Inverter.Unit.Overload, bearsVA(r, math.Inf(1))
	var curve trace
	from, before := area.x.lo, bearsVA(r, area.x.lo)
	for _, o := range append(slices.Clone(overload), catalog.OverloadPoint{Seconds: area.x.hi}) {
		va := bearsVA(r, o.Seconds)
		if o.Seconds >= area.x.hi {
			va = always
		}
		x1, x2, y1, y2 := area.x.at(from), area.x.at(o.Seconds), area.y.at(before), area.y.at(va)
		curve.to(x1, y2)
		curve.to(x2, y2)
		taken = append(taken, box{x1 - 3, min(y1, y2) - 3, x1 + 3, max(y1, y2) + 3}, box{x1, y2 - 3, x2, y2 + 3})
		from, before = o.Seconds, va
	}
	area.path(curve.open(), "limit")
	word := func(x, y float64, anchor, text string) {
		area.text(x, y, anchor, "accent", text)
		if anchor == end {
			x -= doc.Width(text, sizeText)
		}
		taken = append(taken, box{x, y - 10, x + doc.Width(text, sizeText), y + 3})
	}
	word(area.x.from+4, area.y.at(bearsVA(r, area.x.lo))-6, left, r.Say("starts.bears"))
	text, y := r.Say("starts.continuous", r.Amount(always, "VA")), area.y.at(always)-6
	if n := len(overload); n > 0 && area.x.at(overload[n-1].Seconds) > area.x.to-doc.Width(text, sizeText)-4 {
		y += 20 // the last step down is too near: below the curve
	}
	word(area.x.to, y, end, text)
	return taken
}

// label writes the name of a start where there is room, with a line to it from its mark where it is not beside it.
func (p plotArea) label(m startMark, text string, taken []box) (box, bool) {
	x, y := p.x.at(m.seconds), p.y.at(m.va)
	b, anchor, ok := place(taken, x, y, doc.Width(text, sizeText), p)
	if !ok {
		return box{}, false
	}
	tx := b.x1
	if anchor == end {
		tx = b.x2
	}
	if ly := b.y2 - 4; math.Abs(ly-4-y) > 3 {
		p.line(x, y, nearest(x, b.x1, b.x2), ly-4, "leader")
	}
	p.text(tx, b.y2-4, anchor, "halo", text)
	return b, true
}

func nearest(x, lo, hi float64) float64 { return min(max(x, lo), hi) }

// cross is the mark of a start that the inverter does not bear: another shape, not only another colour.
func cross(x, y, size float64) string {
	var a, b trace
	a.to(x-size, y-size)
	a.to(x+size, y+size)
	b.to(x-size, y+size)
	b.to(x+size, y-size)
	return a.open() + b.open()
}

// A box is where a label stands.
type box struct{ x1, y1, x2, y2 float64 }

func (a box) meets(b box) bool { return a.x1 < b.x2 && b.x1 < a.x2 && a.y1 < b.y2 && b.y1 < a.y2 }

// place finds room for a label of a width beside a mark: to the right, to the left, then further up and down. ok is
// false where there is none.
func place(taken []box, x, y, w float64, area plotArea) (b box, anchor string, ok bool) {
	const h, gap = 14.0, 9.0
	for shift := 0.0; shift < 200; shift += 7 {
		for _, sign := range []float64{-1, 1} {
			cy := y + sign*shift
			if cy-h/2 < area.top()-14 || cy+h/2 > area.bottom() {
				continue
			}
			for _, side := range []string{left, end} {
				b = box{x + gap, cy - h/2, x + gap + w, cy + h/2}
				if side == end {
					b = box{x - gap - w, cy - h/2, x - gap, cy + h/2}
				}
				if b.x1 < area.x.from || b.x2 > area.x.to || slices.ContainsFunc(taken, b.meets) {
					continue
				}
				return b, side, true
			}
			if shift == 0 {
				break
			}
		}
	}
	return box{}, "", false
}
