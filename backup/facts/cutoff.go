package facts

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// setCutoff decides the low-voltage cut-off, at which the inverters are set to let go of the bank, and the lowest
// charge of the plan. Sheets, checks and simulation all read them there.
//
// The cut-off is the lowest voltage in use of the bank or of the inverter, whichever is higher, in tenths of a volt as
// inverters take it. The percentage of charge governs: the lowest charge is the planned depth or, where everything that
// runs at once would pull the bank below the cut-off before, the one at which it just does not, so that the cut-off
// always comes last. Where not even a full bank stays above it, the planned depth stands and nothing can be taken.
func (p *Facts) setCutoff() {
	b := &p.Bank
	b.CutoffV = math.Ceil(max(b.MinV(), p.Inverter.Unit.DCMinV)*10-verdict.Slack) / 10
	var ok bool
	p.floored = floored{}
	b.FloorSoC, ok = p.floorUnder(b.Bank, p.Demand.Scheduled.W)
	p.floored = floored{b.Series, b.Strings, p.Demand.Scheduled.W, b.FloorSoC, ok}
	if !ok {
		b.FloorSoC, b.NeverAbove = 1-b.DoD, true
	}
}

// floored is what floorUnder found for the installed bank under all that may run: models of it ask again.
type floored struct {
	series, strings int
	peakW, soc      float64
	ok              bool
}

// floorUnder is the lowest charge of a bank of the plan's units for loads of which so many watts run at once at most,
// in hundredths where the cut-off decides it; ok is false where not even a full bank carries them above the cut-off.
func (p *Facts) floorUnder(b battery.Bank, peakW float64) (soc float64, ok bool) {
	if f := p.floored; f.strings > 0 && f.series == b.Series && f.strings == b.Strings && f.peakW == peakW {
		return f.soc, f.ok
	}
	planned, dcW := 1-p.Bank.DoD, p.Inverter.DCPower(peakW)
	if !p.Sags() || p.carriesAbove(b, dcW, planned) {
		return planned, true
	}
	soc, ok = b.LowestLoadedSoC(dcW, p.Bank.CutoffV*(1-verdict.Slack), p.Site.ColdestC)
	if !ok {
		return 1, false
	}
	// What was found lies at most a thousandth above the border.
	hundredth := math.Floor(soc*100) / 100
	if !p.carriesAbove(b, dcW, hundredth) {
		hundredth = min(1, hundredth+0.01)
	}
	return max(planned, hundredth), true
}

// DepthUnder is the depth of discharge for such loads, never less than a battery is modelled with.
func (p *Facts) DepthUnder(b battery.Bank, peakW float64) float64 {
	const least = 0.01
	if floor, _ := p.floorUnder(b, peakW); floor > 1-p.Bank.DoD {
		return max(least, 1-floor)
	}
	return p.Bank.DoD
}

// Sags says whether it is known how far the bank's volts fall under load: for lithium always, else with its resistance.
func (p *Facts) Sags() bool {
	return !p.Site.Unit.Chemistry.LeadAcid() || p.Site.Unit.ResistanceMohm > 0
}

// carriesAbove says whether a bank gives a power at a state of charge, in the cold, without falling below the cut-off.
func (p *Facts) carriesAbove(b battery.Bank, powerW, soc float64) bool {
	v, ok := b.PowerV(powerW, soc, p.Site.ColdestC)
	return ok && v >= p.Bank.CutoffV*(1-verdict.Slack)
}

// FloorSoC is the lowest state of charge of the plan.
func (p *Facts) FloorSoC() float64 { return p.Bank.FloorSoC }

// Depth is the depth of discharge down to the lowest charge of the plan.
func (p *Facts) Depth() float64 {
	if p.Raised() {
		return 1 - p.Bank.FloorSoC
	}
	return p.Bank.DoD
}

// Raised says whether the cut-off keeps the plan from the depth that it might go to.
func (p *Facts) Raised() bool { return p.Bank.FloorSoC > 1-p.Bank.DoD }

// UsableShare is the share of the capacity that an outage may take.
func (p *Facts) UsableShare() float64 {
	if p.Raised() {
		return max(0, p.Site.Outage.Reserve-p.Bank.FloorSoC)
	}
	return p.Bank.Sizing.UsableFraction
}

// checkCutoff compares the volts that everything running at once leaves at the planned depth with the low-voltage
// cut-off.
func (p *Facts) checkCutoff() verdict.Check {
	const id = "dc-cutoff"
	b := p.Bank
	planned, limit := 1-b.DoD, b.CutoffV
	if !p.Sags() {
		return verdict.Unknown(id, 0, "V",
			phrase.Of("the low-voltage cut-off is %.1f V; give resistance_mohm of the battery to work out its "+
				"voltage at full simultaneous load", limit))
	}
	v, _ := b.PowerV(p.Inverter.DCPower(p.Demand.Scheduled.W), planned, p.Site.ColdestC)
	c := verdict.AtLeast(id, v, limit, "V")
	if p.unsaid(c) {
		return c
	}
	volts, cutoff := wording.Tenths(v, limit)
	what := phrase.Of("at a state of charge of %.0f %% the voltage of the bank at full simultaneous load is %s V at %s",
		100*planned, volts, wording.Amount(p.Site.ColdestC, "C"))
	switch {
	case c.Status == verdict.Pass:
		c.Reason = phrase.Of("%s, above the low-voltage cut-off of %s V", what, cutoff)
	case b.NeverAbove:
		c.Reason = phrase.Of("%s, and not even a full bank stays above the low-voltage cut-off of %s V", what, cutoff)
	default:
		c.Status = verdict.Caution
		c.Reason = phrase.Of("%s, below the low-voltage cut-off of %s V: the plan ends at %.0f %% instead", what,
			cutoff, 100*b.FloorSoC)
	}
	return c
}
