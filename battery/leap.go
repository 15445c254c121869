package battery

import "math"

// Whoever takes a bank through the same hours many times over does not need every step of them: steps that are done in
// full change what is inside by a map that is known beforehand. Sum and Join put the maps of readied steps together,
// and Leap does all of them at once, wherever it is sure that each is done in full. What is inside then differs from
// what step after step leaves by what floating point rounds, so the bank is blurred from there on: Blur says how far
// the charge may be off, and Sure whether that could matter to a power that is asked. Reset ends it. The accounts of a
// bank that leapt (Ledger) are not kept.
//
// Banks that were full together come to hold nearly the same, whenever they began. Settle rounds what a blurred bank
// holds, so that they hold the same, and Held and Hold tell and set it.

// blurSoC is how far off a blurred bank may be, in parts of its capacity. Ten years of minutes, five million, round by
// 2^-53 of it each, together by less than a tenth of that; and Settle by at most half of settleSoC at each of their
// midnights, some four thousand, together by a fifth.
const (
	blurSoC   = 1e-8
	settleSoC = blurSoC / 10_000
)

// settled rounds an amount to a grid of parts of another, a power of two, so that the rounding is exact.
func settled(amount, full float64) float64 {
	_, exp := math.Frexp(full * settleSoC)
	grid := math.Ldexp(1, exp-1)
	return math.RoundToEven(amount/grid) * grid
}

// A sum of lithium: what the steps add, in Wh, and what the energy must be above and below before the first of them:
// relative to the limits of the caller, and for what the bank itself does.
const (
	sumAdd = iota
	sumFrom
	sumTo
	sumAbove
	sumBelow
)

// A sum of lead-acid has that in Ah, and further the map of the available charge, of itself, of the total and plain,
// and what bounds the part of it that is available at the end of a step.
const (
	sumOfAvailable = iota + sumBelow + 1
	sumOfTotal
	sumPlain
	sumLeastRest
	sumMostRest
)

// nothingSummed is the sum of no step.
var nothingSummed = [10]float64{sumFrom: math.Inf(-1), sumTo: math.Inf(1), sumAbove: math.Inf(-1),
	sumBelow: math.Inf(1), sumOfAvailable: 1, sumLeastRest: math.Inf(-1), sumMostRest: math.Inf(1)}

// neverSummed is the sum of a step that is not given, whatever the charge.
func neverSummed() [10]float64 {
	sum := nothingSummed
	sum[sumAbove] = math.Inf(1)
	return sum
}

// joinLimits joins what both models have.
func joinLimits(a, b *[10]float64) (sum [10]float64) {
	add := a[sumAdd]
	sum[sumAdd] = add + b[sumAdd]
	sum[sumFrom], sum[sumTo] = larger(a[sumFrom], b[sumFrom]-add), smaller(a[sumTo], b[sumTo]-add)
	sum[sumAbove], sum[sumBelow] = larger(a[sumAbove], b[sumAbove]-add), smaller(a[sumBelow], b[sumBelow]-add)
	return sum
}

// larger and smaller are max and min of numbers that are no NaN, for which those take several times as long.
func larger(a, b float64) float64 {
	if a > b {
		return a
	}
	return b
}

func smaller(a, b float64) float64 {
	if a < b {
		return a
	}
	return b
}

// Sum is the map of a step that [Lithium.Prepare] readied for dtH hours and that is done so many times.
func (s *Lithium) Sum(step [4]float64, times int32, dtH float64) [10]float64 {
	if math.IsInf(step[1], 1) {
		return neverSummed()
	}
	sum := nothingSummed
	last := step[0] * float64(times-1) // what was added when the last of them begins
	sum[sumAdd], sum[sumFrom], sum[sumTo] = step[0]*float64(times), 0, 0
	switch powerW := step[3]; {
	case powerW > 0:
		sum[sumFrom], sum[sumAbove] = -last, step[1]-last
	case powerW < 0:
		sum[sumTo], sum[sumBelow] = -last, step[2]-last
	}
	return sum
}

// Join is the map of steps that follow each other.
func (s *Lithium) Join(a, b *[10]float64) [10]float64 { return joinLimits(a, b) }

