package battery

import (
	"iter"
	"math"
)

// A Bank is Series units in a string and Strings strings in parallel. Its unit should have gone through
// [Unit.WithDefaults]: a figure that the unit does not give is 0 here.
type Bank struct {
	Unit            Unit
	Series, Strings int
}

// NominalV returns the bank's nominal volts.
func (b Bank) NominalV() float64 { return float64(b.Series) * b.Unit.NominalV }

// CapacityAh returns the bank's rated capacity in Ah, at the unit's rated hours and 25 C.
func (b Bank) CapacityAh() float64 { return float64(b.Strings) * b.Unit.RatedAh }

// Units returns the number of units.
func (b Bank) Units() int { return b.Series * b.Strings }

// Cells returns the number of cells in series in one string.
func (b Bank) Cells() int { return b.Series * b.Unit.Cells() }

// MinV returns the lowest volts of the bank in use.
func (b Bank) MinV() float64 { return float64(b.Series) * b.Unit.MinV }

// MassKg returns the mass of all units in kg.
func (b Bank) MassKg() float64 { return float64(b.Units()) * b.Unit.MassKg }

// ResistanceOhm returns the internal resistance of the full bank at about 25 C in ohm, without links and cables;
// 0 where the unit's is not given or the bank has no strings.
func (b Bank) ResistanceOhm() float64 {
	if b.Strings <= 0 {
		return 0
	}
	return float64(b.Series) * b.Unit.ResistanceMohm / 1000 / float64(b.Strings)
}

// HighestChargeV returns the highest volts that charging puts on the bank when its cells are at tempC: the charge
// voltage, or the equalise voltage where it is higher and equalises says that the charger does so, raised by the
// compensation for cells colder than 25 C. Warmer cells do not lower it: a charger without a probe on the
// battery holds the 25 C setting.
func (b Bank) HighestChargeV(tempC float64, equalises bool) float64 {
	v := b.Unit.ChargeV
	if equalises {
		v = max(v, b.Unit.EqualiseV)
	}
	return float64(b.Series)*v + float64(b.Cells())*b.Unit.CompensationMV()/1000*max(0, kelvinBelow(tempC))
}

// kelvinBelow returns how far tempC is below 25 C. No bank is colder than absolute zero or hotter than hottestC: what a
// caller gives beyond is held there, so that volts stay numbers.
func kelvinBelow(tempC float64) float64 {
	return referenceC - min(max(tempC, absoluteZeroC), hottestC)
}

const (
	absoluteZeroC = -273.15
	hottestC      = 1000
)

// maxOffNominal is how far a bank's nominal volts may be from the inverter's, as a fraction. Planning rule: 51.2 V on a
// 48 V inverter is usual, 36 V is another system.
const maxOffNominal = 0.20

// slack forgives rounding in sums of decimal volts and Ah: 24 * 2.4 is not 57.6 in binary.
const slack = 1e-9

// Series returns how many units u make a string for an inverter of nominalDCV volts: the whole number whose volts are
// nearest (of two equally near the lower), then the next nearest and so on until the string's lowest voltage is not
// below minV and its highest charging voltage at coldestC (see [Bank.HighestChargeV]) not above maxV. minV or maxV 0
// means not given. If none fits, it returns the nearest with fits false. Strings more than 20 % off nominalDCV are not
// considered; if the nearest is already such a one, that is the error.
func Series(u Unit, nominalDCV, minV, maxV, coldestC float64, equalises bool) (series int, fits bool, err error) {
	if err := checkPositive("unit volts", u.NominalV, "V"); err != nil {
		return 0, false, err
	}
	if err := checkPositive("inverter volts", nominalDCV, "V"); err != nil {
		return 0, false, err
	}
	if !finite(minV) || !finite(maxV) || !finite(coldestC) {
		return 0, false, errs.Errorf("window %g to %g V at %g C, want finite numbers", minV, maxV, coldestC)
	}
	allowed := nominalDCV * (maxOffNominal + slack)

	ratio := nominalDCV / u.NominalV
	if ratio > maxCells {
		return 0, false, errs.Errorf("%g units of %g V for %g V, want at most %d", math.Round(ratio), u.NominalV,
			nominalDCV, int(maxCells))
	}
	first := 0
	for n := range nearest(u.NominalV, nominalDCV) {
		if math.Abs(float64(n)*u.NominalV-nominalDCV) > allowed {
			break
		}
		if first == 0 {
			first = n
		}
		b := Bank{Unit: u, Series: n, Strings: 1}
		if (minV <= 0 || b.MinV() >= minV*(1-slack)) && (maxV <= 0 ||
			b.HighestChargeV(coldestC, equalises) <= maxV*(1+slack)) {
			return n, true, nil
		}
	}
	if first == 0 {
		return 0, false, errs.Errorf("no number of %g V units is within %.0f %% of %g V", u.NominalV, 100*maxOffNominal,
			nominalDCV)
	}
	return first, false, nil
}

// nearest are the numbers of units of unitV from the one whose volts are nearest to nominalV outwards, of two equally
// near the lower one first. It has no end.
func nearest(unitV, nominalV float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		off := func(n int) float64 { return math.Abs(float64(n)*unitV - nominalV) }
		lower := int(math.Floor(nominalV / unitV))
		upper := lower + 1
		for {
			n := upper
			if lower >= 1 && off(lower) <= off(upper)*(1+slack) {
				n = lower
				lower--
			} else {
				upper++
			}
			if !yield(n) {
				return
			}
		}
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func checkPositive(what string, x float64, unit string) error {
	if !(x > 0) || math.IsInf(x, 1) { // the negation also refuses NaN
		return errs.Errorf("%s %g %s, want a finite number above 0", what, x, unit)
	}
	return nil
}
