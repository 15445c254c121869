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

	// The day in stretches in which the same windows are open: those that ask otherwise than the one before.
	stretches []stretch
	at        [minutesPerDay]uint16 // by minute of the day: its stretch
}

// A stretch lists the loads that may ask for something then, give up their turn, or be dropped.
type stretch []busyLoad

// A busyLoad is a load in a stretch of the day.
type busyLoad struct {
	evenW  float64 // all that is to be known of a steady one
	load   int32   // in demand.loads
	open   bool    // one of its windows is
	steady bool    // it is open, has no rhythm, and is never dropped
}

// appliance is a load in the course of an outage.
type appliance struct {
	stream    uint64 // of its draws
	circuit   int
	unitW     float64
	evenW     float64        // all units, spread over the windows; used without a rhythm
	windows   []loads.Window // none: always open
	interlock int            // -1: none
	ran       bool           // it has the turn of its interlock and has begun

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
			windows:   l.Windows,
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

// list cuts the day into stretches.
func (d *demand) list() {
	edges := []int{0}
	for i := range d.loads {
		for _, w := range d.loads[i].windows {
			edges = append(edges, w.StartMin, w.EndMin%minutesPerDay)
		}
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	d.stretches = make([]stretch, 0, len(edges))
	var room []busyLoad // for stretches to come
	now := make(stretch, 0, len(d.loads))
	for e, minute := range edges {
		now = now[:0]
		for i := range d.loads {
			a := &d.loads[i]
			if open := a.opens(minute); open || a.interlock >= 0 || a.dropBelow > 0 {
				now = append(now, busyLoad{a.evenW, int32(i), open, open && len(a.at) == 0 && a.dropBelow == 0})
			}
		}
		if last := len(d.stretches) - 1; last < 0 || !slices.Equal(now, d.stretches[last]) {
			if cap(room)-len(room) < len(now) {
				room = make([]busyLoad, 0, max(len(now), 1024))
			}
			room = append(room, now...)
			d.stretches = append(d.stretches, room[len(room)-len(now):len(room):len(room)])
		}
		until := minutesPerDay
		if e+1 < len(edges) {
			until = edges[e+1]
		}
		for ; minute < until; minute++ {
			d.at[minute] = uint16(len(d.stretches) - 1)
		}
	}
}

// changes tells whether a stretch begins with a minute of the day.
func (d *demand) changes(minute int) bool {
	if minute > 0 {
		return d.at[minute] != d.at[minute-1]
	}
	return !slices.Equal(d.stretches[0], d.stretches[d.at[minutesPerDay-1]])
}

// opens tells whether a window of the load is open in a minute of the day.
func (a *appliance) opens(minute int) bool {
	return len(a.windows) == 0 ||
		slices.ContainsFunc(a.windows, func(w loads.Window) bool { return w.Holds(minute) })
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

// watts returns the mean power that a load asks in the next minute, and moves its rhythm on.
func (d *demand) watts(b *busyLoad) float64 {
	a := &d.loads[b.load]
	if !b.open {
		if a.interlock >= 0 {
			d.leave(int(b.load)) // what is left of its run waits for the next window, the others do not
		}
		return 0
	}
	if len(a.at) == 0 {
		return a.evenW
	}
	if a.interlock >= 0 {
		return d.inTurn(int(b.load))
	}
	return a.advance() * a.unitW
}

// total returns the mean power that all loads ask in the next minute, and moves their rhythms on.
func (d *demand) total(minute int) (w float64) {
	now := d.stretches[d.at[minute]]
	for i := range now {
		if b := &now[i]; b.steady {
			w += b.evenW
		} else {
			w += d.watts(b)
		}
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
