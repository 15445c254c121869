package paper

import (
	"cmp"
	"html/template"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/site"
	"outlast/loads"
)

// mostRows is how many circuits a drawing tells apart; the rest is drawn together.
const mostRows = 14

// dayRow is the mean power of one circuit through the day.
type dayRow struct {
	label   string
	profile loads.Profile
	wh      float64
}

// dayRows are the circuits of the backup board that take energy in the outage, the largest first where there are too many.
func (r *report) dayRows() []dayRow {
	p := r.plan
	var rows []dayRow
	var rest []loads.Load
	for _, c := range p.Circuits {
		ls := loads.InMonth(site.InUse(c.Loads), p.Month)
		if c.OnBackup && c.EnergyWhPerDay > 0 {
			rows = append(rows, dayRow{name(r.called(c.Label)), loads.NewSet(p.Site.Phases, ls).Profile(), c.EnergyWhPerDay})
		}
	}
	if len(rows) <= mostRows {
		return rows
	}
	slices.SortStableFunc(rows, func(a, b dayRow) int { return cmp.Compare(b.wh, a.wh) })
	kept := map[string]bool{}
	for _, row := range rows[:mostRows-1] {
		kept[row.label] = true
	}
	n := 0
	for _, c := range p.Circuits {
		if c.OnBackup && c.EnergyWhPerDay > 0 && !kept[name(r.called(c.Label))] {
			rest = append(rest, loads.InMonth(site.InUse(c.Loads), p.Month)...)
			n++
		}
	}
	set := loads.NewSet(p.Site.Phases, rest)
	return append(rows[:mostRows-1], dayRow{r.count(n, "day.others"), set.Profile(), set.EnergyWhPerDay()})
}

// dayFigure is the day of an outage by circuit, against what the inverter carries.
func (r *report) dayFigure() *Figure {
	p := r.plan
	describe := r.say("day.describe", r.amount(p.Demand.Scheduled.W, "W"), calendar.Clock(p.Demand.Scheduled.AtMin), r.amount(p.Inverter.LimitW(), "W"),
		r.amount(p.Demand.EnergyWhPerDay, "Wh")) + " " + r.dayList() + "."
	f := &Figure{ID: "fig-day", Caption: r.say("day.title", r.say(monthID(p.Month))), Describe: describe}
	f.Wide = r.dayChart(wide, "fig-day-w", f)
	f.Narrow = r.dayChart(narrow, "fig-day-n", f)
	return f
}

// dayList tells what each circuit takes, for the description.
func (r *report) dayList() string {
	var out []string
	for _, row := range r.dayRows() {
		out = append(out, row.label+" "+r.amount(row.wh, "Wh"))
	}
	return list(out)
}

// runsAt is the highest power that the given loads may draw together in a minute: of each interlock the largest member.
func runsAt(ls []loads.Load, minute int) float64 {
	sum := 0.0
	locked := map[string]float64{}
	for _, l := range ls {
		if !l.ActiveAt(minute) {
			continue
		}
		w := l.RunningAll().W
		if l.Interlock == "" {
			sum += w
			continue
		}
		if more := w - locked[l.Interlock]; more > 0 {
			sum += more
			locked[l.Interlock] = w
		}
	}
	return sum
}

// clearOf is the height above everything that is drawn in the last quarter of the day.
func (r *report) clearOf(area plotArea, ls []loads.Load) float64 {
	most := 0.0
	for minute := 1080; minute < 1440; minute += 15 {
		most = max(most, runsAt(ls, minute))
	}
	return area.y.at(most)
}

