package account

import (
	"errors"
	"math"
	"slices"
	"strconv"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/solar"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/working"
)

// workSun follows the sun of a mean day of the outage's month, array by array.
func (w *workings) workSun() {
	p := w.p
	sun, err := p.Site.Sunlit()
	if errors.Is(err, site.ErrNoSun) || sun == nil && err == nil {
		return
	}
	var month site.SunMonth
	var receipts []solar.Receipt
	if err == nil {
		month, err = sun.SunMonth(p.Month)
	}
	if err == nil {
		receipts, err = sun.Receipts(p.Month)
	}
	if err != nil {
		w.notDone(phrase.Of("Yield of the arrays"), wording.ReasonOf(err))
		return
	}
	for i := range p.Site.Arrays {
		days := float64(calendar.DaysIn[p.Month-1] * month.Draws)
		w.workArray(i, receipts[i].Over(days), month.Draws)
	}
	w.workDays(month)
}

// workDays shows the mean day of all arrays, and the days that a share of them do not exceed.
func (w *workings) workDays(month site.SunMonth) {
	t := &working.Table{Columns: []working.Column{{Name: "days"}, {Name: "wh", Unit: "Wh",
		Title: phrase.Of("sum of the arrays, hour by hour; each tracker input takes its max_w at most")}}}
	var all []float64
	for i, days := range month.ByDraw {
		wh := 0.0
		for _, d := range days {
			wh += d
		}
		all = append(all, days...)
		t.Rows = append(t.Rows, working.Row{Label: phrase.Of("draw %d", i+1),
			Values: []float64{float64(len(days)), wh}})
	}
	from := w.daysOfMonth(month.Draws)
	w.add(working.Step{Title: phrase.Of("All arrays: energy of a mean day"), Formula: from, Expr: "sum(wh) / sum(days)",
		Table: t,
		Value: month.MeanWh, Unit: "Wh", Sources: definition})
	slices.Sort(all)
	for _, at := range []struct {
		percent int
		wh      float64
	}{{10, month.Days.P10}, {50, month.Days.P50}, {90, month.Days.P90}} {
		const beside = 3
		days, wanted := float64(len(all)), float64(at.percent)
		place := (at.percent*len(all) + 99) / 100
		near := &working.Table{Columns: []working.Column{{Name: "place",
			Title: phrase.Of("among the days, the least first")},
			{Name: "wh", Unit: "Wh"}, {Name: "reached", Expr: "floor(min(1, place / (days * percent / 100) + 1e-9))"},
			{Name: "candidate", Expr: "wh + (1 - reached) * 1e12"}}}
		for n := max(1, place-beside); n <= min(len(all), place+beside); n++ {
			reached := math.Floor(min(1, float64(n)/(days*wanted/100)+1e-9))
			near.Rows = append(near.Rows, working.Row{Values: []float64{float64(n), all[n-1], reached,
				all[n-1] + (1-reached)*1e12}})
		}
		w.add(working.Step{Title: phrase.Of("All arrays: energy that %d %% of the days do not exceed", at.percent),
			Formula: phrase.Of("the days of the month, sorted: %s", from), Expr: "min(candidate)", Table: near,
			Inputs: []working.Input{working.Told("days", days, "", from), working.Constant("percent", wanted, "")},
			Value:  at.wh, Unit: "Wh", Sources: definition})
	}
}

// daysOfMonth says on which days a figure rests.
func (w *workings) daysOfMonth(draws int) phrase.Phrase {
	if draws == 1 {
		return phrase.Of("the days of the weather file in %s", wording.MonthWord(w.p.Month))
	}
	return phrase.Of("%d draws of the days of %s", draws, wording.MonthWord(w.p.Month))
}

