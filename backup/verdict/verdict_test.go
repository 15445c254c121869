package verdict

import (
	"math"
	"testing"

	"outlast/backup/phrase"
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

// What is to be built is told no smaller than it must be, and compared as it is.
func TestTold(t *testing.T) {
	for _, c := range []struct {
		check  Check
		demand float64
	}{
		{AtMost("ventilation", 268.8, 300, "cm2"), 269},
		{AtMost("ventilation", 268.8, 268.8, "cm2"), 268.8}, // 269 of 268.8 would look as if it failed
		{AtMost("ventilation", 268.8, 268.7, "cm2"), 269},
		{AtMost("ventilation", 268.5, 268.7, "cm2"), 268.7}, // no more than there is
		{Unknown("ventilation", 9.31, "cm2", phrase.Of("")), 9.4},
		{AtMost("bank-capacity", 3879.2, 1000, "Ah"), 3880},
		{AtMost("bank-capacity", 1642.1, 1680, "Ah"), 1643},
		{AtMost("bank-capacity", 1642.1, 1642.1, "Ah"), 1642.1},
		{AtMost("pass-through", 12.34, 20, "A"), 12.34},
		{AtMost("phase-balance", 0.2, 0.3, ""), 20},
	} {
		if got, _, _ := c.check.Told(); math.Abs(got-c.demand) > 1e-9 {
			t.Errorf("%s, %g: told as %g, want %g", c.check.ID, c.check.Demand, got, c.demand)
		}
	}
	if c := AtMost("ventilation", 268.8, 268.8, "cm2"); c.Demand != 268.8 || c.Status != Pass {
		t.Errorf("%+v, want a pass with the unrounded figure", c)
	}
}
