package loads

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

const manual2007 = "application manual for generator sets, 2007, tables 4 and 7, read there"

// TestStartingPFOfSinglePhaseMotors: the default lies at the upper end of the published motors, so that their start
// asks for no more watts than it is counted with. kVA and kW while they start, as printed; the quotient is good to half
// of the last digit.
func TestStartingPFOfSinglePhaseMotors(t *testing.T) {
	pf := Motor{Times: 6}.StartingPF(600, 1)
	highest := 0.0
	for _, row := range []struct{ kva, kw float64 }{
		{3.5, 2.8}, {4.8, 3.8}, {5.6, 4.5}, {7.7, 6.1}, // split-phase, 1/6 to 1/2 hp
		{3.3, 2.6}, {3.9, 3.1}, {5.3, 4.25}, {7.1, 5.7}, {2.6, 2.0}, // capacitor start, 1/6 to 3/4 hp
	} {
		if row.kw-0.05 > row.kva*pf {
			t.Errorf("%g kVA: %g kW published, %g kW counted (%s)", row.kva, row.kw, row.kva*pf, manual2007)
		}
		highest = max(highest, row.kw/row.kva)
	}
	check(t, []fact{{"highest of the published", manual2007, pf, highest, 0.005}})
}

func TestStartingPF(t *testing.T) {
	const line = "straight line between two rows, by hand"
	facts := []fact{
		{"one phase, whatever its size", manual2007, Motor{HP: 10, Times: 6}.StartingPF(8000, 1), 0.80, 0},
		{"between the two lines of a split-phase supply", manual2007, Motor{HP: 5, Times: 6}.StartingPF(4000, 2),
			0.80, 0},
		{"below the table", manual2007, Motor{HP: 0.1, Times: 6}.StartingPF(100, 3), 0.82, 0},
		{"above the table", manual2007, Motor{HP: 100, Times: 6}.StartingPF(80e3, 3), 0.39, 0},
		{"4 hp", line, Motor{HP: 4, Times: 6}.StartingPF(3500, 3), 0.635, 1e-12},
		{"1.2 hp in kW", line, Motor{KW: 1.2 * 0.746, Times: 6}.StartingPF(1100, 3), 0.744, 1e-12},
		// Without a rating 70 % of the input: 2131.43 W are 2 hp.
		{"no rating", "own rule", Motor{Times: 6}.StartingPF(2*746/0.7, 3), 0.70, 1e-12},
		// Star-delta and soft starters leave the angle; a drive hides it.
		{"star-delta", manual2007, Motor{HP: 10, Times: 6, Method: StarDelta}.StartingPF(8000, 3), 0.53, 0},
		{"soft", manual2007, Motor{HP: 10, Times: 6, Method: Soft}.StartingPF(8000, 3), 0.53, 0},
		{"soft on one phase", manual2007, Motor{HP: 2, Times: 6, Method: Soft}.StartingPF(1800, 1), 0.80, 0},
		{"drive", "from memory", Motor{HP: 10, Times: 6, Method: Drive}.StartingPF(8000, 3), 0.95, 0},
		{"drive on one phase", "from memory", Motor{HP: 1, Times: 6, Method: Drive}.StartingPF(800, 1), 0.95, 0},
	}
	for _, row := range []struct{ hp, pf float64 }{{0.25, 0.82}, {0.5, 0.82}, {0.75, 0.78}, {1, 0.76}, {1.5, 0.72},
		{2, 0.70}, {3, 0.66}, {5, 0.61},
		{7.5, 0.56}, {10, 0.53}, {15, 0.49}, {20, 0.46}, {25, 0.44}, {30, 0.42}, {40, 0.39}} {
		facts = append(facts, fact{fmt.Sprintf("%g hp", row.hp), manual2007,
			Motor{HP: row.hp, Code: "G"}.StartingPF(row.hp*800, 3), row.pf, 1e-12})
	}
	check(t, facts)
}

// A larger motor never starts at a higher power factor, and one without a rating never at a lower one than with any
// rating that it can have.
func TestStartingPFFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hp, more := rapid.Float64Range(0.01, 60).Draw(t, "hp"), rapid.Float64Range(0, 20).Draw(t, "more")
		small, large := Motor{HP: hp, Times: 6}.StartingPF(1000, 3), Motor{HP: hp + more, Times: 6}.StartingPF(1000, 3)
		if large > small || small > 0.82 || large < 0.39 {
			t.Errorf("%g hp: %g, %g hp: %g", hp, small, hp+more, large)
		}
		inputW := rapid.Float64Range(10, 50e3).Draw(t, "input")
		rated := inputW / WattsPerHP * rapid.Float64Range(leastEfficiency, 1).Draw(t, "efficiency")
		if unrated := (Motor{Times: 6}).StartingPF(inputW, 3); unrated < (Motor{HP: rated, Times: 6}).StartingPF(inputW,
			3)-1e-12 {
			t.Errorf("%g W: %g without a rating, less than with %g hp", inputW, unrated, rated)
		}
	})
}
