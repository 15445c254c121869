package drawing

import (
	"html/template"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/outage"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/loads"
)

// ChargeFigure is the state of charge through the outage, and what loses power when.
func ChargeFigure(r *findings.Report) *doc.Figure {
	p := r.Plan
	title := "charge.title"
	if slices.ContainsFunc(r.Relays(), func(l loads.Load) bool { _, ok := r.Outage.Dropped(l.Name); return ok }) {
		title = "charge.title.saving" // it lasts longer than the hours promised, which count on nobody switching off
	}
	f := &doc.Figure{ID: "fig-charge", Caption: r.Say(title, calendar.Clock(r.Outage.StartMin))}
	f.Describe = r.Say("charge.describe", r.Fixed(100*p.Site.Outage.Reserve, 0), r.Fixed(100*p.Bank.FloorSoC, 0),
		endOfCharge(r), r.Exactly(p.Site.Outage.AutonomyH))
	for _, l := range r.Relays() {
		if h, ok := r.Outage.Dropped(l.Name); ok {
			f.Describe += " " + r.Say("charge.dropped", speech.Name(r.Called(l.Name)), r.Hours(h))
		}
	}
	f.Wide = chargeChart(r, wide, "fig-charge-w", f)
	f.Narrow = chargeChart(r, narrow, "fig-charge-n", f)
	return f
}

// DrawsText tells what other draws of the days of sun make of the dashed curve.
func DrawsText(r *findings.Report) string {
	d := r.Draws
	if d.Dark == 0 {
		return r.Say("charge.draws-none", d.Draws, r.Hours(float64(r.FollowH())), r.Fixed(100*d.LowestSoC.P10, 0))
	}
	return r.Say("charge.draws", d.Draws, d.Dark, r.Hours(float64(r.FollowH())), r.Hours(d.UntilDarkH.P10),
		r.Hours(d.UntilDarkH.P50), r.Hours(d.UntilDarkH.P90))
}

// emptied tells whether the bank is down to its lowest charge when everything loses power: else the loads ask for more
// than is borne.
func emptied(r *findings.Report) bool { return r.Outage.DarkSoC() <= r.Plan.Bank.FloorSoC+0.01 }

// endOfCharge says when the bank is empty, or that it is not within what was followed.
func endOfCharge(r *findings.Report) string {
	switch {
	case r.Outage.IsDark && emptied(r):
		return r.Say("charge.ends", r.Hours(r.Outage.DarkH))
	case r.Outage.IsDark:
		return r.Say("charge.stops", r.Hours(r.Outage.DarkH))
	}
	return r.Say("charge.lasts", r.Hours(r.Outage.DarkH))
}

// onRow is a bar below the curve: from the start of the outage until something is switched off.
type onRow struct {
	label string
	spans [][2]float64 // hours
}

// mostOnRows is how many loads have a bar of their own.
const mostOnRows = 6

