package backup

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// trimPrefix takes the package's name off an error of a leaf package: a user reads file names, not package names.
func trimPrefix(err error) string {
	text := err.Error()
	if name, rest, ok := strings.Cut(text, ": "); ok && !strings.ContainsAny(name, " ") {
		return rest
	}
	return text
}

func withUnit(v float64, unit string) string {
	text := strconv.FormatFloat(v, 'g', 6, 64)
	if unit != "" {
		text += " " + unit
	}
	return text
}

// Amount writes a number with its unit for a sentence, with the digits that a reader can use: "850 W", "3.21 kVA", "25.3 h".
func Amount(v float64, unit string) string {
	a := v
	if a < 0 {
		a = -a
	}
	switch unit {
	case "W", "VA", "Wh":
		switch {
		case a >= 99_950:
			return fmt.Sprintf("%.0f k%s", v/1000, unit)
		case a >= 9_995:
			return fmt.Sprintf("%.1f k%s", v/1000, unit)
		case a >= 999.5:
			return fmt.Sprintf("%.2f k%s", v/1000, unit)
		default:
			return fmt.Sprintf("%.0f %s", v, unit)
		}
	case "":
		return fmt.Sprintf("%.2f", v)
	case "A/Ah":
		return fmt.Sprintf("%.3f %s", v, unit)
	case "circuits", "strings", "ms", "C":
		return strconv.FormatFloat(v, 'g', 6, 64) + " " + unit
	}
	if a >= 99.95 || v == math.Trunc(v) {
		return fmt.Sprintf("%.0f %s", v, unit)
	}
	return fmt.Sprintf("%.1f %s", v, unit)
}

// listed joins words as prose does: "a, b and c".
func listed(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// lowerFirst writes a title as a part of a longer one.
func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
