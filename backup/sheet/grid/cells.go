package grid

import "outlast/backup/phrase"

// Cells of tables, and what stands in them.

// Dash stands for what is not known or does not apply.
var Dash = phrase.Name("-")

// Num is a number that is printed already, with a point.
func Num(printed string) phrase.Phrase {
	if printed == "-" {
		return Dash
	}
	return phrase.Symbols("%s", phrase.Number(printed))
}

// Measured is the same with a unit behind it.
func Measured(printed, unit string) phrase.Measure { return phrase.Measure(printed + " " + unit) }

// Measure is a cell of such a number.
func Measure(printed, unit string) phrase.Phrase {
	return phrase.Symbols("%s", Measured(printed, unit))
}

// Unit is a unit that stands alone.
func Unit(u string) phrase.Phrase {
	if u == "" {
		return phrase.Phrase{}
	}
	return phrase.Symbols("%s", phrase.Unit(u))
}

// Checked is a check: by its id in English, as in the data, else by its name.
func Checked(id string) phrase.Phrase { return phrase.Symbols("%s", phrase.Check(id)) }

// Checks lists checks.
func Checks(ids []string) phrase.Phrase {
	list := make([]phrase.Phrase, len(ids))
	for i, id := range ids {
		list[i] = Checked(id)
	}
	return phrase.Separated(list, ", ")
}

// Named lists what people named, in quotation marks: names hold commas too.
func Named(list []string) phrase.Phrase {
	if len(list) == 0 {
		return phrase.Of("none")
	}
	return phrase.Separated(Quoted(list), ", ")
}

func Quoted(list []string) []phrase.Phrase {
	out := make([]phrase.Phrase, len(list))
	for i, s := range list {
		out[i] = phrase.Symbols("%q", s)
	}
	return out
}

// StatusWord is a status in a word.
func StatusWord(status string) phrase.Phrase {
	switch status {
	case "pass":
		return phrase.Of("pass")
	case "caution":
		return phrase.Of("caution")
	}
	return phrase.Of("fail")
}

// Sentences joins sentences of one paragraph.
func Sentences(list ...phrase.Phrase) phrase.Phrase {
	var out phrase.Phrase
	for _, p := range list {
		switch {
		case p.Empty():
		case out.Empty():
			out = p
		default:
			out = out.Then(phrase.Symbols(" ")).Then(p)
		}
	}
	return out
}

// Quantity is a printed number with its unit, if it has one.
func Quantity(printed, unit string) phrase.Phrase {
	if unit == "" {
		return Num(printed)
	}
	return Measure(printed, unit)
}
