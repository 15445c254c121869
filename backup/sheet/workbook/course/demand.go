package course

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
)

// A DemandTable is what runs in each interval of the day under each choice of the interlocks: where its columns are.
type DemandTable struct {
	first, rows    int
	from, interval int
	choice         int
	w, vAr, va     int
	PhaseW         int // three columns for each phase: W, VAr, VA
	gridVA         int // largest phase, or the only one, of what the grid passes through
	peakW, peakVA  int // minute of the row where it has the highest
	gridW, gridVAr int
	gridPhaseW     int
	// Where some loads count more, of what the grid passes through: two columns for each phase, the fullest one, and it
	// with each motor.
	countedW, countedVA int
	phases              int
}

// DemandAt is where the table is.
func (m *Home) DemandAt() DemandTable {
	t := DemandTable{from: 1, interval: 2, choice: 3, w: 4, vAr: 5, va: 6, phases: m.Plan.Site.Phases,
		rows: m.Intervals * len(m.choices)}
	next := 7
	if t.phases > 1 {
		t.PhaseW, next = next, next+3*t.phases
	}
	t.gridW, t.gridVAr, t.gridPhaseW = next, next+1, next
	if next += 2; t.phases > 1 {
		next += 2*t.phases - 2
	}
	t.gridVA, t.peakW, t.peakVA, t.countedW = next, next+1, next+2, next+3
	t.countedVA = t.countedW + 2*t.phases
	t.first = 28 + t.phases + max(1, len(m.LoadRows))
	return t
}

// DemandColumn is a column of the table.
func (m *Home) DemandColumn(col int) string {
	t := m.DemandAt()
	return m.demand.Span(t.first, col, t.first+t.rows-1, col)
}

// sum is the formula for the sum of a column of the loads over those that run in an interval under a choice; with
// phase, from 1, the part on it. more are columns that count too.
func (m *Home) sum(col, interval, choice, phase int, more ...string) string {
	parts := append([]string{m.runsIn(interval), m.LoadColumn(col)}, more...)
	if len(m.choices) > 1 {
		parts = append(parts, m.LoadColumn(m.choiceCol(choice)))
	}
	if phase > 0 {
		parts = append(parts, m.LoadColumn(LoadShares+phase-1))
	}
	return "SUMPRODUCT(" + strings.Join(parts, ",") + ")"
}

// vaOf is the formula for the apparent power of W and VAr.
func vaOf(w, vAr any) string { return fmt.Sprintf("SQRT((%[1]s)^2+(%[2]s)^2)", w, vAr) }

