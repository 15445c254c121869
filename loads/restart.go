package loads

// A Restart is what happens when power returns and everything that is scheduled starts at once.
type Restart struct {
	VA    float64 // the largest total over the day
	AtMin int     // its first minute

	// The comparison with the smallest margin, over the day, the choices of the interlocks, the total and
	// the phases. Phase is 0 for the total. Seconds is the longest start among what starts then; 0: nothing
	// starts, and the continuous rating counts.
	DemandVA, LimitVA float64
	Phase             int
	Seconds           float64
	TightAtMin        int // first minute of that comparison

	FitsAtOnce bool // at every minute, in total and on every phase

	// Order, where the loads don't fit at once, is an order in which they can be switched on at
	// TightAtMin, one load after the other with all its units: medical loads first, as far as those that
	// can't start on top of them don't have to come before. Of each interlock it lists the member
	// with the largest start, of its medical ones if it has any; any other member may take its place.
	// Order is nil if that minute or
	// another one has no such order: then Blocked names a load that cannot start, BlockedAtMin the first
	// minute (TightAtMin before all others).
	Order        []string
	Blocked      string
	BlockedAtMin int
}

// Restart compares the start of everything at once, at the worst minute, with a rating: ratingVA(t) is the
// total VA that may be drawn for t seconds, spread over all phases evenly; ratingVA(+Inf) is the
// continuous rating. The start of everything lasts as long as the longest start among it. Of each
// interlock one member counts, running or starting; each choice is compared with the rating for its own
// longest start.
//
// In a restart order a start is compared with the rating for its own seconds, a load without a start with
// the continuous rating, each on top of what runs by then. Whether the rating carries what runs in the end
// is the business of [Set.Scheduled].
func (s *Set) Restart(ratingVA func(seconds float64) float64) Restart {
	q := newSequencer(s, ratingVA)
	var r Restart
	var total worst
	var over []int // slots where not everything starts at once
	tight := 0
	alone, first := s.alone(s.slots, q.starts), true
	together := s.together(q.starts)
	for k := range s.slots {
		sl := &s.slots[k]
		fits, most := true, 0.0
		for _, choice := range together.choices(sl) {
			limit := q.steady
			if choice.seconds > 0 {
				limit = ratingVA(choice.seconds)
			}
			for lane := range s.lanes {
				va := reach(alone[k*s.lanes+lane], choice.vertices[lane])
				lim := limit
				if lane == 0 {
					most = max(most, va)
				} else {
					lim /= float64(s.phases)
				}
				fits = fits && va <= lim
				// A limit may be 0, so shares of it are compared crosswise. What is over the limit by less than
				// a tie is over all the same.
				if first || va*r.LimitVA > r.DemandVA*lim*(1+tie) || va > lim && r.DemandVA <= r.LimitVA {
					r.DemandVA, r.LimitVA, r.Phase, r.Seconds, r.TightAtMin = va, lim, lane, choice.seconds, sl.startMin
					tight, first = k, false
				}
			}
		}
		total.offer(most, float64(sl.startMin))
		if !fits {
			over = append(over, k)
		}
	}
	r.VA, r.AtMin = total.value, int(total.at)
	r.FitsAtOnce = len(over) == 0
	if !r.FitsAtOnce {
		r.Order, r.Blocked, r.BlockedAtMin = q.day(tight, over)
	}
	return r
}

// starts tells whether switching the load on draws more than running it.
func (l *Load) starts() bool { return l.Start != nil && l.Quantity > 0 }
