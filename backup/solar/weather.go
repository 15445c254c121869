package solar

import (
	"outlast/backup/fault"
	"outlast/backup/phrase"
)

// Weather is a year of hours at one place. [EPW.Weather] makes it.
type Weather struct {
	Place    Place
	Hours    []Hour          // HoursPerYear of them; the first is 1 January, 00:00 to 01:00 local standard time
	Cautions []phrase.Phrase // worth saying, none of them fatal
}

// An Hour is one hour's weather, as means over the hour.
type Hour struct {
	Irradiance
	AirC float64
	Sun  Sun // in the middle of the part of the hour in which it is up
}

// check returns an error for weather that nobody's reader made.
func (w Weather) check() error {
	if len(w.Hours) != HoursPerYear {
		return errs.Errorf("weather of %d hours, want %d", len(w.Hours), HoursPerYear)
	}
	for i := range w.Hours {
		if err := w.Hours[i].check(); err != nil {
			return errs.Errorf("%w (hour %d of the year)", fault.Reason(err), i)
		}
	}
	return nil
}

func (h *Hour) check() error {
	if h.GlobalWm2 >= 0 && h.GlobalWm2 <= maxIrradianceWm2 && h.BeamNormalWm2 >= 0 &&
		h.BeamNormalWm2 <= maxIrradianceWm2 && h.DiffuseWm2 >= 0 && h.DiffuseWm2 <= maxIrradianceWm2 &&
		h.AirC >= leastAirC && h.AirC <= MostAirC {
		return nil // a plan asks this of some hundred thousand hours
	}
	if err := h.Irradiance.check(); err != nil {
		return err
	}
	return checkAirC(h.AirC)
}

// AirRangeC returns the coldest and the hottest hour, in degrees C: of a typical year, so a record low is colder.
func (w Weather) AirRangeC() (coldest, hottest float64) {
	for i, h := range w.Hours {
		if i == 0 {
			coldest, hottest = h.AirC, h.AirC
		}
		coldest, hottest = min(coldest, h.AirC), max(hottest, h.AirC)
	}
	return coldest, hottest
}

// MonthlyKWhM2 returns the global horizontal irradiation of each month, in kWh/m2.
func (w Weather) MonthlyKWhM2() (sums [12]float64) {
	if len(w.Hours) != HoursPerYear {
		return sums
	}
	hours := make([]float64, len(w.Hours))
	for i := range w.Hours {
		hours[i] = w.Hours[i].GlobalWm2 / 1000
	}
	return monthSums(hours)
}

// Month returns the hours of one month, 1 to 12; none for weather that nobody's reader made.
func (w Weather) Month(month int) []Hour {
	if len(w.Hours) != HoursPerYear || month < 1 || month > 12 {
		return nil
	}
	first := firstDay(month-1) * 24
	return w.Hours[first : first+monthDays[month-1]*24]
}
