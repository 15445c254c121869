package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
)

// A demandTable is what runs in each interval of the day under each choice of the interlocks: where its columns are.
type demandTable struct {
	first, rows     int
	from, interval  int
	choice          int
	w, vAr, va      int
	phaseW          int // three columns for each phase: W, VAr, VA
	gridVA          int // largest phase, or the only one, of what the grid passes through
	peakW, peakVA   int // minute of the row where it has the highest
	gridW, gridVAr  int
	gridPhaseW      int
	phases, columns int
}

func (m *maker) demandAt() demandTable {
	t := demandTable{from: 1, interval: 2, choice: 3, w: 4, vAr: 5, va: 6, phases: m.p.Site.Phases,
		rows: m.intervals * len(m.choices)}
	next := 7
	if t.phases > 1 {
		t.phaseW, next = next, next+3*t.phases
	}
	t.gridW, t.gridVAr, t.gridPhaseW = next, next+1, next
	if next += 2; t.phases > 1 {
		next += 2*t.phases - 2
	}
	t.gridVA, t.peakW, t.peakVA, t.columns = next, next+1, next+2, next+2
	t.first = 26 + t.phases + max(1, len(m.loadRows))
	return t
}

// column is a column of the table.
func (m *maker) demandColumn(col int) string {
	t := m.demandAt()
	return m.demand.span(t.first, col, t.first+t.rows-1, col)
}

// sum is the formula for the sum of a column of the loads over those that run in an interval under a choice; with
// phase, from 1, the part on it.
func (m *maker) sum(col, interval, choice, phase int) string {
	parts := []string{m.runsIn(interval), m.column(col)}
	if len(m.choices) > 1 {
		parts = append(parts, m.column(m.choiceCol(choice)))
	}
	if phase > 0 {
		parts = append(parts, m.column(loadShares+phase-1))
	}
	return "SUMPRODUCT(" + strings.Join(parts, ",") + ")"
}

// vaOf is the formula for the apparent power of W and VAr.
func vaOf(w, vAr any) string { return fmt.Sprintf("SQRT((%[1]s)^2+(%[2]s)^2)", w, vAr) }

