package sheet

import (
	"fmt"
	"outlast/backup"
	"outlast/backup/phrase"
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
	s.lines = []string{speech.Clean(measureText(p, m).String())}
	for _, d := range m.Decisive {
		run, start, day := "any", "any", "any"
		if m.ByUse {
			run, day = spread(d.Turns.RunningW, d.Low.RunningW, d.High.RunningW), spread(d.Turns.HoursPerDay, d.Low.HoursPerDay, d.High.HoursPerDay)
		}
		if m.ByStart {
			start = spread(startVA(d.Turns.Start), startVA(d.Low.Start), startVA(d.High.Start))
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

// measureText is the statement with the checks by their names.
func measureText(p *backup.Plan, m study.Measuring) phrase.Phrase {
	return m.Text(func(id string) phrase.Phrase { return phrase.Symbols("%q", CheckName(p, id)) })
}

type measureJSON struct {
	Loads     []string       `json:"loads" doc:"with figures of their class"`
	Low       classEndJSON   `json:"low"`
	Now       classEndJSON   `json:"planned"`
	High      classEndJSON   `json:"high"`
	Holds     bool           `json:"holds_at_high"`
	Measure   []decisiveJSON `json:"measure" doc:"the one that settles most first"`
	Smallest  bool           `json:"smallest"`
	Statement string         `json:"statement"`
}

type classEndJSON struct {
	ScheduledW     float64  `json:"scheduled_w"`
	ScheduledVA    float64  `json:"scheduled_va"`
	EnergyWhPerDay float64  `json:"energy_wh_per_day"`
	AutonomyH      float64  `json:"autonomy_h"`
	Capped         bool     `json:"autonomy_capped"`
	Failing        []string `json:"failing"`
}

type decisiveJSON struct {
	Load  string   `json:"load"`
	Low   endsJSON `json:"low"`
	High  endsJSON `json:"high"`
	Turns endsJSON `json:"holds_up_to"`
}

// measureToJSON is what to measure first; nil where no figure rests on a class.
func measureToJSON(p *backup.Plan) *measureJSON {
	m, ok, err := study.FirstToMeasure(p.Facts)
	if !ok || err != nil {
		return nil
	}
	end := func(e study.EndOfClasses) classEndJSON {
		return classEndJSON{e.ScheduledW, e.ScheduledVA, e.EnergyWhPerDay, e.AutonomyH, e.Capped, append([]string{}, e.Failing...)}
	}
	out := &measureJSON{Loads: m.Loads, Low: end(m.Low), Now: end(m.Now), High: end(m.High), Holds: len(m.High.Failing) == 0,
		Measure: []decisiveJSON{}, Smallest: m.Smallest || m.Agrees(), Statement: measureText(p, m).String()}
	for _, d := range m.Decisive {
		out.Measure = append(out.Measure, decisiveJSON{d.Load, ends(d.Low), ends(d.High), ends(d.Turns)})
	}
	return out
}

// measureRows are the same in the list of CSV.
func measureRows(p *backup.Plan, text func(section, item, name, value, unit string), number func(section, item, name string, v float64, unit string)) {
	m := measureToJSON(p)
	if m == nil {
		return
	}
	text("measure", "", "statement", m.Statement, "")
	for _, end := range []struct {
		word string
		classEndJSON
	}{{"low", m.Low}, {"planned", m.Now}, {"high", m.High}} {
		number("measure", end.word, "scheduled_w", end.ScheduledW, "W")
		number("measure", end.word, "energy_wh_per_day", end.EnergyWhPerDay, "Wh")
		number("measure", end.word, "autonomy_h", end.AutonomyH, "h")
	}
	for _, d := range m.Measure {
		number("measure", d.Load, "running_w", d.Turns.RunningW, "W")
		number("measure", d.Load, "starting_va", d.Turns.StartingVA, "VA")
		number("measure", d.Load, "hours_per_day", d.Turns.HoursPerDay, "h")
	}
}
