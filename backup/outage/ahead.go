package outage

import (
	"math"
	"sync/atomic"
)

// A runner is a Bank that does many equal steps at once: see package battery.
type runner interface {
	// Prepare readies a step for Run, of any bank of the same making. It ends with the power that the bank then does.
	Prepare(powerW, dtH float64) [4]float64
	// Run does steps one after the other, each so many times as times has it, the first fewer times by skip, and most
	// at most in all, bit for bit as Step would, and returns how many it did. It ends before one at whose beginning the
	// state of charge may be no more than low or no less than high, before one that gives less than its power, and,
	// where all is set, before one that takes less; and it may end earlier.
	Run(steps [][4]float64, times []int32, skip int, dtH float64, most int, low, high float64, all bool) (done int)
}

// homeAhead holds the year of a home in stretches of steps in which nothing changes but the charge; none goes on beyond
// its day. What becomes of them is worked out once for all starts, a day at a time when it is first needed, apart for
// each state of the generator and of what is dropped.
type homeAhead struct {
	stretch []int32 // by step of the year: in which stretch it is
	first   []int32 // by stretch: its first step; one more for the end
	times   []int32 // by stretch: how many steps it has
	days    []int32 // by day: its first stretch; one more for the end
	states  [][]atomic.Pointer[homeDay]

	stepsPerDay uint32
}

// A homeDay is a day of the year in one state, by stretch.
type homeDay struct {
	steps [][4]float64 // for the bank
	burnL []float64    // fuel in each step

	sums [][10]float64 // for leaps, as a tree; nil: the bank cannot
	sumL []float64     // likewise the fuel
	wide int           // where the stretches begin in them
}

// mostDropped is with how many levels of dropping states are told apart.
const mostDropped = 6

// mostStretches is more than any year has whose loads are told by their windows.
const mostStretches = 100_000

// ahead finds the stretches; nil: the home has too many states, or its steps are hardly ever alike.
func (h *HomeYear) ahead() *homeAhead {
	if len(h.Dropped) > mostDropped {
		return nil
	}
	perDay := h.perDay()
	a := &homeAhead{stretch: make([]int32, len(h.AskW)), stepsPerDay: uint32(perDay)}
	for at := range h.AskW {
		if at%perDay == 0 {
			a.days = append(a.days, int32(len(a.first)))
		}
		if at%perDay == 0 || !h.alike(at, at-1) {
			if len(a.first) == mostStretches {
				return nil
			}
			a.first, a.times = append(a.first, int32(at)), append(a.times, 0)
		}
		a.stretch[at] = int32(len(a.first) - 1)
		a.times[len(a.first)-1]++
	}
	a.days, a.first = append(a.days, int32(len(a.first))), append(a.first, int32(len(h.AskW)))
	a.states = make([][]atomic.Pointer[homeDay], 2<<len(h.Dropped))
	for i := range a.states {
		a.states[i] = make([]atomic.Pointer[homeDay], len(a.days)-1)
	}
	return a
}

func (h *HomeYear) perDay() int { return minutesPerDay / h.StepMin }

// alike says whether all that is asked and given is equal in two steps of the year.
func (h *HomeYear) alike(at, other int) bool {
	if h.AskW[at] != h.AskW[other] || h.sun(at) != h.sun(other) {
		return false
	}
	for i := range h.Dropped {
		if h.Dropped[i].AskW[at] != h.Dropped[i].AskW[other] {
			return false
		}
	}
	return true
}

// state is the number of what is switched now.
func (r *homeRun) state() (no int) {
	for i, off := range r.off {
		if off {
			no |= 2 << i
		}
	}
	if r.engine != nil && r.engine.running {
		no |= 1
	}
	return no
}

// day is one of the year as it goes in the state of now.
func (r *homeRun) day(no int) *homeDay {
	held := &r.ahead.states[r.state()][no]
	d := held.Load()
	if d == nil {
		var before *homeDay
		if no > 0 {
			before = r.ahead.states[r.state()][no-1].Load()
		}
		d = r.newDay(no, before)
		held.Store(d) // who makes it at the same time makes the same
	}
	return d
}

