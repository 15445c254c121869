package sheet

import (
	"fmt"
	"math"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// headline is the verdict and the first reason for it, in three sentences: it opens what has all the tables.
func headline(p *backup.Plan) []string {
	fails, cautions := p.With(verdict.Fail), p.With(verdict.Caution)
	lines := []string{verdictLine(p), lastsLine(p)}
	switch {
	case len(fails) > 0:
		lines = append(lines, "First: "+reasonOf(fails[0])+".")
	case len(cautions) > 0:
		lines = append(lines, "First: "+reasonOf(cautions[0])+".")
	default:
		lines = append(lines, "Tightest: "+reasonOf(tightest(p))+".")
	}
	return lines
}

func verdictLine(p *backup.Plan) string {
	return fmt.Sprintf("%s: %s", speech.Clean(p.Site.Name), verdictWords(len(p.With(verdict.Fail)), len(p.With(verdict.Caution)), len(p.Checks)))
}

// lastsLine promises no more than what the bank gives from the worst moment of the day.
func lastsLine(p *backup.Plan) string {
	if p.Demand.Connected.VA == 0 {
		return fmt.Sprintf("Nothing on the backup board runs in an outage in %s: there is no load to supply.", p.MonthName())
	}
	hours, start, err := p.LeastAutonomy()
	if err != nil {
		return speech.Clean(err.Error())
	}
	lasts := wording.AmountText(hours, "h")
	switch {
	case p.Bank.AutonomyCap:
		lasts = "at least " + lasts
	default:
		lasts += ", from the least favourable start (" + calendar.ClockAt(start) + ")"
	}
	return fmt.Sprintf("In an outage in %s the bank supplies the backup board for %s; required: %s.", p.MonthName(), lasts, wording.AmountText(p.Site.Outage.AutonomyH, "h"))
}

func verdictWords(fails, cautions, all int) string {
	switch {
	case fails > 0:
		return fmt.Sprintf("FAIL, %d of %d checks fail", fails, all) + andCautions(cautions)
	case cautions > 0:
		return fmt.Sprintf("CAUTION, no check fails, %d of %d to be checked", cautions, all)
	default:
		return fmt.Sprintf("PASS, all %d checks pass", all)
	}
}

func andCautions(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %d more to be checked", n)
}

func reasonOf(c verdict.Check) string { return c.ID + ", " + speech.Clean(c.Reason.String()) }

func tightest(p *backup.Plan) verdict.Check {
	best := verdict.Check{Margin: math.Inf(1)}
	for _, c := range p.Checks {
		if c.Ranks() && c.Margin < best.Margin && !designed(p, c.ID) {
			best = c
		}
	}
	return best
}
