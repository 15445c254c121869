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

// list returns the whole distribution as a list, ascending: for few sums that lie far apart.
func list(chances []chance, draws []int) []point {
	sums := []point{{0, 1}}
	for _, d := range draws {
		c := &chances[d]
		all := shifted(sums, 0, c.none)
		for k, at := range c.at {
			all = merge(all, shifted(sums, at, c.p[k]))
		}
		sums = all
	}
	return sums
}

// shifted returns the points moved up by at, with p times their probability.
func shifted(points []point, at int64, p float64) []point {
	if p == 0 {
		return nil
	}
	moved := make([]point, len(points))
	for k, pt := range points {
		moved[k] = point{pt.at + at, pt.p * p}
	}
	return moved
}

// merge merges two ascending lists; points at the same sum become one.
func merge(a, b []point) []point {
	all := make([]point, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].at < b[0].at:
			all, a = append(all, a[0]), a[1:]
		case b[0].at < a[0].at:
			all, b = append(all, b[0]), b[1:]
		default:
			all = append(all, point{a[0].at, a[0].p + b[0].p})
			a, b = a[1:], b[1:]
		}
	}
	return append(append(all, a...), b...)
}
