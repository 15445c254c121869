package phrase

import (
	"math"
	"strconv"
)

// An Amount is a number with its unit, written with the digits that a reader can use: "850 W", "3.21 kVA", "25.3 h".
type Amount struct {
	Value float64
	Unit  string
}

// String writes the amount in English.
func (a Amount) String() string {
	v, unit := a.Value, a.Unit
	size := math.Abs(v)
	fixed := func(v float64, decimals int, unit string) string {
		return strconv.FormatFloat(v, 'f', decimals, 64) + " " + unit
	}
	switch unit {
	case "W", "VA", "Wh":
		switch {
		case size >= 99_950:
			return fixed(v/1000, 0, "k"+unit)
		case size >= 9_995:
			return fixed(v/1000, 1, "k"+unit)
		case size >= 999.5:
			return fixed(v/1000, 2, "k"+unit)
		default:
			return fixed(v, 0, unit)
		}
	case "":
		return strconv.FormatFloat(v, 'f', 2, 64)
	case "A/Ah":
		return fixed(v, 3, unit)
	case "circuits", "strings", "ms", "C":
		return strconv.FormatFloat(v, 'g', 6, 64) + " " + unit
	}
	if size >= 99.95 || v == math.Trunc(v) {
		return fixed(v, 0, unit)
	}
	return fixed(v, 1, unit)
}
