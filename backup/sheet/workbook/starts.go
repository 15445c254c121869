package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
)

// A startTable is what each start does in each interval under each choice of the interlocks.
type startTable struct {
	first, rows int
	list        int // row of the first load in the list above
	starts      []loadRow
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
	startSeconds
	startVA      // highest total
	startPhaseVA // highest phase times the number of phases
	startDemand
	startLimit
	startMargin
	startMaxW
	startDCW
	startDCA
	startDCLimit
	startDCMargin
	startRank
	startSag
	startOfUnit
	startRunsW // what runs for long before it
)

func (m *maker) startsAt() startTable {
	t := startTable{rows: m.intervals * len(m.choices), each: 2, restartW: 4}
	for _, l := range m.loadRows {
		if l.Start != nil {
			t.starts = append(t.starts, l)
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
	t.list = 13
	t.first = t.list + max(1, len(t.starts)) + 4
	return t
}

// rating is the formula for what the inverters may give for so many seconds, without headroom.
func (m *maker) rating(seconds string) string {
	parts := []string{string(m.in["rated_va"])}
	for i := range m.p.Site.Inverter.Overload {
		n := itoa(i + 1)
		parts = append(parts, fmt.Sprintf("IF(%s>=%s,%s,0)", m.in["overload_s_"+n], seconds, m.in["overload_va_"+n]))
	}
	return fmt.Sprintf("MAX(%s)*%s*%s", strings.Join(parts, ","), m.in["inverters"], m.out["derating"])
}

// fillStarts lays out what each start does on top of what runs, and what everything does that starts at once.
func (m *maker) fillStarts() error {
	s, t, n := m.starts, m.startsAt(), m.p.Site.Phases
	s.say(1, 1, title, m.say(phrase.Of("Starting")))
	s.say(2, 1, note,
		m.say(phrase.Of("The start of one unit of a load on top of all else that runs in that minute, as vectors.")))
	column := func(col int) string { return s.span(t.first, col, t.first+t.rows-1, col) }

	// Everything at once, after an interruption.
	s.width(34, 1)
	s.row = 4
	s.part(m.say(phrase.Of("Restart, all loads at once")), m)
	row := func(name string, label phrase.Phrase, unit, formula string, args ...any) ref {
		s.long(s.row, colLabel, plain, phrase.UpperFirst(m.say(label)))
		s.put(s.row, colUnit, cell{kind: plain, text: m.r.UnitName(unit), inset: true})
		at := s.calc(s.row, colValue, result, formatOf(unit), formula, args...)
		m.out[name] = at
		s.row++
		return at
	}
	row("restart_va", phrase.Of("Highest total of the day"), "VA", "MAX(%s)", column(t.restartW+3))
	total := row("restart_share", phrase.Of("Highest share of the rating, total"), "", "MAX(%s)", column(t.share))
	demand, limit := fmt.Sprintf("INDEX(%s,MATCH(%s,%s,0))", column(t.restartW+3), total, column(t.share)),
		fmt.Sprintf("INDEX(%s,MATCH(%s,%s,0))", column(t.limit), total, column(t.share))
	if n > 1 {
		phase := row("restart_phase_share", phrase.Of("Highest share of the rating, a phase"), "", "MAX(%s)",
			column(t.phaseShare))
		demand = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),INDEX(%[3]s,MATCH(%[1]s,%[4]s,0))/%[5]d,%[6]s)", phase, total,
			column(t.phaseVA), column(t.phaseShare), n, demand)
		limit = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),INDEX(%[3]s,MATCH(%[1]s,%[4]s,0))/%[5]d,%[6]s)", phase, total,
			column(t.limit), column(t.phaseShare), n, limit)
	}
	row("restart_demand_va", phrase.Of("Held against the rating"), "VA", "%s", demand)
	row("restart_limit_va", phrase.Of("Rating for the restart"), "VA", "%s", limit)

	// The list of starts, and the table of intervals that it rests on.
	heads := map[int]string{startLoad: m.say(phrase.Of("Load that starts")), startSeconds: "s",
		startVA: m.say(phrase.Of("Total VA")), startPhaseVA: m.say(phrase.Of("Fullest phase, times the phases")) +
			", VA",
		startDemand: m.say(phrase.Of("Held against the rating")) + ", VA", startLimit: m.say(phrase.Of("Rating VA")),
		startMargin: m.say(phrase.Of("Margin")), startMaxW: m.say(phrase.Of("Most watts with it")) + ", W",
		startDCW:     m.say(phrase.Of("From the bank")) + ", W",
		startDCA:     m.say(phrase.Of("From the bank")) + ", A",
		startDCLimit: m.say(phrase.Of("Limit of the bank")) + ", A", startDCMargin: m.say(phrase.Of("Margin")),
		startRank: m.say(phrase.Of("Rank, the lowest counts")), startSag: m.say(phrase.Of("Voltage of the bank")) +
			", V",
		startOfUnit: m.say(phrase.Of("What it adds")) + ", W", startRunsW: m.say(phrase.Of("Running before it")) +
			", W"}
	for col, words := range heads {
		s.put(t.list-1, col, cell{kind: head, text: words, wrap: true, middle: col > 1})
		s.width(13, col)
	}
	s.width(34, 1)
	for i, l := range t.starts {
		r := t.list + i
		at := func(col int) ref { return s.at(r, col) }
		load := func(col int) ref { return m.loads.at(l.row, col) }
		s.put(r, startLoad, cell{kind: live, formula: string(load(loadName)), words: true, wrap: true})
		s.calc(r, startSeconds, live, asGiven, "%s", load(loadStartS))
		s.calc(r, startVA, live, asTenth, "MAX(%s)", column(t.eachVA+i*t.each))
		balanced := string(at(startVA))
		if n > 1 {
			s.calc(r, startPhaseVA, live, asTenth, "MAX(%s)", column(t.eachVA+i*t.each+1))
			balanced = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-12),%[1]s/%[3]d,%[2]s)", at(startPhaseVA), at(startVA), n)
		}
		s.calc(r, startDemand, live, asTenth, "%s", balanced)
		rating := fmt.Sprintf("%s*(1-%s)", m.rating(string(at(startSeconds))), m.in["headroom"])
		if n > 1 {
			rating = fmt.Sprintf("%s*IF(%s>%s*(1+1E-12),1/%d,1)", rating, at(startPhaseVA), at(startVA), n)
		}
		// What does not start is held against the continuous rating, and asks nothing of it.
		s.calc(r, startLimit, live, asTenth, "IF(%s=0,%s,%s)", at(startDemand), m.out["limit_va"], rating)
		// A load that is not in use does not start.
		s.calc(r, startMargin, live, asMille, "IF(%[1]s=0,9,(%[2]s-%[1]s)/%[2]s)", at(startDemand), at(startLimit))
		s.calc(r, startOfUnit, live, asTenth, "MAX(%s+%s,%s)-%s", load(loadStartW), load(loadStartPlain), load(loadW),
			load(loadW))
		s.calc(r, startMaxW, live, asTenth, "IF(%s=0,0,MAX(%s)+%s)", at(startVA),
			column(t.eachVA+(i+1)*t.each-1), at(startOfUnit))
		s.calc(r, startDCW, live, asTenth, "%s", m.dcPower(string(at(startMaxW))))
		s.calc(r, startRunsW, live, asTenth, "MIN(%s,%s)", at(startMaxW), m.out["scheduled_w"])
	}
	s.frozen = [2]int{0, 1}
	m.startRows(t)
	return nil
}

