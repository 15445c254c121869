package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/loads"
)

// circuitSection is the allocation as it is handed over: what is connected to which way and phase, what it asks for, what it costs in
// hours, and why it is where it is. A narrow sheet leaves out loads, daily energy and reasons. What keeps a circuit out stands below.
func circuitSection(p *backup.Plan, wide bool) section {
	s := section{title: "Circuits", table: circuitTable(p, wide)}
	if len(s.table.rows) == 0 {
		s.lines = []string{"The site file has no circuits."}
		return s
	}
	s.lines = append(s.lines, movedLine(p))
	s.lines = append(s.lines, assumedLines(p)...)
	if p.Allocation != nil {
		s.lines = append(s.lines, allocationLines(p)...)
		for _, c := range p.Circuits {
			if c.Asked == loads.BoardEither && !c.OnBackup {
				s.lines = append(s.lines, fmt.Sprintf("%s: %s.", speech.Clean(c.Label), speech.Clean(c.Reason.String())))
			}
		}
	}
	if b := p.Balancing; b != nil {
		s.lines = append(s.lines, speech.Clean(phrase.UpperFirst(b.Text(record.Labels(p))))+".")
	}
	return s
}

// A column of the table of circuits.
type circuitColumn struct {
	head  string
	right bool
	wide  bool // only where there is room
	cell  func(c facts.Circuit) string
}

func circuitTable(p *backup.Plan, wide bool) table {
	moves, err := study.Moves(p.Facts)
	if err != nil {
		moves = nil // the bank cannot be followed: its own section says so
	}
	columns := []circuitColumn{
		{"Way", true, false, way},
		{"Circuit", false, false, func(c facts.Circuit) string { return circuitName(c, wide) }},
		{"Ph", true, false, func(c facts.Circuit) string { return record.PhaseText(c.Phase, c.AnyPhase && !c.OnBackup) }},
		{"A", true, false, func(c facts.Circuit) string { return orNone(c.BreakerA) }},
		{"Loads", false, true, func(c facts.Circuit) string { return loadNames(c) }},
		{"Run W", true, false, func(c facts.Circuit) string { return whole(c.Running.W) }},
		{"Start VA", true, false, func(c facts.Circuit) string { return orNone(c.StartingVA) }},
		{"Wh/day", true, true, func(c facts.Circuit) string { return whole(c.EnergyWhPerDay) }},
		{"Day %", true, false, func(c facts.Circuit) string {
			if !c.OnBackup {
				return "-"
			}
			return percent(c.EnergyWhPerDay, p.Demand.EnergyWhPerDay)
		}},
		{"Moved h", true, false, func(c facts.Circuit) string { return moved(moves, c.ID) }},
		{"Prio", true, false, func(c facts.Circuit) string { return strconv.Itoa(c.Priority) }},
		{"Why", false, true, func(c facts.Circuit) string {
			if o := p.Allocation.LeftOutOf(c.ID); o != nil {
				return o.Brief().String() // the rest stands below
			}
			return speech.Clean(c.Reason.String())
		}},
	}
	var t table
	for _, col := range columns {
		if !col.wide || wide {
			t.head, t.right = append(t.head, col.head), append(t.right, col.right)
		}
	}
	for _, onBackup := range []bool{true, false} {
		for _, c := range p.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			var row []string
			for _, col := range columns {
				if !col.wide || wide {
					row = append(row, col.cell(c))
				}
			}
			t.rows = append(t.rows, row)
		}
	}
	return t
}

// circuitName is the label of a circuit, and whether figures of its loads are typical of a class. A wide sheet says that beside the loads.
func circuitName(c facts.Circuit, wide bool) string {
	label := speech.Clean(c.Label)
	if !wide && slices.ContainsFunc(c.Loads, func(l loads.Load) bool { return l.RestsOnClass() }) {
		label += " (typical)"
	}
	return label
}

// way is the number on the backup board, or the other board.
func way(c facts.Circuit) string {
	if !c.OnBackup {
		return "main"
	}
	return strconv.Itoa(c.Way)
}

// loadNames lists what is used on a circuit; what is held off stands in brackets.
func loadNames(c facts.Circuit) string {
	var names []string
	for _, l := range c.Loads {
		name := speech.Clean(l.Name)
		if l.Quantity > 1 {
			name = fmt.Sprintf("%d x %s", l.Quantity, name)
		}
		if l.RestsOnClass() {
			name += " (typical)"
		}
		if l.HeldOff {
			name = "(" + name + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, "; ")
}

// moved writes what the autonomy gains or loses when a circuit changes boards.
func moved(moves map[string]study.Move, id string) string {
	m, ok := moves[id]
	switch {
	case !ok:
		return "-"
	case m.Capped:
		return ">" + whole(m.Hours)
	}
	return signed(m.Hours)
}

// movedLine explains the columns.
func movedLine(p *backup.Plan) string {
	text := "A: circuit breaker. Day %: share of the day's energy on the backup board."
	if _, start, err := p.LeastAutonomy(); err == nil && !p.Bank.AutonomyCap {
		text += fmt.Sprintf(" Moved h: change in the autonomy, from %s, if the circuit is moved to the other board.", calendar.ClockAt(start))
	}
	return text
}

// allocationLines say how the circuits that may go on either board were decided, and whose phases were picked.
func allocationLines(p *backup.Plan) []string {
	var in, out, picked, lines []string
	for _, c := range p.Circuits {
		if c.AnyPhase && c.OnBackup {
			picked = append(picked, fmt.Sprintf("%q on %d", speech.Clean(c.Label), c.Phase))
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
		best := "the optimal allocation, proven"
		if !p.Allocation.Proven {
			best = "the best allocation found, not proven optimal"
		}
		lines = append(lines, fmt.Sprintf("Decided by the planner: %s on the backup board, %s on the main board; %s.", names(in), names(out), best))
	}
	if len(picked) > 0 {
		lines = append(lines, fmt.Sprintf("Phases chosen by the planner: %s.", strings.Join(picked, ", ")))
	}
	return lines
}
