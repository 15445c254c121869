package solar

import (
	"math/rand/v2"
	"slices"
	"sync"

	"outlast/backup/phrase"
)

// A Sky is a table of months with the sun of its place, hour by hour: what months of weather are made from.
// [Monthly.Sky] makes it.
type Sky struct {
	table     Monthly
	days      [12]func() []day // of each month, worked out when first asked for
	extra     []float64        // extraterrestrial, kWh/m2, by day of the year
	clearness [12]float64
	cautions  []phrase.Phrase
}

// Cautions are what is worth saying of the table.
func (s *Sky) Cautions() []phrase.Phrase { return slices.Clone(s.cautions) }

// AppendMonth appends the hours of one month, 1 to 12: those that the year of the same seed has. Months are drawn apart
// from each other, so that one of them can be had without the rest. The month has its given mean, up to rounding (1e-9
// of it). seed matters for [DrawnDays] only.
//
// Hours follow from days by [HourlyGlobalShare], in clock time by longitude, UTC offset and the equation of time;
// diffuse by [ErbsDaily] of the day's clearness, for EqualDays by [ErbsMonthly], and [HourlyDiffuseShare]. The hourly
// correlation would not do: it was fitted to hours that differ, and these hours all have the clearness of their day. On
// the days of a file of hourly weather (Chicago, the tests), whose sun is diffuse by 47 %, it makes that 52 % and the
// daily one 49 %.
func (s *Sky) AppendMonth(hours []Hour, month int, days Days, seed uint64) ([]Hour, error) {
	if days < EqualDays || days > DrawnDays {
		return nil, errs.Errorf("unknown kind of days %d", days)
	}
	if month < 1 || month > 12 {
		return nil, errs.Errorf("month %d, want 1 to 12", month)
	}
	m := month - 1
	first, n, kt := firstDay(m), monthDays[m], s.clearness[m]
	ks := make([]float64, n)
	switch days {
	case EqualDays:
		for i := range ks {
			ks[i] = kt
		}
	case OrderedDays:
		ks = orderedMonth(kt, s.extra[first:first+n])
	case DrawnDays:
		// The eve of a month counts as a mean day of the month before: the paper's practice (memory).
		ks = drawnMonth(kt, s.clearness[(m+11)%12], s.extra[first:first+n], rand.NewPCG(seed, uint64(month)))
	}
	equal := ErbsMonthly(SunsetHourAngleDeg(s.table.Place.LatitudeDeg, DeclinationDeg(meanDays[m])), kt)
	hours = slices.Grow(hours, 24*n)
	sun := s.days[m]()
	for i, k := range ks {
		d := &sun[i]
		share := equal
		if days != EqualDays {
			share = ErbsDaily(d.sunset, k)
		}
		hours = d.appendHours(hours, k*s.extra[first+i]*1000, share, s.table.AirC[m])
	}
	return hours, nil
}

// appendHours spreads a day's global irradiation over its hours.
func (d *day) appendHours(hours []Hour, dayWhM2, diffuseShare, airC float64) []Hour {
	for h := range d.hours {
		l, of := &d.hours[h], Irradiance{GlobalWm2: dayWhM2 * d.global[h]}
		if of.GlobalWm2 > 0 { // half of all hours are nights
			of.BeamNormalWm2, of.DiffuseWm2 = l.split(of.GlobalWm2, dayWhM2*diffuseShare*d.diffuse[h], -1)
		}
		hours = append(hours, Hour{of, airC, l.sun})
	}
	return hours
}

// sunOf returns the days of one month, from 0, at a place.
func sunOf(p Place, m int) func() []day {
	return sync.OnceValue(func() []day {
		days := make([]day, monthDays[m])
		for i := range days {
			days[i] = dayAt(p, firstDay(m)+i+1)
		}
		return days
	})
}
