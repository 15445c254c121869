package facts

import (
	"errors"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/solar"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// workSun follows the sun of a mean day of the outage's month, array by array.
func (w *workings) workSun() {
	p := w.p
	sun, err := p.Site.Sunlit()
	if errors.Is(err, site.ErrNoSun) || sun == nil && err == nil {
		return
	}
	var month site.SunMonth
	if err == nil {
		month, err = sun.SunMonth(p.Month)
	}
	if err != nil {
		w.step(phrase.Of("Yield of the arrays"), phrase.Of("not worked out: %s", wording.ReasonOf(err)), none, 0,
			"", none)
		return
	}
	for i := range p.Site.Arrays {
		days := float64(calendar.DaysIn[p.Month-1] * month.Draws)
		w.workArray(i, month.Sums[i].Over(days), month.Draws)
	}
	mean := phrase.Of("sum of the arrays, hour by hour; each tracker input takes its max_w at most")
	w.step(phrase.Of("All arrays: energy of a mean day"), mean, none, month.MeanWh, "Wh", phrase.Of("definition"))
	for _, at := range []struct {
		percent int
		wh      float64
	}{{10, month.Days.P10}, {50, month.Days.P50}, {90, month.Days.P90}} {
		w.step(phrase.Of("All arrays: energy that %d %% of the days do not exceed", at.percent),
			phrase.Of("the days of the month, sorted"), p.daysOfMonth(month.Draws), at.wh, "Wh",
			phrase.Of("definition"))
	}
}

// daysOfMonth says on which days a figure rests.
func (p *Facts) daysOfMonth(draws int) phrase.Phrase {
	if draws == 1 {
		return phrase.Of("the days of the weather file in %s", wording.MonthWord(p.Month))
	}
	return phrase.Of("%d draws of the days of %s", draws, wording.MonthWord(p.Month))
}

// workArray writes down one array. day is the receipt of a mean day.
func (w *workings) workArray(i int, day solar.Receipt, draws int) {
	p := w.p
	a := p.Site.Arrays[i]
	set := a.StringSet()
	place, from, source := p.Site.Place(), phrase.Of("mean of the month in the weather file"), phrase.Of("weather file")
	if a.Hours == nil {
		from, source = phrase.Of("monthly_kwh_m2_day, on the horizontal"), phrase.Of("site file")
	} else {
		place = a.Hours.Place
	}
	step := func(what, formula, numbers phrase.Phrase, value float64, unit string, source phrase.Phrase) {
		w.step(phrase.Of("Array %d: %s", i+1, what), formula, numbers, value, unit, source)
	}
	const perDay = "kWh/m2 d"
	global := day.GlobalWhM2 / 1000
	handbook, err := solar.Tilted(place.LatitudeDeg, p.Month, global, a.Plane(), solar.DefaultAlbedo)
	step(phrase.Of("irradiation on the horizontal"), from, wording.MonthWord(p.Month), global, perDay, source)
	if err != nil || global == 0 || handbook.AboveAir == 0 {
		return // polar night
	}
	step(phrase.Of("irradiation above the atmosphere"),
		phrase.Of("solar constant * correction for the distance of the sun * sine of its height, added up over the mean day of the month"),
		phrase.Of("latitude %g, day %d of the year", place.LatitudeDeg, handbook.DayNumber), handbook.AboveAir, perDay,
		phrase.Of("Duffie & Beckman, chapter %d", 1))
	step(phrase.Of("clearness index of the month"),
		phrase.Of("irradiation on the horizontal / irradiation above the atmosphere"),
		phrase.Symbols("%.4g/%.4g", global, handbook.AboveAir), global/handbook.AboveAir, "", phrase.Of("definition"))
	if a.Hours != nil {
		step(phrase.Of("diffuse share of the irradiation"), phrase.Of("hour by hour from the weather file"), none,
			verdict.Share(day.DiffuseWhM2, day.GlobalWhM2), "", source)
	} else {
		step(phrase.Of("diffuse share of the irradiation"),
			phrase.Of("by the clearness index of each day; the days are drawn, each from the one before, and keep the mean of the month"),
			p.daysOfMonth(draws), verdict.Share(day.DiffuseWhM2, day.GlobalWhM2), "",
			phrase.Of("Erbs, Klein & Duffie, Solar Energy 28 (1982); days: Aguiar, Collares-Pereira & Conde, Solar Energy 40 (1988)"))
	}
	step(phrase.Of("irradiation in its plane"),
		phrase.Of("beam + diffuse * (1 + cos(tilt))/2 + global * %g * (1 - cos(tilt))/2, hour by hour",
			solar.DefaultAlbedo),
		phrase.Of("%.4g + %.4g + %.4g; tilt %g, azimuth %g", day.BeamWhM2/1000, day.SkyWhM2/1000, day.GroundWhM2/1000,
			a.TiltDeg, a.AzimuthDeg), day.PlaneWhM2()/1000, perDay,
		phrase.Of("evenly bright sky, Duffie & Beckman, chapter 2: 5 to 12 %% low in a clear winter month, the safe side"))
	warmth := verdict.Share(day.WarmWh, day.CoolWh)
	step(phrase.Of("temperature factor of the cells"),
		phrase.Of("1 + pmax_pct_per_c/100 * (T - 25), T = air + (noct_c - 20) * sun / 800, hour by hour"), none, warmth,
		"", phrase.Of("Ross, 1976; data sheet or default"))
	lost := 1 - verdict.Share(day.DCWh, day.WarmWh)
	var kept []phrase.Phrase
	for _, l := range solar.DefaultLosses() {
		if l.Share > 0 {
			kept = append(kept, phrase.Symbols("%g", 1-l.Share))
		}
	}
	step(phrase.Of("losses"),
		phrase.Of("1 - product of the factors for dirt, shade, mismatch, wiring, connections, light-induced degradation, nameplate and downtime"),
		phrase.Symbols("1 - %s", phrase.Separated(kept, "*")), lost, "",
		phrase.Of("default losses of report NREL/TP-6A20-62641 (2014)"))
	step(phrase.Of("energy of a mean day"),
		phrase.Of("rated power of the modules * irradiation in its plane * temperature factor of the cells * (1 - losses)"),
		phrase.Symbols("%g W * %.4g * %.4g * (1 - %.4g)", set.RatedW(), day.PlaneWhM2()/1000, warmth, lost), day.DCWh,
		"Wh", phrase.Of("definition"))
	step(phrase.Of("irradiation in its plane, by the monthly method"),
		phrase.Of("beam ratio of the mean day, diffuse by the clearness index of the month"),
		phrase.Of("beam ratio %.4g, diffuse share %.4g", handbook.BeamRatio, handbook.Diffuse), handbook.Plane(),
		perDay, phrase.Of("Duffie & Beckman, chapter %d", 2))
	step(phrase.Of("monthly method over the days"),
		phrase.Of("for comparison: a month without dull days overrates a steep array in winter"),
		phrase.Symbols("%.4g/%.4g", handbook.Plane(), day.PlaneWhM2()/1000),
		verdict.Share(handbook.Plane(), day.PlaneWhM2()/1000), "", none)
}