// Leap does the steps of a sum if it is sure that each is done in full, and that none begins at a state of charge of no
// more than low or no less than high.
func (s *Lithium) Leap(sum *[10]float64, low, high float64) bool {
	blur := blurSoC * s.capacity
	if e := s.energy; !(e > s.capacity*low+2*blur+sum[sumFrom] && e < s.capacity*high-2*blur+sum[sumTo] &&
		e > sum[sumAbove]+blur && e < sum[sumBelow]-blur) {
		return false
	}
	s.energy += sum[sumAdd]
	s.blurWh = blur
	return true
}

// Settle rounds what a blurred bank holds; it does nothing to another, and says so.
func (s *Lithium) Settle() bool {
	if s.blurWh == 0 {
		return false
	}
	s.energy = min(s.capacity, settled(s.energy, s.capacity))
	return true
}

// Held is what a bank holds, for Hold of another of the same making.
func (s *Lithium) Held() [2]float64 { return [2]float64{s.energy} }

// Hold takes over what a blurred bank held.
func (s *Lithium) Hold(held [2]float64) { s.energy, s.blurWh = held[0], blurSoC*s.capacity }

// Blur is how far the state of charge may be off: no step makes more of what an earlier one left, as what a step adds
// never falls faster with the energy than that rises.
func (s *Lithium) Blur() (soc float64) {
	if s.blurWh == 0 {
		return 0
	}
	return blurSoC
}

// BlurW is how far the power of a step of dtH hours that takes as much as it can may be off.
func (s *Lithium) BlurW(dtH float64) float64 { return s.blurWh / dtH / s.inward }

// Sure says whether it is beyond doubt that a step of dtH hours gives powerW in full, or that it does not.
func (s *Lithium) Sure(powerW, dtH float64) bool {
	if s.blurWh == 0 || dtH != s.at.hours && !s.prepare(dtH) {
		return s.blurWh == 0
	}
	from, to := s.energy-s.blurWh, s.energy+s.blurWh
	least, most := (from-s.floor)*s.at.giveW, (to-s.floor)*s.at.giveW
	if s.cutoff != nil {
		leastA, mostA := s.cutoff.limitsA(from/s.capacity, to/s.capacity)
		least, most = min(least, s.volts*leastA), min(most, s.volts*mostA)
	}
	return sure(powerW, min(least, s.maxDischargeW), min(most, s.maxDischargeW))
}

// sure says whether a power is given in full by both of two limits, or by neither.
func sure(powerW, least, most float64) bool {
	return powerW <= least*(1-nearSoC) || powerW > max(0, most)*(1+10*nearSoC)
}

// limitsA are the least and the most of limitA between two states of charge that are less than a step of the table
// apart.
func (c *Cutoff) limitsA(from, to float64) (least, most float64) {
	a, b := c.limitA(from), c.limitA(to)
	least, most = min(a, b), max(a, b)
	if knot := math.Ceil(from*cutoffSteps) / cutoffSteps; knot < to {
		at := c.limitA(knot)
		least, most = min(least, at), max(most, at)
	}
	return least, most
}

// Sum is the map of a step that [Kinetic.Prepare] readied for dtH hours and that is done so many times.
//
// What a current can take at the end of a step is rest = c*total + decay*z, where z is what the available well holds
// beyond its share c of the total. Without current z dies away by decay in each step, so that what z was at the
// beginning counts for the less, the later the step: the bounds take it for as much as in the first.
func (s *Kinetic) Sum(step [4]float64, times int32, dtH float64) [10]float64 {
	if math.IsInf(step[1], 1) || dtH != s.at.hours && !s.prepare(dtH) {
		return neverSummed()
	}
	at, c := s.at, s.params.AvailableShare
	sum := nothingSummed
	amps, charges := step[0], step[2] >= 0
	if charges {
		amps = -amps
	}
	for range times {
		add := sum[sumAdd]
		sum[sumFrom], sum[sumTo] = larger(sum[sumFrom], -add), smaller(sum[sumTo], -add)
		rest := c*add + at.decay*(sum[sumPlain]-c*add) // beyond what it is without these steps
		switch {
		case charges:
			sum[sumBelow] = smaller(sum[sumBelow], s.full+at.hours*amps-add)
			sum[sumMostRest] = smaller(sum[sumMostRest], s.fullAvailable+at.drain*amps-rest)
		case amps > 0:
			sum[sumAbove] = larger(sum[sumAbove], larger(step[1], s.floor+at.hours*amps)-add)
			sum[sumLeastRest] = larger(sum[sumLeastRest], at.drain*amps-rest)
		}
		sum[sumPlain] = at.decay*sum[sumPlain] + at.mix*add - at.drain*amps
		sum[sumOfTotal] = at.decay*sum[sumOfTotal] + at.mix
		sum[sumOfAvailable] *= at.decay
		sum[sumAdd] -= at.hours * amps
	}
	return sum
}

