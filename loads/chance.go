package loads

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// A chance is one independent draw: what it may add to a sum, and how probably.
type chance struct {
	at   []int64 // above 0, ascending
	p    []float64
	none float64 // probability of adding nothing
	most int64   // the largest that can come about; at may leave it out as negligible

	origin origin
}

// negligible is the probability, against that of the likeliest outcome, below which an outcome is left
// out: all of those together are far less than what rounding hides.
const negligible = 1e-20

// binomial is the draw of n units of the given size, each on with probability p.
func binomial(n int, size int64, p float64) chance {
	most := int64(n) * size
	switch {
	case most == 0 || p == 0:
		return chance{none: 1}
	case p == 1:
		return chance{at: []int64{most}, p: []float64{1}, most: most}
	case n == 1:
		return chance{at: []int64{size}, p: []float64{p}, none: 1 - p, most: most}
	}
	// From the likeliest count outwards, by the ratio of neighbours: no factorials and no underflow, and
	// the unknown first probability follows from the sum of 1.
	mode := min(n, int(float64(n+1)*p))
	odds := p / (1 - p)
	var down, up []float64
	for k, q := mode, 1.0; k > 0 && q >= negligible; k-- {
		q *= float64(k) / (float64(n-k+1) * odds)
		down = append(down, q)
	}
	for k, q := mode, 1.0; k < n && q >= negligible; k++ {
		q *= odds * float64(n-k) / float64(k+1)
		up = append(up, q)
	}
	first := mode - len(down)
	slices.Reverse(down)
	pmf := slices.Concat(down, []float64{1}, up)
	floats.Scale(1/floats.Sum(pmf), pmf)

	c := chance{most: most}
	if first == 0 {
		c.none, pmf, first = pmf[0], pmf[1:], 1
	}
	c.p = pmf
	for k := range pmf {
		c.at = append(c.at, int64(first+k)*size)
	}
	return c
}

// certain tells whether there is but one outcome.
func (c *chance) certain() bool { return c.none == 0 && len(c.at) == 1 }

// largest returns the largest outcome that is not negligible.
func (c *chance) largest() int64 { return c.at[len(c.at)-1] }

// inSteps returns c with all outcomes counted in steps, rounded up.
func (c chance) inSteps(step int64) chance {
	if step == 1 {
		return c
	}
	in := chance{none: c.none, most: roundUp(c.most, step), origin: c.origin, at: make([]int64, 0, len(c.at)),
		p: make([]float64, 0, len(c.p))}
	in.origin.step *= step
	for k, at := range c.at {
		at = roundUp(at, step)
		if last := len(in.at) - 1; last >= 0 && in.at[last] == at {
			in.p[last] += c.p[k]
			continue
		}
		in.at, in.p = append(in.at, at), append(in.p, c.p[k])
	}
	return in
}

// roundUp returns a / b, rounded up, for numbers of at least 0 and 1.
func roundUp(a, b int64) int64 { return (a + b - 1) / b }

// variance returns that of the outcome.
func (c *chance) variance() float64 {
	mean, square := 0.0, 0.0
	for k, at := range c.at {
		mean += c.p[k] * float64(at)
		square += c.p[k] * float64(at) * float64(at)
	}
	return max(0, square-mean*mean)
}

// logMGF returns log E[exp(t X)] of the outcome X, for t > 0.
func (c *chance) logMGF(t float64) float64 {
	if len(c.at) == 0 {
		return 0
	}
	top := float64(c.largest())
	if t*top < 1 { // near log 1, where the other form would lose all digits
		sum := 0.0
		for k, at := range c.at {
			sum += c.p[k] * math.Expm1(t*float64(at))
		}
		return math.Log1p(sum)
	}
	sum := c.none * math.Exp(-t*top) // relative to the largest, so that nothing overflows
	for k, at := range c.at {
		sum += c.p[k] * math.Exp(t*(float64(at)-top))
	}
	return t*top + math.Log(sum)
}
