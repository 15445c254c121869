package battery

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// carryByStep is Carry the plain way.
func carryByStep(s State, powerW, dtH float64, steps int) (full int, doneW float64) {
	for ; full < steps; full++ {
		if doneW = s.Step(powerW, dtH); doneW < powerW*(1-slack) {
			return full, doneW
		}
	}
	return full, 0
}

// A bank that is carried along is, to the last bit, where one is that was stepped along.
func TestCarryIsStepping(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.SampledFrom([]Chemistry{AGM, LFP, NMC}).Draw(rt, "chemistry")
		b := modelBank(c)
		b.Strings = rapid.IntRange(1, 200).Draw(rt, "strings")
		o := ModelOptions{
			TemperatureC: 10, EndOfLife: rapid.Float64Range(0.5, 1).Draw(rt, "end of life"),
			MaxDischargeA: rapid.SampledFrom([]float64{0, 20, 300}).Draw(rt, "limit"),
			CutoffV:       rapid.SampledFrom([]float64{0, 11, 12, 12.5}).Draw(rt, "cutoff") * c.CellV() / 3.2 * 4,
		}
		carried, err := b.Model(o)
		if err != nil {
			rt.Fatal(err)
		}
		stepped, err := b.Model(o)
		if err != nil {
			rt.Fatal(err)
		}
		soc := rapid.Float64Range(0.3, 1).Draw(rt, "soc")
		carried.Reset(soc)
		stepped.Reset(soc)
		dtH := rapid.SampledFrom([]float64{1. / 60, 1. / 60, 0.1, 1, 0}).Draw(rt, "hours of a step")
		for range rapid.IntRange(1, 8).Draw(rt, "pieces") {
			powerW := rapid.OneOf(rapid.Float64Range(0, 1e4), rapid.Just(0.0), rapid.Float64Range(0, 50), rapid.SampledFrom([]float64{64, 96, 512, 1000})).Draw(rt, "power")
			steps := rapid.IntRange(0, 20000).Draw(rt, "steps")
			full, doneW := carried.Carry(powerW, dtH, steps)
			wantFull, wantDoneW := carryByStep(stepped, powerW, dtH, steps)
			if full != wantFull || doneW != wantDoneW || carried.SoC() != stepped.SoC() || carried.Ledger() != stepped.Ledger() {
				rt.Fatalf("%d steps of %g h at %g W: carried %d, then %v W, at %v, %+v; stepped %d, then %v W, at %v, %+v", steps, dtH, powerW,
					full, doneW, carried.SoC(), carried.Ledger(), wantFull, wantDoneW, stepped.SoC(), stepped.Ledger())
			}
		}
	})
}

// Adding in leaps is adding one by one, to the last bit, across powers of two, and where each sum lies half way between two numbers.
func TestAddTimes(t *testing.T) {
	check := func(x, d float64, times int) error {
		want := x
		for range times {
			want += d
		}
		if got := addTimes(x, d, times); got != want {
			return fmt.Errorf("%d times %v (%x) to %v (%x): %v, want %v", times, d, d, x, x, got, want)
		}
		return nil
	}
	ulp := 0x1p-52 // of numbers from 1 to 2
	for _, x := range []float64{1, 1 + ulp, 1.5, 1.5 + ulp, 2, 2 - ulp, 3 + 2*ulp} {
		for _, d := range []float64{ulp / 4, ulp / 2, ulp, 1.5 * ulp, 2.5 * ulp, 3 * ulp, 1e-3 + ulp/8, 0x1p-10 + ulp/2, 1. / 3, 1} {
			for _, times := range []int{0, 1, 2, 3, 4, 5, 7, 100, 5000} {
				if err := check(x, d, times); err != nil {
					t.Error(err)
				}
				if x-d*float64(times) >= 0 {
					if err := check(x, -d, times); err != nil {
						t.Error(err)
					}
				}
			}
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		x := rapid.Float64Range(0, 1e6).Draw(rt, "x")
		times := rapid.IntRange(0, 20000).Draw(rt, "times")
		d := rapid.OneOf(rapid.Float64Range(0, 100), rapid.Map(rapid.IntRange(0, 64), func(n int) float64 { return float64(n) * 0x1p-38 })).Draw(rt, "d")
		if rapid.Bool().Draw(rt, "down") {
			d = -math.Min(d, x/float64(times+1))
		}
		if err := check(x, d, times); err != nil {
			rt.Fatal(err)
		}
	})
}
