package sheet

import (
	"math"
	"slices"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// mostInfluences is how many inputs a table shows; all of them stand in CSV and JSON.
const mostInfluences = 20

// sensitivitySection ranks the inputs by what they move.
func sensitivitySection(p *backup.Plan, wide bool) grid.Section {
	s := grid.Section{Title: phrase.Of("What the plan depends on")}
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		s.Lines = []phrase.Phrase{wording.ReasonOf(err)}
		return s
	}
	s.Table = grid.Table{
		Head: []phrase.Phrase{phrase.Of("Input"), phrase.Of("Step"), phrase.Symbols("+/- h"),
			phrase.Of("Margin moved"), phrase.Of("Margin %%"), phrase.Of("Then %%")},
		Right: []bool{false, true, true, false, true, true},
	}
	if wide {
		s.Table.Head, s.Table.Right = slices.Insert(s.Table.Head, 2, phrase.Of("Was"), phrase.Of("Is"),
			phrase.Of("Hours")), slices.Insert(s.Table.Right, 2, true, true, true)
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Then fails")), append(s.Table.Right, false)
	}
	var broken []phrase.Phrase
	for i, f := range list {
		if i == mostInfluences {
			s.Lines = append(s.Lines, phrase.Count(len(list)-i, "%d more input would move less.",
				"%d more inputs would move less."))
			break
		}
		check, was, is := grid.Dash, "-", "-"
		if f.Check != "" {
			check, was, is = grid.Checked(f.Check), grid.Whole(100*f.MarginWas), grid.Whole(100*f.MarginIs)
		}
		fails := grid.Dash
		if len(f.Fails) > 0 {
			fails = grid.Checks(f.Fails)
			broken = append(broken, phrase.Symbols("%s %s (%s)", inputName(f.Input), phrase.Measure(f.Step.String()),
				fails))
		}
		row := []phrase.Phrase{inputName(f.Input), phrase.Symbols("%s", phrase.Measure(f.Step.String())),
			grid.Num(signed(f.ChangeH)), check, grid.Num(was), grid.Num(is)}
		if wide {
			row = append(slices.Insert(row, 2, amount(f.Was, f.Unit), amount(f.Is, f.Unit),
				grid.Num(grid.Lasting(f.AutonomyH, f.Capped))), fails)
		}
		s.Table.Rows = append(s.Table.Rows, row)
	}
	if len(broken) > 0 && !wide {
		s.Lines = append(s.Lines, phrase.Of("Checks that pass now fail with %s.", phrase.Separated(broken, ", ")))
	}
	text := phrase.Of("One input is changed at a time; circuits and bank stay as planned. " +
		"Hours on grow as far as their windows go. Ranked by what fails, " +
		"then by the larger share of the autonomy or of a margin that moves.")
	if _, start, err := p.LeastAutonomy(); err == nil {
		text = grid.Sentences(text, phrase.Of("Hours from %s.", phrase.Name(calendar.ClockAt(start))))
	}
	s.Lines = append(s.Lines, text)
	return s
}

// inputName is an input as the site file calls it.
func inputName(in study.Input) phrase.Phrase {
	if in.Load != "" {
		return phrase.Symbols("%s: %s", phrase.Name(in.Load), phrase.Name(in.Key))
	}
	return phrase.Name(in.String())
}

// amount writes a number that somebody gave, with its unit.
func amount(v float64, unit string) phrase.Phrase {
	if unit == "" {
		return grid.Num(grid.Short(v))
	}
	return grid.Measure(grid.Short(v), unit)
}

// signed writes hours gained or lost.
func signed(hours float64) string {
	switch {
	case math.Abs(hours) < 0.05:
		return "0.0"
	case hours > 0:
		return "+" + grid.Tenth(hours)
	}
	return grid.Tenth(hours)
}
