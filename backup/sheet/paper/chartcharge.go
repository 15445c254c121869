package paper

import (
	"html/template"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/outage"
	"outlast/loads"
)

// chargeFigure is the state of charge through the outage, and what loses power when.
func (r *report) chargeFigure() *Figure {
	p := r.plan
	title := "charge.title"
	if slices.ContainsFunc(r.relays(), func(l loads.Load) bool { _, ok := r.outage.dropped(l.Name); return ok }) {
		title = "charge.title.saving" // it lasts longer than the hours promised, which count on nobody switching off
	}
	f := &Figure{ID: "fig-charge", Caption: r.Say(title, calendar.Clock(r.outage.startMin))}
	f.Describe = r.Say("charge.describe", r.Fixed(100*p.Site.Outage.Reserve, 0), r.Fixed(100*p.Bank.FloorSoC, 0), r.endOfCharge(), r.exactly(p.Site.Outage.AutonomyH))
	for _, l := range r.relays() {
		if h, ok := r.outage.dropped(l.Name); ok {
			f.Describe += " " + r.Say("charge.dropped", name(r.called(l.Name)), r.hours(h))
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
		return r.Say("charge.draws-none", d.Draws, r.hours(float64(r.followH())), r.Fixed(100*d.LowestSoC.P10, 0))
	}
	return r.Say("charge.draws", d.Draws, d.Dark, r.hours(float64(r.followH())), r.hours(d.UntilDarkH.P10), r.hours(d.UntilDarkH.P50), r.hours(d.UntilDarkH.P90))
}

// darkSoC is the state of charge at which everything loses power.
func (f followed) darkSoC() float64 {
	return f.soc[min(len(f.soc)-1, int(math.Round(f.darkH*60)))]
}

// emptied tells whether the bank is down to its lowest charge when everything loses power: else the loads ask for more than is borne.
func (r *report) emptied() bool { return r.outage.darkSoC() <= r.plan.Bank.FloorSoC+0.01 }

// endOfCharge says when the bank is empty, or that it is not within what was followed.
func (r *report) endOfCharge() string {
	switch {
	case r.outage.isDark && r.emptied():
		return r.Say("charge.ends", r.hours(r.outage.darkH))
	case r.outage.isDark:
		return r.Say("charge.stops", r.hours(r.outage.darkH))
	}
	return r.Say("charge.lasts", r.hours(r.outage.darkH))
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
	rows := []onRow{{r.Say("line.backup-board"), spans(outage.EventDark, outage.EventReturn, func(outage.Event) bool { return true })}}
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

// chargeChart draws the curve with its key above it, and below it what is on for how long.
func (r *report) chargeChart(w float64, id string, f *Figure) template.HTML {
	small := w < 500
	left0, right0, rowH := 196.0, w-16, 21.0
	if small {
		left0, rowH = 40, 34
	}
	const panel, under = 190.0, 44.0
	d := &drawing{w: w}
	top := d.key(left0, 10, right0, r.chargeKey()) + 22
	hours := float64(len(r.outage.soc)-1) / 60
	area := plotArea{d, scale{lo: 0, hi: max(hours, 1.0/60), from: left0, to: right0}, scale{lo: 0, hi: 100, from: top + panel, to: top}}
	area.yAxis(r.voice, 20, 1, "%")
	r.chargeHours(area, hours, small)
	floor := area.y.at(100 * r.plan.Bank.FloorSoC)
	d.line(area.x.from, floor, area.x.to, floor, "limit")
	d.path(socTrace(area, r.outage.soc), "line")
	if r.helped != nil {
		d.path(socTrace(area, r.helped.SoC), "line dashed")
	}
	if asked := r.plan.Site.Outage.AutonomyH; asked < hours {
		x := area.x.at(asked)
		d.line(x, area.top(), x, area.bottom(), "dotted")
	}
	if r.outage.isDark {
		d.circle(area.x.at(r.outage.darkH), area.y.at(100*r.outage.darkSoC()), 3.6, "dot")
	}
	d.h = r.chargeRows(area, top+panel+under, rowH, small) + 4
	return d.svg(id, f.Caption, f.Describe)
}

// chargeKey explains the curves. Its words stand above the plot, as there is no place in it that no curve reaches.
func (r *report) chargeKey() []keyItem {
	line := func(class string) func(*drawing, float64, float64) {
		return func(d *drawing, x, y float64) { d.line(x, y, x+keySample, y, class) }
	}
	out := []keyItem{{line("line"), r.Say("charge.alone")}}
	if r.helped != nil {
		out = append(out, keyItem{line("line dashed"), r.helpedLabel()})
	}
	out = append(out, keyItem{line("limit"), r.Say("charge.floor", r.Fixed(100*r.plan.Bank.FloorSoC, 0))})
	if asked := r.plan.Site.Outage.AutonomyH; asked < float64(len(r.outage.soc)-1)/60 {
		out = append(out, keyItem{line("dotted"), r.Say("charge.asked", r.Amount(asked, "h"))})
	}
	if r.outage.isDark {
		end := r.Say("charge.dark", r.Amount(r.outage.darkH, "h"))
		if r.emptied() {
			end = r.Say("charge.empty", r.Amount(r.outage.darkH, "h"))
		}
		out = append(out, keyItem{func(d *drawing, x, y float64) { d.circle(x+keySample/2, y, 3.6, "dot") }, end})
	}
	return out
}

// helpedLabel names the dashed curve.
func (r *report) helpedLabel() string {
	switch arrays, generator := len(r.plan.Site.Arrays) > 0, r.plan.Site.Generator != nil; {
	case arrays && generator:
		return r.Say("charge.with-both")
	case generator:
		return r.Say("charge.with-generator")
	}
	return r.Say("charge.with-array")
}

// chargeHours writes the hours of the outage below the plot, and the clock below them.
func (r *report) chargeHours(area plotArea, hours float64, small bool) {
	parts := 10
	if small {
		parts = 5
	}
	step := clockStep(hours, parts)
	for h := 0.0; h <= hours*(1+1e-9); h += step {
		x := area.x.at(h)
		area.line(x, area.bottom(), x, area.bottom()+4, "axis")
		area.text(x, area.bottom()+16, middle, "", r.Short(h))
		area.text(x, area.bottom()+30, middle, "small", calendar.Clock((r.outage.startMin+int(h*60))%dayMin))
	}
	if !small {
		area.text(area.x.from-24, area.bottom()+16, end, "small", r.Say("axis.hours"))
		area.text(area.x.from-24, area.bottom()+30, end, "small", r.Say("axis.clock"))
	}
}

// chargeRows draws the bars of what is on below the plot, and gives the height at which they end.
func (r *report) chargeRows(area plotArea, y, rowH float64, small bool) float64 {
	from, to := area.x.from, area.x.to
	for _, row := range r.onRows() {
		mid, off := y+rowH/2, ""
		last := len(row.spans) - 1
		ends := last >= 0 && row.spans[last][1] < area.x.hi
		if ends {
			off = r.Say("charge.off", calendar.Clock((r.outage.startMin+int(row.spans[last][1]*60))%dayMin))
		}
		if small { // on narrow paper the words stand above the bar
			area.text(from, y+12, left, "", shorten(row.label, to-from-8-width(off, sizeSmall), sizeText))
			area.text(to, y+12, end, "small", off)
			mid = y + 21
		} else {
			area.text(from-10, mid+4, end, "", shorten(row.label, from-12, sizeText))
		}
		area.line(from, mid, to, mid, "grid")
		for _, s := range row.spans {
			if s[1] > s[0] {
				area.rect(area.x.at(s[0]), mid-4, area.x.at(s[1])-area.x.at(s[0]), 8, "fill")
			}
		}
		if ends && !small {
			x, anchor := area.x.at(row.spans[last][1])+5, left
			if x+width(off, sizeSmall) > to {
				x, anchor = x-10, end
			}
			area.text(x, mid+4, anchor, "halo small", off)
		}
		y += rowH
	}
	return y
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

// clockStep is the step of an axis of hours: a part of a day.
func clockStep(hours float64, parts int) float64 {
	for _, s := range []float64{0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96} {
		if hours/s <= float64(parts) {
			return s
		}
	}
	return 168
}
