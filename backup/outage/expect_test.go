package outage

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// By hand: a bank that carries 2 h from anywhere, 500 W, outages of exponential length with mean 4 h, three a year.
// After two hours exp(-2/4) of them go on, for 4 h more on average.
func TestExpectByHand(t *testing.T) {
	s := Starts{Hours: slices.Repeat([]int{2}, 24), MaxH: 48}
	e, err := Expect(s, slices.Repeat([]float64{500}, 24), must(NewExponential(4)), 3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "outage hours", e.OutageH, 12, 1e-12)
	near(t, "demand", e.DemandWh, 6000, 1e-9)
	near(t, "dark hours", e.DarkH, 12*math.Exp(-0.5), 1e-9)
	near(t, "unserved", e.UnservedWh, 6000*math.Exp(-0.5), 1e-6)
	near(t, "outlasted", e.Outlasted, 1-math.Exp(-0.5), 1e-12)
	near(t, "beyond", e.BeyondH, 12*math.Exp(-12), 1e-12)
}

// The sums agree with the plain integrals over the time after each start lost power.
func TestExpectAgainstIntegrals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const maxH = 12
		n := rapid.IntRange(1, 10).Draw(t, "hours")
		s := Starts{Hours: rapid.SliceOfN(rapid.IntRange(0, maxH), n, n).Draw(t, "survived"), MaxH: maxH}
		load := rapid.SliceOfN(rapid.Float64Range(0, 1000), n, n).Draw(t, "load")
		law := drawDurations(t)
		e, err := Expect(s, load, law, 1)
		if err != nil {
			t.Fatal(err)
		}
		meanW := e.DemandWh / e.OutageH
		var dark, unserved, outlasted float64
		for i, survived := range s.Hours {
			dark += integralOfSurvival(law, float64(survived), maxH) / float64(n)
			outlasted += (1 - law.Survival(float64(survived))) / float64(n)
			for h := survived; h < maxH; h++ {
				unserved += load[(i+h)%n] * integralOfSurvival(law, float64(h), float64(h+1)) / float64(n)
			}
		}
		if got := e.DarkH - e.BeyondH; !(math.Abs(got-dark) <= 1e-6*e.OutageH) {
			t.Fatalf("dark up to %d h: %g h, integral %g h", maxH, got, dark)
		}
		if got := e.UnservedWh - e.BeyondH*meanW; !(math.Abs(got-unserved) <= 1e-6*e.OutageH*1000) {
			t.Fatalf("unserved up to %d h: %g Wh, integral %g Wh", maxH, got, unserved)
		}
		if !(math.Abs(e.Outlasted-outlasted) <= 1e-12) {
			t.Fatalf("outlasted %g, mean %g", e.Outlasted, outlasted)
		}
	})
}

func TestExpectErrors(t *testing.T) {
	s, law := Starts{Hours: []int{1}, MaxH: 1}, must(NewExponential(4))
	for name, call := range map[string]func() (Expectation, error){
		"no start":       func() (Expectation, error) { return Expect(Starts{}, nil, law, 1) },
		"unequal":        func() (Expectation, error) { return Expect(s, []float64{1, 2}, law, 1) },
		"NaN":            func() (Expectation, error) { return Expect(s, []float64{math.NaN()}, law, 1) },
		"negative count": func() (Expectation, error) { return Expect(s, []float64{1}, law, -1) },
	} {
		if e, err := call(); err == nil {
			t.Errorf("%s: %+v, want an error", name, e)
		}
	}
}
