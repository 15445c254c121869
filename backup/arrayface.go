package backup

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/solar"
)

// facesAway is how much more of the year's sun an array must get when it is turned round before it is said to look the wrong way: less is
// within what the method knows, and lies in the nature of flat roofs. Own choice.
const facesAway = 0.10

// sayArrays warns of an array that looks away from the sun: often its azimuth was counted from south.
func (p *Plan) sayArrays(say func(phrase.Phrase)) {
	for i, a := range p.Site.Arrays {
		turned := a
		turned.AzimuthDeg = math.Mod(a.AzimuthDeg+180, 360)
		as, is := p.Site.yearInPlane(turned), p.Site.yearInPlane(a)
		if is > 0 && as > is*(1+facesAway) {
			say(phrase.Of("Array %d faces away from the sun: turned round, with azimuth_deg = %g, it would get %.0f %% more irradiation in a year. azimuth_deg counts clockwise from north: 0 is north, 90 east, 180 south.",
				i+1, turned.AzimuthDeg, 100*(as/is-1)))
		}
	}
}

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
