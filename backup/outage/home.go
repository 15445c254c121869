package outage

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// A HomeYear is a home through a year, for outages that no sum of energies can stand for, because a generator helps or
// loads are dropped by the state of charge. Each step is done as in a [Sim] whose loads are spread evenly over their
// windows.
type HomeYear struct {
	// StepMin is the length of a step in minutes: a divisor of 60. Generator and drops react at the beginning of a
	// step.
	StepMin int
	AskW    []float64 // mean power on the AC side in each step of the year, of the loads that are never dropped; whole hours
	Dropped []Dropped
	PVW     []float64 // power of the arrays in each hour of the year, on the bank's side; empty: none

	Inverter     Inverter
	ChargeLimitW float64    // what goes into the bank at most, all sources together, at its terminals; 0: no limit but the bank's
	Generator    *Generator // nil: none
}

// Dropped are loads that are switched off at the beginning of a step at which the state of charge is below Below, and
// come back at BackAt.
type Dropped struct {
	Below, BackAt float64   // 0 to 1, BackAt no less than Below
	AskW          []float64 // as AskW of the home
}

// Hours is the number of hours of the year.
func (h *HomeYear) Hours() int { return len(h.AskW) * h.StepMin / 60 }

// Survive follows an outage from every start hour of the year: its hours are those before the first step that is not
// served in full. What is dropped is not asked for. The arguments are those of [SurviveStepping].
func (h *HomeYear) Survive(ctx context.Context, newBank func() Bank, soc float64, maxH int, tick func()) (Starts,
	error) {
	if err := h.check(); err != nil {
		return Starts{}, err
	}
	ahead := h.ahead()
	return surviveFrom(ctx, h.Hours(), newBank, soc, maxH, tick, func(bank Bank) func(start int) int {
		r := &homeRun{HomeYear: h, supply: newSupply(h.Inverter, h.ChargeLimitW, h.Generator, float64(h.StepMin)/60),
			off: make([]bool, len(h.Dropped)), ahead: ahead}
		r.bank = bank
		r.runner, _ = bank.(runner)
		leaps, _ := bank.(leaper)
		return func(start int) int {
			if leaps != nil && ahead != nil {
				r.leaper = leaps
				r.courses.begin(start)
				if hours, sure := r.from(start, soc, maxH); sure {
					return hours
				}
				r.leaper = nil // step by step nothing is in doubt
			}
			hours, _ := r.from(start, soc, maxH)
			return hours
		}
	})
}

func (h *HomeYear) check() error {
	year := Year{StepMin: h.StepMin, NetW: h.AskW}
	if err := year.check(); err != nil {
		return err
	}
	asks := [][]float64{h.AskW}
	for _, d := range h.Dropped {
		if err := within("state of charge for dropping", d.Below, 0, 1); err != nil {
			return err
		}
		if err := within("state of charge for the return", d.BackAt, d.Below, 1); err != nil {
			return err
		}
		if len(d.AskW) != len(h.AskW) {
			return errs.Errorf("dropped loads of %d steps, want %d", len(d.AskW), len(h.AskW))
		}
		asks = append(asks, d.AskW)
	}
	if n := len(h.PVW); n != 0 && n != h.Hours() {
		return errs.Errorf("array power of %d hours, want %d", n, h.Hours())
	}
	for _, powers := range append(asks, h.PVW) {
		for i, w := range powers {
			if !(w >= 0 && w <= maxPowerW) {
				return errs.Errorf("step %d: %g W, want a finite number, at least 0", i, w)
			}
		}
	}
	if err := h.Inverter.check(); err != nil {
		return err
	}
	if h.Generator != nil {
		if err := h.Generator.check(); err != nil {
			return err
		}
	}
	return within("charge limit in W", h.ChargeLimitW, 0, maxPowerW)
}

// A homeRun follows one outage after the other.
type homeRun struct {
	*HomeYear
	supply
	off    []bool // by Dropped
	ahead  *homeAhead
	runner runner // nil: the bank is none
	leaper leaper // nil: the bank is none, or nothing may be in doubt

	courses   courses
	largest   int     // stretches that a leap is tried with
	fuelBlurL float64 // how far what is left in the tank may be off, with a blurred bank
}

