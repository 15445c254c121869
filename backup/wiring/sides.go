package wiring

import (
	"outlast/backup/phrase"
)

// A comparison is one of the demands that a size has to meet.
type comparison int

// The comparisons, in the order of their checks.
const (
	ofAmpacity comparison = iota
	ofTable
	ofProtection
	ofSurge
	ofDrop
	ofTotalDrop
	ofStartDrop
	comparisons
)

// sides holds both sides of every comparison of one size, in A or as fractions, and what their words need. Words cost
// far more than the comparison, and for a size that is too small nobody may ever ask.
type sides struct {
	run                          string
	demand, limit                [comparisons]float64
	asked                        [comparisons]bool
	surgeS, riseK, dropV, startV float64
}

func (s *sides) ask(what comparison, demand, limit float64) {
	s.demand[what], s.limit[what], s.asked[what] = demand, limit, true
}

// fit says whether everything that is asked fits.
func (s *sides) fit() bool {
	for what, asked := range s.asked {
		if asked && !fits(s.demand[what], s.limit[what]) {
			return false
		}
	}
	return true
}

// checks puts the comparisons into words.
func (s *sides) checks(size phrase.Measure) []Check {
	checks := make([]Check, 0, comparisons)
	for what := range comparisons {
		if what == ofDrop && !s.asked[ofDrop] {
			checks = append(checks, unknown(s.id("drop"), 0, "%", "length",
				phrase.Of("the length is not known, so the voltage drop is not checked")))
		}
		if s.asked[what] {
			checks = append(checks, s.check(what, size))
		}
	}
	return checks
}

func (s *sides) id(what string) string { return "cable-" + s.run + "-" + what }

func (s *sides) check(what comparison, size phrase.Measure) Check {
	demand, limit := s.demand[what], s.limit[what]
	switch what {
	case ofAmpacity:
		return compare(s.id("ampacity"), demand, limit, "A", phrase.Of("current-carrying capacity of %s as installed",
			size))
	case ofTable:
		return compare(s.id("table"), demand, limit, "A",
			phrase.Of("current-carrying capacity of %s before correction factors", size))
	case ofProtection:
		return compare(s.id("protection"), demand, limit, "A", phrase.Of("largest rating that protects %s", size))
	case ofSurge:
		return compare(s.id("surge"), demand, limit, "A", phrase.Of("%s withstands %s s with %s K of heating", size,
			fig(s.surgeS), fig(s.riseK)))
	case ofDrop:
		return comparePercent(s.id("drop"), demand, limit, phrase.Of("voltage drop of %s: %s V", size, fig(s.dropV)))
	case ofTotalDrop:
		return comparePercent(s.id("total-drop"), demand, limit, phrase.Of("%s and the runs before it", size))
	default:
		return comparePercent(s.id("start-drop"), demand, limit,
			phrase.Of("voltage drop of %s at the largest start: %s V", size, fig(s.startV)))
	}
}