// fillDemand lays out what runs at once, and with it what passes through while the grid is there.
func (m *Home) fillDemand() error {
	s, t, n := m.demand, m.DemandAt(), m.Plan.Site.Phases
	m.List(s, phrase.Of("Demand"))
	s.Width(30, book.ColLabel)
	s.Width(14, book.ColValue, book.ColUnit)
	s.Width(13, book.ColHow)
	s.Row = 3
	m.Part(s, phrase.Of("Demand"))
	w := m.row(s, "scheduled_w", phrase.Of("Scheduled power"), "W", "MAX(%s)", m.DemandColumn(t.w))
	m.row(s, "scheduled_w_at", phrase.Of("peak minute"), "clock", "MIN(%s)/1440", m.DemandColumn(t.peakW))
	va := m.row(s, "scheduled_va", phrase.Of("Scheduled apparent power"), "VA", "MAX(%s)", m.DemandColumn(t.va))
	m.row(s, "scheduled_va_at", phrase.Of("peak minute"), "clock", "MIN(%s)/1440", m.DemandColumn(t.peakVA))
	for k := range n {
		if n > 1 {
			m.row(s, fmt.Sprintf("scheduled_va_phase_%d", k+1), phrase.Of("Scheduled apparent power, phase %d", k+1), "VA",
				"MAX(%s)", m.DemandColumn(t.PhaseW+3*k+2))
		}
	}
	m.connected()
	s.Long(s.Row, book.ColLabel, book.Plain, m.Prose(phrase.Of("Probable power")))
	m.Out["probable_w"] = s.Num(s.Row, book.ColValue, book.Worked, m.Plan.Demand.ProbableW, book.AsWhole)
	s.Put(s.Row, book.ColUnit, book.Cell{Kind: book.Plain, Text: "W", Inset: true})
	s.Say(s.Row, book.ColHow, book.Note, m.Prose(phrase.Of("worked out by the program: %s",
		phrase.Of("the distribution of all sums that may come about"))))
	s.Row++
	m.Out["pass_through_a"] = m.row(s, "pass_through_a_phase", phrase.Of("Pass-through current per phase"), "A",
		"MAX(%s)/%s",
		m.DemandColumn(t.gridVA), m.In["site_v"])
	delete(m.Out, "pass_through_a_phase")
	if !m.PlainCurrents() {
		m.row(s, "counted_a", phrase.Of("Pass-through current per phase, counted for circuit breakers"), "A", "MAX(%s)/%s",
			m.demand.Span(t.first, t.countedVA, t.first+t.rows-1, t.countedVA+len(m.motors)), m.In["site_v"])
	}
	if n > 1 {
		m.heldByPhase(t)
	}
	s.Row++
	if end := m.peakMinute(t); end+3 > t.first {
		return fmt.Errorf("workbook: the table of demand begins in row %d, and what stands above it ends in row %d",
			t.first, end)
	}

	m.demandHeads(t)
	for c := range m.choices {
		for k := range m.Intervals {
			m.demandRow(t, t.first+c*m.Intervals+k, k, c, w, va)
			m.countDemand(t, t.first+c*m.Intervals+k, k, c)
		}
	}
	return nil
}

// connected is what all loads draw at once, of each interlock the one member with which it is most.
func (m *Home) connected() {
	s := m.demand
	var connectedW, connectedVA []string
	for c := range m.choices {
		sum := func(col int) string {
			if len(m.choices) == 1 {
				return fmt.Sprintf("SUM(%s)", m.LoadColumn(col))
			}
			return fmt.Sprintf("SUMPRODUCT(%s,%s)", m.LoadColumn(col), m.LoadColumn(m.choiceCol(c)))
		}
		connectedW = append(connectedW, sum(loadAllW))
		connectedVA = append(connectedVA, vaOf(sum(loadAllW), sum(loadAllVAr)))
	}
	m.row(s, "connected_w", phrase.Of("Connected power"), "W", "MAX(%s)", strings.Join(connectedW, ","))
	m.row(s, "connected_va", phrase.Of("Connected apparent power"), "VA", "MAX(%s)", strings.Join(connectedVA, ","))
	m.row(s, "energy_wh_per_day", phrase.Of("Energy of a day"), "Wh", "SUM(%s)", m.LoadColumn(loadWh))
}

// heldByPhase is how far the phases differ, and what is held against the rating: the total or the fullest phase with its
// share of it, whichever is tighter.
func (m *Home) heldByPhase(t DemandTable) {
	s, n := m.demand, t.phases
	var phaseW, phaseVA []string
	for k := range n {
		phaseVA = append(phaseVA, string(m.Out[fmt.Sprintf("scheduled_va_phase_%d", k+1)]))
		phaseW = append(phaseW, fmt.Sprintf("MAX(%s)", m.DemandColumn(t.PhaseW+3*k)))
	}
	list := strings.Join(phaseVA, ",")
	m.row(s, "imbalance", phrase.Of("Imbalance of the phases"), "",
		"IFERROR((MAX(%[1]s)-MIN(%[1]s))/(SUM(%[1]s)/%[2]d),0)", list, n)
	for _, of := range []struct {
		name, total string
		phases      []string
	}{{"w", string(m.Out["scheduled_w"]), phaseW}, {"va", string(m.Out["scheduled_va"]), phaseVA}} {
		most := fmt.Sprintf("MAX(%s)", strings.Join(of.phases, ","))
		unit := strings.ToUpper(of.name)
		m.Out["phase_governs_"+of.name] = m.row(s, "phase_governs_"+of.name,
			phrase.Of("A phase governs, %s (1: yes, 0: no)", unit), "",
			"IF(%s*%d>%s*(1+1E-9),1,0)", most, n, of.total)
		m.row(s, "compared_"+of.name, phrase.Of("Held against the rating, %s", unit), unit, "IF(%s=1,%s,%s)",
			m.Out["phase_governs_"+of.name], most, of.total)
	}
}

