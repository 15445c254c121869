package solar

import (
	"testing"

	"pgregory.net/rapid"
)

func TestHourlyGlobalShare(t *testing.T) {
	// Duffie & Beckman, Example 2.13.2 (memory): 43 N, 23 August, 31.4 MJ/m2, the hour from 13 to 14. The book's
	// sunset is about 100.4, a 0.734 to 0.735, b 0.351 to 0.352.
	sunset := SunsetHourAngleDeg(43, DeclinationDeg(235))
	near(t, "sunset", sunset, 100.5, 0.1)
	rt := HourlyGlobalShare(22.5, sunset)
	near(t, "r_t", rt, 0.118, 0.0005)
	near(t, "I, MJ/m2", 31.4*rt, 3.7, 0.05)

	// Own: over the hours of that day the shares miss 1, which is why a day's shares are brought back to 1.
	var global, diffuse float64
	for h := range 24 {
		hour := 15*(float64(h)+0.5) - 180
		global += HourlyGlobalShare(hour, sunset)
		diffuse += HourlyDiffuseShare(hour, sunset)
	}
	near(t, "sum of r_t", global, 0.9952, 0.00005)
	near(t, "sum of r_d", diffuse, 0.9998, 0.00005)
}

func TestHourlySplit(t *testing.T) {
	// pvlib-python, test_irradiance.py (SEEN-P). Extraterrestrial normal of 1 January by Spencer's series (at angle 0)
	// with a solar constant of 1366.1: 1413.98.
	const normal = 1366.1 * (1.00011 + 0.034221 + 0.000719)
	rows := []struct {
		name                   string
		ghi, zenith            float64
		clearness, diffuse, dn float64
	}{
		{"Erbs, dull", 50, 85, 0.405723511, 41.5703604, 96.7192672},
		{"Erbs, clear", 1000, 10, 0.718132729, 217.860117, 794.205651},
	}
	for _, r := range rows {
		kt := r.ghi / (normal * cosDeg(r.zenith))
		near(t, r.name+" kt", kt, r.clearness, 1e-8)
		diffuse := r.ghi * ErbsHourly(r.clearness)
		near(t, r.name+" diffuse", diffuse, r.diffuse, 1e-4)
		near(t, r.name+" normal", (r.ghi-diffuse)/cosDeg(r.zenith), r.dn, 1e-4)
	}
	// Same source: nothing in, nothing out, with the sun down.
	beam, diffuse := litHour{sun: Sun{ZenithDeg: 120}}.split(0, 0, -1)
	if beam != 0 || diffuse != 0 {
		t.Errorf("night gives %g and %g", beam, diffuse)
	}
}

func TestErbsDaily(t *testing.T) {
	// Duffie & Beckman, Example 2.11.1 (from memory): St. Louis, 38.6 N, 3 September, 23.0 MJ/m2; clearness 0.69,
	// sunset at 96 degrees, diffuse share 0.26.
	n := dayNumber(9, 3)
	sunset := SunsetHourAngleDeg(38.6, DeclinationDeg(n))
	near(t, "sunset", sunset, 96, 0.6)
	kt := 23.0 / (DailyExtraterrestrialKWhM2(38.6, DeclinationDeg(n), n) * mjPerKWh)
	near(t, "clearness", kt, 0.69, 0.005)
	near(t, "share of the printed clearness", ErbsDaily(96, 0.69), 0.26, 0.005)
	// The winter branch meets its constant end, and both start at an overcast day.
	near(t, "winter, clearest", ErbsDaily(70, 0.7149), 0.143, 0.001)
	for _, sunset := range []float64{70, 100} {
		near(t, "overcast", ErbsDaily(sunset, 0), 1, 0)
	}
}

func TestErbsMonthly(t *testing.T) {
	// Duffie & Beckman, section 2.19, January in Madison, Wisconsin (43 N): 6.44 MJ/m2 of 13.37, clearness 0.48,
	// diffuse share 0.41 (memory).
	declination := DeclinationDeg(meanDays[0])
	near(t, "H0, MJ/m2", DailyExtraterrestrialKWhM2(43, declination, meanDays[0])*mjPerKWh, 13.37, 0.05)
	near(t, "January share", ErbsMonthly(SunsetHourAngleDeg(43, declination), 6.44/13.37), 0.41, 0.005)
	// Beyond its range the correlation would turn round and leave [0, 1].
	if a, b := ErbsMonthly(60, 0.05), ErbsMonthly(60, 0.3); a != b {
		t.Errorf("share %g at clearness 0.05, want that of 0.3, %g", a, b)
	}
}

func TestDiffuseSharesStayShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kt := rapid.Float64Range(-1, 3).Draw(t, "kt")
		sunset := rapid.Float64Range(0, 180).Draw(t, "sunset")
		for _, f := range []float64{ErbsHourly(kt), ErbsDaily(sunset, kt), ErbsMonthly(sunset, kt)} {
			if !(f > 0 && f <= 1) {
				t.Fatalf("diffuse share %g", f)
			}
		}
	})
}

func TestSplitClosesAndStaysPossible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := placeGen.Draw(t, "place")
		n := rapid.IntRange(1, 365).Draw(t, "n")
		l := lit(p.LatitudeDeg, DeclinationDeg(n), n, rapid.Float64Range(-180, 180).Draw(t, "begin"))
		global := rapid.Float64Range(0, 1400).Draw(t, "global")
		given := rapid.Float64Range(0, 1400).Draw(t, "diffuse")
		measured := rapid.OneOf(rapid.Just(-1.0), rapid.Float64Range(0, 1400)).Draw(t, "beam")
		beam, diffuse := l.split(global, given, measured)
		if !(beam >= 0 && beam <= l.normalWm2 && diffuse >= 0 && diffuse <= global) {
			t.Fatalf("beam %g of at most %g, diffuse %g of %g", beam, l.normalWm2, diffuse, global)
		}
		if beam > 0 {
			if off := beam*cosDeg(l.sun.ZenithDeg) + diffuse - global; off > 1e-9 || off < -1e-9 {
				t.Fatalf("the parts miss global by %g", off)
			}
		}
	})
}
