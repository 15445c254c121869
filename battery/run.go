package battery

import "math"

// Whoever takes a bank through many equal steps, or through the same hours again and again, has a step readied by
// Prepare, and Run do it many times over. What the bank holds afterwards is bit for bit what Step after Step leaves.

// Prepare readies a step of dtH hours at powerW for [Lithium.Run]: what is added to the energy inside, above and below
// which energy that is all there is to the step, and the power that is then done: no more than the bank ever takes.
// What it returns suits all banks of the same making.
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
		return [4]float64{stored, math.Inf(-1), s.capacity - stored - offered*s.perTaper - near, powerW}
	}
	return [4]float64{0, math.Inf(-1), math.Inf(1), 0}
}

// Run does steps that [Lithium.Prepare] readied for dtH hours, one after the other, each so many times as times has it,
// the first fewer times by skip, and most at most in all; it returns how many it did. It ends before one at whose
// beginning the state of charge may be no more than low or no less than high, before one that gives less than its
// power, and, where all is set, before one that takes less. It may end a little early: within nearSoC of a limit it
// leaves the step to the caller.
func (s *Lithium) Run(steps [][4]float64, times []int32, skip int, dtH float64, most int, low, high float64, all bool) (
	done int) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	near := nearSoC*s.capacity + s.blurWh
	from, to := s.capacity*low+near, s.capacity*high-near
	energy, inWh, outWh := s.energy, s.inWh, s.outWh
	end := -skip // of the stretch, in steps done
	for i := range steps {
		step := &steps[i]
		if end += int(times[i]); end > most {
			end = most
		}
		if !(energy > from && energy < to) {
			break
		}
		add, powerW := step[0], step[3]
		wh := float64(powerW * dtH)
		switch {
		case powerW > 0:
			least := from
			if above := step[1] + s.blurWh; least < above {
				least = above
			}
			for ; done < end && energy > least; done++ {
				energy += add
				outWh += wh
			}
		case powerW < 0:
			usual := to
			if below := step[2] - s.blurWh; usual > below {
				usual = below
			}
			for ; done < end && energy < usual; done++ {
				energy += add
				inWh -= wh
			}
			if !all && done < end && energy < to {
				for s.energy, s.inWh = energy, inWh; done < end && s.energy < to; done++ {
					s.Step(powerW, dtH)
				}
				energy, inWh = s.energy, s.inWh
			}
		default:
			done = end
		}
		if done < end || done == most {
			break
		}
	}
	s.energy, s.inWh, s.outWh = energy, inWh, outWh
	return done
}

// Prepare readies a step of dtH hours at powerW for [Kinetic.Run]: the current, with what is lost of a charging one
// left out, above which charge it is given, the current of a charging one (else -1), and the power that is then done.
func (s *Kinetic) Prepare(powerW, dtH float64) [4]float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return [4]float64{}
	}
	if powerW < 0 {
		amps, doneW := -powerW*s.perVolt, powerW
		if amps > s.maxChargeA {
			amps, doneW = s.maxChargeA, -s.maxChargeA*s.volts
		}
		return [4]float64{float64(amps * s.efficiency), 0, amps, doneW}
	}
	amps, above := powerW*s.perVolt, math.Inf(-1)
	if amps > s.maxDischargeA {
		above = math.Inf(1)
	} else if s.cutoff != nil && amps > 0 {
		above = s.empty + (s.full-s.empty)*(s.cutoff.leastSoC(amps*(1+nearSoC))+nearSoC)
	}
	return [4]float64{amps, above, -1, powerW}
}

// Run does steps that [Kinetic.Prepare] readied, as [Lithium.Run] does.
func (s *Kinetic) Run(steps [][4]float64, times []int32, skip int, dtH float64, most int, low, high float64, all bool) (
	done int) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	span := s.full - s.empty
	from, to := s.empty+span*(low+nearSoC)+s.blurAh, s.empty+span*(high-nearSoC)-s.blurAh
	end := -skip
	for i := range steps {
		if end += int(times[i]); end > most {
			end = most
		}
		if !(s.total > from && s.total < to) {
			return done
		}
		if step := &steps[i]; step[2] < 0 {
			done = s.give(step, done, end, from)
		} else {
			done = s.take(step, done, end, to, all)
		}
		if done < end || done == most {
			return done
		}
	}
	return done
}

// give discharges in equal steps, from one to another, while the charge is above from.
func (s *Kinetic) give(step *[4]float64, done, end int, from float64) int {
	at, available, total, outWh := s.at, s.available, s.total, s.outWh
	amps, powerW := step[0], step[3]
	from = max(from, step[1]+s.blurAh)
	drain, out, wh := float64(at.drain*amps), float64(at.hours*amps), float64(powerW*at.hours)
	for ; done < end && total > from; done++ {
		rest := float64(at.decay*available) + float64(at.mix*total)
		if (amps > (rest-s.blurAh)*s.perDrain || amps > (total-s.floor-s.blurAh)*s.perHour) && amps > 0 {
			break
		}
		if available = rest - drain; available < 0 {
			available = 0
		}
		if total -= out; total < 0 {
			total = 0
		}
		outWh += wh
	}
	s.available, s.total, s.outWh = available, total, outWh
	return done
}

// take charges in equal steps, from one to another, while the charge is below to.
func (s *Kinetic) take(step *[4]float64, done, end int, to float64, all bool) int {
	at, available, total, inWh := s.at, s.available, s.total, s.inWh
	for ; done < end && total < to; done++ {
		rest := float64(at.decay*available) + float64(at.mix*total)
		storedA, doneW := step[0], step[3]
		limit := (s.fullAvailable - rest) * s.perAccepted
		if all && step[2] > limit-s.blurAh*s.perAccepted {
			break
		}
		if step[2] > limit {
			if limit < 0 {
				limit = 0
			}
			storedA, doneW = float64(limit*s.efficiency), -limit*s.volts
		}
		if available = rest + float64(at.drain*storedA); available > s.fullAvailable {
			available = s.fullAvailable
		}
		if total += float64(at.hours * storedA); total > s.full {
			total = s.full
		}
		inWh -= float64(doneW * at.hours)
	}
	s.available, s.total, s.inWh = available, total, inWh
	return done
}