func (r *report) dayChart(w float64, id string, f *Figure) template.HTML {
	p := r.plan
	small := w < 500
	rows := r.dayRows()
	left0, labelW, rowH, every := 196.0, 190.0, 21.0, 3
	if small {
		left0, labelW, rowH, every = 34, 0, 34, 6
	}
	const top, panel, under = 34.0, 150.0, 34.0
	d := &drawing{w: w, h: top + panel + under + float64(len(rows))*rowH + 8}
	right0 := w - 14
	if !small {
		right0 = w - 62
	}
	ls := loads.InMonth(site.InUse(p.Site.OnBoard(loads.BoardBackup)), p.Month)
	rating := p.Inverter.LimitW()
	most := max(rating, p.Demand.Scheduled.W) * 1.05
	by, unit := kilo(most, "W")
	step := nice(most, 5)
	area := plotArea{d, scale{lo: 0, hi: 1440, from: left0, to: right0}, scale{lo: 0, hi: roundUp(most, step), from: top + panel, to: top}}
	area.yAxis(r.voice, step, by, unit)
	// What may run at once, minute by minute, and the mean.
	var may, mean, meanLine trace
	last := -1.0
	for minute := range 1440 {
		v := runsAt(ls, minute)
		if v != last {
			if minute > 0 {
				may.to(area.x.at(float64(minute)), area.y.at(last))
			}
			may.to(area.x.at(float64(minute)), area.y.at(v))
			last = v
		}
	}
	may.to(area.x.to, area.y.at(last))
	mean.to(area.x.from, area.bottom())
	for _, st := range p.Demand.Profile {
		for _, t := range []*trace{&mean, &meanLine} {
			t.to(area.x.at(float64(st.StartMin)), area.y.at(st.W))
			t.to(area.x.at(float64(st.EndMin)), area.y.at(st.W))
		}
	}
	mean.to(area.x.to, area.bottom())
	d.path(mean.closed(), "area")
	d.path(meanLine.open(), "thin")
	d.path(may.open(), "line")
	d.line(area.x.from, area.y.at(rating), area.x.to, area.y.at(rating), "limit")
	d.text(area.x.to, area.y.at(rating)-5, end, "halo accent", r.say("day.rating", r.amount(rating, "W")))
	// The labels stand at the worst minute and at the end of the day, where the lines are.
	worst := p.Demand.Scheduled
	x, anchor := area.x.at(float64(worst.AtMin))+4, left
	if x > (left0+right0)/2 {
		x, anchor = min(x, right0), end
	}
	label := r.say("day.may", r.amount(worst.W, "W"), calendar.Clock(worst.AtMin))
	if long := width(label, sizeText); anchor == end && x-long < left0 {
		x, anchor = left0+4, left
	} else if anchor == left && x+long > right0 {
		x, anchor = right0, end
	}
	y := area.y.at(worst.W) - 5
	if rating > 0 && y < area.y.at(rating)+14 && y > area.y.at(rating)-18 {
		y = area.y.at(worst.W) + 14
	}
	d.text(x, y, anchor, "halo", label)
	d.text(area.x.to, r.clearOf(area, ls)-6, end, "halo small", r.say("day.mean"))
	area.hourAxis(every)
	if !small {
		d.text(left0-6, area.bottom()+16, end, "small", r.say("axis.clock"))
	}
	// Below: each circuit on a line of its own, all to one scale.
	peak := 0.0
	for _, row := range rows {
		for _, st := range row.profile {
			peak = max(peak, st.W)
		}
	}
	base := top + panel + under
	for i, row := range rows {
		y0 := base + float64(i)*rowH
		foot := y0 + rowH - 3
		height := rowH - 7
		if small {
			d.text(left0, y0+11, left, "", shorten(row.label, right0-left0-70, sizeText))
			height = rowH - 19
		} else {
			d.text(left0-8, foot-2, end, "", shorten(row.label, labelW, sizeText))
		}
		d.line(left0, foot, right0, foot, "grid")
		strip := scale{lo: 0, hi: max(peak, 1), from: foot, to: foot - height}
		var t trace
		t.to(left0, foot)
		for _, st := range row.profile {
			t.to(area.x.at(float64(st.StartMin)), strip.at(st.W))
			t.to(area.x.at(float64(st.EndMin)), strip.at(st.W))
		}
		t.to(right0, foot)
		d.path(t.closed(), "fill")
		if small {
			d.text(right0, y0+11, end, "", r.amount(row.wh, "Wh"))
		} else {
			d.text(w-2, foot-2, end, "", r.amount(row.wh, "Wh"))
		}
	}
	return d.svg(id, f.Caption, f.Describe)
}
