package battery

import (
	"testing"

	"pgregory.net/rapid"
)

// TestLeastSoC: below the state of charge that is told some limit is too low, from it on none is, however limits rise
// and fall.
func TestLeastSoC(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var limits [cutoffSteps + 1]float64
		for i := range limits {
			limits[i] = float64(rapid.IntRange(0, 9).Draw(t, "limit"))
			if rapid.Bool().Draw(t, "rising") {
				limits[i] += float64(i)
			}
		}
		c := newCutoff(limits)
		amps := rapid.Float64Range(-1, cutoffSteps+10).Draw(t, "amps")
		soc := c.leastSoC(amps)
		if soc > 1 && limits[cutoffSteps] >= amps {
			t.Fatalf("none is told for %g A, but a full bank gives %g A", amps, limits[cutoffSteps])
		}
		last := -1 // the last step that gives too little
		for i, limit := range limits {
			if limit < amps {
				last = i
			}
		}
		switch {
		case last < 0 && soc != 0:
			t.Fatalf("%g A are told from %g on, want from empty on", amps, soc)
		case last == cutoffSteps && soc <= 1:
			t.Fatalf("%g A are told from %g on, want none", amps, soc)
		case last >= 0 && last < cutoffSteps:
			if at := soc * cutoffSteps; at < float64(last) || at > float64(last+1)+1e-9 {
				t.Fatalf("%g A are told from step %g on, want between %d and %d", amps, at, last, last+1)
			}
			if got := c.limitA(soc); got < amps-1e-9 || got > amps+1e-9 {
				t.Fatalf("at %g the limit is %g A, want %g", soc, got, amps)
			}
		}
	})
}
