// Package speech writes what sheets and papers say in the language of their reader: words by their ids, numbers, names,
// and the sentences that the planner makes.
//
// A [Voice] knows the manners of a language, a [Speaker] the names of a home as well.
package speech

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// A Voice speaks one language: words by their ids, and numbers with the decimal sign of the language.
type Voice struct {
	Lang  string
	Words map[string]string
	Signs bool // English sentences have the signs of papers, not the plain letters of a terminal: "−14 °C", "2.5 mm²"
	US    bool // Fahrenheit, feet, pounds and American sizes of conductors come first, and English is that of the American trade
}

// NewVoice is the voice of a language ("" is English), with American units and words where us says so. An unknown
// language is the error.
func NewVoice(lang string, us bool) (Voice, error) {
	if lang == "" {
		lang = words.Languages()[0]
	}
	list, ok := words.In(lang)
	if !ok {
		return Voice{}, fmt.Errorf("language %q, want one of %s", lang, strings.Join(words.Languages(), ", "))
	}
	if us && lang == "en" {
		list = words.InAmerican()
	}
	return Voice{Lang: lang, Words: list, US: us}, nil
}

// Say gives the words of an id, with args in their places. An id that is not in the table is a programmer's mistake and
// panics.
func (v Voice) Say(id string, args ...any) string {
	text, ok := v.Words[id]
	if !ok {
		panic("speech: no words for " + id)
	}
	if len(args) == 0 {
		return text
	}
	return fmt.Sprintf(text, args...)
}

// Count gives the words for one thing or for several: id+".one" or id+".many", which takes the number.
func (v Voice) Count(n int, id string) string {
	if n == 1 {
		return v.Say(id + ".one")
	}
	return v.Say(id+".many", n)
}

// The blank between a number and its unit, and between groups of digits: a line must not break there.
const (
	Hard = "\u00a0" // no-break space
	Thin = "\u202f" // narrow no-break space
)

// Local writes a number that was printed with a point in the manner of the language: its decimal sign, and groups of
// three digits where there are five or more, with a thin space between them, or the comma of American papers.
func (v Voice) Local(s string) string {
	sign := ""
	switch {
	case strings.HasPrefix(s, "-"):
		sign, s = "−", s[1:]
	case strings.HasPrefix(s, "+"):
		sign, s = "+", s[1:]
	}
	if mantissa, power, ok := strings.Cut(s, "e"); ok { // 1.5e+06
		return sign + v.Local(mantissa) + "e" + power
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
		between := Thin
		if v.US && v.Lang == "en" {
			between = ","
		}
		whole = strings.Join(append([]string{whole}, groups...), between)
	}
	if part == "" {
		return sign + whole
	}
	point := "."
	if v.Lang != "en" {
		point = ","
	}
	return sign + whole + point + part
}

// Fixed writes a number with so many decimals.
func (v Voice) Fixed(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return v.Local(s)
}

// Short writes a number as somebody gave it.
func (v Voice) Short(x float64) string { return v.Local(wording.Short(x)) }

// Amount writes a number with its unit.
func (v Voice) Amount(x float64, unit string) string {
	switch unit {
	case "circuits", "strings":
		return v.Count(int(math.Round(x)), "unit."+unit)
	case "C":
		return v.Temperature(x)
	case "m", "kg":
		if v.US {
			return v.american(x, unit)
		}
	}
	return v.measured(wording.AmountText(x, unit)) + v.atLeast(x, unit)
}

// Apart writes two amounts beside each other, so that two that differ are seen to: see [phrase.Apart].
func (v Voice) Apart(x, y float64, unit string) (string, string) {
	a, b := phrase.Apart(x, y, unit)
	if a == wording.AmountText(x, unit) {
		return v.Amount(x, unit), v.Amount(y, unit)
	}
	return v.measured(a), v.measured(b)
}

// measured is a number with its unit, or a number alone.
func (v Voice) measured(text string) string {
	number, unit, found := strings.Cut(text, " ")
	if !found {
		return v.Local(number)
	}
	return v.Local(number) + Hard + v.UnitName(unit)
}

// atLeast is an air flow, an opening or a distance in the unit of an American trade, in brackets behind the one of the
// site file; "" elsewhere. What is told in them is the least that is required, so it is rounded up.
func (v Voice) atLeast(x float64, unit string) string {
	switch unit {
	case "cm2", "m3/h", "mm":
		if of := americanUnits[unit]; v.US {
			return " (" + v.Short(verdict.Enough(x*of.factor)) + Hard + of.name + ")"
		}
	}
	return ""
}

