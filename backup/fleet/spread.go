package fleet

import (
	"math"
	"slices"
)

// A Spread is how a figure spreads over homes.
type Spread struct {
	values []float64
	ended  int // of which that many are no more than a bound
	sorted bool
}

func (s *Spread) add(v float64, bound bool) {
	s.values = append(s.values, v)
	s.sorted = false
	if bound {
		s.ended++
	}
}

// Homes is over how many.
func (s *Spread) Homes() int { return len(s.values) }

// Ended is how many of the values are where a simulation was ended: no more than a bound.
func (s *Spread) Ended() int { return s.ended }

// Quantile is the least value that a share of the homes, in [0, 1], does not exceed: the value of a home, not one
// between two. 0 gives the least, 1 the most; of no homes it is NaN.
func (s *Spread) Quantile(share float64) float64 {
	if len(s.values) == 0 {
		return math.NaN()
	}
	if !s.sorted {
		slices.Sort(s.values)
		s.sorted = true
	}
	rank := int(math.Ceil(share * float64(len(s.values))))
	return s.values[max(rank-1, 0)]
}
