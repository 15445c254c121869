package loads

import (
	"math"
	"slices"
)

// A draw is a power with, beside it, VA of unknown angle that adds as a plain number.
type draw struct {
	Power
	plain float64
}

func (d draw) add(e draw) draw { return draw{d.Power.Add(e.Power), d.plain + e.plain} }
func (d draw) sub(e draw) draw { return draw{d.Power.Sub(e.Power), d.plain - e.plain} }
func (d draw) scale(k float64) draw {
	return draw{d.Power.Scale(k), d.plain * k}
}

// over divides: a third of 3000 W is 1000 W, while 3000 times a rounded third need not be.
func (d draw) over(n float64) draw { return draw{Power{d.W / n, d.VAr / n}, d.plain / n} }

func (d draw) va() float64    { return d.VA() + d.plain }
func (d draw) watts() float64 { return d.W + d.plain }

// reach returns the largest VA of base plus one of the vertices.
func reach(base draw, vertices []draw) float64 {
	largest := 0.0
	for _, v := range vertices {
		largest = max(largest, base.add(v).va())
	}
	return largest
}

// vertices returns the sums of one draw of each group that may be the largest, whatever is added to all
// of them: all groups have a draw, and all W, VAr and plain VA are 0 or more.
//
// Trying every combination would be exponential in the number of groups. But VA is convex:
//
//	|sum P| + sum c = max over t of sum (W_i cos t + VAr_i sin t + c_i),  t in [0, pi/2],
//
// and for a given direction t each group chooses for itself. So it is enough to turn t through the
// quadrant and to take the sum anew whenever some group's choice changes.
func vertices(groups [][]draw) []draw {
	turns := make([][]turn, len(groups))
	for g, draws := range groups {
		turns[g] = envelope(draws)
	}
	return addTurns(turns)
}

// addTurns is [vertices] of groups whose choices are known.
func addTurns(turns [][]turn) []draw {
	var sums []draw
	at := make([]int, len(turns))
	for {
		var sum draw
		next := math.Pi / 2
		for g := range turns {
			sum = sum.add(turns[g][at[g]].draw)
			next = min(next, turns[g][at[g]].until)
		}
		sums = append(sums, sum)
		if next >= math.Pi/2 {
			return sums
		}
		for g := range turns {
			if turns[g][at[g]].until == next {
				at[g]++
			}
		}
	}
}

// A turn is the choice of one group for directions up to until.
type turn struct {
	until float64
	draw  draw
}

// envelope returns which of the draws reaches farthest in each direction of the first quadrant.
func envelope(draws []draw) []turn {
	draws = undominated(draws)
	angles := []float64{math.Pi / 2}
	for i, d := range draws {
		for _, e := range draws[:i] {
			// Both reach equally far where R cos(t - phi) = -(difference of the plain VA).
			diff := d.sub(e)
			r := diff.VA()
			if r == 0 || math.Abs(diff.plain) > r {
				continue
			}
			phi, off := math.Atan2(diff.VAr, diff.W), math.Acos(-diff.plain/r)
			for _, t := range []float64{phi - off, phi + off} {
				if t < 0 {
					t += 2 * math.Pi
				}
				if t > 0 && t < math.Pi/2 {
					angles = append(angles, t)
				}
			}
		}
	}
	slices.Sort(angles)
	var turns []turn
	from, last := 0.0, -1
	for _, until := range slices.Compact(angles) {
		sin, cos := math.Sincos((from + until) / 2)
		best, farthest := 0, math.Inf(-1)
		for i, d := range draws {
			if f := d.W*cos + d.VAr*sin + d.plain; f > farthest {
				best, farthest = i, f
			}
		}
		if best == last {
			turns[len(turns)-1].until = until
		} else {
			turns = append(turns, turn{until, draws[best]})
		}
		from, last = until, best
	}
	return turns
}

// undominated drops every draw that another one matches in all three numbers.
func undominated(draws []draw) []draw {
	var kept []draw
	for i, d := range draws {
		if !slices.ContainsFunc(draws, func(e draw) bool {
			return e != d && e.W >= d.W && e.VAr >= d.VAr && e.plain >= d.plain
		}) && !slices.Contains(draws[:i], d) {
			kept = append(kept, d)
		}
	}
	return kept
}