// peakMinute is what runs in the peak minute, to be followed with a pencil, and gives its last row.
func (m *Home) peakMinute(t DemandTable) (end int) {
	s := m.demand
	top := s.Row
	for i, h := range []string{m.Prose(phrase.Of("What runs in the peak minute")), "W", "VAr"} {
		s.Put(top, i+1, book.Cell{Kind: book.Head, Text: h, Middle: i > 0})
	}
	at := fmt.Sprintf("MATCH(MAX(%[1]s),%[1]s,0)", m.DemandColumn(t.va))
	interval := fmt.Sprintf("INDEX(%s,%s)", m.DemandColumn(t.interval), at)
	choice := fmt.Sprintf("INDEX(%s,%s)", m.DemandColumn(t.choice), at)
	for i, r := range m.LoadRows {
		s.Put(top+1+i, 1, book.Cell{Kind: book.Live, Formula: string(m.Loads.At(r.Row, LoadName)), Words: true, Wrap: true})
		on := fmt.Sprintf("INDEX(%s,1,%s)", m.Day.Span(r.Row, FirstInterval, r.Row, FirstInterval+m.Intervals-1),
			interval)
		if len(m.choices) > 1 {
			on += fmt.Sprintf("*INDEX(%s,1,%s)", m.Loads.Span(r.Row, m.choiceCol(0), r.Row,
				m.choiceCol(len(m.choices)-1)), choice)
		}
		s.Calc(top+1+i, 2, book.Live, book.AsTenth, "%s*%s", m.Loads.At(r.Row, loadAllW), on)
		s.Calc(top+1+i, 3, book.Live, book.AsTenth, "%s*%s", m.Loads.At(r.Row, loadAllVAr), on)
	}
	end = top + 1 + len(m.LoadRows)
	last := max(end-1, top+1)
	s.Say(end, 1, book.Head, m.Prose(phrase.Of("Sum")))
	sumW := s.Calc(end, 2, book.Result, book.AsTenth, "SUM(%s)", s.Span(top+1, 2, last, 2))
	sumVAr := s.Calc(end, 3, book.Result, book.AsTenth, "SUM(%s)", s.Span(top+1, 3, last, 3))
	s.Calc(end, 4, book.Result, book.AsTenth, "%s", vaOf(sumW, sumVAr))
	s.Put(top, 4, book.Cell{Kind: book.Head, Text: "VA", Middle: true})
	return end
}

// row is a result of a sheet whose columns are those of a table.
func (m *Home) row(s *book.Sheet, name string, label phrase.Phrase, unit, formula string, args ...any) book.Ref {
	s.Long(s.Row, book.ColLabel, book.Plain, phrase.UpperFirst(m.Prose(label)))
	format := book.FormatOf(unit)
	if unit == "clock" {
		format, unit = book.AsClock, ""
	}
	s.Put(s.Row, book.ColUnit, book.Cell{Kind: book.Plain, Text: m.UnitName(unit), Inset: true})
	at := s.Calc(s.Row, book.ColValue, book.Result, format, formula, args...)
	m.Out[name] = at
	s.Row++
	return at
}

