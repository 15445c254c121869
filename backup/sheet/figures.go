package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"outlast/backup/sheet/record"
	"outlast/backup/wording"
)

// whole rounds to a whole number and has no minus sign before a zero.
func whole(v float64) string { return record.Unsigned(strconv.FormatFloat(v, 'f', 0, 64)) }

// tenth rounds to one decimal.
func tenth(v float64) string { return record.Unsigned(strconv.FormatFloat(v, 'f', 1, 64)) }

// short writes a number that somebody gave, as he gave it.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// orNone writes a number that may be missing.
func orNone(v float64) string {
	if v == 0 {
		return "-"
	}
	if v == float64(int64(v)) || v >= 100 {
		return whole(v)
	}
	return tenth(v)
}

// percent is part of a whole in whole per cent.
func percent(part, of float64) string {
	if of == 0 {
		return "-"
	}
	return whole(100 * part / of)
}

// roundDown leaves so many decimals: a chance is not rounded up to certainty. What floating point takes from a whole
// number is given back.
func roundDown(v float64, decimals int) float64 {
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

func rounded(v float64, unit string) string {
	switch unit {
	case "W", "VA", "Wh", "circuits", "strings":
		return whole(v)
	case "A/Ah":
		return record.Unsigned(strconv.FormatFloat(v, 'f', 3, 64))
	case "":
		return record.Unsigned(strconv.FormatFloat(v, 'f', 2, 64))
	case "ms":
		return short(v)
	}
	if v >= 1000 || v <= -1000 {
		return whole(v)
	}
	return tenth(v)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
