package loads

import (
	"math/big"
	"slices"
	"strconv"
)

// Rounding adds up to less than nearTie in any probability of a sum. What lies farther from the confidence is
// decided by it; what lies nearer is decided with whole numbers, as long as that is at most maxExact steps:
// some tenths of a second.
const (
	nearTie  = 1e-12
	maxExact = int64(2e8)
)

// An origin is what a chance was made of, so that its probabilities can be told exactly.
type origin struct {
	units   int    // each on independently of the others; 1 for an interlock
	members []Load // one, or those of an interlock
	at      []int64
	step    int64 // the outcomes are counted in such steps, rounded up
}

// share returns [Load.Share] as the fraction that was written down: 24 times 0.2 h, in binary a little more
// than 4.8 h, is 4.8 h with the 15 digits that a float64 keeps of any decimal.
func (l Load) share() *big.Rat {
	share := l.Share()
	if share == 0 || share == 1 {
		return new(big.Rat).SetFloat64(share)
	}
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(l.HoursPerDay, 'g', 15, 64))
	minutes := int64(minutesPerDay)
	if len(l.Windows) > 0 {
		minutes = 0
		for _, w := range l.Windows {
			minutes += int64(w.Minutes())
		}
	}
	return r.Mul(r, big.NewRat(60, minutes))
}

// weights returns each outcome of the draw with its probability as a multiple of 1/denominator; the first
// is to add nothing.
func (o *origin) weights() (at []int64, weight []*big.Int, denominator *big.Int) {
	shares, sum := make([]*big.Rat, len(o.members)), new(big.Rat)
	for k, l := range o.members {
		shares[k] = l.share()
		sum.Add(sum, shares[k])
	}
	one := big.NewRat(1, 1)
	none := new(big.Rat)
	if sum.Cmp(one) > 0 {
		for _, s := range shares {
			s.Quo(s, sum)
		}
	} else {
		none.Sub(one, sum)
	}
	denominator = new(big.Int).Set(none.Denom())
	for _, s := range shares {
		g := new(big.Int).GCD(nil, nil, denominator, s.Denom())
		denominator.Mul(denominator, g.Quo(s.Denom(), g))
	}
	whole := func(r *big.Rat) *big.Int {
		n := new(big.Int).Quo(denominator, r.Denom())
		return n.Mul(n, r.Num())
	}
	if o.units == 1 {
		at, weight = []int64{0}, []*big.Int{whole(none)}
		for k, s := range shares {
			at, weight = append(at, roundUp(o.at[k], o.step)), append(weight, whole(s))
		}
		return at, weight, denominator
	}
	on, off := powers(whole(shares[0]), o.units), powers(whole(none), o.units)
	for k := range on {
		w := new(big.Int).Binomial(int64(o.units), int64(k))
		at = append(at, roundUp(int64(k)*o.at[0], o.step))
		weight = append(weight, w.Mul(w, on[k]).Mul(w, off[o.units-k]))
	}
	return at, weight, denominator.Exp(denominator, big.NewInt(int64(o.units)), nil)
}

// powers returns x to the power of 0 to n.
func powers(x *big.Int, n int) []*big.Int {
	all := []*big.Int{big.NewInt(1)}
	for k := range n {
		all = append(all, new(big.Int).Mul(all[k], x))
	}
	return all
}

// exactly returns the smallest sum n of the draws, of those from low to high, with P(sum <= n) >=
// confidence. It is known that none below low has it and that high has; high is what comes back, too, where
// the exact answer would take too long.
func (l *lottery) exactly(draws []int, confidence float64, low, high int64) int64 {
	sums, all := map[int64]*big.Int{0: big.NewInt(1)}, big.NewInt(1)
	for _, d := range draws {
		o := &l.chances[d].origin
		if n := int64(o.units); n*n*n/10 > l.exact { // n powers, each of n digits
			return high
		}
		at, weight, denominator := o.weights()
		all.Mul(all, denominator)
		const overhead = 20 // of a step, in words of its number
		l.exact -= int64(len(sums)) * int64(len(at)) * int64(overhead+all.BitLen()/64)
		if l.exact < 0 {
			return high
		}
		next := make(map[int64]*big.Int, 2*len(sums))
		term := new(big.Int)
		for sum, p := range sums {
			for k, w := range weight {
				if n := sum + at[k]; n <= high && w.Sign() > 0 {
					if next[n] == nil {
						next[n] = new(big.Int)
					}
					next[n].Add(next[n], term.Mul(p, w))
				}
			}
		}
		sums = next
	}
	order := make([]int64, 0, len(sums))
	for n := range sums {
		order = append(order, n)
	}
	slices.Sort(order)
	total, whole := new(big.Int), new(big.Float).SetInt(all)
	for _, n := range order {
		total.Add(total, sums[n])
		// As float64 numbers: so 8/27 has a confidence of 8/27, which no decimal is.
		p, _ := new(big.Float).SetPrec(53).Quo(new(big.Float).SetInt(total), whole).Float64()
		if p >= confidence {
			return max(low, n)
		}
	}
	return high
}
