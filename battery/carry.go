package battery

import "math"

// Carry implements [State].
func (s *Lithium) Carry(powerW, dtH float64, steps int) (full int, doneW float64) {
	if powerW == 0 {
		return steps, 0
	}
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0, 0
	}
	return carry(s, powerW, dtH, steps)
}

// sureMargin is the share of a full store by which sureSteps stays away from the limits: far more than the rounding of a year's
// minutes, far less than a step.
const sureMargin = 1e-9

// giveSurely takes steps that meet no limit for sure, so many at most, and returns how many it took.
func (s *Lithium) giveSurely(powerW float64, steps int) (took int) {
	if took = min(steps, s.sureSteps(powerW)); took > 0 {
		s.energy = addTimes(s.energy, -float64(powerW*s.at.drainWh), took)
		s.outWh = addTimes(s.outWh, float64(powerW*s.at.hours), took)
	}
	return took
}

// sureSteps is a number of steps at powerW that meet no limit for sure; a few fewer than there are.
func (s *Lithium) sureSteps(powerW float64) int {
	if !(powerW > 0 && powerW <= s.maxDischargeW) {
		return 0
	}
	drainWh := powerW * s.at.drainWh
	lowest := s.floor + drainWh // at which a step may begin
	if s.cutoff != nil {
		lowest = max(lowest, s.capacity*s.cutoff.sureSoC(powerW/s.volts))
	}
	if steps := (s.energy-lowest-sureMargin*s.capacity)/drainWh - 1; steps < math.MaxInt32 {
		return int(max(0, steps))
	}
	return math.MaxInt32
}

// Carry implements [State].
func (s *Kinetic) Carry(powerW, dtH float64, steps int) (full int, doneW float64) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		if powerW == 0 {
			return steps, 0
		}
		return 0, 0
	}
	return carry(s, powerW, dtH, steps)
}

// A carrier takes many equal steps at once where it can.
type carrier interface {
	Step(powerW, dtH float64) (doneW float64)
	giveSurely(powerW float64, steps int) (took int)
}

// carry takes steps one by one where they may meet a limit, and ends at the first that is not given in full.
func carry(s carrier, powerW, dtH float64, steps int) (full int, doneW float64) {
	for full < steps {
		if sure := s.giveSurely(powerW, steps-full); sure > 0 {
			full += sure
			continue
		}
		if doneW = s.Step(powerW, dtH); doneW < powerW*(1-slack) {
			return full, doneW
		}
		full++
	}
	return full, 0
}

// giveSurely is as that of [Lithium].
func (s *Kinetic) giveSurely(powerW float64, steps int) (took int) {
	amps := powerW * s.perVolt
	if !(powerW > 0 && amps <= s.maxDischargeA) {
		return 0
	}
	drained, used := float64(s.at.drain*amps), float64(s.at.hours*amps)
	lowest := s.floor + used // total at which a step may begin
	if s.cutoff != nil {
		lowest = max(lowest, s.empty+(s.full-s.empty)*s.cutoff.sureSoC(amps))
	}
	lowest += sureMargin * s.full
	least := drained + sureMargin*s.full // available without the current
	at, available, total := s.at, s.available, s.total
	for took < steps && total >= lowest {
		rest := float64(at.decay*available) + float64(at.mix*total)
		if rest < least {
			break
		}
		available = rest - drained
		total -= used
		took++
	}
	s.available, s.total = available, total
	s.outWh = addTimes(s.outWh, float64(powerW*at.hours), took)
	return took
}

// sureSoC returns a state of charge from which on limitA is no less than amps, over 1 where there is none.
func (c *cutoff) sureSoC(amps float64) float64 {
	i := cutoffSteps
	for i >= 0 && c.amps[i] >= amps {
		i--
	}
	switch {
	case i < 0:
		return 0
	case i == cutoffSteps:
		return 2
	}
	return (float64(i) + (amps-c.amps[i])/(c.amps[i+1]-c.amps[i])) / cutoffSteps
}

// addTimes adds d to x so many times, x at least 0: bit for bit what a loop gives, with all its roundings, but in a few leaps.
//
// Between two powers of two all numbers lie on one grid, which every sum is rounded to. So each addition there moves x by the same
// whole number of grid steps. Only where d lies just half way between two of them the first addition may differ: it ends on an even
// number of grid steps, and all that follow do too. What two additions both do, the next ones do as well.
func addTimes(x, d float64, times int) float64 {
	for times > 0 {
		once := x + d
		moved := once - x
		if times > 3 && once+d-once == moved {
			if moved == 0 {
				return x
			}
			fraction, exponent := math.Frexp(x)
			room := x - math.Ldexp(0.5, exponent) // down to the power of two
			if d > 0 {
				room = math.Ldexp(1, exponent) - x
			}
			// Two short of the power: the step across it is rounded to another grid.
			if leap := min(float64(times), math.Floor(room/math.Abs(moved))-2); fraction > 0 && leap > 1 {
				x += leap * moved // exact: all three are whole numbers of grid steps
				times -= int(leap)
				continue
			}
		}
		x = once
		times--
	}
	return x
}
