package course

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/site"
	"outlast/backup/wiring"
)

// Some tables count what runs for hours more for breakers and conductors, and one unit of the largest motor. What stands
// here lays that out, for homes with such tables; the others have none of its cells.

// PlainCurrents says whether a circuit counts what it draws as it is: without a factor on what runs long, and without
// more for the largest motor.
func (m *Home) PlainCurrents() bool {
	p, err := m.Plan.Site.Practice.Wires().FilledFor(m.Plan.Site.Wiring.Tables)
	return err == nil && p.ContinuousFactor == 1 && m.MotorShare() == 0
}

// MotorShare is the share of its current that the largest motor counts beyond what it draws.
func (m *Home) MotorShare() float64 { return wiring.LargestMotor(m.Plan.Site.Wiring.Tables) }

// Factor is the formula for what counts loads that run for hours.
func (m *Home) Factor() string {
	if m.PlainCurrents() {
		return "1"
	}
	return string(m.In["continuous_factor"])
}

// countsCol is the column of the loads with how often each counts, behind all others; the next has how much more one
// unit counts as the largest motor.
func (m *Home) countsCol() int {
	if len(m.choices) > 1 {
		return m.choiceCol(len(m.choices))
	}
	return m.choiceCol(0)
}

// fillCounts says of each load how often it counts.
func (m *Home) fillCounts() {
	if m.PlainCurrents() {
		return
	}
	s, col := m.Loads, m.countsCol()
	for i, words := range []string{m.Prose(phrase.Of("Counts for circuit breakers, times")),
		m.Prose(phrase.Of("One unit more as the largest motor, times"))} {
		s.Put(FirstLoad-1, col+i, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		s.Width(12.5, col+i)
	}
	for _, l := range m.LoadRows {
		s.Calc(l.Row, col, book.Live, book.AsGiven, "IF(%s>%s,%s,1)", s.At(l.Row, LoadHours), book.Lit(site.ContinuousH),
			m.Factor())
		if m.MotorShare() > 0 && site.HasMotor(&l.Load) {
			s.Calc(l.Row, col+1, book.Live, book.AsMille, "IF(%s>0,MAX(0,%s-%s),0)", s.At(l.Row, LoadQuantity),
				book.Lit(1+m.MotorShare()), s.At(l.Row, col))
			m.countsMotor(l)
		}
	}
}

// A motorDraw is a draw in which a motor may count more.
type motorDraw struct {
	motor LoadRow
	draw  int
}

// countsMotor takes a motor up: for what the grid passes through, and for its circuit.
func (m *Home) countsMotor(l LoadRow) {
	if !l.other {
		m.motors = append(m.motors, l)
	}
	for d, draw := range m.draws {
		if draw.has(m, l) {
			m.motorDraws = append(m.motorDraws, motorDraw{l, d})
		}
	}
}

// with is the formula for the VA of W and VAr with one unit of a motor counted more; share is a factor on it.
func (m *Home) with(motor LoadRow, w, vAr any, share string) string {
	load := func(col int) book.Ref { return m.Loads.At(motor.Row, col) }
	more := func(of book.Ref) string { return fmt.Sprintf("%s%s*%s", share, load(m.countsCol()+1), of) }
	return vaOf(fmt.Sprintf("%s+%s", w, more(load(LoadW))), fmt.Sprintf("%s+%s", vAr, more(load(loadVAr))))
}

// countedW is the first of three columns of a draw, with what counts more counted; behind them stands one for each motor
// in a draw.
func (m *Home) countedW(draw int) int { return m.aloneVA(len(m.alones)) + 3*draw }
func (m *Home) motorVA(of int) int    { return m.countedW(len(m.draws)) + of }

// countDraw works out a draw where some loads count more, and with each of its motors.
func (m *Home) countDraw(d int) {
	if m.PlainCurrents() {
		return
	}
	name := m.Headed(m.drawName(d), m.Prose(phrase.Of("Counted"))) + ", "
	for n, unit := range []string{"W", "VAr", "VA"} {
		m.circuitHead(m.countedW(d)+n, name+unit)
	}
	m.eachChoice(func(row, k int, c choice) {
		m.sumCircuit(d, row, k, c, m.countedW(d), func(l LoadRow) string { return "*" + string(m.Loads.At(l.Row, m.countsCol())) })
	})
	for n, of := range m.motorDraws {
		if of.draw == d {
			m.countMotor(n, of)
		}
	}
}

// countMotor is a draw with a motor of it counted more, where that may run.
func (m *Home) countMotor(n int, of motorDraw) {
	s, col, w := m.Circuits, m.motorVA(n), m.countedW(of.draw)
	m.circuitHead(col, m.Headed(m.Prose(phrase.Of("With the largest motor")), speech.Name(m.Called(of.motor.Name)))+", VA")
	m.eachChoice(func(row, k int, c choice) {
		if len(m.choices) > 1 && !c.holds[of.motor.Row-FirstLoad] {
			return // the mates of its interlock run here
		}
		s.Calc(row, col, book.Live, book.AsTenth, "%s", m.with(of.motor, s.At(row, w), s.At(row, w+1),
			string(m.Day.At(of.motor.Row, FirstInterval+k))+"*"))
	})
}

// counted are the formulas for the most VA of draws where some loads count more, and with the largest motor.
func (m *Home) counted(draws []int) (long, motor string) {
	var all, with []string
	for _, d := range draws {
		all = append(all, fmt.Sprintf("MAX(%s)", m.circuitThrough(m.countedW(d)+2)))
		for n, of := range m.motorDraws {
			if of.draw == d {
				with = append(with, fmt.Sprintf("MAX(%s)", m.circuitThrough(m.motorVA(n))))
			}
		}
	}
	return mostOf(all), mostOf(append(with, all...))
}

// CountedOf are the formulas for the currents of a circuit in any month where some loads count more, and with the largest
// motor.
func (m *Home) CountedOf(circuit int) (long, motor string) {
	draws := m.drawsOf(circuit)
	if row := FirstCircuit + circuit; len(draws) == 1 {
		return string(m.Circuits.At(row, CircuitCountedA)), string(m.Circuits.At(row, CircuitMotorA))
	}
	long, motor = m.counted(draws)
	return long + "/" + m.PerA(circuit), motor + "/" + m.PerA(circuit)
}

// countCircuit works out what the breaker of a circuit is compared with in the month of the outage.
func (m *Home) countCircuit(i int) {
	if m.PlainCurrents() {
		return
	}
	s := m.Circuits
	for col, words := range map[int]phrase.Phrase{CircuitCountedA: phrase.Of("Current, what runs for hours counted more"),
		CircuitMotorA: phrase.Of("The same with the largest motor counted more")} {
		s.Put(FirstCircuit-1, col, book.Cell{Kind: book.Head, Text: m.Prose(words) + ", A", Wrap: true, Middle: true})
		s.Width(16, col)
	}
	long, motor := m.counted([]int{i})
	s.Calc(FirstCircuit+i, CircuitCountedA, book.Live, book.AsTenth, "%s/%s", long, m.PerA(i))
	s.Calc(FirstCircuit+i, CircuitMotorA, book.Live, book.AsTenth, "%s/%s", motor, m.PerA(i))
}

// countHeads are the heads of what counts more in the table of demand.
func (m *Home) countHeads(t DemandTable, heads map[int]string) {
	if m.PlainCurrents() {
		return
	}
	counted := m.Prose(phrase.Of("With the grid, counted"))
	for k := range t.phases {
		phase := counted
		if t.phases > 1 {
			phase = m.Prose(phrase.Of("With the grid, counted, phase %d", k+1))
		}
		heads[t.countedW+2*k], heads[t.countedW+2*k+1] = phase+", W", phase+", VAr"
	}
	heads[t.countedVA] = counted + ", VA"
	for n, motor := range m.motors {
		heads[t.countedVA+1+n] = m.Headed(m.Prose(phrase.Of("With the largest motor")), speech.Name(m.Called(motor.Name))) + ", VA"
	}
}

// countDemand is what the grid passes through in an interval under a choice where some loads count more, and with each
// motor that may run.
func (m *Home) countDemand(t DemandTable, row, interval, chosen int) {
	if m.PlainCurrents() {
		return
	}
	s := m.demand
	at := func(col int) book.Ref { return s.At(row, col) }
	fullest := func(of func(phase int) string) string {
		var all []string
		for k := range t.phases {
			all = append(all, of(k))
		}
		return "MAX(" + strings.Join(all, ",") + ")"
	}
	for k := range t.phases {
		phase := 0
		if t.phases > 1 {
			phase = k + 1
		}
		for n, col := range []int{loadGridW, loadGridVAr} {
			s.Calc(row, t.countedW+2*k+n, book.Live, book.AsTenth, "%s",
				m.sum(col, interval, chosen, phase, m.LoadColumn(m.countsCol())))
		}
	}
	s.Calc(row, t.countedVA, book.Live, book.AsTenth, "%s",
		fullest(func(k int) string { return vaOf(at(t.countedW+2*k), at(t.countedW+2*k+1)) }))
	for n, motor := range m.motors {
		if len(m.choices) > 1 && !m.choices[chosen].holds[motor.Row-FirstLoad] {
			continue // the mates of its interlock run here
		}
		on := fmt.Sprintf("%s*%s*", m.Day.At(motor.Row, FirstInterval+interval), m.Loads.At(motor.Row, loadOn))
		s.Calc(row, t.countedVA+1+n, book.Live, book.AsTenth, "%s", fullest(func(k int) string {
			share := on
			if t.phases > 1 {
				share += string(m.Loads.At(motor.Row, LoadShares+k)) + "*"
			}
			return m.with(motor, at(t.countedW+2*k), at(t.countedW+2*k+1), share)
		}))
	}
}
