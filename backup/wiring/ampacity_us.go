package wiring

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// usAmpacity: NEC Table 310.16, 2023 edition, copper, at most three current-carrying conductors, 30 C, A; parallel to
// usConductors. Older editions print other figures: 20/25/30 A at 60 C for 14/12/10 AWG, and 110/130/150 A at 90 C for
// 3/2/1 AWG. AWG rows SEEN-S (two reproductions agree); kcmil rows from memory, but for 300 kcmil at 60 C (SEEN-S).
var usAmpacity = [...]struct{ c60, c75, c90 float64 }{
	{15, 20, 25},
	{20, 25, 30},
	{30, 35, 40},
	{40, 50, 55},
	{55, 65, 75},
	{70, 85, 95},
	{85, 100, 115},
	{95, 115, 130},
	{110, 130, 145},
	{125, 150, 170},
	{145, 175, 195},
	{165, 200, 225},
	{195, 230, 260},
	{215, 255, 290},
	{240, 285, 320},
	{260, 310, 350},
	{280, 335, 380},
	{320, 380, 430},
}

// usSmallConductor: NEC 240.4(D), copper (SEEN-S): the largest device on the smallest sizes, whatever their ampacity.
// Parallel to the first rows of usConductors.
var usSmallConductor = [...]float64{15, 20, 30}

// smallConductor is the most that a device on a size may be rated for, by the rule for small sizes; +Inf without one.
func smallConductor(t Tables, i int) float64 {
	if t == US && i < len(usSmallConductor) {
		return usSmallConductor[i]
	}
	return math.Inf(1)
}

// The usual column is the 75 C one, because terminals are rated for it; the 90 C column is only where derating starts.
// Source: public guide to NEC Table 310.16 (SEEN-S).
const defaultUSColumnC = 75.0

// usColumn is the table's current for an insulation or a terminal of 60, 75 or 90 C.
func usColumn(i int, ratedC float64) float64 {
	switch r := usAmpacity[i]; ratedC {
	case 60:
		return r.c60
	case 90:
		return r.c90
	default:
		return r.c75
	}
}

// usSource cites where the current of a size stands.
func usSource(i int, ratedC float64) working.Source {
	basis := usConductors[i].basis
	if usConductors[i].name == "300 kcmil" && ratedC == 60 {
		basis = working.Quoted
	}
	return working.NEC2023.At(phrase.Of("%s, column %s", working.InTable("310.16"),
		phrase.Amount{Value: ratedC, Unit: "C"}), basis)
}
