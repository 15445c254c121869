package loads

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"iter"
	"math/bits"
	"slices"
	"strings"
	"sync"
)

// A Set is a number of loads that belong together, on one supply. It does not change.
//
// Between two window boundaries nothing changes, so a set works on the intervals between them; and most
// questions depend only on which loads may be on, so equal intervals share one slot.
type Set struct {
	phases int
	lanes  int    // 1 on a single phase, else 1 + phases: lane 0 is the total, lane k is phase k
	loads  []Load // in canonical order, so that sums don't depend on the order of the file
	index  []int  // where loads[i] stood in the list that was given
	run    []draw // steady draw of all units of each load

	group  []int // of each load: its interlock, -1 without
	groups int   // number of interlocks

	bounds  []int // first minute of each interval; the first is 0
	slotOf  []int // slot of each interval
	slots   []slot
	all     slot // all loads at once
	states  []state
	lists   [][]int // of members, that the states are made of
	running func() *running
}

// A running is the running power of a set: most questions begin with it.
type running struct {
	free   []draw // by slot and lane: the loads without interlock
	choose *chooser
}

// maxLanes is the most lanes of a set.
const maxLanes = 4

// A slot is a set of loads that may be on together.
type slot struct {
	startMin int      // first minute of the day at which it holds
	bits     []uint64 // one bit a load
	on       []int32  // the same as a list, ascending
	state    int
	meanW    float64
}

// A state is the part of a slot that interlocks rule: the members that may be on, one list for each
// interlock that has any. Many slots share few states.
type state struct {
	groups  []int // ascending
	members [][]int
	lists   []int // the same in the set's lists
}

// NewSet returns the set of the given loads on a supply of 1, 2 (split-phase) or 3 phases.
//
// Every load must pass [Load.Check]; NewSet panics on one that does not, and on another number of phases:
// what people typed is to be checked where it is read.
func NewSet(phases int, ls []Load) *Set {
	if phases < 1 || phases > 3 {
		panic(fmt.Sprintf("loads: %d phases, want 1, 2 or 3", phases))
	}
	s := &Set{phases: phases, lanes: 1}
	if phases > 1 {
		s.lanes = 1 + phases
	}
	s.index = make([]int, len(ls))
	for i := range ls {
		if err := ls[i].Check(phases); err != nil {
			panic(err.Error())
		}
		s.index[i] = i
	}
	slices.SortStableFunc(s.index, func(i, j int) int { return compareLoads(&ls[i], &ls[j]) })
	s.loads = make([]Load, len(ls))
	s.run = make([]draw, len(ls))
	for i, at := range s.index {
		s.loads[i] = ls[at]
		s.run[i] = draw{Power: ls[at].RunningAll()}
	}
	s.nameGroups()
	s.cutDay()
	s.running = sync.OnceValue(func() *running { return &running{s.alone(s.slots, s.run), s.chooser(s.run)} })
	return s
}

// compareLoads orders loads by name; names are unique on a site, and where they are not, everything
// that a result depends on decides.
func compareLoads(a, b *Load) int {
	if c := strings.Compare(a.Name, b.Name); c != 0 {
		return c
	}
	if c := cmp.Or(
		strings.Compare(a.CircuitID, b.CircuitID), strings.Compare(a.Interlock, b.Interlock),
		cmp.Compare(a.Phase, b.Phase), cmp.Compare(a.Quantity, b.Quantity),
		cmp.Compare(a.RunningW, b.RunningW), cmp.Compare(a.PowerFactor, b.PowerFactor),
		cmp.Compare(a.HoursPerDay, b.HoursPerDay),
		slices.CompareFunc(a.Windows, b.Windows, func(v, w Window) int {
			return cmp.Or(cmp.Compare(v.StartMin, w.StartMin), cmp.Compare(v.EndMin, w.EndMin))
		}),
	); c != 0 {
		return c
	}
	var s, t Start
	if a.Start != nil {
		s = *a.Start
	}
	if b.Start != nil {
		t = *b.Start
	}
	return cmp.Or(cmp.Compare(s.Power.W, t.Power.W), cmp.Compare(s.Power.VAr, t.Power.VAr),
		cmp.Compare(s.PlainVA, t.PlainVA), cmp.Compare(s.Seconds, t.Seconds))
}

