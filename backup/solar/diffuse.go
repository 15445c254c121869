package solar

// ErbsHourly returns the diffuse share of an hour's global irradiation from the hour's clearness index kt, which is
// global over extraterrestrial, both horizontal. kt below 0 counts as 0.
//
// Source: Erbs, Klein & Duffie, Solar Energy 28 (1982); Duffie & Beckman, eq. 2.10.1.
func ErbsHourly(kt float64) float64 {
	switch kt = max(0, kt); {
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.80:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	}
	return 0.165
}

// ErbsDaily returns the diffuse share of a day's global irradiation, from the day's clearness index and its sunset hour
// angle in degrees. A clearness below 0 counts as 0.
//
// Source: Erbs, Klein & Duffie, Solar Energy 28 (1982); Duffie & Beckman, eq. 2.11.1 (from memory; the book's example
// in the tests comes back).
func ErbsDaily(sunsetDeg, clearness float64) float64 {
	k := max(0, clearness)
	switch {
	case sunsetDeg <= 81.4 && k < 0.715:
		return 1 + k*(-0.2727+k*(2.4495+k*(-11.9514+k*9.3879)))
	case sunsetDeg <= 81.4:
		return 0.143
	case k < 0.722:
		return min(1, 1+k*(0.2832+k*(-2.5557+k*0.8448))) // the fit rises above 1 on the dullest days
	}
	return 0.175
}

// ErbsMonthly returns the diffuse share of a month's mean daily irradiation, from the month's clearness index and the
// sunset hour angle, in degrees, of its mean day. The correlation holds for clearness 0.3 to 0.8; beyond, the nearest
// end is used.
//
// Source: Duffie & Beckman, eq. 2.12.1 (Erbs et al.).
func ErbsMonthly(sunsetDeg, clearness float64) float64 {
	k := min(0.8, max(0.3, clearness))
	if sunsetDeg <= 81.4 {
		return 1.391 + k*(-3.560+k*(4.189-k*2.137))
	}
	return 1.311 + k*(-3.022+k*(3.427-k*1.821))
}

// split divides an hour's global irradiation into beam and diffuse, given the part of it that is diffuse or, where
// beamWhM2 is not negative, the beam measured on a plane that follows the sun. What it returns always closes:
// global = beam * cos(zenith) + diffuse.
//
// Global is kept and diffuse is what is left, never the other way round: just after sunrise the cosine is so
// small that a watt of rounding in the file would become hundreds on a wall, which is why beam is also held below what
// arrives above the atmosphere.
func (l litHour) split(globalWhM2, diffuseWhM2, beamWhM2 float64) (beam, diffuse float64) {
	cosZenith := l.cosZenith
	if l.share == 0 || cosZenith < 1e-6 || globalWhM2 <= 0 { // twilight: all of it comes from the sky
		return 0, max(0, globalWhM2)
	}
	most := min(globalWhM2/cosZenith, l.normalWm2*l.share)
	if beamWhM2 >= 0 {
		beam = min(beamWhM2, most)
	} else {
		beam = min(max(0, globalWhM2-diffuseWhM2)/cosZenith, most)
	}
	return beam, max(0, globalWhM2-beam*cosZenith)
}
