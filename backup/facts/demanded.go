package facts

import (
	"context"

	"outlast/backup/conductors"
	"outlast/backup/generator"
	"outlast/backup/site"
	"outlast/battery"
	"outlast/loads"
)

// Asked is what a split of the circuits asks of any equipment. It depends on loads, boards, phases and month alone, so that many
// inverters and banks can be set against it.
type Asked struct {
	InUse, heldOff []loads.Load // on the backup board, in the month
	set            *loads.Set   // of those in use
	demand         Demand
	surges         []loads.Surge
	gridLoads      []loads.Load // all of them: what runs while the grid is there
	gridSet        *loads.Set
	grid           loads.Demand // scheduled, held-off loads included
}

// Effort is how far a plan is worked out.
type Effort struct {
	// full asks for all that a sheet shows. Without it only the checks that can fail are made, and what only the sheet shows
	// (probable demand, the new bank, slips) is left out.
	full bool
	// WalkH ends the simulation of the bank.
	WalkH float64
	// Enough says, of facts whose other checks are made, that these settle the matter: those of conductors and generator, which cost most,
	// are then not made. nil: it never does.
	Enough func(*Facts) bool
	// Runs is when the generator runs, where that is set already; nil: it is decided.
	Runs *generator.Runs
}

// complete is the effort for a plan that somebody reads.
var complete = Effort{full: true, WalkH: LongestWalkH}

// Trial is the effort for a candidate: whether it passes. A bank that lasts as long as is asked for need not be followed further.
func Trial(s *site.Site) Effort { return Effort{WalkH: s.Outage.AutonomyH} }

// Shared is what the plans of one home have in common however its circuits are split and whatever serves them: splits and
// equipment are tried by the thousand. A change of the loads themselves wants a new one.
type Shared struct {
	Ctx      context.Context             // ends all that takes long
	Currents conductors.Currents         // of the circuits
	fits     map[string]*battery.WellFit // by unit
}

// NewShared is of a home of which nothing is known yet; ctx ends whatever takes long.
func NewShared(ctx context.Context) *Shared {
	return &Shared{Ctx: ctx, fits: map[string]*battery.WellFit{}}
}

// ForOtherLoads is for the same home when its loads change: of all that is known only the fits of the units hold for it too.
func (sh *Shared) ForOtherLoads(ctx context.Context) *Shared {
	other := NewShared(ctx)
	other.fits = sh.fits
	return other
}

// Ask works out what the backup circuits of a site ask for. Its month is set, and its circuits all have a board and a phase.
func (sh *Shared) Ask(s *site.Site, e Effort) (*Asked, error) {
	if err := sh.Ctx.Err(); err != nil {
		return nil, err
	}
	onBackup := loads.InMonth(s.OnBoard(loads.BoardBackup), s.Outage.Month)
	a := &Asked{InUse: site.InUse(onBackup)}
	for _, l := range onBackup {
		if l.HeldOff {
			a.heldOff = append(a.heldOff, l)
		}
	}
	a.set = loads.NewSet(s.Phases, a.InUse)
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
func (sh *Shared) fit(u battery.Unit) *battery.WellFit {
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
