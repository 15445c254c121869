package loads

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// A row is the probability of each sum of some draws, from 0 on, as long as the sum lies below the cells of the row.
//
// The rest is cut off at once and changes nothing below: sums only grow, so what leaves never comes back.
type row struct {
	pmf   []float64 // one cell a sum
	used  int       // all beyond are 0
	scale float64   // pmf times this is the distribution
}

// hopeless is the probability of a sum below which it is left out where no larger sum is likelier: millions of them are
// still far less than what rounding hides.
const hopeless = 1e-22

// add adds a draw to the sums.
func (r *row) add(c *chance, spare []float64) {
	to := int(min(int64(len(r.pmf)), int64(r.used)+c.largest()))
	weights, keep := c.p, c.none
	if c.none >= 0.25 { // saves a pass over the cells
		r.scale *= c.none
		weights, keep = make([]float64, len(c.p)), 1
		floats.ScaleTo(weights, 1/c.none, c.p)
	}
	const short = 128
	if c.at[0] < short {
		r.addAside(c, weights, keep, to, spare)
	} else {
		r.addInPlace(c, weights, keep, to)
	}
	r.used = to
	for r.used > 1 && r.pmf[r.used-1]*r.scale < hopeless {
		r.used--
		r.pmf[r.used] = 0
	}
	if r.scale < 1e-150 { // pmf has grown by as much: before it overflows
		r.settle()
	}
}

// addInPlace works from the top down in blocks no longer than the smallest outcome: a block then reads only
// cells below itself, which are still as they were.
func (r *row) addInPlace(c *chance, weights []float64, keep float64, to int) {
	const cached = 1024
	block := int(min(c.at[0], cached))
	for high := to; high > 0; high -= block {
		low := max(0, high-block)
		if keep != 1 && low < r.used {
			floats.Scale(keep, r.pmf[low:min(high, r.used)])
		}
		for k, at := range c.at {
			if at >= int64(high) {
				break
			}
			from, upTo := max(low, int(at)), min(high, r.used+int(at))
			if from < upTo {
				floats.AddScaled(r.pmf[from:upTo], weights[k], r.pmf[from-int(at):upTo-int(at)])
			}
		}
	}
}

// addAside reads from a copy: blocks would be too short to be worth it.
func (r *row) addAside(c *chance, weights []float64, keep float64, to int, spare []float64) {
	was := spare[:r.used]
	copy(was, r.pmf)
	if keep != 1 {
		floats.Scale(keep, r.pmf[:r.used])
	}
	for k, at := range c.at {
		if from, upTo := int(min(at, int64(to))), min(to, r.used+int(min(at, int64(to)))); from < upTo {
			floats.AddScaled(r.pmf[from:upTo], weights[k], was[:upTo-from])
		}
	}
}

// settle returns the distribution, as far as it is not 0.
func (r *row) settle() []float64 {
	floats.Scale(r.scale, r.pmf[:r.used])
	r.scale = 1
	return r.pmf[:r.used]
}

// A store keeps the cells of rows that are done with: they are many, and a distribution takes several rows.
type store [][]float64

// take returns so many cells of 0.
func (s *store) take(cells int) []float64 {
	for k, old := range *s {
		if cap(old) >= cells {
			*s = slices.Delete(*s, k, k+1)
			clear(old[:cells])
			return old[:cells]
		}
	}
	return make([]float64, cells)
}

func (s *store) give(rows ...[]float64) { *s = append(*s, rows...) }

// work returns the number of steps that it takes to add draws to a row that is used so far; cells beyond
// maxCells are out of reach.
func work(chances []chance, draws []int, used, cells int64) int64 {
	if cells > maxCells {
		return math.MaxInt64
	}
	steps := int64(0)
	for _, d := range draws {
		used = min(cells, used+chances[d].largest())
		steps += used * int64(len(chances[d].at)+1)
	}
	return steps + used
}

// A point is one sum with its probability.
type point struct {
	at int64
	p  float64
}

// maxPoints is the most points of a list, maxCells the most cells of a row: some ten megabytes each.
const (
	maxPoints = 1 << 20
	maxCells  = 1 << 22
)

// points returns an upper limit for the number of different sums of the draws.
func points(chances []chance, draws []int) float64 {
	n := 1.0
	for _, d := range draws {
		n *= float64(len(chances[d].at) + 1)
	}
	return n
}

// A lister makes lists of points, in room that it uses again.
type lister [2][]point

// list returns the whole distribution of the draws as a list, ascending, for few sums that lie far apart. It holds until
// the next one is made.
func (l *lister) list(chances []chance, draws []int) []point {
	sums, spare := append(l[0][:0], point{0, 1}), l[1][:0]
	for _, several := range []bool{true, false} { // as long as the sums are few, those that take longer for each
		for _, d := range draws {
			c := &chances[d]
			if len(c.at) > 1 != several {
				continue
			}
			was := sums
			if several {
				sums = withAny(spare[:0], was, c)
			} else {
				sums = withOne(slices.Grow(spare[:0], 2*len(was)), was, c)
			}
			spare = was
		}
	}
	l[0], l[1] = sums, spare
	return sums
}

// withOne appends to all what the sums, which are ascending, come to with a chance of one outcome.
func withOne(all, sums []point, c *chance) []point {
	at, p, none := c.at[0], c.p[0], c.none
	with := 0 // the first sum that the outcome is not added to yet
	for _, s := range sums {
		for ; sums[with].at+at < s.at; with++ {
			all = append(all, point{sums[with].at + at, sums[with].p * p})
		}
		if sums[with].at+at == s.at {
			all = append(all, point{s.at, s.p*none + sums[with].p*p})
			with++
			continue
		}
		all = append(all, point{s.at, s.p * none})
	}
	for ; with < len(sums); with++ {
		all = append(all, point{sums[with].at + at, sums[with].p * p})
	}
	return all
}

// withAny is withOne for a chance of any number of outcomes.
func withAny(all, sums []point, c *chance) []point {
	const room = 16
	var few [room]int
	from := few[:] // by outcome, nothing first: the first sum that it is not added to yet
	if len(c.at) >= room {
		from = make([]int, len(c.at)+1)
	}
	if from = from[:len(c.at)+1]; c.none == 0 {
		from[0] = len(sums)
	}
	outcome := func(k int) (at int64, p float64) {
		if k == 0 {
			return 0, c.none
		}
		return c.at[k-1], c.p[k-1]
	}
	for {
		least := int64(math.MaxInt64)
		for k, i := range from {
			if i < len(sums) {
				at, _ := outcome(k)
				least = min(least, sums[i].at+at)
			}
		}
		if least == math.MaxInt64 {
			return all
		}
		next := point{at: least}
		for k, i := range from {
			if i < len(sums) {
				if at, p := outcome(k); sums[i].at+at == least {
					next.p += sums[i].p * p
					from[k]++
				}
			}
		}
		all = append(all, next)
	}
}
