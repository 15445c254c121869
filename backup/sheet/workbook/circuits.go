package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/site"
	"outlast/backup/wiring"
)

// Columns of the circuits, behind those of the inputs.
const (
	circuitBreaker = iota + 6
	circuitA
	circuitMargin
	circuitRank
	circuitStatus
)

// plainCurrents says whether a circuit counts what it draws as it is: without a factor on what runs long, and without
// more for the largest motor.
func (m *maker) plainCurrents() bool {
	p, err := m.p.Site.Practice.Wires().FilledFor(m.p.Site.Wiring.Tables)
	return err == nil && p.ContinuousFactor == 1 && wiring.LargestMotor(m.p.Site.Wiring.Tables) == 0
}

// allYear says whether all loads of a circuit are used in the month that is laid out, so that no other month asks for
// more; and whether none starts so long that a conductor takes the start for a load.
func allYear(s *site.Site, circuit string, month int) bool {
	for _, l := range s.OnCircuit(circuit) {
		if !l.Months.Has(month) || l.Start != nil && l.Start.Seconds > 300 {
			return false
		}
	}
	return true
}

// circuitTable is the first row of what the circuits draw through the day.
func (m *maker) circuitTable() int { return firstCircuit + len(m.p.Site.Circuits) + 4 }

// circuitColumn is the column of the watts of a circuit in that table; that of its VA stands behind it.
func circuitColumn(i int) int { return 3 + 2*i }

// fillCircuitCurrents works out what each circuit draws while the grid is there, its held-off loads included, whichever
// board it is on.
func (m *maker) fillCircuitCurrents() error {
	if !m.plainCurrents() || len(m.p.Site.Circuits) == 0 {
		return nil
	}
	s, first := m.circuits, m.circuitTable()
	rows := m.intervals * len(m.choices)
	s.put(first-1, 2, cell{kind: head, text: m.r.Say("col.from"), format: asGiven})
	for c := range m.choices {
		for k := range m.intervals {
			s.calc(first+c*m.intervals+k, 2, live, asClock, "%s", m.day.at(dayFrom, firstInterval+k))
		}
	}
	for i, circuit := range m.p.Site.Circuits {
		col, row := circuitColumn(i), firstCircuit+i
		name := speechName(m.r.Called(circuit.Label))
		s.put(first-1, col, cell{kind: head, text: name + ", W", wrap: true, middle: true})
		s.put(first-1, col+1, cell{kind: head, text: name + ", VA", wrap: true, middle: true})
		if col > circuitStatus {
			s.width(16, col)
		}
		if col+1 > circuitStatus {
			s.width(16, col+1)
		}
		for c, choice := range m.choices {
			for k := range m.intervals {
				watts, vars := []string{"0"}, []string{"0"}
				for _, l := range m.loadRows {
					if l.CircuitID != circuit.ID || len(m.choices) > 1 && !choice.holds[l.row-firstLoad] {
						continue
					}
					on := fmt.Sprintf("%s*%s", m.day.at(l.row, firstInterval+k), m.loads.at(l.row, loadQuantity))
					watts = append(watts, fmt.Sprintf("%s*%s", on, m.loads.at(l.row, loadW)))
					vars = append(vars, fmt.Sprintf("%s*%s", on, m.loads.at(l.row, loadVAr)))
				}
				at := first + c*m.intervals + k
				w := s.calc(at, col, live, asTenth, "%s", strings.Join(watts, "+"))
				s.calc(at, col+1, live, asTenth, "%s", vaOf(w, strings.Join(vars, "+")))
			}
		}
		at := func(col int) ref { return s.at(row, col) }
		s.calc(row, circuitA, live, asTenth, "MAX(%s)/IF(%s=0,%d,1)/%s", s.span(first, col+1, first+rows-1, col+1),
			s.at(row, 4),
			m.p.Site.Phases, m.in["site_v"])
		s.calc(row, circuitMargin, live, asMille, "IF(COUNT(%[1]s)=0,0,(%[1]s-%[2]s)/%[1]s)", at(circuitBreaker),
			at(circuitA))
		broken := fmt.Sprintf("%s>%s*(1+1E-9)", at(circuitA), at(circuitBreaker))
		// What is too much on the main board is told, and no more. A breaker that the planner chose is not compared.
		unknown := fmt.Sprintf("COUNT(%s)=0", at(circuitBreaker))
		if circuit.Assumed {
			unknown = "1=1"
		}
		s.calc(row, circuitRank, live, asMille, "IF(%s,9,IF(%s,IF(%s=1,-20,-10),0)+%s)", unknown, broken, s.at(row, 3),
			at(circuitMargin))
		s.put(row, circuitStatus, cell{kind: live, words: true, inset: true,
			formula: fmt.Sprintf("IF(%s>=9,\"\",IF(%s,IF(%s=1,%s,%s),%s))",
				at(circuitRank), broken, s.at(row, 3), quote(m.pass[0]), quote(m.pass[1]), quote(m.pass[2]))})
	}
	s.marks = append(s.marks, strip(circuitStatus, firstCircuit, firstCircuit+len(m.p.Site.Circuits)-1))
	return nil
}

// powerFactorOf is the formula for the power factor that the drop of a circuit is counted with: its most watts over its
// most VA.
func (m *maker) powerFactorOf(i int) string {
	first, col := m.circuitTable(), circuitColumn(i)
	last := first + m.intervals*len(m.choices) - 1
	w, va := m.circuits.span(first, col, last, col), m.circuits.span(first, col+1, last, col+1)
	return fmt.Sprintf("IF(MAX(%[2]s)>0,MIN(1,MAX(0.01,MAX(%[1]s)/MAX(%[2]s))),0)", w, va)
}

// circuitAt is the place of a circuit among those of the site; -1: it has none of that id.
func (m *maker) circuitAt(id string) int {
	for i, c := range m.p.Site.Circuits {
		if c.ID == id {
			return i
		}
	}
	return -1
}

// breakerComparison is the check of the circuit breakers.
func (m *maker) breakerComparison(add func(string, comparison)) {
	if c := m.p.ByID()["circuit-breaker"]; !c.HasLimit || !m.plainCurrents() {
		return
	}
	s, last := m.circuits, firstCircuit+len(m.p.Site.Circuits)-1
	column := func(col int) string { return s.span(firstCircuit, col, last, col) }
	worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(circuitRank))
	good := m.pass[2]
	if m.silentBreaker() {
		good = m.pass[1]
	}
	add("circuit-breaker", comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(circuitA), worst),
		limit: fmt.Sprintf("INDEX(%s,%s)", column(circuitBreaker), worst),
		status: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(COUNTIF(%[1]s,%[3]s)>0,%[3]s,%[4]s))",
			column(circuitStatus), quote(m.pass[0]),
			quote(m.pass[1]), quote(good))})
}

// silentBreaker says whether the site file leaves out the breaker of a circuit.
func (m *maker) silentBreaker() bool {
	for _, c := range m.p.Site.Circuits {
		if c.BreakerA == 0 {
			return true
		}
	}
	return false
}