// A chooser answers what the interlocks of a state may add at most.
type chooser struct {
	set   *Set
	draws []draw   // of all units of each load, were it the chosen member
	turns [][]turn // by list of members and lane: many states share a list
	but   int      // interlock that has chosen already, or -1

	// By state and lane; many slots share a state.
	corners []draw
	most    []float64
	sums    [][]draw // nil: not worked out yet
}

// chooser works everything out, so that it can be shared.
func (s *Set) chooser(draws []draw) *chooser {
	c := &chooser{
		set: s, draws: draws, but: -1,
		turns:   make([][]turn, len(s.lists)*s.lanes),
		corners: make([]draw, len(s.states)*s.lanes),
	}
	for n, members := range s.lists {
		for lane := range s.lanes {
			list := make([]draw, len(members))
			for k, i := range members {
				list[k] = s.inLane(i, lane, draws[i])
			}
			c.turns[n*s.lanes+lane] = envelope(list)
		}
	}
	for k := range s.states {
		for _, members := range s.states[k].members {
			for lane := range s.lanes {
				at := &c.corners[k*s.lanes+lane]
				*at = at.add(s.corner(members, lane, draws))
			}
		}
	}
	c.choose()
	for k := range s.states {
		for lane := range s.lanes {
			c.vertices(k, lane)
		}
	}
	return c
}

// without is the chooser for the time after one interlock, of at least 0, has chosen. It is not to be shared.
func (c *chooser) without(group int) *chooser {
	but := *c
	but.but = group
	but.choose()
	return &but
}

// choose begins anew with the choices that are left.
func (c *chooser) choose() {
	s := c.set
	c.most, c.sums = make([]float64, len(s.states)*s.lanes), make([][]draw, len(s.states)*s.lanes)
	for k := range s.states {
		st := &s.states[k]
		for g, members := range st.members {
			if st.groups[g] == c.but {
				continue
			}
			for lane := range s.lanes {
				largest := 0.0
				for _, i := range members {
					largest = max(largest, s.inLane(i, lane, c.draws[i]).watts())
				}
				c.most[k*s.lanes+lane] += largest
			}
		}
	}
}

// corner returns the largest W, VAr and plain VA of the members: no choice exceeds it, though none may
// reach it.
func (s *Set) corner(members []int, lane int, draws []draw) draw {
	var c draw
	for _, i := range members {
		d := s.inLane(i, lane, draws[i])
		c = draw{Power{max(c.W, d.W), max(c.VAr, d.VAr)}, max(c.plain, d.plain)}
	}
	return c
}

// corner returns an upper bound of what all interlocks of a state add, also that which has chosen.
func (c *chooser) corner(state, lane int) draw { return c.corners[state*c.set.lanes+lane] }

// vertices returns the largest sums of the interlocks of a state, see [vertices].
func (c *chooser) vertices(state, lane int) []draw {
	at := state*c.set.lanes + lane
	if c.sums[at] == nil {
		st := &c.set.states[state]
		var turns [][]turn
		for g, n := range st.lists {
			if st.groups[g] != c.but {
				turns = append(turns, c.turns[n*c.set.lanes+lane])
			}
		}
		c.sums[at] = addTurns(turns)
	}
	return c.sums[at]
}

// watts returns the most watts that the interlocks of a state add: each its largest member.
func (c *chooser) watts(state, lane int) float64 { return c.most[state*c.set.lanes+lane] }

// tie is the relative difference under which two minutes count as equal, so that rounding does not
// decide which of them is named.
const tie = 1e-12

// worst keeps the largest value that it is offered, and the place of the first that is as large.
type worst struct {
	value float64
	at    float64
	any   bool
}

func (w *worst) offer(value, at float64) {
	if !w.any || value > w.value*(1+tie) {
		w.at, w.any = at, true
	}
	w.value = max(w.value, value)
}
