package workbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/loads"
)

func itoa(n int) string { return strconv.Itoa(n) }

func speechName(s string) string { return speech.Name(s) }

// firstLoad is the row of the first load, of the loads and of the course of the day alike.
const firstLoad = 8

// Columns of the loads.
const (
	loadNo = iota + 1
	loadName
	loadCircuit
	loadOn
	loadHeldOff
	loadInterlock
	loadPhase
	loadQuantity
	loadW
	loadPF
	loadHours
	loadStartVA
	loadStartPF
	loadStartS
	loadRides
	loadInUse
	loadVAr
	loadAllW
	loadAllVAr
	loadGridW
	loadGridVAr
	loadWindowH
	loadWh
	loadMeanW
	loadStartW
	loadStartVAr
	loadStartPlain
	loadRestartW
	loadRestartVAr
	loadRestartPlain
	loadShares // one for each phase, where there are several, and then one for each choice of the interlocks
)

// A loadRow is a load with the rows of its windows.
type loadRow struct {
	loads.Load
	row     int
	windows []int
}

// A choice is one way in which the interlocks may be: of each one member.
type choice struct {
	picks []string // names of the loads
	holds []bool   // by load: it may run under this choice
}

// Bounds of what is laid out: more would be more formulas than a spreadsheet works out in seconds.
const (
	mostChoices  = 24
	mostLoads    = 120
	mostDemandAt = 1500 // intervals times choices
)

// in says whether the workbook has phases apart.
func (m *maker) phased() bool { return m.p.Site.Phases > 1 }

