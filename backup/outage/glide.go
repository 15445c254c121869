package outage

import (
	"math"
	"slices"
)

// A glide takes a terse simulation through minutes in which nothing changes but the charge.
type glide struct {
	*Sim
	bank runner                // nil: the bank cannot, or the loads have rhythms
	same [minutesPerDay]uint16 // by minute of the day: for so many minutes the loads go on as in the minute before

	steps [1][4]float64 // what the bank is told of, for use again
	times [1]int32
}

func newGlide(s *Sim) *glide {
	g := &glide{Sim: s}
	if !slices.ContainsFunc(s.demand.loads, func(a appliance) bool { return len(a.at) > 0 }) {
		g.bank, _ = s.bank.(runner)
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

// on goes on for up to most minutes that are like the last one, of which f tells, and returns how many they were.
func (g *glide) on(f flow, most int) (minutes int) {
	running := g.runs()
	if g.bank == nil || f.dark || g.off || running && g.engine.FuelL > 0 {
		return 0
	}
	g.steps[0] = g.bank.Prepare(f.bankW, minuteH)
	if running && f.bankW <= 0 && f.inW != -g.steps[0][3] {
		return 0 // the generator gives less and less
	}
	low, high := g.reacts()
	most = g.alike(most)
	g.times[0] = int32(most)
	minutes = g.bank.Run(g.steps[:], g.times[:], 0, minuteH, most, low, high, running)
	g.minute += minutes
	if running {
		g.out.GeneratorMin += minutes
		burnL, fuelL := g.engine.burn(f.generatorW), g.out.FuelL // of a tank that does not end
		for range minutes {
			fuelL += burnL
		}
		g.out.FuelL = fuelL
	}
	return minutes
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

// alike is how many of the next minutes, most at most, are like the last one in what loads ask and arrays give.
func (g *glide) alike(most int) (minutes int) {
	now := g.s.StartMin + g.minute
	for minutes < most {
		same := int(g.same[(now+minutes)%minutesPerDay])
		if same == 0 {
			break
		}
		minutes = min(most, minutes+same)
	}
	pv, each := g.s.PVW, g.s.pvMin()
	if len(pv) == 0 {
		return minutes
	}
	wasW, sunny := pv[(now-1)/each%len(pv)], 0 // the power holds for so many minutes
	for sunny < minutes && pv[(now+sunny)/each%len(pv)] == wasW {
		sunny += each - (now+sunny)%each
	}
	return min(minutes, sunny)
}
