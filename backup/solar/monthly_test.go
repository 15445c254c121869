package solar

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// greensboro: monthly means of the global column of a US typical-year file (TMY3 723170, Greensboro NC; SEEN-P), whose
// year is 1566.2 kWh/m2. Air temperatures are invented.
var greensboro = Monthly{
	Place:          Place{36.10, -79.95, -5},
	GlobalKWhM2Day: [12]float64{2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24},
	AirC:           [12]float64{6, 8, 12, 18, 22, 26, 28, 27, 24, 18, 12, 7},
}

// melbourne: invented round numbers for the southern hemisphere.
var melbourne = Monthly{
	Place:          Place{-37.9, 145.2, 10},
	GlobalKWhM2Day: [12]float64{6.8, 6.0, 4.9, 3.5, 2.4, 2.0, 2.2, 3.0, 4.0, 5.2, 6.1, 6.7},
	AirC:           [12]float64{25, 25, 23, 19, 16, 13, 12, 14, 16, 19, 21, 24},
}

// monthlyGen draws a place and months of any clearness that it can have.
var monthlyGen = rapid.Custom(func(t *rapid.T) Monthly {
	m := Monthly{Place: placeGen.Draw(t, "place")}
	clearness := rapid.OneOf(rapid.Float64Range(0, 1), rapid.Float64Range(0.25, 0.75))
	for month, days := range monthDays {
		kt := clearness.Draw(t, "clearness")
		for d := range days {
			n := firstDay(month) + d + 1
			m.GlobalKWhM2Day[month] += DailyExtraterrestrialKWhM2(m.Place.LatitudeDeg, DeclinationDeg(n), n) /
				float64(days) * kt * (1 - 1e-12)
		}
		m.AirC[month] = rapid.Float64Range(-60, 45).Draw(t, "air")
	}
	return m
})

// TestAnyYear draws places, months and arrays: making a year is what takes the time, so all its laws are tried at once.
func TestAnyYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := monthlyGen.Draw(t, "monthly")
		days := Days(rapid.IntRange(0, 2).Draw(t, "days"))
		w, err := yearOf(m, days, rapid.Uint64().Draw(t, "seed"))
		if err != nil {
			t.Fatal(err)
		}
		for i, got := range w.MonthlyKWhM2() {
			// 1e-9 of the mean, and 1e-9 kWh/m2 for months that are all but polar night.
			if want := m.GlobalKWhM2Day[i]; math.Abs(got/float64(monthDays[i])-want) > 1e-9*want+1e-9 {
				t.Fatalf("month %d: %g kWh/m2 a day, want %g", i+1, got/float64(monthDays[i]), want)
			}
		}
		for h, hour := range w.Hours {
			up := hour.Sun.ZenithDeg < 90+1e-9 // at the poles the sun walks along the horizon on two days
			if hour.GlobalWm2 > 0 && !up || !(hour.DiffuseWm2 <= hour.GlobalWm2) ||
				hour.BeamNormalWm2 > 1.034*SolarConstantWm2 {
				t.Fatalf("hour %d: %+v", h, hour)
			}
		}
		a := arrayGen.Draw(t, "array")
		dc, err := dcOf(a, w)
		if err != nil {
			t.Fatal(err)
		}
		if len(dc) != HoursPerYear {
			t.Fatalf("%d hours", len(dc))
		}
		for h, v := range dc {
			if !(v >= 0 && v <= 3*a.RatedW()) { // three suns: nothing on earth, so a number, and not a wild one
				t.Fatalf("hour %d: %g W of %g W rated, from %+v", h, v, a.RatedW(), w.Hours[h])
			}
		}
	})
}

func TestEqualDaysSplitByTheMonth(t *testing.T) {
	w, err := yearOf(greensboro, EqualDays, 0)
	if err != nil {
		t.Fatal(err)
	}
	daily := func(month int) (global, diffuse, extra float64) {
		for d := range monthDays[month] {
			n := firstDay(month) + d
			extra += DailyExtraterrestrialKWhM2(greensboro.Place.LatitudeDeg, DeclinationDeg(n+1), n+1) * 1000
			for _, h := range w.Hours[n*24 : n*24+24] {
				global += h.GlobalWm2
				diffuse += h.DiffuseWm2
			}
		}
		return global, diffuse, extra
	}
	// December (sunset at 72 degrees) and June (at 108) lie on the two branches of Erbs's correlation. Hours in which
	// the spread asks for more diffuse than global, at the ends of the day, cost some thousandths.
	for month, sunset := range map[int]float64{11: 72, 5: 108} {
		global, diffuse, extra := daily(month)
		near(t, "diffuse share", diffuse/global, ErbsMonthly(sunset, global/extra), 0.003)
	}
	if h := w.Hours[12]; h.AirC != 6 {
		t.Errorf("January has %g C, want 6", h.AirC)
	}
	if h := w.Hours[HoursPerYear-12]; h.AirC != 7 {
		t.Errorf("December has %g C, want 7", h.AirC)
	}
}

