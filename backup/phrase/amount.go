package phrase

import (
	"math"
	"strconv"
	"strings"
)

// An Amount is a number with its unit, written with the digits that a reader can use: "850 W", "3.21 kVA", "25.3 h".
// What is little is not written as nothing: "0.3 W", "0.02 A".
type Amount struct {
	Value float64
	Unit  string
}

// nothing is what rounding leaves of a difference that is none.
const nothing = 1e-6

// String writes the amount in English.
func (a Amount) String() string {
	text, size := a.rounded(), math.Abs(a.Value)
	if number, unit, found := strings.Cut(text, " "); size > nothing && strings.Trim(number, "-0.") == "" {
		text = strconv.FormatFloat(a.Value, 'f', int(math.Ceil(-math.Log10(size))), 64)
		if found {
			text += " " + unit
		}
	}
	return text
}

// mostMore is how many decimals more two amounts are written with at most, to tell them apart.
const mostMore = 6

// Apart writes two amounts of one unit beside each other. Where both would come to the same text though they are not the
// same, they have as many more decimals as show that: "15.41 kWh", "15.36 kWh" and not "15.4 kWh" twice.
func Apart(v, w float64, unit string) (string, string) {
	a, b := Amount{v, unit}.String(), Amount{w, unit}.String()
	number, shown, found := strings.Cut(a, " ")
	other, otherUnit, _ := strings.Cut(b, " ")
	x, _ := strconv.ParseFloat(number, 64)
	y, _ := strconv.ParseFloat(other, 64)
	if x != y || shown != otherUnit || v == w || !found {
		return a, b
	}
	if shown == "k"+unit {
		v, w = v/1000, w/1000
	}
	_, part, _ := strings.Cut(number, ".")
	for decimals := len(part) + 1; decimals <= len(part)+mostMore; decimals++ {
		x, y := strconv.FormatFloat(v, 'f', decimals, 64), strconv.FormatFloat(w, 'f', decimals, 64)
		if x != y {
			return x + " " + shown, y + " " + shown
		}
	}
	return a, b
}

func (a Amount) rounded() string {
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
