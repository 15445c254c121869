package wiring

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Drop is what a run loses.
type Drop struct {
	V        float64 // of the voltage that the run was described with
	Fraction float64 // of that voltage
}

// acReactance: per conductor of a cable or of cores side by side, when nothing better is known, ohm/km. It only counts
// in thick cables.
var acReactance = known(0.08, working.IECPart552.At(working.InAnnex("G"), working.Memory))

func powerFactorRange(pf float64) error {
	return optional(phrase.Of("power factor"), pf, 0.01, 1, "")
}

// drop returns the drop of a run of lengthM one way that carries currentA in each conductor.
//
// ohmPerKm is of one conductor at its working temperature; voltageV is line to neutral, for DC between the poles.
// powerFactor is in (0, 1]; 0 means that it is unknown, and then the drop is that of the worst one. DC has none.
//
// DC and single-phase lose 2 L I Z over both conductors, a balanced split-phase or three-phase run L I Z from line to
// neutral, with Z = R cos(phi) + X sin(phi) (IEC 60364-5-52 Annex G, memory). The table "mV per A and m" of BS 7671
// Appendix 4 has the return conductor in it already.
func drop(s System, lengthM, currentA, ohmPerKm, voltageV, powerFactor float64) Drop {
	v := s.paths() * lengthM / 1000 * currentA * impedance(s, ohmPerKm, powerFactor)
	return Drop{V: v, Fraction: v / voltageV}
}

// paths is how many conductors in series the current goes through, seen from the voltage that the drop is a fraction
// of.
func (s System) paths() float64 {
	if s == DC || s == SinglePhase {
		return 2
	}
	return 1
}

// impedance is in ohm/km of one conductor, in the direction of the voltage.
func impedance(s System, ohmPerKm, powerFactor float64) float64 {
	switch {
	case s == DC:
		return ohmPerKm
	case powerFactor == 0: // R cos + X sin is never above this, whatever the angle
		return math.Hypot(ohmPerKm, acReactance.value)
	default:
		return ohmPerKm*powerFactor + acReactance.value*math.Sqrt(max(0, 1-powerFactor*powerFactor))
	}
}

// expr is what drop computes: by the names of length_m, current (such as "start_a"), resistance_ohm_km,
// reactance_ohm_km and powerFactor, the name of a power factor that is known.
func (s System) expr(current, powerFactor string, known bool) string {
	z := "(resistance_ohm_km * " + powerFactor + " + reactance_ohm_km * sqrt(1 - " + powerFactor + "^2))"
	switch {
	case s == DC:
		z = "resistance_ohm_km"
	case !known:
		z = "sqrt(resistance_ohm_km^2 + reactance_ohm_km^2)"
	}
	way := "length_m / 1000 * " + current + " * " + z
	if s.paths() == 2 {
		return "2 * " + way
	}
	return way
}
