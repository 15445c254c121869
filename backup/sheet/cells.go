package sheet

import "outlast/backup/phrase"

// Cells of tables, and what stands in them.

// dash stands for what is not known or does not apply.
var dash = phrase.Name("-")

// num is a number that is printed already, with a point.
func num(printed string) phrase.Phrase {
	if printed == "-" {
		return dash
	}
	return phrase.Symbols("%s", phrase.Number(printed))
}

// measured is the same with a unit behind it.
func measured(printed, unit string) phrase.Measure { return phrase.Measure(printed + " " + unit) }

// measure is a cell of such a number.
func measure(printed, unit string) phrase.Phrase {
	return phrase.Symbols("%s", measured(printed, unit))
}

// unit is a unit that stands alone.
func unit(u string) phrase.Phrase {
	if u == "" {
		return phrase.Phrase{}
	}
	return phrase.Symbols("%s", phrase.Unit(u))
}

// checked is a check: by its id in English, as in the data, else by its name.
func checked(id string) phrase.Phrase { return phrase.Symbols("%s", phrase.Check(id)) }

// checks lists checks.
func checks(ids []string) phrase.Phrase {
	list := make([]phrase.Phrase, len(ids))
	for i, id := range ids {
		list[i] = checked(id)
	}
	return phrase.Separated(list, ", ")
}

// named lists what people named, in quotation marks: names hold commas too.
func named(list []string) phrase.Phrase {
	if len(list) == 0 {
		return phrase.Of("none")
	}
	return phrase.Separated(quoted(list), ", ")
}

func quoted(list []string) []phrase.Phrase {
	out := make([]phrase.Phrase, len(list))
	for i, s := range list {
		out[i] = phrase.Symbols("%q", s)
	}
	return out
}

// statusWord is a status in a word.
func statusWord(status string) phrase.Phrase {
	switch status {
	case "pass":
		return phrase.Of("pass")
	case "caution":
		return phrase.Of("caution")
	}
	return phrase.Of("fail")
}

// sentences joins sentences of one paragraph.
func sentences(list ...phrase.Phrase) phrase.Phrase {
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
