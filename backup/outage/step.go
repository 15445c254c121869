package outage

import "context"

// A Bank is a battery bank through time, seen from its terminals.
type Bank interface {
	// Step moves on by dtH hours at a constant powerW, above 0 when the bank gives. It returns the power that was done:
	// no more than asked, in the same direction.
	Step(powerW, dtH float64) (doneW float64)
	// SoC is the state of charge, 0 to 1.
	SoC() float64
	// Reset puts the bank at rest at a state of charge.
	Reset(soc float64)
}

// shortW is the smallest share of a power that counts as not served: less is the rounding of a Bank's own arithmetic.
const shortW = 1e-9

// SurviveStepping follows an outage from every start hour of the year, as [Study.Survive] does, for any model of a
// bank, by stepping through each. It is for models whose state is more than one energy, such as the wells of a
// lead-acid cell; an energy with fixed efficiencies and limits is several hundred times faster in a Study.
//
// newBank returns a new bank; it is called once for each of the processors at work, and each bank steps alone. soc is
// the state of charge when the grid fails, 0 to 1; maxH, 1 to MaxHours, the longest outage followed.
//
// It may take seconds: when ctx ends it returns its error, and tick, which may be nil, is called after each start, by
// several goroutines at once.
func SurviveStepping(ctx context.Context, y Year, newBank func() Bank, soc float64, maxH int, tick func()) (Starts,
	error) {
	if err := y.check(); err != nil {
		return Starts{}, err
	}
	if _, err := y.topW(); err != nil {
		return Starts{}, err
	}
	return surviveFrom(ctx, y.Hours(), newBank, soc, maxH, tick, func(bank Bank) func(start int) int {
		return func(start int) int {
			bank.Reset(soc)
			return stepFrom(y, bank, start, maxH)
		}
	})
}

// stepFrom returns the whole hours that bank survives from the beginning of the hour start.
func stepFrom(y Year, bank Bank, start, maxH int) int {
	perHour := 60 / y.StepMin
	stepH := float64(y.StepMin) / 60
	at := start * perHour
	for step := range maxH * perHour {
		askW := -y.NetW[at]
		if doneW := bank.Step(askW, stepH); askW > 0 && doneW < askW*(1-shortW) {
			return step / perHour
		}
		if at++; at == len(y.NetW) {
			at = 0
		}
	}
	return maxH
}
