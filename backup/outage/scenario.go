package outage

import (
	"math"

	"outlast/backup/fault"
	"outlast/loads"
)

// errs makes the errors of this package.
const errs = fault.In("outage")

// A Scenario is one home when the grid fails: what it asks, and what it has instead.
type Scenario struct {
	// StartMin is the minute at which the grid fails, counted from a midnight, 0 to 60 * MaxHours. Windows of loads
	// repeat every day.
	StartMin int
	// Loads are those on backup circuits, in the month of the outage. Held-off ones stay off. Each must pass
	// [loads.Load.Check]; a cycle has 0.1 to 100,000 minutes on.
	Loads []loads.Load
	// BaseW is power in W that is asked for beside the loads, for every minute from the midnight of StartMin on, on no
	// circuit: what many loads ask together, where nobody wants to know which, or what a meter has measured. Whole
	// days; at its end it begins again, so that a single day repeats. Empty: none.
	BaseW []float64
	// BaseID is the circuit under which BaseW is told in the result, apart from those of the loads; "": none.
	BaseID string
	// EvenSpread spreads every load evenly over its windows. Otherwise those with a cycle switch on and off in it, the
	// first time at a moment that Seed draws, and only those without are spread.
	EvenSpread bool
	Seed       uint64

	// PVW is the power of the array in W, on the bank's side, for every PVMin minutes from the midnight of StartMin on:
	// whole days, at least 0. At its end it begins again, so that a single day repeats. Empty: no array.
	PVW []float64
	// PVMin is for how many minutes each power of the array holds, a divisor of 60; 0: 1.
	PVMin int

	Inverter     Inverter
	ChargeLimitW float64 // what goes into the bank at most, all sources together, at its terminals; 0: no limit but the bank's

	Generator *Generator // nil: none

	Bank     Bank
	StartSoC float64 // state of charge when the grid fails, 0 to 1

	// RestartSoC is the state of charge that a bank must have again before it carries loads, once it has run out, 0 to
	// 1. 0: it carries them as soon as it can, if only for parts of minutes.
	RestartSoC float64
	// ReturnMargin is how far the state of charge must have risen above a load's DropBelow until it is switched on
	// again, 0 to 1. 0 means DefaultReturnMargin.
	ReturnMargin float64
}

// DefaultReturnMargin keeps a dropped load off for long enough that nobody runs to the board every minute. Mark: own
// planning rule.
const DefaultReturnMargin = 0.05

const (
	maxMinutes    = MaxHours * 60
	minutesPerDay = 1440
	minuteH       = 1.0 / 60
)

// An Inverter is what its losses and limit are to the outage.
type Inverter struct {
	IdleW      float64 // standby consumption of all units while they are on, from the bank's side, at least 0
	Efficiency float64 // of the conversion, without standby consumption, in [0.01, 1]; not used with a curve
	// Curve is the efficiency by power given, ascending, of the conversion alone. It is read in a straight line between
	// its points and held beyond its ends.
	Curve []EfficiencyPoint
	// LimitW is the continuous power that it gives at most, 0: no limit. What loads ask above it is not served.
	LimitW float64
}

// An EfficiencyPoint is one point of an efficiency curve.
type EfficiencyPoint struct {
	ACW        float64 // power given, of all units
	Efficiency float64 // in [0.01, 1]
}

// dcW is the power that the inverter draws while it gives acW.
func (v *Inverter) dcW(acW float64) float64 {
	return v.IdleW + acW/v.efficiencyAt(acW)
}

func (v *Inverter) efficiencyAt(acW float64) float64 {
	if len(v.Curve) == 0 {
		return v.Efficiency
	}
	if acW <= v.Curve[0].ACW {
		return v.Curve[0].Efficiency
	}
	for i := 1; i < len(v.Curve); i++ {
		if b := v.Curve[i]; acW <= b.ACW {
			a := v.Curve[i-1]
			return a.Efficiency + (b.Efficiency-a.Efficiency)*(acW-a.ACW)/(b.ACW-a.ACW)
		}
	}
	return v.Curve[len(v.Curve)-1].Efficiency
}

// pvMin is for how many minutes each power of the array holds.
func (s *Scenario) pvMin() int { return max(1, s.PVMin) }

