package backup

import (
	"outlast/backup/solar"
)

// yearInPlane is the year's irradiation in an array's plane by the monthly method, in kWh/m2; 0 where no sun is known. It is for
// comparisons: the arrays' energies are drawn day by day.
func (s *Site) yearInPlane(a Array) (kWhM2 float64) {
	months, latitude := a.MonthlyKWhM2Day, s.place().LatitudeDeg
	if a.hours != nil {
		latitude = a.hours.Place.LatitudeDeg
		for m, kWh := range a.hours.MonthlyKWhM2() {
			months = append(months, kWh/float64(daysIn[m]))
		}
	}
	for m, global := range months {
		t, err := solar.Tilted(latitude, m+1, global, a.plane(), solar.DefaultAlbedo)
		if err != nil {
			return 0
		}
		kWhM2 += t.Plane() * float64(daysIn[m])
	}
	return kWhM2
}