// fillLoads lists the loads of the month, on whichever board, and their windows.
func (m *maker) fillLoads() error {
	all := loads.InMonth(m.p.Site.Loads, m.p.Month)
	if len(all) > mostLoads {
		return tooLarge("%d loads, at most %d", len(all), mostLoads)
	}
	if err := m.choose(all); err != nil {
		return err
	}
	circuit := map[string]int{}
	for i, c := range m.p.Site.Circuits {
		circuit[c.ID] = i
	}
	s, phases := m.loads, m.p.Site.Phases
	s.say(1, 1, title, m.say(phrase.Of("Loads")))
	s.say(2, 1, note,
		m.say(phrase.Of("The loads of the month of the outage, on both boards. The power of all units counts where a load is in use: on the backup board, and not held off.")))
	heads := map[int]string{loadNo: m.r.Say("col.no"), loadName: m.r.Say("col.load"),
		loadCircuit: m.r.Say("col.circuit"),
		loadOn:      m.say(phrase.Of("On the backup board")), loadHeldOff: m.say(phrase.Of("Held off (1: yes, 0: no)")),
		loadInterlock: m.r.KeyName("interlock"), loadPhase: m.r.KeyName("phase"), loadQuantity: m.r.KeyName("quantity"),
		loadW: m.r.KeyName("running_w") + ", W", loadPF: m.r.KeyName("power_factor"),
		loadHours: m.r.KeyName("hours_per_day") + ", h", loadStartVA: m.r.KeyName("starting_va") + ", VA",
		loadStartPF: m.r.KeyName("starting_pf"), loadStartS: m.r.KeyName("starting_s") + ", s",
		loadRides: m.r.KeyName("rides_through_ms") + ", ms", loadInUse: m.say(phrase.Of("In use")),
		loadVAr:          m.say(phrase.Of("Reactive power of a unit")) + ", VAr",
		loadAllW:         m.say(phrase.Of("All units in use")) + ", W",
		loadAllVAr:       m.say(phrase.Of("All units in use")) + ", VAr",
		loadGridW:        m.say(phrase.Of("With the grid, held-off loads included")) + ", W",
		loadGridVAr:      m.say(phrase.Of("With the grid, held-off loads included")) + ", VAr",
		loadWindowH:      m.say(phrase.Of("Hours of its windows")) + ", h",
		loadWh:           m.say(phrase.Of("Energy of a day")) + ", Wh",
		loadMeanW:        m.say(phrase.Of("Mean power in its windows")) + ", W",
		loadStartW:       m.say(phrase.Of("Start of a unit")) + ", W",
		loadStartVAr:     m.say(phrase.Of("Start of a unit")) + ", VAr",
		loadStartPlain:   m.say(phrase.Of("Start of a unit, angle not known")) + ", VA",
		loadRestartW:     m.say(phrase.Of("Start of all units")) + ", W",
		loadRestartVAr:   m.say(phrase.Of("Start of all units")) + ", VAr",
		loadRestartPlain: m.say(phrase.Of("Start of all units, angle not known")) + ", VA"}
	if m.phased() {
		for k := range phases {
			heads[loadShares+k] = m.say(phrase.Of("Share on phase %d", k+1))
		}
	}
	if len(m.choices) > 1 {
		for c := range m.choices {
			heads[m.choiceCol(c)] = m.say(phrase.Of("Choice %d of the interlocks", c+1))
		}
	}
	for col, words := range heads {
		s.put(firstLoad-1, col, cell{kind: head, text: phrase.UpperFirst(words), wrap: true, middle: col > loadCircuit})
		s.width(12.5, col)
	}
	s.width(5, loadNo)
	s.width(30, loadName, loadCircuit)
	s.width(11, loadOn, loadHeldOff, loadPhase, loadQuantity, loadPF, loadStartPF, loadStartS, loadInUse)

	m.fillWindows(all)
	for i := range m.loadRows {
		l := &m.loadRows[i]
		row := l.row
		at := func(col int) ref { return s.at(row, col) }
		s.put(row, loadNo, cell{kind: plain, isNum: true, number: float64(i + 1), format: asGiven, middle: true})
		s.long(row, loadName, plain, speechName(m.r.Called(l.Name)))
		c := circuit[l.CircuitID]
		s.calcWords(row, loadCircuit, live, string(m.circuits.at(firstCircuit+c, 2)))
		s.cells[[2]int{row, loadCircuit}] = cell{kind: live, formula: string(m.circuits.at(firstCircuit+c, 2)),
			words: true, wrap: true}
		s.calc(row, loadOn, live, asGiven, "%s", m.circuits.at(firstCircuit+c, 3))
		s.num(row, loadHeldOff, input, bit(l.HeldOff), asGiven)
		s.say(row, loadInterlock, plain, speechName(l.Interlock))
		s.calc(row, loadPhase, live, asGiven, "%s", m.circuits.at(firstCircuit+c, 4))
		s.num(row, loadQuantity, input, float64(l.Quantity), asGiven)
		s.num(row, loadW, input, l.RunningW, asGiven)
		pf := l.PowerFactor
		if pf == 0 {
			pf = 1
		}
		s.num(row, loadPF, input, pf, asGiven)
		s.num(row, loadHours, input, l.HoursPerDay, asGiven)
		startVA, startPF, startS := 0.0, 0.0, 0.0
		if st := l.Start; st != nil {
			if startVA, startS = st.VA(), st.Seconds; st.PlainVA == 0 && startVA > 0 {
				startPF = st.Power.W / startVA
			}
		}
		starting := input
		if l.Start == nil {
			starting = worked // the list of starts has no row for it
		}
		s.num(row, loadStartVA, starting, startVA, asGiven)
		unknown := cell{kind: starting, format: asGiven}
		if s.put(row, loadStartPF, unknown); startPF > 0 {
			s.num(row, loadStartPF, input, digits(startPF), asGiven)
		}
		s.num(row, loadStartS, starting, startS, asGiven)
		unknown.kind = input
		if s.put(row, loadRides, unknown); l.RidesThroughMs != nil {
			s.num(row, loadRides, input, *l.RidesThroughMs, asGiven)
		}
		s.calc(row, loadInUse, live, asGiven, "%s*(1-%s)", at(loadOn), at(loadHeldOff))
		s.calc(row, loadVAr, live, asTenth, "%[1]s*SQRT((1-%[2]s)*(1+%[2]s))/%[2]s", at(loadW), at(loadPF))
		s.calc(row, loadAllW, live, asTenth, "%s*%s*%s", at(loadInUse), at(loadQuantity), at(loadW))
		s.calc(row, loadAllVAr, live, asTenth, "%s*%s*%s", at(loadInUse), at(loadQuantity), at(loadVAr))
		s.calc(row, loadGridW, live, asTenth, "%s*%s*%s", at(loadOn), at(loadQuantity), at(loadW))
		s.calc(row, loadGridVAr, live, asTenth, "%s*%s*%s", at(loadOn), at(loadQuantity), at(loadVAr))
		minutes := m.when.span(l.windows[0], whenMinutes, l.windows[len(l.windows)-1], whenMinutes)
		s.calc(row, loadWindowH, live, asCent, "SUM(%s)/60", minutes)
		s.calc(row, loadWh, live, asTenth, "%s*%s", at(loadAllW), at(loadHours))
		s.calc(row, loadMeanW, live, asCent, "IF(%[1]s>0,%[2]s/%[1]s,0)", at(loadWindowH), at(loadWh))
		s.calc(row, loadStartW, live, asTenth, "IF(COUNT(%[2]s)=0,0,%[1]s*%[2]s)", at(loadStartVA), at(loadStartPF))
		s.calc(row, loadStartVAr, live, asTenth, "IF(COUNT(%[2]s)=0,0,%[1]s*SQRT((1-%[2]s)*(1+%[2]s)))",
			at(loadStartVA),
			at(loadStartPF))
		s.calc(row, loadStartPlain, live, asTenth, "IF(COUNT(%[2]s)=0,%[1]s,0)", at(loadStartVA), at(loadStartPF))
		for _, k := range []struct{ col, running, starting int }{{loadRestartW, loadAllW, loadStartW},
			{loadRestartVAr, loadAllVAr, loadStartVAr}, {loadRestartPlain, 0, loadStartPlain}} {
			runs := "0"
			if k.running > 0 {
				runs = string(at(k.running))
			}
			s.calc(row, k.col, live, asTenth, "IF(%s>0,%s*%s*%s,%s)", at(loadStartVA), at(loadInUse), at(loadQuantity),
				at(k.starting), runs)
		}
		if m.phased() {
			for k := range phases {
				s.calc(row, loadShares+k, live, asMille, "IF(%[1]s=0,1/%[2]d,IF(%[1]s=%[3]d,1,0))", at(loadPhase),
					phases, k+1)
			}
		}
		if len(m.choices) > 1 {
			for c, ch := range m.choices {
				s.num(row, m.choiceCol(c), worked, bit(ch.holds[i]), asGiven)
			}
		}
	}
	if n := len(m.loadRows); n > 0 {
		s.flags = append(s.flags, strip(loadHeldOff, firstLoad, firstLoad+n-1))
	}
	for i := range m.p.Site.Circuits {
		no := m.p.Site.Circuits[i].ID
		var rows []string
		for _, l := range m.loadRows {
			if l.CircuitID == no {
				rows = append(rows, string(s.at(l.row, loadWh)))
			}
		}
		if len(rows) == 0 {
			rows = []string{"0"}
		}
		m.circuits.calc(firstCircuit+i, 5, live, asWhole, "%s", strings.Join(rows, "+"))
	}
	s.frozen, s.heads = [2]int{firstLoad - 1, loadName}, firstLoad-1
	return nil
}

