package live

import (
	"cmp"
	"context"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/site"
	"outlast/backup/solar"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/loads"
)

// skies are the kinds of weather.
var skies = map[string]study.Sky{"": study.SkyDrawn, "usual": study.SkyDrawn, "dull": study.SkyDull,
	"bright": study.SkySunny}

// promisedIn is the plan in the month of a view, and what it promises there.
func promisedIn(ctx context.Context, p *facts.Facts, v View) (month *facts.Facts, leastH, fromMin float64, err error) {
	if month, err = study.InMonth(ctx, p, v.Month); err != nil {
		return nil, 0, 0, err
	}
	if p.Verdict() != verdict.Fail {
		leastH, fromMin, err = month.LeastAutonomy()
	}
	return month, leastH, fromMin, err
}

// A followed outage is the one that is looked at.
type followed struct {
	month           *facts.Facts // the plan in its month
	leastH, fromMin float64      // what is promised in that month, and from which minute; 0 of a plan that fails
	run             *study.OutageRun
	hours           float64 // until the first circuit loses power
	dark            bool    // one does
	showH           int     // hours that a picture shows best
}

// follow follows the outage that is looked at.
func follow(ctx context.Context, p *facts.Facts, v View) (out followed, err error) {
	if out.month, out.leastH, out.fromMin, err = promisedIn(ctx, p, v); err != nil {
		return out, err
	}
	o := study.OutageOptions{Hours: v.Hours, Start: v.StartMin, Sky: skies[v.Sky], EvenSpread: true, Seed: 1}
	need := max(p.Site.Outage.AutonomyH, out.leastH)
	if v.Hours == 0 {
		o.Hours = window(need)
	}
	if len(p.Site.Arrays) == 0 {
		o.Sky = study.SkyDrawn
	}
	for {
		if out.run, err = study.RunOutage(ctx, out.month, o); err != nil {
			return out, err
		}
		if out.hours, out.dark = out.run.HoursUntilDark(); out.dark {
			need = max(need, out.hours)
		}
		if out.showH = showH(need, o.Hours); v.Hours != 0 || out.showH <= o.Hours {
			return out, nil
		}
		o.Hours = out.showH
	}
}

// look follows the outage that is looked at, and tells of it.
func (a *answering) look(ctx context.Context, v View) error {
	o, err := follow(ctx, a.Facts, v)
	if err != nil {
		return err
	}
	a.month, a.run = o.month, o.run
	r, h, dark := o.run, o.hours, o.dark
	lengthH := r.Minutes / 60
	says := "live.is-this"
	if v.StartMin == nil {
		says = "live.is-worst"
	}
	out := &Outage{
		Hours: *a.hours(a.month, h, !dark, r.StartMin, says), LengthH: lengthH, ShowH: o.showH, Month: a.month.Month,
		MonthName: a.MonthName(a.month.Month),
		Sky:       cmp.Or(v.Sky, "usual"), Worst: v.StartMin == nil,
		Title:   a.Say("live.fails."+partOfDay(r.StartMin), a.MonthName(a.month.Month)),
		DarkMin: r.DarkMin, FuelL: r.FuelL,
	}
	if !dark && !out.Idle {
		out.Reached, out.MissingH, out.Missing = true, 0, ""
	}
	if !a.fails {
		out.Promise = a.hours(a.month, o.leastH, a.month.Bank.AutonomyCap, int(o.fromMin), "live.is-promise")
	}
	for _, e := range r.Events {
		if text := a.event(e); text != "" {
			out.Events = append(out.Events, Event{e.Min, string(e.Kind), text})
		}
	}
	out.Nights = a.nights(r.StartMin, lengthH*60)
	a.out.Outage = out
	a.out.Curve = a.curve()
	return nil
}

// windows are the hours that the picture shows: few, so that it rarely changes its scale.
var windows = []int{12, 18, 24, 36, 48, 60, 72, 96, 120, 168, 240, MaxHours}

// window is the smallest one in which so many hours are seen, with room behind their end.
func window(needH float64) int {
	i := slices.IndexFunc(windows, func(h int) bool { return float64(h) >= needH*1.12 })
	if i < 0 {
		return MaxHours
	}
	return windows[i]
}

// showH is the window in which so many hours are seen, or the one that is there: a scale stays as long as what is to be
// seen fits, so that a strip is seen to grow.
func showH(needH float64, nowH int) int {
	if fits := window(needH); needH > float64(nowH)*0.99 || fits*2 <= nowH {
		return fits
	}
	return nowH
}

// partOfDay says in which part of the day a minute lies.
func partOfDay(minute int) string {
	switch h := minute / 60; {
	case h < 5 || h >= 22:
		return "night"
	case h < 11:
		return "morning"
	case h < 14:
		return "midday"
	case h < 18:
		return "afternoon"
	}
	return "evening"
}

// mostPoints is how many points a curve has: more are narrower than a line on any screen.
const mostPoints = 480

// curve is the charge through the outage.
func (a *answering) curve() *Curve {
	soc := a.run.SoC
	c := &Curve{Floor: a.FloorSoC(), FloorWord: a.Say("live.floor"), Reserve: a.Site.Outage.Reserve,
		ResWord: a.Say("live.reserve")}
	step := max(1, (len(soc)+mostPoints-1)/mostPoints)
	for m := 0; m < len(soc); m += step {
		c.Points = append(c.Points, point(m, soc[m]))
	}
	if last := len(soc) - 1; last%step != 0 {
		c.Points = append(c.Points, point(last, soc[last]))
	}
	return c
}

// point is a point of the curve, finer than any screen.
func point(minute int, soc float64) [2]float64 {
	return [2]float64{float64(minute), math.Round(soc*1e5) / 1e5}
}

