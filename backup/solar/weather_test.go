package solar

import (
	"testing"
)

func TestNoWeatherHasNoMonths(t *testing.T) {
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
