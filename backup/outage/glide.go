package outage

import (
	"math"
	"slices"
)

// A glide takes a terse simulation through minutes in which nothing changes but the charge.
type glide struct {
	*Sim
	runner runner                // nil: the bank is none, or the loads have rhythms
	same   [minutesPerDay]uint16 // by minute of the day: for so many minutes the loads go on as in the minute before

	steps [1][4]float64 // what the bank is told of, for use again
	times [1]int32
}

func newGlide(s *Sim) *glide {
	g := &glide{Sim: s}
	if !slices.ContainsFunc(s.demand.loads, func(a appliance) bool { return len(a.at) > 0 }) {
		g.runner, _ = s.bank.(runner)
	}
	same := minutesPerDay // where nothing ever changes it is a day at a time
	for round := range 2 {
		for minute := minutesPerDay - 1; minute >= 0; minute-- {
			if same = min(same+1, minutesPerDay); g.changes(minute) {
				same = 0
			}
			if round == 1 { // the first only tells how the next day begins
				g.same[minute] = uint16(same)
			}
		}
	}
	return g
}

// changes says whether in a minute of the day the loads ask otherwise than in the one before.
func (g *glide) changes(minute int) bool {
	before := (minute + minutesPerDay - 1) % minutesPerDay
	return len(g.s.BaseW) > 0 && g.s.BaseW[minute] != g.s.BaseW[before] || g.demand.changes(minute)
}

// through goes through up to most minutes that are like the next one and returns how many they were; 0: that one is a
// [Sim.step] of its own, because something is switched in it or may be.
func (g *glide) through(most int) (minutes int) {
	running, soc := g.runs(), g.bank.SoC()
	if g.runner == nil || g.off || g.short || g.switches(soc) || running && g.engine.FuelL > 0 {
		return 0
	}
	w := g.wants(g.ask(soc), g.sun())
	g.steps[0] = g.runner.Prepare(w.bankW, minuteH)
	f := g.follow(w, g.steps[0][3])
	if f.dark {
		return 0
	}
	most = g.alike(most)
	g.times[0] = int32(most)
	low, high := g.reacts()
	minutes = g.runner.Run(g.steps[:], g.times[:], 0, minuteH, most, low, high, running)
	g.minute += minutes
	if running {
		g.out.GeneratorMin += minutes
		burnL, fuelL := g.engine.lPerH(f.generatorW)*minuteH, g.out.FuelL // of a tank that does not end
		for range minutes {
			fuelL += burnL
		}
		g.out.FuelL = fuelL
	}
	return minutes
}

// switches says whether the generator starts or stops at a state of charge.
func (g *glide) switches(soc float64) bool {
	e := g.engine
	return e != nil && (e.running && soc >= e.StopSoC || !e.running && soc <= e.StartSoC)
}

// reacts are the states of charge at which generator or loads are switched, as they are now.
func (g *glide) reacts() (low, high float64) {
	low, high = 0, math.Inf(1)
	switch e := g.engine; {
	case g.runs():
		high = e.StopSoC
	case e != nil:
		low = e.StartSoC
	}
	for i := range g.demand.loads {
		switch a := &g.demand.loads[i]; {
		case a.dropped:
			high = min(high, a.backAt)
		case a.dropBelow > 0:
			low = max(low, a.dropBelow)
		}
	}
	return low, high
}

// alike is how many minutes from the next one on, most at most, are like it in what loads ask and arrays give.
func (g *glide) alike(most int) (minutes int) {
	now := g.s.StartMin + g.minute
	for minutes = 1; minutes < most; {
		same := int(g.same[(now+minutes)%minutesPerDay])
		if same == 0 {
			break
		}
		minutes += same
	}
	minutes = min(minutes, most)
	pv, each := g.s.PVW, g.s.pvMin()
	if len(pv) == 0 {
		return minutes
	}
	nowW, sunny := pv[now/each%len(pv)], 0 // the power holds for so many minutes
	for sunny < minutes && pv[(now+sunny)/each%len(pv)] == nowW {
		sunny += each - (now+sunny)%each
	}
	return min(minutes, sunny)
}
