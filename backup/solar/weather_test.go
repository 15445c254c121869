package solar

import (
	"testing"
)

// daysOf makes weather whose noon hours alone have radiation, in kWh/m2 of the day.
func daysOf(kWhM2 func(day int) float64) Weather {
	w := Weather{Hours: make([]Hour, HoursPerYear)}
	for d := range 365 {
		w.Hours[d*24+12].GlobalWm2 = 1000 * kWhM2(d)
	}
	return w
}

func TestLeastRun(t *testing.T) {
	// Dull days at the ends of the year are one run; of equal runs the earliest counts.
	w := daysOf(func(day int) float64 {
		switch day + 1 {
		case 100, 200:
			return 0.25
		case 364, 365, 1, 2:
			return 0.5
		}
		return 1
	})
	for _, tt := range []struct {
		days, first int
		kWhM2       float64
	}{{1, 100, 0.25}, {2, 1, 1}, {4, 364, 2}, {5, 363, 3}, {365, 1, 361.5}} {
		first, kWhM2, err := w.LeastRun(tt.days)
		if err != nil || first != tt.first || kWhM2 != tt.kWhM2 {
			t.Errorf("%d days: from day %d, %g kWh/m2, %v; want %d and %g", tt.days, first, kWhM2, err, tt.first, tt.kWhM2)
		}
	}
	for _, days := range []int{0, 366} {
		if _, _, err := w.LeastRun(days); err == nil {
			t.Errorf("a run of %d days is taken", days)
		}
	}
	if _, _, err := (Weather{}).LeastRun(1); err == nil {
		t.Error("no weather has a least day")
	}
	if months := (Weather{}).MonthlyKWhM2(); months != [12]float64{} {
		t.Errorf("no weather has months %v", months)
	}
}

func TestYearOfNoNumberIsForgiven(t *testing.T) {
	// Some files write 0 or 9999 where the year belongs. The sun then stands as in any common year.
	f := fileOf(greensboroYear(t), 6)
	want := weatherOf(t, f)
	for line := 9; line <= len(f); line++ {
		f.set(line, 1, "9999")
	}
	got := weatherOf(t, f)
	for i := range got.Hours {
		// At sunrise the lit part of an hour may come or go altogether.
		was := want.Hours[i].Sun.ZenithDeg
		if off := got.Hours[i].Sun.ZenithDeg - was; was < 80 && (off > 0.3 || off < -0.3) {
			t.Fatalf("hour %d: the sun moves by %g degrees", i, off)
		}
	}
}
