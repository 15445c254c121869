package battery

// Kinetic is a lead-acid bank through time, by the two-well kinetic model ([WellParams], fitted to the unit by
// [Unit.Wells]). [Bank.Kinetic] makes one. A value of it can be copied; the copy goes its own way.
//
// Temperature and age make both wells smaller in the same measure; the flow between them is left as it is. The state of
// charge is counted in the rated capacity (at that temperature and age), as an Ah counter does: the wells hold a little
// more, which only comes out slower than at the rated current, and that stays in the bank unless the plan counts with a
// slower rate ([ModelOptions].RateCredit). All loss is in charging: of the energy taken, the unit's round trip is
// stored. Acceptance is the model's own: a step may at most fill the available well, which gives full current into a
// low bank and a taper like that of absorption near the top.
type Kinetic struct {
	available, total float64 // Ah; the bound well is the difference
	at               wellStep

	perHour, perDrain, perAccepted float64 // of the step: 1/h, 1/drain, 1/(drain*efficiency)

	volts, perVolt, efficiency float64
	fullAvailable, full        float64
	empty                      float64 // total at state of charge 0
	perSpan                    float64 // 1/(full-empty)
	floor                      float64 // total at which discharge stops
	maxChargeA, maxDischargeA  float64
	cutoff                     *Cutoff

	params               WellParams
	startWh, inWh, outWh float64

	blurAh float64 // how far both wells may be off; 0 unless it leapt: see [Kinetic.Leap]
}

// Kinetic returns the two-well model of a lead-acid bank, full. See [Bank.Model].
func (b Bank) Kinetic(o ModelOptions) (Kinetic, error) {
	if !b.Unit.Chemistry.LeadAcid() {
		return Kinetic{}, errs.Errorf("chemistry %q, want lead-acid for the kinetic model", b.Unit.Chemistry)
	}
	m, err := b.modelBase(o)
	if err != nil {
		return Kinetic{}, err
	}
	var p WellParams
	if o.Fit != nil {
		p = o.Fit.WellParams
		if err := p.Check(); err != nil {
			return Kinetic{}, err
		}
	} else {
		fit, err := b.Unit.Wells()
		if err != nil {
			return Kinetic{}, err
		}
		p = fit.WellParams
	}
	// At the rated current the fit may be a hair below the rated capacity; the wells must hold at least that.
	p.FullAh = max(p.FullAh*float64(b.Strings)*m.shareLeft, m.capacityAh)
	s := Kinetic{
		volts: m.volts, perVolt: 1 / m.volts, efficiency: m.roundTrip,
		fullAvailable: p.AvailableShare * p.FullAh, full: p.FullAh,
		empty:      p.FullAh - m.capacityAh,
		floor:      p.FullAh - m.maxDoD*m.capacityAh,
		maxChargeA: m.maxChargeA, maxDischargeA: m.maxDischargeA,
		cutoff: m.cutoff,
		params: p,
	}
	s.perSpan = 1 / (s.full - s.empty)
	s.prepare(minuteH)
	s.Reset(1)
	return s, nil
}

// Wells returns the charge in the two wells of the bank.
func (s *Kinetic) Wells() Wells {
	return Wells{AvailableAh: s.available, BoundAh: s.total - s.available}
}

// Params returns the constants of the whole bank at its temperature and age.
func (s *Kinetic) Params() WellParams { return s.params }

// SoC implements [State].
func (s *Kinetic) SoC() float64 {
	return min(1, max(0, (s.total-s.empty)*s.perSpan))
}

// Copy implements [State].
func (s *Kinetic) Copy() State {
	c := *s
	return &c
}

// Reset implements [State].
func (s *Kinetic) Reset(soc float64) {
	w := s.params.Rested(s.empty + (s.full-s.empty)*fraction(soc))
	s.available, s.total = w.AvailableAh, w.TotalAh()
	s.startWh, s.inWh, s.outWh, s.blurAh = s.total*s.volts, 0, 0, 0
}

// fraction holds x to 0 to 1; NaN is 0.
func fraction(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return min(1, x)
}

// Ledger implements [State].
func (s *Kinetic) Ledger() Ledger {
	return Ledger{
		StartWh: s.startWh, StoredWh: s.total * s.volts, InWh: s.inWh, OutWh: s.outWh,
		LostWh: s.inWh * (1 - s.efficiency),
	}
}

// prepare makes the step coefficients for a new step length; an inner loop with one length needs it once.
func (s *Kinetic) prepare(dtH float64) bool {
	if !(dtH >= shortestStepH && dtH <= longestStepH) { // also for NaN
		return false
	}
	s.at = s.params.step(dtH)
	s.perHour, s.perDrain, s.perAccepted = 1/dtH, 1/s.at.drain, 1/(s.at.drain*s.efficiency)
	return true
}

// Step implements [State].
func (s *Kinetic) Step(powerW, dtH float64) (doneW float64) {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	// Products are rounded before they are added, on machines too that could do both at once: equal on all of them.
	rest := float64(s.at.decay*s.available) + float64(s.at.mix*s.total) // available after the step without current
	switch {
	case powerW > 0:
		amps := powerW * s.perVolt
		if limit := s.dischargeLimitA(rest); amps > limit {
			amps, powerW = limit, limit*s.volts
		}
		s.available = rest - float64(s.at.drain*amps)
		if s.available < 0 { // by rounding only
			s.available = 0
		}
		s.total -= float64(s.at.hours * amps)
		if s.total < 0 {
			s.total = 0
		}
		s.outWh += float64(powerW * s.at.hours)
		return powerW
	case powerW < 0:
		amps := -powerW * s.perVolt
		if limit := s.chargeLimitA(rest); amps > limit {
			amps, powerW = limit, -limit*s.volts
		}
		amps = float64(amps * s.efficiency)
		s.available = rest + float64(s.at.drain*amps)
		if s.available > s.fullAvailable {
			s.available = s.fullAvailable
		}
		s.total += float64(s.at.hours * amps)
		if s.total > s.full {
			s.total = s.full
		}
		s.inWh -= float64(powerW * s.at.hours)
		return powerW
	}
	s.available = rest
	return 0 // nothing asked; also for NaN
}

// The limits compare with ifs: the built-in min minds NaN and signed zeros, which costs as much as the rest of a step.

func (s *Kinetic) dischargeLimitA(rest float64) float64 {
	limit := rest * s.perDrain
	if left := (s.total - s.floor) * s.perHour; limit > left {
		limit = left
	}
	if limit > s.maxDischargeA {
		limit = s.maxDischargeA
	}
	if s.cutoff != nil {
		limit = min(limit, s.cutoff.limitA((s.total-s.empty)*s.perSpan))
	}
	if limit < 0 {
		limit = 0
	}
	return limit
}

func (s *Kinetic) chargeLimitA(rest float64) float64 {
	limit := (s.fullAvailable - rest) * s.perAccepted
	if limit > s.maxChargeA {
		limit = s.maxChargeA
	}
	if limit < 0 {
		limit = 0
	}
	return limit
}

// DischargeLimitW implements [State].
func (s *Kinetic) DischargeLimitW(dtH float64) float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	return s.volts * s.dischargeLimitA(s.at.decay*s.available+s.at.mix*s.total)
}

// ChargeLimitW implements [State].
func (s *Kinetic) ChargeLimitW(dtH float64) float64 {
	if dtH != s.at.hours && !s.prepare(dtH) {
		return 0
	}
	return s.volts * s.chargeLimitA(s.at.decay*s.available+s.at.mix*s.total)
}
