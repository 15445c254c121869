package battery

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// stepper is a model that does readied steps.
type stepper interface {
	State
	Prepare(powerW, dtH float64) [4]float64
	Run(steps [][4]float64, times []int32, skip int, dtH float64, most int, low, high float64, all bool) (done int)
}

// TestRunIsManySteps: a run does what the same number of steps does, bit for bit; and none of them comes near a state
// of charge that it must not pass, gives less than is asked, or, where all is set, takes less than the bank ever does.
func TestRunIsManySteps(t *testing.T) {
	ran := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		b := bankGen.Draw(t, "bank")
		state, err := b.Model(optionsGen.Draw(t, "options"))
		if err != nil {
			t.Skip(err)
		}
		m := state.(stepper)
		m.Reset(rapid.Float64Range(0, 1).Draw(t, "soc"))
		low := rapid.SampledFrom([]float64{math.Inf(-1), 0, rapid.Float64Range(0, m.SoC()).Draw(t, "low")}).Draw(t,
			"from")
		high := rapid.SampledFrom([]float64{math.Inf(1), rapid.Float64Range(m.SoC(), 1).Draw(t, "high")}).Draw(t, "to")
		h := rapid.SampledFrom([]float64{minuteH, minuteH, 0.25, 1}).Draw(t, "hours")
		all, most := rapid.Bool().Draw(t, "all"), rapid.IntRange(0, 500).Draw(t, "most")
		asks := rapid.SliceOfN(rapid.Float64Range(-1, 1), 1, 5).Draw(t, "powers")
		times := rapid.SliceOfN(rapid.Int32Range(1, 200), len(asks), len(asks)).Draw(t, "times")
		skip := rapid.IntRange(0, int(times[0])-1).Draw(t, "skip")
		scale := b.CapacityAh() * b.NominalV() * rapid.SampledFrom([]float64{0, 1e-3, 0.1, 1}).Draw(t, "scale")
		plain, other := m.Copy(), m.Copy().(stepper)
		var steps [][4]float64
		for i := range asks {
			asks[i] *= scale
			steps = append(steps, other.Prepare(asks[i], h))
		}
		done := m.Run(steps, times, skip, h, most, low, high, all)
		if done > most {
			t.Fatalf("%d steps, want %d at most", done, most)
		}
		ran[b.Unit.Chemistry.LeadAcid()] += done
		no := 0
		left := times[0] - int32(skip)
		for n := range done {
			for ; left == 0; left = times[no] {
				no++
			}
			left--
			if soc := plain.SoC(); soc <= low || soc >= high {
				t.Fatalf("step %d begins at %g, want between %g and %g", n, soc, low, high)
			}
			ask, want := asks[no], steps[no][3]
			if w := plain.Step(ask, h); ask > 0 && w != ask || all && w != want {
				t.Fatalf("step %d does %g W of %g, which was to be %g", n, w, ask, want)
			}
		}
		m.Step(0, minuteH)
		plain.Step(0, minuteH)
		if !reflect.DeepEqual(m, plain) {
			t.Fatalf("after %d steps: %+v, want %+v", done, m, plain)
		}
	})
	if ran[false] == 0 || ran[true] == 0 {
		t.Errorf("%v steps of lithium and lead-acid were run", ran)
	}
}
