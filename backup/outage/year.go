package outage

import (
	"math"
	"slices"
)

// Limits of what a study takes. They only keep sums finite; no home comes near them.
const (
	maxPowerW   = 1e12
	maxEnergyWh = 1e20
	// MaxHours is the longest outage that a study follows: ten years.
	MaxHours = 87600
)

// A Year is the power balance of every step of a year, at the terminals of the bank.
type Year struct {
	// StepMin is the length of a step in minutes: a divisor of 60.
	StepMin int
	// NetW is the mean power of each step in W: above 0 a surplus that can charge the bank, below 0 a shortfall that
	// the bank must cover. It covers whole hours, at least one; a study lets it wrap from its end to its beginning.
	NetW []float64
}

// Hours is the number of hours of the year.
func (y Year) Hours() int { return len(y.NetW) * y.StepMin / 60 }

// topW returns the largest power of either sign, or an error that names the first that is not finite.
func (y Year) topW() (float64, error) {
	// Without their sign, floats have the order of their bits, and what is no number or infinite comes last.
	const sign = 1 << 63
	top := uint64(0)
	for _, w := range y.NetW {
		top = max(top, math.Float64bits(w)&^sign)
	}
	if !(math.Float64frombits(top) <= maxPowerW) {
		i := slices.IndexFunc(y.NetW, func(w float64) bool { return !(math.Abs(w) <= maxPowerW) })
		return 0, errs.Errorf("step %d: %g W, want a finite number", i, y.NetW[i])
	}
	return math.Float64frombits(top), nil
}

// check tells whether y is whole hours of steps. Values are looked at by topW.
func (y Year) check() error {
	if y.StepMin < 1 || 60%y.StepMin != 0 {
		return errs.Errorf("step %d min, want a divisor of 60", y.StepMin)
	}
	if n := len(y.NetW); n == 0 || n*y.StepMin%60 != 0 {
		return errs.Errorf("%d steps of %d min, want whole hours and at least one", n, y.StepMin)
	}
	return nil
}

// A Path is the way in and out of the bank. It does not depend on the size of the bank: where the limits grow with the
// bank, each size is a study of its own.
type Path struct {
	ChargeEfficiency    float64 // stored energy per energy taken in, in [0.01, 1]
	DischargeEfficiency float64 // energy given per energy taken out of the store, in [0.01, 1]
	ChargeLimitW        float64 // power that the bank takes in at most; what is more is curtailed. 0: no limit
	DischargeLimitW     float64 // power that the bank gives at most; a step that asks more is not served. 0: no limit
}

func (p Path) check() error {
	for _, f := range []struct {
		name  string
		value float64
	}{{"charge efficiency", p.ChargeEfficiency}, {"discharge efficiency", p.DischargeEfficiency}} {
		if !(f.value >= 0.01 && f.value <= 1) {
			return errs.Errorf("%s %g, want 0.01 to 1", f.name, f.value)
		}
	}
	for _, f := range []struct {
		name  string
		value float64
	}{{"charge limit", p.ChargeLimitW}, {"discharge limit", p.DischargeLimitW}} {
		if !(f.value >= 0) || math.IsInf(f.value, 1) {
			return errs.Errorf("%s %g W, want a finite number, at least 0", f.name, f.value)
		}
	}
	return nil
}
