package backup

import (
	"context"

	"outlast/battery"
	"outlast/loads"
)

// asked is what a split of the circuits asks of any equipment. It hangs on loads, boards, phases and month alone, so that many
// inverters and banks can be set against it.
type asked struct {
	inUse, heldOff []loads.Load // on the backup board, in the month
	set            *loads.Set   // of those in use
	demand         Demand
	surges         []loads.Surge
	gridLoads      []loads.Load // all of them: what runs while the grid is there
	gridSet        *loads.Set
	grid           loads.Demand // scheduled, held-off loads included
}

// effort is how far a plan is worked out.
type effort struct {
	// full asks for all that a sheet shows. Without it only the checks that can fail are made, and what only the sheet shows
	// (probable demand, the new bank, slips) is left out.
	full bool
	// walkH ends the simulation of the bank.
	walkH float64
}

// complete is the effort for a plan that somebody reads.
var complete = effort{full: true, walkH: longestWalkH}

// trial is the effort for a candidate: whether it passes. A bank that lasts as long as is asked for need not be followed further.
func trial(s *Site) effort { return effort{walkH: s.Outage.AutonomyH} }

// shared is what the plans of one home have in common however its circuits are split and whatever serves them: splits and
// equipment are tried by the thousand. A change of the loads themselves wants a new one.
type shared struct {
	ctx      context.Context             // ends all that takes long
	breakers []breakerCurrent            // by circuit; nil: not worked out yet
	fits     map[string]*battery.WellFit // by unit
	currents map[string]circuitCurrent   // by circuit
}

func newShared(ctx context.Context) *shared {
	return &shared{ctx: ctx, fits: map[string]*battery.WellFit{}, currents: map[string]circuitCurrent{}}
}

// ask works out what the backup circuits of a site ask for. Its month is set, and its circuits all have a board and a phase.
func (sh *shared) ask(s *Site, e effort) (*asked, error) {
	if err := sh.ctx.Err(); err != nil {
		return nil, err
	}
	onBackup := loads.InMonth(s.OnBoard(loads.BoardBackup), s.Outage.Month)
	a := &asked{inUse: InUse(onBackup)}
	for _, l := range onBackup {
		if l.HeldOff {
			a.heldOff = append(a.heldOff, l)
		}
	}
	a.set = loads.NewSet(s.Phases, a.inUse)
	d := &a.demand
	d.Connected, d.Scheduled = a.set.Connected(), a.set.Scheduled()
	d.EnergyWhPerDay, d.Profile = a.set.EnergyWhPerDay(), a.set.Profile()
	a.surges = a.set.Surges()
	a.gridLoads, a.gridSet, a.grid = onBackup, a.set, d.Scheduled
	if len(a.heldOff) > 0 {
		a.gridSet = loads.NewSet(s.Phases, onBackup)
		a.grid = a.gridSet.Scheduled()
	}
	if !e.full {
		return a, nil
	}
	var err error
	d.ProbableW, err = a.set.Probable(s.Practice.Confidence)
	return a, err
}

// fit is the kinetic model of a unit, fitted once; nil for lithium, or where none fits: the model then says why.
func (sh *shared) fit(u battery.Unit) *battery.WellFit {
	if !u.Chemistry.LeadAcid() {
		return nil
	}
	f, known := sh.fits[u.ID]
	if !known {
		if made, err := u.Wells(); err == nil {
			f = &made
		}
		sh.fits[u.ID] = f
	}
	return f
}
