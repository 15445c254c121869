package backup

import (
	"cmp"
	"math"

	"outlast/backup/phrase"
	"outlast/loads"
)

// check makes every check that the site's data allow, in the order in which a designer reads them.
func (p *Facts) check() error {
	p.Checks = append(p.Checks,
		p.checkContinuous("inverter-continuous", "VA", p.Demand.Scheduled.VA, p.Demand.Scheduled.PhaseVA, p.Inverter.LimitVA(), p.Demand.Scheduled.VAAtMin),
		p.checkContinuous("inverter-continuous-w", "W", p.Demand.Scheduled.W, p.Demand.Scheduled.PhaseW, p.Inverter.LimitW(), p.Demand.Scheduled.AtMin),
		p.checkSurge(),
		p.checkRestart(),
		p.checkPassThrough(),
		p.checkACInput(),
		p.checkPhaseBalance(),
		p.checkDCCurrent(),
		p.checkDCSurge(),
		p.checkWindowHigh(),
		p.checkWindowLow(),
		p.checkCutoff(),
		p.checkSag(),
		p.checkCapacity(),
		p.checkAutonomy(),
		p.checkChargeRate(),
		p.checkChemistry(),
		p.checkParallel(),
		p.checkTemperature(),
		p.checkAir(),
		p.checkTransfer(),
		p.checkWays(),
		p.checkBreakers(),
	)
	if p.effort.full { // a slip never fails
		p.sayStrings()
		for _, s := range p.slips() {
			p.Checks = append(p.Checks, p.checkSlip(s))
		}
	}
	strings, err := p.checkStrings()
	p.Checks = append(p.Checks, strings...)
	return err
}

// keptFree adds to the reason of a comparison with a rating how much of it the practice keeps free.
func (p *Facts) keptFree(c Check) Check {
	if h := p.Site.Practice.Headroom; h > 0 {
		c.Reason = c.Reason.Then(phrase.Of("; %.3g %% of the rating is kept free (headroom)", 100*h))
	}
	return c
}

// onPhase names a phase for a sentence; 0 is all of them together.
func onPhase(phase int) phrase.Phrase {
	if phase == 0 {
		return phrase.Phrase{}
	}
	return phrase.Of(" on phase %d", phase)
}

// worstPhase compares a total with its limit and each phase with its share of it, and gives the one with the least left;
// phase is 0 for the total.
func worstPhase(total float64, phases []float64, limit float64) (demand, share float64, phase int) {
	demand, share = total, limit
	for i, v := range phases {
		if n := float64(len(phases)); n > 1 && v*n > demand*limit/share*(1+slack) {
			demand, share, phase = v, limit/n, i+1
		}
	}
	return demand, share, phase
}

func (p *Facts) checkContinuous(id, unit string, total float64, phases []float64, limit float64, atMin int) Check {
	demand, limit, phase := worstPhase(total, phases, limit)
	c := atMost(id, demand, limit, unit)
	var at phrase.Phrase
	if phase == 0 && demand > 0 {
		at = phrase.Of(" at %s", Clock(atMin))
	}
	return p.keptFree(c.because(
		phrase.Of("simultaneous load of at most %s%s%s; the inverter is rated for %s continuously", Amount(demand, unit), onPhase(phase), at, Amount(limit, unit)),
		phrase.Of("simultaneous load of up to %s%s%s, but the inverter is rated for only %s continuously: leave out or move at least %s", Amount(demand, unit), onPhase(phase), at, Amount(limit, unit), Amount(demand-limit, unit))))
}

// nothingStarts is the reason of every check of starts where there are none.
var nothingStarts = phrase.Of("no load on the backup board starts with more than its running power")

func (p *Facts) checkSurge() Check {
	if p.Starts.Worst < 0 {
		return atMost("inverter-surge", 0, p.Inverter.LimitVA(), "VA").because(nothingStarts, nothingStarts)
	}
	st := p.Starts.All[p.Starts.Worst]
	c := atMost("inverter-surge", st.DemandVA, st.LimitVA, "VA")
	what := phrase.Of("%q starts with %s%s at %s, running load included", st.Load, Amount(st.DemandVA, "VA"), onPhase(st.Phase), Clock(st.AtMin))
	return p.keptFree(c.because(
		phrase.Of("%s; the inverter is rated for %s for %g s", what, Amount(st.LimitVA, "VA"), st.Seconds),
		phrase.Of("%s, but the inverter is rated for only %s for %g s and would trip", what, Amount(st.LimitVA, "VA"), st.Seconds)))
}

func (p *Facts) checkRestart() Check {
	r := p.Starts.Restart
	c := atMost("inverter-restart", r.DemandVA, r.LimitVA, "VA")
	at := phrase.Of("%s%s at %s", Amount(r.DemandVA, "VA"), onPhase(r.Phase), Clock(r.TightAtMin))
	switch {
	case r.FitsAtOnce:
		c.Status = Pass
		c.Reason = phrase.Of("after an interruption all loads may start at once: %s; the inverter is rated for %s", at, Amount(r.LimitVA, "VA"))
	case len(r.Order) > 0:
		c.Status = Caution
		c.Reason = phrase.Of("all loads at once would take %s, above the rating of %s: switch on in the restart order, one after the other", at, Amount(r.LimitVA, "VA"))
	default:
		c.Status = Fail
		c.Reason = phrase.Of("all loads at once would take %s, above the rating of %s, and no order helps: %q cannot start while the others run", at, Amount(r.LimitVA, "VA"), r.Blocked)
	}
	return p.keptFree(c)
}

