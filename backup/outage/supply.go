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
	bankW            float64 // asked of the bank; below 0 it is offered
	inW, outW        float64 // at the terminals of the bank
	lossW            float64 // in the inverter and in the generator's charger
}

// flow finds where the power of the next step goes, and steps the bank.
func (s *supply) flow(demandW, pvW float64) flow {
	f := flow{demandW: demandW, pvW: pvW}
	byInverterW := demandW
	var directW, chargerW, chargeW float64 // from the generator: to the loads; into its charger and out of it
	running := s.engine != nil && s.engine.running
	if running {
		e := s.engine
		if s.off {
			byInverterW = 0
		} else if needW := s.inverter.dcW(demandW); pvW < needW {
			byInverterW *= pvW / needW // what the array carries
		}
		byInverterW = min(byInverterW, s.limitW)
		directW = min(e.maxW, demandW-byInverterW)
		byInverterW = demandW - directW
		chargerW = min(e.maxW-directW, limitW(e.ChargerW))
		chargeW = chargerW * e.ChargerEfficiency
	}
	drawW := 0.0
	if s.off {
		byInverterW = 0
	} else {
		byInverterW = min(byInverterW, s.limitW)
		drawW = s.inverter.dcW(byInverterW)
	}
	ranOut := false
	if spareW := pvW + chargeW - drawW; spareW >= 0 {
		f.bankW = -min(spareW, s.chargeW)
		f.inW = -s.bank.Step(f.bankW, s.stepH)
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
		f.bankW = -spareW
		f.outW = s.bank.Step(f.bankW, s.stepH)
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
