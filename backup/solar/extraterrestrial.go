package solar

import "math"

// SolarConstantWm2 is the irradiance above the atmosphere at the mean distance of the sun. Source: Duffie & Beckman,
// section 1.3 (World Radiation Center value; SEEN-S). FAO 56 uses 0.0820 MJ/m2 a minute, which is 1366.7.
const SolarConstantWm2 = 1367

// DistanceFactor returns the square of mean over actual distance of the sun on day n of the year.
//
// Source: Duffie & Beckman, eq. 1.4.1b; FAO 56, eq. 23.
func DistanceFactor(n int) float64 { return 1 + 0.033*cosDeg(360*float64(n)/365) }

// SunsetHourAngleDeg returns the hour angle of sunset, in degrees: 0 in the polar night, 180 under the midnight sun.
//
// Source: Duffie & Beckman, eq. 1.6.10.
func SunsetHourAngleDeg(latitudeDeg, declinationDeg float64) float64 {
	return acosDeg(-math.Tan(latitudeDeg*(math.Pi/180)) * math.Tan(declinationDeg*(math.Pi/180)))
}

// DailyExtraterrestrialKWhM2 returns what a horizontal square metre above the atmosphere receives on day n of the
// year, in kWh. The declination is the caller's, since books differ in it.
//
// Source: Duffie & Beckman, eq. 1.10.3.
func DailyExtraterrestrialKWhM2(latitudeDeg, declinationDeg float64, n int) float64 {
	sunset := SunsetHourAngleDeg(latitudeDeg, declinationDeg)
	return ExtraterrestrialWhM2(latitudeDeg, declinationDeg, n, -sunset, sunset) / 1000
}

// ExtraterrestrialWhM2 returns what a horizontal square metre above the atmosphere receives between two hour angles of
// day n of the year, in Wh. The sun must be above the horizon from fromDeg to toDeg, both in -180..180; the
// result is never negative.
//
// Source: Duffie & Beckman, eq. 1.10.4.
func ExtraterrestrialWhM2(latitudeDeg, declinationDeg float64, n int, fromDeg, toDeg float64) float64 {
	fromDeg, toDeg = max(-180, fromDeg), min(180, toDeg)
	wh := 12 / math.Pi * SolarConstantWm2 * DistanceFactor(n) *
		(cosDeg(latitudeDeg)*cosDeg(declinationDeg)*(sinDeg(toDeg)-sinDeg(fromDeg)) +
			(toDeg-fromDeg)*(math.Pi/180)*sinDeg(latitudeDeg)*sinDeg(declinationDeg))
	return max(0, wh)
}
