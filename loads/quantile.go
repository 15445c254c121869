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
//
// Where few loads run at a time, the sums are done before anything is known of them.
func (l *lottery) quantile(confidence float64) (sum int64, exact bool) {
	if l.fewSums() {
		l.largestFirst()
		for k := range l.times {
			if t := &l.times[k]; t.bound > sum {
				sum = max(sum, l.listed(t, confidence, sum))
			}
		}
		return sum, true
	}
	b := newBounds(l, confidence)
	l.largestFirst()
	if t := &l.times[0]; work(l.chances, t.draws, 1, t.cells()) > l.budget {
		return t.bound, false
	}
	if sum, exact = l.raise(0, l.times[:1], b); !exact {
		return sum, exact
	}
	above := slices.DeleteFunc(slices.Clone(l.times[1:]), func(t timeOfDay) bool { return t.bound <= sum })
	if l.noneAbove(above, sum, confidence) {
		return sum, true
	}
	slices.SortStableFunc(above, byBound)
	return l.raise(sum, above, b)
}

// largestFirst puts the time with the largest bound first.
func (l *lottery) largestFirst() {
	first := 0
	for k := range l.times {
		if l.times[k].bound > l.times[first].bound {
			first = k
		}
	}
	l.times[0], l.times[first] = l.times[first], l.times[0]
}

// fewPoints is up to how many points a time has, in the mean, they take less than its bounds.
const fewPoints = 256

// fewSums tells whether all times together have few sums.
func (l *lottery) fewSums() bool {
	all := 0.0
	for k := range l.times {
		if all += points(l.chances, l.times[k].draws); all > fewPoints*float64(len(l.times)) {
			return false
		}
	}
	return true
}

// coarseCells is about how many cells a row has that only tells whether anything is above a sum.
const coarseCells = 1 << 13

// noneAbove tells whether none of the times whose bound is above sum is so even when all outcomes are rounded up to
// coarser steps: where watts are counted in tenths or finer, that is most often so, and takes a tenth of the work. false
// says nothing.
func (l *lottery) noneAbove(above []timeOfDay, sum int64, confidence float64) bool {
	if len(above) == 0 {
		return true
	}
	most := slices.MaxFunc(above, func(s, t timeOfDay) int { return cmp.Compare(s.bound, t.bound) })
	step := most.cells() / coarseCells
	if step < 2 {
		return false
	}
	coarse := lottery{chances: slices.Clone(l.chances), times: slices.Clone(above), exact: l.exact}
	coarse.coarsen(step)
	highest, exact := coarse.quantile(confidence)
	return exact && highest*step <= sum
}

// byBound puts the largest bound first.
func byBound(s, t timeOfDay) int { return cmp.Compare(t.bound, s.bound) }

// raise returns the larger of sum and the quantiles of the times, of which the first has the largest bound.
func (l *lottery) raise(sum int64, times []timeOfDay, b *bounds) (raised int64, exact bool) {
	var dense []timeOfDay
	for _, t := range times {
		if t.bound <= sum {
			continue
		}
		// A point, each of which is moved and merged, costs some thirty times as much as a cell.
		listed := 30 * points(l.chances, t.draws)
		if listed > 30*maxPoints || listed > float64(min(l.budget, work(l.chances, t.draws, 1, t.cells()))) {
			dense = append(dense, t)
			continue
		}
		l.budget -= int64(listed)
		sum = max(sum, l.listed(&t, b.confidence, sum))
	}
	if len(dense) == 0 {
		return sum, true
	}
	return l.raiseOver(nil, sum, dense, b)
}

// listed returns the quantile of a time of the day off a list of its sums. What lies below sum may be told as sum.
func (l *lottery) listed(t *timeOfDay, confidence float64, sum int64) int64 {
	sums := l.lister.list(l.chances, t.draws)
	return l.settle(t, confidence, sum, func(level float64) int64 { return reachedInList(sums, level, t.most-t.certain) })
}

// raiseOver is raise for times that all have the draws of a base, the largest bound first.
func (l *lottery) raiseOver(base *base, sum int64, times []timeOfDay, b *bounds) (raised int64, exact bool) {
	base = l.newBase(base, times)
	if base == nil {
		return max(sum, times[0].bound), false
	}
	defer func() { l.cells.give(base.pmf, base.descending) }()
	toDo := int64(0)
	for k := range times {
		times[k].rest = without(times[k].rest, base.added)
		toDo += work(l.chances, times[k].rest, 1, times[k].cells())
	}
	if len(times) > 1 && toDo > b.work(base) { // else the bounds cost more than they can spare
		times = b.closer(base, times, sum)
		toDo = 0
		for k := range times {
			toDo += work(l.chances, times[k].rest, 1, times[k].cells())
		}
	}
	// What is still in question has more in common than all had, and neighbours in the day have most.
	if halves := l.halves(times); l.workOver(base, halves[0])+l.workOver(base, halves[1]) < toDo {
		for _, half := range halves {
			if half = slices.DeleteFunc(half, func(t timeOfDay) bool { return t.bound <= sum }); len(half) > 0 {
				slices.SortStableFunc(half, byBound)
				if sum, exact = l.raiseOver(base, sum, half, b); !exact {
					return max(sum, times[0].bound), false
				}
			}
		}
		return sum, true
	}
	for _, t := range times {
		if t.bound <= sum {
			break
		}
		steps := work(l.chances, t.rest, 1, t.cells())
		if steps > l.budget {
			return t.bound, false
		}
		l.budget -= steps
		rest := l.distribution(t.rest, int(t.cells()))
		n := l.settle(&t, b.confidence, sum, func(level float64) int64 {
			return base.reached(rest, level, sum-t.certain, t.bound-t.certain)
		})
		l.cells.give(rest)
		sum = max(sum, n)
	}
	return sum, true
}

