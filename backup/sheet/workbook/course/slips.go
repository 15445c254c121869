package course

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/verdict"
)

// Columns of the list of slips: what runs with each held-off load in VA and in W, and its start.
const (
	slipLoad = iota + 1
	slipHeld
	slipVA // highest total
	slipPhaseVA
	slipHoldsVA // held against the rating
	slipLimitVA
	slipMarginVA
	slipW
	slipPhaseW
	slipHoldsW
	slipLimitW
	slipMarginW
	slipStartVA
	slipStartPhaseVA
	slipHoldsStart
	slipLimitStart
	slipMarginStart
	slipGoverns // 1: VA, 2: W, 3: the start
	slipDemand
	slipLimit
)

// firstSlip is the row of the first held-off load.
const firstSlip = 5

// A SlipRow is where the check of a held-off load that somebody uses all the same finds its figures. Held is 1 as long as
// it is held off on the backup board, ByW 2 where watts are compared.
type SlipRow struct {
	Load                     string
	Held, Demand, Limit, ByW book.Ref
}

// fillSlips lays out what happens when somebody uses a held-off load all the same: it comes on top of what runs, at any
// minute, and the mates of its interlock stand still.
func (m *Home) fillSlips() {
	if m.slips == nil {
		return
	}
	s := m.slips
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Unplanned use")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("A load that is held off and used all the same, on top of all else that runs, at the worst minute "+
			"of the day. The whole rating counts, without headroom.")))
	m.slipHeads()
	held := m.heldOff()
	first := firstSlip + len(held) + 3
	m.slipTableHeads(first-1, held)
	for c, choice := range m.choices {
		for k := range m.Intervals {
			row := first + c*m.Intervals + k
			s.Put(row, 1, book.Cell{Kind: book.Live, Format: book.AsClock, Formula: string(m.Day.At(dayFrom, FirstInterval+k))})
			s.Count(row, 2, c+1)
			for n, l := range held {
				if len(m.choices) == 1 || choice.holds[l.Row-FirstLoad] {
					m.slipCell(row, m.DemandAt().first+c*m.Intervals+k, m.slipColumn(n), l)
				}
			}
		}
	}
	for n, l := range held {
		m.slipLine(n, l, first)
	}
	s.Frozen = [2]int{0, 1}
}

// heldOff are the loads that the plan holds off on the backup board.
func (m *Home) heldOff() (held []LoadRow) {
	for _, l := range m.LoadRows {
		for _, of := range m.Plan.HeldOff {
			if of.Name == l.Name && of.CircuitID == l.CircuitID {
				held = append(held, l)
			}
		}
	}
	return held
}

// slipColumn is the first of the columns of a held-off load in the table of intervals: VA with what it runs with, and
// with its start, each in total and, where there are several, of the fullest phase times their number.
func (m *Home) slipColumn(n int) int { return 3 + 2*m.slipEach()*n }

// slipEach is how many columns what runs takes, and what starts.
func (m *Home) slipEach() int {
	if m.phased() {
		return 2
	}
	return 1
}

// slipHeads are the heads of the list.
func (m *Home) slipHeads() {
	against, rating, margin := phrase.Of("Held against the rating"), phrase.Of("Rating"), phrase.Of("Margin")
	heads := map[int]struct {
		words phrase.Phrase
		unit  string
	}{slipLoad: {phrase.Of("Load that is held off"), ""}, slipHeld: {phrase.Of("Held off on the backup board (1: yes, 0: no)"), ""},
		slipVA: {phrase.Of("Highest total of the day"), "VA"}, slipHoldsVA: {against, "VA"}, slipLimitVA: {rating, "VA"},
		slipMarginVA: {margin, ""}, slipW: {phrase.Of("Highest total of the day"), "W"}, slipHoldsW: {against, "W"},
		slipLimitW: {rating, "W"}, slipMarginW: {margin, ""}, slipStartVA: {phrase.Of("Highest total at its start"), "VA"},
		slipHoldsStart: {against, "VA"}, slipLimitStart: {phrase.Of("Rating for its start"), "VA"}, slipMarginStart: {margin, ""},
		slipGoverns: {phrase.Of("Least is left by 1: VA, 2: W, 3: its start"), ""}, slipDemand: {against, ""}, slipLimit: {rating, ""}}
	if m.phased() {
		for col, unit := range map[int]string{slipPhaseVA: "VA", slipPhaseW: "W", slipStartPhaseVA: "VA"} {
			heads[col] = struct {
				words phrase.Phrase
				unit  string
			}{phrase.Of("Fullest phase, times the phases"), unit}
		}
	}
	for col := slipLoad; col <= slipLimit; col++ {
		m.slips.Width(13, col)
		words := m.Prose(heads[col].words)
		if heads[col].unit != "" {
			words += ", " + heads[col].unit
		}
		m.slips.Put(firstSlip-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: col > slipLoad})
	}
	m.slips.Width(34, slipLoad)
}

