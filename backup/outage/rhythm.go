package outage

import (
	"cmp"
	"hash/fnv"
	"math/rand/v2"
	"slices"

	"outlast/loads"
)

// demand is what the loads ask, minute after minute. It depends on the clock and the seed only: a load that is dropped,
// or not served, keeps its rhythm. That is why more of anything never makes the loads ask for more (see Sim).
type demand struct {
	loads []appliance
	turns [][]int // of each interlock: the load that runs, then those that wait
	busy  [][]int // by minute of the day: the loads that may ask for something then, give up their turn, or be dropped
}

// appliance is a load in the course of an outage.
type appliance struct {
	stream    uint64 // of its draws
	circuit   int
	unitW     float64
	evenW     float64 // all units, spread over the windows; used without a rhythm
	open      []bool  // minutes of the day in its windows; nil: always
	interlock int     // -1: none
	ran       bool    // it has the turn of its interlock and has begun

	// The rhythm runs while a window is open. Each unit is on for onMin of every periodMin, the share of time that its
	// hours a day ask: the pause of the cycle is stretched or shrunk to that, for it is the hours that rule the energy.
	onMin, periodMin float64
	at               []float64 // where in its period each unit is; empty: no rhythm

	name              string
	dropBelow, backAt float64 // states of charge; dropBelow 0: never dropped
	dropped           bool
}

func newDemand(s *Scenario, circuits map[string]int) demand {
	var d demand
	interlocks := map[string]int{}
	margin := s.ReturnMargin
	if margin == 0 {
		margin = DefaultReturnMargin
	}
	streams := map[string]uint64{}
	for _, l := range byName(s.Loads) {
		stream, twin := streams[l.Name]
		if !twin {
			stream = streamOf(l.Name)
		}
		streams[l.Name] = stream + 1 // loads without a name of their own must not keep step
		if l.HeldOff {
			continue
		}
		share := l.Share()
		a := appliance{
			name:      l.Name,
			stream:    stream,
			circuit:   circuits[l.CircuitID],
			unitW:     l.RunningW,
			evenW:     l.RunningW * float64(l.Quantity) * share,
			open:      openMinutes(l),
			interlock: -1,
		}
		if !l.Medical {
			a.dropBelow, a.backAt = l.DropBelow, min(1, l.DropBelow+margin)
		}
		if l.Cycle != nil && share > 0 && !s.EvenSpread {
			a.onMin, a.periodMin = l.Cycle.OnMin, l.Cycle.OnMin/share
			units := l.Quantity
			if l.Interlock != "" && units > 1 {
				units = 1 // the turn is of all its units: they run as one
				a.unitW *= float64(l.Quantity)
			}
			a.at = make([]float64, units)
			if l.Interlock != "" {
				g, ok := interlocks[l.Interlock]
				if !ok {
					g = len(d.turns)
					interlocks[l.Interlock] = g
					d.turns = append(d.turns, nil)
				}
				a.interlock = g
			}
		}
		d.loads = append(d.loads, a)
	}
	d.list()
	d.draw(s.Seed)
	return d
}

// byName gives the loads in the order of their names, so that nothing depends on where they stand: not which of an
// interlock comes first, nor the last digit of a sum.
func byName(all []loads.Load) []*loads.Load {
	out := make([]*loads.Load, len(all))
	for i := range all {
		out[i] = &all[i]
	}
	slices.SortStableFunc(out, func(a, b *loads.Load) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// streamOf gives each name draws of its own: a load that is added, goes or stands elsewhere does not move the others.
func streamOf(name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name))
	return h.Sum64()
}

// list finds the busy loads of each minute. They are looked for where a window opens or closes; the minutes until the
// next such one share a list.
func (d *demand) list() {
	d.busy = make([][]int, minutesPerDay)
	turns := make([]bool, minutesPerDay)
	turns[0] = true
	for i := range d.loads {
		open := d.loads[i].open
		for minute := 1; minute < len(open); minute++ {
			if open[minute] != open[minute-1] {
				turns[minute] = true
			}
		}
	}
	for minute := range d.busy {
		if !turns[minute] {
			d.busy[minute] = d.busy[minute-1]
			continue
		}
		for i := range d.loads {
			if a := &d.loads[i]; a.open == nil || a.open[minute] || a.interlock >= 0 || a.dropBelow > 0 {
				d.busy[minute] = append(d.busy[minute], i)
			}
		}
	}
}

// draw begins anew with the rhythms of a seed.
func (d *demand) draw(seed uint64) {
	for i := range d.loads {
		a := &d.loads[i]
		a.ran, a.dropped = false, false
		if len(a.at) == 0 {
			continue
		}
		stream := rand.New(rand.NewPCG(seed, a.stream))
		for u := range a.at {
			a.at[u] = stream.Float64() * a.periodMin
		}
	}
	for g := range d.turns {
		d.turns[g] = nil
	}
}

// openMinutes is the table of the minutes of the day at which a load may be on, nil for all.
func openMinutes(l *loads.Load) []bool {
	if len(l.Windows) == 0 {
		return nil
	}
	open := make([]bool, minutesPerDay)
	for _, w := range l.Windows {
		for m := range w.Minutes() {
			open[(w.StartMin+m)%minutesPerDay] = true
		}
	}
	return open
}

// watts returns the mean power that load i asks in the next minute, minute of the day, and moves its rhythm on.
func (d *demand) watts(i, minute int) float64 {
	a := &d.loads[i]
	if a.open != nil && !a.open[minute] {
		if a.interlock >= 0 {
			d.leave(i) // what is left of its run waits for the next window, the others do not
		}
		return 0
	}
	if len(a.at) == 0 {
		return a.evenW
	}
	if a.interlock >= 0 {
		return d.inTurn(i)
	}
	return a.advance() * a.unitW
}

// total returns the mean power that all loads ask in the next minute, and moves their rhythms on.
func (d *demand) total(minute int) (w float64) {
	for _, i := range d.busy[minute] {
		w += d.watts(i, minute)
	}
	return w
}

// inTurn lets one load of an interlock run at a time, until it is off, then the one that has waited longest. A load
// that must wait stands still in its rhythm.
func (d *demand) inTurn(i int) float64 {
	a := &d.loads[i]
	turn := &d.turns[a.interlock]
	if a.ran && a.at[0] >= a.onMin {
		d.leave(i) // even if the next run begins within this minute: others may wait
	}
	if a.wants() {
		if !slices.Contains(*turn, i) {
			*turn = append(*turn, i)
		}
		if (*turn)[0] != i {
			return 0
		}
		a.ran = true
	}
	return a.advance() * a.unitW
}

// leave takes a load out of the turn of its interlock.
func (d *demand) leave(i int) {
	a := &d.loads[i]
	a.ran = false
	turn := &d.turns[a.interlock]
	if k := slices.Index(*turn, i); k >= 0 {
		*turn = slices.Delete(*turn, k, k+1)
	}
}

// wants tells whether a unit is on in some part of the next minute.
func (a *appliance) wants() bool {
	for _, at := range a.at {
		if at < a.onMin || at+1 > a.periodMin {
			return true
		}
	}
	return false
}

// advance moves all units on by a minute and returns how many were on, on average.
func (a *appliance) advance() float64 {
	units := 0.0
	for u, at := range a.at {
		end := at + 1
		switch {
		case end <= a.onMin:
			units++
		case at < a.onMin:
			units += a.onMin - at
		}
		for end > a.periodMin { // the next period begins within the minute, or several do
			end -= a.periodMin
			units += min(end, a.onMin)
		}
		a.at[u] = end
	}
	return units
}
