// Package wording makes the phrases that reasons are made of: names, amounts, months, and what an error says.
package wording

import (
	"errors"
	"math"
	"strconv"

	"outlast/backup/fault"
	"outlast/backup/phrase"
)

// Names makes phrases of names; quoted puts quotation marks around them.
func Names(list []string) []phrase.Phrase {
	out := make([]phrase.Phrase, len(list))
	for i, s := range list {
		out[i] = phrase.Name(s)
	}
	return out
}

func Quoted(list []string) []phrase.Phrase {
	out := make([]phrase.Phrase, len(list))
	for i, s := range list {
		out[i] = phrase.Symbols("%q", s)
	}
	return out
}

// ReasonOf is what an error says, for a sentence, without the package that found it.
func ReasonOf(err error) phrase.Phrase {
	var said phrase.Error
	if errors.As(err, &said) {
		return said.Phrase
	}
	return phrase.Foreign(fault.Reason(err).Error())
}

// WithUnit writes a number with six digits: enough to follow the working with a pocket calculator.
func WithUnit(v float64, unit string) phrase.Measure {
	text := strconv.FormatFloat(v, 'g', 6, 64)
	if unit != "" {
		text += " " + unit
	}
	return phrase.Measure(text)
}

// Short writes a number as somebody gave it: whole numbers with all their digits, others with six.
func Short(v float64) string {
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 6, 64)
}

// AmountText writes a number with its unit for a sentence, with the digits that a reader can use: "850 W", "3.21 kVA",
// "25.3 h".
func AmountText(v float64, unit string) string { return Amount(v, unit).String() }

// Amount is the same for a phrase.
func Amount(v float64, unit string) phrase.Amount { return phrase.Amount{Value: v, Unit: unit} }

// Tenths are two numbers beside each other with one decimal, or with as many more as show which is more.
func Tenths(v, w float64) (a, b phrase.Number) {
	return apart(strconv.FormatFloat(v, 'f', 1, 64), strconv.FormatFloat(w, 'f', 1, 64), v, w)
}

// TenthsOf is the same where the second one is as somebody gave it.
func TenthsOf(v, given float64) (a, b phrase.Number) {
	return apart(strconv.FormatFloat(v, 'f', 1, 64), strconv.FormatFloat(given, 'g', -1, 64), v, given)
}

// Percents are two shares in per cent beside each other with three digits, or with as many more as show which is more.
func Percents(v, w float64) (a, b phrase.Number) {
	return apart(strconv.FormatFloat(v, 'g', 3, 64), strconv.FormatFloat(w, 'g', 3, 64), v, w)
}

func apart(a, b string, v, w float64) (phrase.Number, phrase.Number) {
	a, b = phrase.MoreDigits(a, b, v, w)
	return phrase.Number(a), phrase.Number(b)
}

// RangeDash stands between the ends of a range of figures, times or marks, without spaces, on screens and on papers: a
// hyphen might be a minus sign.
const RangeDash = "–"

// Range writes a range by its ends.
func Range(from, to any) phrase.Phrase { return phrase.Symbols("%s–%s", from, to) }

// MonthWord names a month, 1 to 12.
func MonthWord(month int) phrase.Phrase { return monthWords[month-1] }

var monthWords = [...]phrase.Phrase{phrase.Of("January"), phrase.Of("February"), phrase.Of("March"), phrase.Of("April"),
	phrase.Of("May"), phrase.Of("June"),
	phrase.Of("July"), phrase.Of("August"), phrase.Of("September"), phrase.Of("October"), phrase.Of("November"),
	phrase.Of("December")}

// NothingStarts is the reason of every check of starts where there are none.
var NothingStarts = phrase.Of("no load on the backup board starts with more than its running power")
