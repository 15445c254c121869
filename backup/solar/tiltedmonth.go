package solar

import "math"

// A TiltedMonth is a month's mean daily irradiation carried to a plane by the handbook's monthly method, in kWh/m2.
type TiltedMonth struct {
	DayNumber int     // of the month's mean day
	AboveAir  float64 // on the horizontal above the atmosphere, on the month's mean day
	Global    float64 // on the horizontal, as given
	Clearness float64 // global over that above the air
	Diffuse   float64 // share of global, by [ErbsMonthly]
	BeamRatio float64 // beam in the plane over beam on the horizontal above the air, of the mean day; 0 without a sunrise

	Beam, Sky, Ground float64 // in the plane
}

// Plane is all that falls into the plane.
func (t TiltedMonth) Plane() float64 { return t.Beam + t.Sky + t.Ground }

// Tilted carries a month, 1 to 12, of mean daily global irradiation in kWh/m2 to a plane at a latitude, with an albedo.
//
// It is for comparison, and for what needs no more than a month: whole days hide the dull ones, and with them that a
// dull day has hardly any beam (see [EqualDays]). An error reports a plane, a latitude, a month, an albedo or an
// irradiation (0 to 15) out of range.
//
// Source: Duffie & Beckman, section 2.19 (Liu & Jordan, Klein): isotropic sky, the beam ratio of the mean day, diffuse
// by eq. 2.12.1. The beam ratio is that integral for a plane of any azimuth, as eq. 2.20.5 has it.
func Tilted(latitudeDeg float64, month int, globalKWhM2 float64, p Plane, albedo float64) (t TiltedMonth, err error) {
	if err := p.check(); err != nil {
		return t, err
	}
	if err := inRange("latitude", "degrees", latitudeDeg, -90, 90); err != nil {
		return t, err
	}
	if err := inRange("month", "", float64(month), 1, 12); err != nil {
		return t, err
	}
	if err := inRange("albedo", "", albedo, 0, 1); err != nil {
		return t, err
	}
	if err := inRange("irradiation", "kWh/m2 a day", globalKWhM2, 0, mostKWhM2Day); err != nil {
		return t, err
	}
	n := meanDays[month-1]
	declination := DeclinationDeg(n)
	t.DayNumber = n
	t.AboveAir = DailyExtraterrestrialKWhM2(latitudeDeg, declination, n)
	t.Global = globalKWhM2
	if globalKWhM2 == 0 || t.AboveAir == 0 {
		return t, nil // polar night: what a month at its edge has is the sky of days that its mean day is not
	}
	sunset := SunsetHourAngleDeg(latitudeDeg, declination)
	t.Clearness = min(1, globalKWhM2/t.AboveAir) // the mean day may have a little less than the month's mean
	t.Diffuse = ErbsMonthly(sunset, t.Clearness)
	if flat := dayBeam(Plane{}, latitudeDeg, declination, sunset); flat > 0 {
		t.BeamRatio = dayBeam(p, latitudeDeg, declination, sunset) / flat
	}
	tilt := newTilted(p, albedo)
	t.Beam = globalKWhM2 * (1 - t.Diffuse) * t.BeamRatio
	t.Sky, t.Ground = globalKWhM2*t.Diffuse*tilt.sky, globalKWhM2*tilt.ground
	return t, nil
}

// dayBeam is the integral of the cosine of incidence over the hour angles in which the sun is above the horizon and
// before the plane.
//
// Source: Duffie & Beckman, eq. 1.6.2, sorted by hour angle: a + b*cos(w) + c*sin(w), integrated in closed form.
func dayBeam(p Plane, latitudeDeg, declinationDeg, sunsetDeg float64) float64 {
	sinLat, cosLat := sinDeg(latitudeDeg), cosDeg(latitudeDeg)
	sinDec, cosDec := sinDeg(declinationDeg), cosDeg(declinationDeg)
	sinTilt, cosTilt := sinDeg(p.TiltDeg), cosDeg(p.TiltDeg)
	sinFace, cosFace := sinDeg(p.AzimuthDeg-180), cosDeg(p.AzimuthDeg-180) // from south, west positive, as the book has it
	a := sinDec * (sinLat*cosTilt - cosLat*sinTilt*cosFace)
	b := cosDec * (cosLat*cosTilt + sinLat*sinTilt*cosFace)
	c := cosDec * sinTilt * sinFace
	integral := func(from, to float64) float64 {
		if to <= from {
			return 0
		}
		return a*(to-from) + b*(math.Sin(to)-math.Sin(from)) - c*(math.Cos(to)-math.Cos(from))
	}
	sunset := sunsetDeg * (math.Pi / 180)
	most := math.Hypot(b, c)
	switch {
	case a >= most: // the sun never goes behind the plane
		return integral(-sunset, sunset)
	case a <= -most:
		return 0
	}
	// Before the plane it stands around the hour angle at which it faces it best.
	best, half := math.Atan2(c, b), math.Acos(-a/most)
	sum := 0.0
	for _, turn := range [3]float64{-2 * math.Pi, 0, 2 * math.Pi} {
		sum += integral(max(-sunset, best-half+turn), min(sunset, best+half+turn))
	}
	return max(0, sum)
}
