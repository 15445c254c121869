package facts

import (
	"outlast/backup/site"
	"outlast/backup/workers"
	"outlast/loads"
)

// Asked is what a split of the circuits asks of any equipment. It depends on loads, boards, phases and month alone, so
// that many inverters and banks can be set against it.
type Asked struct {
	InUse, heldOff []loads.Load // on the backup board, in the month
	Set            *loads.Set   // of those in use
	demand         Demand
	surges         []loads.Surge
	GridLoads      []loads.Load // all of them: what runs while the grid is there
	GridSet        *loads.Set
	grid           loads.Demand                      // scheduled, held-off loads included
	worst          workers.Memo[float64, worstStart] // by hours
}

// A worstStart is the minute of the day from which so many hours take the most energy.
type worstStart struct{ minute, wh float64 }

func (a *Asked) worstStart(hours float64) (minute, wh float64) {
	worst := a.worst.Of(hours, func() (w worstStart) {
		w.minute, w.wh = a.demand.Profile.WorstStart(hours)
		return w
	})
	return worst.minute, worst.wh
}

// Effort is how far a plan is worked out.
type Effort struct {
	// full asks for all that a sheet shows. Without it only the checks that can fail are made, and what only the sheet
	// shows (probable demand, the new bank, slips) is left out.
	full bool
	// WalkH ends the simulation of the bank.
	WalkH float64
	// Enough says, of facts whose other checks are made, that these settle the matter: those of conductors and
	// generator, which cost most, are then not made. nil: it never does.
	Enough func(*Facts) bool
	// Behind is what all banks behind the same inverters have in common, where that is known already; nil: it is worked
	// out.
	Behind *Behind
	// Curt leaves out the words of what does not fail, and whatever else only sheets ask for.
	Curt bool
	// As is the plan whose settings hold, where this is the same home in another month: when the generator runs and how
	// far it charges is entered already. nil: it is decided.
	As *Facts
}

// complete is the effort for a plan that somebody reads.
var complete = Effort{full: true, WalkH: LongestWalkH}

// Trial is the effort for a candidate: whether it passes. A bank that lasts as long as is asked for need not be
// followed further.
func Trial(s *site.Site) Effort { return Effort{WalkH: s.Outage.AutonomyH} }

// Ask works out what the backup circuits of a site ask for. Its month is set, and its circuits all have a board and a
// phase.
func (sh *Shared) Ask(s *site.Site, e Effort) (*Asked, error) {
	if err := sh.Ctx.Err(); err != nil {
		return nil, err
	}
	a := asking(s)
	return a, a.finish(s, e)
}

// asking begins with the loads and their energy, which is all that a bank is sized for.
func asking(s *site.Site) *Asked {
	onBackup := loads.InMonth(s.OnBoard(loads.BoardBackup), s.Outage.Month)
	a := &Asked{InUse: onBackup, GridLoads: onBackup}
	a.heldOff = loads.Where(onBackup, func(l *loads.Load) bool { return l.HeldOff })
	if len(a.heldOff) > 0 {
		a.InUse = site.InUse(onBackup)
	}
	a.Set = loads.NewSet(s.Phases, a.InUse)
	a.demand.EnergyWhPerDay, a.demand.Profile = a.Set.EnergyWhPerDay(), a.Set.Profile()
	return a
}

// finish adds what runs and starts at once.
func (a *Asked) finish(s *site.Site, e Effort) (err error) {
	d := &a.demand
	var probable func() probableW
	if e.full {
		probable = workers.Beside(func() (p probableW) {
			p.w, p.err = a.Set.Probable(s.Practice.Confidence)
			return p
		})
	}
	d.Connected, d.Scheduled = a.Set.Connected(), a.Set.Scheduled()
	a.surges = a.Set.Surges()
	a.GridSet, a.grid = a.Set, d.Scheduled
	if len(a.heldOff) > 0 {
		a.GridSet = loads.NewSet(s.Phases, a.GridLoads)
		a.grid = a.GridSet.Scheduled()
	}
	if e.full {
		p := probable()
		d.ProbableW, err = p.w, p.err
	}
	return err
}

// probableW is a probable demand, or why there is none.
type probableW struct {
	w   float64
	err error
}
