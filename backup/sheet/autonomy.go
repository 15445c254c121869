package sheet

import (
	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/site"
	"outlast/backup/wording"
)

// autonomyRows are the hours of the bank, each with the moment from which it is counted: those that the check compares,
// those that are promised where they are fewer, how far the rhythm of the loads spreads them, and those of a new bank.
func autonomyRows(p *backup.Plan) [][]phrase.Phrase {
	b := p.Bank
	from := phrase.Name(calendar.ClockAt(b.StartMin))
	counted := phrase.Of("at end of life, from %s, as given", from)
	if p.Site.Outage.Start == site.WorstStart {
		counted = phrase.Of("at end of life, from %s, the start that takes most energy in %s: as checked", from,
			wording.Amount(p.Site.Outage.AutonomyH, "h"))
	}
	rows := [][]phrase.Phrase{{phrase.Of("Autonomy"), grid.Num(grid.Figure(b.AutonomyH, "h")), grid.Unit("h"), counted}}
	if hours, start, err := p.LeastAutonomy(); err == nil && grid.Tenth(hours) != grid.Tenth(b.AutonomyH) {
		rows = append(rows, []phrase.Phrase{phrase.Of("Autonomy, least"), grid.Num(grid.Tenth(hours)), grid.Unit("h"),
			phrase.Of("at end of life, from %s, the least favourable start: as promised",
				phrase.Name(calendar.ClockAt(start)))})
	}
	switch s, ok, err := p.Spread(); {
	case err != nil:
		rows = append(rows, []phrase.Phrase{phrase.Of("Autonomy, cycling"), grid.Dash, {}, wording.ReasonOf(err)})
	case ok:
		rows = append(rows, []phrase.Phrase{phrase.Of("Autonomy, cycling"), grid.Num(grid.Tenth(s.P50H)),
			grid.Unit("h"), spreadText(from, grid.Tenth(s.P10H), grid.Tenth(s.P90H))})
	}
	return append(rows, []phrase.Phrase{phrase.Of("Autonomy, new bank"), grid.Num(grid.Figure(b.AutonomyNewH, "h")),
		grid.Unit("h"),
		phrase.Of("from %s", from)})
}

// spreadText tells how far the hours of a bank spread as loads cycle. Ends that are written alike are no span: they are
// the hours in front of it.
func spreadText(from phrase.Phrase, low, high string) phrase.Phrase {
	if low == high {
		return phrase.Of("at end of life, from %s, as loads cycle: the same in 8 of 10 simulated runs", from)
	}
	return phrase.Of("at end of life, from %s, as loads cycle: in 8 of 10 simulated runs %s to %s h", from,
		phrase.Number(low), phrase.Number(high))
}
