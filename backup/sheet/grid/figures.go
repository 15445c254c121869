package grid

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// Whole rounds to a whole number and has no minus sign before a zero.
func Whole(v float64) string { return speech.Unsigned(strconv.FormatFloat(v, 'f', 0, 64)) }

// Tenth rounds to one decimal.
func Tenth(v float64) string { return speech.Unsigned(strconv.FormatFloat(v, 'f', 1, 64)) }

// Short writes a number that somebody gave, as he gave it.
func Short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// OrNone writes a number that may be missing.
func OrNone(v float64) string {
	if v == 0 {
		return "-"
	}
	if v == float64(int64(v)) || v >= 100 {
		return Whole(v)
	}
	return Tenth(v)
}

// Percent is part of a whole in whole per cent.
func Percent(part, of float64) string {
	if of == 0 {
		return "-"
	}
	return Whole(100 * part / of)
}

// RoundDown leaves so many decimals: a chance is not rounded up to certainty. What floating point takes from a whole
// number is given back.
func RoundDown(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Floor(v*scale+1e-9) / scale
}

// Figure writes a number of a check with the digits that its unit deserves, and one that is not 0 not as 0.
func Figure(v float64, unit string) string {
	text := rounded(v, unit)
	if strings.Trim(text, "-0.") == "" {
		text, _, _ = strings.Cut(wording.AmountText(v, unit), " ")
		if strings.Trim(text, "-0.") == "" {
			return rounded(v, unit)
		}
	}
	return text
}

// Figures writes demand and limit of a check so, with as many more digits as show which is more.
func Figures(demand, limit float64, unit string) (string, string) {
	return phrase.MoreDigits(Figure(demand, unit), Figure(limit, unit), demand, limit)
}

func rounded(v float64, unit string) string {
	switch unit {
	case "W", "VA", "Wh", "circuits", "strings":
		return Whole(v)
	case "A/Ah":
		return speech.Unsigned(strconv.FormatFloat(v, 'f', 3, 64))
	case "":
		return speech.Unsigned(strconv.FormatFloat(v, 'f', 2, 64))
	case "Ah": // whole as a rule: what is bought, and what that is to be at least
		if v == math.Trunc(v) {
			return Whole(v)
		}
	case "ms", "cm2": // cm2 are whole, as they are to be built, or as they were given
		return Short(v)
	}
	if v >= 1000 || v <= -1000 {
		return Whole(v)
	}
	return Tenth(v)
}

func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Volts writes a voltage with two decimals where a cell's matter, else with one.
func Volts(v float64) string {
	if v < 10 {
		return strconv.FormatFloat(v, 'f', 2, 64)
	}
	return Tenth(v)
}

// Short3 writes a number with three digits that count.
func Short3(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }

// Lasting writes hours of which only the least may be known.
func Lasting(hours float64, capped bool) string {
	if capped {
		return ">" + Whole(hours)
	}
	return Tenth(hours)
}
