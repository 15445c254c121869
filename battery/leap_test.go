package battery

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// leaper is a model that leaps.
type leaper interface {
	stepper
	Followed
	Sum(step [4]float64, times int32, dtH float64) [10]float64
	Join(a, b *[10]float64) [10]float64
	Leap(sum *[10]float64, low, high float64) bool
	Blur() (soc float64)
	BlurW(dtH float64) (powerW float64)
	Sure(powerW, dtH float64) bool
	Settle() bool
	Held() [2]float64
	Hold(held [2]float64)
}

// drawnLeaper is a bank at some charge, which has been in use.
func drawnLeaper(t *rapid.T) leaper {
	b := bankGen.Draw(t, "bank")
	state, err := b.Model(optionsGen.Draw(t, "options"))
	if err != nil {
		t.Skip(err)
	}
	m := state.(leaper)
	m.Reset(rapid.Float64Range(0, 1).Draw(t, "soc"))
	for range rapid.IntRange(0, 3).Draw(t, "steps before") {
		m.Step(rapid.Float64Range(-1, 1).Draw(t, "power before")*m.Inside().Full, 0.25)
	}
	return m
}

// TestLeapIsManySteps: where a leap is made, step after step is done in full, none begins at a charge that it must not
// have, and it comes to the same but for a small part of the blur; and with Settle to less than the blur.
func TestLeapIsManySteps(t *testing.T) {
	leap := func(t *rapid.T) (leapt string) {
		m := drawnLeaper(t)
		_, lead := m.(*Kinetic)
		h := rapid.SampledFrom([]float64{minuteH, 0.25, 1}).Draw(t, "hours")
		scale := m.Inside().Full * rapid.SampledFrom([]float64{1e-3, 0.02, 0.2}).Draw(t, "scale")
		if lead {
			scale *= 48
		}
		asks := rapid.SliceOfN(rapid.Float64Range(-1, 1), 1, 8).Draw(t, "powers")
		times := rapid.SliceOfN(rapid.Int32Range(1, 20), len(asks), len(asks)).Draw(t, "times")
		low := rapid.SampledFrom([]float64{math.Inf(-1), 0, rapid.Float64Range(0, m.SoC()).Draw(t, "low")}).Draw(t,
			"from")
		high := rapid.SampledFrom([]float64{math.Inf(1), rapid.Float64Range(m.SoC(), 1).Draw(t, "high")}).Draw(t, "to")
		readier, plain := m.Copy().(leaper), m.Copy().(leaper)
		var sum [10]float64
		var steps [][4]float64
		for i := range asks {
			if asks[i] *= scale; i%3 == 2 {
				asks[i] = 0
			}
			steps = append(steps, readier.Prepare(asks[i], h))
			if one := readier.Sum(steps[i], times[i], h); i == 0 {
				sum = one
			} else {
				sum = readier.Join(&sum, &one)
			}
		}
		m.Prepare(0, h)
		if held := m.Held(); !m.Leap(&sum, low, high) {
			if m.Held() != held || m.Blur() != 0 || m.Settle() {
				t.Fatalf("a leap that is not made leaves %v of %v", m.Held(), held)
			}
			return "none"
		}
		for i, ask := range asks {
			for range times[i] {
				if soc := plain.SoC(); soc <= low || soc >= high {
					t.Fatalf("a step begins at %g, want between %g and %g", soc, low, high)
				}
				if w, want := plain.Step(ask, h), steps[i][3]; w != want || ask > 0 && w != ask {
					t.Fatalf("a step does %g W of %g, which was to be %g", w, ask, want)
				}
			}
		}
		full := m.Inside().Full
		off := func() float64 {
			a, b := m.Held(), plain.Held()
			return max(math.Abs(a[0]-b[0]), math.Abs(a[1]-b[1])) / full
		}
		if got := off(); got > blurSoC/1000 {
			t.Fatalf("a leap comes to %v, its steps to %v: %g of the full charge off", m.Held(), plain.Held(), got)
		}
		if !m.Settle() || off() > 2*blurSoC/1000 {
			t.Fatalf("settled it is %g of the full charge off", off())
		}
		if m.Blur() < blurSoC {
			t.Fatalf("blur of %g", m.Blur())
		}
		if lead {
			return "lead-acid"
		}
		return "lithium"
	}
	rapid.Check(t, func(t *rapid.T) { leap(t) })
	// The same draws each time, so that both are sure to leap in some of them.
	leapt, fixed := map[string]int{}, rapid.Custom(leap)
	for seed := range 300 {
		leapt[fixed.Example(seed)]++
	}
	if leapt["lithium"] < 20 || leapt["lead-acid"] < 20 {
		t.Errorf("%v leaps of 300", leapt)
	}
}

// TestSureIsSure: what a blurred bank is sure of holds for every bank that it could be.
func TestSureIsSure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawnLeaper(t)
		h := rapid.SampledFrom([]float64{minuteH, 0.25, 1}).Draw(t, "hours")
		limit := m.DischargeLimitW(h)
		powerW := limit * (1 + rapid.SampledFrom([]float64{0, 1e-12, -1e-12, 1e-9, -1e-9, 1e-6, -1e-6, 0.1, -0.1}).Draw(t, "beside"))
		if powerW <= 0 {
			powerW = 1
		}
		if !m.Sure(powerW, h) {
			t.Fatal("a bank that has not leapt is in doubt")
		}
		held := m.Held()
		m.Hold(held)
		if !m.Sure(powerW, h) {
			return
		}
		gives := func(by float64) bool {
			other := m.Copy().(leaper)
			off := by * m.Blur() * (m.Inside().Full - m.Inside().Empty)
			other.Hold([2]float64{held[0] + off, held[1] + off})
			return other.Step(powerW, h) >= powerW*(1-nearSoC)
		}
		want := gives(0)
		for _, by := range []float64{-0.99, -0.5, 0.5, 0.99} {
			if gives(by) != want {
				t.Fatalf("%g W, limit %g W: given %v, and %v with %g of the blur more", powerW, limit, want, !want, by)
			}
		}
	})
}
