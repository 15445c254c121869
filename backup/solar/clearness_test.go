package solar

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func TestMarkovStep(t *testing.T) {
	// Constructed from the published table (Aguiar et al. 1988, SEEN-S): class 5, start 0.48, rows taken as they are.
	class := classOf(0.48)
	if class != &clearnessClasses[4] {
		t.Fatalf("0.48 is in the class up to %g", class.upTo)
	}
	k := 0.48
	for _, step := range []struct{ r, want float64 }{
		{0.10, 0.2579}, {0.50, 0.4025}, {0.90, 0.6262}, {0.30, 0.4524}, {0.70, 0.5683},
	} {
		k = class.step(class.row(k), step.r)
		near(t, "K", k, step.want, 0.0001)
	}
}

func TestClearnessClasses(t *testing.T) {
	// Derived elsewhere from the same published table with bin middles: stationary mean, standard deviation, lag-1
	// autocorrelation. Three decimals are printed; rows that add to 1 within 0.003 only allow as much again.
	want := [10][3]float64{
		{0.241, 0.155, 0.391}, {0.334, 0.166, 0.023}, {0.374, 0.165, 0.287}, {0.429, 0.166, 0.313},
		{0.476, 0.166, 0.331},
		{0.526, 0.155, 0.317}, {0.575, 0.152, 0.231}, {0.620, 0.134, 0.243}, {0.668, 0.116, 0.204},
		{0.728, 0.071, 0.265},
	}
	lower := 0.0
	for i, c := range clearnessClasses {
		mean, sd, lag1 := stationary(&c)
		near(t, "mean", mean, want[i][0], 0.0015)
		near(t, "s.d.", sd, want[i][1], 0.0015)
		near(t, "lag-1", lag1, want[i][2], 0.003)
		// The chain of a class should stay in the class; the first and last have no edge of their own.
		if i > 0 && mean < lower-0.002 || i < 9 && mean > c.upTo+0.002 {
			t.Errorf("class %d (%g to %g) has mean %g", i+1, lower, c.upTo, mean)
		}
		lower = c.upTo
		for j, row := range c.next {
			near(t, "row sum", sum(row[:]), 1, 0.0031)
			if slices.Min(row[:]) < 0 {
				t.Errorf("class %d, row %d has a negative probability", i+1, j+1)
			}
		}
	}
}

// stationary iterates the chain to its equilibrium.
func stationary(c *clearnessClass) (mean, sd, lag1 float64) {
	var p [10]float64
	p[5] = 1
	width := (c.kMax - c.kMin) / 10
	mid := func(j int) float64 { return c.kMin + width*(float64(j)+0.5) }
	for range 1000 {
		var q [10]float64
		for i, row := range c.next {
			for j, v := range row {
				q[j] += p[i] * v / sum(row[:])
			}
		}
		p = q
	}
	var square, cross float64
	for i, row := range c.next {
		mean += p[i] * mid(i)
		square += p[i] * mid(i) * mid(i)
		for j, v := range row {
			cross += p[i] * v / sum(row[:]) * mid(i) * mid(j)
		}
	}
	variance := square - mean*mean
	return mean, math.Sqrt(variance), (cross - mean*mean) / variance
}

func TestDrawnDaysKeepTheirHabits(t *testing.T) {
	// Four hundred years of June in Greensboro (class 6): spread and memory of the published matrix come through,
	// within what drawing for the month's mean and eve takes from them. Observed there: s.d. 0.156, lag-1 0.297 within
	// the months (derived from TMY3 723170, SEEN-P).
	weights := make([]float64, 30)
	for i := range weights {
		weights[i] = 1
	}
	rng := rand.NewPCG(1, 2)
	var today, tomorrow []float64
	for range 400 {
		days := drawnMonth(0.52, 0.50, weights, rng)
		near(t, "month's mean", stat.Mean(days, nil), 0.52, 1e-12)
		today = append(today, days[:29]...)
		tomorrow = append(tomorrow, days[1:]...)
	}
	near(t, "s.d.", stat.StdDev(today, nil), 0.155, 0.01)
	near(t, "lag-1", stat.Correlation(today, tomorrow, nil), 0.297, 0.06)
}

func TestOrderedMonth(t *testing.T) {
	// Constructed from the published distribution and sequence (Duffie & Beckman section 2.9, memory; Knight et al.
	// 1991, SEEN-S): clearness 0.50, before the mean is corrected.
	want := []float64{0.6705, 0.7107, 0.4340, 0.5941, 0.5770, 0.1767, 0.1304, 0.2186}
	days := make([]float64, 31)
	for i, rank := range daySequences[1] {
		days[i] = clearnessOfRank(0.50, rank, 31)
	}
	for i, k := range want {
		near(t, "day", days[i], k, 0.0002)
	}
	near(t, "mean", stat.Mean(days, nil), 0.5016, 0.0001)
	near(t, "lag-1", stat.Correlation(days[:30], days[1:], nil), 0.24, 0.02)

	weights := slices.Repeat([]float64{1}, 31)
	corrected := orderedMonth(0.50, weights)
	near(t, "corrected mean", stat.Mean(corrected, nil), 0.50, 1e-12)
	near(t, "first day", corrected[0], 0.6705*0.50/0.5016, 0.0002)

	// Same construction: 0.3 and 0.6 at ranks 1, 16 and 31.
	for kt, want := range map[float64][3]float64{0.3: {0.056, 0.270, 0.670}, 0.6: {0.133, 0.647, 0.788}} {
		for i, rank := range []int{1, 16, 31} {
			near(t, "rank", clearnessOfRank(kt, rank, 31), want[i], 0.0005)
		}
	}
}

func TestClearnessOfRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kt := rapid.Float64Range(0, 1).Draw(t, "kt")
		n := rapid.IntRange(28, 31).Draw(t, "days")
		before := 0.05 // the dullest day of all
		for rank := 1; rank <= n; rank++ {
			k := clearnessOfRank(kt, rank, n)
			if !(k > before && k < 0.9) {
				t.Fatalf("clearness %g: rank %d has %g, the one before %g", kt, rank, k, before)
			}
			before = k
		}
	})
	// Where the exponent passes through 0 the formula is 0/0: both sides of that place must meet.
	lo, hi := 0.3, 0.5
	for hi-lo > 1e-9 {
		if mid := (lo + hi) / 2; clearnessOfRank(mid, 16, 31) < clearnessOfRank(mid, 1, 31)/2+clearnessOfRank(mid, 31,
			31)/2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	for _, d := range []float64{-1e-8, 0, 1e-8} {
		near(t, "even distribution", clearnessOfRank(lo+d, 16, 31), clearnessOfRank(lo-1e-3, 16, 31), 0.01)
	}
}

func TestMarkovStepEndsAtTheTop(t *testing.T) {
	for _, c := range clearnessClasses {
		for i := range c.next {
			row := &c.next[i]
			if k := c.step(row, sum(row[:])); k != c.kMax {
				t.Errorf("class up to %g: %g at the end of row %d, want %g", c.upTo, k, i+1, c.kMax)
			}
			if k := c.step(row, 0); k < c.kMin || k >= c.kMax {
				t.Errorf("class up to %g: %g at the start of row %d", c.upTo, k, i+1)
			}
		}
	}
	if classOf(0.71) != &clearnessClasses[9] || classOf(1.1) != &clearnessClasses[9] ||
		classOf(0) != &clearnessClasses[0] {
		t.Error("the end classes are not where they belong")
	}
}

func TestDrawnMonthHardlyNeedsCorrection(t *testing.T) {
	weights := slices.Repeat([]float64{1}, 30)
	rng := rand.NewPCG(5, 6)
	for _, kt := range []float64{0.25, 0.33, 0.37, 0.42, 0.48, 0.53, 0.58, 0.62, 0.68, 0.73} {
		for range 20 {
			days := classOf(kt).nearestMonth(kt, kt, weights, rng)
			near(t, "mean before correction", stat.Mean(days, nil), kt, drawWithin)
		}
	}
}

func TestDaySequences(t *testing.T) {
	for i, s := range daySequences {
		sorted := slices.Sorted(slices.Values(s[:]))
		for j, rank := range sorted {
			if rank != j+1 {
				t.Fatalf("sequence %d has no rank %d", i+1, j+1)
			}
		}
	}
	// The middle one belongs to 0.45 to 0.55 without the ends: day 16 is rank 7 there and 26 in the others.
	for kt, rank := range map[float64]int{0.45: 26, 0.4501: 7, 0.5499: 7, 0.55: 26} {
		days := orderedMonth(kt, slices.Repeat([]float64{1}, 31))
		sorted := slices.Sorted(slices.Values(days))
		if days[15] != sorted[rank-1] {
			t.Errorf("clearness %g: day 16 has rank %d, want %d", kt, slices.Index(sorted, days[15])+1, rank)
		}
	}
	if n := len(orderedMonth(0.5, slices.Repeat([]float64{1}, 28))); n != 28 {
		t.Errorf("February has %d days", n)
	}
}

func TestMeetMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 31).Draw(t, "n")
		days := rapid.SliceOfN(rapid.Float64Range(0.01, 0.9), n, n).Draw(t, "days")
		weights := rapid.SliceOfN(rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.01, 12)), n, n).Draw(t, "weights")
		mean := rapid.OneOf(rapid.Float64Range(0, 0.95), rapid.Just(0.95)).Draw(t, "mean")
		before := slices.Clone(days)
		meetMean(days, weights, mean, 0.95)
		if sum(weights) > 0 && math.Abs(weightedMean(days, weights)-mean) > 1e-12 {
			t.Fatalf("mean %g, want %g", weightedMean(days, weights), mean)
		}
		for i, k := range days {
			if !(k >= 0 && k <= 0.95+1e-12) {
				t.Fatalf("day %d is %g", i+1, k)
			}
			for j := range i {
				if before[j] < before[i] && days[j] > days[i]+1e-12 {
					t.Fatalf("days %d and %d change places", j+1, i+1)
				}
			}
		}
	})
}
