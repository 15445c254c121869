package wiring

import (
	"outlast/backup/phrase"
)

// A curvePoint bounds how long electronics stand a voltage.
type curvePoint struct {
	fraction float64 // of the nominal voltage
	ms       float64 // how long it is tolerated; 0 where it is steady
	steady   bool
}

// toleranceCurve: voltage tolerance of single-phase 120 V information-technology equipment, 2000 revision (ITIC, after CBEMA), read from a
// power-quality handbook p. 112 and an instrument maker's note (SEEN; the point at 200 % from its label only). A second handbook
// gives 1.1 cycles for no voltage. Sags: at least the fraction is left. Swells: at most the fraction.
var toleranceCurve = struct{ sags, swells []curvePoint }{
	sags:   []curvePoint{{0.90, 0, true}, {0.80, 10000, false}, {0.70, 500, false}, {0, 20, false}},
	swells: []curvePoint{{1.10, 0, true}, {1.20, 500, false}, {1.40, 3, false}, {2.00, 1, false}},
}

var curveSource = cite(phrase.Of("ITIC (CBEMA) curve, 2000 revision"), published)

// ToleratedMS says how long electronics stand a voltage of the given fraction of nominal (0 to 100), in ms, or that they stand it for ever.
// Above 200 % of nominal it is 0. The curve is read as steps, which is how it is drawn.
//
// Source: ITIC (CBEMA) curve, 2000 revision (SEEN), for single-phase 120 V equipment.
func ToleratedMS(fraction float64) (ms float64, steady bool, err error) {
	if err := within(phrase.Of("voltage"), fraction, 0, 100, "of nominal"); err != nil {
		return 0, false, err
	}
	if fraction <= 1 {
		for _, p := range toleranceCurve.sags {
			if fraction >= p.fraction {
				return p.ms, p.steady, nil
			}
		}
	}
	for _, p := range toleranceCurve.swells {
		if fraction <= p.fraction {
			return p.ms, p.steady, nil
		}
	}
	return 0, false, nil
}

// A Sensitive is a load that a break may disturb.
type Sensitive struct {
	Name           string
	RidesThroughMS float64 // longest break that it rides through; 0 means unknown
}

// A Break is the changeover of the inverter, as the loads see it.
type Break struct {
	TransferMS float64 // 0 to 60,000
	Known      bool    // the data sheet says how long; a break of 0 ms is a statement too
	Loads      []Sensitive
}

// A BreakResult holds one check for the tolerance curve and one for each load that says what it rides through.
type BreakResult struct {
	Checks  []Check // transfer-curve first, then transfer-LOAD
	Working []Step
}

// CheckBreak holds the break against the published curve, at no voltage, and against each load.
//
// A break beyond the curve is a caution: electronics without a statement may restart. A break beyond what a load is said to ride through
// fails. A load with no statement has no check of its own.
func CheckBreak(b Break) (BreakResult, error) {
	curveMS := toleranceCurve.sags[len(toleranceCurve.sags)-1].ms // the point of no voltage at all
	if err := within(phrase.Of("break"), b.TransferMS, 0, 60000, "ms"); err != nil {
		return BreakResult{}, err
	}
	var r BreakResult
	curve := compare("transfer-curve", b.TransferMS, curveMS, "ms", phrase.Of("break that electronics tolerate"))
	switch {
	case !b.Known:
		curve = unknown("transfer-curve", 0, "ms", "transfer time", phrase.Of("the changeover break is not known: electronics tolerate %s ms", fig(curveMS)))
	case curve.Status == Fail:
		curve.Status = Caution
		curve.Reason = phrase.Of("electronics are only made to stand %s ms: what says nothing else may restart", fig(curveMS))
	}
	r.Checks = append(r.Checks, curve)
	r.Working = append(r.Working, Step{phrase.Of("Break that electronics tolerate"), none, phrase.Of("no voltage left"), curveMS, "ms", curveSource})
	for i, l := range b.Loads {
		if err := optional(phrase.Of("load %d (%s): break", i+1, l.Name), l.RidesThroughMS, 0.001, 1e9, "ms"); err != nil {
			return BreakResult{}, err
		}
		switch id := "transfer-" + l.Name; {
		case l.RidesThroughMS == 0:
		case !b.Known:
			r.Checks = append(r.Checks, unknown(id, 0, "ms", "transfer time", phrase.Of("the changeover break is not known; this load rides through %s ms", fig(l.RidesThroughMS))))
		default:
			r.Checks = append(r.Checks, compare(id, b.TransferMS, l.RidesThroughMS, "ms", phrase.Of("break that %s rides through", l.Name)))
		}
	}
	return r, nil
}
