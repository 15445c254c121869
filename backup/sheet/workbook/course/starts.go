package course

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
)

// A StartTable is what each start does in each interval under each choice of the interlocks.
type StartTable struct {
	first, rows int
	List        int // row of the first load in the list above
	Starts      []LoadRow
	restartW    int // columns: W, VAr, VA of unknown angle, VA in all, rating, share of it
	phaseVA     int // the largest phase, times the number of phases
	limit       int
	share       int
	phaseShare  int
	// Of each start, from eachVA on: VA, where there are phases the largest of them times their number, and the watts
	// that run before it.
	eachVA int
	each   int // how many columns that are
}

// Columns of the list of starts.
const (
	startLoad = iota + 1
	StartSeconds
	StartVA      // highest total
	StartPhaseVA // highest phase times the number of phases
	StartDemand
	StartLimit
	StartMargin
	startMaxW
	StartDCW
	StartDCA
	StartDCLimit
	StartDCMargin
	StartRank
	StartSag
	startOfUnit
	StartRunsW // what runs for long before it
	// Of the conductors: on all phases evenly, alone on the circuit with its power factor, and of those and of the
	// current of the bank what lasts so long that it counts as a load, and the heat.
	StartEvenVA
	StartLongVA
	StartHeatVA
	StartLongA
	StartHeatA
	StartAloneVA
	StartAlonePF
	StartAloneLongVA
	StartAloneHeatVA
)

// StartsAt is where the starts and their table are.
func (m *Home) StartsAt() StartTable {
	t := StartTable{rows: m.Intervals * len(m.choices), each: 2, restartW: 4}
	for _, l := range m.LoadRows {
		if l.Start != nil {
			t.Starts = append(t.Starts, l)
		}
	}
	next := 8
	if m.phased() {
		t.phaseVA, next, t.each = next, next+1, 3
	}
	t.limit, t.share, next = next, next+1, next+2
	if m.phased() {
		t.phaseShare, next = next, next+1
	}
	t.eachVA = next
	t.List = 13
	t.first = t.List + max(1, len(t.Starts)) + 4
	return t
}

// rating is the formula for what the inverters may give for so many seconds, without headroom.
func (m *Home) rating(seconds string) string {
	parts := []string{string(m.In["rated_va"])}
	for i := range m.Plan.Site.Inverter.Overload {
		n := strconv.Itoa(i + 1)
		parts = append(parts, fmt.Sprintf("IF(%s>=%s,%s,0)", m.In["overload_s_"+n], seconds, m.In["overload_va_"+n]))
	}
	return fmt.Sprintf("MAX(%s)*%s*%s", strings.Join(parts, ","), m.In["inverters"], m.Out["derating"])
}

// fillStarts lays out what each start does on top of what runs, and what everything does that starts at once.
func (m *Home) fillStarts() {
	s, t := m.Starts, m.StartsAt()
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Starting")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("The start of one unit of a load on top of all else that runs in that minute, as vectors.")))
	s.Row = 4
	m.restart(t)
	m.startHeads(t)
	for i, l := range t.Starts {
		m.startLine(t, i, l)
	}
	s.Frozen = [2]int{0, 1}
	m.startRows(t)
}

// startsThrough is a column of the table of intervals.
func (m *Home) startsThrough(t StartTable, col int) string {
	return m.Starts.Span(t.first, col, t.first+t.rows-1, col)
}

// StartColumn is a column of the list of starts.
func (m *Home) StartColumn(col int) string {
	t := m.StartsAt()
	return m.Starts.Span(t.List, col, t.List+max(1, len(t.Starts))-1, col)
}

// restart is everything at once, after an interruption.
func (m *Home) restart(t StartTable) {
	s, n := m.Starts, m.Plan.Site.Phases
	column := func(col int) string { return m.startsThrough(t, col) }
	m.Part(s, phrase.Of("Restart, all loads at once"))
	m.row(s, "restart_va", phrase.Of("Highest total of the day"), "VA", "MAX(%s)", column(t.restartW+3))
	total := m.row(s, "restart_share", phrase.Of("Highest share of the rating, total"), "", "MAX(%s)", column(t.share))
	// The library's engine takes what INDEX gives in an IF for words: added to 0 it is a number.
	demand, limit := fmt.Sprintf("0+INDEX(%s,MATCH(%s,%s,0))", column(t.restartW+3), total, column(t.share)),
		fmt.Sprintf("0+INDEX(%s,MATCH(%s,%s,0))", column(t.limit), total, column(t.share))
	if n > 1 {
		phase := m.row(s, "restart_phase_share", phrase.Of("Highest share of the rating, a phase"), "", "MAX(%s)",
			column(t.phaseShare))
		demand = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),INDEX(%[3]s,MATCH(%[1]s,%[4]s,0))/%[5]d,%[6]s)", phase, total,
			column(t.phaseVA), column(t.phaseShare), n, demand)
		limit = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),INDEX(%[3]s,MATCH(%[1]s,%[4]s,0))/%[5]d,%[6]s)", phase, total,
			column(t.limit), column(t.phaseShare), n, limit)
	}
	m.row(s, "restart_demand_va", phrase.Of("Held against the rating"), "VA", "%s", demand)
	m.row(s, "restart_limit_va", phrase.Of("Rating for the restart"), "VA", "%s", limit)
}

