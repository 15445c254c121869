package verdict

import (
	"math"
	"testing"
)

// TestEnough: what is required at least is never told as less, and what floating point adds is no more.
func TestEnough(t *testing.T) {
	for _, tt := range []struct{ least, want float64 }{{430.08, 431}, {430, 430}, {430.0000000001, 430}, {9.91, 10}, {9.9, 9.9},
		{2.01, 2.1}, {0, 0}} {
		if got := Enough(tt.least); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("at least %g: %g, want %g", tt.least, got, tt.want)
		}
	}
}
