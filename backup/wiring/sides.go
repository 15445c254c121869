package wiring

import (
	"outlast/backup/phrase"
)

// A Comparison is what a check compares. The checks of a conductor's size come first, and stand in this order.
type Comparison int

// The comparisons of a conductor's size.
const (
	OfAmpacity   Comparison = iota + 1 // its current-carrying capacity as it is laid
	OfTable                            // the same before the factors of the place
	OfProtection                       // what protects it
	OfSurge                            // the heat of a start
	OfDrop                             // the voltage drop
	OfTotalDrop                        // the same of the whole way
	OfStartDrop                        // the same at the largest start
)

// The comparisons of devices, and of a generator.
const (
	OfDevice        Comparison = iota + OfStartDrop + 1 // the rating of the device for what it must carry
	OfBehind                                            // what the breaker protects beside the conductor
	OfWindow                                            // a breaker between two limits
	OfDeviceVolts                                       // the rated voltage of the device
	OfBreaking                                          // its breaking capacity
	OfFuse                                              // the fuse of a string of modules
	OfFuseVolts                                         // its rated voltage
	OfModuleFuse                                        // the same fuse, for the module
	OfReverse                                           // what other strings feed back into a module without one
	OfIsolatorVolts                                     // the rated voltage of the DC isolator
	OfIsolatorA                                         // its rated current
	OfRunningVA                                         // what runs on a generator
	OfRunningW
	OfGeneratorStart // what starts on it, by the share of its rating
	OfDip            // how far its voltage falls at a start
)

// OfConductor says whether another conductor would answer it, and not another device.
func (c Comparison) OfConductor() bool { return c <= OfStartDrop }

// sides holds both sides of every comparison of one size, in A or as fractions, and what their words need. Words cost
// far more than the comparison, and for a size that is too small nobody may ever ask.
type sides struct {
	demand, limit                [OfStartDrop + 1]float64
	asked                        [OfStartDrop + 1]bool
	surgeS, riseK, dropV, startV float64
}

func (s *sides) ask(what Comparison, demand, limit float64) {
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

// firstFailed is the first comparison that does not fit; 0 where all do.
func (s *sides) firstFailed() Comparison {
	for what, asked := range s.asked {
		if asked && !fits(s.demand[what], s.limit[what]) {
			return Comparison(what)
		}
	}
	return 0
}

// checks puts the comparisons into words, or makes them without.
func (s *sides) checks(size phrase.Measure, wordless bool) []Check {
	checks := make([]Check, 0, OfStartDrop)
	for what := OfAmpacity; what <= OfStartDrop; what++ {
		if what == OfDrop && !s.asked[OfDrop] {
			checks = append(checks, unknown(OfDrop, 0, "%", "length",
				phrase.Of("the length is not known, so the voltage drop is not checked")))
		}
		switch {
		case !s.asked[what]:
		case wordless && what < OfDrop:
			checks = append(checks, compare(what, s.demand[what], s.limit[what], "A", phrase.Phrase{}))
		case wordless:
			checks = append(checks, comparePercent(what, s.demand[what], s.limit[what], phrase.Phrase{}))
		default:
			checks = append(checks, s.check(what, size))
		}
	}
	return checks
}

func (s *sides) check(what Comparison, size phrase.Measure) Check {
	demand, limit := s.demand[what], s.limit[what]
	switch what {
	case OfAmpacity:
		return compare(what, demand, limit, "A", phrase.Of("current-carrying capacity of %s as installed",
			size))
	case OfTable:
		return compare(what, demand, limit, "A",
			phrase.Of("current-carrying capacity of %s before correction factors", size))
	case OfProtection:
		return compare(what, demand, limit, "A", phrase.Of("largest rating that protects %s", size))
	case OfSurge:
		return compare(what, demand, limit, "A", phrase.Of("%s withstands %s s with %s K of heating", size,
			fig(s.surgeS), fig(s.riseK)))
	case OfDrop:
		return comparePercent(what, demand, limit, phrase.Of("voltage drop of %s: %s V", size, fig(s.dropV)))
	case OfTotalDrop:
		return comparePercent(what, demand, limit, phrase.Of("%s and the runs before it", size))
	default:
		return comparePercent(what, demand, limit,
			phrase.Of("voltage drop of %s at the largest start: %s V", size, fig(s.startV)))
	}
}