func (s *Set) nameGroups() {
	var names []string
	for i := range s.loads {
		if n := s.loads[i].Interlock; n != "" {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	s.groups = len(names)
	s.group = make([]int, len(s.loads))
	for i := range s.loads {
		s.group[i] = -1
		if n := s.loads[i].Interlock; n != "" {
			s.group[i], _ = slices.BinarySearch(names, n)
		}
	}
}

// cutDay finds the intervals between window boundaries and the slots that they share.
func (s *Set) cutDay() {
	var isBound [minutesPerDay + 1]bool
	bounds := 0
	bound := func(minute int) {
		if !isBound[minute] {
			isBound[minute] = true
			bounds++
		}
	}
	bound(0)
	for i := range s.loads {
		for _, w := range s.loads[i].Windows {
			bound(w.StartMin)
			bound(w.EndMin)
		}
	}
	s.bounds = make([]int, 0, bounds)
	var interval [minutesPerDay + 1]int // that starts at this minute
	for minute, is := range isBound[:minutesPerDay] {
		if is {
			interval[minute] = len(s.bounds)
			s.bounds = append(s.bounds, minute)
		}
	}
	interval[minutesPerDay] = len(s.bounds)

	words := (len(s.loads) + 63) / 64
	held := make([]uint64, words*len(s.bounds))
	rates := make([]float64, len(s.loads)) // mean power while a window holds
	for i := range s.loads {
		l := &s.loads[i]
		if hours := l.WindowHours(); hours > 0 {
			rates[i] = l.EnergyWhPerDay() / hours
		}
		set := func(from, to int) {
			for k := interval[from]; k < interval[to]; k++ {
				held[k*words+i/64] |= 1 << (i % 64)
			}
		}
		if len(l.Windows) == 0 {
			set(0, minutesPerDay)
		}
		for _, w := range l.Windows {
			if w.EndMin > w.StartMin {
				set(w.StartMin, w.EndMin)
			} else {
				set(w.StartMin, minutesPerDay)
				set(0, w.EndMin)
			}
		}
	}

	cut := slotCutter{Set: s, states: map[string]int{}, locks: make([]uint64, words), locked: make([]uint64, words)}
	full := make([]uint64, words)
	for i := range s.loads {
		full[i/64] |= 1 << (i % 64)
		if s.group[i] >= 0 {
			cut.locks[i/64] |= 1 << (i % 64)
		}
	}
	seen := make(map[string]int, len(s.bounds))
	s.slotOf, s.slots = make([]int, len(s.bounds)), make([]slot, 0, len(s.bounds))
	for k, start := range s.bounds {
		mine := held[k*words : (k+1)*words : (k+1)*words]
		cut.key = bitKey(cut.key, mine)
		at, known := seen[string(cut.key)]
		if !known {
			at = len(s.slots)
			seen[string(cut.key)] = at
			s.slots = append(s.slots, cut.slot(start, mine))
			for _, i := range s.slots[at].on {
				s.slots[at].meanW += rates[i]
			}
		}
		s.slotOf[k] = at
	}
	s.all = cut.slot(0, full)
}

// bitKey writes a set of bits into key, which it may reuse.
func bitKey(key []byte, set []uint64) []byte {
	key = key[:0]
	for _, word := range set {
		key = binary.LittleEndian.AppendUint64(key, word)
	}
	return key
}

// eachBit goes through the bits that are set, ascending.
func eachBit(set []uint64) iter.Seq[int] {
	return func(yield func(int) bool) {
		for w, word := range set {
			for ; word != 0; word &= word - 1 {
				if !yield(w*64 + bits.TrailingZeros64(word)) {
					return
				}
			}
		}
	}
}

// A slotCutter makes the slots of a set.
type slotCutter struct {
	*Set
	states map[string]int // by the bits of the interlocked loads
	locks  []uint64       // those of all of them
	locked []uint64       // of a slot
	key    []byte
	list   []int32 // room for the lists of slots to come
}

// slot fills a slot and finds its state.
func (c *slotCutter) slot(start int, set []uint64) slot {
	sl := slot{startMin: start, bits: set}
	if cap(c.list)-len(c.list) < len(c.loads) {
		c.list = make([]int32, 0, 16*len(c.loads))
	}
	from := len(c.list)
	for i := range eachBit(set) {
		c.list = append(c.list, int32(i))
	}
	sl.on = c.list[from:len(c.list):len(c.list)]
	for w := range set {
		c.locked[w] = set[w] & c.locks[w]
	}
	c.key = bitKey(c.key, c.locked)
	at, known := c.states[string(c.key)]
	if !known {
		at = len(c.Set.states)
		c.states[string(c.key)] = at
		c.Set.states = append(c.Set.states, c.newState(sl.on))
	}
	sl.state = at
	return sl
}

func (s *Set) newState(on []int32) state {
	members := make([][]int, s.groups)
	for _, i := range on {
		if g := s.group[i]; g >= 0 {
			members[g] = append(members[g], int(i))
		}
	}
	var st state
	for g, list := range members {
		if len(list) > 0 {
			st.groups = append(st.groups, g)
			st.members = append(st.members, list)
			st.lists = append(st.lists, s.listed(list))
		}
	}
	return st
}

// listed returns where a list of members stands in the set's lists.
func (s *Set) listed(members []int) int {
	at := slices.IndexFunc(s.lists, func(list []int) bool { return slices.Equal(list, members) })
	if at < 0 {
		at = len(s.lists)
		s.lists = append(s.lists, members)
	}
	return at
}

// holds tells whether load i is in the slot.
func (sl *slot) holds(i int) bool { return sl.bits[i/64]>>(i%64)&1 == 1 }

// inLane returns the part of load i's draw d that lane carries.
func (s *Set) inLane(i, lane int, d draw) draw {
	switch phase := s.loads[i].Phase; {
	case lane == 0 || phase == lane:
		return d
	case phase == 0:
		return d.over(float64(s.phases))
	default:
		return draw{}
	}
}

// alone adds up, for each slot and lane (at slot*lanes + lane), the draws of the loads without interlock.
func (s *Set) alone(slots []slot, draws []draw) []draw {
	sums := make([]draw, len(slots)*s.lanes)
	// A slot goes through most loads: what it needs of each stands close together.
	type part struct {
		draw
		phase int // -1: interlocked
	}
	parts := make([]part, len(draws))
	var spread []draw // over the phases
	if s.lanes > 1 {
		spread = make([]draw, len(draws))
	}
	for i, d := range draws {
		parts[i] = part{d, s.loads[i].Phase}
		if s.group[i] >= 0 {
			parts[i].phase = -1
		}
		if s.lanes > 1 && parts[i].phase == 0 {
			spread[i] = d.over(float64(s.phases))
		}
	}
	for k := range slots {
		at := sums[k*s.lanes : (k+1)*s.lanes]
		var total draw
		for _, i := range slots[k].on {
			p := &parts[i]
			if p.phase < 0 {
				continue
			}
			total = total.add(p.draw)
			switch {
			case s.lanes == 1:
			case p.phase > 0:
				at[p.phase] = at[p.phase].add(p.draw)
			default:
				for lane := 1; lane < s.lanes; lane++ {
					at[lane] = at[lane].add(spread[i])
				}
			}
		}
		at[0] = total
	}
	return sums
}