// digits cuts a figure that was worked out of others, such as 2340/5200, to the digits that somebody would type.
func digits(x float64) float64 {
	if cut, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64); err == nil && math.Abs(cut-x) < 1e-12 {
		return cut
	}
	return x
}

// choose lists all choices of the interlocks: a member of each.
func (m *maker) choose(all []loads.Load) error {
	groups := map[string][]int{}
	var names []string
	for i, l := range all {
		if l.Interlock == "" {
			continue
		}
		if groups[l.Interlock] == nil {
			names = append(names, l.Interlock)
		}
		groups[l.Interlock] = append(groups[l.Interlock], i)
	}
	free := choice{holds: make([]bool, len(all))}
	for i, l := range all {
		free.holds[i] = l.Interlock == ""
	}
	m.choices = []choice{free}
	for _, name := range names {
		var more []choice
		for _, c := range m.choices {
			for _, i := range groups[name] {
				next := choice{picks: append(slices.Clone(c.picks), all[i].Name), holds: slices.Clone(c.holds)}
				next.holds[i] = true
				more = append(more, next)
			}
		}
		if m.choices = more; len(m.choices) > mostChoices {
			return tooLarge("its interlocks leave more than %d choices together", mostChoices)
		}
	}
	return nil
}

// choiceCol is the column of a choice among the loads.
func (m *maker) choiceCol(c int) int {
	if m.phased() {
		return loadShares + m.p.Site.Phases + c
	}
	return loadShares + c
}

