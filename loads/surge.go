package loads

// A Surge is the start of one unit of a load on top of everything else that is scheduled, at the minute
// that is worst for it.
type Surge struct {
	Load    string
	Index   int // of the load in the list that the set was made of
	AtMin   int
	W, VA   float64 // totals over all phases, at AtMin, each for the choice of the interlocks that makes it largest
	Seconds float64

	// BalancedVA is what a rating that is spread evenly over the phases must carry: the total, or the
	// largest phase times the number of phases. Phase is the one that governs and PhaseVA its VA; both
	// are 0 where the total governs.
	BalancedVA float64
	Phase      int
	PhaseVA    float64

	// MaxW is the largest total watts of this start over all minutes, MaxWAtMin its first minute. A start of
	// fewer watts than it runs at, as that of a motor in star-delta, counts with those that it ends at.
	MaxW      float64
	MaxWAtMin int
}

// Surges returns the worst start of each load that starts, in the order of the list that the set was made
// of.
//
// The worst minute is the one with the largest BalancedVA; of equal ones that with more VA, then the
// earliest. Other units of the load run; members of its interlock are off; of every other interlock the
// worst member runs, for W and for VA each.
func (s *Set) Surges() []Surge {
	f := s.starter()
	byIndex := make([]*Surge, len(s.loads))
	for i := range s.loads {
		if l := &s.loads[i]; l.Start != nil && l.Quantity > 0 {
			byIndex[s.index[i]] = f.surge(i)
		}
	}
	var surges []Surge
	for _, surge := range byIndex {
		if surge != nil {
			surges = append(surges, *surge)
		}
	}
	return surges
}

// A starter finds the worst start of one load after the other.
type starter struct {
	*Set
	*running
	calm   []float64        // by slot and lane: an upper bound of the balanced VA while nothing starts
	chosen map[int]*chooser // by the interlock that has chosen already; -1: none
}

func (s *Set) starter() *starter {
	f := &starter{Set: s, running: s.running(), calm: make([]float64, len(s.slots)*s.lanes)}
	f.chosen = map[int]*chooser{-1: f.choose}
	for k := range s.slots {
		for lane := range s.lanes {
			f.calm[k*s.lanes+lane] = f.bound(k, lane, draw{})
		}
	}
	return f
}

// bound returns an upper bound of the balanced VA of a lane, with a start on top.
func (f *starter) bound(k, lane int, start draw) float64 {
	base := f.free[k*f.lanes+lane].add(start)
	va := base.add(f.choose.corner(f.slots[k].state, lane)).va()
	if lane > 0 {
		va *= float64(f.phases)
	}
	return va
}

// others returns the chooser for what runs beside load i.
func (f *starter) others(i int) *chooser {
	g := f.group[i]
	if f.chosen[g] == nil {
		f.chosen[g] = f.choose.without(g)
	}
	return f.chosen[g]
}

func (f *starter) surge(i int) *Surge {
	s, l, others := f.Set, &f.loads[i], f.others(i)
	unit := draw{Power: l.Running()}
	own := draw{l.Start.Power, l.Start.PlainVA}
	short := max(0, unit.W-own.watts()) // of the watts that it ends at
	if s.group[i] < 0 {
		own = own.sub(unit) // the unit that starts is among those that run
	} else {
		own = own.add(unit.scale(float64(l.Quantity - 1)))
	}
	var inLanes [maxLanes]draw
	for lane := range s.lanes {
		inLanes[lane] = s.inLane(i, lane, own)
	}

	// Most minutes are far from the worst one: an upper bound tells.
	bounds := make([]float64, len(s.slots))
	largest := -1
	var watts worst
	for k := range s.slots {
		sl := &s.slots[k]
		if !sl.holds(i) {
			bounds[k] = -1
			continue
		}
		for lane := range s.lanes {
			if lane == 0 || l.Phase == 0 || l.Phase == lane {
				bounds[k] = max(bounds[k], f.bound(k, lane, inLanes[lane]))
			} else {
				bounds[k] = max(bounds[k], f.calm[k*s.lanes+lane])
			}
		}
		if largest < 0 || bounds[k] > bounds[largest] {
			largest = k
		}
		watts.offer(f.free[k*s.lanes].watts()+(own.watts()+short)+others.watts(sl.state, 0), float64(sl.startMin))
	}
	if largest < 0 {
		return nil
	}
	at := func(k int) Surge {
		sl := &s.slots[k]
		surge := Surge{Load: l.Name, Index: s.index[i], AtMin: sl.startMin, Seconds: l.Start.Seconds,
			MaxW: watts.value, MaxWAtMin: int(watts.at)}
		for lane := range s.lanes {
			base := f.free[k*s.lanes+lane].add(inLanes[lane])
			va := reach(base, others.vertices(sl.state, lane))
			if lane == 0 {
				surge.W = base.watts() + others.watts(sl.state, lane)
				surge.VA, surge.BalancedVA = va, va
			} else if balanced := va * float64(s.phases); balanced > surge.BalancedVA*(1+tie) {
				surge.BalancedVA, surge.Phase, surge.PhaseVA = balanced, lane, va
			}
		}
		return surge
	}
	enough := at(largest).BalancedVA * (1 - 2*tie)
	var worstStart *Surge
	for k := range s.slots {
		if bounds[k] < 0 || bounds[k] < enough {
			continue
		}
		if surge := at(k); worstStart == nil || surge.worse(worstStart) {
			worstStart = &surge
		}
	}
	return worstStart
}

// worse tells whether a is a worse minute than b, which is earlier.
func (a *Surge) worse(b *Surge) bool {
	switch {
	case a.BalancedVA > b.BalancedVA*(1+tie):
		return true
	case b.BalancedVA > a.BalancedVA*(1+tie):
		return false
	}
	return a.VA > b.VA*(1+tie)
}
