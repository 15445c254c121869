package outage

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestNth: the value at a place is that of the sorted values, also where many are equal and where the order is a bad
// one.
func TestNth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := rapid.IntRange(1, 3000).Draw(t, "kinds")
		values := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 {
			return float64(rapid.IntRange(0, kinds).Draw(t, "value"))
		}), 1, 400).Draw(t, "values")
		sorted := slices.Sorted(slices.Values(values))
		switch rapid.SampledFrom([]string{"as drawn", "sorted", "backwards", "up and down"}).Draw(t, "order") {
		case "sorted":
			values = slices.Clone(sorted)
		case "backwards":
			values = slices.Clone(sorted)
			slices.Reverse(values)
		case "up and down":
			values = slices.Clone(sorted)
			slices.Reverse(values[len(values)/2:])
		}
		k := rapid.IntRange(0, len(values)-1).Draw(t, "k")
		if got := nth(slices.Clone(values), k); got != sorted[k] {
			t.Fatalf("the value at %d of %v is %g, want %g", k, values, got, sorted[k])
		}
	})
}
