package loads

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// What the parts of a weighted sum add up to is the sum.
func TestPeakPartsWith(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ls := genLoads(3, 0, 12).Draw(t, "loads")
		set := NewSet(3, ls)
		weight := func(l Load) float64 {
			if l.HoursPerDay > 3 {
				return 1.25
			}
			return 1
		}
		_, parts := set.PeakPartsWith(weight)
		var w, vars float64
		for _, p := range parts {
			l := ls[p.Index]
			power := l.Running().Scale(float64(p.Units) * p.Share * weight(l))
			w, vars = w+power.W, vars+power.VAr
		}
		if va := set.ScheduledWith(weight).VA; math.Abs(math.Hypot(w, vars)-va) > 1e-6*max(1, va) {
			t.Fatalf("parts add up to %g VA, the set has %g", math.Hypot(w, vars), va)
		}
	})
}
