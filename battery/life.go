package battery

import (
	"cmp"
	"math"
	"slices"
)

// cyclesByDepth is the cycles table, the shallowest first.
func (u Unit) cyclesByDepth() []CyclePoint {
	return slices.SortedFunc(slices.Values(u.Cycles),
		func(a, b CyclePoint) int { return cmp.Or(cmp.Compare(a.DoD, b.DoD), cmp.Compare(b.Cycles, a.Cycles)) })
}

// CycleLife returns how many full cycles to a depth of discharge (0 to 1) the unit's cycles table promises before its
// capacity is down to end of life, straight on log-log paper between points. Outside the table the end points are held
// where that is the safe side (shallower) and the last segment goes on where it is deeper; extrapolated tells of
// either. ok is false without a sound table. It is a laboratory figure at 25 C or so: take it as an upper bound.
func (u Unit) CycleLife(dod float64) (cycles float64, extrapolated, ok bool) {
	t := u.cyclesByDepth()
	var c faultCollector
	if u.checkCycles(&c); len(t) == 0 || len(c.faults) > 0 || !(dod > 0 && dod <= 1) {
		return 0, false, false
	}
	last := len(t) - 1
	switch {
	case dod <= t[0].DoD:
		return t[0].Cycles, dod < t[0].DoD*(1-slack), true
	case last == 0:
		// One point only: as many Ah through the battery as that promises, own, the mild end of published curves.
		return t[0].Cycles * t[0].DoD / dod, true, true
	}
	i := 1
	for i < last && dod > t[i].DoD {
		i++
	}
	a, b := t[i-1], t[i]
	slope := math.Log(b.Cycles/a.Cycles) / math.Log(b.DoD/a.DoD)
	return a.Cycles * math.Pow(dod/a.DoD, slope), dod > t[last].DoD*(1+slack), true
}

// handbookHalvingK is the kelvins of warmth that halve the life of a battery on float: a maker's handbook, 10, 7 and 5
// years at 20, 25 and 30 C, SEEN. (Public battery text on sealed lead-acid has 8 K, 15 F, SEEN: stricter, and not
// used.)
const handbookHalvingK = 10

// calendarYears returns how long a battery lasts at tempC that lasts years at ratedC, halved for each halvingK of
// warmth.
func calendarYears(years, ratedC, tempC, halvingK float64) float64 {
	return years * math.Exp2((ratedC-tempC)/halvingK)
}

// Life is how long a bank may last in years, by each of the two things that wear it out.
type Life struct {
	CycleYears    float64 // +Inf without cycles or without a table
	CalendarYears float64
	Years         float64 // the lesser
}

// Life returns the years that a unit may last with cyclesPerYear discharges to dod and its cells at tempC on the mean
// of the year, when it would last floatYears at 25 C on float, halved for every 10 K of warmth (a maker's handbook,
// SEEN). Life by cycles is taken as at 25 C, cycles and calendar each by itself: both together wear faster, but no
// published rule for adding them was found.
func (u Unit) Life(cyclesPerYear, dod, floatYears, tempC float64) (Life, error) {
	if !(cyclesPerYear >= 0) || math.IsInf(cyclesPerYear, 1) {
		return Life{}, errs.Errorf("%g cycles a year, want a finite number of at least 0", cyclesPerYear)
	}
	if err := checkPositive("life on float", floatYears, "years"); err != nil {
		return Life{}, err
	}
	if !(dod > 0 && dod <= 1) || !finite(tempC) {
		return Life{}, errs.Errorf("depth %g at %g C, want above 0 to 1 and a finite temperature", dod, tempC)
	}
	l := Life{CycleYears: math.Inf(1)}
	if cycles, _, ok := u.CycleLife(dod); ok && cyclesPerYear > 0 {
		l.CycleYears = cycles / cyclesPerYear
	}
	// Colder than 25 C earns nothing: the handbook credits it, a plan should not.
	l.CalendarYears = calendarYears(floatYears, referenceC, max(tempC, referenceC), handbookHalvingK)
	l.Years = min(l.CycleYears, l.CalendarYears)
	return l, nil
}