func (m *Home) demandHeads(t DemandTable) {
	s := m.demand
	heads := map[int]string{t.from: m.Say("col.from"), t.interval: m.Prose(phrase.Of("Interval")),
		t.choice: m.Prose(phrase.Of("Choice of the interlocks")), t.w: "W", t.vAr: "VAr", t.va: "VA",
		t.gridVA: m.Prose(phrase.Of("With the grid, fullest phase")) + ", VA",
		t.peakW:  m.Prose(phrase.Of("Minute, where it has the highest")) + ", W",
		t.peakVA: m.Prose(phrase.Of("Minute, where it has the highest")) + ", VA"}
	if t.phases > 1 {
		for k := range t.phases {
			for i, unit := range []string{"W", "VAr", "VA"} {
				heads[t.PhaseW+3*k+i] = m.Prose(phrase.Of("Phase %d", k+1)) + ", " + unit
			}
			heads[t.gridPhaseW+2*k] = m.Prose(phrase.Of("With the grid, phase %d", k+1)) + ", W"
			heads[t.gridPhaseW+2*k+1] = m.Prose(phrase.Of("With the grid, phase %d", k+1)) + ", VAr"
		}
	} else {
		heads[t.gridW] = m.Prose(phrase.Of("With the grid")) + ", W"
		heads[t.gridVAr] = m.Prose(phrase.Of("With the grid")) + ", VAr"
	}
	m.countHeads(t, heads)
	for col, words := range heads {
		s.Put(t.first-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		if col > book.ColHow {
			s.Width(13, col)
		}
	}
}

// demandRow is an interval under a choice.
func (m *Home) demandRow(t DemandTable, row, interval, choice int, w, va book.Ref) {
	s := m.demand
	at := func(col int) book.Ref { return s.At(row, col) }
	s.Calc(row, t.from, book.Live, book.AsClock, "%s", m.Day.At(dayFrom, FirstInterval+interval))
	s.Count(row, t.interval, interval+1)
	s.Count(row, t.choice, choice+1)
	s.Calc(row, t.w, book.Live, book.AsTenth, "%s", m.sum(loadAllW, interval, choice, 0))
	s.Calc(row, t.vAr, book.Live, book.AsTenth, "%s", m.sum(loadAllVAr, interval, choice, 0))
	s.Calc(row, t.va, book.Live, book.AsTenth, "%s", vaOf(at(t.w), at(t.vAr)))
	if t.phases > 1 {
		var most []string
		for k := range t.phases {
			col := t.PhaseW + 3*k
			s.Calc(row, col, book.Live, book.AsTenth, "%s", m.sum(loadAllW, interval, choice, k+1))
			s.Calc(row, col+1, book.Live, book.AsTenth, "%s", m.sum(loadAllVAr, interval, choice, k+1))
			s.Calc(row, col+2, book.Live, book.AsTenth, "%s", vaOf(at(col), at(col+1)))
			grid := t.gridPhaseW + 2*k
			s.Calc(row, grid, book.Live, book.AsTenth, "%s", m.sum(loadGridW, interval, choice, k+1))
			s.Calc(row, grid+1, book.Live, book.AsTenth, "%s", m.sum(loadGridVAr, interval, choice, k+1))
			most = append(most, vaOf(at(grid), at(grid+1)))
		}
		s.Calc(row, t.gridVA, book.Live, book.AsTenth, "MAX(%s)", strings.Join(most, ","))
	} else {
		s.Calc(row, t.gridW, book.Live, book.AsTenth, "%s", m.sum(loadGridW, interval, choice, 0))
		s.Calc(row, t.gridVAr, book.Live, book.AsTenth, "%s", m.sum(loadGridVAr, interval, choice, 0))
		s.Calc(row, t.gridVA, book.Live, book.AsTenth, "%s", vaOf(at(t.gridW), at(t.gridVAr)))
	}
	minute := m.Day.At(DayFromMin, FirstInterval+interval)
	s.Calc(row, t.peakW, book.Live, book.AsGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", at(t.w), w, minute)
	s.Calc(row, t.peakVA, book.Live, book.AsGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", at(t.va), va, minute)
}
