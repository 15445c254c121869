package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

func checkSection(p *backup.Plan, wide bool) grid.Section {
	s := grid.Section{Title: phrase.Of("Checks"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Status"), phrase.Of("Check"), phrase.Of("Demand"), phrase.Of("Limit"),
			phrase.Of("Unit"), phrase.Of("Margin")},
		Right: []bool{false, false, true, true, false, true},
	}, List: true}
	if wide {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Reason")), append(s.Table.Right, false)
	}
	for _, c := range p.Checks {
		shownDemand, shownLimit, in := c.Told()
		demand, limit, left := grid.Num(grid.Figure(shownDemand, in)), grid.Dash, grid.Dash
		if c.HasLimit {
			asked, bound := grid.Figures(shownDemand, shownLimit, in)
			demand, limit, left = grid.Num(asked), grid.Num(bound), phrase.Symbols("%s", leftOf(c))
		} else if c.Demand == 0 {
			demand = grid.Dash
		}
		row := []phrase.Phrase{grid.StatusWord(string(c.Status)), grid.Checked(c.ID), demand, limit,
			grid.Unit(in), left}
		if wide {
			row = append(row, c.Reason)
		} else if c.Status != verdict.Pass {
			s.Lines = append(s.Lines, phrase.Of("%s: %s", grid.Checked(c.ID), c.Reason))
		}
		s.Table.Rows = append(s.Table.Rows, row)
	}
	return s
}

// mostBroken is the margin beyond which nobody needs the figure.
const mostBroken = 10

// leftOf is the margin; of a limit that is broken by little it is not written as none, and of one that is broken by far
// only that it is.
func leftOf(c verdict.Check) phrase.Measure {
	unit, margin := " %", 100*c.Margin
	if c.Unit == "C" {
		unit, margin = " K", c.Margin
	}
	decimals := 0
	if c.Unit == "C" {
		decimals = 1
	}
	if c.Unit != "C" && c.Margin < -mostBroken {
		return phrase.Measure(fmt.Sprintf("<-%d %%", 100*mostBroken))
	}
	for ; ; decimals++ {
		left := strconv.FormatFloat(margin, 'f', decimals, 64)
		if decimals == 6 || margin >= 0 || strings.Trim(left, "-0.") != "" {
			return phrase.Measure(speech.Unsigned(left) + unit)
		}
	}
}
