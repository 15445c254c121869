package course

import (
	"fmt"
	"slices"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/wording"
	"outlast/loads"
)

// A draw is what a circuit takes with the loads of a month. Breakers are compared in the month of the outage; conductors
// lie there all year, so a circuit with loads of other months has one draw for each different set of them.
type draw struct{ circuit, month int }

// has says whether a load takes part in it.
func (d draw) has(m *Home, l LoadRow) bool {
	return l.CircuitID == m.Plan.Site.Circuits[d.circuit].ID && l.Months.Has(d.month)
}

// An aloneStart is a start in a draw: on top of all else that runs there.
type aloneStart struct{ start, draw int }

// layDraws lists the draws: of each circuit that of the month of the outage, and then those of other months.
func (m *Home) layDraws() {
	for i := range m.Plan.Site.Circuits {
		m.draws = append(m.draws, draw{i, m.Plan.Month})
	}
	for i, c := range m.Plan.Site.Circuits {
		if m.otherMonths && !m.allYear(c.ID) {
			m.draws = append(m.draws, m.otherDraws(i)...)
		}
	}
	for d, draw := range m.draws {
		for n, l := range m.StartsAt().Starts {
			if draw.has(m, l) {
				m.alones = append(m.alones, aloneStart{n, d})
			}
		}
	}
}

// otherDraws are those of a circuit in other months, with other loads than in that of the outage.
func (m *Home) otherDraws(circuit int) (other []draw) {
	all := m.Plan.Site.OnCircuit(m.Plan.Site.Circuits[circuit].ID)
	for _, month := range conductors.Seasons(all) {
		if slices.ContainsFunc(all, func(l loads.Load) bool { return l.Months.Has(month) != l.Months.Has(m.Plan.Month) }) {
			other = append(other, draw{circuit, month})
		}
	}
	return other
}

// allYear says whether all loads of a circuit are used in the month that is laid out, so that no other month asks for
// more.
func (m *Home) allYear(circuit string) bool {
	return !slices.ContainsFunc(m.Plan.Site.OnCircuit(circuit), func(l loads.Load) bool { return !l.Months.Has(m.Plan.Month) })
}

// Follows says whether formulas follow what the conductor of a circuit carries all year: where it has loads of other
// months, they have to be laid out.
func (m *Home) Follows(circuit string) bool { return m.otherMonths || m.allYear(circuit) }

// drawName is what a draw is called: its circuit and, where that is not the one of the outage, its month.
func (m *Home) drawName(d int) string {
	of := m.draws[d]
	name := speech.Name(m.Called(m.Plan.Site.Circuits[of.circuit].Label))
	if of.month != m.Plan.Month {
		name += ", " + m.Prose(wording.MonthWord(of.month))
	}
	return name
}

// drawsOf are the draws of a circuit.
func (m *Home) drawsOf(circuit int) (of []int) {
	for d, draw := range m.draws {
		if draw.circuit == circuit {
			of = append(of, d)
		}
	}
	return of
}

// Columns of the table of draws: three for each draw, and behind them two for each start in one.
func circuitW(d int) int              { return 3 + 3*d }
func circuitVA(d int) int             { return circuitW(d) + 2 }
func (m *Home) aloneVA(of int) int    { return circuitW(len(m.draws)) + 2*of }
func (m *Home) mostVA(d int) string   { return fmt.Sprintf("MAX(%s)", m.circuitThrough(circuitVA(d))) }
func mostOf(formulas []string) string { return "MAX(" + strings.Join(formulas, ",") + ")" }

// CircuitLoad is the formula for the most VA of a circuit in any month.
func (m *Home) CircuitLoad(circuit int) string {
	var all []string
	for _, d := range m.drawsOf(circuit) {
		all = append(all, m.mostVA(d))
	}
	return mostOf(all)
}

// PowerFactorOf is the formula for the power factor that the drop of a circuit is counted with: its most watts over its
// most VA, in the month with the most.
func (m *Home) PowerFactorOf(circuit int) string {
	all, formula := m.drawsOf(circuit), ""
	for n := len(all) - 1; n >= 0; n-- {
		va := m.mostVA(all[n])
		pf := fmt.Sprintf("IF(%[2]s>0,MIN(1,MAX(0.01,MAX(%[1]s)/%[2]s)),0)", m.circuitThrough(circuitW(all[n])), va)
		if formula == "" {
			formula = pf
		} else {
			formula = fmt.Sprintf("IF(%s=%s,%s,%s)", va, m.CircuitLoad(circuit), pf, formula)
		}
	}
	return formula
}

// fillAlone lays out what a start does in a draw: on top of all else that runs there, held-off loads included.
func (m *Home) fillAlone(n int, of aloneStart) {
	s, l, w := m.Circuits, m.StartsAt().Starts[of.start], circuitW(of.draw)
	name, col := m.Headed(speech.Name(m.Called(l.Name)), m.Prose(phrase.Of("Starting"))), m.aloneVA(n)
	if month := m.draws[of.draw].month; month != m.Plan.Month {
		name += ", " + m.Prose(wording.MonthWord(month))
	}
	m.circuitHead(col, name+", VA")
	m.circuitHead(col+1, name+", W")
	load := func(col int) book.Ref { return m.Loads.At(l.Row, col) }
	m.eachChoice(func(row, k int, c choice) {
		if len(m.choices) > 1 && !c.holds[l.Row-FirstLoad] {
			return // the mates of its interlock run here
		}
		on := fmt.Sprintf("%s*IF(%s>0,1,0)=1", m.Day.At(l.Row, FirstInterval+k), load(LoadStartVA))
		watts := fmt.Sprintf("%s+%s-%s", s.At(row, w), load(loadStartW), load(LoadW))
		vAr := fmt.Sprintf("%s+%s-%s", s.At(row, w+1), load(loadStartVAr), load(loadVAr))
		s.Calc(row, col, book.Live, book.AsTenth, "IF(%s,%s+%s,0)", on, vaOf(watts, vAr), load(loadStartPlain))
		s.Calc(row, col+1, book.Live, book.AsTenth, "IF(%s,%s,0)", on, watts)
	})
}

// alone are the formulas for the most VA of a start on its circuit in any month, and for the watts then; both are empty
// for a start on no circuit. va is the cell of the former.
func (m *Home) alone(start int, va book.Ref) (most, watts string) {
	var all []string
	for n := len(m.alones) - 1; n >= 0; n-- {
		if m.alones[n].start != start {
			continue
		}
		vas := m.circuitThrough(m.aloneVA(n))
		of := fmt.Sprintf("0+INDEX(%s,MATCH(%s,%s,0))", m.circuitThrough(m.aloneVA(n)+1), va, vas)
		if watts == "" {
			watts = of
		} else {
			watts = fmt.Sprintf("IF(MAX(%s)=%s,%s,%s)", vas, va, of, watts)
		}
		all = append(all, fmt.Sprintf("MAX(%s)", vas))
	}
	if len(all) == 0 {
		return "", ""
	}
	return mostOf(all), watts
}
