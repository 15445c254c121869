package wiring

import "fmt"

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

// sides holds both sides of every comparison of one size, in A or as fractions, and what their words need. Words cost far more
// than the comparison, and for a size that is too small nobody may ever ask.
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
func (s *sides) checks(size string) []Check {
	checks := make([]Check, 0, comparisons)
	for what := range comparisons {
		if what == ofDrop && !s.asked[ofDrop] {
			checks = append(checks, unknown(s.id("drop"), 0, "%", "length", "the length is not known, so the voltage drop is not checked"))
		}
		if s.asked[what] {
			checks = append(checks, s.check(what, size))
		}
	}
	return checks
}

func (s *sides) id(what string) string { return "cable-" + s.run + "-" + what }

func (s *sides) check(what comparison, size string) Check {
	demand, limit := s.demand[what], s.limit[what]
	switch what {
	case ofAmpacity:
		return compare(s.id("ampacity"), demand, limit, "A", size+" carries as it is laid")
	case ofTable:
		return compare(s.id("table"), demand, limit, "A", size+" carries before any factor")
	case ofProtection:
		return compare(s.id("protection"), demand, limit, "A", "largest device that protects "+size)
	case ofSurge:
		return compare(s.id("surge"), demand, limit, "A", fmt.Sprintf("%s stands %s s with %s K of heating", size, num(s.surgeS), num(s.riseK)))
	case ofDrop:
		return comparePercent(s.id("drop"), demand, limit, fmt.Sprintf("%s loses %s V", size, num(s.dropV)))
	case ofTotalDrop:
		return comparePercent(s.id("total-drop"), demand, limit, size+" and the runs before it")
	default:
		return comparePercent(s.id("start-drop"), demand, limit, fmt.Sprintf("%s loses %s V at the hardest start", size, num(s.startV)))
	}
}
