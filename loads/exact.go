package loads

import (
	"math/big"
	"math/bits"
	"strconv"
)

// Rounding adds up to less than nearTie in any probability of a sum. What lies farther from the confidence is
// decided by it; what lies nearer is decided with whole numbers, as long as that takes at most maxExact words
// to be worked out, some tenths of a second, and maxExactWords of them at once.
const (
	nearTie       = 1e-12
	maxExact      = int64(1e8)
	maxExactWords = int64(1 << 22)
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

// An exactDraw is what one unit, or one interlock, adds, nothing first, and how probably: as multiples of one
// part in whole.
type exactDraw struct {
	at     []int64
	weight []uint64
	whole  *big.Int
}

// draw returns the draw of one unit or interlock. ok is false where its weights don't fit in a word, or where
// rounding up to steps makes several units more than several times one.
func (o *origin) draw() (d exactDraw, ok bool) {
	shares, sum := make([]*big.Rat, len(o.members)), new(big.Rat)
	for k, l := range o.members {
		shares[k] = l.share()
		sum.Add(sum, shares[k])
	}
	none, one := new(big.Rat), big.NewRat(1, 1)
	if sum.Cmp(one) > 0 {
		for _, s := range shares {
			s.Quo(s, sum)
		}
	} else {
		none.Sub(one, sum)
	}
	all := append([]*big.Rat{none}, shares...)
	d.whole = big.NewInt(1)
	for _, r := range all {
		g := new(big.Int).GCD(nil, nil, d.whole, r.Denom())
		d.whole.Mul(d.whole, g.Quo(r.Denom(), g))
	}
	for k, r := range all {
		w := new(big.Int).Quo(d.whole, r.Denom())
		if w.Mul(w, r.Num()); !w.IsUint64() {
			return d, false
		}
		at := int64(0)
		if k > 0 {
			if o.units > 1 && o.at[0]%o.step != 0 {
				return d, false
			}
			at = roundUp(o.at[k-1], o.step)
		}
		d.at, d.weight = append(d.at, at), append(d.weight, w.Uint64())
	}
	return d, true
}

// exactSums is a distribution: sums, ascending, each with its probability as a number of width words, the
// lowest first.
type exactSums struct {
	at    []int64
	words []uint64
	width int
}

// add returns the sums with a draw added to them, as far as they are at most high; each number gets width
// words, which must hold it.
func (e exactSums) add(d exactDraw, high int64, width int) exactSums {
	next := exactSums{width: width}
	from := make([]int, len(d.at)) // by outcome: the first sum that it is not added to yet
	for {
		least, found := high, false
		for k, at := range d.at {
			if from[k] < len(e.at) && d.weight[k] > 0 && e.at[from[k]]+at <= least {
				least, found = e.at[from[k]]+at, true
			}
		}
		if !found {
			return next
		}
		next.at = append(next.at, least)
		next.words = append(next.words, make([]uint64, width)...)
		sum := next.words[len(next.words)-width:]
		for k, at := range d.at {
			if i := from[k]; i < len(e.at) && d.weight[k] > 0 && e.at[i]+at == least {
				addTimes(sum, e.words[i*e.width:(i+1)*e.width], d.weight[k])
				from[k]++
			}
		}
	}
}

// addTimes adds x times weight to sum, which must be long enough for it.
func addTimes(sum, x []uint64, weight uint64) {
	carry := uint64(0)
	for i, word := range x {
		high, low := bits.Mul64(word, weight)
		var c uint64
		low, c = bits.Add64(low, carry, 0)
		high += c
		sum[i], c = bits.Add64(sum[i], low, 0)
		carry = high + c
	}
	for i := len(x); carry > 0; i++ {
		sum[i], carry = bits.Add64(sum[i], carry, 0)
	}
}

// exactly returns the smallest sum n of the draws, of those from low to high, with P(sum <= n) >=
// confidence. It is known that high has it, that none below low has, and that low lacks no more of it than
// rounding hides; so low is what comes back where the exact answer would take too long.
func (l *lottery) exactly(draws []int, confidence float64, low, high int64) int64 {
	sums, whole := exactSums{[]int64{0}, []uint64{1}, 1}, big.NewInt(1)
	for _, c := range draws {
		o := &l.chances[c].origin
		d, ok := o.draw()
		if !ok {
			return low
		}
		for range o.units {
			whole.Mul(whole, d.whole)
			width := whole.BitLen()/64 + 1
			// What a sum costs beside its words: to be found, and to be given memory.
			const overhead = 10
			l.exact -= int64(len(sums.at)) * int64(len(d.at)) * int64(width+overhead)
			if l.exact < 0 || int64(len(sums.at))*int64(len(d.at))*int64(width) > maxExactWords {
				return low
			}
			sums = sums.add(d, high, width)
		}
	}
	total, part, all := new(big.Int), new(big.Int), new(big.Float).SetInt(whole)
	for i, n := range sums.at {
		total.Add(total, part.SetBytes(bigEndian(sums.words[i*sums.width:(i+1)*sums.width])))
		if n < low && i+1 < len(sums.at) && sums.at[i+1] <= low {
			continue
		}
		// As float64 numbers: so 8/27 has a confidence of 8/27, which no decimal is.
		p, _ := new(big.Float).SetPrec(53).Quo(new(big.Float).SetInt(total), all).Float64()
		if p >= confidence {
			return max(low, n)
		}
	}
	return high
}

func bigEndian(words []uint64) []byte {
	bytes := make([]byte, 0, 8*len(words))
	for i := len(words) - 1; i >= 0; i-- {
		for shift := 56; shift >= 0; shift -= 8 {
			bytes = append(bytes, byte(words[i]>>shift))
		}
	}
	return bytes
}
