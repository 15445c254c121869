package drawing

import (
	"cmp"
	"html/template"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/loads"
)

// mostRows is how many circuits a drawing tells apart; the rest is drawn together.
const mostRows = 14

// dayRow is the mean power of one circuit through the day.
type dayRow struct {
	id      string // of the circuit
	label   string
	profile loads.Profile
	wh      float64
}

// dayRows are the circuits of the backup board that take energy in the outage, the largest first where there are too
// many.
func dayRows(r *findings.Report) []dayRow {
	p := r.Plan
	var rows []dayRow
	var rest []loads.Load
	for _, c := range p.Circuits {
		ls := loads.InMonth(site.InUse(c.Loads), p.Month)
		if c.OnBackup && c.EnergyWhPerDay > 0 {
			rows = append(rows, dayRow{c.ID, speech.Name(r.Called(c.Label)), loads.NewSet(p.Site.Phases, ls).Profile(),
				c.EnergyWhPerDay})
		}
	}
	if len(rows) <= mostRows {
		return rows
	}
	slices.SortStableFunc(rows, func(a, b dayRow) int { return cmp.Compare(b.wh, a.wh) })
	kept := map[string]bool{}
	for _, row := range rows[:mostRows-1] {
		kept[row.id] = true
	}
	n := 0
	for _, c := range p.Circuits {
		if c.OnBackup && c.EnergyWhPerDay > 0 && !kept[c.ID] {
			rest = append(rest, loads.InMonth(site.InUse(c.Loads), p.Month)...)
			n++
		}
	}
	set := loads.NewSet(p.Site.Phases, rest)
	return append(rows[:mostRows-1], dayRow{"", r.Count(n, "day.others"), set.Profile(), set.EnergyWhPerDay()})
}

// DayFigure is the day of an outage by circuit, against what the inverter carries.
func DayFigure(r *findings.Report) *doc.Figure {
	p := r.Plan
	panels := dayPanels(r)
	describe := r.Say("day.describe", r.Amount(p.Demand.Scheduled.W, "W"), calendar.Clock(p.Demand.Scheduled.AtMin),
		r.Amount(p.Inverter.LimitW(), "W"), r.Amount(p.Demand.EnergyWhPerDay, "Wh")) + " " + dayList(r) + "."
	title := "day.title"
	if len(panels) > 1 {
		title = "day.title.phases"
		for _, panel := range panels {
			may, rating := dayWorst(r, panel)
			describe += " " + r.Headed(panel.title, r.InTurn(may, rating)) + "."
		}
	}
	f := &doc.Figure{ID: "fig-day", Caption: r.Say(title, r.MonthName(p.Month)), Describe: describe}
	f.Wide = dayChart(r, wide, "fig-day-w", f, panels)
	f.Narrow = dayChart(r, narrow, "fig-day-n", f, panels)
	return f
}

// dayList tells what each circuit takes, for the description.
func dayList(r *findings.Report) string {
	var out []string
	for _, row := range dayRows(r) {
		out = append(out, row.label+" "+r.Amount(row.wh, "Wh"))
	}
	return findings.List(out)
}

// A dayPanel is the power of the backup board through the day: of the whole board where there is one phase, else of
// each of them, as a total would hide the one that is overloaded.
type dayPanel struct {
	title   string // empty for the whole board
	rating  float64
	runs    [findings.DayMin]float64 // the most that may run at once, minute by minute
	worstAt int
	mean    loads.Profile
}

func dayPanels(r *findings.Report) []dayPanel {
	p := r.Plan
	phases := p.Site.Phases
	ls := loads.InMonth(site.InUse(p.Site.OnBoard(loads.BoardBackup)), p.Month)
	out := make([]dayPanel, phases)
	for i := range out {
		panel := &out[i]
		panel.rating = p.Inverter.LimitW() / float64(phases)
		on := ls
		if phases > 1 {
			panel.title = r.Say("day.phase", i+1)
			on = onPhase(ls, i+1, phases)
		}
		panel.mean = loads.NewSet(phases, on).Profile()
		for minute := range panel.runs {
			panel.runs[minute] = runsAt(on, minute)
			if panel.runs[minute] > panel.runs[panel.worstAt] {
				panel.worstAt = minute
			}
		}
	}
	return out
}