// startRows are the intervals under each choice: everything at once, and each start.
func (m *maker) startRows(t startTable) {
	s, n, d := m.starts, m.p.Site.Phases, m.demandAt()
	heads := map[int]string{1: m.r.Say("col.from"), 2: m.say(phrase.Of("Interval")),
		3: m.say(phrase.Of("Choice of the interlocks")), t.restartW: m.say(phrase.Of("All at once")) + ", W",
		t.restartW + 1: m.say(phrase.Of("All at once")) + ", VAr",
		t.restartW + 2: m.say(phrase.Of("All at once, angle not known")) + ", VA",
		t.restartW + 3: m.say(phrase.Of("All at once")) + ", VA", t.limit: m.say(phrase.Of("Rating VA")),
		t.share: m.say(phrase.Of("Share of the rating"))}
	if n > 1 {
		heads[t.phaseVA] = m.say(phrase.Of("Fullest phase, times the phases")) + ", VA"
		heads[t.phaseShare] = m.say(phrase.Of("Share of the rating, a phase"))
	}
	for i, l := range t.starts {
		name := speechName(m.r.Called(l.Name))
		heads[t.eachVA+i*t.each] = name + ", VA"
		if n > 1 {
			heads[t.eachVA+i*t.each+1] = name + ": " + m.say(phrase.Of("Fullest phase, times the phases")) + ", VA"
		}
		heads[t.eachVA+(i+1)*t.each-1] = name + ": " + m.say(phrase.Of("Running before it")) + ", W"
	}
	for col, words := range heads {
		s.put(t.first-1, col, cell{kind: head, text: words, wrap: true, middle: true})
		if col > 3 {
			s.width(13, col)
		}
	}
	for c := range m.choices {
		for k := range m.intervals {
			row, from := t.first+c*m.intervals+k, d.first+c*m.intervals+k
			at := func(col int) ref { return s.at(row, col) }
			s.calc(row, 1, live, asClock, "%s", m.day.at(dayFrom, firstInterval+k))
			s.num(row, 2, worked, float64(k+1), asGiven)
			s.num(row, 3, worked, float64(c+1), asGiven)
			for i, col := range []int{loadRestartW, loadRestartVAr, loadRestartPlain} {
				s.calc(row, t.restartW+i, live, asTenth, "%s", m.sum(col, k, c, 0))
			}
			s.calc(row, t.restartW+3, live, asTenth, "%s+%s", vaOf(at(t.restartW), at(t.restartW+1)), at(t.restartW+2))
			if n > 1 {
				var phases []string
				for phase := 1; phase <= n; phase++ {
					phases = append(phases, fmt.Sprintf("%s+%s", vaOf(m.sum(loadRestartW, k, c, phase),
						m.sum(loadRestartVAr, k, c, phase)), m.sum(loadRestartPlain, k, c, phase)))
				}
				s.calc(row, t.phaseVA, live, asTenth, "%d*MAX(%s)", n, strings.Join(phases, ","))
			}
			s.calc(row, t.limit, live, asTenth, "%s*(1-%s)", m.restartRating(t, k, c), m.in["headroom"])
			s.calc(row, t.share, live, asMille, "IF(%[2]s>0,%[1]s/%[2]s,%[1]s)", at(t.restartW+3), at(t.limit))
			if n > 1 {
				s.calc(row, t.phaseShare, live, asMille, "IF(%[2]s>0,%[1]s/%[2]s,%[1]s)", at(t.phaseVA), at(t.limit))
			}
			for i, l := range t.starts {
				if !m.choices[c].holds[l.row-firstLoad] && len(m.choices) > 1 {
					continue // the mates of its interlock run here
				}
				m.startCell(t, d, row, from, i, k, l)
			}
		}
	}
}

