package site

import (
	"outlast/backup/calendar"
	"outlast/backup/solar"
)

// YearInPlane is the year's irradiation in an array's plane by the monthly method, in kWh/m2; 0 where no sun is known.
// It is for comparisons: the arrays' energies are drawn day by day.
func (s *Site) YearInPlane(a Array) (kWhM2 float64) {
	months, latitude := a.MonthlyKWhM2Day, s.Place().LatitudeDeg
	if a.Hours != nil {
		latitude = a.Hours.Place.LatitudeDeg
		for m, kWh := range a.Hours.MonthlyKWhM2() {
			months = append(months, kWh/float64(calendar.DaysIn[m]))
		}
	}
	for m, global := range months {
		t, err := solar.Tilted(latitude, m+1, global, a.Plane(), solar.DefaultAlbedo)
		if err != nil {
			return 0
		}
		kWhM2 += t.Plane() * float64(calendar.DaysIn[m])
	}
	return kWhM2
}
