package facts

import (
	"cmp"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// check makes every check that the site's data allow, in the order in which a designer reads them.
func (p *Facts) check(inverter func() inverterChecks) error {
	autonomy := p.checkAutonomy() // takes longest: the others are made beside it
	alone := inverter()
	p.Checks = append(append(make([]verdict.Check, 0, p.mostChecks(len(alone.strings))), alone.carries...),
		p.checkACInput(),
		alone.balance,
		p.checkDCCurrent(),
		p.checkDCSurge(),
		p.checkWindowHigh(),
		p.checkWindowLow(),
		p.checkCutoff(),
		p.checkSag(),
		p.checkCapacity(),
		autonomy,
		p.checkChargeRate(),
		p.checkChemistry(),
		p.checkParallel(),
		p.checkTemperature(),
		p.checkAir(),
		alone.transfer,
	)
	p.Checks = append(p.Checks, alone.board...)
	if p.effort.full { // a slip never fails
		if err := p.sayStrings(); err != nil {
			return err
		}
		for _, s := range alone.slips {
			c := p.checkSlip(s)
			if text := p.slipBeyondBank(s); c.Status == verdict.Pass && !text.Empty() {
				c.Reason = phrase.Of("if used anyway, it stays within the ratings of the inverter, but the current of the bank " +
					"is higher than its limit: all backup circuits may lose power")
				p.slipsBeyond = append(p.slipsBeyond, s.held.Name)
				p.slipCautions = append(p.slipCautions, text)
			}
			p.Checks = append(p.Checks, c)
		}
	}
	p.Checks = append(p.Checks, alone.strings...)
	return alone.err
}

// mostChecks is room for the checks of a home with so many of strings of modules: those that every home has, and those
// of arrays, circuits, generator and what is held off.
func (p *Facts) mostChecks(strings int) int {
	return 32 + strings + len(p.Site.Arrays) + len(p.Site.Circuits) + len(p.HeldOff)
}

// keptFree adds to the reason of a comparison with a rating how much of it the practice keeps free.
func (p *Facts) keptFree(c verdict.Check) verdict.Check {
	if h := p.Site.Practice.Headroom; h > 0 {
		c.Reason = c.Reason.Then(phrase.Of("; %.3g %% of the rating is kept free (headroom)", 100*h))
	}
	return c
}

// OnPhase names a phase for a sentence; 0 is all of them together.
func OnPhase(phase int) phrase.Phrase {
	if phase == 0 {
		return phrase.Phrase{}
	}
	return phrase.Of(" on phase %d", phase)
}

// worstPhase compares a total with its limit and each phase with its share of it, and gives the one with the least
// left; phase is 0 for the total.
func worstPhase(total float64, phases []float64, limit float64) (demand, share float64, phase int) {
	demand, share = total, limit
	for i, v := range phases {
		if n := float64(len(phases)); n > 1 && v*n > demand*limit/share*(1+verdict.Slack) {
			demand, share, phase = v, limit/n, i+1
		}
	}
	return demand, share, phase
}

func (p *Facts) checkContinuous(id, unit string, total float64, phases []float64, limit float64,
	atMin int) verdict.Check {
	demand, limit, phase := worstPhase(total, phases, limit)
	c := verdict.AtMost(id, demand, limit, unit)
	var at phrase.Phrase
	if phase == 0 && demand > 0 {
		at = phrase.Of(" at %s", calendar.Clock(atMin))
	}
	return p.keptFree(c.Because(
		phrase.Of("simultaneous load of at most %s%s%s; the inverter is rated for %s continuously",
			wording.Amount(demand, unit), OnPhase(phase), at, wording.Amount(limit, unit)),
		phrase.Of("simultaneous load of up to %s%s%s, but the inverter is rated for only %s continuously: "+
			"leave out or move at least %s",
			wording.Amount(demand, unit), OnPhase(phase), at, wording.Amount(limit, unit),
			wording.Amount(demand-limit, unit))))
}

func (p *Facts) checkSurge() verdict.Check {
	if p.Starts.Worst < 0 {
		return verdict.AtMost("inverter-surge", 0, p.Inverter.LimitVA(), "VA").Because(wording.NothingStarts,
			wording.NothingStarts)
	}
	st := p.Starts.All[p.Starts.Worst]
	c := verdict.AtMost("inverter-surge", st.DemandVA, st.LimitVA, "VA")
	what := phrase.Of("%q starts with %s%s at %s, running load included", st.Load, wording.Amount(st.DemandVA, "VA"),
		OnPhase(st.Phase), calendar.Clock(st.AtMin))
	if of := p.Asked.InUse[st.Index].Phase; st.Phase > 0 && of > 0 && of != st.Phase {
		// Another phase has less left meanwhile than the one that the start is on.
		what = phrase.Of("while %q starts, the load is %s%s at %s", st.Load, wording.Amount(st.DemandVA, "VA"),
			OnPhase(st.Phase), calendar.Clock(st.AtMin))
	}
	return p.keptFree(c.Because(
		phrase.Of("%s; the inverter is rated for %s for %g s", what, wording.Amount(st.LimitVA, "VA"), st.Seconds),
		phrase.Of("%s, but the inverter is rated for only %s for %g s and would trip", what,
			wording.Amount(st.LimitVA, "VA"), st.Seconds)))
}

// BlockedAlone says whether the load that no order of switching on helps takes too much even with nothing else on.
func (p *Facts) BlockedAlone() bool {
	i := slices.IndexFunc(p.Asked.InUse, func(l loads.Load) bool { return l.Name == p.Starts.Restart.Blocked })
	if i < 0 {
		return false
	}
	r := loads.NewSet(p.Site.Phases, p.Asked.InUse[i:i+1]).Restart(p.Inverter.StartLimitVA)
	return !r.FitsAtOnce && len(r.Order) == 0
}

func (p *Facts) checkRestart() verdict.Check {
	r := p.Starts.Restart
	c := verdict.AtMost("inverter-restart", r.DemandVA, r.LimitVA, "VA")
	at := phrase.Of("%s%s at %s", wording.Amount(r.DemandVA, "VA"), OnPhase(r.Phase), calendar.Clock(r.TightAtMin))
	switch {
	case r.FitsAtOnce:
		c.Status = verdict.Pass
		c.Reason = phrase.Of("after an interruption all loads may start at once: %s; the inverter is rated for %s", at,
			wording.Amount(r.LimitVA, "VA"))
	case len(r.Order) > 0:
		c.Status = verdict.Caution
		c.Reason = phrase.Of("all loads at once would take %s, above the rating of %s: "+
			"switch on in the restart order, one after the other",
			at, wording.Amount(r.LimitVA, "VA"))
	case p.BlockedAlone():
		c.Status = verdict.Fail
		c.Reason = phrase.Of("all loads at once would take %s, above the rating of %s, and no order helps: "+
			"%q alone takes more than the rating",
			at, wording.Amount(r.LimitVA, "VA"), r.Blocked)
	default:
		c.Status = verdict.Fail
		c.Reason = phrase.Of("all loads at once would take %s, above the rating of %s, and no order helps: "+
			"%q cannot start while the others run",
			at, wording.Amount(r.LimitVA, "VA"), r.Blocked)
	}
	return p.keptFree(c)
}

func (p *Facts) checkPassThrough() verdict.Check {
	a, limit := p.Grid.PassThroughA, p.Inverter.PassThroughA()
	if limit == 0 {
		return verdict.Unknown("pass-through", a, "A",
			phrase.Of("pass-through current of %s to the backup board while the grid is available; "+
				"give pass_through_a of the inverter to compare",
				wording.Amount(a, "A")))
	}
	return verdict.AtMost("pass-through", a, limit, "A").Because(
		phrase.Of("while the grid is available the pass-through current is at most %s per phase, "+
			"loads that are not used in an outage included; the inverter is rated for %s",
			wording.Amount(a, "A"), wording.Amount(limit, "A")),
		phrase.Of("while the grid is available the pass-through current may be %s per phase, "+
			"but the inverter is rated for only %s: on an ordinary evening it would trip",
			wording.Amount(a, "A"), wording.Amount(limit, "A")))
}

func (p *Facts) checkACInput() verdict.Check {
	a, limit := p.Grid.InputA, p.Inverter.ACInputA()
	charger := p.Inverter.Unit.ChargerA > 0
	what := phrase.Of("backup board and charger together draw")
	if !charger {
		what = phrase.Of("the backup board alone draws")
	}
	switch {
	case limit == 0:
		return verdict.Unknown("ac-input", a, "A",
			phrase.Of("%s %s per phase from the grid; give ac_input_a of the inverter to compare", what,
				wording.Amount(a, "A")))
	case !charger && a <= limit:
		c := verdict.Unknown("ac-input", a, "A",
			phrase.Of("%s %s of %s per phase; give charger_a of the inverter to add the charger", what,
				wording.Amount(a, "A"), wording.Amount(limit, "A")))
		c.Limit, c.HasLimit, c.Margin, c.Lacks = limit, true, verdict.Share(limit-a, limit), true
		return c
	}
	c := verdict.AtMost("ac-input", a, limit, "A")
	if p.unsaid(c) {
		return c
	}
	return c.Because(
		phrase.Of("%s at most %s per phase from the grid; the ac input is rated for %s", what, wording.Amount(a, "A"),
			wording.Amount(limit, "A")),
		phrase.Of("%s up to %s per phase from the grid, but the ac input is rated for only %s: set the charger lower or move a circuit",
			what, wording.Amount(a, "A"), wording.Amount(limit, "A")))
}

// MaxImbalance is how far the phases may differ, over their mean, before a plan says so: common practice.
const MaxImbalance = 0.3

func (p *Facts) checkPhaseBalance() verdict.Check {
	phases := p.Demand.Scheduled.PhaseVA
	lo, hi, sum := math.Inf(1), 0.0, 0.0
	for _, va := range phases {
		lo, hi, sum = min(lo, va), max(hi, va), sum+va
	}
	imbalance := 0.0
	if len(phases) > 1 && sum > 0 {
		imbalance = (hi - lo) / (sum / float64(len(phases)))
	}
	c := verdict.AtMost("phase-balance", imbalance, MaxImbalance, "").AtWorst(verdict.Caution)
	if len(phases) == 1 {
		c.Reason = phrase.Of("single-phase: no phases to balance")
		return c
	}
	spread := phrase.Of("the load of the phases is from %s to %s", wording.Amount(lo, "VA"), wording.Amount(hi, "VA"))
	return c.Because(
		phrase.Of("%s, within the permitted imbalance", spread),
		phrase.Of("%s: move a circuit to the phase with the least load, or one phase reaches its limit long before the others", spread))
}

func (p *Facts) checkTransfer() verdict.Check {
	var tightest *loads.Load
	inUse := p.Asked.InUse
	for i := range inUse {
		l := &inUse[i]
		if l.RidesThroughMs == nil {
			continue
		}
		if tightest == nil || cmp.Or(cmp.Compare(*l.RidesThroughMs, *tightest.RidesThroughMs),
			cmp.Compare(l.Name, tightest.Name)) < 0 {
			tightest = l // of equal ones not that which stands first in the file
		}
	}
	transfer := p.Inverter.Unit.TransferMs
	switch {
	case tightest == nil && transfer == nil:
		return verdict.Check{ID: "transfer-time", Status: verdict.Pass, Unit: "ms",
			Reason: phrase.Of("no load on the backup board states rides_through_ms, so the transfer time has no limit to meet")}
	case tightest == nil:
		return verdict.Check{ID: "transfer-time", Status: verdict.Pass, Demand: *transfer, Unit: "ms",
			Reason: phrase.Of("transfer time %s; no load on the backup board states rides_through_ms, "+
				"and electronics are made to ride through %s",
				wording.Amount(*transfer, "ms"), wording.Amount(ToleratedMS(), "ms"))}
	case transfer == nil:
		return verdict.Unknown("transfer-time", 0, "ms",
			phrase.Of("%q rides through %s; give transfer_ms of the inverter to compare", tightest.Name,
				wording.Amount(*tightest.RidesThroughMs, "ms")))
	}
	return verdict.AtMost("transfer-time", *transfer, *tightest.RidesThroughMs, "ms").Because(
		phrase.Of("transfer time %s; %q rides through %s", wording.Amount(*transfer, "ms"), tightest.Name,
			wording.Amount(*tightest.RidesThroughMs, "ms")),
		phrase.Of("transfer time %s, but %q rides through only %s: it will restart or drop out",
			wording.Amount(*transfer, "ms"), tightest.Name, wording.Amount(*tightest.RidesThroughMs, "ms")))
}
