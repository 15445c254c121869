package outage

import (
	"context"
	"math"
	"sync"
)

// A Bank is a battery bank through time, seen from its terminals.
type Bank interface {
	// Step moves on by dtH hours at a constant powerW, above 0 when the bank gives. It returns the power that was done:
	// no more than asked, in the same direction.
	Step(powerW, dtH float64) (doneW float64)
	// SoC is the state of charge, 0 to 1.
	SoC() float64
	// Reset puts the bank at rest at a state of charge.
	Reset(soc float64)
}

// shortW is the smallest share of a power that counts as not served: less is the rounding of a Bank's own arithmetic.
const shortW = 1e-9

// SurviveStepping follows an outage from every start hour of the year, as [Study.Survive] does, for any model of a
// bank, by stepping through each. It is for models whose state is more than one energy, such as the wells of a
// lead-acid cell; an energy with fixed efficiencies and limits is several hundred times faster in a Study.
//
// newBank returns a new bank; it is called once for each of the processors at work, and each bank steps alone. soc is
// the state of charge when the grid fails, 0 to 1; maxH, 1 to MaxHours, the longest outage followed.
//
// It may take seconds: when ctx ends it returns its error, and tick, which may be nil, is called after each start, by
// several goroutines at once.
func SurviveStepping(ctx context.Context, y Year, newBank func() Bank, soc float64, maxH int, tick func()) (Starts,
	error) {
	if err := y.check(); err != nil {
		return Starts{}, err
	}
	if _, err := y.topW(); err != nil {
		return Starts{}, err
	}
	ahead := sync.OnceValue(y.ahead)
	return surviveFrom(ctx, y.Hours(), newBank, soc, maxH, tick, func(bank Bank) func(start int) int {
		r := yearRun{Year: y, bank: bank}
		if r.runner, _ = bank.(runner); r.runner != nil {
			r.yearAhead = ahead()
			r.once.Do(func() { r.ready(r.runner) })
		}
		return func(start int) int {
			bank.Reset(soc)
			return r.from(start, maxH)
		}
	})
}

// A yearRun follows one outage after the other through a year.
type yearRun struct {
	Year
	bank   Bank
	runner runner // nil: the bank is none
	*yearAhead
}

// from returns the whole hours that the bank survives from the beginning of the hour start.
func (r *yearRun) from(start, maxH int) int {
	perHour := 60 / r.StepMin
	stepH := float64(r.StepMin) / 60
	at, steps := start*perHour, maxH*perHour
	for step := 0; step < steps; {
		done := 0
		if r.runner != nil {
			no := r.stretch[at]
			done = r.runner.Run(r.steps[no:], r.times[no:], at-int(r.first[no]), stepH, min(steps-step, len(r.NetW)-at),
				math.Inf(-1), math.Inf(1), false)
		}
		if done == 0 {
			askW := -r.NetW[at]
			if doneW := r.bank.Step(askW, stepH); askW > 0 && doneW < askW*(1-shortW) {
				return step / perHour
			}
			done = 1
		}
		step += done
		if at += done; at == len(r.NetW) {
			at = 0
		}
	}
	return maxH
}

// A yearAhead holds a year in stretches of equal steps, ready for a [runner].
type yearAhead struct {
	once    sync.Once
	stretch []int32 // by step of the year: in which stretch it is
	first   []int32 // by stretch: its first step
	times   []int32 // by stretch: how many steps it has
	netW    []float64
	stepH   float64
	steps   [][4]float64
}

func (y Year) ahead() *yearAhead {
	a := &yearAhead{stretch: make([]int32, len(y.NetW)), netW: y.NetW, stepH: float64(y.StepMin) / 60}
	for at, w := range y.NetW {
		if at == 0 || w != y.NetW[at-1] {
			a.first, a.times = append(a.first, int32(at)), append(a.times, 0)
		}
		a.stretch[at] = int32(len(a.first) - 1)
		a.times[len(a.first)-1]++
	}
	return a
}

// ready readies the steps of all stretches, for banks of the making of r.
func (a *yearAhead) ready(r runner) {
	a.steps = make([][4]float64, len(a.first))
	for i, at := range a.first {
		a.steps[i] = r.Prepare(-a.netW[at], a.stepH)
	}
}