// newDay readies the stretches of a day. Those that are as in the same minute of the day before, where that is known,
// are taken from there: loads change with the month only, and at night there is no sun.
func (r *homeRun) newDay(no int, before *homeDay) *homeDay {
	a := r.ahead
	first := a.first[a.days[no]:a.days[no+1]]
	d := &homeDay{steps: make([][4]float64, len(first)), burnL: make([]float64, len(first))}
	for i, at := range first {
		if yesterday := int(at) - r.perDay(); before != nil && r.alike(int(at), yesterday) {
			was := a.stretch[yesterday] - a.days[no-1]
			d.steps[i], d.burnL[i] = before.steps[was], before.burnL[was]
			continue
		}
		w := r.wants(r.asks(int(at)), r.sun(int(at)))
		d.steps[i] = r.runner.Prepare(w.bankW, r.stepH)
		f := r.follow(w, d.steps[i][3])
		if r.engine != nil && r.engine.running {
			d.burnL[i] = r.engine.lPerH(f.generatorW) * r.stepH
		}
		if f.dark {
			d.steps[i] = never
		}
	}
	if bank, leaps := r.bank.(leaper); leaps { // a run that goes without may share the day with others
		d.sum(bank, a.times[a.days[no]:a.days[no+1]], r.stepH)
	}
	return d
}

// never is a step that no bank does.
var never = [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(1)}

// on does up to most steps from one of the year on in which nothing is switched, nothing is dark, and the generator
// gives what it can; it returns how many it did.
func (r *homeRun) on(at, most int) (done int) {
	if r.runner == nil || r.ahead == nil {
		return 0
	}
	low, high := math.Inf(-1), math.Inf(1)
	e := r.engine
	running := e != nil && e.running
	switch {
	case running:
		high = e.StopSoC
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
	no := int(uint32(at) / r.ahead.stepsPerDay) // of 64 bits it would take several times as long
	d, from, to := r.day(no), r.ahead.days[no], r.ahead.days[no+1]
	stretch := r.ahead.stretch[at]
	skip := at - int(r.ahead.first[stretch])
	for ahead := int32(1); ; ahead *= 2 {
		if r.leaper != nil && skip == 0 {
			may := leaping{most: most - done, low: low, high: high, fuelL: math.Inf(1)}
			if running && e.FuelL > 0 {
				may.fuelL = e.leftL - e.maxLPH*e.stepH - 2*r.fuelBlurL
			}
			stretches, steps, burntL := r.leap(d, int(stretch-from), r.ahead.first[from:], may)
			if stretch, done = stretch+int32(stretches), done+steps; running {
				e.leftL -= burntL
			}
			if stretches > 0 {
				ahead = 1
			}
		}
		if stretch == to || done == most {
			return done
		}
		last := to
		if r.leaper != nil {
			last = min(to, stretch+ahead) // behind them another leap may do
		}
		steps, burnL, times := d.steps[stretch-from:last-from], d.burnL[stretch-from:last-from],
			r.ahead.times[stretch:last]
		left := most - done
		if running && e.FuelL > 0 {
			left, _ = e.burns(burnL, times, skip, left, r.fuelBlurL)
		}
		ran := r.runner.Run(steps, times, skip, r.stepH, left, low, high, running)
		if running {
			_, e.leftL = e.burns(burnL, times, skip, ran, r.fuelBlurL)
		}
		if done += ran; last == to || ran < int(r.ahead.first[last]-r.ahead.first[stretch])-skip {
			return done
		}
		stretch, skip = last, 0
	}
}

// burns is what is left in the tank after up to most steps of stretches, and how many they are: it ends before one that
// may take all that is there, which may be off by blurL.
func (e *engine) burns(burnL []float64, times []int32, skip, most int, blurL float64) (steps int, leftL float64) {
	leftL = e.leftL
	for i, l := range burnL {
		for range int(times[i]) - skip {
			if steps == most || e.FuelL > 0 && leftL < e.maxLPH*e.stepH+blurL {
				return steps, leftL
			}
			leftL -= l
			steps++
		}
		skip = 0
	}
	return steps, leftL
}