// from returns the whole hours that are survived from the beginning of the hour start; sure is false where leaps leave
// them in doubt.
func (r *homeRun) from(start int, soc float64, maxH int) (hours int, sure bool) {
	r.bank.Reset(soc)
	r.supply.off = false
	r.largest = wholeDay
	clear(r.off)
	if r.engine != nil {
		r.engine.rest()
		if r.fuelBlurL = 0; r.leaper != nil {
			r.fuelBlurL = fuelSlack * r.engine.FuelL
		}
	}
	perHour := 60 / r.StepMin
	at, steps := start*perHour, maxH*perHour
	var with *course // the one that it met last
	for step := 0; step < steps; {
		if r.leaper != nil && uint32(at)%r.ahead.stepsPerDay == 0 && r.leaper.Settle() {
			if c := r.courses.met(r.meeting(start*perHour + step)); c != nil {
				if with = c; c.dark {
					r.courseEnds(c.meeting, with, true)
					return (c.at - start*perHour) / perHour, true
				}
				r.goesOn(c)
				step, at = c.at-start*perHour, c.at%len(r.AskW)
				continue
			}
		}
		soc := r.bank.SoC()
		if r.leaper != nil && r.unsure(soc) {
			return 0, false
		}
		if r.engine != nil {
			r.engine.turn(soc, false)
		}
		for i := range r.Dropped {
			d := &r.Dropped[i]
			if soc < d.Below {
				r.off[i] = true
			} else if soc >= d.BackAt {
				r.off[i] = false
			}
		}
		done := r.on(at, min(steps-step, len(r.AskW)-at))
		if done == 0 {
			if r.leaper != nil && r.unsureDark(at) {
				return 0, false
			}
			f := r.flow(r.asks(at), r.sun(at))
			if f.dark {
				if r.leaper != nil {
					r.courseEnds(r.meeting(start*perHour+step), with, true)
				}
				return step / perHour, true
			}
			if r.engine != nil && r.engine.running {
				r.engine.burn(f.generatorW)
				if r.leaper != nil {
					r.burnsBlurred()
				}
			}
			done = 1
		}
		step += done
		if at += done; at == len(r.AskW) {
			at = 0
		}
	}
	if r.leaper != nil {
		r.courseEnds(r.meeting(start*perHour+steps), with, false)
	}
	return maxH, true
}

// asks is what is asked in a step of the year, without what is dropped now.
func (r *homeRun) asks(at int) float64 {
	askW := r.AskW[at]
	for i := range r.Dropped {
		if !r.off[i] {
			askW += r.Dropped[i].AskW[at]
		}
	}
	return askW
}

// sun is what the arrays give in a step of the year.
func (h *HomeYear) sun(at int) float64 {
	if len(h.PVW) == 0 {
		return 0
	}
	return h.PVW[at/(60/h.StepMin)]
}

// sharedStarts is how many starts one processor takes at a time.
const sharedStarts = 6 * 7 * 24

// surviveFrom shares all starts among the processors. follow is called once for each of them, with a bank of its own,
// and what it returns gives the hours survived from a start.
func surviveFrom(ctx context.Context, hours int, newBank func() Bank, soc float64, maxH int, tick func(),
	follow func(Bank) func(start int) int) (Starts, error) {
	if err := checkStore(0, soc); err != nil {
		return Starts{}, err
	}
	if maxH < 1 || maxH > MaxHours {
		return Starts{}, errs.Errorf("longest outage %d h, want 1 to %d", maxH, MaxHours)
	}
	out := Starts{Hours: make([]int, hours), MaxH: maxH}
	var wg sync.WaitGroup
	var begun atomic.Int64
	for range min(runtime.GOMAXPROCS(0), (hours+sharedStarts-1)/sharedStarts) {
		from := follow(newBank())
		wg.Go(func() {
			// Some weeks at a time: starts that follow each other have most in common.
			for ctx.Err() == nil {
				end := int(begun.Add(sharedStarts))
				for i := end - sharedStarts; i < min(end, hours) && ctx.Err() == nil; i++ {
					out.Hours[i] = from(i)
					if tick != nil {
						tick()
					}
				}
				if end >= hours {
					return
				}
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return Starts{}, err
	}
	return out, nil
}
