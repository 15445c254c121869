package loads

import (
	"cmp"
	"math"
	"slices"
)

// A sequencer finds restart orders.
//
// It works backwards. Let S be the loads that have no place yet; at first all. Whatever can be switched on
// while the rest of S runs may be given the last place among S: the others are not disturbed by a load
// that comes after them. This choice is never regretted. All W, VAr and plain VA are 0 or more, so what
// fits on top of a set fits on top of every subset of it; if S has any order at all, striking the chosen
// load from it leaves an order of the rest, with the chosen one now at the end, where it fits. So if no
// load of S fits on top of the others, S has no order, and neither has any set that holds S.
//
// Among those that fit, the smallest start goes last, so that the largest come first, as the utilities'
// advice on standby supplies has it. But what someone depends on waits for nothing: a medical load goes
// last only where no other load fits there. It then comes as early as it can: each of the loads that
// are left does not fit on top of the others and it, so in any order the last of them all is the medical load.
type sequencer struct {
	set     *Set
	starts  []draw    // of all units; steady draw of a load without a start
	limits  []float64 // rating for each start
	steady  float64   // continuous rating
	running []draw    // by slot and lane: what runs when all is on, without interlocks
	ranked  []int     // loads by size of their start, ascending; of equal ones the first name last; medical ones behind all others
	single  []entry   // of each load, for those without interlock
}

// An entry is one place in the order: a load, or an interlock.
type entry struct {
	members []int
	group   int // place in the state's list of groups, -1 for a load
	name    string
	steady  bool // it starts with what it runs at
}

func newSequencer(s *Set, ratingVA func(seconds float64) float64) *sequencer {
	q := &sequencer{
		set:     s,
		starts:  make([]draw, len(s.loads)),
		limits:  make([]float64, len(s.loads)),
		running: s.alone(s.slots, s.run),
		steady:  ratingVA(math.Inf(1)),
	}
	for i := range s.loads {
		l := &s.loads[i]
		q.starts[i], q.limits[i] = s.run[i], q.steady
		if l.starts() {
			q.starts[i] = draw{l.Start.Power, l.Start.PlainVA}.scale(float64(l.Quantity))
			q.limits[i] = ratingVA(l.Start.Seconds)
		}
	}
	q.rank()
	return q
}

func (q *sequencer) rank() {
	for i := range q.starts {
		q.ranked = append(q.ranked, i)
		l := &q.set.loads[i]
		q.single = append(q.single, entry{members: []int{i}, group: -1, name: l.Name, steady: !l.starts()})
	}
	slices.SortFunc(q.ranked, func(i, j int) int {
		return cmp.Or(q.medicalRank(i)-q.medicalRank(j), cmp.Compare(q.starts[i].va(), q.starts[j].va()),
			cmp.Compare(j, i))
	})
}

// medicalRank is 1 of a medical load, else 0.
func (q *sequencer) medicalRank(i int) int {
	if q.set.loads[i].Medical {
		return 1
	}
	return 0
}

// day returns the order at the tight slot. The other slots only have to have one.
func (q *sequencer) day(tight int, over []int) (order []string, blocked string, atMin int) {
	slots := q.set.slots
	order, blocked = q.order(tight)
	if blocked != "" {
		return nil, blocked, slots[tight].startMin
	}
	// The order of a set holds for all its subsets too: begin with the large ones and skip those.
	large := slices.Clone(over)
	slices.SortStableFunc(large, func(a, b int) int { return cmp.Compare(len(slots[b].on), len(slots[a].on)) })
	ordered := []int{tight}
	stuck := -1
	for _, k := range large {
		if slices.ContainsFunc(ordered, func(o int) bool { return slots[k].within(&slots[o]) }) ||
			stuck >= 0 && k > stuck { // slots are in the order of the day, the first stuck one is reported
			continue
		}
		if _, name := q.order(k); name != "" {
			blocked, stuck = name, k
		} else {
			ordered = append(ordered, k)
		}
	}
	if stuck >= 0 {
		return nil, blocked, slots[stuck].startMin
	}
	return order, "", 0
}

// within tells whether all loads of sl are in other.
func (sl *slot) within(other *slot) bool {
	for i, word := range sl.bits {
		if word&^other.bits[i] != 0 {
			return false
		}
	}
	return true
}