// workArray writes down one array. day is the receipt of a mean day.
func (w *workings) workArray(i int, day solar.Receipt, draws int) {
	a := arrayWorking{workings: w, i: i, array: &w.p.Site.Arrays[i], day: day, place: w.p.Site.Place(),
		drawn: phrase.Of("mean of the days, hour by hour: %s", w.daysOfMonth(draws))}
	if a.array.Hours != nil {
		a.place = a.array.Hours.Place
	}
	a.workHorizontal()
	handbook, err := solar.Tilted(a.place.LatitudeDeg, w.p.Month, a.global(), a.array.Plane(), solar.DefaultAlbedo)
	if err != nil || a.global() == 0 || handbook.AboveAir == 0 {
		return // polar night
	}
	sunset := a.workSun(handbook)
	a.workPlane()
	a.workYield()
	a.workMonthly(handbook, sunset)
}

// arrayWorking writes the steps of one array; their names end with its number.
type arrayWorking struct {
	*workings
	i     int // from 0
	array *site.Array
	day   solar.Receipt // of a mean day of the month
	place solar.Place
	drawn phrase.Phrase // where its figures come from
}

// perDay is the unit of irradiation.
const perDay = "kWh/m2 d"

// rad turns degrees into radians.
var rad = working.Constant("rad", math.Pi/180, "rad")

func (a *arrayWorking) id() string { return strconv.Itoa(a.i + 1) }

// global is the irradiation on the horizontal in kWh/m2 a day.
func (a *arrayWorking) global() float64 { return a.day.GlobalWhM2 / 1000 }

// step adds a step, and its result under a name.
func (a *arrayWorking) step(what phrase.Phrase, name string, s working.Step) {
	s.Title, s.Name = phrase.Of("Array %d: %s", a.i+1, what), name+" of array "+a.id()
	a.add(s)
}

// result is that of an earlier step of the array.
func (a *arrayWorking) result(name string) working.Input { return a.as(name, name+" of array "+a.id()) }

// given is what a key of the array gives.
func (a *arrayWorking) given(key string, v float64, unit string) working.Input {
	return working.Given(key, v, unit, "array", a.id(), key)
}

// told is a figure of the days that were followed.
func (a *arrayWorking) told(name string, v float64, unit string) working.Input {
	return working.Told(name, v, unit, a.drawn)
}

func (a *arrayWorking) workHorizontal() {
	horizontal := working.Step{Formula: phrase.Of("mean of the month in the weather file"), Expr: "global_mean",
		Inputs: []working.Input{a.told("global_mean", a.global(), perDay)}, Value: a.global(), Unit: perDay,
		Sources: weatherFile}
	if a.array.Hours == nil {
		given := a.array.MonthlyKWhM2Day[a.p.Month-1]
		horizontal.Formula, horizontal.Sources = phrase.Of("of %s, on the horizontal", wording.MonthWord(a.p.Month)),
			siteFile
		if math.Abs(given-a.global()) <= verdict.Slack*given {
			horizontal.Expr, horizontal.Inputs = "monthly_kwh_m2_day",
				[]working.Input{a.given("monthly_kwh_m2_day", given, perDay)}
		}
	}
	a.step(phrase.Of("irradiation on the horizontal"), "global", horizontal)
}

// meanDay is the day that stands for its month in the handbook.
func meanDay(handbook solar.TiltedMonth) working.Input {
	return working.Told("day", float64(handbook.DayNumber), "",
		phrase.Of("mean day of the month, Duffie & Beckman, table %s", phrase.Name("1.6.1")))
}

