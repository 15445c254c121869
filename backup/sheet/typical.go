package sheet

import (
	"fmt"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/speech"
	"outlast/loads"
)

// typicalSection tells what rests on classes of appliances, and how far their figures spread. ok is false where nothing does. A narrow sheet
// leaves the ids of the classes out.
func typicalSection(p *backup.Plan, wide bool) (s section, ok bool) {
	s = section{title: "Figures typical of a class, not of the appliance in hand", table: table{
		head: []string{"Load", "Run W", "Start VA", "Hours a day"}, right: []bool{false, true, true, true},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "Class"), append(s.table.right, false)
	}
	for i := range p.Site.Loads {
		l := &p.Site.Loads[i]
		if !l.RestsOnClass() {
			continue
		}
		low, high := l.Typical.Low, l.Typical.High
		row := []string{speech.Clean(l.Name),
			spread(l.RunningW, low.RunningW, high.RunningW), spread(startVA(l.Start), startVA(low.Start), startVA(high.Start)),
			spread(l.HoursPerDay, low.HoursPerDay, high.HoursPerDay)}
		if wide {
			row = append(row, speech.Clean(l.Typical.Class))
		}
		s.table.rows = append(s.table.rows, row)
	}
	s.lines = []string{"Of one unit. In brackets: what is met in homes. A nameplate or a clamp meter tells what your own takes; what the site file gives has no brackets."}
	return s, len(s.table.rows) > 0
}

// spread writes a figure and the span in which others are.
func spread(typical, low, high float64) string {
	if low == high {
		return orNone(typical)
	}
	return fmt.Sprintf("%s (%s-%s)", orNone(typical), orNone(low), orNone(high))
}

func startVA(s *loads.Start) float64 {
	if s == nil {
		return 0
	}
	return s.VA()
}

// assumedLines name the circuits that the planner assumed.
func assumedLines(p *backup.Plan) []string {
	var own []string
	for _, c := range p.Circuits {
		if c.Assumed {
			own = append(own, fmt.Sprintf("%q", speech.Clean(c.Label)))
		}
	}
	if len(own) == 0 {
		return nil
	}
	return []string{"Assumed by the planner, as the file names no circuit: one of its own on the backup board, with a circuit breaker rated for it, for " + strings.Join(own, ", ") + "."}
}

// typicalJSON is what of a load rests on its class. The ends are of one unit.
type typicalJSON struct {
	Load  string   `json:"load"`
	Class string   `json:"class"`
	Keys  []string `json:"keys" doc:"of the site file that the class gave"`
	Now   endsJSON `json:"typical"`
	Low   endsJSON `json:"low"`
	High  endsJSON `json:"high"`
}

type endsJSON struct {
	RunningW    float64 `json:"running_w"`
	StartingVA  float64 `json:"starting_va" doc:"0: it draws no more while it starts"`
	HoursPerDay float64 `json:"hours_per_day"`
}

func ends(e loads.Ends) endsJSON { return endsJSON{e.RunningW, startVA(e.Start), e.HoursPerDay} }

func typicalToJSON(p *backup.Plan) []typicalJSON {
	out := []typicalJSON{}
	for _, l := range p.Site.Loads {
		if t := l.Typical; l.RestsOnClass() {
			out = append(out, typicalJSON{l.Name, t.Class, t.Keys, ends(loads.Ends{RunningW: l.RunningW, Start: l.Start, HoursPerDay: l.HoursPerDay}), ends(t.Low), ends(t.High)})
		}
	}
	return out
}

// typicalRows are the same in the list of CSV.
func typicalRows(p *backup.Plan, text func(section, item, name, value, unit string), number func(section, item, name string, v float64, unit string)) {
	for _, t := range typicalToJSON(p) {
		text("typical", t.Load, "class", t.Class, "")
		for _, end := range []struct {
			word string
			endsJSON
		}{{"low", t.Low}, {"typical", t.Now}, {"high", t.High}} {
			number("typical", t.Load, end.word+"_running_w", end.RunningW, "W")
			number("typical", t.Load, end.word+"_starting_va", end.StartingVA, "VA")
			number("typical", t.Load, end.word+"_hours_per_day", end.HoursPerDay, "h")
		}
	}
}
