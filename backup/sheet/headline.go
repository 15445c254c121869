package sheet

import (
	"math"
	"slices"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// headline is the verdict and the first reason for it, in three sentences: it opens what has all the tables.
func headline(p *backup.Plan) []phrase.Phrase {
	fails, cautions := p.With(verdict.Fail), p.With(verdict.Caution)
	lines := []phrase.Phrase{verdictLine(p), lastsLine(p)}
	switch {
	case len(fails) > 0:
		lines = append(lines, phrase.Of("First: %s.", reasonOf(fails[0])))
	case len(cautions) > 0:
		lines = append(lines, phrase.Of("First: %s.", reasonOf(cautions[0])))
	default:
		lines = append(lines, phrase.Of("Tightest: %s.", reasonOf(tightest(p))))
	}
	return lines
}

func verdictLine(p *backup.Plan) phrase.Phrase {
	return phrase.Of("%s: %s", phrase.Name(p.Site.Name), verdictWords(len(p.With(verdict.Fail)),
		len(p.With(verdict.Caution)), len(p.Checks)))
}

// lastsLine promises no more than what the bank gives from the worst moment of the day.
func lastsLine(p *backup.Plan) phrase.Phrase {
	month := wording.MonthWord(p.Month)
	if p.Idle() {
		return phrase.Of("Nothing on the backup board runs in an outage in %s: there is no load to supply.", month)
	}
	hours, start, err := p.LeastAutonomy()
	if err != nil {
		return wording.ReasonOf(err)
	}
	required := wording.Amount(p.Site.Outage.AutonomyH, "h")
	if p.Bank.AutonomyCap {
		return phrase.Of("In an outage in %s the bank supplies the backup board for at least %s; required: %s.", month,
			wording.Amount(hours, "h"), required)
	}
	line := phrase.Of("In an outage in %s the bank supplies the backup board for %s, "+
		"from the least favourable start (%s); required: %s.",
		month, wording.Amount(hours, "h"), phrase.Name(calendar.ClockAt(start)), required)
	if other, h, err := p.ShortestMonth(); err == nil && other > 0 && grid.Tenth(h) != grid.Tenth(hours) {
		only := phrase.Of("In %s it is only %s.", wording.MonthWord(other), wording.Amount(h, "h"))
		if h == 0 {
			only = phrase.Of("In %s more is on than the inverter carries.", wording.MonthWord(other))
		}
		return phrase.Symbols("%s %s", line, only)
	}
	return line
}

func verdictWords(fails, cautions, all int) phrase.Phrase {
	switch {
	case fails > 0 && cautions > 0:
		return phrase.Of("FAIL, %d of %d checks, %d more to be checked", fails, all, cautions)
	case fails > 0:
		return phrase.Of("FAIL, %d of %d checks", fails, all)
	case cautions > 0:
		return phrase.Of("CAUTION, no check fails, %d of %d to be checked", cautions, all)
	default:
		return phrase.Of("PASS, all %d checks pass", all)
	}
}

func reasonOf(c verdict.Check) phrase.Phrase {
	return phrase.Symbols("%s, %s", phrase.Check(c.ID), c.Reason)
}

func tightest(p *backup.Plan) verdict.Check {
	best := verdict.Check{Margin: math.Inf(1)}
	for _, c := range p.Checks {
		if c.Ranks() && c.Margin < best.Margin && !designed(p, c.ID) {
			best = c
		}
	}
	return best
}

// nothingRuns says of a home with nothing to supply in a month what to enter; empty where there is something. The figures
// of such an outage, or of equipment for it, are of the inverter's own use, and mislead.
func nothingRuns(s *site.Site, month int) phrase.Phrase {
	if !slices.ContainsFunc(s.Circuits, func(c loads.Circuit) bool { return c.Board == loads.BoardBackup }) {
		return phrase.Of("%s: no circuit is on the backup board; enter a [[load]] for all that is to stay on, "+
			"on a [[circuit]] whose board is backup.", phrase.Name(s.Name))
	}
	for _, l := range loads.InMonth(site.InUse(s.OnBoard(loads.BoardBackup)), month) {
		if l.RunningAll().VA() > 0 {
			return phrase.Phrase{}
		}
	}
	return phrase.Of("%s: nothing on the backup board runs in %s; enter loads that do, with running_w and hours_per_day.",
		phrase.Name(s.Name), wording.MonthWord(month))
}
