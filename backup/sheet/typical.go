package sheet

import (
	"math"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/wording"
)

// typicalSection tells what rests on classes of appliances, and how far their figures spread. ok is false where nothing
// does. A narrow sheet leaves the ids of the classes out.
func typicalSection(p *backup.Plan, wide bool) (s grid.Section, ok bool) {
	s = grid.Section{Title: phrase.Of("Figures typical of a class, not of the appliance in hand"), Table: grid.Table{
		Head:  []phrase.Phrase{phrase.Of("Load"), phrase.Of("Run W"), phrase.Of("Start VA"), phrase.Of("Hours a day")},
		Right: []bool{false, true, true, true},
	}}
	if wide {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Class")), append(s.Table.Right, false)
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
		s.Table.Rows = append(s.Table.Rows, row)
	}
	s.Lines = []phrase.Phrase{phrase.Of("Of one unit. In brackets: what is met in homes. " +
		"A nameplate or a clamp meter tells what your own takes; what the site file gives has no brackets.")}
	return s, len(s.Table.Rows) > 0
}

// spread writes a figure and the span in which others are.
func spread(typical, low, high float64) phrase.Phrase {
	if low == high {
		return grid.Num(grid.OrNone(typical))
	}
	end := func(v float64) phrase.Phrase { return grid.Num(grid.OrNone(math.Round(10*v) / 10)) } // 20, not 20.0
	return phrase.Symbols("%s (%s)", grid.Num(grid.OrNone(typical)), wording.Range(end(low), end(high)))
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
	return []phrase.Phrase{phrase.Of("Assumed by the planner, as the file names no circuit: "+
		"one of its own on the backup board, with a circuit breaker rated for it, for %s.",
		grid.Named(own))}
}
