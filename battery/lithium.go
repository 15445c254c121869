package battery

import (
	"math"
)

// Lithium is a lithium bank through time: a store of energy with a loss each way, limits of power, and a taper near
// full. [Bank.Lithium] makes one. A value of it can be copied; the copy goes its own way.
//
// The round trip is split evenly (its root each way). A full store gives just the rated energy at the terminals, as the
// data sheet promises: the loss of discharging is held inside, on top. A rate effect (peukert above 1, a discharge
// table) is in the capacity that it is made with, [ModelOptions.RateCredit], and does not follow the current.
type Lithium struct {
	energy float64 // Wh inside
	at     lithiumStep

	capacity                  float64 // Wh inside when full
	floor                     float64 // Wh inside at which discharge stops
	inward, outward           float64 // efficiency each way
	maxChargeW, maxDischargeW float64
	taper                     float64 // per h: stored power is at most taper * (what is missing)
	perTaper                  float64
	cutoff                    *Cutoff
	volts                     float64

	startWh, inWh, outWh float64

	blurWh float64 // how far the energy may be off; 0 unless it leapt: see [Lithium.Leap]
}

// lithiumStep is what a step of fixed length needs, ready for use: the inner loop divides nowhere.
type lithiumStep struct {
	hours, perHour float64
	taperLeft      float64 // e^(-taper*hours), which only a charge near full asks for; below 0: not worked out yet
	giveW          float64 // W at the terminals for each Wh inside, over the step
	drainWh        float64 // Wh inside for each W at the terminals
}

// The constant-voltage phase of a lithium charge, memory: it begins at about taperFromSoC with the greatest charge
// current, and the current then falls in proportion to what is missing. Without a known greatest current it is
// taken as usualChargeC of the capacity per hour.
const (
	taperFromSoC = 0.95
	usualChargeC = 0.5
)

// Lithium returns the model of a lithium bank, full. See [Bank.Model].
func (b Bank) Lithium(o ModelOptions) (Lithium, error) {
	if !b.Unit.Chemistry.Valid() || b.Unit.Chemistry.LeadAcid() {
		return Lithium{}, errs.Errorf("chemistry %q, want lithium for the energy model", b.Unit.Chemistry)
	}
	m, err := b.modelBase(o)
	if err != nil {
		return Lithium{}, err
	}
	oneWay := math.Sqrt(m.roundTrip)
	inside := m.capacityAh * m.volts / oneWay
	// The cells' own current, not the charger's: a weak charger meets the constant-voltage phase later.
	chargeA := b.Unit.MaxChargeA * float64(b.Strings)
	if chargeA == 0 {
		chargeA = usualChargeC * m.capacityAh
	}
	s := Lithium{
		capacity: inside, floor: (1 - m.maxDoD) * inside,
		inward: oneWay, outward: oneWay,
		maxChargeW: m.maxChargeA * m.volts, maxDischargeW: m.maxDischargeA * m.volts,
		taper:  chargeA * m.volts * oneWay / ((1 - taperFromSoC) * inside),
		cutoff: m.cutoff,
		volts:  m.volts,
	}
	s.perTaper = 1 / s.taper
	s.prepare(minuteH)
	s.Reset(1)
	return s, nil
}

// SoC implements [State].
func (s *Lithium) SoC() float64 {
	return min(1, max(0, s.energy/s.capacity))
}

// Copy implements [State].
func (s *Lithium) Copy() State {
	c := *s
	return &c
}

// Reset implements [State].
func (s *Lithium) Reset(soc float64) {
	s.energy = s.capacity * fraction(soc)
	s.startWh, s.inWh, s.outWh, s.blurWh = s.energy, 0, 0, 0
}

// Ledger implements [State].
func (s *Lithium) Ledger() Ledger {
	return Ledger{
		StartWh: s.startWh, StoredWh: s.energy, InWh: s.inWh, OutWh: s.outWh,
		LostWh: s.inWh*(1-s.inward) + s.outWh*(1/s.outward-1),
	}
}

func (s *Lithium) prepare(dtH float64) bool {
	if !(dtH >= shortestStepH && dtH <= longestStepH) { // also for NaN
		return false
	}
	s.at = lithiumStep{
		hours: dtH, perHour: 1 / dtH, taperLeft: -1,
		giveW: s.outward / dtH, drainWh: dtH / s.outward,
	}
	return true
}

// Step implements [State].
func (s *Lithium) Step(powerW, dtH float64) (doneW float64) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	switch {
	case powerW > 0:
		// Products are rounded before they are added, on machines too that could do both at once: equal on all of them.
		left := s.energy - float64(powerW*s.at.drainWh)
		// The usual minute meets no limit; only the others work one out.
		if left < s.floor || powerW > s.maxDischargeW || s.cutoff != nil {
			if limit := s.dischargeLimitW(); powerW > limit {
				powerW = limit
			}
			left = max(0, s.energy-float64(powerW*s.at.drainWh)) // under 0 by rounding only
		}
		s.energy = left
		s.outWh += float64(powerW * s.at.hours)
		return powerW
	case powerW < 0:
		if -powerW > s.maxChargeW {
			powerW = -s.maxChargeW
		}
		offered := -powerW * s.inward
		stored := s.accepted(offered)
		if stored < offered {
			powerW = -stored / s.inward
		}
		s.energy += float64(stored * s.at.hours)
		if s.energy > s.capacity {
			s.energy = s.capacity
		}
		s.inWh -= float64(powerW * s.at.hours)
		return powerW
	}
	return 0 // nothing asked; also for NaN
}

// nearSoC is far more than the rounding of a state of charge.
const nearSoC = 1e-9

// accepted returns the mean power that a step stores of the offered one: constant until the taper allows no more, then
// dying away with what is missing. Closed form, so that a step of an hour and sixty of a minute store the same.
func (s *Lithium) accepted(offered float64) float64 {
	missing := s.capacity - s.energy
	from := offered * s.perTaper // missing energy at which the taper begins
	if missing-float64(offered*s.at.hours) >= from {
		return offered
	}
	return s.tapered(offered, missing, from)
}

func (s *Lithium) tapered(offered, missing, from float64) float64 {
	if missing <= from {
		if s.at.taperLeft < 0 {
			s.at.taperLeft = math.Exp(-s.taper * s.at.hours)
		}
		return missing * (1 - s.at.taperLeft) * s.at.perHour
	}
	constantH := (missing - from) / offered
	return (missing - from*math.Exp(-s.taper*(s.at.hours-constantH))) * s.at.perHour
}

// dischargeLimitW compares with ifs: the built-in min minds NaN and signed zeros, which costs as much as the rest of a
// step.
func (s *Lithium) dischargeLimitW() float64 {
	limit := (s.energy - s.floor) * s.at.giveW
	if limit > s.maxDischargeW {
		limit = s.maxDischargeW
	}
	if s.cutoff != nil {
		limit = min(limit, s.volts*s.cutoff.limitA(s.energy/s.capacity))
	}
	if limit < 0 {
		limit = 0
	}
	return limit
}

// DischargeLimitW implements [State].
func (s *Lithium) DischargeLimitW(dtH float64) float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	return s.dischargeLimitW()
}

// ChargeLimitW implements [State].
func (s *Lithium) ChargeLimitW(dtH float64) float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	return s.accepted(s.maxChargeW*s.inward) / s.inward
}
