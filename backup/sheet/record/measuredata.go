package record

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/study"
)

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
		return classEndJSON{ScheduledW: e.ScheduledW, ScheduledVA: e.ScheduledVA, EnergyWhPerDay: e.EnergyWhPerDay,
			AutonomyH: e.AutonomyH, Capped: e.Capped,
			Failing: append([]string{}, e.Failing...)}
	}
	out := &measureJSON{Loads: m.Loads, Low: end(m.Low), Now: end(m.Now), High: end(m.High),
		Holds:   len(m.High.Failing) == 0,
		Measure: []decisiveJSON{}, Smallest: m.Smallest || m.Agrees(),
		Statement: MeasureText(m, func(id string) string { return CheckName(p, id) }).String()}
	for _, d := range m.Decisive {
		out.Measure = append(out.Measure, decisiveJSON{Load: d.Load, Low: ends(d.Low), High: ends(d.High),
			Turns: ends(d.Turns)})
	}
	return out
}

// measure are the same in the list of CSV.
func (w *figureRows) measure(p *backup.Plan) {
	m := measureToJSON(p)
	if m == nil {
		return
	}
	w.text("measure", "", "statement", m.Statement, "")
	for _, end := range []struct {
		word string
		classEndJSON
	}{{"low", m.Low}, {"planned", m.Now}, {"high", m.High}} {
		w.number("measure", end.word, "scheduled_w", end.ScheduledW, "W")
		w.number("measure", end.word, "energy_wh_per_day", end.EnergyWhPerDay, "Wh")
		w.number("measure", end.word, "autonomy_h", end.AutonomyH, "h")
	}
	for _, d := range m.Measure {
		w.number("measure", d.Load, "running_w", d.Turns.RunningW, "W")
		w.number("measure", d.Load, "starting_va", d.Turns.StartingVA, "VA")
		w.number("measure", d.Load, "hours_per_day", d.Turns.HoursPerDay, "h")
	}
}

// MeasureText is the statement with the checks by their names.
func MeasureText(m study.Measuring, name func(id string) string) phrase.Phrase {
	return m.Text(func(id string) phrase.Phrase { return phrase.Symbols("%q", name(id)) })
}