// slipTableHeads are the heads of the table of intervals.
func (m *Home) slipTableHeads(row int, held []LoadRow) {
	heads := map[int]string{1: m.Say("col.from"), 2: m.Prose(phrase.Of("Choice of the interlocks"))}
	fullest := m.Prose(phrase.Of("Fullest phase, times the phases"))
	for n, l := range held {
		name, col := speech.Name(m.Called(l.Name)), m.slipColumn(n)
		for i, words := range []string{name, m.Headed(name, m.Prose(phrase.Of("Starting")))} {
			if i == 1 && l.Start == nil {
				continue
			}
			at := col + i*m.slipEach()
			if heads[at] = words + ", VA"; m.phased() {
				heads[at+1] = m.Headed(words, fullest) + ", VA"
			}
		}
	}
	for col, words := range heads {
		m.slips.Put(row, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: col > 1})
		if col > slipLimit {
			m.slips.Width(13, col)
		}
	}
}

// slipCell is a held-off load on top of what runs in an interval under a choice, which stands in a row of the demand.
func (m *Home) slipCell(row, from, col int, l LoadRow) {
	s, t := m.slips, m.DemandAt()
	load := func(col int) string { return string(m.Loads.At(l.Row, col)) }
	others := fmt.Sprintf("MAX(0,%s-1)", load(LoadQuantity)) // one unit starts, the others run
	for n, adds := range []struct{ w, vAr, plain string }{
		{load(LoadQuantity) + "*" + load(LoadW), load(LoadQuantity) + "*" + load(loadVAr), ""},
		{fmt.Sprintf("(%s+%s*%s)", load(loadStartW), others, load(LoadW)),
			fmt.Sprintf("(%s+%s*%s)", load(loadStartVAr), others, load(loadVAr)), load(loadStartPlain)}} {
		if n == 1 && l.Start == nil {
			return
		}
		at := col + n*m.slipEach()
		with := func(w, vAr book.Ref, share string) string {
			va := vaOf(fmt.Sprintf("%s+%s%s", w, share, adds.w), fmt.Sprintf("%s+%s%s", vAr, share, adds.vAr))
			if adds.plain != "" {
				va += "+" + share + adds.plain
			}
			return va
		}
		s.Calc(row, at, book.Live, book.AsTenth, "%s", with(m.demand.At(from, t.w), m.demand.At(from, t.vAr), ""))
		if !m.phased() {
			continue
		}
		var phases []string
		for k := range t.phases {
			phases = append(phases, with(m.demand.At(from, t.PhaseW+3*k), m.demand.At(from, t.PhaseW+3*k+1), load(LoadShares+k)+"*"))
		}
		s.Calc(row, at+1, book.Live, book.AsTenth, "%d*MAX(%s)", t.phases, strings.Join(phases, ","))
	}
}

