package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

func checkSection(p *backup.Plan, wide bool) section {
	s := section{title: "Checks", table: table{
		head:  []string{"Status", "Check", "Demand", "Limit", "Unit", "Margin"},
		right: []bool{false, false, true, true, false, true},
	}, list: true}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "Reason"), append(s.table.right, false)
	}
	for _, c := range p.Checks {
		shownDemand, shownLimit, unit := c.Shown()
		limit, left := "-", "-"
		if c.HasLimit {
			limit, left = Figure(shownLimit, unit), leftOf(c)
		}
		demand := Figure(shownDemand, unit)
		if !c.HasLimit && c.Demand == 0 {
			demand = "-"
		}
		row := []string{string(c.Status), speech.Clean(c.ID), demand, limit, unit, left}
		if wide {
			row = append(row, speech.Clean(c.Reason.String()))
		} else if c.Status != verdict.Pass {
			s.lines = append(s.lines, fmt.Sprintf("%s: %s", speech.Clean(c.ID), speech.Clean(c.Reason.String())))
		}
		s.table.rows = append(s.table.rows, row)
	}
	return s
}

// mostBroken is the margin beyond which nobody needs the figure.
const mostBroken = 10

// leftOf is the margin; of a limit that is broken by little it is not written as none, and of one that is broken by far only that it is.
func leftOf(c verdict.Check) string {
	unit, margin := " %", 100*c.Margin
	if c.Unit == "C" {
		unit, margin = " K", c.Margin
	}
	decimals := 0
	if c.Unit == "C" {
		decimals = 1
	}
	if c.Unit != "C" && c.Margin < -mostBroken {
		return fmt.Sprintf("<-%d %%", 100*mostBroken)
	}
	for ; ; decimals++ {
		left := strconv.FormatFloat(margin, 'f', decimals, 64)
		if decimals == 6 || margin >= 0 || strings.Trim(left, "-0.") != "" {
			return record.Unsigned(left) + unit
		}
	}
}