// startHeads are the heads of the list of starts.
func (m *Home) startHeads(t StartTable) {
	long, heat := phrase.Of("Of it, what lasts so long that it is a load"), phrase.Of("Heat of the start")
	for col, h := range map[int]struct {
		words phrase.Phrase
		unit  string
	}{startLoad: {phrase.Of("Load that starts"), ""}, StartSeconds: {phrase.Symbols("s"), ""},
		StartVA:      {phrase.Of("Total VA"), ""},
		StartPhaseVA: {phrase.Of("Fullest phase, times the phases"), "VA"},
		StartDemand:  {phrase.Of("Held against the rating"), "VA"}, StartLimit: {phrase.Of("Rating VA"), ""},
		StartMargin: {phrase.Of("Margin"), ""}, startMaxW: {phrase.Of("Most watts with it"), "W"},
		StartDCW: {phrase.Of("From the bank"), "W"}, StartDCA: {phrase.Of("From the bank"), "A"},
		StartDCLimit: {phrase.Of("Limit of the bank"), "A"}, StartDCMargin: {phrase.Of("Margin"), ""},
		StartRank: {phrase.Of("Rank, the lowest counts"), ""}, StartSag: {phrase.Of("Voltage of the bank"), "V"},
		startOfUnit: {phrase.Of("What it adds"), "W"}, StartRunsW: {phrase.Of("Running before it"), "W"},
		StartEvenVA: {phrase.Of("Evenly on all phases"), "VA"}, StartLongVA: {long, "VA"}, StartHeatVA: {heat, "VA²s"},
		StartLongA: {long, "A"}, StartHeatA: {heat, "A²s"}, StartAloneVA: {phrase.Of("Alone on its circuit"), "VA"},
		StartAlonePF:     {phrase.Of("Its power factor, 0: the worst"), ""},
		StartAloneLongVA: {long, "VA"}, StartAloneHeatVA: {heat, "VA²s"}} {
		words := m.Prose(h.words)
		if h.unit != "" {
			words += ", " + h.unit
		}
		m.Starts.Put(t.List-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: col > 1})
		m.Starts.Width(13, col)
	}
	m.Starts.Width(34, startLoad)
}

