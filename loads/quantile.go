package loads

import (
	"cmp"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
)

// maxWork is the number of steps after which the watts are counted more coarsely, see [Set.Probable].
const maxWork = int64(2e8)

// quantile returns the largest, over the times of the day, of the smallest sum that is not exceeded with
// the given confidence, below 1; or, not exact, an upper bound if that would take too much work.
//
// A day has hundreds of slots, and one distribution takes a millisecond. So every time of the day first
// gets an upper bound; the one with the largest bound is computed, and the others only as far as their
// bounds lie above it. Most of those differ in few loads: what they have in common is computed once, gives
// them a much closer bound, and leaves little to do for those that still are in question.
func (l *lottery) quantile(confidence float64) (sum int64, exact bool) {
	b := newBounds(l, confidence)
	slices.SortStableFunc(l.times, func(s, t timeOfDay) int { return cmp.Compare(t.bound, s.bound) })
	if sum, exact = l.raise(0, l.times[:1], b); exact {
		sum, exact = l.raise(sum, l.times[1:], b)
	}
	return sum, exact
}

// raise returns the larger of sum and the quantiles of the times, which come with the largest bound first.
func (l *lottery) raise(sum int64, times []timeOfDay, b *bounds) (raised int64, exact bool) {
	var dense []timeOfDay
	for _, t := range times {
		if t.bound <= sum {
			break // and so do all that follow
		}
		// A point, each of which is moved and merged, costs some thirty times as much as a cell.
		listed := 30 * points(l.chances, t.draws)
		if listed > 30*maxPoints || listed > float64(min(l.budget, work(l.chances, t.draws, t.cells()))) {
			dense = append(dense, t)
			continue
		}
		l.budget -= int64(listed)
		sums := list(l.chances, t.draws)
		n := l.settle(&t, b, sum, func(level float64) int64 { return reachedInList(sums, level, t.most-t.certain) })
		sum = max(sum, n)
	}
	for len(dense) > 0 {
		base := l.newBase(dense)
		if base == nil {
			return max(sum, dense[0].bound), false
		}
		for k := range dense {
			dense[k].rest = base.rest(dense[k].draws)
		}
		if before := len(dense); before > 1 {
			dense = b.closer(base, dense, sum)
			toDo := int64(0)
			for k := range dense {
				toDo += work(l.chances, dense[k].rest, dense[k].cells())
			}
			// What is still in question has more in common than all had.
			if 4*len(dense) < 3*before && toDo > 2*base.work {
				continue
			}
		}
		for _, t := range dense {
			if t.bound <= sum {
				break
			}
			steps := work(l.chances, t.rest, t.cells())
			if steps > l.budget {
				return t.bound, false
			}
			l.budget -= steps
			rest := distribution(l.chances, t.rest, int(t.cells()))
			n := l.settle(&t, b, sum, func(level float64) int64 {
				return base.reached(rest, level, sum-t.certain, t.bound-t.certain)
			})
			sum = max(sum, n)
		}
		break
	}
	return sum, true
}

// settle returns the quantile of a time of the day; reached finds it for a level, among the draws alone.
// What lies below sum may be told as sum.
func (l *lottery) settle(t *timeOfDay, b *bounds, sum int64, reached func(level float64) int64) int64 {
	low, high := reached(b.confidence-nearTie), reached(b.confidence+nearTie)
	if high > low && t.certain+high > sum {
		return t.certain + l.exactly(t.draws, b.confidence, low, min(high, t.bound-t.certain))
	}
	return t.certain + high
}

// cells returns the number of sums up to the bound.
func (t *timeOfDay) cells() int64 { return t.bound - t.certain + 1 }

// reachedInList returns the first sum at which the cumulated probability reaches level; most if none does.
func reachedInList(sums []point, level float64, most int64) int64 {
	total := 0.0
	for _, s := range sums {
		if total += s.p; total >= level {
			return s.at
		}
	}
	return most
}

// A base is what several times of the day have in common.
type base struct {
	draws []int
	is    []bool // of each chance: it belongs to the base
	// descending holds P(sum <= n), from the largest n to 0: so a convolution with it is a dot product.
	descending []float64
	work       int64
}

// newBase returns the common draws of times, cut off at the largest of their bounds; nil if that is too
// much.
func (l *lottery) newBase(times []timeOfDay) *base {
	count := make([]int, len(l.chances))
	cells := int64(0)
	for _, t := range times {
		cells = max(cells, t.cells())
		for _, d := range t.draws {
			count[d]++
		}
	}
	b := &base{is: make([]bool, len(l.chances))}
	for d, n := range count {
		if n == len(times) {
			b.is[d] = true
			b.draws = append(b.draws, d)
		}
	}
	if cells > maxCells {
		return nil
	}
	if b.work = work(l.chances, b.draws, cells) + cells; b.work > l.budget {
		return nil
	}
	l.budget -= b.work
	pmf := distribution(l.chances, b.draws, int(cells))
	b.descending = make([]float64, cells)
	// Compensated summing: a hundred thousand roundings would eat into the 1e-12 that is promised.
	total, lost := 0.0, 0.0
	for n := range b.descending {
		if n < len(pmf) {
			p := pmf[n] - lost
			next := total + p
			lost = (next - total) - p
			total = next
		}
		b.descending[len(b.descending)-1-n] = min(1, total)
	}
	return b
}

// rest returns the draws that are not in the base.
func (b *base) rest(draws []int) []int {
	var rest []int
	for _, d := range draws {
		if !b.is[d] {
			rest = append(rest, d)
		}
	}
	return rest
}

// atMost returns P(base + rest <= n).
func (b *base) atMost(n int64, rest []float64) float64 {
	if n < 0 {
		return 0
	}
	from := b.descending[int64(len(b.descending))-1-n:]
	if k := min(len(rest), len(from)); k > 1 {
		return floats.Dot(rest[:k], from[:k])
	}
	return rest[0] * from[0]
}

// reached returns the smallest n above low, and at most high, with P(base + rest <= n) >= level; low if
// that one has it already.
func (b *base) reached(rest []float64, level float64, low, high int64) int64 {
	if low >= 0 && b.atMost(low, rest) >= level {
		return low
	}
	low = max(low, -1)
	n := sort.Search(int(high-low-1), func(i int) bool { return b.atMost(low+1+int64(i), rest) >= level })
	return low + 1 + int64(n)
}
