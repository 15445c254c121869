package wiring

import (
	"outlast/backup/phrase"
)

// A factorRow holds a factor up to and including a value; the rows between are not interpolated, which is the tables' own rule
// for bands and the safe side for points.
type factorRow struct {
	upTo   float64
	factor float64
	mark   string
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

// iecAmbient: PVC 70 C. A temperature between two rows takes the hotter one. 35, 40 and 45 C SEEN-S, the others from memory; each agrees
// with sqrt((70 - t) / 40) to its two digits.
var iecAmbient = factorTable{phrase.Symbols("IEC 60364-5-52 Table B.52.14, PVC"), []factorRow{
	{10, 1.22, "memory"}, {15, 1.17, "memory"}, {20, 1.12, "memory"}, {25, 1.06, "memory"}, {30, 1.00, "SEEN-S"},
	{35, 0.94, "SEEN-S"}, {40, 0.87, "SEEN-S"}, {45, 0.79, "SEEN-S"}, {50, 0.71, "memory"}, {55, 0.61, "memory"}, {60, 0.50, "memory"},
}}

// usAmbient: corrections of NEC Table 310.16, base 30 C, by insulation. Bands such as 31-35 are read as "above 30 and up to 35". Above
// 60 C the tables go on for 75 and 90 C insulation; that part is a hole here.
var usAmbient = map[float64]factorTable{
	60: {phrase.Of("NEC ambient correction for Table 310.16, 60 C"), []factorRow{
		{10, 1.29, "SEEN-S"}, {15, 1.22, "SEEN-S"}, {20, 1.15, "SEEN-S"}, {25, 1.08, "SEEN-S"}, {30, 1.00, "SEEN-S"},
		{35, 0.91, "SEEN-S"}, {40, 0.82, "SEEN-S"}, {45, 0.71, "SEEN-S"}, {50, 0.58, "SEEN-S"}, {55, 0.41, "SEEN-S"},
	}},
	75: {phrase.Of("NEC ambient correction for Table 310.16, 75 C"), []factorRow{
		{10, 1.20, "SEEN-S"}, {15, 1.15, "SEEN-S"}, {20, 1.11, "SEEN-S"}, {25, 1.05, "SEEN-S"}, {30, 1.00, "SEEN-S"},
		{35, 0.94, "SEEN-S"}, {40, 0.88, "SEEN-S"}, {45, 0.82, "SEEN-S"}, {50, 0.75, "SEEN-S"}, {55, 0.67, "SEEN-S"}, {60, 0.58, "SEEN-S"},
	}},
	90: {phrase.Of("NEC ambient correction for Table 310.16, 90 C"), []factorRow{
		{10, 1.15, "SEEN-S"}, {15, 1.12, "SEEN-S"}, {20, 1.08, "SEEN-S"}, {25, 1.04, "SEEN-S"}, {30, 1.00, "SEEN-S"},
		{35, 0.96, "SEEN-S"}, {40, 0.91, "SEEN-S"}, {45, 0.87, "SEEN-S"}, {50, 0.82, "SEEN-S"}, {55, 0.76, "SEEN-S"}, {60, 0.71, "SEEN-S"},
	}},
}

// iecGrouping: by circuits bunched together. 2 to 5 SEEN-S, the others from memory; a number between two rows takes the larger.
var iecGrouping = factorTable{phrase.Of("IEC 60364-5-52 Table B.52.17, bunched circuits"), []factorRow{
	{1, 1.00, "SEEN-S"}, {2, 0.80, "SEEN-S"}, {3, 0.70, "SEEN-S"}, {4, 0.65, "SEEN-S"}, {5, 0.60, "SEEN-S"}, {6, 0.57, "memory"},
	{7, 0.54, "memory"}, {8, 0.52, "memory"}, {9, 0.50, "memory"}, {12, 0.45, "memory"}, {16, 0.41, "memory"}, {20, 0.38, "memory"},
}}

// usGrouping: by current-carrying conductors in one raceway or bundle. The last row stands for 41 and more.
var usGrouping = factorTable{phrase.Of("NEC adjustment for more than three current-carrying conductors"), []factorRow{
	{3, 1.00, "SEEN-S"}, {6, 0.80, "SEEN-S"}, {9, 0.70, "SEEN-S"}, {20, 0.50, "SEEN-S"}, {30, 0.45, "SEEN-S"}, {40, 0.40, "SEEN-S"},
	{3 * maxGrouped, 0.35, "SEEN-S"},
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
		return factorRow{}, none, failure(phrase.Of("ambient temperature %g C, want at most %g C for insulation of %g C",
			ambientC, table.rows[len(table.rows)-1].upTo, insulationC))
	}
	return row, table.source, nil
}

// groupFactor corrects for circuits bunched together, the cable's own included. IEC counts circuits, the NEC current-carrying conductors:
// all circuits are taken to have as many as this one.
func groupFactor(t Tables, circuits, loaded int) (factorRow, phrase.Phrase) {
	table, n := iecGrouping, circuits
	if t == US {
		table, n = usGrouping, circuits*loaded
	}
	row, _ := table.find(float64(n)) // circuits is at most maxGrouped, so a row is there
	return row, table.source
}