// onRows are the backup board as a whole and every load that is switched off before the bank is empty.
func onRows(r *findings.Report) []onRow {
	f := r.Outage
	hours := float64(len(f.SoC)-1) / 60
	spans := func(off, on outage.EventKind, match func(outage.Event) bool) [][2]float64 {
		var out [][2]float64
		from, up := 0.0, true
		for _, e := range f.Events {
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
	rows := []onRow{{r.Say("line.backup-board"), spans(outage.EventDark, outage.EventReturn,
		func(outage.Event) bool { return true })}}
	for i, l := range r.Relays() {
		if i == mostOnRows {
			break
		}
		rows = append(rows, onRow{speech.Name(r.Called(l.Name)),
			spans(outage.EventDropped, outage.EventRestored, func(e outage.Event) bool { return e.Load == l.Name })})
	}
	// What a bar of a load shows ends with the board's.
	for i := range rows[1:] {
		for j, s := range rows[i+1].spans {
			if f.IsDark {
				rows[i+1].spans[j][1] = min(s[1], f.DarkH)
			}
		}
	}
	return rows
}

// chargeChart draws the curve with its key above it, and below it what is on for how long.
func chargeChart(r *findings.Report, w float64, id string, f *doc.Figure) template.HTML {
	small := w < 500
	left0, right0, rowH := 196.0, w-16, 21.0
	if small {
		left0, rowH = 40, 34
	}
	const panel, under = 190.0, 44.0
	d := &drawing{w: w}
	top := d.key(left0, 10, right0, chargeKey(r)) + 22
	hours := float64(len(r.Outage.SoC)-1) / 60
	area := plotArea{d, scale{lo: 0, hi: max(hours, 1.0/60), from: left0, to: right0},
		scale{lo: 0, hi: 100, from: top + panel, to: top}}
	area.yAxis(r.Voice, 20, 1, "%")
	chargeHours(r, area, hours, small)
	floor := area.y.at(100 * r.Plan.Bank.FloorSoC)
	d.line(area.x.from, floor, area.x.to, floor, "limit")
	d.path(socTrace(area, r.Outage.SoC), "line")
	if r.Helped != nil {
		d.path(socTrace(area, r.Helped.SoC), "line dashed")
	}
	if asked := r.Plan.Site.Outage.AutonomyH; asked < hours {
		x := area.x.at(asked)
		d.line(x, area.top(), x, area.bottom(), "dotted")
	}
	if r.Outage.IsDark {
		d.circle(area.x.at(r.Outage.DarkH), area.y.at(100*r.Outage.DarkSoC()), 3.6, "dot")
	}
	d.h = chargeRows(r, area, top+panel+under, rowH, small) + 4
	return d.svg(id, f.Caption, f.Describe)
}

// chargeKey explains the curves. Its words stand above the plot, as there is no place in it that no curve reaches.
func chargeKey(r *findings.Report) []keyItem {
	line := func(class string) func(*drawing, float64, float64) {
		return func(d *drawing, x, y float64) { d.line(x, y, x+keySample, y, class) }
	}
	out := []keyItem{{line("line"), r.Say("charge.alone")}}
	if r.Helped != nil {
		out = append(out, keyItem{line("line dashed"), helpedLabel(r)})
	}
	out = append(out, keyItem{line("limit"), r.Say("charge.floor", r.Fixed(100*r.Plan.Bank.FloorSoC, 0))})
	if asked := r.Plan.Site.Outage.AutonomyH; asked < float64(len(r.Outage.SoC)-1)/60 {
		out = append(out, keyItem{line("dotted"), r.Say("charge.asked", r.Amount(asked, "h"))})
	}
	if r.Outage.IsDark {
		end := r.Say("charge.dark", r.Amount(r.Outage.DarkH, "h"))
		if emptied(r) {
			end = r.Say("charge.empty", r.Amount(r.Outage.DarkH, "h"))
		}
		out = append(out, keyItem{func(d *drawing, x, y float64) { d.circle(x+keySample/2, y, 3.6, "dot") }, end})
	}
	return out
}

// helpedLabel names the dashed curve.
func helpedLabel(r *findings.Report) string {
	switch arrays, generator := len(r.Plan.Site.Arrays) > 0, r.Plan.Site.Generator != nil; {
	case arrays && generator:
		return r.Say("charge.with-both")
	case generator:
		return r.Say("charge.with-generator")
	}
	return r.Say("charge.with-array")
}

// chargeHours writes the hours of the outage below the plot, and the clock below them.
func chargeHours(r *findings.Report, area plotArea, hours float64, small bool) {
	parts := 10
	if small {
		parts = 5
	}
	step := clockStep(hours, parts)
	for h := 0.0; h <= hours*(1+1e-9); h += step {
		x := area.x.at(h)
		area.line(x, area.bottom(), x, area.bottom()+4, "axis")
		area.text(x, area.bottom()+16, middle, "", r.Short(h))
		area.text(x, area.bottom()+30, middle, "small", calendar.Clock((r.Outage.StartMin+int(h*60))%findings.DayMin))
	}
	if !small {
		area.text(area.x.from-24, area.bottom()+16, end, "small", r.Say("axis.hours"))
		area.text(area.x.from-24, area.bottom()+30, end, "small", r.Say("axis.clock"))
	}
}

// chargeRows draws the bars of what is on below the plot, and gives the height at which they end.
func chargeRows(r *findings.Report, area plotArea, y, rowH float64, small bool) float64 {
	from, to := area.x.from, area.x.to
	for _, row := range onRows(r) {
		mid, off := y+rowH/2, ""
		last := len(row.spans) - 1
		ends := last >= 0 && row.spans[last][1] < area.x.hi
		if ends {
			off = r.Say("charge.off", calendar.Clock((r.Outage.StartMin+int(row.spans[last][1]*60))%findings.DayMin))
		}
		if small { // on narrow paper the words stand above the bar
			area.text(from, y+12, left, "", doc.Shorten(row.label, to-from-8-doc.Width(off, sizeSmall), sizeText))
			area.text(to, y+12, end, "small", off)
			mid = y + 21
		} else {
			area.text(from-10, mid+4, end, "", doc.Shorten(row.label, from-12, sizeText))
		}
		area.line(from, mid, to, mid, "grid")
		for _, s := range row.spans {
			if s[1] > s[0] {
				area.rect(area.x.at(s[0]), mid-4, area.x.at(s[1])-area.x.at(s[0]), 8, "fill")
			}
		}
		if ends && !small {
			x, anchor := area.x.at(row.spans[last][1])+5, left
			if x+doc.Width(off, sizeSmall) > to {
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
