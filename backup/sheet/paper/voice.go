package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"outlast/backup/sheet"
	"outlast/backup/wording"
)

// A voice speaks one language: words by their ids, and numbers with the decimal sign of the language.
type voice struct {
	lang  string
	words map[string]string
	us    bool // Fahrenheit, feet, pounds and American sizes of conductors come first, and English is that of the American trade
}

// say gives the words of an id, with args in their places. An id that is not in the table is a programmer's mistake and panics.
func (v voice) say(id string, args ...any) string {
	text, ok := v.words[id]
	if !ok {
		panic("paper: no words for " + id)
	}
	if len(args) == 0 {
		return text
	}
	return fmt.Sprintf(text, args...)
}

// count gives the words for one thing or for several: id+".one" or id+".many", which takes the number.
func (v voice) count(n int, id string) string {
	if n == 1 {
		return v.say(id + ".one")
	}
	return v.say(id+".many", n)
}

// The blank between a number and its unit, and between groups of digits: a line must not break there.
const (
	hard = "\u00a0" // no-break space
	thin = "\u202f" // narrow no-break space
)

// local writes a number that was printed with a point in the manner of the language: its decimal sign, and groups of three digits
// where there are five or more.
func (v voice) local(s string) string {
	sign := ""
	switch {
	case strings.HasPrefix(s, "-"):
		sign, s = "−", s[1:]
	case strings.HasPrefix(s, "+"):
		sign, s = "+", s[1:]
	}
	if mantissa, power, ok := strings.Cut(s, "e"); ok { // 1.5e+06
		return sign + v.local(mantissa) + "e" + power
	}
	if strings.ContainsFunc(s, func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
		return sign + s // +Inf: as it is
	}
	whole, part, _ := strings.Cut(s, ".")
	if len(whole) >= 5 {
		var groups []string
		for len(whole) > 3 {
			groups = append([]string{whole[len(whole)-3:]}, groups...)
			whole = whole[:len(whole)-3]
		}
		whole = strings.Join(append([]string{whole}, groups...), thin)
	}
	if part == "" {
		return sign + whole
	}
	point := "."
	if v.lang != "en" {
		point = ","
	}
	return sign + whole + point + part
}

// fixed writes a number with so many decimals, short as somebody gave it.
func (v voice) fixed(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return v.local(s)
}

func (v voice) short(x float64) string { return v.local(strconv.FormatFloat(x, 'g', 6, 64)) }

// figure writes a number of a check with the digits that its unit deserves.
func (v voice) figure(x float64, unit string) string { return v.local(sheet.Figure(x, unit)) }

// amount writes a number with its unit.
func (v voice) amount(x float64, unit string) string {
	switch unit {
	case "circuits", "strings":
		return v.count(int(math.Round(x)), "unit."+unit)
	case "C":
		return v.temperature(x)
	case "m", "kg":
		if v.us {
			return v.american(x, unit)
		}
	}
	number, unit, found := strings.Cut(wording.AmountText(x, unit), " ")
	if !found {
		return v.local(number)
	}
	return v.local(number) + hard + v.unitName(unit)
}

// american writes a length in feet and a weight in pounds.
func (v voice) american(x float64, unit string) string {
	if unit == "kg" {
		return v.fixed(x/kgPerLb, 0) + hard + "lb"
	}
	return v.fixed(x*feetPerM, 0) + hard + "ft"
}

// temperature writes degrees Celsius, or Fahrenheit with Celsius beside them.
func (v voice) temperature(c float64) string {
	s := v.short(c) + hard + "°C"
	if v.us {
		s = v.fixed(c*9/5+32, 0) + hard + "°F (" + s + ")"
	}
	return s
}

// nearly is how much of a time may be added before it is rounded down: 11 h 58 min is 12 h, and nobody knows a time to a hundredth.
const nearly = 1.01

// hours writes a time for people who plan their evening by it: rounded down, days from three on.
func (v voice) hours(h float64) string {
	h *= nearly
	switch {
	case h >= 72:
		if days, rest := math.Floor(h/24), math.Floor(math.Mod(h, 24)); rest > 1 && days < 10 {
			return v.say("time.days-hours", v.fixed(days, 0), v.fixed(rest, 0))
		}
		return v.say("time.days", v.fixed(math.Floor(h/24), 0))
	case h >= 10:
		return v.say("time.hours", v.fixed(math.Floor(h), 0))
	case h >= 1.5:
		return v.say("time.hours", v.local(strconv.FormatFloat(math.Floor(2*h)/2, 'g', -1, 64)))
	default:
		return v.say("time.minutes", v.fixed(math.Floor(h*12)*5, 0))
	}
}

// exactly writes a time that somebody asked for.
func (v voice) exactly(h float64) string { return v.say("time.exactly", v.short(h)) }

// list joins names with commas.
func list(names []string) string { return strings.Join(names, ", ") }

// clean makes a text of the user's safe in a document.
func clean(s string) string { return sheet.Clean(s) }

// name is a user's text inside a sentence of ours: cleaned, and isolated where it is written from right to left, so that it does
// not draw the words beside it along.
func name(s string) string {
	s = clean(s)
	if strings.ContainsFunc(s, func(r rune) bool {
		return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko)
	}) {
		return "\u2068" + s + "\u2069"
	}
	return s
}

// feetPerM is by the definition of the international foot.
const feetPerM = 1 / 0.3048

// length is the cell of a length that may not be given (0), in the unit of the site.
func (v voice) length(m float64) Cell {
	if m == 0 || !v.us {
		return v.given(m)
	}
	return v.num(m*feetPerM, 0)
}

func (v voice) lengthUnit() string {
	if v.us {
		return "ft"
	}
	return "m"
}

// kgPerLb is the definition of the pound.
const kgPerLb = 0.45359237

// mass is the cell of a weight, in the unit of the site.
func (v voice) mass(kg float64) Cell {
	if v.us {
		kg /= kgPerLb
	}
	return v.num(kg, 0)
}

// sizeUnit heads a column of cross-sections; an American size has a name.
func (v voice) sizeUnit() string {
	if v.us {
		return ""
	}
	return "mm²"
}

func (v voice) massUnit() string {
	if v.us {
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
	text, ok := v.words["key."+base]
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
	return Cell{Text: Text{S: v.fixed(x, decimals)}, Exact: exact(x)}
}

// given is the cell of a number that may not be given (0): printed as it was given.
func (v voice) given(x float64) Cell {
	if x == 0 {
		return cell("–")
	}
	return Cell{Text: Text{S: v.short(x)}, Exact: asGiven(x)}
}
