package battery

import (
	"fmt"
	"math"
)

// A GasRate is what a battery gives off while it is charged, as the ventilation standard counts it.
type GasRate struct {
	FloatMAPerAh, BoostMAPerAh float64 // Igas, in mA for each Ah of the C10 capacity
	Source                     Text
}

// gasRates: IEC 62485-2 (EN 50272-2), table 1, quoted on a public page, SEEN. Igas is the charge current (1 mA/Ah on float; 4
// vented, 8 valve-regulated on boost) times fg (1 vented, 0.2 valve-regulated) times the safety factor 5 in fs.
var gasRates = map[Chemistry]GasRate{
	Flooded: {5, 20, say("IEC 62485-2 table 1, vented lead-acid")},
	AGM:     {1, 8, say("IEC 62485-2 table 1, valve-regulated lead-acid")},
	Gel:     {1, 8, say("IEC 62485-2 table 1, valve-regulated lead-acid")},
}

// Gas returns the gas rate of a chemistry; ok is false for lithium, which gives off none in normal use (a fault is another matter,
// and no air flow of this kind covers it).
func (c Chemistry) Gas() (g GasRate, ok bool) {
	g, ok = gasRates[c]
	return g, ok
}

// Constants of the ventilation formula, IEC 62485-2, SEEN.
const (
	dilution          = 24      // v: to 4 % hydrogen and no more
	hydrogenM3PerAh   = 0.42e-3 // q: hydrogen of one cell for each Ah, at 0 C
	ventilationSafety = 5       // s
	// The standard rounds 24 * 0.42e-3 * 5 = 0.0504 to this, and so do all who follow it.
	ventilationFactor = 0.05
	openingCM2        = 28 // cm2 for each m3/h, air at 0.1 m/s; inlet and outlet each
	roomPerFlow       = 2.5
	safetyDistanceMM  = 28.8 // mm, EN 50272-2, memory
)

// A Ventilation is the air that a battery space needs.
type Ventilation struct {
	FlowM3PerH float64 // fresh air
	OpeningCM2 float64 // of the inlet and of the outlet, each, for natural flow
	RoomM3     float64 // a free volume from which a room counts as well ventilated (EN 50272-3, SEEN)
	DistanceMM float64 // round the vents, no spark or flame (EN 50272-2, memory)
}

// VentilationFor returns the air for cells in series (at least 1), a gas rate in mA/Ah and the C10 capacity in Ah of all parallel
// strings together: Q = 0.05 n Igas Crt / 1000 m3/h and an opening of 28 Q cm2. Source: IEC 62485-2, EN 50272-2, SEEN; valid up
// to 40 C. Recombination plugs halve the rate of vented cells.
func VentilationFor(cells int, gasMAPerAh, c10Ah float64) (Ventilation, error) {
	if cells < 1 {
		return Ventilation{}, fmt.Errorf("battery: %d cells, want at least 1", cells)
	}
	if !(gasMAPerAh >= 0) || !(c10Ah >= 0) || !finite(float64(cells)*gasMAPerAh*c10Ah) {
		return Ventilation{}, fmt.Errorf("battery: %g mA/Ah of gas from %g Ah, want finite numbers of at least 0", gasMAPerAh, c10Ah)
	}
	q := ventilationFactor * float64(cells) * gasMAPerAh * c10Ah / 1000
	return Ventilation{
		FlowM3PerH: q,
		OpeningCM2: openingCM2 * q,
		RoomM3:     roomPerFlow * q,
		DistanceMM: safetyDistanceMM * math.Cbrt(gasMAPerAh*c10Ah),
	}, nil
}

// Ventilation returns the air that the bank needs on float and on boost (absorption and equalise) charge. Both are zero for
// lithium. The bank's rated capacity is taken for C10: at 20 h it is a little more, which is the safe side.
func (b Bank) Ventilation() (float, boost Ventilation, err error) {
	g, ok := b.Unit.Chemistry.Gas()
	if !ok {
		return Ventilation{}, Ventilation{}, nil
	}
	if float, err = VentilationFor(b.Cells(), g.FloatMAPerAh, b.CapacityAh()); err != nil {
		return Ventilation{}, Ventilation{}, err
	}
	boost, err = VentilationFor(b.Cells(), g.BoostMAPerAh, b.CapacityAh())
	return float, boost, err
}

// HydrogenM3PerH returns the hydrogen that cells in series give off when all of a current in A goes into gas, as at the end of
// an equalise charge: 0.42 l for each cell and Ah, IEC 62485-2, SEEN.
func HydrogenM3PerH(cells int, currentA float64) float64 {
	return float64(cells) * currentA * hydrogenM3PerAh
}
