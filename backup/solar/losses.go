package solar

// A Loss is a share of the DC power that goes missing for one reason, 0..1.
type Loss struct {
	Name  string
	Share float64
}

// DefaultLosses are the usual components for a fixed array.
//
// Source: NREL report TP-6A20-62641 (2014), version 5 manual, default system losses (SEEN-S). Beware of what they
// leave out: no snow and no age. Their 3 % of shading is for an open roof.
func DefaultLosses() []Loss {
	return []Loss{
		{"soiling", 0.02}, {"shading", 0.03}, {"snow", 0}, {"mismatch", 0.02}, {"wiring", 0.02},
		{"connections", 0.005}, {"light-induced degradation", 0.015}, {"nameplate rating", 0.01}, {"age", 0},
		{"availability", 0.03},
	}
}

// CombineLosses returns the share that all losses take together: each takes its share of what the others leave.
//
// Source: NREL report TP-6A20-62641 (2014).
func CombineLosses(losses []Loss) (float64, error) {
	left := 1.0
	for _, l := range losses {
		if err := inRange("loss by "+l.Name, "", l.Share, 0, 1); err != nil {
			return 0, err
		}
		left *= 1 - l.Share
	}
	return 1 - left, nil
}