func (p *Facts) checkPassThrough() Check {
	a, limit := p.Grid.PassThroughA, p.Inverter.PassThroughA()
	if limit == 0 {
		return unknown("pass-through", a, "A", phrase.Of("pass-through current of %s to the backup board while the grid is available; give pass_through_a of the inverter to compare", Amount(a, "A")))
	}
	return atMost("pass-through", a, limit, "A").because(
		phrase.Of("while the grid is available the pass-through current is at most %s per phase, held-off loads included; the inverter is rated for %s", Amount(a, "A"), Amount(limit, "A")),
		phrase.Of("while the grid is available the pass-through current may be %s per phase, but the inverter is rated for only %s: on an ordinary evening it would trip", Amount(a, "A"), Amount(limit, "A")))
}

func (p *Facts) checkACInput() Check {
	a, limit := p.Grid.InputA, p.Inverter.ACInputA()
	charger := p.Inverter.Unit.ChargerA > 0
	known := a
	what := phrase.Of("backup board and charger together draw")
	if !charger {
		what = phrase.Of("the backup board alone draws")
	}
	switch {
	case limit == 0:
		return unknown("ac-input", a, "A", phrase.Of("%s %s per phase from the grid; give ac_input_a of the inverter to compare", what, Amount(a, "A")))
	case !charger && known <= limit:
		c := unknown("ac-input", a, "A", phrase.Of("%s %s of %s per phase; give charger_a of the inverter to add the charger", what, Amount(a, "A"), Amount(limit, "A")))
		c.Limit, c.HasLimit, c.Margin = limit, true, share(limit-a, limit)
		return c
	}
	return atMost("ac-input", a, limit, "A").because(
		phrase.Of("%s at most %s per phase from the grid; the ac input is rated for %s", what, Amount(a, "A"), Amount(limit, "A")),
		phrase.Of("%s up to %s per phase from the grid, but the ac input is rated for only %s: set the charger lower or move a circuit", what, Amount(a, "A"), Amount(limit, "A")))
}

// maxImbalance is how far the phases may differ, over their mean, before a plan says so: common practice.
const maxImbalance = 0.3

func (p *Facts) checkPhaseBalance() Check {
	phases := p.Demand.Scheduled.PhaseVA
	lo, hi, sum := math.Inf(1), 0.0, 0.0
	for _, va := range phases {
		lo, hi, sum = min(lo, va), max(hi, va), sum+va
	}
	imbalance := 0.0
	if len(phases) > 1 && sum > 0 {
		imbalance = (hi - lo) / (sum / float64(len(phases)))
	}
	c := atMost("phase-balance", imbalance, maxImbalance, "").atWorst(Caution)
	if len(phases) == 1 {
		c.Reason = phrase.Of("single-phase: no phases to balance")
		return c
	}
	spread := phrase.Of("the load of the phases is from %s to %s", Amount(lo, "VA"), Amount(hi, "VA"))
	return c.because(
		phrase.Of("%s, within the permitted imbalance", spread),
		phrase.Of("%s: move a circuit to the phase with the least load, or one phase reaches its limit long before the others", spread))
}

func (p *Facts) checkTransfer() Check {
	var tightest *loads.Load
	for _, l := range p.inOutage() {
		if l.RidesThroughMs == nil {
			continue
		}
		if tightest == nil || cmp.Or(cmp.Compare(*l.RidesThroughMs, *tightest.RidesThroughMs), cmp.Compare(l.Name, tightest.Name)) < 0 {
			tightest = &l // of equal ones not that which stands first in the file
		}
	}
	transfer := p.Inverter.Unit.TransferMs
	switch {
	case tightest == nil && transfer == nil:
		return Check{ID: "transfer-time", Status: Pass, Unit: "ms", Reason: phrase.Of("no load on the backup board states rides_through_ms, so the transfer time has no limit to meet")}
	case tightest == nil:
		return Check{ID: "transfer-time", Status: Pass, Demand: *transfer, Unit: "ms",
			Reason: phrase.Of("transfer time %s; no load on the backup board states rides_through_ms, and electronics are made to ride through %s", Amount(*transfer, "ms"), Amount(toleratedMS(), "ms"))}
	case transfer == nil:
		return unknown("transfer-time", 0, "ms", phrase.Of("%q rides through %s; give transfer_ms of the inverter to compare", tightest.Name, Amount(*tightest.RidesThroughMs, "ms")))
	}
	return atMost("transfer-time", *transfer, *tightest.RidesThroughMs, "ms").because(
		phrase.Of("transfer time %s; %q rides through %s", Amount(*transfer, "ms"), tightest.Name, Amount(*tightest.RidesThroughMs, "ms")),
		phrase.Of("transfer time %s, but %q rides through only %s: it will restart or drop out", Amount(*transfer, "ms"), tightest.Name, Amount(*tightest.RidesThroughMs, "ms")))
}