// workSun shows how clear the month is: what arrives over what would arrive without air. It gives the hour angle of
// sunset in degrees.
func (a *arrayWorking) workSun(handbook solar.TiltedMonth) (sunsetDeg float64) {
	declination := solar.DeclinationDeg(handbook.DayNumber)
	day := meanDay(handbook)
	a.step(phrase.Of("declination of the sun"), "declination_deg",
		working.Step{Expr: "23.45 * sin(360 * (284 + day) / 365 * rad)",
			Inputs: []working.Input{day, rad}, Value: declination, Unit: "deg",
			Sources: duffie1})
	latitude := key("site", "latitude", a.place.LatitudeDeg, "deg")
	if a.array.Hours != nil {
		latitude.From = working.Origin{Told: phrase.Of("weather file")}
	}
	sunsetDeg = solar.SunsetHourAngleDeg(a.place.LatitudeDeg, declination)
	a.step(phrase.Of("hour angle of sunset"), "sunset_deg", working.Step{
		Expr:   "acos(max(-1, min(1, -tan(latitude * rad) * tan(declination_deg * rad)))) / rad",
		Inputs: []working.Input{latitude, a.result("declination_deg"), rad}, Value: sunsetDeg, Unit: "deg",
		Sources: duffie1})
	a.step(phrase.Of("irradiation above the atmosphere"), "outside_air", working.Step{
		Formula: phrase.Of("solar constant * correction for the distance of the sun * sine of its height, " +
			"added up over the mean day of the month"),
		Expr: "24 * rad / (180 * rad^2) * 1.367 * (1 + 0.033 * cos(360 * day / 365 * rad)) * (cos(latitude * rad) * " +
			"cos(declination_deg * rad)" +
			" * sin(sunset_deg * rad) + sunset_deg * rad * sin(latitude * rad) * sin(declination_deg * rad))",
		Inputs: []working.Input{day, latitude, a.result("declination_deg"), a.result("sunset_deg"), rad},
		Value:  handbook.AboveAir,
		Unit:   perDay, Sources: duffie1})
	a.step(phrase.Of("clearness index of the month"), "clearness", working.Step{Expr: "global / outside_air",
		Inputs: []working.Input{a.result("global"), a.result("outside_air")}, Value: a.global() / handbook.AboveAir,
		Sources: definition})
	return sunsetDeg
}

// workPlane shows what falls on the modules.
func (a *arrayWorking) workPlane() {
	diffuse := working.Step{Formula: phrase.Of("hour by hour from the weather file"),
		Value:   verdict.Share(a.day.DiffuseWhM2, a.day.GlobalWhM2),
		Sources: weatherFile, Expr: "diffuse / global_mean",
		Inputs: []working.Input{a.told("diffuse", a.day.DiffuseWhM2/1000, perDay),
			a.told("global_mean", a.day.GlobalWhM2/1000, perDay)}}
	if a.array.Hours == nil {
		diffuse.Formula = phrase.Of("by the clearness index of each day; the days are drawn, " +
			"each from the one before, and keep the mean of the month")
		diffuse.Sources = diffuseShare
	}
	a.step(phrase.Of("diffuse share of the irradiation"), "diffuse_share", diffuse)
	a.step(phrase.Of("irradiation in its plane"), "plane", working.Step{
		Formula: phrase.Of("beam + diffuse * (1 + cos(tilt))/2 + global * %g * (1 - cos(tilt))/2, hour by hour",
			solar.DefaultAlbedo),
		Expr: "beam_in_plane + sky_in_plane + ground_in_plane",
		Inputs: []working.Input{a.told("beam_in_plane", a.day.BeamWhM2/1000, perDay),
			a.told("sky_in_plane", a.day.SkyWhM2/1000, perDay),
			a.told("ground_in_plane", a.day.GroundWhM2/1000, perDay)}, Value: a.day.PlaneWhM2() / 1000, Unit: perDay,
		Sources: evenSky})
}

