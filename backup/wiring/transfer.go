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

// toleranceCurve: voltage tolerance of single-phase 120 V information-technology equipment, 2000 revision (ITIC, after
// CBEMA), read from a power-quality handbook p. 112 and an instrument maker's note (SEEN; the point at 200 % from its
// label only). A second handbook gives 1.1 cycles for no voltage. Sags: at least the fraction is left. Swells: at most
// the fraction.
var toleranceCurve = struct{ sags, swells []curvePoint }{
	sags:   []curvePoint{{0.90, 0, true}, {0.80, 10000, false}, {0.70, 500, false}, {0, 20, false}},
	swells: []curvePoint{{1.10, 0, true}, {1.20, 500, false}, {1.40, 3, false}, {2.00, 1, false}},
}

// ToleratedMS says how long electronics stand a voltage of the given fraction of nominal (0 to 100), in ms, or that
// they stand it for ever. Above 200 % of nominal it is 0. The curve is read as steps, which is how it is drawn.
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
