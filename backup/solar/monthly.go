package solar

import (
	"fmt"
	"math/rand/v2"
)

// Monthly is what a table of solar radiation gives for a place.
type Monthly struct {
	Place          Place
	GlobalKWhM2Day [12]float64 // mean daily global irradiation on the horizontal, January first
	AirC           [12]float64 // mean air temperature in daylight; it heats the cells, -90..70
}

// Days says how the days of a month differ from each other.
type Days int

const (
	// EqualDays gives every day the month's mean clearness. Diffuse follows from the month's mean ([ErbsMonthly]).
	// Right for monthly energy, wrong for autonomy: no dull days.
	EqualDays Days = iota
	// OrderedDays gives the days the usual distribution in a fixed order (Knight, Klein & Duffie). Nothing is random.
	OrderedDays
	// DrawnDays draws each day from the one before by the probabilities of its month (Aguiar, Collares-Pereira &
	// Conde). The same seed gives the same year.
	DrawnDays
)

// meanDays are the days of the year whose extraterrestrial irradiation is nearest the month's mean. Source: Duffie &
// Beckman, Table 1.6.1 (memory).
var meanDays = [12]int{17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344}

// Weather makes a year of hours in which every month has its given mean, up to rounding (1e-9 of it). seed matters for
// DrawnDays only.
//
// A month that gets more than arrives above the atmosphere is an error; one that gets more than four fifths of
// it, which only the clearest deserts come near, is a caution.
//
// Hours follow from days by [HourlyGlobalShare], in clock time by longitude, UTC offset and the equation of time;
// diffuse by [ErbsHourly], for EqualDays by [ErbsMonthly] and [HourlyDiffuseShare].
func (m Monthly) Weather(days Days, seed uint64) (Weather, error) {
	if err := m.check(); err != nil {
		return Weather{}, err
	}
	if days < EqualDays || days > DrawnDays {
		return Weather{}, fmt.Errorf("solar: unknown kind of days %d", days)
	}
	year := make([]day, 365)
	weights := make([]float64, len(year)) // extraterrestrial, kWh/m2
	for i := range year {
		year[i] = dayAt(m.Place, i+1)
		weights[i] = year[i].extraKWhM2()
	}
	w := Weather{Place: m.Place, Hours: make([]Hour, 0, HoursPerYear)}
	clearness, err := m.clearness(weights)
	if err != nil {
		return Weather{}, err
	}
	rng := rand.NewPCG(seed, 0)
	for month, n := range monthDays {
		kt, first := clearness[month], firstDay(month)
		if kt > 0.8 {
			w.Cautions = append(w.Cautions, fmt.Sprintf(
				"irradiation of month %d, %g kWh/m2 a day, is %.0f %% of what arrives above the atmosphere; the clearest deserts come near 80 %%",
				month+1, m.GlobalKWhM2Day[month], kt*100))
		}
		ks := make([]float64, n)
		switch days {
		case EqualDays:
			for i := range ks {
				ks[i] = kt
			}
		case OrderedDays:
			ks = orderedMonth(kt, weights[first:first+n])
		case DrawnDays:
			// The eve of a month counts as a mean day of the month before: the paper's practice (memory).
			ks = drawnMonth(kt, clearness[(month+11)%12], weights[first:first+n], rng)
		}
		monthDiffuse := -1.0
		if days == EqualDays {
			sunset := SunsetHourAngleDeg(m.Place.LatitudeDeg, DeclinationDeg(meanDays[month]))
			monthDiffuse = ErbsMonthly(sunset, kt)
		}
		for i, k := range ks {
			w.Hours = year[first+i].appendHours(w.Hours, k*weights[first+i]*1000, monthDiffuse, m.AirC[month])
		}
	}
	if err := w.check(); err != nil {
		return Weather{}, err
	}
	return w, nil
}

// appendHours spreads a day's global irradiation over its hours. diffuseShare below 0 means hour by hour.
func (d *day) appendHours(hours []Hour, dayWhM2, diffuseShare, airC float64) []Hour {
	for h, l := range d.hours {
		global := dayWhM2 * d.global[h]
		diffuse := dayWhM2 * diffuseShare * d.diffuse[h]
		if diffuseShare < 0 {
			diffuse = l.erbs(global)
		}
		beam, diffuse := l.split(global, diffuse, -1)
		hours = append(hours, Hour{Irradiance{global, beam, diffuse}, airC, l.sun})
	}
	return hours
}

// clearness returns the months' mean clearness from the days' extraterrestrial irradiation.
func (m Monthly) clearness(extraKWhM2 []float64) (kt [12]float64, err error) {
	for month, n := range monthDays {
		extra := 0.0
		for _, e := range extraKWhM2[firstDay(month) : firstDay(month)+n] {
			extra += e / float64(n)
		}
		given := m.GlobalKWhM2Day[month]
		if given > extra {
			return kt, fmt.Errorf("solar: irradiation of month %d %g kWh/m2 a day, but at latitude %g only %.3g arrives above the atmosphere",
				month+1, given, m.Place.LatitudeDeg, extra)
		}
		if extra > 0 {
			kt[month] = given / extra
		}
	}
	return kt, nil
}

func (m Monthly) check() error {
	if err := m.Place.check(); err != nil {
		return err
	}
	for i := range monthDays {
		if err := inRange(fmt.Sprintf("irradiation of month %d", i+1), "kWh/m2 a day", m.GlobalKWhM2Day[i], 0, 15); err != nil {
			return err
		}
		if err := checkAirC(m.AirC[i]); err != nil {
			return fmt.Errorf("%w (month %d)", err, i+1)
		}
	}
	return nil
}