// Join is the map of steps that follow each other.
func (s *Kinetic) Join(a, b *[10]float64) [10]float64 {
	sum := joinLimits(a, b)
	c, add := s.params.AvailableShare, a[sumAdd]
	beyond := s.at.decay * (a[sumPlain] - c*add) // of rest, by z at the end of a
	sum[sumOfAvailable] = b[sumOfAvailable] * a[sumOfAvailable]
	sum[sumOfTotal] = b[sumOfAvailable]*a[sumOfTotal] + b[sumOfTotal]
	sum[sumPlain] = b[sumOfAvailable]*a[sumPlain] + b[sumOfTotal]*add + b[sumPlain]
	sum[sumLeastRest] = larger(a[sumLeastRest], b[sumLeastRest]-c*add-smaller(0, beyond))
	sum[sumMostRest] = smaller(a[sumMostRest], b[sumMostRest]-c*add-larger(0, beyond))
	return sum
}

// Leap does the steps of a sum if it is sure that each is done in full, as [Lithium.Leap].
func (s *Kinetic) Leap(sum *[10]float64, low, high float64) bool {
	blur, span := s.leapBlurAh(), s.full-s.empty
	total := s.total
	if !(total > s.empty+span*(low+nearSoC)+blur+sum[sumFrom] && total < s.empty+span*(high-nearSoC)-blur+sum[sumTo] &&
		total > sum[sumAbove]+blur && total < sum[sumBelow]-blur) {
		return false
	}
	shared := s.params.AvailableShare * total
	beyond := s.at.decay * (s.available - shared)
	if !(shared+smaller(0, beyond) > sum[sumLeastRest]+2*blur && shared+larger(0, beyond) < sum[sumMostRest]-2*blur) {
		return false
	}
	s.available = sum[sumOfAvailable]*s.available + sum[sumOfTotal]*total + sum[sumPlain]
	s.total += sum[sumAdd]
	s.blurAh = blur
	return true
}

// leapBlurAh is more than what becomes of what is rounded: a step makes no more of what is off in the total and in its
// share of the available well alike, and what is off in that well alone comes to at most 1/c of it in the total, in a
// step that fills the well.
func (s *Kinetic) leapBlurAh() float64 { return 2 * blurSoC * s.full / s.params.AvailableShare }

// Settle rounds what a blurred bank holds; it does nothing to another, and says so.
func (s *Kinetic) Settle() bool {
	if s.blurAh == 0 {
		return false
	}
	s.available = min(s.fullAvailable, settled(s.available, s.full))
	s.total = min(s.full, settled(s.total, s.full))
	return true
}

// Held is what a bank holds, for Hold of another of the same making.
func (s *Kinetic) Held() [2]float64 { return [2]float64{s.available, s.total} }

// Hold takes over what a blurred bank held.
func (s *Kinetic) Hold(held [2]float64) {
	s.available, s.total, s.blurAh = held[0], held[1], s.leapBlurAh()
}

// Blur is how far the state of charge may be off.
func (s *Kinetic) Blur() (soc float64) { return s.blurAh * s.perSpan }

// BlurW is how far the power of a step of dtH hours that takes as much as it can may be off.
func (s *Kinetic) BlurW(dtH float64) float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	return s.blurAh * s.perAccepted * s.volts
}

// Sure says whether it is beyond doubt that a step of dtH hours gives powerW in full, or that it does not.
func (s *Kinetic) Sure(powerW, dtH float64) bool {
	if s.blurAh == 0 || dtH != s.at.hours && !s.prepare(dtH) {
		return s.blurAh == 0
	}
	blur, rest := s.blurAh, s.at.decay*s.available+s.at.mix*s.total
	least := min((rest-blur)*s.perDrain, (s.total-blur-s.floor)*s.perHour)
	most := min((rest+blur)*s.perDrain, (s.total+blur-s.floor)*s.perHour)
	if s.cutoff != nil {
		leastA, mostA := s.cutoff.limitsA((s.total-blur-s.empty)*s.perSpan, (s.total+blur-s.empty)*s.perSpan)
		least, most = min(least, leastA), min(most, mostA)
	}
	return sure(powerW*s.perVolt, min(least, s.maxDischargeA), min(most, s.maxDischargeA))
}
