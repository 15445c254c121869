package loads

import (
	"cmp"
	"math"
	"slices"
)

// Probable returns the probable demand in W: the smallest attainable sum of running powers that is not
// exceeded with the given confidence, at the worst time of the day. confidence is in (0, 1]; 1 asks for
// the largest sum that can come about at all.
//
// Between two window boundaries each unit of a load in its window is on, independently of all others,
// with the probability [Load.Share]. An interlock is one draw: at most one member is on, with all its
// units; probabilities that add to more than 1 are scaled to 1.
//
// The distribution of the sum is computed in full, not approximated, and where rounding could hide on which
// side of confidence it lies, with whole numbers. (Of hundreds of units that may take too long: then a sum
// counts as reached that lacks less than 1e-12.) Only where the distribution would take more than some
// tenths of a second (ten thousands of units, or hundreds of loads whose watts share no coarser step than a
// hundredth) the draws of each load are rounded up to a tenfold coarser step, again and again until it can
// be done; the result is then an upper bound, too high by no more than a step for each load. It is never
// above the scheduled W.
func (s *Set) Probable(confidence float64) (w float64, err error) {
	if !(confidence > 0 && confidence <= 1) {
		return 0, errs.Errorf("confidence %g, want above 0 and at most 1", confidence)
	}
	w = s.scheduledW()
	l, grid := s.lottery()
	if confidence == 1 {
		most := int64(0)
		for _, t := range l.times {
			most = max(most, t.most)
		}
		return min(w, grid.watts(most)), nil
	}
	for {
		sum, exact := l.quantile(confidence)
		w = min(w, grid.watts(sum))
		if exact {
			return w, nil
		}
		l.coarsen(10)
		grid.step *= 10
	}
}

// scheduledW is the W of [Set.Scheduled], without the rest.
func (s *Set) scheduledW() float64 {
	largest := 0.0
	st := s.running()
	for k := range s.slots {
		largest = max(largest, st.free[k*s.lanes].watts()+st.choose.watts(s.slots[k].state, 0))
	}
	return largest
}

// A wattGrid counts power in steps: whole numbers make equal sums equal, in whatever order they are added.
type wattGrid struct {
	perW float64 // counts in a watt
	step int64   // counts in a step
}

// maxDecimals is how many decimals of a watt a grid keeps.
const maxDecimals = 9

// wattGrid returns the coarsest decimal grid that holds the running power of every load.
func (s *Set) wattGrid() wattGrid {
	total := 0.0
	for i := range s.loads {
		total += s.run[i].W
	}
	g := wattGrid{1, 1}
	for range maxDecimals {
		exact := true
		for i := range s.loads {
			if _, is := g.count(s.loads[i].RunningW); !is {
				exact = false
				break
			}
		}
		if exact || total*g.perW*10 > 1<<53 { // a sum must be a whole number as a float64 too
			break
		}
		g.perW *= 10
	}
	return g
}

// count returns w in counts, rounded up, and whether it is a whole number of them, but for the rounding
// of decimals to binary.
func (g wattGrid) count(w float64) (n int64, exact bool) {
	x := w * g.perW
	if r := math.Round(x); math.Abs(x-r) <= x*0x1p-51 {
		return int64(r), true
	}
	return int64(math.Ceil(x)), false
}

func (g wattGrid) watts(steps int64) float64 { return float64(steps*g.step) / g.perW }

// A lottery is all draws of a day, and which of them are made when. All sums are in steps of a grid.
type lottery struct {
	chances []chance // smallest first
	times   []timeOfDay
	budget  int64 // of work that is left, see maxWork
	exact   int64 // of exact work that is left, see maxExact
	cells   store
	lister  lister
}

// A timeOfDay is one slot.
type timeOfDay struct {
	slot    int   // slots are in the order of the day
	draws   []int // of chances, ascending
	rest    []int // those that are not in a base
	certain int64 // what is on with certainty, not among the draws
	most    int64 // largest sum that can come about
	bound   int64 // no less than the quantile that is asked for
}

