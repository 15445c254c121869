package loads

import (
	"cmp"
	"slices"
)

// A RestartDay is an order in which the circuits of a set are switched on, each with all that is scheduled on it at
// once, whatever the time of the day.
type RestartDay struct {
	// Circuits are the ids of all circuits of the set. It is nil if no order does for every minute: then loads of one
	// circuit have to be switched on one after the other, or each time of the day has its own order.
	Circuits []string
	// First is how many of the circuits are to keep to their order: those that must, and before them what someone
	// depends on, as early as it can be switched on. Each of those behind them can start while all else runs: they may
	// follow in any order.
	First int
}

// RestartDay looks for an order in which the circuits can be switched on, with the ratings of [Set.Restart]: what
// starts on a circuit starts together, for as long as its longest start, on top of what runs on the circuits that are
// on by then.
//
// It works backwards as the order of one minute does ([sequencer]): a circuit that can be switched on while all that
// have no place yet run, at every minute at which something is scheduled on it, may be given the last place. The choice
// is never regretted, for the same reason: what fits on top of a set fits on top of every subset. First those are put
// to the end that fit on top of everything, but for what someone depends on.
//
// Of interlocks it takes more than any choice draws: their largest W and VAr on each circuit, though only one member
// runs. So it may find no order where there is one, and never one that does not hold.
func (s *Set) RestartDay(ratingVA func(seconds float64) float64) RestartDay {
	q := newSequencer(s, ratingVA)
	left := q.circuits(ratingVA)
	var day RestartDay
	last := func(c *dayCircuit) {
		c.off = true
		day.Circuits = append(day.Circuits, c.id)
	}
	var free, rest []*dayCircuit
	for _, c := range left {
		if !c.medical && q.fitsLast(c, left) {
			free = append(free, c)
		} else {
			rest = append(rest, c)
		}
	}
	for _, c := range free {
		last(c)
	}
	for range rest {
		i := slices.IndexFunc(rest, func(c *dayCircuit) bool { return !c.off && q.fitsLast(c, left) })
		if i < 0 {
			return RestartDay{}
		}
		last(rest[i])
	}
	slices.Reverse(day.Circuits)
	day.First = len(rest)
	return day
}

// A dayCircuit is a circuit with what it draws at the moments at which something is scheduled on it.
type dayCircuit struct {
	id      string
	medical bool
	largest float64       // VA of its largest start
	at      map[int]onDay // by slot
	off     bool          // it has its place, and is switched on later than those that have none
}

// An onDay is what a circuit draws at one moment, by lane.
type onDay struct {
	starts, runs [maxLanes]draw
	limit        float64 // VA for the longest start
	mayOnlyRun   bool    // its interlocks may choose members of which none starts: then the continuous rating counts
}

// fitsLast says whether a circuit can be switched on while all others that are not off run, at each moment at which it
// has something to switch on.
func (q *sequencer) fitsLast(c *dayCircuit, all []*dayCircuit) bool {
	s := q.set
	for k, own := range c.at {
		for lane := range s.lanes {
			var others draw
			for _, o := range all {
				if on, scheduled := o.at[k]; scheduled && o != c && !o.off {
					others = others.add(on.runs[lane])
				}
			}
			limit, steady := own.limit, q.steady
			if lane > 0 {
				limit, steady = limit/float64(s.phases), steady/float64(s.phases)
			}
			if own.starts[lane].add(others).va() > limit || own.mayOnlyRun && own.runs[lane].add(others).va() > steady {
				return false
			}
		}
	}
	return true
}

// circuits are those of the set: the smallest start first, medical ones behind all others.
func (q *sequencer) circuits(ratingVA func(seconds float64) float64) []*dayCircuit {
	s := q.set
	byID := map[string]*dayCircuit{}
	var out []*dayCircuit
	for i := range s.loads {
		l := &s.loads[i]
		c := byID[l.CircuitID]
		if c == nil {
			c = &dayCircuit{id: l.CircuitID, at: map[int]onDay{}}
			byID[l.CircuitID], out = c, append(out, c)
		}
		c.medical = c.medical || l.Medical
		c.largest = max(c.largest, q.starts[i].va())
	}
	for k := range s.slots {
		on := map[string][]int{}
		inGroup := map[int]int{} // members of each interlock
		for _, i := range s.slots[k].on {
			id := s.loads[i].CircuitID
			on[id] = append(on[id], int(i))
			inGroup[s.group[i]]++
		}
		for id, members := range on {
			byID[id].at[k] = q.onDay(members, inGroup, ratingVA)
		}
	}
	slices.SortFunc(out, func(a, b *dayCircuit) int {
		if a.medical != b.medical {
			if b.medical {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(a.largest, b.largest), cmp.Compare(b.id, a.id))
	})
	return out
}

// onDay adds up what the members of a circuit draw that are on together.
func (q *sequencer) onDay(members []int, inGroup map[int]int, ratingVA func(seconds float64) float64) onDay {
	s := q.set
	seconds, starts := 0.0, false
	must := map[int]bool{}    // interlocks, and -1 for all without: whatever is chosen, something starts
	locked := map[int][]int{} // members by interlock
	var alone []int
	for _, i := range members {
		if l := &s.loads[i]; l.starts() {
			seconds, starts = max(seconds, l.Start.Seconds), true
		}
		switch g := s.group[i]; {
		case g < 0:
			alone = append(alone, i)
			must[-1] = must[-1] || s.loads[i].starts()
		case locked[g] == nil:
			locked[g], must[g] = []int{i}, s.loads[i].starts()
		default:
			locked[g], must[g] = append(locked[g], i), must[g] && s.loads[i].starts()
		}
	}
	on := onDay{limit: q.steady}
	if starts {
		on.limit, on.mayOnlyRun = ratingVA(seconds), true
	}
	for g, always := range must {
		// An interlock may also choose its member on another circuit.
		if always && (g < 0 || len(locked[g]) == inGroup[g]) {
			on.mayOnlyRun = false
		}
	}
	groups := make([]int, 0, len(locked))
	for g := range locked {
		groups = append(groups, g)
	}
	slices.Sort(groups) // sums of equal sets are equal to the last bit
	for lane := range s.lanes {
		for _, i := range alone {
			on.starts[lane] = on.starts[lane].add(s.inLane(i, lane, q.starts[i]))
			on.runs[lane] = on.runs[lane].add(s.inLane(i, lane, s.run[i]))
		}
		for _, g := range groups {
			on.starts[lane] = on.starts[lane].add(s.corner(locked[g], lane, q.starts))
			on.runs[lane] = on.runs[lane].add(s.corner(locked[g], lane, s.run))
		}
	}
	return on
}
