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

// surge returns the worst start of load i, or nil where it never may be on.
func (f *starter) surge(i int) *Surge {
	o := f.onset(i)
	o.survey()
	if o.likeliest < 0 {
		return nil
	}
	return o.hardest()
}

// An onset is the start of one unit of a load, beside whatever else runs.
type onset struct {
	*starter
	load   int
	others *chooser       // of what runs beside it
	adds   [maxLanes]draw // by lane: what it adds to the loads without interlock
	addsW  float64        // the watts that it adds, of its start or of what it ends at, whichever is more

	// What a survey of the slots finds.
	bounds    []float64 // by slot: an upper bound of the balanced VA; -1 where the load is not on
	likeliest int       // the slot with the largest bound; -1: the load is never on
	watts     worst     // the largest total watts
}

func (f *starter) onset(i int) onset {
	l := &f.loads[i]
	unit := draw{Power: l.Running()}
	own := draw{l.Start.Power, l.Start.PlainVA}
	short := max(0, unit.W-own.watts()) // of the watts that it ends at
	if f.group[i] < 0 {
		own = own.sub(unit) // the unit that starts is among those that run
	} else {
		own = own.add(unit.scale(float64(l.Quantity - 1)))
	}
	o := onset{starter: f, load: i, others: f.others(i), addsW: own.watts() + short}
	for lane := range f.lanes {
		o.adds[lane] = f.inLane(i, lane, own)
	}
	return o
}

// survey bounds every slot, since most are far from the worst one, and finds the largest watts, which are plain to add
// up.
func (o *onset) survey() {
	o.bounds, o.likeliest = make([]float64, len(o.slots)), -1
	for k := range o.slots {
		sl := &o.slots[k]
		if !sl.holds(o.load) {
			o.bounds[k] = -1
			continue
		}
		o.bounds[k] = o.slotBound(k)
		if o.likeliest < 0 || o.bounds[k] > o.bounds[o.likeliest] {
			o.likeliest = k
		}
		o.watts.offer(o.free[k*o.lanes].watts()+o.addsW+o.others.watts(sl.state, 0), float64(sl.startMin))
	}
}

// slotBound returns an upper bound of the balanced VA of the start in slot k. It counts on the phases that it lies on.
func (o *onset) slotBound(k int) (va float64) {
	phase := o.loads[o.load].Phase
	for lane := range o.lanes {
		if lane == 0 || phase == 0 || phase == lane {
			va = max(va, o.bound(k, lane, o.adds[lane]))
		} else {
			va = max(va, o.calm[k*o.lanes+lane])
		}
	}
	return va
}

// hardest works out the slots whose bounds reach what the likeliest one has, and returns the worst of them.
func (o *onset) hardest() *Surge {
	enough := o.at(o.likeliest).BalancedVA * (1 - 2*tie)
	var hardest *Surge
	for k := range o.slots {
		if o.bounds[k] < 0 || o.bounds[k] < enough {
			continue
		}
		if surge := o.at(k); hardest == nil || surge.worse(hardest) {
			hardest = &surge
		}
	}
	return hardest
}

// at works out the start in slot k.
func (o *onset) at(k int) Surge {
	l, sl := &o.loads[o.load], &o.slots[k]
	surge := Surge{Load: l.Name, Index: o.index[o.load], AtMin: sl.startMin, Seconds: l.Start.Seconds,
		MaxW: o.watts.value, MaxWAtMin: int(o.watts.at)}
	for lane := range o.lanes {
		base := o.free[k*o.lanes+lane].add(o.adds[lane])
		va := reach(base, o.others.vertices(sl.state, lane))
		if lane == 0 {
			surge.W = base.watts() + o.others.watts(sl.state, lane)
			surge.VA, surge.BalancedVA = va, va
		} else if balanced := va * float64(o.phases); balanced > surge.BalancedVA*(1+tie) {
			surge.BalancedVA, surge.Phase, surge.PhaseVA = balanced, lane, va
		}
	}
	return surge
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
