package battery

import (
	"math"

	"outlast/backup/phrase"
)

// A Need is what a bank must carry, and under which conditions.
type Need struct {
	EnergyDCWh   float64 // at the DC terminals over the autonomy, at least 0
	Hours        float64 // autonomy, above 0
	Growth       float64 // growth of the energy as a fraction, above -1
	Margin       float64 // design margin on capacity as a fraction, above -1
	Reserve      float64 // state of charge when the need begins, (0, 1]
	MaxDoD       float64 // deepest discharge that the plan allows, (0, 1]
	EndOfLife    float64 // share of capacity left when the need must still be met, (0, 1]
	TemperatureC float64 // of the cells when the need comes
}

// A Sizing is the answer of [Size].
type Sizing struct {
	RequiredAh     float64 // at the unit's rated hours and 25 C
	KTemperature   float64 // share of capacity left by the cold
	KRate          float64 // share of capacity at the rate, of RequiredAh at MeanCurrentA; above 1 by a table only
	MeanCurrentA   float64 // of the bank: (EnergyDCWh with growth) / volts / hours
	UsableFraction float64 // Reserve - (1 - MaxDoD)
	Strings        int     // whole strings that give at least RequiredAh, at least 1
	Cautions       []phrase.Phrase
}

// maxStrings bounds what a bad pair of numbers can ask for; it is far above anything that could be built.
const maxStrings = 1e6

// Size returns how much capacity the need asks for, and how many strings of series units give it.
//
// C = E (1+growth)(1+margin) / (V usable endOfLife kTemperature kRate), where kRate is the rate factor of a bank of
// just C at the mean current. Both are solved together and in closed form: let A be C kRate, the charge that must come
// out, and T = A/I the hours in which such a bank would be emptied by the mean current; then kRate is the discharge
// curve at T hours over the rated capacity, whatever C turns out to be. For Peukert that is C^k = A (I H)^(k-1).
//
// u needs chemistry, volts, rated Ah and hours (see [Unit.WithDefaults]), series at least 1. Cautions name a
// temperature or a rate outside the tables; the comparison of Strings with MaxParallel is left to the caller.
func Size(u Unit, series int, n Need) (Sizing, error) {
	if err := checkSizable(u, series); err != nil {
		return Sizing{}, err
	}
	if err := n.check(); err != nil {
		return Sizing{}, err
	}
	var s Sizing
	s.UsableFraction = n.Reserve - (1 - n.MaxDoD)
	if !(s.UsableFraction > slack) {
		return Sizing{}, errs.Errorf("reserve %g with max_dod %g leaves nothing to use, want a reserve above %g",
			n.Reserve, n.MaxDoD, 1-n.MaxDoD)
	}
	var inTable bool
	s.KTemperature, inTable = TemperatureFactor(u.Chemistry, n.TemperatureC)
	if !inTable {
		s.Cautions = append(s.Cautions,
			phrase.Of("%s is colder than the capacity table for %s; the factor %.3g is extrapolated",
				phrase.Amount{Value: n.TemperatureC, Unit: "C"}, u.Chemistry.Word(), s.KTemperature))
	}
	volts := float64(series) * u.NominalV
	ah := n.EnergyDCWh * (1 + n.Growth) / volts
	s.MeanCurrentA = ah / n.Hours
	givenAh := ah * (1 + n.Margin) / (s.UsableFraction * n.EndOfLife * s.KTemperature)

	s.KRate = 1
	if s.MeanCurrentA > 0 {
		hours := givenAh / s.MeanCurrentA
		unitAh, extrapolated := u.ahAtHours(hours)
		s.KRate = unitAh / u.RatedAh
		if extrapolated {
			s.Cautions = append(s.Cautions,
				phrase.Of("a discharge over %.2g h is faster than the capacity table of the unit; its first segment is extrapolated", hours))
		}
	}
	s.RequiredAh = givenAh / s.KRate
	strings := math.Ceil(s.RequiredAh / u.RatedAh * (1 - slack))
	if !(strings <= maxStrings) {
		return Sizing{}, errs.Errorf("the need of %g Wh asks for %.3g Ah, want at most %g strings of %g Ah",
			n.EnergyDCWh, s.RequiredAh, maxStrings, u.RatedAh)
	}
	s.Strings = max(1, int(strings))
	return s, nil
}

func checkSizable(u Unit, series int) error {
	if series < 1 {
		return errs.Errorf("%d units in series, want at least 1", series)
	}
	// Only what the arithmetic rests on: voltages out of order are for the caller to report, not a reason to give no
	// size.
	var c faultCollector
	if u.checkCapacity(&c); len(c.faults) > 0 {
		return errs.Errorf("%s: %s", c.faults[0].Key, c.faults[0].Msg)
	}
	for _, v := range []struct {
		what string
		x    float64
		unit string
	}{{"unit volts", u.NominalV, "V"}, {"rated capacity", u.RatedAh, "Ah"}, {"rated time", u.RatedH, "h"}} {
		if err := checkPositive(v.what, v.x, v.unit); err != nil {
			return err
		}
	}
	return nil
}

func (n Need) check() error {
	if !(n.EnergyDCWh >= 0) || math.IsInf(n.EnergyDCWh, 1) {
		return errs.Errorf("energy %g Wh, want a finite number of at least 0", n.EnergyDCWh)
	}
	if err := checkPositive("autonomy", n.Hours, "h"); err != nil {
		return err
	}
	for _, v := range []struct {
		what string
		x    float64
	}{{"growth", n.Growth}, {"margin", n.Margin}} {
		if !(v.x > -1) || math.IsInf(v.x, 1) {
			return errs.Errorf("%s %g, want a finite number above -1", v.what, v.x)
		}
	}
	for _, v := range []struct {
		what string
		x    float64
	}{{"reserve", n.Reserve}, {"max_dod", n.MaxDoD}, {"end_of_life", n.EndOfLife}} {
		if !(v.x > 0 && v.x <= 1) {
			return errs.Errorf("%s %g, want a number above 0 and at most 1", v.what, v.x)
		}
	}
	if !finite(n.TemperatureC) {
		return errs.Errorf("temperature %g C, want a finite number", n.TemperatureC)
	}
	return nil
}