// FeetPerM is by the definition of the international foot, KgPerLb by that of the pound.
const (
	FeetPerM = 1 / 0.3048
	KgPerLb  = 0.45359237
)

// american writes a length in feet, with the metres of the site file and of the formulas beside them, and a weight in
// pounds.
func (v Voice) american(x float64, unit string) string {
	if unit == "kg" {
		return v.Fixed(x/KgPerLb, 0) + Hard + "lb"
	}
	return v.Fixed(x*FeetPerM, 0) + Hard + "ft (" + v.Short(math.Round(10*x)/10) + Hard + "m)"
}

// Temperature writes degrees Celsius, or Fahrenheit with Celsius beside them.
func (v Voice) Temperature(c float64) string {
	s := v.Short(c) + Hard + "°C"
	if v.US {
		s = v.Fixed(c*9/5+32, 0) + Hard + "°F (" + s + ")"
	}
	return s
}

// UnitName is a unit as it stands on paper: some are words.
func (v Voice) UnitName(unit string) string {
	switch unit {
	case "circuits", "strings":
		return v.Say("unit." + unit)
	case "cycles":
		return v.Say("unit.cycles")
	}
	if symbol, ok := symbols[unit]; ok {
		return symbol
	}
	return unit
}

// symbols are the units that the planner writes in plain letters.
var symbols = map[string]string{"C": "°C", "mm2": "mm²", "cm2": "cm²", "m3": "m³", "m3/h": "m³/h", "mohm": "mΩ",
	"ohm/km": "Ω/km", "kWh/m2 d": "kWh/(m² d)"}

// Quoted puts quotation marks around a name.
func (v Voice) Quoted(s string) string {
	switch v.Lang {
	case "de":
		return "„" + s + "“"
	case "es":
		return "«" + s + "»"
	case "fr":
		return "«" + Hard + s + Hard + "»"
	}
	return "“" + s + "”"
}

// Headed puts what a text is about before it, behind a colon: with the blank that French has before one.
func (v Voice) Headed(about, text string) string { return v.Say("sign.headed", about, text) }

// Lead is what a text is about, with the colon that leads to it.
func (v Voice) Lead(about string) string { return strings.TrimSpace(v.Headed(about, "")) }

// InTurn puts texts behind each other, with the semicolon of the language between them.
func (v Voice) InTurn(texts ...string) string {
	return strings.Join(texts, v.Say("sign.in-turn", "", ""))
}

// And joins the last of a list. Spanish writes "e" before the sound of its own "y".
func (v Voice) And(before, last string) string {
	word := map[string]string{"en": "and", "de": "und", "es": "y", "fr": "et"}[v.Lang]
	if v.Lang == "es" {
		sound := strings.ToLower(strings.TrimLeftFunc(last, func(r rune) bool {
			return !unicode.IsLetter(r) &&
				!unicode.IsDigit(r)
		}))
		if (strings.HasPrefix(sound, "i") || strings.HasPrefix(sound, "hi")) && !strings.HasPrefix(sound, "hie") {
			word = "e"
		}
	}
	return before + " " + word + " " + last
}

// Lower gives a title a small letter as part of a longer one, where the language does so: German keeps its nouns, and
// nobody writes "aC".
func (v Voice) Lower(s string) string {
	runes := []rune(s)
	if v.Lang == "de" || len(runes) < 2 || unicode.IsUpper(runes[1]) {
		return s
	}
	return string(unicode.ToLower(runes[0])) + string(runes[1:])
}

// Customary is a figure of a working in the unit of an American trade, in brackets behind the one of the formula; ""
// where there is none, or the reader is used to the other.
func (v Voice) Customary(x float64, unit string) string {
	if !v.US {
		return ""
	}
	of, ok := americanUnits[unit]
	if !ok {
		return ""
	}
	return " (" + v.Local(strconv.FormatFloat(x*of.factor+of.offset, 'g', 4, 64)) + Hard + of.name + ")"
}

// americanUnits are by the definitions of the international foot and pound.
var americanUnits = map[string]struct {
	name           string
	factor, offset float64
}{
	"C": {"°F", 1.8, 32}, "K": {"°F", 1.8, 0}, "m": {"ft", FeetPerM, 0}, "mm": {"in", FeetPerM * 12 / 1000, 0},
	"kg": {"lb", 1 / KgPerLb, 0}, "cm2": {"in²", 1 / 2.54 / 2.54, 0}, "m3": {"ft³", FeetPerM * FeetPerM * FeetPerM, 0},
	"m3/h": {"ft³/min", FeetPerM * FeetPerM * FeetPerM / 60, 0},
}
