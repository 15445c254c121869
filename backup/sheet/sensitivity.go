package sheet

import (
	"math"
	"slices"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// mostInfluences is how many inputs a table shows; all of them stand in CSV and JSON.
const mostInfluences = 20

// sensitivitySection ranks the inputs by what they move.
func sensitivitySection(p *backup.Plan, wide bool) section {
	s := section{title: phrase.Of("What the plan depends on")}
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		s.lines = []phrase.Phrase{wording.ReasonOf(err)}
		return s
	}
	s.table = table{
		head: []phrase.Phrase{phrase.Of("Input"), phrase.Of("Step"), phrase.Symbols("+/- h"),
			phrase.Of("Margin moved"), phrase.Of("Margin %%"), phrase.Of("Then %%")},
		right: []bool{false, true, true, false, true, true},
	}
	if wide {
		s.table.head, s.table.right = slices.Insert(s.table.head, 2, phrase.Of("Was"), phrase.Of("Is"),
			phrase.Of("Hours")), slices.Insert(s.table.right, 2, true, true, true)
		s.table.head, s.table.right = append(s.table.head, phrase.Of("Then fails")), append(s.table.right, false)
	}
	var broken []phrase.Phrase
	for i, f := range list {
		if i == mostInfluences {
			s.lines = append(s.lines, phrase.Count(len(list)-i, "%d more input would move less.",
				"%d more inputs would move less."))
			break
		}
		check, was, is := dash, "-", "-"
		if f.Check != "" {
			check, was, is = checked(f.Check), whole(100*f.MarginWas), whole(100*f.MarginIs)
		}
		fails := dash
		if len(f.Fails) > 0 {
			fails = checks(f.Fails)
			broken = append(broken, phrase.Symbols("%s %s (%s)", inputName(f.Input), phrase.Measure(f.Step.String()),
				fails))
		}
		row := []phrase.Phrase{inputName(f.Input), phrase.Symbols("%s", phrase.Measure(f.Step.String())),
			num(signed(f.ChangeH)), check, num(was), num(is)}
		if wide {
			row = append(slices.Insert(row, 2, amount(f.Was, f.Unit), amount(f.Is, f.Unit),
				num(lasting(f.AutonomyH, f.Capped))), fails)
		}
		s.table.rows = append(s.table.rows, row)
	}
	if len(broken) > 0 && !wide {
		s.lines = append(s.lines, phrase.Of("Checks that pass now fail with %s.", phrase.Separated(broken, ", ")))
	}
	text := phrase.Of("One input is changed at a time; circuits and bank stay as planned. Hours on grow as far as their windows go. Ranked by what fails, then by the larger share of the autonomy or of a margin that moves.")
	if _, start, err := p.LeastAutonomy(); err == nil {
		text = sentences(text, phrase.Of("Hours from %s.", phrase.Name(calendar.ClockAt(start))))
	}
	s.lines = append(s.lines, text)
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
		return num(short(v))
	}
	return measure(short(v), unit)
}

// signed writes hours gained or lost.
func signed(hours float64) string {
	switch {
	case math.Abs(hours) < 0.05:
		return "0.0"
	case hours > 0:
		return "+" + tenth(hours)
	}
	return tenth(hours)
}
