package paper

import (
	"math"
	"strconv"
	"strings"

	"outlast/backup/sheet"
	"outlast/backup/sheet/speech"
)

// A voice is that of the papers: it makes cells of tables too.
type voice struct{ speech.Voice }

// The blanks at which a line must not break.
const (
	hard = speech.Hard
	thin = speech.Thin
)

// figure writes a number of a check with the digits that its unit deserves.
func (v voice) figure(x float64, unit string) string { return v.Local(sheet.Figure(x, unit)) }

// nearly is how much of a time may be added before it is rounded down: 11 h 58 min is 12 h, and nobody knows a time to a hundredth.
const nearly = 1.01

// hours writes a time for people who plan their evening by it: rounded down, days from three on.
func (v voice) hours(h float64) string {
	h *= nearly
	switch {
	case h >= 72:
		if days, rest := math.Floor(h/24), math.Floor(math.Mod(h, 24)); rest > 1 && days < 10 {
			return v.Say("time.days-hours", v.Fixed(days, 0), v.Fixed(rest, 0))
		}
		return v.Say("time.days", v.Fixed(math.Floor(h/24), 0))
	case h >= 10:
		return v.Say("time.hours", v.Fixed(math.Floor(h), 0))
	case h >= 1.5:
		return v.Say("time.hours", v.Local(strconv.FormatFloat(math.Floor(2*h)/2, 'g', -1, 64)))
	default:
		return v.Say("time.minutes", v.Fixed(math.Floor(h*12)*5, 0))
	}
}

// exactly writes a time that somebody asked for.
func (v voice) exactly(h float64) string { return v.Say("time.exactly", v.Short(h)) }

// list joins names with commas.
func list(names []string) string { return strings.Join(names, ", ") }

// clean makes a text of the user's safe in a document.
func clean(s string) string { return speech.Clean(s) }

// name is a user's text inside a sentence of ours.
func name(s string) string { return speech.Name(s) }

// length is the cell of a length that may not be given (0), in the unit of the site.
func (v voice) length(m float64) Cell {
	if m == 0 || !v.US {
		return v.given(m)
	}
	return v.num(m*speech.FeetPerM, 0)
}

func (v voice) lengthUnit() string {
	if v.US {
		return "ft"
	}
	return "m"
}

// mass is the cell of a weight, in the unit of the site.
func (v voice) mass(kg float64) Cell {
	if v.US {
		kg /= speech.KgPerLb
	}
	return v.num(kg, 0)
}

// sizeUnit heads a column of cross-sections; an American size has a name.
func (v voice) sizeUnit() string {
	if v.US {
		return ""
	}
	return "mm²"
}

func (v voice) massUnit() string {
	if v.US {
		return "lb"
	}
	return "kg"
}

// keyName is a key of the site file or the catalog in words; what stands behind it, as the hours of a capacity, stays.
func (v voice) keyName(key string) string {
	if part := strings.Fields(key); len(part) == 3 && part[0] == "input" { // one of several, with a key of its own
		return v.keyName("input") + " " + part[1] + ": " + v.keyName(part[2])
	}
	base, more, found := strings.Cut(key, " ")
	text, ok := v.Words["key."+base]
	if !ok {
		return clean(key)
	}
	if found {
		text += ", " + more
	}
	return text
}

// exact writes a number for CSV.
func exact(x float64) string { return sheet.Decimal(x) }

// asGiven writes a number that somebody gave for CSV: with the digits that he gave.
func asGiven(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// num is the cell of a number: printed with so many decimals, with more of them in CSV.
func (v voice) num(x float64, decimals int) Cell {
	return Cell{Text: Text{S: v.Fixed(x, decimals)}, Exact: exact(x)}
}

// given is the cell of a number that may not be given (0): printed as it was given.
func (v voice) given(x float64) Cell {
	if x == 0 {
		return cell("–")
	}
	return Cell{Text: Text{S: v.Short(x)}, Exact: asGiven(x)}
}
