package battery

import (
	"math"
	"testing"
)

func TestCycleLife(t *testing.T) {
	agm := Unit{Cycles: []CyclePoint{{0.3, 2000}, {0.4, 1500}, {0.5, 1000}}}    // dealer's bank-sizing page, SEEN
	other := Unit{Cycles: []CyclePoint{{0.5, 1000}, {0.8, 500}}}                // installer's page on AGM, 25 C, SEEN
	turned := Unit{Cycles: []CyclePoint{{0.4, 1500}, {0.5, 1000}, {0.3, 2000}}} // the first one, in another order
	one := Unit{Cycles: []CyclePoint{{0.5, 1200}}}                              // installer's page, cheap flooded, SEEN
	for _, tt := range []struct {
		u            Unit
		dod          float64
		want         float64
		extrapolated bool
		ok           bool
		why          string
	}{
		{agm, 0.3, 2000, false, true, "a point"},
		{agm, 0.4, 1500, false, true, "a point"},
		{agm, 0.5, 1000, false, true, "a point"},
		{agm, 0.1, 2000, true, true, "shallower is not credited"},
		{turned, 0.3, 2000, false, true, "a point, in any order"},
		{turned, 0.4, 1500, false, true, "a point, in any order"},
		{turned, 0.1, 2000, true, true, "shallower is not credited, in any order"},
		{other, 0.8, 500, false, true, "a point"},
		{other, math.Sqrt(0.5 * 0.8), math.Sqrt(1000 * 500), false, true, "middle of the line on log-log paper"},
		{other, 1, 500 * math.Pow(1/0.8, math.Log(0.5)/math.Log(1.6)), true, true, "the line goes on"},
		{one, 0.5, 1200, false, true, "the only point"},
		{one, 0.25, 1200, true, true, "shallower is not credited"},
		{one, 1, 600, true, true, "the same charge through it"},
		{Unit{}, 0.5, 0, false, false, "no table"},
		{agm, 0, 0, false, false, "no depth"},
		{Unit{Cycles: []CyclePoint{{0.5, 10}, {0.5, 10}}}, 0.6, 0, false, false, "a table that contradicts itself"},
	} {
		got, ex, ok := tt.u.CycleLife(tt.dod)
		if !near(got, tt.want, 1e-6) || ex != tt.extrapolated || ok != tt.ok {
			t.Errorf("CycleLife(%.3f) of %v = %g, %v, %v, want %g, %v, %v (%s)", tt.dod, tt.u.Cycles, got, ex, ok,
				tt.want, tt.extrapolated, tt.ok, tt.why)
		}
	}
}

func TestLife(t *testing.T) {
	u := Unit{Cycles: []CyclePoint{{0.5, 1200}}}
	// 1200 cycles, one a day: 3.3 years. Installer's page, SEEN; one decimal.
	l, err := u.Life(365, 0.5, 8, 25)
	if err != nil || !near(l.CycleYears, 3.3, 0.05) || !near(l.CalendarYears, 8, 1e-12) || l.Years != l.CycleYears {
		t.Errorf("%+v, %v, want 3.3 and 8 years", l, err)
	}
	// Twelve outages a year: the calendar rules, and 35 C halves it.
	if l, err = u.Life(12, 0.5, 8, 35); err != nil || !near(l.Years, 4, 1e-12) {
		t.Errorf("%+v, %v, want 4 years", l, err)
	}
	if l, _ = u.Life(0, 0.5, 8, 10); !math.IsInf(l.CycleYears, 1) || !near(l.Years, 8, 1e-12) {
		t.Errorf("never used, in the cool: %+v, want 8 years and no credit for the cold", l)
	}
	for _, bad := range [][4]float64{{-1, 0.5, 8, 25}, {1, 0, 8, 25}, {1, 1.1, 8, 25}, {1, 0.5, 0, 25},
		{1, 0.5, 8, math.NaN()}} {
		if _, err := u.Life(bad[0], bad[1], bad[2], bad[3]); err == nil {
			t.Errorf("Life(%v): no error", bad)
		}
	}
}

func TestCalendarYears(t *testing.T) {
	for _, tt := range []struct {
		years, ratedC, tempC, halvingK float64
		want, tol                      float64
		source                         string
	}{
		{10, 25, 33, 8, 5, 0.05, "sealed lead-acid halves each 8 C (15 F), public battery text, SEEN"},
		{10, 25, 41, 8, 2.5, 0.05, "the same"},
		{10, 20, 25, handbookHalvingK, 7, 0.1, "maker's handbook, spiral-cell or traction, SEEN: 7.07 printed as 7"},
		{10, 20, 30, handbookHalvingK, 5, 0.05, "the same"},
		{5, 20, 25, handbookHalvingK, 3.6, 0.1, "the same, starter or small gel: 3.54 printed as 3.6"},
		{5, 20, 30, handbookHalvingK, 2.5, 0.05, "the same"},
	} {
		if got := calendarYears(tt.years, tt.ratedC, tt.tempC, tt.halvingK); !near(got, tt.want, tt.tol) {
			t.Errorf("%g years at %g C are %.3f at %g C, want %g (%s)", tt.years, tt.ratedC, got, tt.tempC, tt.want,
				tt.source)
		}
	}
}