// halves cuts times in two, the earlier ones of the day first.
func (l *lottery) halves(times []timeOfDay) [2][]timeOfDay {
	byDay := slices.SortedFunc(slices.Values(times), func(s, t timeOfDay) int { return cmp.Compare(s.slot, t.slot) })
	return [2][]timeOfDay{byDay[:len(byDay)/2], byDay[len(byDay)/2:]}
}

// workOver returns the steps that it takes to raise the sum over times, after another base on top of this one.
func (l *lottery) workOver(base *base, times []timeOfDay) int64 {
	if len(times) == 0 {
		return 0
	}
	common := l.common(times)
	steps := 2*int64(len(base.descending)) + work(l.chances, common, int64(base.used), int64(len(base.descending)))
	for _, t := range times {
		steps += work(l.chances, without(t.rest, common), 1, t.cells())
	}
	return steps
}

// settle returns the quantile of a time of the day; reached finds it for a level, among the draws alone.
// What lies below sum may be told as sum.
func (l *lottery) settle(t *timeOfDay, confidence float64, sum int64, reached func(level float64) int64) int64 {
	low, high := reached(confidence-nearTie), reached(confidence+nearTie)
	if high > low && t.certain+high > sum {
		return t.certain + l.exactly(t.draws, confidence, low, min(high, t.bound-t.certain))
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

// distribution returns the probability of each sum of the draws, from 0 on, as long as it lies below cells.
func (l *lottery) distribution(draws []int, cells int) []float64 {
	r := row{pmf: l.cells.take(cells), used: 1, scale: 1}
	r.pmf[0] = 1
	l.add(&r, draws)
	return r.settle()
}

func (l *lottery) add(r *row, draws []int) {
	spare := l.cells.take(len(r.pmf))
	for _, d := range draws {
		r.add(&l.chances[d], spare)
	}
	l.cells.give(spare)
}

// A base is what several times of the day have in common.
type base struct {
	row
	draws []int
	added []int // of the draws: those that the base below it has not
	// descending holds P(sum <= n), from the largest n to 0: so a convolution with it is a dot product.
	descending []float64
	work       int64
}

// newBase returns the common draws of times, on top of those of a base (nil: none), cut off at the largest of
// their bounds; nil if that is too much.
func (l *lottery) newBase(below *base, times []timeOfDay) *base {
	cells := int64(0)
	for k := range times {
		cells = max(cells, times[k].cells())
		if below == nil {
			times[k].rest = times[k].draws
		}
	}
	if cells > maxCells {
		return nil
	}
	common, used := l.common(times), int64(1)
	if below != nil {
		used = min(int64(below.used), cells)
	}
	b := &base{draws: common, added: common, work: work(l.chances, common, used, cells) + cells}
	if b.work > l.budget {
		return nil
	}
	l.budget -= b.work
	b.row = row{pmf: l.cells.take(int(cells)), used: int(used), scale: 1}
	if below == nil {
		b.pmf[0] = 1
	} else {
		copy(b.pmf, below.pmf[:used])
		b.draws = slices.Concat(below.draws, common)
	}
	l.add(&b.row, common)
	pmf := b.settle()
	b.descending = l.cells.take(int(cells))
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

// common returns the draws that are in the rest of all times, ascending. Of a single time it is every other one:
// two short rows are less work than a long one.
func (l *lottery) common(times []timeOfDay) []int {
	var all []int
	if len(times) == 1 {
		for k := 0; k < len(times[0].rest); k += 2 {
			all = append(all, times[0].rest[k])
		}
		return all
	}
	count := make([]int, len(l.chances))
	for _, t := range times {
		for _, d := range t.rest {
			count[d]++
		}
	}
	for d, n := range count {
		if n == len(times) {
			all = append(all, d)
		}
	}
	return all
}

// without returns the draws that are not among others, which are ascending as they are.
func without(draws, others []int) []int {
	left := make([]int, 0, len(draws))
	for _, d := range draws {
		for len(others) > 0 && others[0] < d {
			others = others[1:]
		}
		if len(others) == 0 || others[0] != d {
			left = append(left, d)
		}
	}
	return left
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