// slipLine holds a held-off load against the ratings.
func (m *Home) slipLine(n int, l LoadRow, first int) {
	s, row, out := m.slips, firstSlip+n, m.Out
	at := func(col int) book.Ref { return s.At(row, col) }
	load := func(col int) book.Ref { return m.Loads.At(l.Row, col) }
	most := func(col int) string {
		return fmt.Sprintf("MAX(%s)", s.Span(first, col, first+m.Intervals*len(m.choices)-1, col))
	}
	s.Put(row, slipLoad, book.Cell{Kind: book.Live, Formula: string(load(LoadName)), Words: true, Wrap: true})
	s.Calc(row, slipHeld, book.Live, book.AsGiven, "%s*%s", load(loadOn), load(LoadHeldOff))
	col := m.slipColumn(n)
	s.Calc(row, slipVA, book.Live, book.AsTenth, "%s", most(col))
	w, phaseW := m.slipWatts(l)
	s.Calc(row, slipW, book.Live, book.AsTenth, "%s", w)
	starts := l.Start != nil
	if starts {
		s.Calc(row, slipStartVA, book.Live, book.AsTenth, "%s", most(col+m.slipEach()))
	}
	if m.phased() {
		s.Calc(row, slipPhaseVA, book.Live, book.AsTenth, "%s", most(col+1))
		s.Calc(row, slipPhaseW, book.Live, book.AsTenth, "%s", phaseW)
		if starts {
			s.Calc(row, slipStartPhaseVA, book.Live, book.AsTenth, "%s", most(col+3))
		}
	}
	m.slipAgainst(row, slipVA, string(out["rated_here_va"]))
	m.slipAgainst(row, slipW, string(out["rated_here_w"]))
	governs := fmt.Sprintf("IF(%s<%s-%s,2,1)", at(slipMarginW), at(slipMarginVA), book.Lit(verdict.Slack))
	if starts {
		m.slipAgainst(row, slipStartVA, m.rating(string(load(LoadStartS))))
		governs = fmt.Sprintf("IF(AND(%s>0,%s<MIN(%s,%s)),3,%s)", load(LoadStartVA), at(slipMarginStart), at(slipMarginVA),
			at(slipMarginW), governs)
	}
	s.Calc(row, slipGoverns, book.Live, book.AsGiven, "%s", governs)
	pick := func(va, w, start int) string {
		if !starts {
			return fmt.Sprintf("IF(%s=2,%s,%s)", at(slipGoverns), at(w), at(va))
		}
		return fmt.Sprintf("IF(%[1]s=3,%[2]s,IF(%[1]s=2,%[3]s,%[4]s))", at(slipGoverns), at(start), at(w), at(va))
	}
	demand := s.Calc(row, slipDemand, book.Live, book.AsTenth, "%s", pick(slipHoldsVA, slipHoldsW, slipHoldsStart))
	limit := s.Calc(row, slipLimit, book.Live, book.AsTenth, "%s", pick(slipLimitVA, slipLimitW, slipLimitStart))
	m.Slips = append(m.Slips, SlipRow{l.Name, at(slipHeld), demand, limit, at(slipGoverns)})
}

// slipAgainst takes the total or the fullest phase, whichever is tighter, and what the rating leaves. Behind the column of
// the total stand those of the phase, of what is compared, of its limit and of its margin.
func (m *Home) slipAgainst(row, total int, rating string) {
	s, n := m.slips, m.Plan.Site.Phases
	at := func(col int) book.Ref { return s.At(row, col) }
	holds, limit := string(at(total)), rating
	if m.phased() {
		phase := fmt.Sprintf("%s>%s*(1+1E-9)", at(total+1), at(total))
		holds = fmt.Sprintf("IF(%s,%s/%d,%s)", phase, at(total+1), n, at(total))
		limit = fmt.Sprintf("%s*IF(%s,1/%d,1)", rating, phase, n)
	}
	s.Calc(row, total+2, book.Live, book.AsTenth, "%s", holds)
	s.Calc(row, total+3, book.Live, book.AsTenth, "%s", limit)
	s.Calc(row, total+4, book.Live, book.AsMille, "IF(%[2]s>0,(%[2]s-%[1]s)/%[2]s,-1)", at(total+2), at(total+3))
}

// slipWatts are the formulas for the most watts with a held-off load, in total and of the fullest phase times their number:
// watts are plain sums, so what it draws comes on top of the most that runs without the mates of its interlock.
func (m *Home) slipWatts(l LoadRow) (total, fullest string) {
	t := m.DemandAt()
	draws := fmt.Sprintf("%s*%s", m.Loads.At(l.Row, LoadQuantity), m.Loads.At(l.Row, LoadW))
	most := func(col int) string {
		var spans []string
		for c, choice := range m.choices {
			if len(m.choices) == 1 || choice.holds[l.Row-FirstLoad] {
				first := t.first + c*m.Intervals
				spans = append(spans, m.demand.Span(first, col, first+m.Intervals-1, col))
			}
		}
		return "MAX(" + strings.Join(spans, ",") + ")"
	}
	var phases []string
	for k := range t.phases {
		if m.phased() {
			phases = append(phases, fmt.Sprintf("%s+%s*%s", most(t.PhaseW+3*k), m.Loads.At(l.Row, LoadShares+k), draws))
		}
	}
	return most(t.w) + "+" + draws, fmt.Sprintf("%d*MAX(%s)", t.phases, strings.Join(phases, ","))
}