// startLine is one start in the list.
func (m *Home) startLine(t StartTable, i int, l LoadRow) {
	s, n, r := m.Starts, m.Plan.Site.Phases, t.List+i
	column := func(col int) string { return m.startsThrough(t, col) }
	at := func(col int) book.Ref { return s.At(r, col) }
	load := func(col int) book.Ref { return m.Loads.At(l.Row, col) }
	s.Put(r, startLoad, book.Cell{Kind: book.Live, Formula: string(load(LoadName)), Words: true, Wrap: true})
	s.Calc(r, StartSeconds, book.Live, book.AsGiven, "%s", load(LoadStartS))
	s.Calc(r, StartVA, book.Live, book.AsTenth, "MAX(%s)", column(t.eachVA+i*t.each))
	balanced, even := string(at(StartVA)), string(at(StartVA))
	rating := fmt.Sprintf("%s*(1-%s)", m.rating(string(at(StartSeconds))), m.In["headroom"])
	if n > 1 {
		s.Calc(r, StartPhaseVA, book.Live, book.AsTenth, "MAX(%s)", column(t.eachVA+i*t.each+1))
		balanced = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),%[1]s/%[3]d,%[2]s)", at(StartPhaseVA), at(StartVA), n)
		even = fmt.Sprintf("MAX(%s,%s)", at(StartVA), at(StartPhaseVA))
		rating = fmt.Sprintf("%s*IF(%s>%s*(1+1E-12),1/%d,1)", rating, at(StartPhaseVA), at(StartVA), n)
	}
	s.Calc(r, StartDemand, book.Live, book.AsTenth, "%s", balanced)
	// What does not start is held against the continuous rating, and asks nothing of it.
	s.Calc(r, StartLimit, book.Live, book.AsTenth, "IF(%s=0,%s,%s)", at(StartDemand), m.Out["limit_va"], rating)
	// A load that is not in use does not start.
	s.Calc(r, StartMargin, book.Live, book.AsMille, "IF(%[1]s=0,9,(%[2]s-%[1]s)/%[2]s)", at(StartDemand), at(StartLimit))
	s.Calc(r, startOfUnit, book.Live, book.AsTenth, "MAX(%s+%s,%s)-%s", load(loadStartW), load(loadStartPlain),
		load(LoadW), load(LoadW))
	s.Calc(r, startMaxW, book.Live, book.AsTenth, "IF(%s=0,0,MAX(%s)+%s)", at(StartVA),
		column(t.eachVA+(i+1)*t.each-1), at(startOfUnit))
	s.Calc(r, StartDCW, book.Live, book.AsTenth, "%s", m.DCPower(string(at(startMaxW))))
	s.Calc(r, StartRunsW, book.Live, book.AsTenth, "MIN(%s,%s)", at(startMaxW), m.Out["scheduled_w"])
	s.Calc(r, StartEvenVA, book.Live, book.AsTenth, "%s", even)
	m.LongAndHeat(r, StartEvenVA, StartLongVA)
	va, watts := m.alone(i, at(StartAloneVA))
	if va == "" {
		return
	}
	s.Calc(r, StartAloneVA, book.Live, book.AsTenth, "%s", va)
	unknown := fmt.Sprintf("COUNT(%s)=0", load(loadStartPF))
	if l.Start.PFAssumed { // as long as nobody gives another, the angle is not known
		unknown += fmt.Sprintf(",%s=%s", load(loadStartPF), book.Lit(startPF(l.Start)))
	}
	s.Calc(r, StartAlonePF, book.Live, book.AsMille,
		"IF(OR(%[1]s,%[2]s=0),0,MIN(1,MAX(0.01,(%[3]s)/%[2]s)))", unknown, at(StartAloneVA), watts)
	m.LongAndHeat(r, StartAloneVA, StartAloneLongVA)
}

// LongAndHeat puts into two columns what of a start lasts so long that conductors take it for a load, and its heat.
func (m *Home) LongAndHeat(row, of, into int) {
	s := m.Starts
	x, seconds := s.At(row, of), s.At(row, StartSeconds)
	s.Calc(row, into, book.Live, book.AsTenth, "IF(%s>%s,%s,0)", seconds, book.Lit(conductors.LongestStartS), x)
	s.Calc(row, into+1, book.Live, book.AsWhole, "%s^2*MAX(%s,MIN(%s,%s))", x, book.Lit(conductors.ShortestStartS),
		book.Lit(conductors.LongestStartS), seconds)
}