// fillDemand lays out what runs at once, and with it what passes through while the grid is there.
func (m *maker) fillDemand() error {
	s, t, n := m.demand, m.demandAt(), m.p.Site.Phases
	l := m.list(s, phrase.Of("Demand"), phrase.Phrase{})
	s.width(30, colLabel)
	s.width(14, colValue, colUnit)
	s.width(13, colHow)
	s.row = 3
	s.part(m.say(phrase.Of("Demand")), m)
	row := func(name string, label phrase.Phrase, unit, formula string, args ...any) ref {
		s.long(s.row, colLabel, plain, phrase.UpperFirst(m.say(label)))
		s.put(s.row, colUnit, cell{kind: plain, text: m.r.UnitName(unit), inset: true})
		format := formatOf(unit)
		if unit == "clock" {
			format = asClock
			s.say(s.row, colUnit, plain, "")
		}
		at := s.calc(s.row, colValue, result, format, formula, args...)
		m.out[name] = at
		s.row++
		return at
	}
	w := row("scheduled_w", phrase.Of("Scheduled power"), "W", "MAX(%s)", m.demandColumn(t.w))
	row("scheduled_w_at", phrase.Of("peak minute"), "clock", "MIN(%s)/1440", m.demandColumn(t.peakW))
	va := row("scheduled_va", phrase.Of("Scheduled apparent power"), "VA", "MAX(%s)", m.demandColumn(t.va))
	row("scheduled_va_at", phrase.Of("peak minute"), "clock", "MIN(%s)/1440", m.demandColumn(t.peakVA))
	var phaseW, phaseVA []string
	if n > 1 {
		for k := range n {
			phaseVA = append(phaseVA, string(row(fmt.Sprintf("scheduled_va_phase_%d", k+1),
				phrase.Of("Scheduled apparent power, phase %d", k+1), "VA", "MAX(%s)", m.demandColumn(t.phaseW+3*k+2))))
		}
		for k := range n {
			phaseW = append(phaseW, fmt.Sprintf("MAX(%s)", m.demandColumn(t.phaseW+3*k)))
		}
	}
	var connectedW, connectedVA []string
	for c := range m.choices {
		sum := func(col int) string {
			if len(m.choices) == 1 {
				return fmt.Sprintf("SUM(%s)", m.column(col))
			}
			return fmt.Sprintf("SUMPRODUCT(%s,%s)", m.column(col), m.column(m.choiceCol(c)))
		}
		connectedW = append(connectedW, sum(loadAllW))
		connectedVA = append(connectedVA, vaOf(sum(loadAllW), sum(loadAllVAr)))
	}
	row("connected_w", phrase.Of("Connected power"), "W", "MAX(%s)", strings.Join(connectedW, ","))
	row("connected_va", phrase.Of("Connected apparent power"), "VA", "MAX(%s)", strings.Join(connectedVA, ","))
	row("energy_wh_per_day", phrase.Of("Energy of a day"), "Wh", "SUM(%s)", m.column(loadWh))
	s.long(s.row, colLabel, plain, m.say(phrase.Of("Probable power")))
	m.out["probable_w"] = s.num(s.row, colValue, worked, m.p.Demand.ProbableW, asWhole)
	s.put(s.row, colUnit, cell{kind: plain, text: "W", inset: true})
	s.say(s.row, colHow, note, m.say(phrase.Of("worked out by the program: %s",
		phrase.Of("the distribution of all sums that may come about"))))
	s.row++
	m.out["pass_through_a"] = row("pass_through_a_phase", phrase.Of("Pass-through current per phase"), "A",
		"MAX(%s)/%s",
		m.demandColumn(t.gridVA), m.in["site_v"])
	delete(m.out, "pass_through_a_phase")
	if n > 1 {
		list := strings.Join(phaseVA, ",")
		row("imbalance", phrase.Of("Imbalance of the phases"), "",
			"IFERROR((MAX(%[1]s)-MIN(%[1]s))/(SUM(%[1]s)/%[2]d),0)", list, n)
		// Whichever is tighter, the total or the fullest phase with its share of the rating, is held against it.
		for _, of := range []struct {
			name, total string
			phases      []string
		}{{"w", string(w), phaseW}, {"va", string(va), phaseVA}} {
			most := fmt.Sprintf("MAX(%s)", strings.Join(of.phases, ","))
			unit := strings.ToUpper(of.name)
			m.out["phase_governs_"+of.name] = row("phase_governs_"+of.name,
				phrase.Of("A phase governs, %s (1: yes, 0: no)", unit), "",
				"IF(%s*%d>%s*(1+1E-9),1,0)", most, n, of.total)
			row("compared_"+of.name, phrase.Of("Held against the rating, %s", unit), unit, "IF(%s=1,%s,%s)",
				m.out["phase_governs_"+of.name], most, of.total)
		}
	}
	_ = l

	// What runs in the peak minute, to be followed with a pencil.
	s.row++
	top := s.row
	for i, h := range []string{m.say(phrase.Of("What runs in the peak minute")), "W", "VAr"} {
		s.put(top, i+1, cell{kind: head, text: h, middle: i > 0})
	}
	at := fmt.Sprintf("MATCH(MAX(%[1]s),%[1]s,0)", m.demandColumn(t.va))
	interval := fmt.Sprintf("INDEX(%s,%s)", m.demandColumn(t.interval), at)
	choice := fmt.Sprintf("INDEX(%s,%s)", m.demandColumn(t.choice), at)
	for i, r := range m.loadRows {
		s.put(top+1+i, 1, cell{kind: live, formula: string(m.loads.at(r.row, loadName)), words: true, wrap: true})
		on := fmt.Sprintf("INDEX(%s,1,%s)", m.day.span(r.row, firstInterval, r.row, firstInterval+m.intervals-1),
			interval)
		if len(m.choices) > 1 {
			on += fmt.Sprintf("*INDEX(%s,1,%s)", m.loads.span(r.row, m.choiceCol(0), r.row,
				m.choiceCol(len(m.choices)-1)), choice)
		}
		s.calc(top+1+i, 2, live, asTenth, "%s*%s", m.loads.at(r.row, loadAllW), on)
		s.calc(top+1+i, 3, live, asTenth, "%s*%s", m.loads.at(r.row, loadAllVAr), on)
	}
	end := top + 1 + len(m.loadRows)
	last := max(end-1, top+1)
	s.say(end, 1, head, m.say(phrase.Of("Sum")))
	sumW := s.calc(end, 2, result, asTenth, "SUM(%s)", s.span(top+1, 2, last, 2))
	sumVAr := s.calc(end, 3, result, asTenth, "SUM(%s)", s.span(top+1, 3, last, 3))
	s.calc(end, 4, result, asTenth, "%s", vaOf(sumW, sumVAr))
	s.put(top, 4, cell{kind: head, text: "VA", middle: true})
	if end+3 > t.first {
		return fmt.Errorf("workbook: the table of demand begins in row %d, and what stands above it ends in row %d",
			t.first, end)
	}

	m.demandHeads(t)
	for c := range m.choices {
		for k := range m.intervals {
			m.demandRow(t, t.first+c*m.intervals+k, k, c, w, va)
		}
	}
	return nil
}