// lottery returns the draws of the set, and the grid whose steps they are counted in.
func (s *Set) lottery() (*lottery, wattGrid) {
	g := s.wattGrid()
	l := &lottery{budget: maxWork, exact: maxExact}
	// Each load without interlock is a draw, and so is each interlock with the members that may be on.
	ofLoad, ofList := make([]int, len(s.loads)), make([]int, len(s.lists))
	chances := make([]chance, 0, len(s.loads)+len(s.lists))
	for i := range s.loads {
		if s.group[i] < 0 {
			ofLoad[i] = len(chances)
			n, _ := g.count(s.loads[i].RunningW)
			c := binomial(s.loads[i].Quantity, n, s.loads[i].Share())
			c.origin = origin{s.loads[i].Quantity, s.loads[i : i+1], []int64{n}, 1}
			chances = append(chances, c)
		}
	}
	for n, members := range s.lists {
		ofList[n] = len(chances)
		chances = append(chances, s.oneOf(members, g))
	}

	// Small ones first: so the sums stay short for as long as possible.
	bySize := make([]int, len(chances))
	for c := range bySize {
		bySize[c] = c
	}
	slices.SortStableFunc(bySize, func(a, b int) int { return cmp.Compare(chances[a].most, chances[b].most) })
	step := int64(0)
	for _, c := range chances {
		for _, at := range c.at {
			step = gcd(step, at)
		}
	}
	g.step = max(1, step)
	place := make([]int, len(chances)) // of each chance among those by size
	l.chances = make([]chance, 0, len(chances))
	for at, c := range bySize {
		place[c] = at
		l.chances = append(l.chances, chances[c].inSteps(g.step))
	}

	l.times = make([]timeOfDay, len(s.slots))
	drawn := make([]uint64, (len(chances)+63)/64)
	most := 0
	for k := range s.slots {
		most += len(s.slots[k].on)
	}
	draws := make([]int, 0, most) // of all times, one after the other
	for k := range s.slots {
		sl, t := &s.slots[k], &l.times[k]
		clear(drawn)
		draw := func(c int) { drawn[place[c]/64] |= 1 << (place[c] % 64) }
		for _, i := range sl.on {
			if s.group[i] < 0 {
				draw(ofLoad[i])
			}
		}
		for _, n := range s.states[sl.state].lists {
			draw(ofList[n])
		}
		t.slot = k
		from := len(draws)
		for at := range eachBit(drawn) {
			switch c := &l.chances[at]; {
			case c.most == 0:
			case c.certain():
				t.certain += c.most
			default:
				draws = append(draws, at)
			}
		}
		t.draws = draws[from:len(draws):len(draws)]
	}
	l.count()
	return l, g
}

// count finds the largest sum of each time.
func (l *lottery) count() {
	for k := range l.times {
		t := &l.times[k]
		t.most = t.certain
		for _, d := range t.draws {
			t.most += l.chances[d].most
		}
		t.bound = t.most
	}
}

// coarsen rounds all draws up to steps that are n times as large, and starts again.
func (l *lottery) coarsen(n int64) {
	for d := range l.chances {
		l.chances[d] = l.chances[d].inSteps(n)
	}
	for k := range l.times {
		l.times[k].certain = roundUp(l.times[k].certain, n)
	}
	l.count()
	l.budget = maxWork
}

// oneOf is the draw of an interlock.
func (s *Set) oneOf(members []int, g wattGrid) chance {
	sum := 0.0
	for _, i := range members {
		sum += s.loads[i].Share()
	}
	sum = max(1, sum)
	p := map[int64]float64{}
	c := chance{none: 1, origin: origin{units: 1, step: 1}}
	for _, i := range members {
		n, _ := g.count(s.loads[i].RunningW)
		n *= int64(s.loads[i].Quantity)
		c.origin.members, c.origin.at = append(c.origin.members, s.loads[i]), append(c.origin.at, n)
		if share := s.loads[i].Share() / sum; n > 0 && share > 0 {
			if _, known := p[n]; !known {
				c.at = append(c.at, n)
			}
			p[n] += share
			c.none -= share
			c.most = max(c.most, n)
		}
	}
	slices.Sort(c.at)
	for _, n := range c.at {
		c.p = append(c.p, p[n])
	}
	if c.none < 1e-15 {
		c.none = 0 // shares that fill the whole but for rounding
	}
	return c
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
