package sheet

import (
	"fmt"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
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
			spread(l.RunningW, low.RunningW, high.RunningW), spread(record.StartVA(l.Start), record.StartVA(low.Start), record.StartVA(high.Start)),
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
