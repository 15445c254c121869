package outage

import (
	"math"
	"sync/atomic"
)

// A runner is a Bank that does many steps at once which it was told of before: see package battery. What Prepare
// returns is for Run alone, of any bank of the same making.
type runner interface {
	// Prepare ends with the power that the bank does, where it is neither full nor empty.
	Prepare(powerW, dtH float64) [4]float64
	// Run does steps until one at whose beginning the state of charge may be no more than low or no less than high, one
	// that gives less than its power or, where all is set, one that takes less. It may end earlier.
	Run(steps [][4]float64, dtH, low, high float64, all bool) (done int)
}

// homeAhead holds the steps of a home's year as they are while nothing is switched and the bank does what it is asked:
// once for all starts, day by day when they are first needed, apart for each state of the generator and of what is
// dropped.
type homeAhead struct {
	states [][]atomic.Pointer[homeDay] // by number; nil: they would be too many
	left   atomic.Int64
}

// mostAhead is how many steps are held at most, all states together: 64 MB.
const mostAhead = 1_600_000

// mostDropped is with how many levels of dropping states are told apart.
const mostDropped = 6

// A homeDay is a day of the year in one state.
type homeDay struct {
	askW, pvW []float64
	steps     [][4]float64 // for the bank
	burnL     []float64    // fuel; nil: the generator rests
}

func (h *HomeYear) ahead() *homeAhead {
	a := &homeAhead{}
	a.left.Store(mostAhead)
	if perDay := h.perDay(); len(h.Dropped) <= mostDropped {
		a.states = make([][]atomic.Pointer[homeDay], 2<<len(h.Dropped))
		for i := range a.states {
			a.states[i] = make([]atomic.Pointer[homeDay], (len(h.AskW)+perDay-1)/perDay)
		}
	}
	return a
}

func (h *HomeYear) perDay() int { return minutesPerDay / h.StepMin }

// day is a day of the year as it goes in the state of now; nil: it is not held.
func (r *homeRun) day(no int) *homeDay {
	if r.ahead.states == nil {
		return nil
	}
	state := 0
	for i, off := range r.off {
		if off {
			state |= 2 << i
		}
	}
	if r.engine != nil && r.engine.running {
		state |= 1
	}
	days := r.ahead.states[state]
	day := days[no].Load()
	if day == nil {
		var before *homeDay
		if no > 0 {
			before = days[no-1].Load()
		}
		if day = r.newDay(no, before); day != nil {
			days[no].Store(day) // who else made it at the same time made the same
		}
	}
	return day
}

// newDay readies a day. Most of its steps are as in the minutes, or in the day, before.
func (r *homeRun) newDay(no int, before *homeDay) *homeDay {
	from := no * r.perDay()
	n := min(r.perDay(), len(r.AskW)-from)
	if r.ahead.left.Add(-int64(n)) < 0 {
		r.ahead.left.Add(int64(n))
		return nil
	}
	running := r.engine != nil && r.engine.running
	day := &homeDay{steps: make([][4]float64, n), askW: make([]float64, n), pvW: make([]float64, n)}
	if running {
		day.burnL = make([]float64, n)
	}
	for i := range n {
		day.askW[i], day.pvW[i] = r.asks(from+i), r.sun(from+i)
		alike := func(d *homeDay, j int) bool {
			if d == nil || j < 0 || d.askW[j] != day.askW[i] || d.pvW[j] != day.pvW[i] {
				return false
			}
			if day.steps[i] = d.steps[j]; running {
				day.burnL[i] = d.burnL[j]
			}
			return true
		}
		if alike(day, i-1) || alike(before, i) {
			continue
		}
		w := r.wants(day.askW[i], day.pvW[i])
		step := r.runner.Prepare(w.bankW, r.stepH)
		f := r.follow(w, step[3])
		if day.steps[i] = step; f.dark {
			day.steps[i] = never
		}
		if running {
			day.burnL[i] = r.engine.lPerH(f.generatorW) * r.stepH
		}
	}
	return day
}

// on does up to most steps from one of the year on in which nothing is switched, nothing is dark, and the generator
// gives what it can; it returns how many it did.
func (r *homeRun) on(at, most int) (done int) {
	if r.runner == nil || r.supply.off {
		return 0
	}
	day := r.day(at / r.perDay())
	if day == nil {
		return 0
	}
	at %= r.perDay()
	most = min(most, len(day.steps)-at)
	low, high := math.Inf(-1), math.Inf(1)
	running := day.burnL != nil
	switch e := r.engine; {
	case running:
		high = e.StopSoC
		if e.FuelL > 0 {
			leftL, enough := e.leftL, 0
			for most = min(most, mostFuelled); enough < most && !(leftL < e.maxLPH*e.stepH); enough++ {
				leftL -= day.burnL[at+enough]
			}
			most = enough
		}
	case e != nil && !(e.FuelL > 0 && e.leftL < e.maxLPH*e.stepH):
		low = e.StartSoC
	}
	for i, off := range r.off {
		if off {
			high = min(high, r.Dropped[i].BackAt)
		} else {
			low = max(low, r.Dropped[i].Below)
		}
	}
	done = r.runner.Run(day.steps[at:at+most], r.stepH, low, high, running)
	if running {
		for _, l := range day.burnL[at : at+done] {
			r.engine.leftL -= l
		}
	}
	return done
}

// mostFuelled is how many steps are looked ahead for fuel: the generator seldom runs for longer.
const mostFuelled = 64

// never is a step that no bank does.
var never = [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(1)}
