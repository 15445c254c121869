package sheet

import (
	"math"
	"strconv"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
)

// bankOf is the layout and the unit of a bank.
func bankOf(p *backup.Plan) phrase.Phrase {
	b := p.Bank
	return phrase.Symbols("%d x %d %s", b.Strings, b.Series, phrase.Name(b.Unit.ID))
}

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) grid.Section {
	s := grid.Section{Title: phrase.Of("Options side by side"), List: true, Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Option"), phrase.Of("Verdict"), phrase.Of("Ways"), phrase.Of("Bank"),
			phrase.Of("Lasts h"), massUnit(p.Site.Units == "us"),
			phrase.Of("Price"), phrase.Of("Diff.")},
		Right: []bool{false, false, true, false, true, true, true, true},
	}}
	if wide {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("First failing check")),
			append(s.Table.Right, false)
	}
	s.Lines = append(s.Lines,
		phrase.Of("Ways: circuits on the backup board, of %d.", len(p.Circuits)),
		phrase.Of("Lasts: at the end of the bank's life, from the least favourable start of the day, as the headline promises."),
		phrase.Of("Diff.: price difference to the base, of inverters and batteries alone."))
	for _, v := range record.Variants(p) {
		hours, failing := grid.Dash, v.Plan.FirstFailing()
		if v.Promised != nil {
			hours = grid.Num(grid.Lasting(*v.Promised, v.Capped))
		}
		mass := grid.Dash
		if v.Mass != nil {
			mass = massCell(math.Round(*v.Mass), p.Site.Units == "us")
		}
		more := "-"
		if v.More != nil {
			if more = grid.Whole(*v.More); *v.More > 0 {
				more = "+" + more
			}
		}
		cells := []phrase.Phrase{v.Name, grid.StatusWord(string(v.Plan.Verdict())),
			grid.Num(strconv.Itoa(len(v.Plan.Carried()))),
			bankOf(v.Plan), hours,
			mass, grid.Num(wholeOrNone(v.Price)), grid.Num(more)}
		var told []phrase.Phrase
		if !v.Changes.Empty() {
			told = append(told, v.Changes)
		}
		switch {
		case wide && failing == nil:
			cells = append(cells, phrase.Of("none"))
		case wide:
			cells = append(cells, grid.Checked(failing.ID))
		case failing != nil:
			told = append(told, phrase.Of("fails first by %s", phrase.Check(failing.ID)))
		}
		if len(told) > 0 {
			s.Lines = append(s.Lines, phrase.Of("%s: %s", v.Name, phrase.Separated(told, "; ")))
		}
		s.Table.Rows = append(s.Table.Rows, cells)
	}
	return s
}

func wholeOrNone(v *float64) string {
	if v == nil {
		return "-"
	}
	return grid.Whole(*v)
}
