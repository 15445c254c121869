package battery

// Discharges faster than fastestFitH are left out of a unit's kinetic model when there are enough others: two wells
// follow a bank through hours or through minutes, not both, and an outage is a matter of hours.
const fastestFitH = 1

// ratedWeight is the weight of the rated point in the fit: at the rated current the model must give the rated capacity,
// because states of charge are counted in it.
const ratedWeight = 1000

// peukertFit are the discharge times, as parts of the rated one, at which a unit that gives only an exponent is fitted:
// 1 to 20 h for a 20-h rating. All lie at or above the rated current, where the exponent is meant to hold.
var peukertFit = []float64{0.05, 0.1, 0.15, 0.25, 0.4, 0.5, 1}

// Wells returns the constants of the kinetic battery model for one unit at 25 C, fitted to its discharge table, or to
// its Peukert exponent. The unit needs rated Ah and hours (see [Unit.WithDefaults]) and must be free of faults. The
// residuals are of the points that [Unit.WellPoints] returns.
func (u Unit) Wells() (WellFit, error) {
	if err := checkSizable(u, 1); err != nil {
		return WellFit{}, err
	}
	return FitWells(u.WellPoints(), u.WellWeights())
}

// WellPoints returns the discharges that [Unit.Wells] fits the model to, hours ascending.
func (u Unit) WellPoints() []RatePoint {
	var points []RatePoint
	if !u.hasTable() {
		for _, part := range peukertFit {
			h := part * u.RatedH
			ah, _ := u.ahAtHours(h)
			points = append(points, RatePoint{Hours: h, Ah: ah})
		}
		return points
	}
	rated := RatePoint{Hours: u.RatedH, Ah: u.RatedAh}
	slow := 0
	for _, p := range u.Capacity {
		if p.Hours >= fastestFitH {
			slow++
		}
	}
	pending := true // the rated point is not in yet
	for _, p := range u.Capacity {
		if slow >= 2 && p.Hours < fastestFitH {
			continue
		}
		if pending && p.Hours >= rated.Hours {
			points = append(points, rated)
			pending = false
			if p.Hours == rated.Hours {
				continue
			}
		}
		points = append(points, p)
	}
	if pending {
		points = append(points, rated)
	}
	return points
}
