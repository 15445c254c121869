package course

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/loads"
)

// FirstCircuit is the row of the first circuit.
const FirstCircuit = 5

// fillCircuits lists the circuits with board and phase, both of which may be changed.
func (m *Home) fillCircuits() {
	s := m.Circuits
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Circuits")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Boards and phases are those of the plan. Nothing is chosen anew when a figure changes.")))
	for i, h := range []string{m.Say("col.no"), m.Say("col.circuit"),
		m.Prose(phrase.Of("On the backup board (1: yes, 0: no)")),
		m.Prose(phrase.Of("Phase, 0: all")), m.Prose(phrase.Of("Energy of a day")) + ", Wh",
		m.Prose(phrase.Of("Circuit breaker")) + ", A", m.Prose(phrase.Of("Current with the grid")) + ", A",
		m.Prose(phrase.Of("Margin")), m.Prose(phrase.Of("Rank, the lowest counts")), m.Say("col.status")} {
		s.Put(FirstCircuit-1, i+1, book.Cell{Kind: book.Head, Text: h, Wrap: true, Middle: i > 1})
	}
	s.Width(5, 1)
	s.Width(48, 2)
	s.Width(16, 3, 4, 5, 6, 7, 8, 9, 10)
	for i, c := range m.Plan.Site.Circuits {
		row := FirstCircuit + i
		s.Count(row, 1, i+1)
		s.Long(row, 2, book.Plain, speech.Name(m.Called(c.Label)))
		s.Num(row, 3, book.Input, bit(c.Board == loads.BoardBackup), book.AsGiven)
		s.Num(row, 4, book.Input, float64(c.Phase), book.AsGiven)
		breaker := book.Cell{Kind: book.Input, Format: book.AsGiven}
		if c.BreakerA > 0 {
			breaker.IsNum, breaker.Number = true, c.BreakerA
		}
		s.Put(row, CircuitBreaker, breaker)
	}
	if n := len(m.Plan.Site.Circuits); n > 0 {
		s.Flags = append(s.Flags, "C"+strconv.Itoa(FirstCircuit)+":C"+strconv.Itoa(FirstCircuit+n-1))
	}
	s.Frozen, s.Heads = [2]int{FirstCircuit - 1, 2}, FirstCircuit-1
}

// Columns of the circuits, behind those of the inputs.
const (
	CircuitBoard   = 3
	circuitPhase   = 4
	CircuitBreaker = iota + 4
	CircuitA
	circuitMargin
	CircuitRank
	CircuitStatus
	CircuitCountedA // long-running loads counted more
	CircuitMotorA   // and with the largest motor
)

// circuitTable is the first row of what the circuits draw through the day.
func (m *Home) circuitTable() int { return FirstCircuit + len(m.Plan.Site.Circuits) + 4 }

// circuitThrough is a column of that table.
func (m *Home) circuitThrough(col int) string {
	first := m.circuitTable()
	return m.Circuits.Span(first, col, first+m.Intervals*len(m.choices)-1, col)
}