// column is a column of all loads.
func (m *maker) column(col int) string {
	return m.loads.span(firstLoad, col, firstLoad+max(1, len(m.loadRows))-1, col)
}

// Columns and rows of the windows.
const (
	whenNo = iota + 1
	whenLoad
	whenFrom
	whenTo
	whenFromMin
	whenToMin
	whenMinutes

	firstWindow = 6 // the row of the first; above it stands the whole day
)

// fillWindows lists when each load may be on, and makes the rows of the loads.
func (m *maker) fillWindows(all []loads.Load) {
	s := m.when
	s.say(1, 1, title, m.say(phrase.Of("Time windows")))
	s.say(2, 1, note,
		m.say(phrase.Of("When each load may be on. A window that ends before it begins goes on past midnight.")))
	for i, h := range []string{m.r.Say("col.no"), m.r.Say("col.load"), m.r.Say("col.from"), m.say(phrase.Of("To")),
		m.say(phrase.Of("From minute")), m.say(phrase.Of("To minute")), m.say(phrase.Of("Minutes"))} {
		s.put(firstWindow-2, i+1, cell{kind: head, text: h, wrap: true, middle: i > 1})
	}
	s.width(5, whenNo)
	s.width(40, whenLoad)
	s.width(11, whenFrom, whenTo, whenFromMin, whenToMin, whenMinutes)
	s.say(firstWindow-1, whenLoad, plain, m.say(phrase.Of("Whole day")))
	s.num(firstWindow-1, whenFromMin, worked, 0, asGiven)
	s.num(firstWindow-1, whenToMin, worked, 1440, asGiven)
	row := firstWindow
	for i, l := range all {
		r := loadRow{Load: l, row: firstLoad + i}
		windows := l.Windows
		if len(windows) == 0 {
			windows = []loads.Window{{StartMin: 0, EndMin: 1440}}
		}
		for _, w := range windows {
			s.put(row, whenNo, cell{kind: plain, isNum: true, number: float64(i + 1), format: asGiven, middle: true})
			s.long(row, whenLoad, plain, speechName(m.r.Called(l.Name)))
			s.num(row, whenFrom, input, float64(w.StartMin)/1440, asClock)
			s.num(row, whenTo, input, float64(w.EndMin)/1440, asClock)
			s.calc(row, whenFromMin, live, asGiven, "ROUND(%s*1440,0)", s.at(row, whenFrom))
			s.calc(row, whenToMin, live, asGiven, "ROUND(%s*1440,0)", s.at(row, whenTo))
			from, to := s.at(row, whenFromMin), s.at(row, whenToMin)
			s.calc(row, whenMinutes, live, asGiven, "IF(%[2]s>%[1]s,%[2]s-%[1]s,1440-%[1]s+%[2]s)", from, to)
			r.windows = append(r.windows, row)
			row++
		}
		m.loadRows = append(m.loadRows, r)
	}
	if row > firstWindow {
		s.times = append(s.times, fmt.Sprintf("%s%d:%s%d", colName(whenFrom), firstWindow, colName(whenTo), row-1))
	}
	s.frozen, s.upward, s.heads = [2]int{firstWindow - 2, 0}, true, firstWindow-2
	// The day is cut where a window begins or ends; a few cuts are left for windows that are moved.
	cuts := map[int]bool{0: true}
	for _, l := range all {
		for _, w := range l.Windows {
			cuts[w.StartMin%1440], cuts[w.EndMin%1440] = true, true
		}
	}
	m.intervals = len(cuts) + min(8, 2*(row-firstWindow))
	m.edges = s.span(firstWindow-1, whenFromMin, max(row-1, firstWindow-1), whenToMin)
}

