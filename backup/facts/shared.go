package facts

import (
	"context"

	"outlast/backup/conductors"
	"outlast/backup/workers"
	"outlast/battery"
)

// Shared is what the plans of one home have in common however its circuits are split and whatever serves them: splits
// and equipment are tried by the thousand, side by side too. A change of the loads themselves wants a new one.
type Shared struct {
	Ctx      context.Context                         // ends all that takes long
	Currents conductors.Currents                     // of the circuits
	fits     *workers.Memo[string, *battery.WellFit] // by unit
	cutoffs  *workers.Memo[cutOff, *battery.Cutoff]
}

// NewShared is of a home of which nothing is known yet; ctx ends whatever takes long.
func NewShared(ctx context.Context) *Shared {
	return &Shared{Ctx: ctx, fits: &workers.Memo[string, *battery.WellFit]{},
		cutoffs: &workers.Memo[cutOff, *battery.Cutoff]{}}
}

// ForOtherLoads is for the same home when its loads change: of all that is known only the fits of the units and the
// tables of the banks hold for it too.
func (sh *Shared) ForOtherLoads(ctx context.Context) *Shared {
	return &Shared{Ctx: ctx, fits: sh.fits, cutoffs: sh.cutoffs}
}

// cutoff is the table of a bank that is cut off at some volts, worked out once.
func (sh *Shared) cutoff(b battery.Bank, volts, tempC float64) *battery.Cutoff {
	return sh.cutoffs.Of(cutOff{b.Unit.ID, b.Series, b.Strings, volts, tempC},
		func() *battery.Cutoff { return b.Cutoff(volts, tempC) })
}

// A cutOff is a bank with the volts at which it is cut off.
type cutOff struct {
	unit            string
	series, strings int
	volts, tempC    float64
}

// fit is the kinetic model of a unit, fitted once; nil for lithium, or where none fits: the model then says why.
func (sh *Shared) fit(u battery.Unit) *battery.WellFit {
	if !u.Chemistry.LeadAcid() {
		return nil
	}
	return sh.fits.Of(u.ID, func() *battery.WellFit {
		f, err := u.Wells()
		if err != nil {
			return nil
		}
		return &f
	})
}
