package phrase

import (
	"math"
	"slices"
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
	if !found || shown != otherUnit {
		return a, b
	}
	size := 1.0
	if shown == "k"+unit {
		size = 1000
	}
	x, y := MoreDigits(number, other, v/size, w/size)
	return x + " " + shown, y + " " + shown
}

// MoreDigits gives two numbers, as they are printed, as many more decimals as show that their values are not the same;
// those that are seen to differ, or do not, stay as they are.
func MoreDigits(a, b string, v, w float64) (string, string) {
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	if errA != nil || errB != nil || x != y || v == w {
		return a, b
	}
	_, part, _ := strings.Cut(a, ".")
	for decimals := len(part) + 1; decimals <= len(part)+mostMore; decimals++ {
		x, y := strconv.FormatFloat(v, 'f', decimals, 64), strconv.FormatFloat(w, 'f', decimals, 64)
		if x != y {
			return x, y
		}
	}
	return a, b
}

// oneScale are the units in which a sentence tells its amounts apart by itself. Those with a scale of their own in the
// American trade, and numbers of things, are not among them.
var oneScale = map[string]bool{"W": true, "VA": true, "Wh": true, "A": true, "Ah": true, "V": true, "h": true, "%": true,
	"A/Ah": true}

// toldApart gives a sentence, with those that it is made of, its amounts with as many digits as show which of two is
// more: one that says "3.00 kVA, at most 3.00 kVA" of what is beyond its limit would say nothing.
func (p Phrase) toldApart() Phrase {
	amounts := p.amounts(nil)
	var told map[Amount]string
	for i, a := range amounts {
		for _, b := range amounts[i+1:] {
			if b.Unit != a.Unit || b.Value == a.Value {
				continue
			}
			x, y := Apart(a.Value, b.Value, a.Unit)
			if x == a.String() {
				continue
			}
			if told == nil {
				told = map[Amount]string{}
			}
			if len(x) > len(told[a]) {
				told[a] = x
			}
			if len(y) > len(told[b]) {
				told[b] = y
			}
		}
	}
	if told == nil {
		return p
	}
	return p.telling(told)
}

// amounts are those of a sentence, and of the sentences in it, that may be told apart.
func (p Phrase) amounts(out []Amount) []Amount {
	if p.Empty() {
		return out
	}
	for _, arg := range p.args {
		switch a := arg.(type) {
		case Amount:
			if oneScale[a.Unit] {
				out = append(out, a)
			}
		case Phrase:
			out = a.amounts(out)
		}
	}
	return out
}

// telling is the sentence with some amounts as they are told.
func (p Phrase) telling(told map[Amount]string) Phrase {
	if p.Empty() {
		return p
	}
	t := *p.text
	t.args = slices.Clone(t.args)
	for i, arg := range t.args {
		switch a := arg.(type) {
		case Amount:
			if text := told[a]; text != "" {
				t.args[i] = Measure(text)
			}
		case Phrase:
			t.args[i] = a.telling(told)
		}
	}
	return Phrase{&t}
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
