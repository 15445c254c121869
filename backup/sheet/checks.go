package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/verdict"
)

func checkSection(p *backup.Plan, wide bool) section {
	s := section{title: phrase.Of("Checks"), table: table{
		head: []phrase.Phrase{phrase.Of("Status"), phrase.Of("Check"), phrase.Of("Demand"), phrase.Of("Limit"),
			phrase.Of("Unit"), phrase.Of("Margin")},
		right: []bool{false, false, true, true, false, true},
	}, list: true}
	if wide {
		s.table.head, s.table.right = append(s.table.head, phrase.Of("Reason")), append(s.table.right, false)
	}
	for _, c := range p.Checks {
		shownDemand, shownLimit, in := c.Shown()
		demand, limit, left := num(Figure(shownDemand, in)), dash, dash
		if c.HasLimit {
			limit, left = num(Figure(shownLimit, in)), phrase.Symbols("%s", leftOf(c))
		} else if c.Demand == 0 {
			demand = dash
		}
		row := []phrase.Phrase{statusWord(string(c.Status)), checked(c.ID), demand, limit, unit(in), left}
		if wide {
			row = append(row, c.Reason)
		} else if c.Status != verdict.Pass {
			s.lines = append(s.lines, phrase.Of("%s: %s", checked(c.ID), c.Reason))
		}
		s.table.rows = append(s.table.rows, row)
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
			return phrase.Measure(record.Unsigned(left) + unit)
		}
	}
}