// startRows are the intervals under each choice: everything at once, and each start.
func (m *Home) startRows(t StartTable) {
	s, n, d := m.Starts, m.Plan.Site.Phases, m.DemandAt()
	heads := map[int]string{1: m.Say("col.from"), 2: m.Prose(phrase.Of("Interval")),
		3: m.Prose(phrase.Of("Choice of the interlocks")), t.restartW: m.Prose(phrase.Of("All at once")) + ", W",
		t.restartW + 1: m.Prose(phrase.Of("All at once")) + ", VAr",
		t.restartW + 2: m.Prose(phrase.Of("All at once, angle not known")) + ", VA",
		t.restartW + 3: m.Prose(phrase.Of("All at once")) + ", VA", t.limit: m.Prose(phrase.Of("Rating VA")),
		t.share: m.Prose(phrase.Of("Share of the rating"))}
	if n > 1 {
		heads[t.phaseVA] = m.Prose(phrase.Of("Fullest phase, times the phases")) + ", VA"
		heads[t.phaseShare] = m.Prose(phrase.Of("Share of the rating, a phase"))
	}
	for i, l := range t.Starts {
		name := speech.Name(m.Called(l.Name))
		heads[t.eachVA+i*t.each] = name + ", VA"
		if n > 1 {
			heads[t.eachVA+i*t.each+1] = m.Headed(name, m.Prose(phrase.Of("Fullest phase, times the phases"))) + ", VA"
		}
		heads[t.eachVA+(i+1)*t.each-1] = m.Headed(name, m.Prose(phrase.Of("Running before it"))) + ", W"
	}
	for col, words := range heads {
		s.Put(t.first-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		if col > 3 {
			s.Width(13, col)
		}
	}
	for c := range m.choices {
		for k := range m.Intervals {
			row, from := t.first+c*m.Intervals+k, d.first+c*m.Intervals+k
			at := func(col int) book.Ref { return s.At(row, col) }
			s.Calc(row, 1, book.Live, book.AsClock, "%s", m.Day.At(dayFrom, FirstInterval+k))
			s.Count(row, 2, k+1)
			s.Count(row, 3, c+1)
			for i, col := range []int{loadRestartW, loadRestartVAr, loadRestartPlain} {
				s.Calc(row, t.restartW+i, book.Live, book.AsTenth, "%s", m.sum(col, k, c, 0))
			}
			s.Calc(row, t.restartW+3, book.Live, book.AsTenth, "%s+%s", vaOf(at(t.restartW), at(t.restartW+1)), at(t.restartW+2))
			if n > 1 {
				var phases []string
				for phase := 1; phase <= n; phase++ {
					phases = append(phases, fmt.Sprintf("%s+%s", vaOf(m.sum(loadRestartW, k, c, phase),
						m.sum(loadRestartVAr, k, c, phase)), m.sum(loadRestartPlain, k, c, phase)))
				}
				s.Calc(row, t.phaseVA, book.Live, book.AsTenth, "%d*MAX(%s)", n, strings.Join(phases, ","))
			}
			s.Calc(row, t.limit, book.Live, book.AsTenth, "%s*(1-%s)", m.restartRating(t, k, c), m.In["headroom"])
			s.Calc(row, t.share, book.Live, book.AsMille, "IF(%[2]s>0,%[1]s/%[2]s,%[1]s)", at(t.restartW+3), at(t.limit))
			if n > 1 {
				s.Calc(row, t.phaseShare, book.Live, book.AsMille, "IF(%[2]s>0,%[1]s/%[2]s,%[1]s)", at(t.phaseVA), at(t.limit))
			}
			for i, l := range t.Starts {
				if !m.choices[c].holds[l.Row-FirstLoad] && len(m.choices) > 1 {
					continue // the mates of its interlock run here
				}
				m.startCell(t, d, row, from, i, k, l)
			}
		}
	}
}

// restartRating is the formula for the rating of a restart: of the longest start among what starts then, or the
// continuous one where nothing does.
func (m *Home) restartRating(t StartTable, interval, choice int) string {
	longer := func(than string) string {
		parts := []string{"0"}
		for _, l := range t.Starts {
			if len(m.choices) > 1 && !m.choices[choice].holds[l.Row-FirstLoad] {
				continue
			}
			load := func(col int) book.Ref { return m.Loads.At(l.Row, col) }
			parts = append(parts, fmt.Sprintf("IF(%s>%s,%s*%s,0)", load(LoadStartS), than,
				m.Day.At(l.Row, FirstInterval+interval), load(LoadInUse)))
		}
		return strings.Join(parts, "+")
	}
	parts := []string{string(m.In["rated_va"])}
	for i := range m.Plan.Site.Inverter.Overload {
		n := strconv.Itoa(i + 1)
		parts = append(parts, fmt.Sprintf("IF(AND(%s>0,%s=0),%s,0)", longer("0"), longer(string(m.In["overload_s_"+n])),
			m.In["overload_va_"+n]))
	}
	return fmt.Sprintf("MAX(%s)*%s*%s", strings.Join(parts, ","), m.In["inverters"], m.Out["derating"])
}

// startCell is a start in an interval under a choice.
func (m *Home) startCell(t StartTable, d DemandTable, row, from, i, interval int, l LoadRow) {
	s, n := m.Starts, m.Plan.Site.Phases
	load := func(col int) book.Ref { return m.Loads.At(l.Row, col) }
	on := fmt.Sprintf("%s*%s*IF(%s>0,1,0)=1", m.Day.At(l.Row, FirstInterval+interval), load(LoadInUse),
		load(LoadStartVA))
	with := func(w, vAr book.Ref, share string) string {
		return fmt.Sprintf("SQRT((%[1]s+%[3]s(%[4]s-%[5]s))^2+(%[2]s+%[3]s(%[6]s-%[7]s))^2)+%[3]s%[8]s", w, vAr, share,
			load(loadStartW), load(LoadW), load(loadStartVAr), load(loadVAr), load(loadStartPlain))
	}
	col := t.eachVA + i*t.each
	s.Calc(row, col, book.Live, book.AsTenth, "IF(%s,%s,0)", on, with(m.demand.At(from, d.w), m.demand.At(from, d.vAr), ""))
	if n > 1 {
		var phases []string
		for k := range n {
			phases = append(phases, with(m.demand.At(from, d.PhaseW+3*k), m.demand.At(from, d.PhaseW+3*k+1),
				string(load(LoadShares+k))+"*"))
		}
		s.Calc(row, col+1, book.Live, book.AsTenth, "IF(%s,%d*MAX(%s),0)", on, n, strings.Join(phases, ","))
	}
	s.Calc(row, col+t.each-1, book.Live, book.AsTenth, "IF(%s,%s,0)", on, m.demand.At(from, d.w))
}
