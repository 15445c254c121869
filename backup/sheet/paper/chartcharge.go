package paper

import (
	"html/template"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/outage"
	"outlast/loads"
)

// chargeFigure is the state of charge through the outage, and what goes dark when.
func (r *report) chargeFigure() *Figure {
	p := r.plan
	title := "charge.title"
	if slices.ContainsFunc(r.relays(), func(l loads.Load) bool { _, ok := r.outage.dropped(l.Name); return ok }) {
		title = "charge.title.saving" // it lasts longer than the hours promised, which count on nobody switching off
	}
	f := &Figure{ID: "fig-charge", Caption: r.say(title, calendar.Clock(r.outage.startMin))}
	f.Describe = r.say("charge.describe", r.fixed(100*p.Site.Outage.Reserve, 0), r.fixed(100*p.Bank.FloorSoC, 0), r.endOfCharge(), r.exactly(p.Site.Outage.AutonomyH))
	for _, l := range r.relays() {
		if h, ok := r.outage.dropped(l.Name); ok {
			f.Describe += " " + r.say("charge.dropped", name(r.called(l.Name)), r.hours(h))
		}
	}
	f.Wide = r.chargeChart(wide, "fig-charge-w", f)
	f.Narrow = r.chargeChart(narrow, "fig-charge-n", f)
	return f
}

// drawsText tells what other draws of the days of sun make of the dashed curve.
func (r *report) drawsText() string {
	d := r.draws
	if d.Dark == 0 {
		return r.say("charge.draws-none", d.Draws, r.hours(float64(r.followH())), r.fixed(100*d.LowestSoC.P10, 0))
	}
	return r.say("charge.draws", d.Draws, d.Dark, r.hours(float64(r.followH())), r.hours(d.UntilDarkH.P10), r.hours(d.UntilDarkH.P50), r.hours(d.UntilDarkH.P90))
}

// endOfCharge says when the bank is empty, or that it is not within what was followed.
func (r *report) endOfCharge() string {
	if r.outage.isDark {
		return r.say("charge.ends", r.hours(r.outage.darkH))
	}
	return r.say("charge.lasts", r.hours(r.outage.darkH))
}

// onRow is a bar below the curve: from the start of the outage until something is switched off.
type onRow struct {
	label string
	spans [][2]float64 // hours
}

// mostOnRows is how many loads have a bar of their own.
const mostOnRows = 6

// onRows are the backup board as a whole and every load that is switched off before the bank is empty.
func (r *report) onRows() []onRow {
	f := r.outage
	hours := float64(len(f.soc)-1) / 60
	n := 0
	for _, c := range r.plan.Circuits {
		if c.OnBackup {
			n++
		}
	}
	spans := func(off, on outage.EventKind, match func(outage.Event) bool) [][2]float64 {
		var out [][2]float64
		from, up := 0.0, true
		for _, e := range f.events {
			h := float64(e.Min) / 60
			switch {
			case e.Kind == off && match(e) && up:
				out, up = append(out, [2]float64{from, h}), false
			case e.Kind == on && match(e) && !up:
				from, up = h, true
			}
		}
		if up {
			out = append(out, [2]float64{from, hours})
		}
		return out
	}
	rows := []onRow{{r.count(n, "charge.board"), spans(outage.EventDark, outage.EventReturn, func(outage.Event) bool { return true })}}
	for i, l := range r.relays() {
		if i == mostOnRows {
			break
		}
		rows = append(rows, onRow{name(r.called(l.Name)), spans(outage.EventDropped, outage.EventRestored, func(e outage.Event) bool { return e.Load == l.Name })})
	}
	// What a bar of a load shows ends with the board's.
	for i := range rows[1:] {
		for j, s := range rows[i+1].spans {
			if f.isDark {
				rows[i+1].spans[j][1] = min(s[1], f.darkH)
			}
		}
	}
	return rows
}

