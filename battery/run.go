package battery

import "math"

// A bank that is stepped through the same hours again and again, from one start after the other, is told of each step
// once, by Prepare, and then does as many of them as it can in one go, by Run. What it holds afterwards is bit for bit
// what Step after Step leaves.

// Prepare readies a step of dtH hours at powerW for [Lithium.Run]: what is added to the energy inside, above and below
// which energy that is all there is to the step, and the power that is then done: no more than the bank ever takes.
func (s *Lithium) Prepare(powerW, dtH float64) [4]float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return [4]float64{}
	}
	near := nearSoC * s.capacity
	powerW = max(powerW, -s.maxChargeW)
	switch {
	case powerW > 0:
		drain := float64(powerW * s.at.drainWh)
		above := s.floor + drain + near
		if s.cutoff != nil {
			above = max(above, s.capacity*s.cutoff.leastSoC(powerW/s.volts*(1+nearSoC))+near)
		}
		if powerW > s.maxDischargeW {
			above = math.Inf(1)
		}
		return [4]float64{-drain, above, math.Inf(1), powerW}
	case powerW < 0:
		offered := -powerW * s.inward
		stored := float64(offered * s.at.hours)
		below := s.capacity - stored - offered*s.perTaper - near
		return [4]float64{stored, math.Inf(-1), below, powerW}
	}
	return [4]float64{0, math.Inf(-1), math.Inf(1), 0}
}

// Run does the steps that [Lithium.Prepare] readied, each of dtH hours, and returns how many it did. It ends before one
// at whose beginning the state of charge may be no more than low or no less than high, before one that gives less than
// its power, and, where all is set, before one that takes less. It may end a little early: what is within nearSoC of a
// limit it leaves to the caller.
func (s *Lithium) Run(steps [][4]float64, dtH, low, high float64, all bool) (done int) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	near := nearSoC * s.capacity
	from, to := s.capacity*low+near, s.capacity*high-near
	energy, inWh, outWh, hours := s.energy, s.inWh, s.outWh, s.at.hours
	for ; done < len(steps) && energy > from && energy < to; done++ {
		p := &steps[done]
		switch {
		case energy > p[1] && energy < p[2]:
			energy += p[0]
			if p[3] > 0 {
				outWh += float64(p[3] * hours)
			} else {
				inWh -= float64(p[3] * hours)
			}
			continue
		case p[3] < 0 && !all:
			s.energy, s.inWh = energy, inWh
			s.Step(p[3], dtH)
			energy, inWh = s.energy, s.inWh
			continue
		}
		break
	}
	s.energy, s.inWh, s.outWh = energy, inWh, outWh
	return done
}

// Prepare readies a step of dtH hours at powerW for [Kinetic.Run]: the current, with what is lost of a charging one
// left out, above which charge it is given, the current of a charging one, and the power that is then done.
func (s *Kinetic) Prepare(powerW, dtH float64) [4]float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return [4]float64{}
	}
	if powerW < 0 {
		amps, doneW := -powerW*s.perVolt, powerW
		if amps > s.maxChargeA {
			amps, doneW = s.maxChargeA, -s.maxChargeA*s.volts
		}
		if doneW < 0 {
			return [4]float64{float64(amps * s.efficiency), 0, amps, doneW}
		}
		powerW = 0
	}
	amps, above := powerW*s.perVolt, math.Inf(-1)
	if amps > s.maxDischargeA {
		above = math.Inf(1)
	} else if s.cutoff != nil && amps > 0 {
		above = s.empty + (s.full-s.empty)*(s.cutoff.leastSoC(amps*(1+nearSoC))+nearSoC)
	}
	return [4]float64{amps, above, 0, powerW}
}

// Run does the steps that [Kinetic.Prepare] readied, as [Lithium.Run] does.
func (s *Kinetic) Run(steps [][4]float64, dtH, low, high float64, all bool) (done int) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	span := s.full - s.empty
	from, to := s.empty+span*(low+nearSoC), s.empty+span*(high-nearSoC)
	at, available, total, inWh, outWh := s.at, s.available, s.total, s.inWh, s.outWh
	for ; done < len(steps) && total > from && total < to; done++ {
		p := &steps[done]
		rest := float64(at.decay*available) + float64(at.mix*total)
		amps := p[0]
		if p[3] >= 0 {
			if !(total > p[1] && amps <= rest*s.perDrain && amps <= (total-s.floor)*s.perHour) && amps > 0 {
				break
			}
			if available = rest - float64(at.drain*amps); available < 0 {
				available = 0
			}
			if total -= float64(at.hours * amps); total < 0 {
				total = 0
			}
			outWh += float64(p[3] * at.hours)
			continue
		}
		doneW := p[3]
		if limit := (s.fullAvailable - rest) * s.perAccepted; p[2] > limit {
			if all {
				break
			}
			if limit < 0 {
				limit = 0
			}
			amps, doneW = float64(limit*s.efficiency), -limit*s.volts
		}
		if available = rest + float64(at.drain*amps); available > s.fullAvailable {
			available = s.fullAvailable
		}
		if total += float64(at.hours * amps); total > s.full {
			total = s.full
		}
		inWh -= float64(doneW * at.hours)
	}
	s.available, s.total, s.inWh, s.outWh = available, total, inWh, outWh
	return done
}
