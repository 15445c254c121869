package battery

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// Volts at rest by state of charge. Rows of the lead-acid tables stand 20 F apart from 0 F to 120 F, columns a
// quarter of the charge apart from empty to full; all of a 12 V battery (6 cells). Open data set on 12 V lead-acid
// batteries, SEEN.
var (
	leadRestF = []float64{0, 20, 40, 60, 80, 100, 120}

	floodedRestV = [][5]float64{
		{11.756, 11.926, 12.106, 12.316, 12.516},
		{11.806, 11.976, 12.156, 12.366, 12.566},
		{11.846, 12.016, 12.196, 12.406, 12.606},
		{11.874, 12.044, 12.224, 12.434, 12.634},
		{11.890, 12.060, 12.240, 12.450, 12.650},
		{11.898, 12.068, 12.248, 12.458, 12.658},
		{11.903, 12.073, 12.253, 12.463, 12.663},
	}
	gelRestV = [][5]float64{
		{11.666, 11.866, 12.266, 12.466, 12.666},
		{11.716, 11.916, 12.316, 12.516, 12.716},
		{11.756, 11.956, 12.356, 12.556, 12.756},
		{11.784, 11.984, 12.384, 12.584, 12.784},
		{11.800, 12.000, 12.400, 12.600, 12.800},
		{11.808, 12.008, 12.408, 12.608, 12.808},
		{11.813, 12.013, 12.413, 12.613, 12.813},
	}
)

var (
	lithiumRest = working.From(phrase.Of("open-circuit voltages of lithium cells: IEEE Trans. Instrum. Meas. "+
		"2025 (C/32), Faraday Institution BPX cells 2022"),
		working.Read)
	resistance = working.Plainly(phrase.Of("rule of thumb"), working.Practice)
)

// Volts of one lithium cell at rest by state of charge, 25 C: between two published sets, which lie within 0.02 V of
// each other for LFP and 0.15 V for NMC, nickel-rich cells being the lower ones near empty. Charge and discharge at
// C/32 of four kinds of cell, averaged: Sunil, Pattipati, Balasingam, IEEE Trans. Instrum. Meas. 2025, tables in its
// public code. LFP 2 Ah 18650 and NMC111 12.5 Ah pouch: Faraday Institution, BPX example cells, 2022. A cell maker's
// specification of a 202 Ah prismatic LFP cell (2020) has 3.275 to 3.304 V at 30 to 50 %. The full cell is that of a
// public LFP chart, as the sets end at the charging voltage. Charts with 3.0 V at 10 % are of packs under load.
var (
	lfpRest = []point{
		{0, 2.50, lithiumRest}, {0.01, 2.75, lithiumRest}, {0.02, 2.90, lithiumRest}, {0.03, 2.99, lithiumRest},
		{0.05, 3.10, lithiumRest},
		{0.07, 3.15, lithiumRest}, {0.10, 3.19, lithiumRest}, {0.15, 3.21, lithiumRest}, {0.20, 3.235, lithiumRest},
		{0.30, 3.27, lithiumRest},
		{0.50, 3.29, lithiumRest}, {0.70, 3.315, lithiumRest}, {0.90, 3.335, lithiumRest}, {1, 3.38, lithiumRest},
	}
	nmcRest = []point{
		{0, 3.00, lithiumRest}, {0.05, 3.25, lithiumRest}, {0.10, 3.40, lithiumRest}, {0.15, 3.46, lithiumRest},
		{0.20, 3.50, lithiumRest},
		{0.30, 3.59, lithiumRest}, {0.50, 3.70, lithiumRest}, {0.70, 3.87, lithiumRest}, {0.90, 4.07, lithiumRest},
		{1, 4.18, lithiumRest},
	}
)

// SourceV returns the volts of the bank at rest (open circuit, hours after the last current) at a state of charge in
// 0 to 1 and a temperature. Lead-acid depends a little on the temperature: the rows of the table, held outside 0 to
// 120 F. Gel has its own table; AGM follows the flooded one, whose 12.65 V for a full block is what an AGM data sheet
// counts with too. Lithium is flat from 20 to 80 %: no state of charge can be told from its volts.
func (b Bank) SourceV(soc, tempC float64) float64 {
	soc = fraction(soc)
	var cellV float64
	switch b.Unit.Chemistry {
	case LFP:
		cellV, _ = interpolate(lfpRest, soc)
	case NMC:
		cellV, _ = interpolate(nmcRest, soc)
	case Gel:
		cellV = leadRestAt(gelRestV, soc, tempC) / 6
	default:
		cellV = leadRestAt(floodedRestV, soc, tempC) / 6
	}
	return cellV * float64(b.Cells())
}

