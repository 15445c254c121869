package solar

import (
	"math"
	"time"
)

// A Sun is where the sun stands, seen from one place at one moment. No refraction: at the horizon the sun is seen
// about half a degree higher, which no array notices.
type Sun struct {
	DeclinationDeg float64 // -23.5..23.5
	HourAngleDeg   float64 // -180..180, negative in the morning
	ZenithDeg      float64 // 0..180, 90 at the horizon
	AzimuthDeg     float64 // [0, 360), clockwise from north
}

// SunFrom returns the sun's place in the sky from latitude, declination and hour angle, all in degrees.
//
// Source: the horizontal coordinates of spherical astronomy, e.g. Duffie & Beckman, Solar Engineering of Thermal
// Processes, section 1.6, whose azimuth starts at south. Written as a two-argument arc tangent, which keeps its
// quadrant on both hemispheres and needs no division at the poles.
func SunFrom(latitudeDeg, declinationDeg, hourAngleDeg float64) Sun {
	sinLat, cosLat := math.Sincos(latitudeDeg * (math.Pi / 180))
	sinDec, cosDec := math.Sincos(declinationDeg * (math.Pi / 180))
	sinHour, cosHour := math.Sincos(hourAngleDeg * (math.Pi / 180))
	return Sun{
		DeclinationDeg: declinationDeg,
		HourAngleDeg:   hourAngleDeg,
		ZenithDeg:      acosDeg(sinLat*sinDec + cosLat*cosDec*cosHour),
		AzimuthDeg:     turn(atan2Deg(-cosDec*sinHour, sinDec*cosLat-cosDec*sinLat*cosHour)),
	}
}

// SunAt returns the sun's place in the sky at an instant, good to about 0.01 degrees between 1900 and 2100.
//
// Source: Meeus, Astronomical Algorithms, 2nd ed., chapters 12 (sidereal time), 22 (obliquity) and 25 (the sun, low
// accuracy); coefficients from memory, proved by the published positions in the tests. The sidereal time is mean, and
// the seconds between UTC and dynamical time are left out: together below 0.006 degrees.
func SunAt(p Place, t time.Time) Sun {
	const unixEpochDay, j2000Day = 2440587.5, 2451545.0
	days := float64(t.Unix())/86400 + float64(t.Nanosecond())/86400e9 + (unixEpochDay - j2000Day)
	c := days / 36525 // Julian centuries

	meanLong := 280.46646 + c*(36000.76983+c*0.0003032) // eq. 25.2
	anomaly := 357.52911 + c*(35999.05029-c*0.0001537)  // eq. 25.3
	center := (1.914602-c*(0.004817+c*0.000014))*sinDeg(anomaly) +
		(0.019993-c*0.000101)*sinDeg(2*anomaly) + 0.000289*sinDeg(3*anomaly)
	node := 125.04 - 1934.136*c
	long := meanLong + center - 0.00569 - 0.00478*sinDeg(node)          // apparent: nutation and aberration
	obliquity := 23.4392911 - c*0.0130042 + 0.00256*cosDeg(node)        // eq. 22.2, first order, and 25.8
	ascension := atan2Deg(cosDeg(obliquity)*sinDeg(long), cosDeg(long)) // eq. 25.6
	declination := asinDeg(sinDeg(obliquity) * sinDeg(long))            // eq. 25.7
	sidereal := 280.46061837 + 360.98564736629*days + 0.000387933*c*c   // eq. 12.4, at Greenwich

	return SunFrom(p.LatitudeDeg, declination, halfTurn(math.Mod(sidereal, 360)+p.LongitudeDeg-ascension))
}

// DeclinationDeg returns the sun's declination on day n of the year (1..365), in degrees, by Cooper's sine: up to 1
// degree off near the equinoxes, and the one that the monthly methods of the books are built on.
//
// Source: Duffie & Beckman, eq. 1.6.1 (Cooper, 1969).
func DeclinationDeg(n int) float64 {
	return 23.45 * sinDeg(360*(284+float64(n))/365)
}

// EquationOfTimeMin returns by how many minutes a sundial is ahead of the mean sun on day n of the year (1..365).
//
// Source: Duffie & Beckman, eq. 1.5.3 (Spencer, 1971).
func EquationOfTimeMin(n int) float64 {
	b := 360 * float64(n-1) / 365
	return 229.2 * (0.000075 + 0.001868*cosDeg(b) - 0.032077*sinDeg(b) - 0.014615*cosDeg(2*b) - 0.04089*sinDeg(2*b))
}

// SolarTimeAheadH returns by how many hours solar time is ahead of the clock on day n of the year (1..365).
//
// Source: Duffie & Beckman, eq. 1.5.2, turned round: the book counts longitudes west.
func (p Place) SolarTimeAheadH(n int) float64 {
	return (4*(p.LongitudeDeg-15*p.UTCOffsetH) + EquationOfTimeMin(n)) / 60
}
