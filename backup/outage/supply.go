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
	w := s.wants(demandW, pvW)
	f := s.follow(w, s.bank.Step(w.bankW, s.stepH))
	if f.ranOut && s.bank.SoC() < s.restartSoC {
		s.off = true
	}
	return f.flow
}

// A want is what a step asks of the bank, and of what.
type want struct {
	demandW, pvW, bankW         float64
	spareW                      float64 // what the bank is offered; below 0 it is asked of it
	byInverterW, directW, drawW float64 // loads by the inverter, and by the generator; what the inverter draws
	chargerW, chargeW           float64 // into the generator's charger and out of it
	running                     bool
}

// wants finds what the next step asks of the bank.
func (s *supply) wants(demandW, pvW float64) want {
	w := want{demandW: demandW, pvW: pvW, byInverterW: demandW, running: s.engine != nil && s.engine.running}
	if w.running {
		e := s.engine
		if s.off {
			w.byInverterW = 0
		} else if needW := s.inverter.dcW(demandW); pvW < needW {
			w.byInverterW *= pvW / needW // what the array carries
		}
		w.byInverterW = min(w.byInverterW, s.limitW)
		w.directW = min(e.loadsW, demandW-w.byInverterW)
		w.byInverterW = demandW - w.directW
		w.chargerW = e.ChargingW(w.directW)
		w.chargeW = float64(w.chargerW * e.ChargerEfficiency)
	}
	if s.off {
		w.byInverterW = 0
	} else {
		w.byInverterW = min(w.byInverterW, s.limitW)
		w.drawW = s.inverter.dcW(w.byInverterW)
	}
	w.spareW = pvW + w.chargeW - w.drawW
	w.bankW = -w.spareW
	if w.spareW >= 0 {
		w.bankW = -min(w.spareW, s.chargeW)
	}
	return w
}

// A followed step is a flow, and whether the bank ran out in it.
type followed struct {
	flow
	ranOut bool
}

// follow finds where the power goes in a step of which the bank did doneW.
func (s *supply) follow(w want, doneW float64) (f followed) {
	f.flow = flow{demandW: w.demandW, pvW: w.pvW, bankW: w.bankW}
	if w.spareW >= 0 {
		f.inW = -doneW
		if f.inW < w.spareW {
			// Sums of what was used, not offers less what was not: a little used of much offered would lose its digits.
			usedW := f.inW + w.drawW
			f.pvW = min(w.pvW, usedW)
			f.curtailedW = w.pvW - f.pvW
			w.chargeW = usedW - f.pvW
			if w.running {
				w.chargerW = w.chargeW / s.engine.ChargerEfficiency
			}
		}
	} else {
		f.outW = doneW
		if f.outW < -w.spareW*(1-shortW) {
			f.ranOut = true
			part := (w.pvW + w.chargeW + f.outW) / w.drawW // of the step
			w.byInverterW *= part
			w.drawW *= part
		}
	}
	f.servedW = w.directW + w.byInverterW
	f.generatorW = w.directW + w.chargerW
	f.lossW = w.drawW - w.byInverterW + w.chargerW - w.chargeW
	f.dark = f.ranOut || s.off && !w.running || f.servedW < w.demandW*(1-shortW)
	return f
}
