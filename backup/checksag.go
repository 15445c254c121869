package backup

import "fmt"

// floorSoC is the lowest state of charge that the plan allows.
func (p *Plan) floorSoC() float64 { return 1 - p.Bank.DoD }

// sagV is the voltage of the bank at the floor, in the cold, while a load starts: the volts at rest less current times resistance.
// The current is the one at the lowest voltage, a little more than really flows: the safe side.
func (p *Plan) sagV(st Start) float64 {
	floor, cold := p.floorSoC(), p.Site.ColdestC
	return max(0, p.Bank.SourceV(floor, cold)-p.dcStartA(st)*p.Bank.ResistanceOhmAt(floor, cold))
}

// checkSag compares the voltage of the almost empty bank, while each start pulls on it, with the lowest voltage at which the
// inverter runs; the lowest of them is reported.
func (p *Plan) checkSag() Check {
	const id = "surge-sag"
	switch {
	case p.Starts.Worst < 0:
		return Check{ID: id, Status: Pass, Unit: "V", Reason: "nothing on the backup board starts harder than it runs"}
	case p.Bank.Unit.ResistanceMohm == 0:
		return unknown(id, 0, "V", "give resistance_mohm of the battery to see how far its voltage falls while something starts")
	}
	lowest := p.Starts.All[0]
	for _, st := range p.Starts.All {
		if p.sagV(st) < p.sagV(lowest) {
			lowest = st
		}
	}
	v, limit := p.sagV(lowest), p.Inverter.Unit.DCMinV
	what := fmt.Sprintf("with %.0f %% of charge left the start of %q pulls the bank down to %.1f V", 100*p.floorSoC(), lowest.Load, v)
	works := "; it would not work from a full bank either"
	if soc, ok := p.lowestSoC(lowest); ok {
		works = fmt.Sprintf("; it works down to a charge of %.0f %%", 100*soc)
	}
	return atLeast(id, v, limit, "V").because(
		fmt.Sprintf("%s; the inverter runs down to %g V", what, limit),
		fmt.Sprintf("%s, but the inverter switches off below %g V%s", what, limit, works))
}

// lowestSoC is the lowest state of charge at which a start still works, or ok false when not even a full bank starts it. It is
// only known where the resistance of the battery is given.
func (p *Plan) lowestSoC(st Start) (soc float64, ok bool) {
	return p.Bank.LowestStartSoC(p.Inverter.DCPower(st.MaxW), p.Inverter.Unit.DCMinV, p.Site.ColdestC)
}
