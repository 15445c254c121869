package facts

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The waits of all first days are those of letting each wait by itself, day after day, to the last bit.
func TestWaitsAreThoseOfEachDay(t *testing.T) {
	alone := func(gainsWh []float64, first int, fullWh float64) float64 {
		storedWh := 0.0
		for n := range RefillMostDays {
			gainWh := gainsWh[(first+n)%len(gainsWh)]
			if gainWh > 0 && storedWh+gainWh >= fullWh {
				return float64(n) + (fullWh-storedWh)/gainWh
			}
			storedWh = max(0, storedWh+gainWh)
		}
		return math.Inf(1)
	}
	same := func(t *rapid.T, gainsWh []float64, fullWh float64) {
		var want []float64
		for first := range gainsWh {
			want = append(want, alone(gainsWh, first, fullWh))
		}
		if got := appendWaits([]float64{7}, gainsWh, fullWh); !slices.Equal(got[1:], want) || got[0] != 7 {
			t.Fatalf("%v until %g: %v, want %v", gainsWh, fullWh, got[1:], want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		gain := rapid.OneOf(rapid.Float64Range(-1000, 1000), rapid.SampledFrom([]float64{-500, 0, 500}))
		same(t, rapid.SliceOfN(gain, 1, 31).Draw(t, "gains"),
			rapid.SampledFrom([]float64{0.5, 500, 3000, 20000}).Draw(t, "full"))
		same(t, slices.Repeat([]float64{rapid.Float64Range(10, 40).Draw(t, "every day")}, 30), 2000)
	})
}
