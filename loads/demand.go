package loads

import (
	"fmt"
	"math"
)

// A Demand is the power of a set at its worst minutes. W and VA are totals over all phases, each at its
// own worst minute; so is each phase.
type Demand struct {
	W, VA   float64
	AtMin   int // first minute of the worst W
	VAAtMin int // first minute of the worst VA
	PhaseW  []float64
	PhaseVA []float64
}

// Connected returns the demand of all loads at once, of each interlock the worst member.
func (s *Set) Connected() Demand {
	all := []slot{s.all}
	return s.demand(all, s.alone(all, s.run), s.running().choose)
}

// Scheduled returns the highest demand, over the minutes of the day, of the loads whose windows hold that
// minute.
func (s *Set) Scheduled() Demand {
	st := s.running()
	d, limit := s.demand(s.slots, st.free, st.choose), s.Connected()
	// Less is never more: where an interlock chose between equals, only rounding could say otherwise.
	d.W, d.VA = min(d.W, limit.W), min(d.VA, limit.VA)
	for i := range d.PhaseW {
		d.PhaseW[i] = min(d.PhaseW[i], limit.PhaseW[i])
		d.PhaseVA[i] = min(d.PhaseVA[i], limit.PhaseVA[i])
	}
	return d
}

// ScheduledWith is [Set.Scheduled] with the running power of each load times weight(load), a finite
// number of at least 0; another one is a programmer's mistake and panics.
func (s *Set) ScheduledWith(weight func(Load) float64) Demand {
	draws := make([]draw, len(s.run))
	for i := range draws {
		w := weight(s.loads[i])
		if !(w >= 0) || math.IsInf(w, 1) {
			panic(fmt.Sprintf("loads: weight %g, want a finite number of at least 0", w))
		}
		draws[i] = s.run[i].scale(w)
	}
	return s.demand(s.slots, s.alone(s.slots, draws), s.chooser(draws))
}

// demand is the highest of slots, whose loads without interlock add up to alone.
func (s *Set) demand(slots []slot, alone []draw, choose *chooser) Demand {
	var watts, vas [maxLanes]worst // by lane
	for k := range slots {
		sl := &slots[k]
		for lane := range s.lanes {
			base := alone[k*s.lanes+lane]
			watts[lane].offer(base.watts()+choose.watts(sl.state, lane), float64(sl.startMin))
			vas[lane].offer(reach(base, choose.vertices(sl.state, lane)), float64(sl.startMin))
		}
	}
	d := Demand{W: watts[0].value, AtMin: int(watts[0].at), VA: vas[0].value, VAAtMin: int(vas[0].at)}
	for phase := 1; phase <= s.phases; phase++ {
		lane := phase % s.lanes // on a single phase, the total is the phase
		d.PhaseW = append(d.PhaseW, watts[lane].value)
		d.PhaseVA = append(d.PhaseVA, vas[lane].value)
	}
	return d
}
