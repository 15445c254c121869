package loads

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestProfileEnergy(t *testing.T) {
	p := Profile{{0, 360, 100}, {360, 390, 1300}, {390, 1440, 200}}
	const own = "own, by hand"
	day := 100*6 + 1300*0.5 + 200*17.5
	start, wh := p.WorstStart(1)
	halfStart, half := p.WorstStart(0.25)
	dayStart, worstDay := p.WorstStart(24)
	check(t, []fact{
		{"a day", own, p.EnergyWh(0, 24), day, 1e-9},
		{"a day from noon", own, p.EnergyWh(720, 24), day, 1e-9},
		{"three days and a half", own, p.EnergyWh(0, 84), 3*day + 600 + 650 + 200*5.5, 1e-9},
		{"over midnight", own, p.EnergyWh(1380, 2), 200 + 100, 1e-9},
		{"parts of a minute", own, p.EnergyWh(359.5, 1.0/60), 100.0/120 + 1300.0/120, 1e-9},
		{"no time", own, p.EnergyWh(77, 0), 0, 0},
		{"a start on another day", own, p.EnergyWh(-60, 2), p.EnergyWh(1380, 2), 1e-9},
		{"worst hour: the peak and half an hour of 200 W", own, wh, 750, 1e-9},
		{"which starts with the peak", own, start, 360, 0},
		{"worst quarter", own, half, 325, 1e-9},
		{"the earliest of equal ones", own, halfStart, 360, 0},
		{"all starts of a day are equal", own, worstDay, day, 1e-9},
		{"so the first", own, dayStart, 0, 0},
		{"hour 6", own, p.HourlyW()[6], 750, 1e-9},
		{"hour 5", own, p.HourlyW()[5], 100, 1e-9},
		{"no profile", own, Profile(nil).EnergyWh(3, 5), 0, 0},
	})
	// The end may bend, too: 90 min that end with the peak at 06:30 start at 05:00.
	if at, _ := (Profile{{0, 300, 0}, {300, 360, 250}, {360, 390, 1300}, {390, 1440, 200}}).WorstStart(1.5); at != 300 {
		t.Errorf("worst start %g, want 300", at)
	}
}

func TestProfileLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		s := NewSet(phases, genLoads(phases, 0, 10).Draw(t, "loads"))
		p := s.Profile()
		day := s.EnergyWhPerDay()

		at := 0
		for _, st := range p {
			if st.StartMin != at || st.EndMin <= at {
				t.Fatalf("step %+v after minute %d", st, at)
			}
			at = st.EndMin
		}
		if at != minutesPerDay {
			t.Fatalf("the profile ends at %d", at)
		}
		sum := 0.0
		for _, w := range p.HourlyW() {
			sum += w
		}
		if !near(sum, day) || !near(p.EnergyWh(0, 24), day) {
			t.Fatalf("hours add to %g Wh, a day to %g Wh, want %g", sum, p.EnergyWh(0, 24), day)
		}

		start := rapid.Float64Range(0, minutesPerDay).Draw(t, "start")
		hours := rapid.Float64Range(0, 100).Draw(t, "hours")
		cut := rapid.Float64Range(0, hours).Draw(t, "cut")
		parts := p.EnergyWh(start, cut) + p.EnergyWh(start+cut*60, hours-cut)
		if whole := p.EnergyWh(start, hours); !near(whole, parts) {
			t.Fatalf("%g Wh in one, %g Wh in two parts", whole, parts)
		}
	})
}

func TestWorstStartEqualsScan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := NewSet(1, genLoads(1, 0, 6).Draw(t, "loads")).Profile()
		// Halves of a minute: so the scan meets every start that can be the worst.
		hours := float64(rapid.IntRange(0, 30*120).Draw(t, "half minutes")) / 120
		start, wh := p.WorstStart(hours)
		if start < 0 || start >= minutesPerDay || !near(wh, p.EnergyWh(start, hours)) {
			t.Fatalf("start %g with %g Wh, but %g Wh there", start, wh, p.EnergyWh(start, hours))
		}
		for k := range 2 * minutesPerDay {
			at := float64(k) / 2
			switch e := p.EnergyWh(at, hours); {
			case e > wh*(1+1e-9):
				t.Fatalf("%g Wh from %g on, but %g Wh from %g on", wh, start, e, at)
			case at < start && e > wh*(1-1e-13) && wh > 0 && math.Abs(start-at) > 1e-6:
				t.Fatalf("%g Wh from %g on, but as much from %g on", wh, start, at)
			}
		}
	})
}
