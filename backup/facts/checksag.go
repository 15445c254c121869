package facts

import (
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// DownTo is the lowest state of charge at which a start still works, in the cold: where the bank gives its power
// without sagging below the low-voltage cut-off.
type DownTo struct {
	Known bool    // false: the resistance of the battery is not given
	Works bool    // false: not even a full bank starts it
	SoC   float64 // 0 to 1, to a thousandth

	FloorV float64 // of the bank at the lowest charge that the plan allows, while the load starts
}

// StartDCW is what the inverters draw from the bank while a load starts, at its worst minute for watts.
func (p *Facts) StartDCW(st Start) float64 { return p.Inverter.DCPower(st.MaxW) }

// RunningDCW is what the inverters draw from the bank for long before a load starts: no more than everything that runs
// at once.
func (p *Facts) RunningDCW(st Start) float64 {
	return p.Inverter.DCPower(min(st.MaxW, p.Demand.Scheduled.W))
}

// behindV is the volts at the floor, in the cold, from which a start pulls the bank down by its resistance: those at
// rest, or what the running loads leave of them where the resistance does not tell all of their fall; 0 where it does
// not even carry those.
func (p *Facts) behindV(st Start) float64 {
	v, ok := p.Bank.BehindV(p.RunningDCW(st), p.FloorSoC(), p.Site.ColdestC)
	if !ok {
		return 0
	}
	return v
}

// sagV is the voltage of the bank at the floor, in the cold, while a load starts: the volts before less current times
// resistance. The current is the one at the lowest voltage in use, a little more than really flows as long as the bank
// stays above that.
func (p *Facts) sagV(st Start) float64 {
	return max(0, p.behindV(st)-p.DCStartA(st)*p.Bank.ResistanceOhmAt(p.FloorSoC(), p.Site.ColdestC))
}

// checkSag compares the voltage of the bank at its lowest planned charge, while each start pulls on it, with the
// low-voltage cut-off; the lowest of them is reported. Inverters wait some seconds with the cut-off; that they do so
// long enough is not counted on.
func (p *Facts) checkSag() verdict.Check {
	const id = "surge-sag"
	switch {
	case p.Starts.Worst < 0:
		return verdict.Check{ID: id, Status: verdict.Pass, Unit: "V", Reason: wording.NothingStarts}
	case p.Bank.Unit.ResistanceMohm == 0:
		return verdict.Unknown(id, 0, "V",
			phrase.Of("give resistance_mohm of the battery to work out its voltage dip during a start"))
	}
	starts := p.hardestFirst()
	lowest, v := starts[0], p.sagV(starts[0])
	for _, st := range starts[1:] {
		// Where several pull it down to nothing, the one that asks for most.
		if stV := p.sagV(st); stV < v || stV == 0 && p.DCStartA(st) > p.DCStartA(lowest) {
			lowest, v = st, stV
		}
	}
	limit := p.Bank.CutoffV
	c := verdict.AtLeast(id, v, limit, "V")
	if p.unsaid(c) {
		return c
	}
	volts, cutoff := wording.Tenths(v, limit)
	what := phrase.Of("at a state of charge of %.0f %% the start of %q lowers the bank voltage to %s V",
		100*p.FloorSoC(), lowest.Load, volts)
	works := phrase.Of("the start would not be possible from a full bank either")
	if down := p.downTo(lowest); down.Works {
		works = phrase.Of("the start is possible down to a state of charge of %.0f %%", 100*down.SoC)
	}
	return c.Because(
		phrase.Of("%s; the low-voltage cut-off is %s V", what, cutoff),
		phrase.Of("%s, below the low-voltage cut-off of %s V; %s", what, cutoff, works))
}

// downTo works out how empty the bank may be for a start.
func (p *Facts) downTo(st Start) DownTo {
	if p.Bank.Unit.ResistanceMohm == 0 {
		return DownTo{}
	}
	soc, ok := p.Bank.LowestStartSoC(p.RunningDCW(st), p.StartDCW(st), p.Bank.CutoffV*(1-verdict.Slack),
		p.Site.ColdestC)
	return DownTo{Known: true, Works: ok, SoC: soc, FloorV: p.sagV(st)}
}
