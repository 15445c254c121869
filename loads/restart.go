package loads

import "math"

// A Restart is what happens when power returns and everything that is scheduled starts at once.
type Restart struct {
	VA    float64 // the largest total over the day
	AtMin int     // its first minute

	// The comparison with the smallest margin, over the day, the total and the phases: Phase is 0 for
	// the total; Seconds is the longest start at that minute, 0 when nothing starts and the continuous
	// rating counts.
	DemandVA, LimitVA float64
	Phase             int
	Seconds           float64
	TightAtMin        int

	FitsAtOnce bool

	// Order is an order in which the loads can be switched on at TightAtMin, one after the other, where
	// they don't fit at once; nil if some minute has none. Then Blocked names a load that cannot start,
	// and BlockedAtMin the minute.
	Order        []string
	Blocked      string
	BlockedAtMin int
}

// Restart compares the start of everything at once with a rating: ratingVA(t) is the total VA that may be
// drawn for t seconds, over all phases evenly; ratingVA(+Inf) is the continuous rating.
func (s *Set) Restart(ratingVA func(seconds float64) float64) Restart {
	starts := make([]draw, len(s.loads))
	for i := range s.loads {
		starts[i] = s.run[i]
		if st := s.loads[i].Start; st != nil {
			starts[i] = draw{st.Power, st.PlainVA}.scale(float64(s.loads[i].Quantity))
		}
	}
	var r Restart
	var total worst
	alone, choose := s.alone(s.slots, starts), s.chooser(starts)
	for k, sl := range s.slots {
		seconds, limit := 0.0, ratingVA(math.Inf(1))
		for _, i := range sl.on {
			if s.loads[i].Start != nil {
				seconds = max(seconds, s.loads[i].Start.Seconds)
				limit = ratingVA(seconds)
			}
		}
		for lane := range s.lanes {
			va := reach(alone[k*s.lanes+lane], choose.vertices(choice{sl.state, lane, -1}))
			lim := limit
			if lane == 0 {
				total.offer(va, float64(sl.startMin))
			} else {
				lim /= float64(s.phases)
			}
			if k == 0 && lane == 0 || va*r.LimitVA > r.DemandVA*lim*(1+tie) {
				r.DemandVA, r.LimitVA, r.Phase, r.Seconds, r.TightAtMin = va, lim, lane, seconds, sl.startMin
			}
		}
	}
	r.VA, r.AtMin = total.value, int(total.at)
	r.FitsAtOnce = r.DemandVA <= r.LimitVA
	return r
}
