package wiring

import (
	"outlast/backup/phrase"
)

// A factorRow holds a factor up to and including a value; the rows between are not interpolated, which is the tables'
// own rule for bands and the safe side for points.
type factorRow struct {
	upTo   float64
	factor float64
	basis  basis
}

type factorTable struct {
	source phrase.Phrase
	rows   []factorRow
}

// find returns the first row that reaches v.
func (t factorTable) find(v float64) (factorRow, bool) {
	for _, r := range t.rows {
		if v <= r.upTo {
			return r, true
		}
	}
	return factorRow{}, false
}

// iecAmbient: PVC 70 C. A temperature between two rows takes the hotter one. 35, 40 and 45 C SEEN-S, the others from
// memory; each agrees with sqrt((70 - t) / 40) to its two digits.
var iecAmbient = factorTable{phrase.Symbols("IEC 60364-5-52 Table B.52.14, PVC"), []factorRow{
	{10, 1.22, fromMemory}, {15, 1.17, fromMemory}, {20, 1.12, fromMemory}, {25, 1.06, fromMemory}, {30, 1.00, quoted},
	{35, 0.94, quoted}, {40, 0.87, quoted}, {45, 0.79, quoted}, {50, 0.71, fromMemory}, {55, 0.61, fromMemory},
	{60, 0.50, fromMemory},
}}

// usAmbient: corrections of NEC Table 310.16, base 30 C, by insulation. Bands such as 31-35 are read as "above 30 and
// up to 35". Above 60 C the tables go on for 75 and 90 C insulation; that part is a hole here.
var usAmbient = map[float64]factorTable{
	60: {phrase.Of("NEC ambient correction for Table 310.16, 60 C"), []factorRow{
		{10, 1.29, quoted}, {15, 1.22, quoted}, {20, 1.15, quoted}, {25, 1.08, quoted}, {30, 1.00, quoted},
		{35, 0.91, quoted}, {40, 0.82, quoted}, {45, 0.71, quoted}, {50, 0.58, quoted}, {55, 0.41, quoted},
	}},
	75: {phrase.Of("NEC ambient correction for Table 310.16, 75 C"), []factorRow{
		{10, 1.20, quoted}, {15, 1.15, quoted}, {20, 1.11, quoted}, {25, 1.05, quoted}, {30, 1.00, quoted},
		{35, 0.94, quoted}, {40, 0.88, quoted}, {45, 0.82, quoted}, {50, 0.75, quoted}, {55, 0.67, quoted},
		{60, 0.58, quoted},
	}},
	90: {phrase.Of("NEC ambient correction for Table 310.16, 90 C"), []factorRow{
		{10, 1.15, quoted}, {15, 1.12, quoted}, {20, 1.08, quoted}, {25, 1.04, quoted}, {30, 1.00, quoted},
		{35, 0.96, quoted}, {40, 0.91, quoted}, {45, 0.87, quoted}, {50, 0.82, quoted}, {55, 0.76, quoted},
		{60, 0.71, quoted},
	}},
}

// iecGrouping: by circuits bunched together. 2 to 5 SEEN-S, the others from memory; a number between two rows takes the
// larger.
var iecGrouping = factorTable{phrase.Of("IEC 60364-5-52 Table B.52.17, grouped circuits"), []factorRow{
	{1, 1.00, quoted}, {2, 0.80, quoted}, {3, 0.70, quoted}, {4, 0.65, quoted}, {5, 0.60, quoted},
	{6, 0.57, fromMemory},
	{7, 0.54, fromMemory}, {8, 0.52, fromMemory}, {9, 0.50, fromMemory}, {12, 0.45, fromMemory}, {16, 0.41, fromMemory},
	{20, 0.38, fromMemory},
}}

// usGrouping: by current-carrying conductors in one raceway or bundle. The last row stands for 41 and more.
var usGrouping = factorTable{phrase.Of("NEC adjustment for more than three current-carrying conductors"), []factorRow{
	{3, 1.00, quoted}, {6, 0.80, quoted}, {9, 0.70, quoted}, {20, 0.50, quoted}, {30, 0.45, quoted}, {40, 0.40, quoted},
	{3 * maxGrouped, 0.35, quoted},
}}

// maxGrouped is the most circuits that may lie together: above it IEC prints nothing.
const maxGrouped = 20

// ambientFactor corrects for the air around the cable. insulationC must be one of the family's.
func ambientFactor(t Tables, insulationC, ambientC float64) (factorRow, phrase.Phrase, error) {
	table := iecAmbient
	if t == US {
		table = usAmbient[insulationC]
	}
	if err := within(phrase.Of("ambient temperature"), ambientC, -60, 60, "C"); err != nil {
		return factorRow{}, none, err
	}
	row, ok := table.find(ambientC)
	if !ok {
		return factorRow{}, none, failure(phrase.Of("ambient temperature %s, want at most %s for insulation of %s",
			phrase.Amount{Value: ambientC, Unit: "C"}, phrase.Amount{Value: table.rows[len(table.rows)-1].upTo,
				Unit: "C"}, phrase.Amount{Value: insulationC, Unit: "C"}))
	}
	return row, table.source, nil
}

// groupFactor corrects for circuits bunched together, the cable's own included. IEC counts circuits, the NEC
// current-carrying conductors: all circuits are taken to have as many as this one.
func groupFactor(t Tables, circuits, loaded int) (factorRow, phrase.Phrase) {
	table, n := iecGrouping, circuits
	if t == US {
		table, n = usGrouping, circuits*loaded
	}
	row, _ := table.find(float64(n)) // circuits is at most maxGrouped, so a row is there
	return row, table.source
}