func leadRestAt(table [][5]float64, soc, tempC float64) float64 {
	row := min(max(toF(tempC)/20, 0), float64(len(leadRestF)-1))
	if math.IsNaN(row) {
		row = 0
	}
	r := min(int(row), len(leadRestF)-2)
	column := soc * 4
	c := min(int(column), 3)
	along := func(v [5]float64) float64 { return v[c] + (v[c+1]-v[c])*(column-float64(c)) }
	lo, hi := along(table[r]), along(table[r+1])
	return lo + (hi-lo)*(row-float64(r))
}

// Factors on the resistance of a full, warm battery. No table was found in print; these are rules of thumb, and a
// pulse test of the bank is better. Warmer than 25 C none is taken off.
var (
	leadColdResistance = []point{
		{-20, 2.0, resistance}, {0, 1.4, resistance}, {referenceC, 1, definition},
	}
	lithiumColdResistance = []point{
		{-20, 6, resistance}, {-10, 3.5, resistance}, {0, 2.2, resistance}, {10, 1.5, resistance},
		{referenceC, 1, definition},
	}
)

const (
	leadEmptyResistance    = 2.0 // of that when full; straight between. Rule of thumb, memory
	lithiumEmptyResistance = 1.5 // from 20 % down; flat above. Rule of thumb, memory
	lithiumKneeSoC         = 0.2
)

// ResistanceOhmAt returns the bank's internal resistance at a state of charge and a temperature: the unit's
// resistance_mohm, never less, times factors from rules of thumb (memory). 0 where the unit does not give it.
func (b Bank) ResistanceOhmAt(soc, tempC float64) float64 {
	soc = fraction(soc)
	cold, charge := leadColdResistance, 1+(leadEmptyResistance-1)*(1-soc)
	if !b.Unit.Chemistry.LeadAcid() {
		cold = lithiumColdResistance
		charge = 1 + (lithiumEmptyResistance-1)*max(0, 1-soc/lithiumKneeSoC)
	}
	return b.ResistanceOhm() * coldFactor(cold, tempC) * charge
}

// coldFactor reads a table of factors on a resistance by temperature; 1 at 25 C and above.
func coldFactor(table []point, tempC float64) float64 {
	if tempC >= referenceC {
		return 1
	}
	factor, _ := interpolate(table, max(tempC, absoluteZeroC))
	return factor
}

// cutoffSteps is how finely a cut-off voltage is tabulated over the state of charge: in hundredths, as the volts of
// lithium are.
const cutoffSteps = 100

// A Cutoff holds the greatest current at which the bank stays above a voltage, by state of charge, so that a minute
// step need not work out volts. Currents are at nominal volts, like all currents of a [State].
type Cutoff struct {
	amps [cutoffSteps + 1]float64
	from [cutoffSteps + 1]float64 // the least of amps from that state of charge on: it never falls
}

// Cutoff is the table of a bank that is cut off at some volts, above 0. It depends on nothing else: whoever models a
// bank again and again keeps it ([ModelOptions].Cutoff).
func (b Bank) Cutoff(volts, tempC float64) *Cutoff {
	var amps [cutoffSteps + 1]float64
	for i := range amps {
		soc := float64(i) / cutoffSteps
		// Below half the rest volts the power would fall again.
		rest := b.SourceV(soc, tempC)
		v := max(volts, rest/2)
		amps[i] = min(maxCutoffA, v*b.mostLoadedA(v, rest, soc, tempC)/b.NominalV())
	}
	return newCutoff(amps)
}

func newCutoff(amps [cutoffSteps + 1]float64) *Cutoff {
	c := Cutoff{amps: amps}
	c.from[cutoffSteps] = c.amps[cutoffSteps]
	for i := cutoffSteps - 1; i >= 0; i-- {
		c.from[i] = min(c.amps[i], c.from[i+1])
	}
	return &c
}

// maxCutoffA stands for "no limit" in a table that is interpolated, where an infinity would give NaN.
const maxCutoffA = 1e12

func (c *Cutoff) limitA(soc float64) float64 {
	x := min(max(soc, 0), 1) * cutoffSteps
	i := min(int(x), cutoffSteps-1)
	return c.amps[i] + (c.amps[i+1]-c.amps[i])*(x-float64(i))
}

// leastSoC returns the state of charge from which on limitA is no less than amps, over 1 where there is none.
func (c *Cutoff) leastSoC(amps float64) float64 {
	if c.from[0] >= amps {
		return 0
	}
	i, above := 0, cutoffSteps // from[i] < amps; halved until the next one is not
	if c.from[above] < amps {
		return 2
	}
	for above-i > 1 {
		if middle := (i + above) / 2; c.from[middle] < amps {
			i = middle
		} else {
			above = middle
		}
	}
	return (float64(i) + (amps-c.amps[i])/(c.amps[i+1]-c.amps[i])) / cutoffSteps
}