// workYield shows what the array gives of it: heat and losses.
func (a *arrayWorking) workYield() {
	warmth := verdict.Share(a.day.WarmWh, a.day.CoolWh)
	cells := working.Step{Formula: phrase.Of("1 + pmax_pct_per_c/100 * (T - 25), T = air + (noct_c - 20) * sun / 800, hour by hour"),
		Expr:   "warm_wh / cool_wh",
		Inputs: []working.Input{a.told("warm_wh", a.day.WarmWh, "Wh"), a.told("cool_wh", a.day.CoolWh, "Wh")}, Value: warmth,
		Sources: cellHeat}
	if a.day.CoolWh == 0 {
		cells.Expr = "0"
	}
	a.step(phrase.Of("temperature factor of the cells"), "warmth", cells)
	lost := 1 - verdict.Share(a.day.DCWh, a.day.WarmWh)
	losses := &working.Table{Columns: []working.Column{{Name: "lost"},
		{Name: "left", Expr: "before_left * (1 - lost)"}}}
	left := 1.0
	for _, l := range solar.DefaultLosses() {
		if l.Share > 0 {
			left *= 1 - l.Share
			losses.Rows = append(losses.Rows, working.Row{Values: []float64{l.Share, left}})
		}
	}
	lossStep := working.Step{
		Formula: phrase.Of("1 - product of the factors for dirt, shade, mismatch, wiring, connections, " +
			"light-induced degradation, nameplate and downtime"),
		Expr: "1 - last(left)", Table: losses, Value: lost,
		Sources: arrayLosses}
	if a.day.WarmWh == 0 {
		lossStep.Expr, lossStep.Table = "1", nil
	}
	a.step(phrase.Of("losses"), "losses", lossStep)
	a.step(phrase.Of("energy of a mean day"), "array_wh", working.Step{
		Formula: phrase.Of("rated power of the modules * irradiation in its plane * temperature factor of the cells * (1 - losses)"),
		Expr:    "rated_w * modules_per_string * strings * plane * warmth * (1 - losses)",
		Inputs: []working.Input{a.given("rated_w", a.array.Module.RatedW, "W"),
			a.given("modules_per_string", float64(a.array.ModulesPerString), ""),
			a.given("strings", float64(a.array.Strings), ""), a.result("plane"), a.result("warmth"),
			a.result("losses")}, Value: a.day.DCWh,
		Unit: "Wh", Sources: definition})
}

// workMonthly shows what the handbook's monthly method would make of the irradiation in the plane.
func (a *arrayWorking) workMonthly(handbook solar.TiltedMonth, sunsetDeg float64) {
	sixth := "1.391 - 3.560 * k + 4.189 * k^2 - 2.137 * k^3"
	if sunsetDeg > 81.4 {
		sixth = "1.311 - 3.022 * k + 3.427 * k^2 - 1.821 * k^3"
	}
	a.step(phrase.Of("clearness index that counts for the diffuse share"), "k",
		working.Step{Expr: "min(0.8, max(0.3, min(1, clearness)))",
			Inputs: []working.Input{a.result("clearness")}, Value: min(0.8, max(0.3, handbook.Clearness)),
			Sources: erbsMonthly})
	a.step(phrase.Of("diffuse share, by the monthly method"), "monthly_diffuse",
		working.Step{Expr: sixth, Inputs: []working.Input{a.result("k")},
			Value:   handbook.Diffuse,
			Sources: erbsMonthly})
	tilt := a.given("tilt_deg", a.array.TiltDeg, "deg")
	a.step(phrase.Of("irradiation in its plane, by the monthly method"), "monthly_plane", working.Step{
		Formula: phrase.Of("beam ratio of the mean day, diffuse by the clearness index of the month"),
		Expr: "global * ((1 - monthly_diffuse) * beam_ratio + monthly_diffuse * (1 + cos(tilt_deg * rad)) / 2 + " +
			"albedo * (1 - cos(tilt_deg * rad)) / 2)",
		Inputs: []working.Input{a.result("global"), a.result("monthly_diffuse"), working.Told("beam_ratio", handbook.BeamRatio, "",
			phrase.Of("of the mean day, for tilt and azimuth: Duffie & Beckman, eq. %s", phrase.Name("2.20.5"))),
			tilt, rad,
			working.Constant("albedo", solar.DefaultAlbedo, "")}, Value: handbook.Plane(), Unit: perDay,
		Sources: duffie2})
	ratio := working.Step{Formula: phrase.Of(
		"for comparison: a month without dull days overrates a steep array in winter"),
		Expr: "monthly_plane / plane", Inputs: []working.Input{a.result("monthly_plane"), a.result("plane")},
		Value: verdict.Share(handbook.Plane(), a.day.PlaneWhM2()/1000)}
	a.step(phrase.Of("monthly method over the days"), "", ratio)
}
