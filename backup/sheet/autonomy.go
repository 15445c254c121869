package sheet

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/wording"
)

// autonomyRows are the hours of the bank, each with the moment from which it is counted: those that the check compares, those that are
// promised where they are fewer, how far the rhythm of the loads spreads them, and those of a new bank.
func autonomyRows(p *backup.Plan) [][]string {
	b := p.Bank
	from := "from " + calendar.ClockAt(b.StartMin)
	checked := "at end of life, " + from + ", as given"
	if p.Site.Outage.Start == site.WorstStart {
		checked = fmt.Sprintf("at end of life, %s, the start that takes most energy in %s: as checked", from, wording.AmountText(p.Site.Outage.AutonomyH, "h"))
	}
	rows := [][]string{{"Autonomy", Figure(b.AutonomyH, "h"), "h", checked}}
	if hours, start, err := p.LeastAutonomy(); err == nil && tenth(hours) != tenth(b.AutonomyH) {
		rows = append(rows, []string{"Autonomy, least", tenth(hours), "h", fmt.Sprintf("at end of life, from %s, the least favourable start: as promised", calendar.ClockAt(start))})
	}
	switch s, ok, err := p.Spread(); {
	case err != nil:
		rows = append(rows, []string{"Autonomy, cycling", "-", "", speech.Clean(err.Error())})
	case ok:
		rows = append(rows, []string{"Autonomy, cycling", tenth(s.P50H), "h",
			fmt.Sprintf("at end of life, %s, as loads cycle: in 8 of 10 simulated runs %s to %s h", from, tenth(s.P10H), tenth(s.P90H))})
	}
	return append(rows, []string{"Autonomy, new bank", Figure(b.AutonomyNewH, "h"), "h", from})
}