// restartRating is the formula for the rating of a restart: of the longest start among what starts then, or the
// continuous one where nothing does.
func (m *maker) restartRating(t startTable, interval, choice int) string {
	longer := func(than string) string {
		parts := []string{"0"}
		for _, l := range t.starts {
			if len(m.choices) > 1 && !m.choices[choice].holds[l.row-firstLoad] {
				continue
			}
			load := func(col int) ref { return m.loads.at(l.row, col) }
			parts = append(parts, fmt.Sprintf("IF(%s>%s,%s*%s,0)", load(loadStartS), than,
				m.day.at(l.row, firstInterval+interval), load(loadInUse)))
		}
		return strings.Join(parts, "+")
	}
	parts := []string{string(m.in["rated_va"])}
	for i := range m.p.Site.Inverter.Overload {
		n := itoa(i + 1)
		parts = append(parts, fmt.Sprintf("IF(AND(%s>0,%s=0),%s,0)", longer("0"), longer(string(m.in["overload_s_"+n])),
			m.in["overload_va_"+n]))
	}
	return fmt.Sprintf("MAX(%s)*%s*%s", strings.Join(parts, ","), m.in["inverters"], m.out["derating"])
}

// startCell is a start in an interval under a choice.
func (m *maker) startCell(t startTable, d demandTable, row, from, i, interval int, l loadRow) {
	s, n := m.starts, m.p.Site.Phases
	load := func(col int) ref { return m.loads.at(l.row, col) }
	on := fmt.Sprintf("%s*%s*IF(%s>0,1,0)=1", m.day.at(l.row, firstInterval+interval), load(loadInUse),
		load(loadStartVA))
	with := func(w, vAr ref, share string) string {
		return fmt.Sprintf("SQRT((%[1]s+%[3]s(%[4]s-%[5]s))^2+(%[2]s+%[3]s(%[6]s-%[7]s))^2)+%[3]s%[8]s", w, vAr, share,
			load(loadStartW), load(loadW), load(loadStartVAr), load(loadVAr), load(loadStartPlain))
	}
	col := t.eachVA + i*t.each
	s.calc(row, col, live, asTenth, "IF(%s,%s,0)", on, with(m.demand.at(from, d.w), m.demand.at(from, d.vAr), ""))
	if n > 1 {
		var phases []string
		for k := range n {
			phases = append(phases, with(m.demand.at(from, d.phaseW+3*k), m.demand.at(from, d.phaseW+3*k+1),
				string(load(loadShares+k))+"*"))
		}
		s.calc(row, col+1, live, asTenth, "IF(%s,%d*MAX(%s),0)", on, n, strings.Join(phases, ","))
	}
	s.calc(row, col+t.each-1, live, asTenth, "IF(%s,%s,0)", on, m.demand.at(from, d.w))
}
