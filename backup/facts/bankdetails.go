package facts

import (
	"fmt"

	"outlast/backup/fault"
	"outlast/battery"
)

// BankDetails is what an electrician and a careful owner want to know of the installed bank beyond its size.
type BankDetails struct {
	Stages  []StageVolts // those that the bank has, absorption first
	Charge  ChargeRange
	Charges []ChargeTime // by what charges it; empty: nothing is known that does
	Starts  []DownTo     // in the order of the plan's starts

	// RestV and LoadedV are at the lowest charge of the plan, in the cold: at rest, and under everything that runs at
	// once. HasLoaded false: it is not known how far they fall. Carries false: it cannot give so much power.
	RestV, LoadedV     float64
	HasLoaded, Carries bool

	// ResistanceOhm is of the full bank at 25 C, ColdOhm at the lowest charge in the cold; 0: the unit's is not given.
	ResistanceOhm, ColdOhm float64
	Fault                  battery.FaultCurrent // at the terminals, links and cables left out
	HasFault               bool

	Cycles        float64 // full cycles to the planned depth, in the laboratory
	HasCycles     bool
	CyclesBeyond  bool    // beyond the points of the unit's table
	CalendarShare float64 // of the years at 25 C, if it stood at hottest_c all the time

	Frost   *Frost           // lead-acid with acid that is liquid; else nil
	Kinetic *battery.WellFit // lead-acid: the model of one unit; else nil
	Cross   *CrossCheck      // lead-acid; else nil
}

// StageVolts is one voltage of charging, in V of the bank, at three temperatures of the battery.
type StageVolts struct {
	Stage                      battery.Stage
	Name                       string
	At25, AtColdest, AtHottest float64
}

// stageNames are the stages in the order in which they are told. A charger that does not equalise is given no voltage
// for it: whoever reads a figure may enter it.
var stageNames = []struct {
	stage battery.Stage
	name  string
}{{battery.Absorption, "absorption"}, {battery.Float, "float"}, {battery.Equalise, "equalise"}}

// details works them out for the plan that is read, not for every candidate of a search.
func (p *Facts) details() error {
	s, b, d := p.Site, p.Bank.Bank, &p.Details
	for _, n := range stageNames {
		if b.StageV(n.stage, RatingC) > 0 && (n.stage != battery.Equalise || p.Inverter.Unit.Equalises) {
			d.Stages = append(d.Stages, StageVolts{n.stage, n.name, b.StageV(n.stage, RatingC),
				b.StageV(n.stage, s.ColdestC), b.StageV(n.stage, s.HottestC)})
		}
	}
	for _, st := range p.Starts.All {
		d.Starts = append(d.Starts, p.downTo(st))
	}
	floor := p.FloorSoC()
	d.RestV = b.SourceV(floor, s.ColdestC)
	d.LoadedV, d.Carries = b.PowerV(p.Inverter.DCPower(p.Demand.Scheduled.W), floor, s.ColdestC)
	d.HasLoaded = p.Sags()
	d.ResistanceOhm, d.ColdOhm = b.ResistanceOhm(), b.ResistanceOhmAt(floor, s.ColdestC)
	d.Fault, d.HasFault = b.ShortCircuit()
	d.Cycles, d.CyclesBeyond, d.HasCycles = b.Unit.CycleLife(p.Bank.DoD)
	// A life of one year on float gives the share.
	life, err := b.Unit.Life(0, p.Bank.DoD, 1, s.HottestC)
	if err != nil {
		return fmt.Errorf("the life of the bank cannot be worked out: %w", fault.Reason(err))
	}
	d.CalendarShare = life.CalendarYears
	if frost, ok := p.frost(); ok {
		d.Frost = &frost
	}
	d.Kinetic = p.Shared.fit(b.Unit)
	if err := p.charging(); err != nil {
		return err
	}
	p.crossCheck()
	return nil
}

// RatingC is the temperature for which data sheets give volts and Ah.
const RatingC = 25
