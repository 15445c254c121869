package sheet

import (
	"slices"
	"strconv"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
	"outlast/loads"
)

// circuitSection is the allocation as it is handed over: what is connected to which way and phase, what it asks for,
// what it costs in hours, and why it is where it is. A narrow sheet leaves out loads, daily energy and reasons. What
// keeps a circuit out stands below.
func circuitSection(p *backup.Plan, wide bool) grid.Section {
	s := grid.Section{Title: phrase.Of("Circuits"), Table: circuitTable(p, wide)}
	if len(s.Table.Rows) == 0 {
		s.Lines = []phrase.Phrase{phrase.Of("The site file has no circuits.")}
		return s
	}
	s.Lines = append(s.Lines, movedLine(p))
	s.Lines = append(s.Lines, assumedLines(p)...)
	if p.Allocation != nil {
		s.Lines = append(s.Lines, allocationLines(p)...)
		for _, c := range p.Circuits {
			if c.Asked == loads.BoardEither && !c.OnBackup {
				s.Lines = append(s.Lines, phrase.Of("%s: %s", phrase.Name(c.Label),
					c.Reason()).Then(phrase.Symbols(".")))
			}
		}
	}
	if b := p.Balancing(); b != nil {
		s.Lines = append(s.Lines, b.Text(record.Labels(p)))
	}
	return s
}

// A column of the table of circuits.
type circuitColumn struct {
	head  phrase.Phrase
	right bool
	wide  bool // only where there is room
	cell  func(c facts.Circuit) phrase.Phrase
}

func circuitTable(p *backup.Plan, wide bool) grid.Table {
	moves, err := study.Moves(p.Facts)
	if err != nil {
		moves = nil // the bank cannot be followed: its own section says so
	}
	columns := []circuitColumn{
		{phrase.Of("Way"), true, false, way},
		{phrase.Of("Circuit"), false, false, func(c facts.Circuit) phrase.Phrase { return circuitName(c, wide) }},
		{phrase.Of("Ph"), true, false, func(c facts.Circuit) phrase.Phrase {
			return record.PhaseText(c.Phase,
				c.AnyPhase && !c.OnBackup)
		}},
		{grid.Unit("A"), true, false, func(c facts.Circuit) phrase.Phrase { return grid.Num(grid.OrNone(c.BreakerA)) }},
		{phrase.Of("Loads"), false, true, loadNames},
		{phrase.Of("Run W"), true, false, func(c facts.Circuit) phrase.Phrase {
			return grid.Num(grid.Whole(c.Running.W))
		}},
		{phrase.Of("Start VA"), true, false, func(c facts.Circuit) phrase.Phrase {
			return grid.Num(grid.OrNone(c.StartingVA))
		}},
		{phrase.Of("Wh/day"), true, true, func(c facts.Circuit) phrase.Phrase {
			return grid.Num(grid.Whole(c.EnergyWhPerDay))
		}},
		{phrase.Of("Day %%"), true, false, func(c facts.Circuit) phrase.Phrase {
			if !c.OnBackup {
				return grid.Dash
			}
			return grid.Num(grid.Percent(c.EnergyWhPerDay, p.Demand.EnergyWhPerDay))
		}},
		{phrase.Of("Moved h"), true, false, func(c facts.Circuit) phrase.Phrase {
			return grid.Num(moved(moves, c.ID))
		}},
		{phrase.Of("Prio"), true, false, func(c facts.Circuit) phrase.Phrase {
			return grid.Num(strconv.Itoa(c.Priority))
		}},
		{phrase.Of("Why"), false, true, func(c facts.Circuit) phrase.Phrase {
			if o := p.Allocation.LeftOutOf(c.ID); o != nil {
				return o.Brief() // the rest stands below
			}
			return c.Reason()
		}},
	}
	var t grid.Table
	for _, col := range columns {
		if !col.wide || wide {
			t.Head, t.Right = append(t.Head, col.head), append(t.Right, col.right)
		}
	}
	for _, onBackup := range []bool{true, false} {
		for _, c := range p.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			var row []phrase.Phrase
			for _, col := range columns {
				if !col.wide || wide {
					row = append(row, col.cell(c))
				}
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// circuitName is the label of a circuit, and whether figures of its loads are typical of a class. A wide sheet says
// that beside the loads.
func circuitName(c facts.Circuit, wide bool) phrase.Phrase {
	label := phrase.Name(c.Label)
	if !wide && slices.ContainsFunc(c.Loads, func(l loads.Load) bool { return l.RestsOnClass() }) {
		return phrase.Of("%s (typical)", label)
	}
	return label
}

// way is the number on the backup board, or the other board.
func way(c facts.Circuit) phrase.Phrase {
	if !c.OnBackup {
		return phrase.Of("main")
	}
	return grid.Num(strconv.Itoa(c.Way))
}

// loadNames lists what is used on a circuit; what is held off stands in brackets.
func loadNames(c facts.Circuit) phrase.Phrase {
	var names []phrase.Phrase
	for _, l := range c.Loads {
		name := phrase.Name(l.Name)
		if l.Quantity > 1 {
			name = phrase.Symbols("%d x %s", l.Quantity, name)
		}
		if l.RestsOnClass() {
			name = phrase.Of("%s (typical)", name)
		}
		if l.HeldOff {
			name = phrase.Symbols("(%s)", name)
		}
		names = append(names, name)
	}
	return phrase.Separated(names, "; ")
}

// moved writes what the autonomy gains or loses when a circuit changes boards.
func moved(moves map[string]study.Move, id string) string {
	m, ok := moves[id]
	switch {
	case !ok:
		return "-"
	case m.Capped:
		return ">" + grid.Whole(m.Hours)
	}
	return signed(m.Hours)
}

// movedLine explains the columns.
func movedLine(p *backup.Plan) phrase.Phrase {
	text := phrase.Of("A: circuit breaker. Day %%: share of the day's energy on the backup board.")
	if _, start, err := p.LeastAutonomy(); err == nil && !p.Bank.AutonomyCap {
		text = grid.Sentences(text,
			phrase.Of("Moved h: change in the autonomy, from %s, if the circuit is moved to the other board.",
				phrase.Name(calendar.ClockAt(start))))
	}
	return text
}

// allocationLines say how the circuits that may go on either board were decided, and whose phases were picked.
func allocationLines(p *backup.Plan) []phrase.Phrase {
	var in, out []string
	var picked, lines []phrase.Phrase
	for _, c := range p.Circuits {
		if c.AnyPhase && c.OnBackup {
			picked = append(picked, phrase.Of("%q on %d", c.Label, c.Phase))
		}
		if c.Asked != loads.BoardEither {
			continue
		}
		if c.OnBackup {
			in = append(in, c.Label)
		} else {
			out = append(out, c.Label)
		}
	}
	if len(in)+len(out) > 0 {
		best := phrase.Of("the optimal allocation, proven")
		if !p.Allocation.Proven {
			best = phrase.Of("the best allocation found, not proven optimal")
		}
		lines = append(lines, phrase.Of("Decided by the planner: %s on the backup board, %s on the main board; %s.",
			circuitsNamed(in), circuitsNamed(out), best))
	}
	if len(picked) > 0 {
		lines = append(lines, phrase.Of("Phases chosen by the planner: %s.", phrase.Separated(picked, ", ")))
	}
	return lines
}

// circuitsNamed are names of circuits in a row, or that there is none: a word alone would have to agree with what is none.
func circuitsNamed(labels []string) phrase.Phrase {
	if len(labels) == 0 {
		return phrase.Of("no circuit")
	}
	return grid.Named(labels)
}
