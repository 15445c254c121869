package solar

import "math"

// HourlyGlobalShare returns the share of a day's global irradiation that falls into the hour around an hour
// angle, both angles in degrees; 0 when the sun is down. Over a day the hours' shares add to 1 within a per cent only.
//
// Source: Collares-Pereira & Rabl, Solar Energy 22 (1979) 155-164; Duffie & Beckman, eq. 2.13.2. Trap: 0.4767 is
// subtracted, and the sine wants the 60 in its own unit; code with either fault is about.
func HourlyGlobalShare(hourAngleDeg, sunsetDeg float64) float64 {
	a := 0.4090 + 0.5016*sinDeg(sunsetDeg-60)
	b := 0.6609 - 0.4767*sinDeg(sunsetDeg-60)
	return (a + b*cosDeg(hourAngleDeg)) * HourlyDiffuseShare(hourAngleDeg, sunsetDeg)
}

// HourlyDiffuseShare is the same for a day's diffuse irradiation: its hours follow the extraterrestrial ones.
//
// Source: Liu & Jordan (1960); Duffie & Beckman, eq. 2.13.4.
func HourlyDiffuseShare(hourAngleDeg, sunsetDeg float64) float64 {
	sunsetDeg = min(180, sunsetDeg)
	if !hasLight(sunsetDeg) || !(math.Abs(hourAngleDeg) < sunsetDeg) {
		return 0
	}
	return math.Pi / 24 * (cosDeg(hourAngleDeg) - cosDeg(sunsetDeg)) /
		(sinDeg(sunsetDeg) - sunsetDeg*(math.Pi/180)*cosDeg(sunsetDeg))
}

// hasLight is false for a day on which the sun shows itself for less than 24 seconds too: no energy, and nearly 0/0.
func hasLight(sunsetDeg float64) bool { return sunsetDeg >= 0.05 }

// A litHour is the part of an hour in which the sun is up.
type litHour struct {
	sun       Sun     // in the middle of that part; of the whole hour when the sun is down
	share     float64 // 0..1 of the hour
	extraWhM2 float64 // extraterrestrial, horizontal
	normalWm2 float64 // extraterrestrial, facing the sun
	cosZenith float64
}

// lit returns the lit part of the hour that begins at an hour angle, on day n of the year.
//
// The middle of the hour would not do: at sunrise the sun may still be down at the half hour, and the
// energy that the file reports for the rest would have no direction.
func lit(latitudeDeg, declinationDeg float64, n int, beginDeg float64) litHour {
	sunset := SunsetHourAngleDeg(latitudeDeg, declinationDeg)
	begin := halfTurn(beginDeg)
	l := litHour{normalWm2: SolarConstantWm2 * DistanceFactor(n)}
	middle, longest := begin+7.5, 0.0
	// Near midnight an hour may hold the end of one day's light and the start of the next.
	for _, from := range [2]float64{begin, begin - 360} {
		lo, hi := max(from, -sunset), min(from+15, sunset)
		if hi <= lo {
			continue
		}
		l.share += (hi - lo) / 15
		l.extraWhM2 += ExtraterrestrialWhM2(latitudeDeg, declinationDeg, n, lo, hi)
		if hi-lo > longest {
			middle, longest = (lo+hi)/2, hi-lo
		}
	}
	l.share = min(1, l.share)
	l.sun = SunFrom(latitudeDeg, declinationDeg, halfTurn(middle))
	l.cosZenith = cosDeg(l.sun.ZenithDeg)
	return l
}

// A day is one day of a place, hour by hour.
type day struct {
	sunset          float64 // hour angle, degrees
	hours           [24]litHour
	global, diffuse [24]float64 // shares of the day's irradiation; they add to 1, or all are 0 in the polar night
}

// dayAt returns day n of the year (1..365).
func dayAt(p Place, n int) (d day) {
	declination := DeclinationDeg(n)
	sunset := SunsetHourAngleDeg(p.LatitudeDeg, declination)
	ahead := p.SolarTimeAheadH(n)
	d.sunset = sunset
	var global, diffuse float64
	for h := range d.hours {
		l := lit(p.LatitudeDeg, declination, n, 15*(float64(h)+ahead-12))
		d.hours[h] = l
		if l.share > 0 {
			d.global[h] = HourlyGlobalShare(l.sun.HourAngleDeg, sunset) * l.share
			d.diffuse[h] = HourlyDiffuseShare(l.sun.HourAngleDeg, sunset) * l.share
		}
		global += d.global[h]
		diffuse += d.diffuse[h]
	}
	// The published shares miss 1 by a per cent; the day's energy is what the caller gave.
	for h := range d.hours {
		if global > 0 && diffuse > 0 {
			d.global[h] /= global
			d.diffuse[h] /= diffuse
		}
	}
	return d
}
