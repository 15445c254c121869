package loads

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// distribution returns the probability of each sum of the draws, from 0 on, as long as it lies below
// cells.
//
// The rest is cut off at once and changes nothing below: sums only grow, so what leaves never comes back.
func distribution(chances []chance, draws []int, cells int) []float64 {
	pmf := make([]float64, cells)
	pmf[0] = 1
	n := 1       // cells in use
	scale := 1.0 // pmf times this is the distribution
	for _, d := range draws {
		c := &chances[d]
		to := int(min(int64(cells), int64(n)+c.largest()))
		scale *= c.spread(pmf[:to], n)
		n = to
		if scale < 1e-150 { // pmf has grown by as much: before it overflows
			floats.Scale(scale, pmf[:n])
			scale = 1
		}
	}
	floats.Scale(scale, pmf[:n])
	return pmf[:n]
}

// spread adds the draw to the sums in pmf, of which the first n are in use, and returns the factor that
// it left out.
//
// It works in place, from the top down in blocks no longer than the smallest outcome: a block then reads
// only cells below itself, which are still as they were.
func (c *chance) spread(pmf []float64, n int) (factor float64) {
	weights, keep := c.p, c.none
	factor = 1
	if c.none >= 0.25 { // saves a pass over the cells
		factor, keep = c.none, 1
		weights = make([]float64, len(c.p))
		floats.ScaleTo(weights, 1/c.none, c.p)
	}
	const cached = 1024
	block := int(min(c.at[0], cached))
	if block < 16 {
		c.spreadSingly(pmf, weights, keep)
		return factor
	}
	for high := len(pmf); high > 0; high -= block {
		low := max(0, high-block)
		if keep != 1 && low < n {
			floats.Scale(keep, pmf[low:min(high, n)])
		}
		for k, at := range c.at {
			if at >= int64(high) {
				break
			}
			from, to := max(low, int(at)), min(high, n+int(at))
			if from < to {
				floats.AddScaled(pmf[from:to], weights[k], pmf[from-int(at):to-int(at)])
			}
		}
	}
	return factor
}

// spreadSingly is spread for outcomes too small for blocks.
func (c *chance) spreadSingly(pmf, weights []float64, keep float64) {
	for x := len(pmf) - 1; x >= 0; x-- {
		sum := keep * pmf[x]
		for k, at := range c.at {
			if at > int64(x) {
				break
			}
			sum += weights[k] * pmf[x-int(at)]
		}
		pmf[x] = sum
	}
}

// work returns the number of steps that distribution takes; cells beyond maxCells are out of reach.
func work(chances []chance, draws []int, cells int64) int64 {
	if cells > maxCells {
		return math.MaxInt64
	}
	steps, n := int64(0), int64(1)
	for _, d := range draws {
		n = min(cells, n+chances[d].largest())
		steps += n * int64(len(chances[d].at)+1)
	}
	return steps + n
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
