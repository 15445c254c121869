package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A factorRow holds a factor up to and including a value; the rows between are not interpolated, which is the tables'
// own rule for bands and the safe side for points.
type factorRow struct {
	upTo   float64
	factor float64
	basis  working.Basis
}

type factorTable struct {
	document *working.Document
	where    phrase.Phrase
	rows     []factorRow
}

// source cites where a row stands.
func (t *factorTable) source(r factorRow) working.Source { return t.document.At(t.where, r.basis) }

// find returns the first row that reaches v.
func (t *factorTable) find(v float64) (factorRow, bool) {
	for _, r := range t.rows {
		if v <= r.upTo {
			return r, true
		}
	}
	return factorRow{}, false
}

// iecAmbient: PVC 70 C. A temperature between two rows takes the hotter one. 35, 40 and 45 C SEEN-S, the others from
// memory; each agrees with sqrt((70 - t) / 40) to its two digits.
var iecAmbient = &factorTable{working.IECPart552, phrase.Of("%s, PVC", working.InTable("B.52.14")), []factorRow{
	{10, 1.22, working.Memory}, {15, 1.17, working.Memory}, {20, 1.12, working.Memory}, {25, 1.06, working.Memory},
	{30, 1.00, working.Quoted},
	{35, 0.94, working.Quoted}, {40, 0.87, working.Quoted}, {45, 0.79, working.Quoted}, {50, 0.71, working.Memory},
	{55, 0.61, working.Memory},
	{60, 0.50, working.Memory},
}}

// usAmbient: corrections of NEC Table 310.16, base 30 C, by insulation. Bands such as 31-35 are read as "above 30 and
// up to 35". Above 60 C the tables go on for 75 and 90 C insulation; that part is a hole here.
var usAmbient = map[float64]*factorTable{
	60: {working.NEC, usCorrection(60), []factorRow{
		{10, 1.29, working.Quoted}, {15, 1.22, working.Quoted}, {20, 1.15, working.Quoted}, {25, 1.08, working.Quoted},
		{30, 1.00, working.Quoted},
		{35, 0.91, working.Quoted}, {40, 0.82, working.Quoted}, {45, 0.71, working.Quoted}, {50, 0.58, working.Quoted},
		{55, 0.41, working.Quoted},
	}},
	75: {working.NEC, usCorrection(75), []factorRow{
		{10, 1.20, working.Quoted}, {15, 1.15, working.Quoted}, {20, 1.11, working.Quoted}, {25, 1.05, working.Quoted},
		{30, 1.00, working.Quoted},
		{35, 0.94, working.Quoted}, {40, 0.88, working.Quoted}, {45, 0.82, working.Quoted}, {50, 0.75, working.Quoted},
		{55, 0.67, working.Quoted},
		{60, 0.58, working.Quoted},
	}},
	90: {working.NEC, usCorrection(90), []factorRow{
		{10, 1.15, working.Quoted}, {15, 1.12, working.Quoted}, {20, 1.08, working.Quoted}, {25, 1.04, working.Quoted},
		{30, 1.00, working.Quoted},
		{35, 0.96, working.Quoted}, {40, 0.91, working.Quoted}, {45, 0.87, working.Quoted}, {50, 0.82, working.Quoted},
		{55, 0.76, working.Quoted},
		{60, 0.71, working.Quoted},
	}},
}

func usCorrection(insulationC float64) phrase.Phrase {
	return phrase.Of("ambient correction for %s, column %s", working.InTable("310.16"),
		phrase.Amount{Value: insulationC, Unit: "C"})
}

// iecGrouping: by circuits bunched together. 2 to 5 SEEN-S, the others from memory; a number between two rows takes the
// larger.
var iecGrouping = &factorTable{working.IECPart552,
	phrase.Of("%s, grouped circuits", working.InTable("B.52.17")), []factorRow{
		{1, 1.00, working.Quoted}, {2, 0.80, working.Quoted}, {3, 0.70, working.Quoted}, {4, 0.65, working.Quoted},
		{5, 0.60, working.Quoted},
		{6, 0.57, working.Memory},
		{7, 0.54, working.Memory}, {8, 0.52, working.Memory}, {9, 0.50, working.Memory}, {12, 0.45, working.Memory},
		{16, 0.41, working.Memory},
		{20, 0.38, working.Memory},
	}}

// usGrouping: by current-carrying conductors in one raceway or bundle. The last row stands for 41 and more.
var usGrouping = &factorTable{working.NEC,
	phrase.Of("adjustment for more than three current-carrying conductors"), []factorRow{
		{3, 1.00, working.Quoted}, {6, 0.80, working.Quoted}, {9, 0.70, working.Quoted}, {20, 0.50, working.Quoted},
		{30, 0.45, working.Quoted}, {40, 0.40, working.Quoted},
		{3 * maxGrouped, 0.35, working.Quoted},
	}}

// maxGrouped is the most circuits that may lie together: above it IEC prints nothing.
const maxGrouped = 20

// ambientFactor corrects for the air around the cable. insulationC must be one of the family's.
func ambientFactor(t Tables, insulationC, ambientC float64) (factorRow, working.Source, error) {
	table := iecAmbient
	if t == US {
		table = usAmbient[insulationC]
	}
	if err := within(phrase.Of("ambient temperature"), ambientC, -60, 60, "C"); err != nil {
		return factorRow{}, working.Source{}, err
	}
	row, ok := table.find(ambientC)
	if !ok {
		return factorRow{}, working.Source{},
			failure(phrase.Of("ambient temperature %s, want at most %s for insulation of %s",
				phrase.Amount{Value: ambientC, Unit: "C"}, phrase.Amount{Value: table.rows[len(table.rows)-1].upTo,
					Unit: "C"}, phrase.Amount{Value: insulationC, Unit: "C"}))
	}
	return row, table.source(row), nil
}

// groupFactor corrects for circuits bunched together, the cable's own included. IEC counts circuits, the NEC
// current-carrying conductors: all circuits are taken to have as many as this one.
func groupFactor(t Tables, circuits, loaded int) (factorRow, working.Source) {
	table, n := iecGrouping, circuits
	if t == US {
		table, n = usGrouping, circuits*loaded
	}
	row, _ := table.find(float64(n)) // circuits is at most maxGrouped, so a row is there
	return row, table.source(row)
}
