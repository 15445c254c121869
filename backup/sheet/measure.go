package sheet

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// measureSection tells what the plan is worth as long as figures are those of classes, and what to measure first. ok is
// false where no figure is.
func measureSection(p *backup.Plan, name func(id string) string) (s grid.Section, ok bool) {
	s = grid.Section{Title: phrase.Of("What to measure first"), Table: grid.Table{
		Head:  []phrase.Phrase{phrase.Of("Load"), phrase.Of("Run W"), phrase.Of("Start VA"), phrase.Of("Hours a day")},
		Right: []bool{false, true, true, true},
	}}
	m, ok, err := study.FirstToMeasure(p.Facts)
	if err != nil {
		s.Lines = []phrase.Phrase{phrase.Of("Not worked out: %s", wording.ReasonOf(err))}
		return s, true
	}
	if !ok {
		return s, false
	}
	s.Lines = []phrase.Phrase{record.MeasureText(m, name)}
	for _, d := range m.Decisive {
		runningW, startVA, hoursPerDay := d.Told()
		run, start, day := phrase.Of("any"), phrase.Of("any"), phrase.Of("any")
		if m.ByUse {
			run, day = spread(runningW, d.Low.RunningW, d.High.RunningW),
				spread(hoursPerDay, d.Low.HoursPerDay, d.High.HoursPerDay)
		}
		if m.ByStart {
			start = spread(startVA, record.StartVA(d.Low.Start), record.StartVA(d.High.Start))
		}
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Name(d.Load), run, start, day})
	}
	if len(m.Decisive) > 0 {
		s.Lines = append(s.Lines,
			phrase.Of("Of one unit: the highest figures with which the plan meets the requirements, "+
				"all of these loads together; in brackets the ends of the class. The one that decides most stands first."))
		if !m.Smallest {
			s.Lines = append(s.Lines, phrase.Of("A smaller set of loads may do: not all were tried."))
		}
	}
	three := func(of func(study.EndOfClasses) string) phrase.Phrase {
		return phrase.List([]phrase.Phrase{grid.Num(of(m.Low)), grid.Num(of(m.Now)), grid.Num(of(m.High))})
	}
	s.Lines = append(s.Lines,
		phrase.Of("At the low ends of the classes, as planned, and at the high ends: %s kWh in a day, "+
			"%s W at once at most, %s h on the bank.",
			three(func(e study.EndOfClasses) string { return grid.Tenth(e.EnergyWhPerDay / 1000) }),
			three(func(e study.EndOfClasses) string { return grid.Whole(e.ScheduledW) }),
			three(func(e study.EndOfClasses) string { return grid.Lasting(e.AutonomyH, e.Capped) })))
	return s, true
}
