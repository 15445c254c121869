package battery

import "math"

// agmAmps is the discharge table of a 12 V 55 Ah AGM block at 20 C to 1.75 V per cell: maker's data sheet, SEEN.
var agmAmps = []struct{ hours, amps float64 }{
	{5. / 60, 135.3}, {10. / 60, 98.7}, {15. / 60, 78.9}, {20. / 60, 63.6}, {0.5, 48.7}, {0.75, 36.3}, {1, 28.9},
	{2, 17.9}, {3, 13.7}, {4, 11.2}, {5, 9.08}, {6, 8.00}, {8, 6.36}, {10, 5.39}, {20, 2.80},
}

// agmBlock is that block, with the whole table from fromH hours on.
func agmBlock(fromH float64) Unit {
	u := Unit{Chemistry: AGM, NominalV: 12, RatedAh: 56, RatedH: 20, ResistanceMohm: 7.5}
	for _, p := range agmAmps {
		if p.hours >= fromH {
			u.Capacity = append(u.Capacity, RatePoint{Hours: p.hours, Ah: p.amps * p.hours})
		}
	}
	u, _ = u.WithDefaults()
	return u
}

// floodedUnit is a 6 V deep-cycle unit: maker's data sheet, 2014, SEEN.
func floodedUnit() Unit {
	u := Unit{
		Chemistry: Flooded, NominalV: 6, RatedAh: 330, RatedH: 20,
		Capacity: []RatePoint{{5, 271}, {10, 304}, {20, 330}, {100, 367}},
	}
	u, _ = u.WithDefaults()
	return u
}

// plain returns a unit of 12 V that knows only its exponent.
func plain(c Chemistry, ah, peukert float64) Unit {
	u, _ := Unit{Chemistry: c, NominalV: 12, RatedAh: ah, RatedH: 20, Peukert: peukert}.WithDefaults()
	return u
}

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol*(1+1e-12) }