// pvMinutes is of how many minutes the power of the array is known.
func (s *Scenario) pvMinutes() int { return len(s.PVW) * s.pvMin() }

func (s *Scenario) check() error {
	if s.StartMin < 0 || s.StartMin > maxMinutes {
		return errs.Errorf("start at minute %d, want 0 to %d", s.StartMin, maxMinutes)
	}
	totalW := 0.0
	for i := range s.Loads {
		l := &s.Loads[i]
		if err := l.Check(3); err != nil {
			return errs.Errorf("%w", err)
		}
		if !(l.DropBelow >= 0 && l.DropBelow <= 1) {
			return errs.Errorf("load %q: dropped below %g, want 0 to 1", l.Name, l.DropBelow)
		}
		if c := l.Cycle; c != nil && !(c.OnMin >= 0.1 && c.OnMin <= 1e5) {
			return errs.Errorf("load %q: %g min on in a cycle, want 0.1 to 100000", l.Name, c.OnMin)
		}
		if l.Quantity > 10000 {
			return errs.Errorf("load %q: %d units, want at most 10000", l.Name, l.Quantity)
		}
		totalW += l.RunningW * float64(l.Quantity)
	}
	if totalW > maxPowerW {
		return errs.Errorf("loads of %g W, want at most %g", totalW, maxPowerW)
	}
	if len(s.BaseW)%minutesPerDay != 0 {
		return errs.Errorf("power asked of %d minutes, want whole days", len(s.BaseW))
	}
	for i, w := range s.BaseW {
		if !(w >= 0 && w <= maxPowerW) {
			return errs.Errorf("minute %d: %g W asked, want a finite number, at least 0", i, w)
		}
	}
	if err := s.checkSun(); err != nil {
		return err
	}
	if err := s.Inverter.check(); err != nil {
		return err
	}
	if s.Generator != nil {
		if err := s.Generator.check(); err != nil {
			return err
		}
	}
	if s.Bank == nil {
		return errs.Errorf("no bank")
	}
	for _, f := range []struct {
		name      string
		value, to float64
	}{
		{"charge limit in W", s.ChargeLimitW, maxPowerW}, {"state of charge at the start", s.StartSoC, 1},
		{"state of charge for the restart", s.RestartSoC, 1}, {"return margin", s.ReturnMargin, 1},
	} {
		if err := within(f.name, f.value, 0, f.to); err != nil {
			return err
		}
	}
	return nil
}

func (s *Scenario) checkSun() error {
	if s.PVMin < 0 || 60%s.pvMin() != 0 {
		return errs.Errorf("array power of %d minutes each, want a divisor of 60", s.PVMin)
	}
	if s.pvMinutes()%minutesPerDay != 0 {
		return errs.Errorf("array power of %d minutes, want whole days", s.pvMinutes())
	}
	for i, w := range s.PVW {
		if !(w >= 0 && w <= maxPowerW) {
			return errs.Errorf("minute %d: array power %g W, want a finite number, at least 0", i*s.pvMin(), w)
		}
	}
	return nil
}

func (v *Inverter) check() error {
	if err := within("inverter's standby consumption in W", v.IdleW, 0, maxPowerW); err != nil {
		return err
	}
	if err := within("inverter's limit in W", v.LimitW, 0, maxPowerW); err != nil {
		return err
	}
	if len(v.Curve) == 0 {
		return within("inverter's efficiency", v.Efficiency, 0.01, 1)
	}
	beforeW := math.Inf(-1)
	for _, p := range v.Curve {
		if err := within("efficiency curve, power in W", p.ACW, 0, maxPowerW); err != nil {
			return err
		}
		if err := within("efficiency curve, efficiency", p.Efficiency, 0.01, 1); err != nil {
			return err
		}
		if p.ACW <= beforeW {
			return errs.Errorf("efficiency curve at %g W after %g W, want ascending powers", p.ACW, beforeW)
		}
		beforeW = p.ACW
	}
	return nil
}

// within refuses a number outside a range, NaN included.
func within(name string, v, from, to float64) error {
	if !(v >= from && v <= to) {
		return errs.Errorf("%s %g, want %g to %g", name, v, from, to)
	}
	return nil
}
