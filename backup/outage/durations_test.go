package outage

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

// Laws fitted to "Major power outage events in the continental U.S." (Jan 2000 - Jul 2016, 1,534 events, durations
// until the event ended). Mark: derived, recomputed. Maximum likelihood does not make a law's mean that of the data:
// for the weather classes it comes within 0.5 %, which is what is tested; for the other classes it does not. The
// observed shares may differ from the law's by two standard errors of a share of n events.
func TestFittedWeatherDurations(t *testing.T) {
	for _, row := range []struct {
		class          string
		n              float64
		shape, scaleH  float64
		meanH          float64 // observed, like the two shares
		over24, over72 float64
	}{
		{"severe weather", 741, 0.815, 58.10, 65.0, .640, .282},
		{"winter storm", 100, 1.183, 95.68, 90.4, .840, .450},
		{"thunderstorm", 176, 0.919, 40.71, 42.3, .562, .193},
		{"hurricane", 73, 0.887, 110.37, 116.9, .753, .466},
		{"heavy wind", 60, 1.006, 66.63, 66.5, .683, .317},
	} {
		w, err := NewWeibull(row.shape, row.scaleH)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.class+": mean", w.MeanH(), row.meanH, 0.005*row.meanH)
		near(t, row.class+": P(>24 h)", w.Survival(24), row.over24, 2*math.Sqrt(row.over24*(1-row.over24)/row.n))
		near(t, row.class+": P(>72 h)", w.Survival(72), row.over72, 2*math.Sqrt(row.over72*(1-row.over72)/row.n))
	}
	// The check that the source prints: Weibull 0.815, 58.10 gives mean 65.0 h.
	near(t, "severe weather: mean", must(NewWeibull(0.815, 58.10)).MeanH(), 65.0, 0.05)
}

// Median m exp(-s^2/2) of a lognormal law with mean m (mark: textbook, memory).
func TestLognormalOfMean(t *testing.T) {
	l := must(LognormalOfMean(4, 1.5))
	near(t, "mean", l.MeanH(), 4, 1e-12)
	near(t, "P(T > median)", l.Survival(4*math.Exp(-1.5*1.5/2)), 0.5, 1e-12)
}

func drawDurations(t *rapid.T) Durations {
	switch rapid.IntRange(0, 2).Draw(t, "law") {
	case 0:
		return must(NewExponential(rapid.Float64Range(0.1, 200).Draw(t, "mean")))
	case 1:
		return must(NewLognormal(rapid.Float64Range(-1, 5).Draw(t, "mu"),
			rapid.Float64Range(0.3, 2.5).Draw(t, "sigma")))
	default:
		return must(NewWeibull(rapid.Float64Range(0.4, 3).Draw(t, "shape"),
			rapid.Float64Range(0.5, 100).Draw(t, "scale")))
	}
}

// integralOfSurvival is what MeanWithinH(to) - MeanWithinH(from) ought to be, by quadrature. The survival of a law with
// a shape below 1 has a corner at 0, so it runs over u with t = u^4.
func integralOfSurvival(law Durations, from, to float64) float64 {
	return quad.Fixed(func(u float64) float64 { return law.Survival(u*u*u*u) * 4 * u * u * u },
		math.Pow(from, 0.25), math.Pow(to, 0.25), 200, nil, 0)
}

// MeanWithinH is the integral of Survival, whatever the law.
func TestMeanWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		law := drawDurations(t)
		h := rapid.Float64Range(0.5, 500).Draw(t, "h")
		want := integralOfSurvival(law, 0, h)
		if got := law.MeanWithinH(h); !(math.Abs(got-want) <= 1e-6*want) || got > law.MeanH()*(1+1e-12) {
			t.Fatalf("%+v: %g h within %g h, integral %g, mean %g", law, got, h, want, law.MeanH())
		}
	})
}

func TestDurationsAtTheEnds(t *testing.T) {
	for _, law := range []Durations{
		must(NewExponential(1e-9)), must(NewExponential(1e9)), must(NewLognormal(-50, 1e-300)),
		must(NewLognormal(50, 20)),
		must(NewWeibull(0.05, 1e9)), must(NewWeibull(100, 1e-9)),
	} {
		for _, h := range []float64{0, 1e-300, 1, 8760, 1e300} {
			s, m := law.Survival(h), law.MeanWithinH(h)
			if !(s >= 0 && s <= 1) || !(m >= 0 && m <= math.MaxFloat64) {
				t.Errorf("%+v at %g h: survival %g, mean within %g", law, h, s, m)
			}
		}
		if law.Survival(0) != 1 || law.Survival(-1) != 1 || law.MeanWithinH(0) != 0 {
			t.Errorf("%+v: P(T > 0) = %g, want 1; within 0 h %g, want 0", law, law.Survival(0), law.MeanWithinH(0))
		}
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range []float64{0, -1, nan, inf} {
		_, e1 := NewExponential(bad)
		_, e2 := NewLognormal(1, bad)
		_, e3 := NewWeibull(bad, 10)
		_, e4 := NewWeibull(1, bad)
		_, e5 := LognormalOfMean(bad, 1)
		if slices.Contains([]error{e1, e2, e3, e4, e5}, nil) {
			t.Errorf("%g is taken: %v, %v, %v, %v, %v", bad, e1, e2, e3, e4, e5)
		}
	}
	if _, err := NewLognormal(nan, 1); err == nil {
		t.Error("mu NaN is taken")
	}
}
