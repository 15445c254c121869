package battery

import "math"

// Lasts implements [State].
func (s *Lithium) Lasts(powerW, mostH float64) (hours float64) {
	if !(powerW > 0) {
		return mostH
	}
	if powerW > s.maxDischargeW*(1+slack) {
		return 0
	}
	lowest := s.floor
	if s.cutoff != nil {
		lowest = max(lowest, s.capacity*s.cutoff.leastSoC(powerW/s.volts))
	}
	return max(0, min(mostH, (s.energy-lowest)*s.outward/powerW))
}

// Kept implements [State].
func (s *Lithium) Kept() float64 { return 1 }

// Lasts implements [State].
func (s *Kinetic) Lasts(powerW, mostH float64) (hours float64) {
	if !(powerW > 0) {
		return mostH
	}
	amps := powerW * s.perVolt
	if amps > s.maxDischargeA*(1+slack) {
		return 0
	}
	lowest := s.floor
	if s.cutoff != nil {
		lowest = max(lowest, s.empty+(s.full-s.empty)*s.cutoff.leastSoC(amps))
	}
	hours = max(0, min(mostH, (s.total-lowest)/amps))
	if s.availableAfter(amps, hours) >= 0 {
		return hours // with a constant current that well is lowest at one end
	}
	return s.emptyAfter(amps, hours)
}

// Kept implements [State]. Charge comes from the available well; what is left there flows off into the bound one, until
// the available well's share of it stays.
func (s *Kinetic) Kept() float64 { return s.params.AvailableShare }

// availableAfter is the charge in the available well after so many hours of a current.
func (s *Kinetic) availableAfter(amps, hours float64) float64 {
	at := s.params.step(hours)
	return at.decay*s.available + at.mix*s.total - at.drain*amps
}

// emptyAfter is when a current has emptied the available well, which it has before mostH. Newton's method, between two
// times that hold the only zero (see [WellParams.EmptyH]) between them.
func (s *Kinetic) emptyAfter(amps, mostH float64) float64 {
	lo, hi, at := 0.0, mostH, mostH/2
	for range 200 {
		left := s.availableAfter(amps, at)
		if left > 0 {
			lo = at
		} else {
			hi = at
		}
		falls := amps - s.params.RatePerH*(s.params.AvailableShare*(s.total-amps*at)-left)
		next := at + left/falls
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-at) <= 1e-14*mostH || next <= lo || next >= hi {
			return next
		}
		at = next
	}
	return lo
}