// onPhase are the loads of a phase, with their part of the power: what is on all phases has an equal part on each.
func onPhase(ls []loads.Load, phase, phases int) []loads.Load {
	var out []loads.Load
	for _, l := range ls {
		switch l.Phase {
		case 0:
			l.RunningW /= float64(phases)
		case phase:
		default:
			continue
		}
		out = append(out, l)
	}
	return out
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

// dayWorst tells the worst minute of a panel, and what is borne.
func dayWorst(r *findings.Report, p dayPanel) (may, rating string) {
	may = r.Say("day.may", r.Amount(p.runs[p.worstAt], "W"), calendar.Clock(p.worstAt))
	if p.runs[p.worstAt] > p.rating*(1+1e-9) {
		may = r.Headed(r.Say("status.fail"), may)
	}
	return may, r.Say("day.rating", r.Amount(p.rating, "W"))
}

// A dayLayout says where the parts of the drawing stand on a width of paper.
type dayLayout struct {
	w             float64
	small         bool
	left0, right0 float64 // of all that goes by the hour
	headH, panelH float64
	rowH          float64
	hours         int // between two figures of the axis
}

func layOutDay(r *findings.Report, w float64, panels int) dayLayout {
	l := dayLayout{w: w, left0: 196, right0: w - 62, headH: 24, panelH: 150, rowH: 21, hours: 3}
	if w < 500 {
		l = dayLayout{w: w, small: true, left0: 34, right0: w - 14, headH: 48, panelH: 130, rowH: 34, hours: 6}
	}
	if panels > 1 {
		l.panelH = 92
	}
	return l
}

// dayChart draws the panels below each other, and under them each circuit on a line of its own.
func dayChart(r *findings.Report, w float64, id string, f *doc.Figure, panels []dayPanel) template.HTML {
	l := layOutDay(r, w, len(panels))
	d := &drawing{w: w}
	most := 0.0
	for _, panel := range panels {
		most = max(most, panel.rating, panel.runs[panel.worstAt])
	}
	y := d.key(l.left0, 10, l.w-4, dayKey(r)) + 16
	for _, panel := range panels {
		drawDayPanel(r, d, l, panel, y, most)
		y += l.headH + l.panelH
	}
	if !l.small {
		d.text(l.left0-6, y-4, end, "small", r.Say("axis.clock"))
	}
	d.h = dayStrips(r, d, l, y+14)
	return d.svg(id, f.Caption, f.Describe)
}

// dayKey explains the lines. Their words stand outside the plots, so that they lie on nothing.
func dayKey(r *findings.Report) []keyItem {
	return []keyItem{
		{func(d *drawing, x, y float64) { d.line(x, y, x+keySample, y, "limit dashed") }, r.Say("day.key-rating")},
		{func(d *drawing, x, y float64) { d.line(x, y, x+keySample, y, "line") }, r.Say("day.key-may")},
		{func(d *drawing, x, y float64) {
			d.rect(x, y-5, keySample, 10, "area")
			d.line(x, y-5, x+keySample, y-5, "thin")
		}, r.Say("day.key-mean")},
	}
}

// drawDayPanel draws one panel with its head.
func drawDayPanel(r *findings.Report, d *drawing, l dayLayout, p dayPanel, y, most float64) {
	may, rating := dayWorst(r, p)
	if l.small {
		lines := slices.DeleteFunc([]string{p.title, may, rating}, func(s string) bool { return s == "" })
		for i, line := range lines {
			d.text(l.left0, y+l.headH-12*float64(len(lines)-i)-3, left,
				map[bool]string{true: "strong", false: "small"}[line == p.title], line)
		}
	} else {
		d.text(l.left0, y+12, left, "strong", p.title)
		d.text(l.right0, y+12, end, "small", r.InTurn(may, rating))
	}
	by, unit := kilo(most, "W")
	step := nice(most*1.05, 4)
	area := plotArea{d, scale{lo: 0, hi: findings.DayMin, from: l.left0, to: l.right0},
		scale{lo: 0, hi: roundUp(most*1.05, step), from: y + l.headH + l.panelH - 20, to: y + l.headH - 4}}
	area.yAxis(r.Voice, step, by, unit)
	area.hourAxis(l.hours)
	area.steps(p)
	d.line(area.x.from, area.y.at(p.rating), area.x.to, area.y.at(p.rating), "limit dashed") // in grey too it is another line
}

// steps are the curves of a panel: what may run at once, and the mean.
func (p plotArea) steps(day dayPanel) {
	var may, mean, meanLine trace
	for minute, v := range day.runs {
		if minute == 0 || v != day.runs[minute-1] {
			if minute > 0 {
				may.to(p.x.at(float64(minute)), p.y.at(day.runs[minute-1]))
			}
			may.to(p.x.at(float64(minute)), p.y.at(v))
		}
	}
	may.to(p.x.to, p.y.at(day.runs[findings.DayMin-1]))
	mean.to(p.x.from, p.bottom())
	for _, st := range day.mean {
		for _, t := range []*trace{&mean, &meanLine} {
			t.to(p.x.at(float64(st.StartMin)), p.y.at(st.W))
			t.to(p.x.at(float64(st.EndMin)), p.y.at(st.W))
		}
	}
	mean.to(p.x.to, p.bottom())
	p.path(mean.closed(), "area")
	p.path(meanLine.open(), "thin")
	p.path(may.open(), "line")
}

// dayStrips draws each circuit on a line of its own, all to one scale, and gives the height at which they end.
func dayStrips(r *findings.Report, d *drawing, l dayLayout, y float64) float64 {
	rows := dayRows(r)
	if len(rows) == 0 {
		return y
	}
	peak, most, least := 0.0, 0.0, math.Inf(1)
	for _, row := range rows {
		most, least = max(most, row.wh), min(least, row.wh)
		for _, st := range row.profile {
			peak = max(peak, st.W)
		}
	}
	by, unit := kilo(most, "Wh")
	decimals := max(0, min(3, 1-int(math.Floor(math.Log10(least/by)))))
	// The head of the strips has their scale: a bar as high as a strip, and what it stands for.
	d.path("M"+px(l.left0+4)+" "+px(y+2)+"h-4v"+px(l.stripH())+"h4", "axis")
	d.text(l.left0+9, y+12, left, "small", r.Say("day.scale", r.Amount(peak, "W")))
	d.text(l.w-2, y+12, end, "small", unit+" "+r.Say("day.a-day"))
	y += l.rowH + 4
	for i, row := range rows {
		drawStrip(d, l, row, r.Fixed(row.wh/by, decimals), peak, y+float64(i)*l.rowH)
	}
	return y + float64(len(rows))*l.rowH + 8
}

// stripH is the height of the curve of a circuit, below or beside its name.
func (l dayLayout) stripH() float64 {
	if l.small {
		return l.rowH - 19
	}
	return l.rowH - 7
}

// drawStrip draws one circuit from y0 on: its name, its curve on a scale up to peak, and what it takes in a day.
func drawStrip(d *drawing, l dayLayout, row dayRow, amount string, peak, y0 float64) {
	foot := y0 + l.rowH - 3
	if l.small {
		d.text(l.left0, y0+11, left, "", doc.Shorten(row.label, l.right0-l.left0-70, sizeText))
		d.text(l.w-2, y0+11, end, "", amount)
	} else {
		d.text(l.left0-8, foot-2, end, "", doc.Shorten(row.label, l.left0-10, sizeText))
		d.text(l.w-2, foot-2, end, "", amount)
	}
	d.line(l.left0, foot, l.right0, foot, "grid")
	hour := scale{lo: 0, hi: findings.DayMin, from: l.left0, to: l.right0}
	strip := scale{lo: 0, hi: max(peak, 1), from: foot, to: foot - l.stripH()}
	var t trace
	t.to(l.left0, foot)
	for _, st := range row.profile {
		t.to(hour.at(float64(st.StartMin)), strip.at(st.W))
		t.to(hour.at(float64(st.EndMin)), strip.at(st.W))
	}
	t.to(l.right0, foot)
	d.path(t.closed(), "fill")
}
