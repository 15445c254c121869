package loads

import (
	"cmp"
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
	tail       float64 // -log(1 - confidence)
	ts         []float64
	logs       [][]float64 // log E[exp(t X)] of each chance, by t
}

// rounding covers that of the bounds themselves.
const rounding = 1e-9

// newBounds bounds every time of the day.
func newBounds(l *lottery, confidence float64) *bounds {
	b := &bounds{
		confidence: confidence,
		tail:       -math.Log1p(-confidence),
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
	for exponent := -5.0; exponent <= 3; exponent++ {
		t := math.Sqrt(2*b.tail/variance) * math.Pow(1.25, exponent)
		logs := make([]float64, len(l.chances))
		for d := range l.chances {
			logs[d] = l.chances[d].logMGF(t)
		}
		b.ts, b.logs = append(b.ts, t), append(b.logs, logs)
	}
	for k := range l.times {
		t := &l.times[k]
		for j := range b.ts {
			x := (b.sum(j, t.draws) + b.tail) / b.ts[j]
			if x *= 1 + rounding; x < float64(t.bound-t.certain) {
				t.bound = t.certain + int64(x)
			}
		}
	}
	return b
}

// sum returns log E[exp(t X)] of the sum of the draws, for the t with the given index.
func (b *bounds) sum(j int, draws []int) float64 {
	sum := 0.0
	for _, d := range draws {
		sum += b.logs[j][d]
	}
	return sum
}

// overBase returns, for each t, the logarithm of a K with P(B > y) <= K exp(-t y) for the sum B of the
// base and every y.
//
// With it, P(B + R > y) = sum over r of P(R = r) P(B > y - r) <= K exp(-t y) E[exp(t R)]: Chernoff's bound
// again, but with a K that is seen in the distribution in place of E[exp(t B)], which it is far below.
func (b *bounds) overBase(base *base) []float64 {
	const grain = 0.04 // of t y, within which one value of P(B > y) does: it costs as much in the bound
	cells := len(base.descending)
	last := len(b.ts) - 1
	chernoff := make([]float64, len(b.ts)) // log E[exp(t B)]
	for j := range b.ts {
		chernoff[j] = b.sum(j, base.draws)
	}
	logs := make([]float64, len(b.ts))
	for j, t := range b.ts {
		// Below 0, P(B > y) is 1. Beyond twice the cells the bound with the largest t holds, and falls.
		logK := max(0, chernoff[last]-(b.ts[last]-t)*float64(2*cells))
		block := max(1, int(min(grain/t, float64(2*cells))))
		for from := 0; from < 2*cells; from += block {
			y := min(from, cells-1)
			above := math.Log(1 - base.descending[cells-1-y] + 1e-12)
			if from >= cells { // not computed there, but no more than at the last cell and than any bound
				for k := range b.ts {
					above = min(above, chernoff[k]-b.ts[k]*float64(from))
				}
			}
			logK = max(logK, above+t*float64(from+block-1))
		}
		logs[j] = logK
	}
	return logs
}

// closer lowers the bounds of times, whose rest beside the base is known, and returns those that still lie
// above sum, the largest bound first.
func (b *bounds) closer(base *base, times []timeOfDay, sum int64) []timeOfDay {
	logs := b.overBase(base)
	var left []timeOfDay
	for _, t := range times {
		for j := range b.ts {
			x := (logs[j] + b.sum(j, t.rest) + b.tail) / b.ts[j]
			// Rounded up, not down: here the bound is on P(sum > x), and x has to be one of the sums.
			if up := math.Ceil(x * (1 + rounding)); up < float64(t.bound-t.certain) {
				t.bound = t.certain + int64(up)
			}
		}
		if t.bound > sum {
			left = append(left, t)
		}
	}
	slices.SortStableFunc(left, func(s, t timeOfDay) int { return cmp.Compare(t.bound, s.bound) })
	return left
}
