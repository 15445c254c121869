package site

import (
	"errors"
	"fmt"
	"math"

	"outlast/backup/fault"
	"outlast/backup/solar"
	"outlast/backup/wording"
	"outlast/battery"
	"outlast/catalog/strict"
	"outlast/loads"
)

// What no single key can say: each is in its range, but together they ask for what no plan can be made of. Whatever a
// plan would stumble over is told here, with its place, so that a file that is accepted is accepted by every command.

// mostVA is what all loads of a site may draw together: far above any home, and far below where sums of watts lose
// their last digits.
const mostVA = 1e9

// checkLoads reports the load with which the sum of all becomes too large, and loads that package loads does not take.
func (r *reader) checkLoads() {
	sumVA := 0.0
	for i, t := range r.loads {
		l := &r.site.Loads[i]
		if !t.Sound("quantity", "running_w", "power_factor", "hours_per_day", "when") {
			continue
		}
		before := sumVA
		if sumVA += l.RunningAll().VA(); sumVA > mostVA && before <= mostVA {
			t.Report("running_w", "", "found %g W, with which all loads come to %.3g VA, want at most %g VA",
				l.RunningW, sumVA, mostVA)
			continue
		}
		if err := l.Check(max(1, r.site.Phases)); err != nil && l.Phase <= r.site.Phases {
			t.Report("running_w", "", "%s", fault.Reason(err))
		}
	}
}

// checkSun reports the months of an array that get more sun than arrives above the air, and a place whose sun does not
// fit its clock.
func (r *reader) checkSun(t *strict.Table, a Array) {
	home := r.root.Table("site")
	m, ok := r.site.Monthly(a)
	if !ok || home == nil || !home.Sound("latitude", "longitude", "utc_offset_h") || r.site.Latitude == nil {
		return
	}
	most, err := m.AboveAir()
	if err != nil {
		t.Report("monthly_kwh_m2_day", "", "%s", fault.Reason(err))
		return
	}
	hint := skyHint(m)
	for i, given := range a.MonthlyKWhM2Day {
		if given <= most[i] {
			continue
		}
		t.ReportItem("monthly_kwh_m2_day", i, hint,
			"found %g for %s, want at most %s: no more arrives above the air at latitude %g",
			given, wording.MonthWord(i+1), roundedDown(most[i]), *r.site.Latitude)
		hint = "" // once is enough
	}
}

// roundedDown writes a limit with two decimals, so that what it says may be given.
func roundedDown(v float64) string { return fmt.Sprintf("%.2f", math.Floor(v*100)/100) }

// skyHint guesses why a table does not go with its sky: the hemisphere, or the unit.
func skyHint(m solar.Monthly) string {
	turned, megajoules := m, m
	turned.Place.LatitudeDeg = -turned.Place.LatitudeDeg
	for i := range megajoules.GlobalKWhM2Day {
		megajoules.GlobalKWhM2Day[i] /= 3.6
	}
	var beyond *solar.BeyondSkyError
	fits := func(m solar.Monthly) bool {
		_, err := m.Sky()
		return !errors.As(err, &beyond)
	}
	switch {
	case fits(turned):
		return "south of the equator latitude is negative, and January is a month of summer"
	case fits(megajoules):
		return "give kWh/m2 a day on the horizontal: MJ/m2 are divided by 3.6"
	}
	return "give the mean day of each month on the horizontal, in kWh/m2"
}

// mostClockOffH is how far the sun may be off the clock: 3.1 h in the west of China, the most on earth.
const mostClockOffH = 4

// checkClock reports a longitude that does not go with the clock: the array would work at night.
func (r *reader) checkClock() {
	t, s := r.root.Table("site"), r.site
	if t == nil || s.Longitude == nil || s.UTCOffsetH == nil || len(r.root.Tables("array")) == 0 ||
		!t.Sound("longitude", "utc_offset_h") {
		return
	}
	off := math.Mod(*s.UTCOffsetH-*s.Longitude/15+36, 24) - 12 // across the date line the day differs, not the hour
	if math.Abs(off) <= mostClockOffH {
		return
	}
	t.Report("longitude", "east is positive, west negative",
		"found %g, where the sun is %.1f h away from a clock of utc_offset_h %g", *s.Longitude, math.Abs(off),
		*s.UTCOffsetH)
}

// checkSizable reports a need that asks for a bank which the sizing refuses: more than a million strings. It takes the
// most that any split of the circuits, any month and any start can ask for, which no home comes near.
func checkSizable(s *Site, e, base equipment) {
	w, wh, efficiency := 0.0, 0.0, s.Inverter.Efficiency
	for _, l := range InUse(s.OnBoard(loads.BoardBackup, loads.BoardEither)) {
		w += l.RunningW * float64(l.Quantity)
		wh += l.RunningW * float64(l.Quantity) * l.HoursPerDay
	}
	for _, p := range s.Inverter.EfficiencyCurve {
		if efficiency == 0 || p.Efficiency < efficiency {
			efficiency = p.Efficiency
		}
	}
	hours := s.Outage.AutonomyH
	wh = min(wh*math.Ceil(hours/24), w*hours)/efficiency + s.Inverter.IdleW*float64(s.InverterCount)*hours
	dod, _ := s.Unit.DoD(s.Practice.MaxDoD)
	if _, err := battery.Size(s.Unit, s.Series, battery.Need{
		EnergyDCWh: wh, Hours: hours, Growth: s.Practice.Growth, Margin: s.Practice.Margin, Reserve: s.Outage.Reserve,
		MaxDoD:    dod,
		EndOfLife: s.Practice.EndOfLife, TemperatureC: s.ColdestC,
	}); err == nil {
		return
	}
	t, key := e.outage, "autonomy_h"
	switch {
	case e.outage != base.outage:
	case e.bank != base.bank:
		t, key = e.bank, atUse(e.bank, "rated_ah")
	case e.inverter != base.inverter:
		t, key = e.inverter, atUse(e.inverter, "efficiency")
	case e.practice != base.practice:
		t, key = e.practice, "margin"
	}
	t.Report(key, "",
		"no bank can be sized: to give up to %.3g kWh in %g h it would need more than a million strings of the unit, %g Ah each",
		wh*(1+s.Practice.Growth)/1000, hours, s.Unit.RatedAh)
}
