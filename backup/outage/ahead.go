package outage

import (
	"math"
	"sync"
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
// once for all starts, apart for each state of the generator and of what is dropped.
type homeAhead struct {
	states []homeState // by number; nil: they would be too many
	left   atomic.Int64
}

// mostAhead is how many steps are held at most, all states together: 64 MB.
const mostAhead = 1_600_000

// mostDropped is with how many levels of dropping states are told apart.
const mostDropped = 6

// A homeState is the year in one state.
type homeState struct {
	once  sync.Once
	steps [][4]float64 // for the bank; nil: not held
	burnL []float64    // fuel; nil: the generator rests
}

func (h *HomeYear) ahead() *homeAhead {
	a := &homeAhead{}
	a.left.Store(mostAhead)
	if len(h.Dropped) <= mostDropped {
		a.states = make([]homeState, 2<<len(h.Dropped))
	}
	return a
}

// state is the year as it goes on in the state of now; nil: it is not held.
func (r *homeRun) state() *homeState {
	if r.ahead.states == nil {
		return nil
	}
	no := 0
	for i, off := range r.off {
		if off {
			no |= 2 << i
		}
	}
	running := r.engine != nil && r.engine.running
	if running {
		no |= 1
	}
	state := &r.ahead.states[no]
	state.once.Do(func() {
		if n := int64(len(r.AskW)); r.ahead.left.Add(-n) < 0 {
			r.ahead.left.Add(n)
			return
		}
		state.steps = make([][4]float64, len(r.AskW))
		if running {
			state.burnL = make([]float64, len(r.AskW))
		}
		perDay := minutesPerDay / r.StepMin
		var asked, sun [2]float64 // a step and the one before
		for at := range state.steps {
			asked[0], sun[0] = r.asks(at), r.sun(at)
			same := -1 // a step that is like this one: the one before, or that of the day before
			if at > 0 && asked[0] == asked[1] && sun[0] == sun[1] {
				same = at - 1
			} else if before := at - perDay; before >= 0 && asked[0] == r.asks(before) && sun[0] == r.sun(before) {
				same = before
			}
			asked[1], sun[1] = asked[0], sun[0]
			if same >= 0 {
				state.steps[at] = state.steps[same]
				if running {
					state.burnL[at] = state.burnL[same]
				}
				continue
			}
			w := r.wants(asked[0], sun[0])
			step := r.runner.Prepare(w.bankW, r.stepH)
			f := r.follow(w, step[3])
			if state.steps[at] = step; f.dark {
				state.steps[at] = never
			}
			if running {
				state.burnL[at] = r.engine.lPerH(f.generatorW) * r.stepH
			}
		}
	})
	return state
}

// on does up to most steps from one of the year on in which nothing is switched, nothing is dark, and the generator
// gives what it can; it returns how many it did.
func (r *homeRun) on(at, most int) (done int) {
	if r.runner == nil || r.supply.off {
		return 0
	}
	state := r.state()
	if state == nil || state.steps == nil {
		return 0
	}
	low, high := math.Inf(-1), math.Inf(1)
	running := state.burnL != nil
	switch e := r.engine; {
	case running:
		high = e.StopSoC
		if e.FuelL > 0 {
			leftL, enough := e.leftL, 0
			for most = min(most, mostFuelled); enough < most && !(leftL < e.maxLPH*e.stepH); enough++ {
				leftL -= state.burnL[at+enough]
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
	done = r.runner.Run(state.steps[at:at+most], r.stepH, low, high, running)
	if running {
		for _, l := range state.burnL[at : at+done] {
			r.engine.leftL -= l
		}
	}
	return done
}

// mostFuelled is how many steps are looked ahead for fuel: the generator seldom runs for longer.
const mostFuelled = 64

// never is a step that no bank does.
var never = [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(1)}
