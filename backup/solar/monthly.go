package solar

import (
	"fmt"

	"outlast/backup/fault"
	"outlast/backup/phrase"
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
	// EqualDays gives every day the month's mean clearness. Diffuse follows from the month's mean ([ErbsMonthly]): the
	// handbook's month by hours. It has no dull days, and held against a file of hourly weather (Chicago, the tests) it
	// gives steep arrays 10 to 12 % too much in winter, where DrawnDays give 2 to 3 %: it makes 42 % of the year's sun
	// diffuse, and in the file 47 % is.
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

// Sky works out of the table what is the same for all kinds of days and all draws.
//
// A month that gets more than arrives above the atmosphere is an error, of type [*BeyondSkyError]; one that gets more
// than four fifths of it, which only the clearest deserts come near, is a caution.
func (m Monthly) Sky() (*Sky, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	s := &Sky{table: m, extra: m.extra()}
	for i := range s.days {
		s.days[i] = sunOf(m.Place, i)
	}
	var err error
	if s.clearness, err = m.clearness(s.extra); err != nil {
		return nil, err
	}
	for month, kt := range s.clearness {
		if kt > 0.8 {
			s.cautions = append(s.cautions, phrase.Of(
				"irradiation of month %d, %g kWh/m2 a day, is %.0f %% of what arrives above the atmosphere; "+
					"the clearest deserts come near 80 %%",
				month+1, m.GlobalKWhM2Day[month], kt*100))
		}
	}
	return s, nil
}

// AboveAir returns the most that each month may be given: its mean day above the atmosphere, on the horizontal, in
// kWh/m2. The error reports a table or a place out of range.
func (m Monthly) AboveAir() (months [12]float64, err error) {
	if err := m.check(); err != nil {
		return months, err
	}
	for i, e := range m.extra() {
		month := monthOf(i)
		months[month] += e / float64(monthDays[month])
	}
	return months, nil
}

// extra is the irradiation of each day of the year above the atmosphere, in kWh/m2; 0 for a day that gets no light.
func (m Monthly) extra() []float64 {
	days := make([]float64, 365)
	for i := range days {
		if declination := DeclinationDeg(i + 1); hasLight(SunsetHourAngleDeg(m.Place.LatitudeDeg, declination)) {
			days[i] = DailyExtraterrestrialKWhM2(m.Place.LatitudeDeg, declination, i+1)
		}
	}
	return days
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
			return kt, &BeyondSkyError{Month: month + 1, KWhM2Day: given, LatitudeDeg: m.Place.LatitudeDeg,
				MostKWhM2Day: extra}
		}
		if extra > 0 {
			kt[month] = given / extra
		}
	}
	return kt, nil
}

// BeyondSkyError reports a month that is given more irradiation than arrives above the atmosphere.
type BeyondSkyError struct {
	Month                  int     // 1 to 12
	KWhM2Day, MostKWhM2Day float64 // given; and above the atmosphere, on the horizontal
	LatitudeDeg            float64
}

func (e *BeyondSkyError) Error() string {
	return fmt.Sprintf("solar: irradiation of month %d %g kWh/m2 a day, but at latitude %g only %.3g arrives above the atmosphere",
		e.Month, e.KWhM2Day, e.LatitudeDeg, e.MostKWhM2Day)
}

// mostKWhM2Day is more than any place gets, above the air too: 13.2 at the pole in December.
const mostKWhM2Day = 15

func (m Monthly) check() error {
	if err := m.Place.check(); err != nil {
		return err
	}
	for i := range monthDays {
		if err := inRange(fmt.Sprintf("irradiation of month %d", i+1), "kWh/m2 a day", m.GlobalKWhM2Day[i], 0,
			mostKWhM2Day); err != nil {
			return err
		}
		if err := checkAirC(m.AirC[i]); err != nil {
			return errs.Errorf("%w (month %d)", fault.Reason(err), i+1)
		}
	}
	return nil
}
