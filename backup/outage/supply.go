package outage

// A supply is what carries the loads in an outage: inverter, bank and generator, one step after the other.
type supply struct {
	inverter   Inverter
	limitW     float64 // that the inverter gives at most
	chargeW    float64 // that goes into the bank at most
	engine     *engine // nil: no generator
	bank       Bank
	restartSoC float64
	off        bool // the bank ran out and waits for restartSoC
	stepH      float64
	now        arrangement
}

// An arrangement is who carries what in a step, as long as the bank does its part. It depends on what is asked and offered alone, which stays the
// same for many steps.
type arrangement struct {
	demandW, pvW float64
	running, off bool // the generator; the bank
	known        bool

	byInverterW, drawW         float64 // what the inverter gives, and draws for it
	directW, chargerW, chargeW float64 // from the generator: to the loads; into its charger and out of it
}

// newSupply is a supply without its bank, in steps of stepH hours.
func newSupply(v Inverter, chargeLimitW float64, g *Generator, stepH float64) supply {
	s := supply{inverter: v, limitW: limitW(v.LimitW), chargeW: limitW(chargeLimitW), stepH: stepH}
	if g != nil {
		s.engine = newEngine(g, stepH)
	}
	return s
}

// A flow is what went where in one step, as mean powers in W. In: pvW + generatorW + outW. Out: servedW + inW + lossW.
type flow struct {
	demandW, servedW float64
	dark             bool    // not everything was carried
	pvW, curtailedW  float64 // array power used, and not used
	generatorW       float64
	inW, outW        float64 // at the terminals of the bank
	lossW            float64 // in the inverter and in the generator's charger
}

// arrange finds who carries what in the next step.
func (s *supply) arrange(demandW, pvW float64) *arrangement {
	a, running := &s.now, s.engine != nil && s.engine.running
	if a.known && a.demandW == demandW && a.pvW == pvW && a.running == running && a.off == s.off {
		return a
	}
	*a = arrangement{demandW: demandW, pvW: pvW, running: running, off: s.off, known: true, byInverterW: demandW}
	if running {
		e := s.engine
		if s.off {
			a.byInverterW = 0
		} else if needW := s.inverter.dcW(demandW); pvW < needW {
			a.byInverterW *= pvW / needW // what the array carries
		}
		a.byInverterW = min(a.byInverterW, s.limitW)
		a.directW = min(e.maxW, demandW-a.byInverterW)
		a.byInverterW = demandW - a.directW
		a.chargerW = min(e.maxW-a.directW, limitW(e.ChargerW))
		a.chargeW = a.chargerW * e.ChargerEfficiency
	}
	if s.off {
		a.byInverterW = 0
	} else {
		a.byInverterW = min(a.byInverterW, s.limitW)
		a.drawW = s.inverter.dcW(a.byInverterW)
	}
	return a
}

// spareW is what the arrangement leaves for the bank; below 0 it is what the bank has to give.
func (a *arrangement) spareW() float64 { return a.pvW + a.chargeW - a.drawW }

// flow finds where the power of the next step goes, and steps the bank.
func (s *supply) flow(demandW, pvW float64) flow {
	a := s.arrange(demandW, pvW)
	f := flow{demandW: demandW, pvW: pvW}
	byInverterW, drawW, directW, chargerW, chargeW, running := a.byInverterW, a.drawW, a.directW, a.chargerW, a.chargeW, a.running
	ranOut := false
	if spareW := a.spareW(); spareW >= 0 {
		f.inW = -s.bank.Step(-min(spareW, s.chargeW), s.stepH)
		if f.inW < spareW {
			// Sums of what was used, not offers less what was not: a little used of much offered would lose its digits.
			usedW := f.inW + drawW
			f.pvW = min(pvW, usedW)
			f.curtailedW = pvW - f.pvW
			chargeW = usedW - f.pvW
			if running {
				chargerW = chargeW / s.engine.ChargerEfficiency
			}
		}
	} else {
		f.outW = s.bank.Step(-spareW, s.stepH)
		if f.outW < -spareW*(1-shortW) {
			ranOut = true
			part := (pvW + chargeW + f.outW) / drawW // of the step
			byInverterW *= part
			drawW *= part
		}
	}
	f.servedW = directW + byInverterW
	f.generatorW = directW + chargerW
	f.lossW = drawW - byInverterW + chargerW - chargeW
	f.dark = ranOut || s.off && !running || f.servedW < demandW*(1-shortW)
	if ranOut && s.bank.SoC() < s.restartSoC {
		s.off = true
	}
	return f
}
