package battery

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestGlideIsManySteps: gliding does what the same number of steps does, bit for bit; and none of them comes near a
// state of charge that it must not pass, gives less than is asked, or, where all is set, takes less than is offered.
func TestGlideIsManySteps(t *testing.T) {
	glided := 0
	rapid.Check(t, func(t *rapid.T) {
		b := bankGen.Draw(t, "bank")
		b.Unit.Chemistry = rapid.SampledFrom([]Chemistry{LFP, NMC}).Draw(t, "chemistry")
		m, err := b.Lithium(optionsGen.Draw(t, "options"))
		if err != nil {
			t.Skip(err)
		}
		m.Reset(rapid.Float64Range(0, 1).Draw(t, "soc"))
		low := rapid.SampledFrom([]float64{0, rapid.Float64Range(0, m.SoC()).Draw(t, "low")}).Draw(t, "from")
		high := rapid.SampledFrom([]float64{math.Inf(1), rapid.Float64Range(m.SoC(), 1).Draw(t, "high")}).Draw(t, "to")
		h := rapid.SampledFrom([]float64{minuteH, minuteH, 0.25, 1}).Draw(t, "hours")
		ask := rapid.Float64Range(-1, 1).Draw(t, "power") * b.CapacityAh() * b.NominalV()
		ask *= rapid.SampledFrom([]float64{0, 1e-3, 0.1, 1}).Draw(t, "scale")
		all, most := rapid.Bool().Draw(t, "all"), rapid.IntRange(0, 500).Draw(t, "most")
		plain := m
		steps := m.Glide(ask, h, most, low, high, all)
		if steps > most {
			t.Fatalf("%d steps, want %d at most", steps, most)
		}
		glided += steps
		for n := range steps {
			if soc := plain.SoC(); soc <= low || soc >= high {
				t.Fatalf("step %d begins at %g, want between %g and %g", n, soc, low, high)
			}
			if done := plain.Step(ask, h); done != ask && (ask > 0 || all) {
				t.Fatalf("step %d does %g W of %g", n, done, ask)
			}
		}
		m.prepare(minuteH)
		plain.prepare(minuteH)
		if m != plain {
			t.Fatalf("after %d steps of %g W: %+v, want %+v", steps, ask, m, plain)
		}
	})
	if glided == 0 {
		t.Error("nothing was glided through")
	}
}
