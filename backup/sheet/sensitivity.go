package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
)

// mostInfluences is how many inputs a table shows; all of them stand in CSV and JSON.
const mostInfluences = 20

// sensitivitySection ranks the inputs by what they move.
func sensitivitySection(p *backup.Plan, wide bool) section {
	s := section{title: "What the plan depends on"}
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		s.lines = []string{speech.Clean(err.Error())}
		return s
	}
	s.table = table{
		head:  []string{"Input", "Step", "+/- h", "Margin moved", "Margin %", "Then %"},
		right: []bool{false, true, true, false, true, true},
	}
	if wide {
		s.table.head, s.table.right = slices.Insert(s.table.head, 2, "Was", "Is", "Hours"), slices.Insert(s.table.right, 2, true, true, true)
		s.table.head, s.table.right = append(s.table.head, "Then fails"), append(s.table.right, false)
	}
	var broken []string
	for i, f := range list {
		if i == mostInfluences {
			s.lines = append(s.lines, fmt.Sprintf("%s move less.", plural(len(list)-i, "more input would", "more inputs would")))
			break
		}
		check, was, is := "-", "-", "-"
		if f.Check != "" {
			check, was, is = speech.Clean(f.Check), whole(100*f.MarginWas), whole(100*f.MarginIs)
		}
		fails := "-"
		if len(f.Fails) > 0 {
			fails = speech.Clean(strings.Join(f.Fails, ", "))
			broken = append(broken, fmt.Sprintf("%s %s (%s)", speech.Clean(f.Input), f.Step, fails))
		}
		row := []string{speech.Clean(f.Input), f.Step, signed(f.ChangeH), check, was, is}
		if wide {
			row = append(slices.Insert(row, 2, amount(f.Was, f.Unit), amount(f.Is, f.Unit), lasting(f.AutonomyH, f.Capped)), fails)
		}
		s.table.rows = append(s.table.rows, row)
	}
	if len(broken) > 0 && !wide {
		s.lines = append(s.lines, fmt.Sprintf("Checks that pass now fail with %s.", strings.Join(broken, ", ")))
	}
	text := "One input is changed at a time; circuits and bank stay as planned. Hours on grow as far as their windows go. Ranked by what fails, then by the larger share of the autonomy or of a margin that moves."
	if _, start, err := p.LeastAutonomy(); err == nil {
		text += fmt.Sprintf(" Hours from %s.", calendar.ClockAt(start))
	}
	s.lines = append(s.lines, text)
	return s
}

// amount writes a number that somebody gave, with its unit.
func amount(v float64, unit string) string {
	if unit == "" {
		return short(v)
	}
	return short(v) + " " + unit
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
