package sheet

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
)

// typicalSection tells what rests on classes of appliances, and how far their figures spread. ok is false where nothing
// does. A narrow sheet leaves the ids of the classes out.
func typicalSection(p *backup.Plan, wide bool) (s section, ok bool) {
	s = section{title: phrase.Of("Figures typical of a class, not of the appliance in hand"), table: table{
		head:  []phrase.Phrase{phrase.Of("Load"), phrase.Of("Run W"), phrase.Of("Start VA"), phrase.Of("Hours a day")},
		right: []bool{false, true, true, true},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, phrase.Of("Class")), append(s.table.right, false)
	}
	for i := range p.Site.Loads {
		l := &p.Site.Loads[i]
		if !l.RestsOnClass() {
			continue
		}
		low, high := l.Typical.Low, l.Typical.High
		row := []phrase.Phrase{phrase.Name(l.Name),
			spread(l.RunningW, low.RunningW, high.RunningW), spread(record.StartVA(l.Start), record.StartVA(low.Start),
				record.StartVA(high.Start)),
			spread(l.HoursPerDay, low.HoursPerDay, high.HoursPerDay)}
		if wide {
			row = append(row, phrase.Name(l.Typical.Class))
		}
		s.table.rows = append(s.table.rows, row)
	}
	s.lines = []phrase.Phrase{phrase.Of("Of one unit. In brackets: what is met in homes. A nameplate or a clamp meter tells what your own takes; what the site file gives has no brackets.")}
	return s, len(s.table.rows) > 0
}

// spread writes a figure and the span in which others are.
func spread(typical, low, high float64) phrase.Phrase {
	if low == high {
		return num(orNone(typical))
	}
	return phrase.Symbols("%s (%s-%s)", num(orNone(typical)), num(orNone(low)), num(orNone(high)))
}

// assumedLines name the circuits that the planner assumed.
func assumedLines(p *backup.Plan) []phrase.Phrase {
	var own []string
	for _, c := range p.Circuits {
		if c.Assumed {
			own = append(own, c.Label)
		}
	}
	if len(own) == 0 {
		return nil
	}
	return []phrase.Phrase{phrase.Of("Assumed by the planner, as the file names no circuit: one of its own on the backup board, with a circuit breaker rated for it, for %s.",
		named(own))}
}
