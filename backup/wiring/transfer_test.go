package wiring

import (
	"math"
	"strings"
	"testing"
)

// ITIC (CBEMA) curve, 2000 revision, read from a power-quality handbook p. 112 and an instrument maker's note (SEEN).
func TestToleratedMS(t *testing.T) {
	for _, tt := range []struct {
		fraction, ms float64
		steady       bool
	}{
		{0, 20, false}, {0.69, 20, false}, {0.70, 500, false}, {0.79, 500, false}, {0.80, 10000, false},
		{0.89, 10000, false},
		{0.90, 0, true}, {1, 0, true}, {1.10, 0, true}, {1.11, 500, false}, {1.20, 500, false}, {1.21, 3, false},
		{1.40, 3, false},
		{1.41, 1, false}, {2.00, 1, false}, {2.01, 0, false},
	} {
		ms, steady, err := ToleratedMS(tt.fraction)
		if err != nil || ms != tt.ms || steady != tt.steady {
			t.Errorf("ToleratedMS(%g) = %g, %t, %v, want %g, %t", tt.fraction, ms, steady, err, tt.ms, tt.steady)
		}
	}
	for _, bad := range []float64{-0.1, 101, math.NaN()} {
		if _, _, err := ToleratedMS(bad); err == nil {
			t.Errorf("ToleratedMS(%g): no error", bad)
		}
	}
}

// The questions are asked of what is there, never answered.
func TestHandOver(t *testing.T) {
	topics := func(s Scope) string {
		var names []string
		for _, q := range HandOver(s) {
			if q.Name.Empty() || q.Text.Empty() {
				t.Errorf("%+v is not complete", q)
			}
			names = append(names, q.Name.String())
		}
		return strings.Join(names, ", ")
	}
	always := "Neutral-to-earth connection, Residual-current devices, Circuit breakers on inverter supply, " +
		"DC isolation, Battery conductors"
	for want, s := range map[string]Scope{
		always + ", Who installs": {},
		"Transfer and isolation, Feeding a de-energised grid, " + always +
			", Who installs": {Grid: true},
		"Transfer and isolation, Feeding a de-energised grid, " + always +
			", Array in daylight, Generator, Who installs": {true, true, true},
	} {
		if got := topics(s); got != want {
			t.Errorf("%+v: %s, want %s", s, got, want)
		}
	}
}
