package loads

import (
	"math"
	"slices"
)

// A bounds gives upper bounds for the quantiles at one confidence.
//
// Chernoff's bound: P(X >= x) <= exp(-t x) E[exp(t X)] for every t > 0, so that the right side is
// 1 - confidence at x = (log E[exp(t X)] - log(1 - confidence)) / t. Any t will do; some around the best
// one for a normal distribution are tried. They serve all times of the day, as the logarithms add up.
type bounds struct {
	confidence float64
	tail       float64   // -log(1 - confidence)
	ts         []float64 // so many as tries, or none where nothing varies
	logs       []byT     // log E[exp(t X)] of each chance
}

// byT is a figure for each t.
type byT [tries]float64

// tries is how many values of t are tried, from firstTry powers of tryRatio times the best one for a normal
// distribution on.
const (
	tries    = 9
	firstTry = -5
	tryRatio = 1.25
)

// rounding covers that of the bounds themselves.
const rounding = 1e-9

// newBounds bounds every time of the day.
func newBounds(l *lottery, confidence float64) *bounds {
	b := &bounds{
		confidence: confidence,
		tail:       -math.Log1p(-confidence),
		logs:       make([]byT, len(l.chances)),
	}
	variances := make([]float64, len(l.chances))
	for d := range l.chances {
		variances[d] = l.chances[d].variance()
	}
	variance := 0.0
	for _, t := range l.times {
		sum := 0.0
		for _, d := range t.draws {
			sum += variances[d]
		}
		variance = max(variance, sum)
	}
	if variance == 0 {
		return b
	}
	for j := range tries {
		t := math.Sqrt(2*b.tail/variance) * math.Pow(tryRatio, float64(firstTry+j))
		b.ts = append(b.ts, t)
		for d := range l.chances {
			b.logs[d][j] = l.chances[d].logMGF(t)
		}
	}
	for k := range l.times {
		t := &l.times[k]
		sums := b.sums(t.draws)
		for j := range b.ts {
			x := (sums[j] + b.tail) / b.ts[j]
			if x *= 1 + rounding; x < float64(t.bound-t.certain) {
				t.bound = t.certain + int64(x)
			}
		}
	}
	return b
}

// sums returns log E[exp(t X)] of the sum of the draws.
func (b *bounds) sums(draws []int) (sums byT) {
	for _, d := range draws {
		logs := &b.logs[d]
		for j := range sums {
			sums[j] += logs[j]
		}
	}
	return sums
}

// overBase returns, for each t, the logarithm of a K with P(B > y) <= K exp(-t y) for the sum B of the
// base and every y.
//
// With it, P(B + R > y) = sum over r of P(R = r) P(B > y - r) <= K exp(-t y) E[exp(t R)]: Chernoff's bound
// again, but with a K that is seen in the distribution in place of E[exp(t B)], which it is far below.
func (b *bounds) overBase(base *base) (logs byT) {
	if len(b.ts) == 0 {
		return logs
	}
	cells, last := len(base.descending), b.ts[tries-1]
	chernoff := b.sums(base.draws) // log E[exp(t B)]
	for j, t := range b.ts {
		// Below 0, P(B > y) is 1. Beyond twice the cells the bound with the largest t holds, and falls.
		logs[j] = max(0, chernoff[tries-1]-(last-t)*float64(2*cells))
	}
	block := b.block(cells)
	above := 0.0 // log P(B > y) where y begins a block
	for from := 0; from < 2*cells; from += block {
		if y := min(from, cells-1); from < cells+block {
			above = math.Log(1 - base.descending[cells-1-y] + 1e-12)
		}
		bound := above
		if from >= cells { // not computed there, but no more than at the last cell and than any bound
			for j, t := range b.ts {
				bound = min(bound, chernoff[j]-t*float64(from))
			}
		}
		for j, t := range b.ts {
			logs[j] = max(logs[j], bound+t*float64(from+block-1))
		}
	}
	return logs
}

// grain is the part of t y within which one value of P(B > y) does: it costs as much in the bound.
const grain = 0.04

// block returns how many cells are within the grain of the largest t.
func (b *bounds) block(cells int) int {
	return max(1, int(min(grain/b.ts[tries-1], float64(2*cells))))
}

// work returns about how many steps of a distribution the bounds over a base take.
func (b *bounds) work(base *base) int64 {
	const each = 300 // of a block, with its logarithm
	if len(b.ts) == 0 {
		return 0
	}
	cells := len(base.descending)
	return each * int64(2*cells/b.block(cells))
}

// closer lowers the bounds of times, whose rest beside the base is known, and returns those that still lie
// above sum, the largest bound first.
func (b *bounds) closer(base *base, times []timeOfDay, sum int64) []timeOfDay {
	logs := b.overBase(base)
	var left []timeOfDay
	for _, t := range times {
		sums := b.sums(t.rest)
		for j := range b.ts {
			x := (logs[j] + sums[j] + b.tail) / b.ts[j]
			// Rounded up, not down: here the bound is on P(sum > x), and x has to be one of the sums.
			if up := math.Ceil(x * (1 + rounding)); up < float64(t.bound-t.certain) {
				t.bound = t.certain + int64(up)
			}
		}
		if t.bound > sum {
			left = append(left, t)
		}
	}
	slices.SortStableFunc(left, byBound)
	return left
}
