package loads

import "math"

// A Part is what one load adds to a sum of a set, for a reader who wants to add it up himself.
type Part struct {
	Index  int // of the load in the list that the set was made of
	Units  int // that run, or start
	Starts bool
	Share  float64 // of it that counts: 1, or on a phase of several an even share of a load on all of them
}

// PeakParts returns what adds up to the largest W, or VA where apparent says so, of the total (lane 0) or of a phase,
// and the first minute at which it runs: over the minutes of the day or, where all says so, of all loads at once. Of
// each interlock it has the member that makes the sum largest.
func (s *Set) PeakParts(lane int, apparent, all bool) (atMin int, parts []Part) {
	slots := s.slots
	if all {
		slots = []slot{s.all}
	}
	lane %= s.lanes
	alone, choose := s.alone(slots, s.run), s.running().choose
	var most worst
	at := 0
	for k := range slots {
		base, before := alone[k*s.lanes+lane], most
		value := base.watts() + choose.watts(slots[k].state, lane)
		if apparent {
			value = reach(base, choose.vertices(slots[k].state, lane))
		}
		if most.offer(value, float64(slots[k].startMin)); most != before {
			at = k
		}
	}
	if len(slots) == 0 {
		return 0, nil
	}
	q := picker{set: s, slot: &slots[at], lane: lane, draws: s.run, apparent: apparent, without: -1, seconds: -1}
	return slots[at].startMin, q.parts(alone[at*s.lanes+lane], nil)
}

// StartParts returns what runs beside the start of one unit of a load at a minute, in total or on a phase: its other
// units among them, and of each other interlock the member that makes the VA, or the W, largest. index is that of
// [Surge].
func (s *Set) StartParts(index, atMin, lane int, apparent bool) []Part {
	lane %= s.lanes
	i := s.place(index)
	sl := s.slotAt(atMin)
	l := &s.loads[i]
	q := picker{set: s, slot: sl, lane: lane, draws: s.run, apparent: apparent, without: s.group[i], own: i,
		seconds: -1}
	base := s.alone([]slot{*sl}, s.run)[lane]
	own := draw{l.Start.Power, l.Start.PlainVA}
	if s.group[i] < 0 {
		own = own.sub(draw{Power: l.Running()})
	} else {
		own = own.add(draw{Power: l.Running()}.scale(float64(l.Quantity - 1)))
	}
	return q.parts(base.add(s.inLane(i, lane, own)), func(p *Part) bool {
		if p.Index != index {
			return true
		}
		p.Units--
		return p.Units > 0
	})
}

// RestartParts returns what adds up to a restart of everything at a minute, in total or on a phase. seconds is the
// longest start among it ([Restart]), below 0 for any.
func (s *Set) RestartParts(atMin, lane int, seconds float64) []Part {
	lane %= s.lanes
	sl := s.slotAt(atMin)
	draws := make([]draw, len(s.loads))
	for i := range s.loads {
		draws[i] = s.run[i]
		if l := &s.loads[i]; l.starts() {
			draws[i] = draw{l.Start.Power, l.Start.PlainVA}.scale(float64(l.Quantity))
		}
	}
	q := picker{set: s, slot: sl, lane: lane, draws: draws, apparent: true, without: -1, seconds: seconds}
	return q.parts(s.alone([]slot{*sl}, draws)[lane], func(p *Part) bool {
		p.Starts = s.loads[s.place(p.Index)].starts()
		return true
	})
}

// place is where the load of an index stands in the set.
func (s *Set) place(index int) int {
	for i, at := range s.index {
		if at == index {
			return i
		}
	}
	return -1
}

// slotAt is the slot of a minute.
func (s *Set) slotAt(minute int) *slot {
	k := len(s.bounds) - 1
	for s.bounds[k] > minute {
		k--
	}
	return &s.slots[s.slotOf[k]]
}

// A picker finds which members of the interlocks make a sum largest.
type picker struct {
	set      *Set
	slot     *slot
	lane     int
	draws    []draw
	apparent bool
	without  int     // an interlock of which none runs, but for own; -1: none
	own      int     // the load that starts
	seconds  float64 // the longest start of what counts; below 0: any
}

// mostChoices is how many choices of the interlocks are tried one by one; of more only those that are best in some
// direction of the sum.
const mostChoices = 1 << 14