// event is what happens, in a few words; "" for what the strips show already.
func (a *answering) event(e outage.Event) string {
	switch e.Kind {
	case outage.EventDropped:
		return a.Say("live.event.dropped", a.name(e.Load))
	case outage.EventRestored:
		return a.Say("live.event.restored", a.name(e.Load))
	case outage.EventGeneratorStarts:
		return a.Say("live.event.generator-starts")
	case outage.EventGeneratorStops:
		return a.Say("live.event.generator-stops")
	}
	return ""
}

// nights are when the sun is down, on the middle day of the month.
func (a *answering) nights(start, minutes int) (out [][2]float64) {
	s := a.Site
	if s.Latitude == nil {
		return nil
	}
	day := 15
	for m := 1; m < a.month.Month; m++ {
		day += calendar.DaysIn[m-1]
	}
	half := solar.SunsetHourAngleDeg(*s.Latitude, solar.DeclinationDeg(day)) * 4 // a degree of hour angle is four minutes
	if math.IsNaN(half) || half >= 12*60 {
		return nil
	}
	noon := 12*60 - solar.EquationOfTimeMin(day)
	if s.Longitude != nil && s.UTCOffsetH != nil {
		noon += *s.UTCOffsetH*60 - *s.Longitude*4
	}
	for d := -1; d <= (start+minutes)/calendar.DayMin+1; d++ {
		sunset := float64(d*calendar.DayMin-start) + noon + half
		from, to := max(0, sunset), min(float64(minutes), sunset+24*60-2*half)
		if from < to {
			out = append(out, [2]float64{math.Round(from), math.Round(to)})
		}
	}
	return out
}

// A strip is a time of the outage, in minutes since its beginning; its end is not in it.
type strip = [2]int

// joined are strips in order of time, those that touch put together.
func joined(list []strip) (out []strip) {
	slices.SortFunc(list, func(a, b strip) int { return cmp.Compare(a[0], b[0]) })
	for _, s := range list {
		if n := len(out); n > 0 && s[0] <= out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], s[1])
		} else if s[0] < s[1] {
			out = append(out, s)
		}
	}
	return out
}

// lessTimes takes times out of strips; both are in order and do not touch.
func lessTimes(list, gone []strip) (out []strip) {
	for _, s := range list {
		for _, g := range gone {
			if g[1] <= s[0] || g[0] >= s[1] {
				continue
			}
			if g[0] > s[0] {
				out = append(out, strip{s[0], g[0]})
			}
			s[0] = g[1]
		}
		if s[0] < s[1] {
			out = append(out, s)
		}
	}
	return out
}

// between are the times from one kind of event to the other, of those that are meant.
func (a *answering) between(from, to outage.EventKind, meant func(outage.Event) bool) (out []strip) {
	for _, e := range a.run.Events {
		switch {
		case !meant(e):
		case e.Kind == from:
			out = append(out, strip{e.Min, a.run.Minutes})
		case e.Kind == to && len(out) > 0:
			out[len(out)-1][1] = e.Min
		}
	}
	return joined(out)
}

// runs are the times of the outage in whose minutes a load may be on, without those in which it is switched off by the
// charge.
func (a *answering) runs(l loads.Load) (on, dropped []strip) {
	start, minutes := a.run.StartMin, a.run.Minutes
	windows := l.Windows
	if len(windows) == 0 {
		on = []strip{{0, minutes}}
	}
	for _, w := range windows {
		for d := -1; d*calendar.DayMin < start+minutes; d++ {
			from := d*calendar.DayMin + w.StartMin - start
			if s := (strip{max(0, from), min(minutes, from+w.Minutes())}); s[0] < s[1] {
				on = append(on, s)
			}
		}
	}
	if facts.DropsOut(&l) {
		dropped = a.between(outage.EventDropped, outage.EventRestored,
			func(e outage.Event) bool { return e.Load == l.Name })
	}
	return lessTimes(joined(on), dropped), dropped
}

// strips are when something runs on a circuit, when it first loses its power, and why.
func (a *answering) strips(c facts.Circuit) (strips []strip, end *int, why string) {
	used := loads.InMonth(site.InUse(c.Loads), a.month.Month)
	used = slices.DeleteFunc(used, func(l loads.Load) bool { return l.EnergyWhPerDay() == 0 })
	if !c.OnBackup || len(used) == 0 {
		return nil, nil, ""
	}
	dark := a.between(outage.EventDark, outage.EventReturn, func(e outage.Event) bool { return e.CircuitID == c.ID })
	lastOff, allOff, at := 0, true, 0.0
	for _, l := range used {
		on, dropped := a.runs(l)
		strips = append(strips, on...)
		switch {
		case len(dropped) == 0:
			allOff = false
		case dropped[0][0] >= lastOff:
			lastOff, at = dropped[0][0], l.DropBelow
		}
	}
	strips = lessTimes(joined(strips), dark)
	if allOff && (len(dark) == 0 || lastOff < dark[0][0]) {
		return strips, &lastOff, a.Say("live.end.dropped", a.Fixed(100*at, 0))
	}
	if len(dark) > 0 {
		return strips, &dark[0][0], a.Say("live.end." + a.darkness(dark[0][0]))
	}
	return strips, nil, ""
}

// nearFloor is how near to its floor a bank is empty for people.
const nearFloor = 0.03

// darkness says why the board loses power at a minute.
func (a *answering) darkness(minute int) string {
	switch {
	case a.run.SoC[minute] <= a.FloorSoC()+nearFloor:
		return "empty"
	case a.month.TooColdToDischarge(): // it gives nothing, however little is asked
		return "cold"
	}
	return "too-much"
}
