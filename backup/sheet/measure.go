package sheet

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
)

// measureSection tells what the plan is worth as long as figures are those of classes, and what to measure first. ok is false where no figure
// is.
func measureSection(p *backup.Plan) (s section, ok bool) {
	s = section{title: "What to measure first", table: table{
		head: []string{"Load", "Run W", "Start VA", "Hours a day"}, right: []bool{false, true, true, true},
	}}
	m, ok, err := study.FirstToMeasure(p.Facts)
	if err != nil {
		s.lines = []string{"Not worked out: " + speech.Clean(err.Error())}
		return s, true
	}
	if !ok {
		return s, false
	}
	s.lines = []string{speech.Clean(record.MeasureText(p, m).String())}
	for _, d := range m.Decisive {
		run, start, day := "any", "any", "any"
		if m.ByUse {
			run, day = spread(d.Turns.RunningW, d.Low.RunningW, d.High.RunningW), spread(d.Turns.HoursPerDay, d.Low.HoursPerDay, d.High.HoursPerDay)
		}
		if m.ByStart {
			start = spread(record.StartVA(d.Turns.Start), record.StartVA(d.Low.Start), record.StartVA(d.High.Start))
		}
		s.table.rows = append(s.table.rows, []string{speech.Clean(d.Load), run, start, day})
	}
	if len(m.Decisive) > 0 {
		s.lines = append(s.lines, "Of one unit: the highest figures with which the plan holds, all of these loads together; in brackets the ends of the class. The one that settles most stands first.")
		if !m.Smallest {
			s.lines = append(s.lines, "A smaller set of loads may do: not all were tried.")
		}
	}
	three := func(of func(study.EndOfClasses) string) string {
		return of(m.Low) + ", " + of(m.Now) + " and " + of(m.High)
	}
	s.lines = append(s.lines, fmt.Sprintf("At the low ends of the classes, as planned, and at the high ends: %s kWh in a day, %s W at once at most, %s h on the bank.",
		three(func(e study.EndOfClasses) string { return tenth(e.EnergyWhPerDay / 1000) }),
		three(func(e study.EndOfClasses) string { return whole(e.ScheduledW) }),
		three(func(e study.EndOfClasses) string { return lasting(e.AutonomyH, e.Capped) })))
	return s, true
}