func (r *report) chargeChart(w float64, id string, f *Figure) template.HTML {
	p := r.plan
	small := w < 500
	rows := r.onRows()
	left0, rowH := 196.0, 21.0
	if small {
		left0, rowH = 40, 34
	}
	right0 := w - 16
	const top, panel, under = 28.0, 190.0, 56.0
	d := &drawing{w: w, h: top + panel + under + float64(len(rows))*rowH + 4}
	hours := float64(len(r.outage.soc)-1) / 60
	area := plotArea{d, scale{lo: 0, hi: max(hours, 1.0/60), from: left0, to: right0}, scale{lo: 0, hi: 100, from: top + panel, to: top}}
	area.yAxis(r.voice, 20, 1, "%")
	parts := 10
	if small {
		parts = 5
	}
	step := clockStep(hours, parts)
	for h := 0.0; h <= hours*(1+1e-9); h += step {
		x := area.x.at(h)
		d.line(x, area.bottom(), x, area.bottom()+4, "axis")
		d.text(x, area.bottom()+16, middle, "", r.short(h))
		d.text(x, area.bottom()+30, middle, "small", calendar.Clock((r.outage.startMin+int(h*60))%dayMin))
	}
	if !small {
		d.text(left0-24, area.bottom()+16, end, "small", r.say("axis.hours"))
		d.text(left0-24, area.bottom()+30, end, "small", r.say("axis.clock"))
	}
	floor := 100 * p.Bank.FloorSoC
	d.line(area.x.from, area.y.at(floor), area.x.to, area.y.at(floor), "limit dashed")
	// At its left the curve is high: above the floor there is room.
	d.text(area.x.from+4, area.y.at(floor)-5, left, "accent", r.say("charge.floor", r.fixed(floor, 0)))
	d.path(socTrace(area, r.outage.soc), "line")
	if r.helped != nil {
		d.path(socTrace(area, r.helped.SoC), "line dashed")
		r.helpedLabel(area)
	}
	if asked := p.Site.Outage.AutonomyH; asked < hours {
		x := area.x.at(asked)
		d.line(x, area.top(), x, area.bottom(), "dotted")
		anchor, dx := left, 4.0
		if x > (left0+right0)/2 {
			anchor, dx = end, -4
		}
		d.text(x+dx, area.top()+11, anchor, "halo small", r.say("charge.asked", r.amount(asked, "h")))
	}
	if r.outage.isDark {
		x := area.x.at(r.outage.darkH)
		d.circle(x, area.y.at(floor), 3.6, "dot")
		// Right of its end and above the floor the curve leaves room; where that is too narrow, there is room below the floor.
		label, y, anchor := r.say("charge.empty", r.amount(r.outage.darkH, "h")), area.y.at(floor)-9, left
		switch {
		case x+4+width(label, sizeText) > right0:
			y, anchor = area.y.at(floor)+14, end
		case x < area.x.from+8+width(r.say("charge.floor", r.fixed(floor, 0)), sizeText):
			y -= 14 // above the words at the floor
		}
		d.text(x, y, anchor, "halo strong", label)
	}
	base := top + panel + under - 12
	for i, row := range rows {
		y0 := base + float64(i)*rowH
		mid := y0 + rowH/2
		if small {
			d.text(left0, y0+12, left, "", shorten(row.label, right0-left0, sizeText))
			mid = y0 + 21
		} else {
			d.text(left0-10, mid+4, end, "", shorten(row.label, left0-12, sizeText))
		}
		d.line(area.x.from, mid, area.x.to, mid, "grid")
		for _, s := range row.spans {
			if s[1] > s[0] {
				d.rect(area.x.at(s[0]), mid-4, area.x.at(s[1])-area.x.at(s[0]), 8, "fill")
			}
		}
		if n := len(row.spans); n > 0 && row.spans[n-1][1] < hours {
			off := row.spans[n-1][1]
			x, anchor := area.x.at(off)+5, left
			if x > right0-60 {
				x, anchor = area.x.at(off)-5, end
			}
			d.text(x, mid+4, anchor, "halo small", r.say("charge.off", calendar.Clock((r.outage.startMin+int(off*60))%dayMin)))
		}
	}
	return d.svg(id, f.Caption, f.Describe)
}

// socTrace is the curve, thinned to what can be seen: one point for each pixel or so, and always the last.
func socTrace(area plotArea, soc []float64) string {
	var t trace
	every := max(1, len(soc)/int(area.x.to-area.x.from))
	for i := 0; i < len(soc); i += every {
		t.to(area.x.at(float64(i)/60), area.y.at(100*soc[i]))
	}
	last := len(soc) - 1
	t.to(area.x.at(float64(last)/60), area.y.at(100*soc[last]))
	return t.open()
}

// helpedLabel names the dashed curve, above its highest point in the later half, where it is furthest from the other.
func (r *report) helpedLabel(area plotArea) {
	id := "charge.with-array"
	switch {
	case len(r.plan.Site.Arrays) == 0:
		id = "charge.with-generator"
	case r.plan.Site.Generator != nil:
		id = "charge.with-both"
	}
	soc := r.helped.SoC
	best := len(soc) / 2
	for i := best; i < len(soc); i++ {
		if soc[i] > soc[best] {
			best = i
		}
	}
	label := r.say(id)
	x := area.x.at(float64(best) / 60)
	half := width(label, sizeSmall) / 2
	x = min(max(x, area.x.from+half), area.x.to-half)
	area.text(x, max(area.y.at(100*soc[best])-7, area.top()+24), middle, "halo small", label)
}

// clockStep is the step of an axis of hours: a part of a day.
func clockStep(hours float64, parts int) float64 {
	for _, s := range []float64{0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96} {
		if hours/s <= float64(parts) {
			return s
		}
	}
	return 168
}
