package battery

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// An AutonomyCase is the question of the stand-alone PV sizing worksheet: days without sun.
type AutonomyCase struct {
	DailyWh    float64 // at the AC side where Efficiency is given, at least 0
	Efficiency float64 // of the inverter, (0, 1]; 0 means 1: DailyWh is at the bank
	BankV      float64 // above 0
	Days       float64 // of autonomy, above 0
	MaxDoD     float64 // (0, 1]
	Multiplier float64 // for temperature, at least 1; 0 means 1
	Allowance  float64 // for losses, growth or reserve, as a fraction of at least 0
	UnitAh     float64 // of one string; 0: strings are not counted
}

// An AutonomySizing is the answer of [AutonomyMethod].
type AutonomySizing struct {
	DailyAh    float64 // drawn from the bank in a day
	StoredAh   float64 // over all days
	RequiredAh float64
	Strings    int // 0 without UnitAh
	steps      func(*working.Part)
}

// Working is how the size came about, step by step; inputs that the caller has go by name: daily_wh, efficiency,
// bank_v, days, max_dod, temperature_multiplier, margin, rated_ah.
func (s AutonomySizing) Working(origins working.Origins) []working.Step {
	return written(origins, s.steps)
}

var standAlone = working.From(phrase.Of("stand-alone PV sizing worksheet, as three public texts print it"),
	working.Read)

// AutonomyMethod sizes a bank by the worksheet of stand-alone PV systems: daily Wh / efficiency / volts * days /
// maximum depth * temperature multiplier, and an allowance. A rate effect is no part of it: over days there is none.
// Source: worksheet, SEEN.
func AutonomyMethod(c AutonomyCase) (AutonomySizing, error) {
	if c.Efficiency == 0 {
		c.Efficiency = 1
	}
	if c.Multiplier == 0 {
		c.Multiplier = 1
	}
	if err := c.check(); err != nil {
		return AutonomySizing{}, err
	}
	var s AutonomySizing
	s.DailyAh = c.DailyWh / c.Efficiency / c.BankV
	s.StoredAh = s.DailyAh * c.Days
	s.RequiredAh = s.StoredAh / c.MaxDoD * c.Multiplier * (1 + c.Allowance)
	if !finite(s.RequiredAh) {
		return AutonomySizing{}, failure(phrase.Of("%g Wh a day for %g days is more than can be counted", c.DailyWh,
			c.Days))
	}
	if c.UnitAh > 0 {
		n := math.Ceil(s.RequiredAh / c.UnitAh * (1 - slack))
		if !(n <= maxStrings) {
			return AutonomySizing{},
				failure(phrase.Of("the autonomy requires %.3g Ah, want at most %g strings of %g Ah", s.RequiredAh,
					maxStrings, c.UnitAh))
		}
		s.Strings = max(1, int(n))
	}
	s.steps = func(w *working.Part) { c.write(w, s) }
	return s, nil
}

func (c AutonomyCase) check() error {
	if !(c.DailyWh >= 0) || math.IsInf(c.DailyWh, 1) {
		return errs.Errorf("daily energy %g Wh, want a finite number of at least 0", c.DailyWh)
	}
	for _, v := range []struct {
		what string
		x    float64
		unit string
	}{{"bank volts", c.BankV, "V"}, {"autonomy", c.Days, "days"}} {
		if err := checkPositive(v.what, v.x, v.unit); err != nil {
			return err
		}
	}
	if !(c.Efficiency > 0 && c.Efficiency <= 1) {
		return errs.Errorf("efficiency %g, want above 0 and at most 1", c.Efficiency)
	}
	if !(c.MaxDoD > 0 && c.MaxDoD <= 1) {
		return errs.Errorf("max_dod %g, want above 0 and at most 1", c.MaxDoD)
	}
	if !(c.Multiplier >= 1) || !(c.Allowance >= 0) || math.IsInf(c.Multiplier, 1) || math.IsInf(c.Allowance, 1) {
		return errs.Errorf("multiplier %g and allowance %g, want finite numbers of at least 1 and 0", c.Multiplier,
			c.Allowance)
	}
	if !(c.UnitAh >= 0) || math.IsInf(c.UnitAh, 1) {
		return errs.Errorf("unit of %g Ah, want a finite number of at least 0", c.UnitAh)
	}
	return nil
}
