package loads

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
)

func TestChernoffHolds(t *testing.T) {
	for _, in := range instances(t) {
		for _, confidence := range []float64{0.01, 0.5, 0.95, 0.999, 0.9999999} {
			s := in.set()
			l, grid := s.lottery()
			newBounds(l, confidence)
			w := probable(t, s, confidence)
			if bound := grid.watts(l.times[0].bound); bound < w {
				t.Errorf("%s, %g: bound %g below the quantile %g", in.Name, confidence, bound, w)
			}
		}
	}
}

// TestCloserBoundsHold takes the bound that times of the day get from what they have in common.
func TestCloserBoundsHold(t *testing.T) {
	s := NewSet(3, farm(2, 10))
	for _, confidence := range []float64{0.5, 0.99, 0.9999} {
		l, _ := s.lottery()
		b := newBounds(l, confidence)
		for from := 0; from+6 <= len(l.times); from += 100 {
			l.budget = maxWork
			times := slices.Clone(l.times[from : from+6])
			base := l.newBase(nil, times)
			for k := range times {
				times[k].rest = without(times[k].draws, base.draws)
			}
			for _, closer := range b.closer(base, slices.Clone(times), -1) {
				alone := closer
				alone.bound = min(alone.most, 2*alone.bound)
				sum, exact := l.raise(-1, []timeOfDay{alone}, b)
				if !exact || closer.bound < sum {
					t.Errorf("confidence %g: bound %d, quantile %d", confidence, closer.bound, sum)
				}
				if float64(closer.bound) > 1.05*float64(sum) {
					t.Errorf("confidence %g: bound %d is far above the quantile %d", confidence, closer.bound, sum)
				}
			}
		}
	}
}

func TestLogMGF(t *testing.T) {
	for _, c := range []chance{binomial(1, 40, 0.3), binomial(7, 40, 0.3), binomial(7, 40, 0.99)} {
		mean := 0.0
		for k, at := range c.at {
			mean += c.p[k] * float64(at)
		}
		// log E[exp(t X)] = t E[X] + t^2/2 Var X + ..., and about t times the largest outcome for large t.
		for _, tt := range []float64{1e-300, 1e-20, 1e-8} {
			if got := c.logMGF(tt) / tt; !scalar.EqualWithinRel(got, mean+tt/2*c.variance(), 1e-9) {
				t.Errorf("t = %g: %g, want the mean %g", tt, got, mean)
			}
		}
		if got, want := c.logMGF(1e6)/1e6, float64(c.largest()); !scalar.EqualWithinRel(got, want, 1e-4) {
			t.Errorf("t = 1e6: %g, want the largest outcome %g", got, want)
		}
	}
}
