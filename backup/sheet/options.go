package sheet

import (
	"strconv"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
)

// bankOf is the layout and the unit of a bank.
func bankOf(p *backup.Plan) phrase.Phrase {
	b := p.Bank
	return phrase.Symbols("%d x %d %s", b.Strings, b.Series, phrase.Name(b.Unit.ID))
}

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) section {
	s := section{title: phrase.Of("Options side by side"), list: true, table: table{
		head: []phrase.Phrase{phrase.Of("Option"), phrase.Of("Verdict"), phrase.Of("Ways"), phrase.Of("Bank"),
			phrase.Of("Lasts h"), unit("kg"),
			phrase.Of("Price"), phrase.Of("Diff.")},
		right: []bool{false, false, true, false, true, true, true, true},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, phrase.Of("First failing check")),
			append(s.table.right, false)
	}
	s.lines = append(s.lines,
		phrase.Of("Ways: circuits on the backup board, of %d.", len(p.Circuits)),
		phrase.Of("Lasts: at the end of the bank's life, from the least favourable start of the day, as the headline promises."),
		phrase.Of("Diff.: price difference to the base, of inverters and batteries alone."))
	for _, v := range record.Variants(p) {
		hours, failing := dash, v.Plan.FirstFailing()
		if v.Promised != nil {
			hours = num(lasting(*v.Promised, v.Capped))
		}
		more := "-"
		if v.More != nil {
			if more = whole(*v.More); *v.More > 0 {
				more = "+" + more
			}
		}
		cells := []phrase.Phrase{v.Name, statusWord(string(v.Plan.Verdict())), num(strconv.Itoa(len(v.Plan.Carried()))),
			bankOf(v.Plan), hours,
			num(wholeOrNone(v.Mass)), num(wholeOrNone(v.Price)), num(more)}
		var told []phrase.Phrase
		if !v.Changes.Empty() {
			told = append(told, v.Changes)
		}
		switch {
		case wide && failing == nil:
			cells = append(cells, phrase.Of("none"))
		case wide:
			cells = append(cells, checked(failing.ID))
		case failing != nil:
			told = append(told, phrase.Of("fails first by %s", phrase.Check(failing.ID)))
		}
		if len(told) > 0 {
			s.lines = append(s.lines, phrase.Of("%s: %s", v.Name, phrase.Separated(told, "; ")))
		}
		s.table.rows = append(s.table.rows, cells)
	}
	return s
}

func wholeOrNone(v *float64) string {
	if v == nil {
		return "-"
	}
	return whole(*v)
}
