package loads

import (
	"fmt"
	"math/big"
	"testing"
)

// TestProbableNearTie asks for confidences that are, but for a trillionth, the probability of a sum: that
// sum must be the answer up to its probability, and the next one beyond.
func TestProbableNearTie(t *testing.T) {
	const w = 50
	seldom := func(n int, apart bool, p float64) *Set {
		l := steady("x", w)
		l.HoursPerDay = 24 * p
		if !apart {
			l.Quantity = n
			return NewSet(1, []Load{l})
		}
		var ls []Load
		for k := range n {
			l.Name = fmt.Sprint(k)
			ls = append(ls, l)
		}
		return NewSet(1, ls)
	}
	for _, perMille := range []int64{1, 125, 333} {
		for _, n := range []int{1, 2, 3, 40, 200} { // few: a list of sums; many: a row of them
			for _, apart := range []bool{false, true} {
				s := seldom(n, apart, float64(perMille)/1000)
				// Own, the binomial distribution in fractions.
				p, cumulated := big.NewRat(perMille, 1000), new(big.Rat)
				for on := 0; on < min(n, 4); on++ {
					term := new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(on)))
					for k := range n {
						if k < on {
							term.Mul(term, p)
						} else {
							term.Mul(term, new(big.Rat).Sub(big.NewRat(1, 1), p))
						}
					}
					confidence, _ := cumulated.Add(cumulated, term).Float64()
					if confidence < 1e-6 || confidence > 1-1e-6 {
						continue
					}
					name := fmt.Sprintf("%d units apart %v, %d in 1000, %d on", n, apart, perMille, on)
					check(t, []fact{
						{name + ": a tie", "own, exact rationals", probable(t, s, confidence), float64(on * w), 0},
						{name + ": just below", "own, exact rationals", probable(t, s, confidence-1e-13),
							float64(on * w), 0},
						{name + ": just above", "own, exact rationals", probable(t, s, confidence+1e-13),
							float64((on + 1) * w), 0},
					})
				}
			}
		}
	}
}

func TestProbableNearTieInterlock(t *testing.T) {
	lock := func(l Load) Load { l.Interlock = "heat"; return l }
	s := NewSet(1, []Load{lock(likely("kettle", 2000, 0.3)), lock(likely("oven", 3000, 0.2)),
		likely("lamp", 10, 0.001)})
	const own = "own, by hand" // none or the lamp 0.5, the kettle alone 0.3 * 0.999
	check(t, []fact{
		{"the kettle", own, probable(t, s, 0.7997), 2000, 0},
		{"just above", own, probable(t, s, 0.7997+1e-13), 2010, 0},
		{"the kettle and the lamp", own, probable(t, s, 0.8), 2010, 0},
		{"just above that", own, probable(t, s, 0.8+1e-13), 3000, 0},
	})
}

// TestProbableManyUnits: of thousands of units only the sums up to the one in question are worked out.
func TestProbableManyUnits(t *testing.T) {
	l := likely("x", 1, 0.0001)
	l.Quantity = 10000
	s := NewSet(1, []Load{l})
	// Own, the binomial distribution in fractions: P(at most 2) = 0.9197078007577573.
	check(t, []fact{
		{"below", "own", probable(t, s, 0.9197078007577), 2, 0},
		{"above", "own", probable(t, s, 0.9197078007578), 3, 0},
	})
}

// TestProbableTooManyToBeExact shows that what would take too long is told to within a trillionth.
func TestProbableTooManyToBeExact(t *testing.T) {
	l := likely("x", 1, 0.5)
	l.Quantity = 10000
	s := NewSet(1, []Load{l})
	// Own, the binomial distribution in fractions: P(at most 5000) = 0.5039893230696911.
	check(t, []fact{
		{"below", "own", probable(t, s, 0.50398932306), 5000, 0},
		{"too near to tell", "own", probable(t, s, 0.5039893230697), 5000, 0},
		{"above", "own", probable(t, s, 0.50398932308), 5001, 0},
	})
}