// firstInterval is the column of the first interval of the course of the day.
const firstInterval = 3

// Rows above the loads in the course of the day.
const (
	dayFrom = iota + 3
	dayTo
	dayFromMin
	dayToMin
	dayHours
)

// fillDay lays out between which moments nothing changes, and which loads may be on there.
func (m *maker) fillDay() error {
	if m.intervals*len(m.choices) > mostDemandAt {
		return tooLarge("%d intervals of the day with %d choices of the interlocks, at most %d together", m.intervals,
			len(m.choices), mostDemandAt)
	}
	s := m.day
	s.say(1, 1, title, m.say(phrase.Of("Course of the day")))
	s.say(2, 1, note,
		m.say(phrase.Of("Between two moments at which a window begins or ends nothing changes. 1: the load may be on.")))
	s.width(5, 1)
	s.width(34, 2)
	for row, words := range map[int]string{dayFrom: m.r.Say("col.from"), dayTo: m.say(phrase.Of("To")),
		dayFromMin: m.say(phrase.Of("From minute")), dayToMin: m.say(phrase.Of("To minute")),
		dayHours: m.say(phrase.Of("Hours")) + ", h"} {
		s.say(row, 2, head, words)
	}
	for i := range m.loadRows {
		l := &m.loadRows[i]
		s.put(l.row, 1, cell{kind: plain, isNum: true, number: float64(i + 1), format: asGiven, middle: true})
		s.put(l.row, 2, cell{kind: live, formula: string(m.loads.at(l.row, loadName)), words: true})
	}
	below := m.belowDay()
	for row, words := range map[int]string{below.meanW: m.say(phrase.Of("Mean power")) + ", W",
		below.dcW: m.say(phrase.Of("From the bank")) + ", W", below.wh: m.say(phrase.Of("Energy")) + ", Wh",
		below.dcWh: m.say(phrase.Of("Energy from the bank")) + ", Wh"} {
		s.say(row, 2, head, words)
	}
	for k := range m.intervals {
		col := firstInterval + k
		s.width(8.5, col)
		at := func(row int) ref { return s.at(row, col) }
		if k == 0 {
			s.num(dayFromMin, col, worked, 0, asGiven)
		} else {
			s.calc(dayFromMin, col, live, asGiven, "%s", s.at(dayToMin, col-1))
		}
		s.calc(dayToMin, col, live, asGiven, "IF(%[1]s>=1440,1440,SMALL(%[2]s,COUNTIF(%[2]s,\"<=\"&%[1]s)+1))",
			at(dayFromMin), m.edges)
		s.calc(dayFrom, col, live, asClock, "%s/1440", at(dayFromMin))
		s.calc(dayTo, col, live, asClock, "%s/1440", at(dayToMin))
		s.calc(dayHours, col, live, asMille, "(%s-%s)/60", at(dayToMin), at(dayFromMin))
		for _, l := range m.loadRows {
			var on []string
			for _, w := range l.windows {
				on = append(on,
					fmt.Sprintf("IF(%[2]s>%[1]s,IF(AND(%[1]s<=%[3]s,%[3]s<%[2]s),1,0),IF(OR(%[3]s>=%[1]s,%[3]s<%[2]s),1,0))",
						m.when.at(w, whenFromMin), m.when.at(w, whenToMin), at(dayFromMin)))
			}
			s.put(l.row, col, cell{kind: live, format: asGiven, middle: true,
				formula: fmt.Sprintf("IF(%s>=1440,0,MIN(1,%s))", at(dayFromMin), strings.Join(on, "+"))})
		}
		s.calc(below.meanW, col, live, asTenth, "SUMPRODUCT(%s,%s)", m.runsIn(k), m.column(loadMeanW))
		s.calc(below.dcW, col, live, asTenth, "%s", m.dcPower(string(at(below.meanW))))
		s.calc(below.wh, col, live, asTenth, "%s*%s", at(below.meanW), at(dayHours))
		s.calc(below.dcWh, col, live, asTenth, "%s*%s", at(below.dcW), at(dayHours))
	}
	if n := len(m.loadRows); n > 0 {
		s.bars = append(s.bars, fmt.Sprintf("%s%d:%s%d", colName(firstInterval), firstLoad,
			colName(firstInterval+m.intervals-1), firstLoad+n-1))
	}
	complete := below.dcWh + 2
	s.say(complete, 2, head, m.say(phrase.Of("The columns reach to the end of the day")))
	m.out["day_complete"] = s.calcWords(complete, firstInterval, live, "IF(%s>=1440,%s,%s)",
		s.at(dayToMin, firstInterval+m.intervals-1), quote(m.say(phrase.Of("yes"))),
		quote(m.say(phrase.Of("no: move fewer windows at once"))))
	s.frozen, s.heads = [2]int{firstLoad - 1, 2}, firstLoad-1
	return nil
}

