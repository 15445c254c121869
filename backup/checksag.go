package backup

import (
	"outlast/backup/phrase"
)

// DownTo is the lowest state of charge at which a start still works, in the cold: where the bank gives its power without sagging below
// the lowest voltage at which the inverter runs.
type DownTo struct {
	Known bool    // false: the resistance of the battery is not given
	Works bool    // false: not even a full bank starts it
	SoC   float64 // 0 to 1, to a thousandth

	FloorV float64 // of the bank at the lowest charge that the plan allows, while the load starts
}

// floorSoC is the lowest state of charge that the plan allows.
func (p *Plan) floorSoC() float64 { return 1 - p.Bank.DoD }

// startDCW is what the inverters draw from the bank while a load starts, at its worst minute for watts.
func (p *Plan) startDCW(st Start) float64 { return p.Inverter.DCPower(st.MaxW) }

// sagV is the voltage of the bank at the floor, in the cold, while a load starts: the volts at rest less current times resistance.
// The current is the one at the lowest voltage in use, a little more than really flows as long as the bank stays above that.
func (p *Plan) sagV(st Start) float64 {
	floor, cold := p.floorSoC(), p.Site.ColdestC
	return max(0, p.Bank.SourceV(floor, cold)-p.dcStartA(st)*p.Bank.ResistanceOhmAt(floor, cold))
}

// holdsAtFloor asks the same with the current that the power draws from the sagging voltage: more than sagV counts with where the bank
// is pulled below its lowest voltage in use.
func (p *Plan) holdsAtFloor(st Start) bool {
	v, ok := p.Bank.StartV(p.startDCW(st), p.floorSoC(), p.Site.ColdestC)
	return ok && v >= p.Inverter.Unit.DCMinV*(1-slack)
}

// checkSag compares the voltage of the almost empty bank, while each start pulls on it, with the lowest voltage at which the
// inverter runs; the lowest of them is reported.
func (p *Plan) checkSag() Check {
	const id = "surge-sag"
	switch {
	case p.Starts.Worst < 0:
		return Check{ID: id, Status: Pass, Unit: "V", Reason: nothingStarts}
	case p.Bank.Unit.ResistanceMohm == 0:
		return unknown(id, 0, "V", phrase.Of("give resistance_mohm of the battery to see how far its voltage falls while something starts"))
	}
	starts := p.hardestFirst()
	lowest := starts[0]
	for _, st := range starts {
		// Where several pull it down to nothing, the one that asks for most.
		if v := p.sagV(st); v < p.sagV(lowest) || v == 0 && p.dcStartA(st) > p.dcStartA(lowest) {
			lowest = st
		}
	}
	v, limit := p.sagV(lowest), p.Inverter.Unit.DCMinV
	what := phrase.Of("with %.0f %% of charge left the start of %q pulls the bank down to %.1f V", 100*p.floorSoC(), lowest.Load, v)
	works := phrase.Of("it would not work from a full bank either")
	if down := p.downTo(lowest); down.Works {
		works = phrase.Of("it works down to a charge of %.0f %%", 100*down.SoC)
	}
	c := atLeast(id, v, limit, "V").because(
		phrase.Of("%s; the inverter runs down to %g V", what, limit),
		phrase.Of("%s, but the inverter switches off below %g V; %s", what, limit, works))
	if c.Status == Pass && !p.holdsAtFloor(lowest) {
		c.Status = Caution
		c.Reason = c.Reason.Then(phrase.Of(", but counted with the current at the sagging voltage %s", works))
	}
	return c
}

// downTo works out how empty the bank may be for a start.
func (p *Plan) downTo(st Start) DownTo {
	if p.Bank.Unit.ResistanceMohm == 0 {
		return DownTo{}
	}
	soc, ok := p.Bank.LowestStartSoC(p.startDCW(st), p.Inverter.Unit.DCMinV, p.Site.ColdestC)
	return DownTo{Known: true, Works: ok, SoC: soc, FloorV: p.sagV(st)}
}