// circuitHead heads a column of that table.
func (m *Home) circuitHead(col int, words string) {
	m.Circuits.Put(m.circuitTable()-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
	if col > CircuitMotorA {
		m.Circuits.Width(16, col)
	}
}

// fillCircuitCurrents works out what each circuit draws while the grid is there, its held-off loads included, whichever
// board it is on.
func (m *Home) fillCircuitCurrents() {
	if len(m.Plan.Site.Circuits) == 0 {
		return
	}
	s, first := m.Circuits, m.circuitTable()
	s.Put(first-1, 2, book.Cell{Kind: book.Head, Text: m.Say("col.from"), Format: book.AsGiven})
	m.eachChoice(func(row, k int, _ choice) {
		s.Calc(row, 2, book.Live, book.AsClock, "%s", m.Day.At(dayFrom, FirstInterval+k))
	})
	for d := range m.draws {
		for n, unit := range []string{"W", "VAr", "VA"} {
			m.circuitHead(circuitW(d)+n, m.drawName(d)+", "+unit)
		}
		m.eachChoice(func(row, k int, c choice) {
			m.sumCircuit(d, row, k, c, circuitW(d), func(LoadRow) string { return "" })
		})
		m.countDraw(d)
	}
	for i, circuit := range m.Plan.Site.Circuits {
		m.countCircuit(i)
		m.judgeBreaker(i, circuit)
	}
	for n, of := range m.alones {
		m.fillAlone(n, of)
	}
	s.Marks = append(s.Marks, book.Strip(CircuitStatus, FirstCircuit, FirstCircuit+len(m.Plan.Site.Circuits)-1))
}

// eachChoice calls a function for each row of that table: an interval of the day under a choice of the interlocks.
func (m *Home) eachChoice(each func(row, interval int, c choice)) {
	first := m.circuitTable()
	for n, c := range m.choices {
		for k := range m.Intervals {
			each(first+n*m.Intervals+k, k, c)
		}
	}
}

// sumCircuit is what a draw takes in an interval under a choice, in three columns; times is a factor on each load.
func (m *Home) sumCircuit(d, row, interval int, c choice, col int, times func(LoadRow) string) {
	s := m.Circuits
	watts, vars := []string{"0"}, []string{"0"}
	for _, l := range m.LoadRows {
		if !m.draws[d].has(m, l) || len(m.choices) > 1 && !c.holds[l.Row-FirstLoad] {
			continue
		}
		on := fmt.Sprintf("%s*%s%s", m.Day.At(l.Row, FirstInterval+interval), m.Loads.At(l.Row, LoadQuantity), times(l))
		watts = append(watts, fmt.Sprintf("%s*%s", on, m.Loads.At(l.Row, LoadW)))
		vars = append(vars, fmt.Sprintf("%s*%s", on, m.Loads.At(l.Row, loadVAr)))
	}
	w := s.Calc(row, col, book.Live, book.AsTenth, "%s", strings.Join(watts, "+"))
	vAr := s.Calc(row, col+1, book.Live, book.AsTenth, "%s", strings.Join(vars, "+"))
	s.Calc(row, col+2, book.Live, book.AsTenth, "%s", vaOf(w, vAr))
}

// judgeBreaker compares the current of a circuit with its breaker.
func (m *Home) judgeBreaker(i int, circuit loads.Circuit) {
	s, row := m.Circuits, FirstCircuit+i
	at := func(col int) book.Ref { return s.At(row, col) }
	tooMuch := func(a book.Ref) string { return fmt.Sprintf("%s>%s*(1+1E-9)", a, at(CircuitBreaker)) }
	fails := fmt.Sprintf("%s=1", at(CircuitBoard))
	if m.PlainCurrents() {
		s.Calc(row, CircuitA, book.Live, book.AsTenth, "MAX(%s)/%s", m.circuitThrough(circuitVA(i)), m.PerA(i))
	} else {
		// What only the rule of the largest motor finds too much is told, and no more.
		s.Calc(row, CircuitA, book.Live, book.AsTenth, "IF(AND(NOT(%[1]s),%[2]s),%[3]s,%[4]s)", tooMuch(at(CircuitCountedA)),
			tooMuch(at(CircuitMotorA)), at(CircuitMotorA), at(CircuitCountedA))
		fails = fmt.Sprintf("AND(%s,%s)", fails, tooMuch(at(CircuitCountedA)))
	}
	s.Calc(row, circuitMargin, book.Live, book.AsMille, "IF(COUNT(%[1]s)=0,0,(%[1]s-%[2]s)/%[1]s)", at(CircuitBreaker),
		at(CircuitA))
	broken := tooMuch(at(CircuitA))
	// What is too much on the main board is told, and no more. A breaker that the planner chose is not compared.
	unknown := fmt.Sprintf("COUNT(%s)=0", at(CircuitBreaker))
	if circuit.Assumed {
		unknown = "1=1"
	}
	s.Calc(row, CircuitRank, book.Live, book.AsMille, "IF(%s,9,IF(%s,IF(%s,-20,-10),0)+%s)", unknown, broken,
		fails, at(circuitMargin))
	s.Put(row, CircuitStatus, book.Cell{Kind: book.Live, Words: true, Inset: true,
		Formula: fmt.Sprintf("IF(%s>=9,\"\",IF(%s,IF(%s,%s,%s),%s))", at(CircuitRank), broken, fails,
			book.Quote(m.Pass[0]), book.Quote(m.Pass[1]), book.Quote(m.Pass[2]))})
}

// PerA is the formula for the VA of a circuit for each A.
func (m *Home) PerA(i int) string {
	return fmt.Sprintf("(IF(%s=0,%d,1)*%s)", m.Circuits.At(FirstCircuit+i, circuitPhase), m.Plan.Site.Phases,
		m.In["site_v"])
}

// StartsOn are the rows of the list of starts whose loads are on a circuit.
func (m *Home) StartsOn(id string) []int {
	var rows []int
	t := m.StartsAt()
	for n, l := range t.Starts {
		if l.CircuitID == id {
			rows = append(rows, t.List+n)
		}
	}
	return rows
}

// CircuitAt is the place of a circuit among those of the site; -1: it has none of that id.
func (m *Home) CircuitAt(id string) int {
	for i, c := range m.Plan.Site.Circuits {
		if c.ID == id {
			return i
		}
	}
	return -1
}