func TestTheEveMatters(t *testing.T) {
	// January is drawn first, so that December enters it by its mean alone.
	january := func(december float64) []Hour {
		m := greensboro
		m.GlobalKWhM2Day[11] = december
		w, err := yearOf(m, DrawnDays, 1)
		if err != nil {
			t.Fatal(err)
		}
		return w.Hours[:31*24]
	}
	if slices.Equal(january(0.5), january(3)) {
		t.Error("a dull and a bright December have the same January")
	}
}

func TestGreensboroYear(t *testing.T) {
	for days := EqualDays; days <= DrawnDays; days++ {
		w, err := yearOf(greensboro, days, 1)
		if err != nil {
			t.Fatal(err)
		}
		got := w.MonthlyKWhM2()
		// Two decimals a day are printed: half of the last one on 365 days is 1.8 kWh/m2.
		near(t, "year, kWh/m2", sum(got[:]), 1566.2, 1.8)
	}
}

func TestHoursFollowTheClock(t *testing.T) {
	// In Greensboro the sun is highest some 20 minutes after the zone's noon; on 11 February a quarter of an hour more.
	w, err := yearOf(greensboro, EqualDays, 0)
	if err != nil {
		t.Fatal(err)
	}
	for d := range 365 {
		today := w.Hours[d*24 : d*24+24]
		brightest := slices.MaxFunc(today,
			func(a, b Hour) int { return int(math.Copysign(1, a.GlobalWm2-b.GlobalWm2)) })
		if h := slices.Index(today, brightest); h != 11 && h != 12 {
			t.Fatalf("day %d is brightest in hour %d", d+1, h)
		}
	}
}

func TestEqualSeedEqualYear(t *testing.T) {
	year := func(days Days, seed uint64) []Hour {
		w, err := yearOf(greensboro, days, seed)
		if err != nil {
			t.Fatal(err)
		}
		return w.Hours
	}
	if !slices.Equal(year(DrawnDays, 7), year(DrawnDays, 7)) {
		t.Error("seed 7 gives two years")
	}
	if slices.Equal(year(DrawnDays, 7), year(DrawnDays, 8)) {
		t.Error("seeds 7 and 8 give one year")
	}
	if !slices.Equal(year(OrderedDays, 7), year(OrderedDays, 8)) {
		t.Error("the ordered year listens to the seed")
	}
}

func TestMonthlyRefuses(t *testing.T) {
	bright, negative, nowhere := greensboro, greensboro, greensboro
	bright.GlobalKWhM2Day[11] = 5.5
	negative.GlobalKWhM2Day[0] = -1
	nowhere.Place.LatitudeDeg = 91
	for want, m := range map[string]Monthly{
		"irradiation of month 12 5.5 kWh/m2 a day, but at latitude 36.1 only 4.49 arrives": bright,
		"irradiation of month 1 -1 kWh/m2 a day, want 0 to 15":                             negative,
		"latitude 91 degrees, want -90 to 90":                                              nowhere,
	} {
		if w, err := yearOf(m, EqualDays, 0); err == nil || !strings.Contains(err.Error(), want) || w.Hours != nil {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
	if _, err := yearOf(greensboro, DrawnDays+1, 0); err == nil {
		t.Error("a fourth kind of days is taken")
	}
	clear := greensboro
	clear.GlobalKWhM2Day[5] = 9.5
	if w, err := yearOf(clear, EqualDays, 0); err != nil || len(w.Cautions) != 1 ||
		!strings.Contains(w.Cautions[0].String(), "month 6, 9.5 kWh/m2 a day, is 8") {
		t.Errorf("an all but cloudless June: %v, cautions %q", err, w.Cautions)
	}
}