// part begins a part of a sheet whose columns are those of a table.
func (s *sheet) part(name string, m *maker) {
	s.say(s.row, colLabel, head, name)
	s.put(s.row, colValue, cell{kind: head, text: m.r.Say("col.value"), format: asGiven})
	s.put(s.row, colUnit, cell{kind: head, text: m.r.Say("col.unit"), inset: true})
	s.row++
}

func (m *maker) demandHeads(t demandTable) {
	s := m.demand
	heads := map[int]string{t.from: m.r.Say("col.from"), t.interval: m.say(phrase.Of("Interval")),
		t.choice: m.say(phrase.Of("Choice of the interlocks")), t.w: "W", t.vAr: "VAr", t.va: "VA",
		t.gridVA: m.say(phrase.Of("With the grid, fullest phase")) + ", VA",
		t.peakW:  m.say(phrase.Of("Minute, where it has the highest")) + ", W",
		t.peakVA: m.say(phrase.Of("Minute, where it has the highest")) + ", VA"}
	if t.phases > 1 {
		for k := range t.phases {
			for i, unit := range []string{"W", "VAr", "VA"} {
				heads[t.phaseW+3*k+i] = m.say(phrase.Of("Phase %d", k+1)) + ", " + unit
			}
			heads[t.gridPhaseW+2*k] = m.say(phrase.Of("With the grid, phase %d", k+1)) + ", W"
			heads[t.gridPhaseW+2*k+1] = m.say(phrase.Of("With the grid, phase %d", k+1)) + ", VAr"
		}
	} else {
		heads[t.gridW] = m.say(phrase.Of("With the grid")) + ", W"
		heads[t.gridVAr] = m.say(phrase.Of("With the grid")) + ", VAr"
	}
	for col, words := range heads {
		s.put(t.first-1, col, cell{kind: head, text: words, wrap: true, middle: true})
		if col > colHow {
			s.width(13, col)
		}
	}
}

// demandRow is an interval under a choice.
func (m *maker) demandRow(t demandTable, row, interval, choice int, w, va ref) {
	s := m.demand
	at := func(col int) ref { return s.at(row, col) }
	s.calc(row, t.from, live, asClock, "%s", m.day.at(dayFrom, firstInterval+interval))
	s.num(row, t.interval, worked, float64(interval+1), asGiven)
	s.num(row, t.choice, worked, float64(choice+1), asGiven)
	s.calc(row, t.w, live, asTenth, "%s", m.sum(loadAllW, interval, choice, 0))
	s.calc(row, t.vAr, live, asTenth, "%s", m.sum(loadAllVAr, interval, choice, 0))
	s.calc(row, t.va, live, asTenth, "%s", vaOf(at(t.w), at(t.vAr)))
	if t.phases > 1 {
		var most []string
		for k := range t.phases {
			col := t.phaseW + 3*k
			s.calc(row, col, live, asTenth, "%s", m.sum(loadAllW, interval, choice, k+1))
			s.calc(row, col+1, live, asTenth, "%s", m.sum(loadAllVAr, interval, choice, k+1))
			s.calc(row, col+2, live, asTenth, "%s", vaOf(at(col), at(col+1)))
			grid := t.gridPhaseW + 2*k
			s.calc(row, grid, live, asTenth, "%s", m.sum(loadGridW, interval, choice, k+1))
			s.calc(row, grid+1, live, asTenth, "%s", m.sum(loadGridVAr, interval, choice, k+1))
			most = append(most, vaOf(at(grid), at(grid+1)))
		}
		s.calc(row, t.gridVA, live, asTenth, "MAX(%s)", strings.Join(most, ","))
	} else {
		s.calc(row, t.gridW, live, asTenth, "%s", m.sum(loadGridW, interval, choice, 0))
		s.calc(row, t.gridVAr, live, asTenth, "%s", m.sum(loadGridVAr, interval, choice, 0))
		s.calc(row, t.gridVA, live, asTenth, "%s", vaOf(at(t.gridW), at(t.gridVAr)))
	}
	minute := m.day.at(dayFromMin, firstInterval+interval)
	s.calc(row, t.peakW, live, asGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", at(t.w), w, minute)
	s.calc(row, t.peakVA, live, asGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", at(t.va), va, minute)
}
