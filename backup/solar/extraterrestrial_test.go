package solar

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

const mjPerKWh = 3.6

func TestDailyExtraterrestrial(t *testing.T) {
	// Duffie & Beckman, Example 1.10.1 (SEEN-S): 43 N, 15 April, 33.8 MJ/m2; sunset at 98.9 degrees.
	near(t, "H0, MJ/m2", DailyExtraterrestrialKWhM2(43, DeclinationDeg(105), 105)*mjPerKWh, 33.8, 0.05)
	near(t, "sunset", SunsetHourAngleDeg(43, DeclinationDeg(105)), 98.9, 0.05)

	// FAO Irrigation & Drainage Paper 56, Examples 8 and 9 (SEEN-S): 20 S, 3 September; dr 0.985, sunset 1.527 rad.
	// The paper has a declination (eq. 24) and a day length (eq. 34) of its own.
	faoDeclinationDeg := func(n int) float64 {
		return 0.409 * math.Sin(2*math.Pi*float64(n)/365-1.39) *
			(180 / math.Pi)
	}
	declination := faoDeclinationDeg(246)
	near(t, "declination, rad", declination*math.Pi/180, 0.120, 0.0005)
	sunset := SunsetHourAngleDeg(-20, declination)
	near(t, "dr", DistanceFactor(246), 0.985, 0.0005)
	near(t, "Ra, MJ/m2", DailyExtraterrestrialKWhM2(-20, declination, 246)*mjPerKWh, 32.2, 0.05)
	near(t, "sunset, rad", sunset*0.017453292519943295, 1.527, 0.0005)
	near(t, "day length, h", sunset*2/15, 11.7, 0.05)

	// FAO 56, Example 10 (SEEN-S; the place, Rio de Janeiro in mid-May, memory): Ra 25.1, N 10.9.
	declination = faoDeclinationDeg(135)
	near(t, "Ra, Rio", DailyExtraterrestrialKWhM2(-22.9, declination, 135)*mjPerKWh, 25.1, 0.05)
	near(t, "N, Rio", SunsetHourAngleDeg(-22.9, declination)*2/15, 10.9, 0.05)
}

func TestMeanDayExtraterrestrial(t *testing.T) {
	// Own: recomputed elsewhere from the same published formulas (Cooper, eq. 1.10.3, 1367 W/m2), MJ/m2, printed to
	// 0.1.
	rows := []struct {
		lat  float64
		want [12]float64
	}{
		{0, [12]float64{36.2, 37.5, 37.9, 36.8, 34.8, 33.5, 33.9, 35.7, 37.2, 37.4, 36.4, 35.7}},
		{20, [12]float64{26.9, 30.7, 34.8, 37.9, 39.3, 39.5, 39.3, 38.3, 35.8, 31.8, 27.8, 25.8}},
		{40, [12]float64{15.2, 20.5, 27.4, 34.6, 39.7, 41.8, 40.7, 36.5, 30.0, 22.5, 16.4, 13.8}},
		{60, [12]float64{3.4, 8.5, 16.8, 27.5, 36.6, 41.0, 38.9, 31.0, 20.6, 10.9, 4.5, 2.3}},
		{-35, [12]float64{43.2, 38.9, 32.5, 24.9, 18.6, 15.8, 17.0, 22.0, 29.2, 36.5, 41.9, 44.2}},
	}
	for _, row := range rows {
		for m, n := range meanDays {
			near(t, "H0", DailyExtraterrestrialKWhM2(row.lat, DeclinationDeg(n), n)*mjPerKWh, row.want[m], 0.0501)
		}
	}
}

func TestPolarDayAndNight(t *testing.T) {
	if got := DailyExtraterrestrialKWhM2(80, DeclinationDeg(355), 355); got != 0 {
		t.Errorf("polar night brings %g", got)
	}
	near(t, "midnight sun, sunset", SunsetHourAngleDeg(80, DeclinationDeg(172)), 180, 0)
	// At the pole the sun keeps its height all day: H0 = 24 h * G0n * sin(declination).
	declination := DeclinationDeg(172)
	near(t, "H0 at the pole", DailyExtraterrestrialKWhM2(90, declination, 172),
		24*SolarConstantWm2*DistanceFactor(172)*sinDeg(declination)/1000, 1e-9)
}

func TestHoursAddToTheDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := placeGen.Draw(t, "place")
		n := rapid.IntRange(1, 365).Draw(t, "n")
		d := dayAt(p, n)
		want := DailyExtraterrestrialKWhM2(p.LatitudeDeg, DeclinationDeg(n), n)
		var extra, global, diffuse float64
		for h, l := range d.hours {
			extra += l.extraWhM2 / 1000
			global += d.global[h]
			diffuse += d.diffuse[h]
			if d.global[h] < 0 || d.diffuse[h] < 0 || l.share < 0 || l.share > 1 {
				t.Fatalf("hour %d: %+v, shares %g and %g", h, l, d.global[h], d.diffuse[h])
			}
		}
		if diff := extra - want; diff > 1e-9 || diff < -1e-9 {
			t.Fatalf("hours hold %g kWh/m2, the day %g", extra, want)
		}
		if want > 1e-3 && (global < 1-1e-12 || global > 1+1e-12 || diffuse < 1-1e-12 || diffuse > 1+1e-12) {
			t.Fatalf("shares add to %g and %g", global, diffuse)
		}
	})
}

// placeGen draws places on earth whose clock may be hours off the sun, the poles among them.
var placeGen = rapid.Custom(func(t *rapid.T) Place {
	lat := rapid.OneOf(rapid.Float64Range(-90, 90), rapid.SampledFrom([]float64{-90, -66.56, -35, 0, 66.56, 90}))
	return Place{lat.Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon"),
		rapid.Float64Range(-12, 14).Draw(t, "utc")}
})