// order returns the order of one slot, or the largest start among the loads that block each other.
func (q *sequencer) order(k int) (names []string, blocked string) {
	m := q.moment(k)
	left := m.entries
	for len(left) > 0 {
		steady, known := false, false // all loads without a start ask the same: that everything runs
		last := slices.IndexFunc(left, func(e *entry) bool {
			if !e.steady {
				return m.fits(e)
			}
			if !known {
				steady, known = m.fits(e), true
			}
			return steady
		})
		if last < 0 {
			return nil, q.largest(left).name
		}
		names = append(names, left[last].name)
		m.remove(left[last])
		copy(left[1:], left[:last]) // few stand before it, most often none
		left = left[1:]
	}
	slices.Reverse(names)
	return names, ""
}

// largest is the entry with the largest start, of equal ones the one that is ranked last.
func (q *sequencer) largest(left []*entry) *entry {
	va := func(e *entry) (most float64) {
		for _, i := range e.members {
			most = max(most, q.starts[i].va())
		}
		return most
	}
	best := left[0]
	for _, e := range left[1:] {
		if va(e) >= va(best) {
			best = e
		}
	}
	return best
}

// A moment is what runs at one step, going backwards: by lane the loads without interlock, and the
// members of the interlocks that still run.
type moment struct {
	q       *sequencer
	entries []*entry
	alone   []draw
	members [][]int // of each interlock that runs; nil: switched on later
	corner  []draw  // by lane: for each interlock its largest W and its largest VAr, which no choice exceeds
	known   map[[2]int][]draw
}

func (q *sequencer) moment(k int) *moment {
	s, sl := q.set, &q.set.slots[k]
	st := &s.states[sl.state]
	m := &moment{
		q:       q,
		entries: make([]*entry, 0, len(sl.on)),
		alone:   slices.Clone(q.running[k*s.lanes : (k+1)*s.lanes]),
		members: slices.Clone(st.members),
		corner:  make([]draw, s.lanes),
	}
	listedAs := make(map[int]int, len(st.groups)) // interlock's place in the state, by the member that is listed
	for g, members := range st.members {
		m.addCorner(members, 1)
		listed := members[0]
		for _, i := range members[1:] {
			if r := cmp.Or(q.medicalRank(i)-q.medicalRank(listed),
				cmp.Compare(q.starts[i].va(), q.starts[listed].va())); r > 0 {
				listed = i
			}
		}
		listedAs[listed] = g
	}
	for _, i := range q.ranked {
		if !sl.holds(i) {
			continue
		}
		e := &q.single[i]
		if s.group[i] >= 0 {
			g, is := listedAs[i]
			if !is {
				continue
			}
			e = &entry{members: st.members[g], group: g, name: s.loads[i].Name}
		}
		m.entries = append(m.entries, e)
	}
	return m
}

// addCorner adds sign times the corner of an interlock.
func (m *moment) addCorner(members []int, sign float64) {
	for lane := range m.corner {
		m.corner[lane] = m.corner[lane].add(m.q.set.corner(members, lane, m.q.set.run).scale(sign))
	}
}

func (m *moment) remove(e *entry) {
	if e.group >= 0 {
		m.addCorner(e.members, -1)
		m.members[e.group] = nil
		m.known = nil
		return
	}
	for lane := range m.alone {
		m.alone[lane] = m.alone[lane].sub(m.q.set.inLane(e.members[0], lane, m.q.set.run[e.members[0]]))
	}
}

// fits tells whether e, any member of it, can start on top of all else that runs.
func (m *moment) fits(e *entry) bool {
	s := m.q.set
	for _, i := range e.members {
		for lane := range s.lanes {
			limit := m.q.limits[i]
			if lane > 0 {
				limit /= float64(s.phases)
			}
			base := m.alone[lane].add(s.inLane(i, lane, m.q.starts[i]))
			others := m.corner[lane]
			if e.group < 0 {
				base = base.sub(s.inLane(i, lane, s.run[i]))
			} else {
				others = others.sub(s.corner(e.members, lane, s.run))
			}
			// The corner is an upper bound, quickly had; only where it does not fit the choices matter.
			if base.add(others).va() > limit && reach(base, m.vertices(lane, e.group)) > limit {
				return false
			}
		}
	}
	return true
}

// vertices is [vertices] of the interlocks that run, but for one (-1: all).
func (m *moment) vertices(lane, without int) []draw {
	key := [2]int{lane, without}
	if sums, known := m.known[key]; known {
		return sums
	}
	var groups [][]draw
	for g, members := range m.members {
		if g == without || members == nil {
			continue
		}
		var draws []draw
		for _, i := range members {
			draws = append(draws, m.q.set.inLane(i, lane, m.q.set.run[i]))
		}
		groups = append(groups, draws)
	}
	if m.known == nil {
		m.known = map[[2]int][]draw{}
	}
	m.known[key] = vertices(groups)
	return m.known[key]
}