// parts lists the loads of the slot; keep may change or leave out each.
func (q *picker) parts(base draw, keep func(*Part) bool) []Part {
	s := q.set
	chosen := q.choose(base)
	var out []Part
	for _, on := range q.slot.on {
		i := int(on)
		switch g := s.group[i]; {
		case s.loads[i].Quantity == 0 || g >= 0 && g == q.without && i != q.own:
			continue
		case g >= 0 && g != q.without && chosen[g] != i:
			continue
		}
		share := 1.0
		switch phase := s.loads[i].Phase; {
		case q.lane == 0 || phase == q.lane:
		case phase == 0:
			share = 1 / float64(s.phases)
		default:
			continue
		}
		p := Part{Index: s.index[i], Units: s.loads[i].Quantity, Share: share}
		if keep == nil || keep(&p) {
			out = append(out, p)
		}
	}
	return out
}

// choose returns the member of each interlock that counts.
func (q *picker) choose(base draw) map[int]int {
	s := q.set
	st := &s.states[q.slot.state]
	var groups [][]int
	var of []int
	choices := 1
	for n, g := range st.groups {
		if g != q.without {
			groups, of = append(groups, st.members[n]), append(of, g)
			choices = min(choices*len(st.members[n]), mostChoices+1)
		}
	}
	lasting := 0.0 // the longest start of the loads without interlock
	for _, i := range q.slot.on {
		if s.group[i] < 0 {
			lasting = max(lasting, s.startSeconds(int(i)))
		}
	}
	best, found, most := make([]int, len(groups)), false, 0.0
	try := func(pick []int) {
		sum, seconds := base, lasting
		for n, m := range pick {
			i := groups[n][m]
			sum, seconds = sum.add(s.inLane(i, q.lane, q.draws[i])), max(seconds, s.startSeconds(i))
		}
		value := sum.watts()
		if q.apparent {
			value = sum.va()
		}
		if (q.seconds < 0 || seconds == q.seconds) && (!found || value > most*(1+tie)) {
			found, most = true, value
			copy(best, pick)
		}
	}
	pick := make([]int, len(groups))
	if choices <= mostChoices {
		for {
			try(pick)
			n := 0
			for n < len(pick) {
				if pick[n]++; pick[n] < len(groups[n]) {
					break
				}
				pick[n] = 0
				n++
			}
			if n == len(pick) {
				break
			}
		}
	} else {
		const directions = 4096
		for d := range directions + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * float64(d) / directions)
			for n, group := range groups {
				pick[n] = 0
				top := -1.0
				for m, i := range group {
					e := s.inLane(i, q.lane, q.draws[i])
					if along := e.W*cos + e.VAr*sin + e.plain; along > top {
						pick[n], top = m, along
					}
				}
			}
			try(pick)
		}
	}
	out := map[int]int{}
	for n, m := range best {
		out[of[n]] = groups[n][m]
	}
	return out
}

// A SumChance is one sum of what is on by chance, in W, with its probability.
type SumChance struct{ W, P float64 }

// ProbableNear returns the distribution of what is on around the quantile w that [Set.Probable] has found, at a time of
// the day that has it: the probability of all that is less in the first row, then those of the sums one by one. ok is
// false where that would take too long, or w is an upper bound only.
func (s *Set) ProbableNear(confidence, w float64) (near []SumChance, startMin int, ok bool) {
	const below, above = 6, 2
	l, g := s.lottery()
	sum := int64(math.Round(w * g.perW / float64(g.step)))
	if !(w > 0) || math.Abs(g.watts(sum)-w) > tie*w {
		return nil, 0, false
	}
	for k := range l.times {
		t := &l.times[k]
		cells := min(sum, t.most) - t.certain + 1
		if t.most < sum || cells < 1 || cells > maxCells {
			continue
		}
		steps := work(l.chances, t.draws, 1, cells)
		if steps > l.budget {
			return nil, 0, false
		}
		l.budget -= steps
		wide := min(t.most-t.certain+1, 2*cells+1000)
		pmf := l.distribution(t.draws, int(wide))
		less := 0.0
		for _, p := range pmf[:min(int64(len(pmf)), cells-1)] {
			less += p
		}
		if less >= confidence-nearTie && confidence < 1 { // this time has a smaller quantile
			continue
		}
		from, n := cells-1, 0
		for at := cells - 2; at >= 0 && n < below; at-- {
			if pmf[at] > 0 {
				from, n = at, n+1
			}
		}
		first := 0.0
		for _, p := range pmf[:from] {
			first += p
		}
		if first > 0 {
			near = append(near, SumChance{0, first})
		}
		n = 0
		for at := from; at < int64(len(pmf)) && n <= above; at++ {
			if pmf[at] > 0 || at == cells-1 {
				near = append(near, SumChance{g.watts(t.certain + at), pmf[at]})
				if at >= cells-1 {
					n++
				}
			}
		}
		return near, s.slots[t.slot].startMin, true
	}
	return nil, 0, false
}
