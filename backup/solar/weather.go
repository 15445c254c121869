package solar

import "fmt"

// Weather is a year of hours at one place. [EPW.Weather] and [Monthly.Weather] make it.
type Weather struct {
	Place    Place
	Hours    []Hour   // HoursPerYear of them; the first is 1 January, 00:00 to 01:00 local standard time
	Cautions []string // worth saying, none of them fatal
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
		return fmt.Errorf("solar: weather of %d hours, want %d", len(w.Hours), HoursPerYear)
	}
	for i := range w.Hours {
		if err := w.Hours[i].check(); err != nil {
			return fmt.Errorf("%w (hour %d of the year)", err, i)
		}
	}
	return nil
}

func (h *Hour) check() error {
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

// DailyKWhM2 returns the global horizontal irradiation of each day, in kWh/m2.
func (w Weather) DailyKWhM2() []float64 {
	days := make([]float64, len(w.Hours)/24)
	for d := range days {
		for _, h := range w.Hours[d*24 : d*24+24] {
			days[d] += h.GlobalWm2 / 1000
		}
	}
	return days
}

// LeastRun returns the run of so many days (1 to 365, December running into January) with the least global
// irradiation: the number of its first day, from 1, and its sum in kWh/m2. Of equal runs it is the earliest.
//
// A bank sized on a month's mean meets this run instead: three days running may bring a third of the mean.
func (w Weather) LeastRun(days int) (firstDay int, kWhM2 float64, err error) {
	if len(w.Hours) != HoursPerYear {
		return 0, 0, fmt.Errorf("solar: weather of %d hours, want %d", len(w.Hours), HoursPerYear)
	}
	if days < 1 || days > 365 {
		return 0, 0, fmt.Errorf("solar: run of %d days, want 1 to 365", days)
	}
	daily := w.DailyKWhM2()
	for first := range daily {
		// Summed afresh each time: a sliding sum would drift, and equal runs would not stay equal.
		sum := 0.0
		for i := range days {
			sum += daily[(first+i)%len(daily)]
		}
		if first == 0 || sum < kWhM2 {
			firstDay, kWhM2 = first+1, sum
		}
	}
	return firstDay, kWhM2, nil
}
