package findings

import (
	"math"
	"testing"

	"outlast/backup/sheet/speech"
)

// Times for people: rounded down in the unit that they think in, but for the hundredth that nobody knows.
func TestHours(t *testing.T) {
	write(t, Voice.Hours, []told{
		{0, "about 0 minutes"}, {0.98, "about 55 minutes"}, {1.47, "about 85 minutes"}, {1.5, "about 1.5 hours"},
		{2.47, "about 2 hours"},
		{9.89, "about 9.5 hours"}, {9.91, "about 10 hours"}, {10.88, "about 10 hours"},
		{11 + 58.0/60, "about 12 hours"}, {11.8, "about 11 hours"},
		{71.2, "about 71 hours"}, {72, "about 3 days"}, {73, "about 3 days"}, {74, "about 3 days and 2 hours"},
		{71.5, "about 71 hours"}, {71.95, "about 3 days"}, // a hundredth of days is more than nobody minds
		{124.32, "about 5 days and 4 hours"},
		{237.4, "about 9 days and 21 hours"}, {240, "about 10 days"}, {261, "about 10 days"},
	})
}

// A wait is told in the same units, but never as less than it is, nor as much more.
func TestWait(t *testing.T) {
	write(t, Voice.Wait, []told{
		{0.5, "about 30 minutes"}, {0.51, "about 35 minutes"}, {1.42, "about 90 minutes"}, {1.5, "about 1.5 hours"},
		{1.51, "about 2 hours"}, {5.5, "about 5.5 hours"}, {5.84, "about 6 hours"}, {6.01, "about 6.5 hours"},
		{9.6, "about 10 hours"}, {10, "about 10 hours"}, {10.1, "about 11 hours"}, {71.5, "about 3 days"},
		{72, "about 3 days"}, {72.5, "about 3 days and 2 hours"}, {73.5, "about 3 days and 2 hours"}, {240, "about 10 days"},
		{241, "about 11 days"},
	})
}

// A told is a time and how it is written.
type told struct {
	h    float64
	want string
}

// write compares how a voice writes times, in English.
func write(t *testing.T, how func(Voice, float64) string, times []told) {
	t.Helper()
	english, err := speech.NewVoice("en", false)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range times {
		if got := how(Voice{english}, tt.h); got != tt.want {
			t.Errorf("%g h: %q, want %q", tt.h, got, tt.want)
		}
	}
}

// A metric cross-section is told as the smallest AWG size that is not smaller. Sizes in mm2: NEC Chapter 9 Table 8
// (SEEN-S).
func TestAWG(t *testing.T) {
	check := func(mm2 float64, want string) {
		t.Helper()
		if got, _ := awg(mm2); got != want {
			t.Errorf("awg(%g) = %q, want %q", mm2, got, want)
		}
	}
	check(2.08, "14 AWG")
	check(2.5, "12 AWG") // 14 AWG has 2.08 mm2
	check(3.3, "12 AWG") // 3.31: a rounding of catalogues
	check(4, "10 AWG")
	check(5.26, "10 AWG")
	check(6, "8 AWG")
	check(10, "6 AWG")
	check(16, "4 AWG")
	if name, ok := awg(1e6); ok {
		t.Errorf("awg(1e6) = %q, but there is none", name)
	}
	if name, ok := awg(math.NaN()); ok {
		t.Errorf("awg(NaN) = %q", name)
	}
}

// Supplies by the names that they go by: 230/400 V, not 230/398 V.
func TestBetweenLines(t *testing.T) {
	for v, want := range map[float64]float64{230: 400, 240: 415, 220: 380, 127: 220, 120: 208, 277: 480} {
		if got := BetweenLines(v); got != want {
			t.Errorf("betweenLines(%g) = %g, want %g", v, got, want)
		}
	}
	if got := BetweenLines(100); math.Abs(got-173.2) > 0.05 {
		t.Errorf("betweenLines(100) = %g: a voltage without a name is worked out", got)
	}
}

// A temperature stands in its column without its unit, which is that of the site; degrees Celsius stand beside others.
func TestDegrees(t *testing.T) {
	for _, tt := range []struct {
		us                                bool
		c                                 float64
		remark, cell, exact, unit, beside string
	}{
		{false, 0, "of the cell", "0", "0", "°C", "of the cell"},
		{false, -24.3, "", "−24.3", "-24.3", "°C", ""},
		{true, 0, "of the cell", "32", "32", "°F", "0\u00a0°C, of the cell"},
		{true, 50, "", "122", "122", "°F", "50\u00a0°C"},
		{true, -40, "", "−40", "-40", "°F", "−40\u00a0°C"},
	} {
		english, err := speech.NewVoice("en", false)
		if err != nil {
			t.Fatal(err)
		}
		english.US = tt.us
		v := Voice{english}
		cell, unit, beside := v.Degrees(tt.c, tt.remark)
		if cell.S != tt.cell || cell.Exact != tt.exact || unit != tt.unit || beside != tt.beside {
			t.Errorf("%g C, US %t: %q (%q), %q, %q, want %q (%q), %q, %q", tt.c, tt.us, cell.S, cell.Exact, unit, beside,
				tt.cell, tt.exact, tt.unit, tt.beside)
		}
	}
}