// runsIn is the column of an interval over all loads.
func (m *maker) runsIn(k int) string {
	return m.day.span(firstLoad, firstInterval+k, firstLoad+max(1, len(m.loadRows))-1, firstInterval+k)
}

// The rows below the loads in the course of the day.
type dayRows struct{ meanW, dcW, wh, dcWh int }

func (m *maker) belowDay() dayRows {
	row := firstLoad + max(1, len(m.loadRows)) + 1
	return dayRows{row, row + 1, row + 2, row + 3}
}

// through is a row of the course of the day over all intervals.
func (m *maker) through(row int) string {
	return m.day.span(row, firstInterval, row, firstInterval+m.intervals-1)
}

// dcPower is the formula for what the inverters draw from the bank while they give so many watts.
func (m *maker) dcPower(w string) string {
	return fmt.Sprintf("(%s*%s+%s/%s)", m.in["idle_w"], m.in["inverters"], w, m.efficiency(w))
}

// efficiency is the formula for the efficiency of the inverters at a power: straight between the points of the curve,
// held beyond its ends.
func (m *maker) efficiency(w string) string {
	curve := m.p.Site.Inverter.EfficiencyCurve
	if len(curve) == 0 {
		return string(m.in["efficiency"])
	}
	load := fmt.Sprintf("(%s)/(%s*%s)", w, m.in["rated_w"], m.in["inverters"])
	at := func(i int) (load, efficiency ref) {
		return m.in["curve_load_"+itoa(i+1)], m.in["curve_"+itoa(i+1)]
	}
	_, last := at(len(curve) - 1)
	formula := string(last)
	for i := len(curve) - 1; i > 0; i-- {
		l0, e0 := at(i - 1)
		l1, e1 := at(i)
		formula = fmt.Sprintf("IF(%[1]s<=%[4]s,%[3]s+(%[5]s-%[3]s)*(%[1]s-%[2]s)/(%[4]s-%[2]s),%[6]s)", load, l0,
			e0, l1,
			e1, formula)
	}
	l0, e0 := at(0)
	return fmt.Sprintf("IF(%s<=%s,%s,%s)", load, l0, e0, formula)
}
