// Package solar says what a PV array gives, hour by hour through a year, and whether its strings suit a tracker input.
//
// Weather comes first: [ReadEPW] and [EPW.Weather] for a file of hourly weather, or [Monthly.Sky] and [Sky.AppendMonth]
// for twelve monthly means of horizontal irradiation, with equal days, days in a fixed realistic order, or days drawn
// from a seed. [Receiver.Receive] then gives hourly means of DC power, and [StringWindow] compares voltages, currents
// and power of the strings with an [Input].
//
// Angles are in degrees. Azimuth runs clockwise from north (90 is east), on both hemispheres; latitude is positive
// north, longitude positive east; hour angle is negative in the morning. Irradiance is in W/m2, which is Wh/m2 over an
// hour; daily irradiation is in kWh/m2; power in W at the array's DC terminals; temperature in degrees C. Hours of the
// day are local standard time: hour 0 is 00:00 to 01:00, and there is no daylight saving. A year has 365 days, counted
// from 1 where a formula of the books wants a day number and from 0 where it indexes a slice.
//
// Left out: shade by the hour and the horizon (a share in the losses stands for them), reflection at the glass,
// the gain around the sun that an isotropic sky leaves out (so a tilted plane is given a few per cent too little, the
// safe side), low-light efficiency, mismatch inside a string, and whatever happens after the DC terminals.
package solar

import (
	"math"

	"outlast/backup/fault"
)

// errs makes the errors of this package.
const errs = fault.In("solar")

// HoursPerYear is the length of every hourly year of this package.
const HoursPerYear = 365 * 24

// A Place is where the array stands and which clock hangs there.
type Place struct {
	LatitudeDeg  float64 // -90..90, north positive
	LongitudeDeg float64 // -180..180, east positive
	UTCOffsetH   float64 // standard time, -12..14, east positive
}

// check returns an error for a place that is not on earth.
func (p Place) check() error {
	for _, f := range []struct {
		name, unit string
		v, lo, hi  float64
	}{
		{"latitude", "degrees", p.LatitudeDeg, -90, 90},
		{"longitude", "degrees", p.LongitudeDeg, -180, 180},
		{"offset from UTC", "h", p.UTCOffsetH, -12, 14},
	} {
		if err := inRange(f.name, f.unit, f.v, f.lo, f.hi); err != nil {
			return err
		}
	}
	return nil
}

// inRange returns an error unless v lies in [lo, hi]; NaN never does.
func inRange(name, unit string, v, lo, hi float64) error {
	if v >= lo && v <= hi {
		return nil
	}
	if unit != "" {
		unit = " " + unit
	}
	return errs.Errorf("%s %g%s, want %g to %g", name, v, unit, lo, hi)
}

// above0 returns an error unless v lies in (0, hi].
func above0(name, unit string, v, hi float64) error {
	if v > 0 && v <= hi {
		return nil
	}
	return errs.Errorf("%s %g %s, want above 0, at most %g", name, v, unit, hi)
}

func sinDeg(deg float64) float64 { return math.Sin(deg * (math.Pi / 180)) }
func cosDeg(deg float64) float64 { return math.Cos(deg * (math.Pi / 180)) }

// acosDeg clamps its argument: rounding may push a cosine just beyond 1, and polar days ask for far more.
func acosDeg(x float64) float64 { return math.Acos(min(1, max(-1, x))) * (180 / math.Pi) }
func asinDeg(x float64) float64 { return math.Asin(min(1, max(-1, x))) * (180 / math.Pi) }
func atan2Deg(y, x float64) float64 {
	return math.Atan2(y, x) * (180 / math.Pi)
}

// turn brings an angle into [0, 360).
func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative angle plus 360 rounds to 360
		deg = 0
	}
	return deg
}

// halfTurn brings an angle into [-180, 180).
func halfTurn(deg float64) float64 { return turn(deg+180) - 180 }
