package course

import (
	"slices"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/loads"
)

// FirstLoad is the row of the first load, of the loads and of the course of the day alike.
const FirstLoad = 8

// Columns of the loads.
const (
	loadNo = iota + 1
	LoadName
	loadCircuit
	loadOn
	LoadHeldOff
	loadInterlock
	loadPhase
	LoadQuantity
	LoadW
	LoadPF
	LoadHours
	LoadStartVA
	loadStartPF
	LoadStartS
	LoadRides
	LoadInUse
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
	LoadRidesInUse // of what is in use; empty words where nothing is stated
	LoadShares     // one for each phase, where there are several, and then one for each choice of the interlocks
)

// A LoadRow is a load with the rows of its windows.
type LoadRow struct {
	loads.Load
	Row     int
	windows []int
	other   bool // it is used in other months only: it counts for the conductors of its circuit, which lie there all year
}

// A choice is one way in which the interlocks may be: of each one member.
type choice struct {
	picks []string // names of the loads
	holds []bool   // by load: it may run under this choice
}

// Bounds of what is laid out: more would be more formulas than a spreadsheet works out in seconds.
const (
	mostChoices  = 24
	MostLoads    = 120
	mostDemandAt = 1500 // intervals times choices
)

// phased says whether the workbook has phases apart.
func (m *Home) phased() bool { return m.Plan.Site.Phases > 1 }

// fillLoads lists the loads of the month, on whichever board, and their windows.
func (m *Home) fillLoads() error {
	all, err := m.chosenLoads()
	if err != nil {
		return err
	}
	s := m.Loads
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Loads")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("The loads of the month of the outage, on both boards. The power of all units counts where a "+
			"load is in use: on the backup board, and not held off.")))
	if m.otherMonths {
		s.Say(3, 1, book.Note,
			m.Prose(phrase.Of("The last ones are loads of other months: they are not in use, and count for the conductors of their circuits.")))
	}
	m.loadHeads()
	m.fillWindows(all)
	for i, l := range m.LoadRows {
		m.loadInputs(i, l)
		m.loadFigures(i, l)
	}
	if n := len(m.LoadRows); n > 0 {
		s.Flags = append(s.Flags, book.Strip(LoadHeldOff, FirstLoad, FirstLoad+n-1))
	}
	m.circuitEnergy()
	s.Frozen, s.Heads = [2]int{FirstLoad - 1, LoadName}, FirstLoad-1
	return nil
}

// loadHeads are the heads of the loads.
func (m *Home) loadHeads() {
	s := m.Loads
	heads := map[int]string{loadNo: m.Say("col.no"), LoadName: m.Say("col.load"),
		loadCircuit: m.Say("col.circuit"),
		loadOn:      m.Prose(phrase.Of("On the backup board")), LoadHeldOff: m.Prose(phrase.Of("Held off (1: yes, 0: no)")),
		loadInterlock: m.keyName("interlock"), loadPhase: m.keyName("phase"), LoadQuantity: m.keyName("quantity"),
		LoadW: m.keyName("running_w") + ", W", LoadPF: m.keyName("power_factor"),
		LoadHours: m.keyName("hours_per_day") + ", h", LoadStartVA: m.keyName("starting_va") + ", VA",
		loadStartPF: m.keyName("starting_pf"), LoadStartS: m.keyName("starting_s") + ", s",
		LoadRides: m.keyName("rides_through_ms") + ", ms", LoadInUse: m.Prose(phrase.Of("In use")),
		loadVAr:          m.Prose(phrase.Of("Reactive power of a unit")) + ", VAr",
		loadAllW:         m.Prose(phrase.Of("All units in use")) + ", W",
		loadAllVAr:       m.Prose(phrase.Of("All units in use")) + ", VAr",
		loadGridW:        m.Prose(phrase.Of("With the grid, held-off loads included")) + ", W",
		loadGridVAr:      m.Prose(phrase.Of("With the grid, held-off loads included")) + ", VAr",
		loadWindowH:      m.Prose(phrase.Of("Hours of its windows")) + ", h",
		loadWh:           m.Prose(phrase.Of("Energy of a day")) + ", Wh",
		loadMeanW:        m.Prose(phrase.Of("Mean power in its windows")) + ", W",
		loadStartW:       m.Prose(phrase.Of("Start of a unit")) + ", W",
		loadStartVAr:     m.Prose(phrase.Of("Start of a unit")) + ", VAr",
		loadStartPlain:   m.Prose(phrase.Of("Start of a unit, angle not known")) + ", VA",
		loadRestartW:     m.Prose(phrase.Of("Start of all units")) + ", W",
		loadRestartVAr:   m.Prose(phrase.Of("Start of all units")) + ", VAr",
		loadRestartPlain: m.Prose(phrase.Of("Start of all units, angle not known")) + ", VA",
		LoadRidesInUse:   m.Prose(phrase.Of("Rides through, where in use")) + ", ms"}
	if m.phased() {
		for k := range m.Plan.Site.Phases {
			heads[LoadShares+k] = m.Prose(phrase.Of("Share on phase %d", k+1))
		}
	}
	if len(m.choices) > 1 {
		for c := range m.choices {
			heads[m.choiceCol(c)] = m.Prose(phrase.Of("Choice %d of the interlocks", c+1))
		}
	}
	for col, words := range heads {
		s.Put(FirstLoad-1, col, book.Cell{Kind: book.Head, Text: phrase.UpperFirst(words), Wrap: true, Middle: col > loadCircuit})
		s.Width(12.5, col)
	}
	s.Width(5, loadNo)
	s.Width(30, LoadName, loadCircuit)
	s.Width(11, loadOn, LoadHeldOff, loadPhase, LoadQuantity, LoadPF, loadStartPF, LoadStartS, LoadInUse)
}

// loadInputs is what the site file says of a load.
func (m *Home) loadInputs(i int, l LoadRow) {
	s, row := m.Loads, l.Row
	s.Count(row, loadNo, i+1)
	s.Long(row, LoadName, book.Plain, speech.Name(m.Called(l.Name)))
	c := max(0, m.CircuitAt(l.CircuitID))
	s.CalcWords(row, loadCircuit, book.Live, string(m.Circuits.At(FirstCircuit+c, 2)))
	s.Cells[[2]int{row, loadCircuit}] = book.Cell{Kind: book.Live, Formula: string(m.Circuits.At(FirstCircuit+c, 2)),
		Words: true, Wrap: true}
	s.Calc(row, loadOn, book.Live, book.AsGiven, "%s", m.Circuits.At(FirstCircuit+c, 3))
	s.Num(row, LoadHeldOff, book.Input, bit(l.HeldOff), book.AsGiven)
	s.Say(row, loadInterlock, book.Plain, speech.Name(l.Interlock))
	s.Calc(row, loadPhase, book.Live, book.AsGiven, "%s", m.Circuits.At(FirstCircuit+c, 4))
	s.Num(row, LoadQuantity, book.Input, float64(l.Quantity), book.AsGiven)
	s.Num(row, LoadW, book.Input, l.RunningW, book.AsGiven)
	pf := l.PowerFactor
	if pf == 0 {
		pf = 1
	}
	s.Num(row, LoadPF, book.Input, pf, book.AsGiven)
	s.Num(row, LoadHours, book.Input, l.HoursPerDay, book.AsGiven)
	startVA, startS := 0.0, 0.0
	if st := l.Start; st != nil {
		startVA, startS = st.VA(), st.Seconds
	}
	starting := book.Input
	if l.Start == nil {
		starting = book.Worked // the list of starts has no row for it
	}
	s.Num(row, LoadStartVA, starting, startVA, book.AsGiven)
	unknown := book.Cell{Kind: starting, Format: book.AsGiven}
	if s.Put(row, loadStartPF, unknown); startPF(l.Start) > 0 {
		s.Num(row, loadStartPF, book.Input, startPF(l.Start), book.AsGiven)
	}
	s.Num(row, LoadStartS, starting, startS, book.AsGiven)
	unknown.Kind = book.Input
	if s.Put(row, LoadRides, unknown); l.RidesThroughMs != nil {
		s.Num(row, LoadRides, book.Input, *l.RidesThroughMs, book.AsGiven)
	}
}

// loadFigures is what follows from it: what all its units draw, their energy, and their starts.
func (m *Home) loadFigures(i int, l LoadRow) {
	s, row, phases := m.Loads, l.Row, m.Plan.Site.Phases
	at := func(col int) book.Ref { return s.At(row, col) }
	used := ""
	if l.other {
		used = "0*"
	}
	s.Calc(row, LoadInUse, book.Live, book.AsGiven, "%s%s*(1-%s)", used, at(loadOn), at(LoadHeldOff))
	s.Calc(row, loadVAr, book.Live, book.AsTenth, "%[1]s*SQRT((1-%[2]s)*(1+%[2]s))/%[2]s", at(LoadW), at(LoadPF))
	s.Calc(row, loadAllW, book.Live, book.AsTenth, "%s*%s*%s", at(LoadInUse), at(LoadQuantity), at(LoadW))
	s.Calc(row, loadAllVAr, book.Live, book.AsTenth, "%s*%s*%s", at(LoadInUse), at(LoadQuantity), at(loadVAr))
	s.Calc(row, loadGridW, book.Live, book.AsTenth, "%s%s*%s*%s", used, at(loadOn), at(LoadQuantity), at(LoadW))
	s.Calc(row, loadGridVAr, book.Live, book.AsTenth, "%s%s*%s*%s", used, at(loadOn), at(LoadQuantity), at(loadVAr))
	minutes := m.when.Span(l.windows[0], whenMinutes, l.windows[len(l.windows)-1], whenMinutes)
	s.Calc(row, loadWindowH, book.Live, book.AsCent, "SUM(%s)/60", minutes)
	s.Calc(row, loadWh, book.Live, book.AsTenth, "%s*%s", at(loadAllW), at(LoadHours))
	s.Calc(row, loadMeanW, book.Live, book.AsCent, "IF(%[1]s>0,%[2]s/%[1]s,0)", at(loadWindowH), at(loadWh))
	s.Calc(row, loadStartW, book.Live, book.AsTenth, "IF(COUNT(%[2]s)=0,0,%[1]s*%[2]s)", at(LoadStartVA), at(loadStartPF))
	s.Calc(row, loadStartVAr, book.Live, book.AsTenth, "IF(COUNT(%[2]s)=0,0,%[1]s*SQRT((1-%[2]s)*(1+%[2]s)))",
		at(LoadStartVA),
		at(loadStartPF))
	s.Calc(row, loadStartPlain, book.Live, book.AsTenth, "IF(COUNT(%[2]s)=0,%[1]s,0)", at(LoadStartVA), at(loadStartPF))
	for _, k := range []struct{ col, running, starting int }{{loadRestartW, loadAllW, loadStartW},
		{loadRestartVAr, loadAllVAr, loadStartVAr}, {loadRestartPlain, 0, loadStartPlain}} {
		runs := "0"
		if k.running > 0 {
			runs = string(at(k.running))
		}
		s.Calc(row, k.col, book.Live, book.AsTenth, "IF(%s>0,%s*%s*%s,%s)", at(LoadStartVA), at(LoadInUse), at(LoadQuantity),
			at(k.starting), runs)
	}
	s.Calc(row, LoadRidesInUse, book.Live, book.AsGiven, `IF(AND(%[1]s=1,COUNT(%[2]s)=1),%[2]s,"")`, at(LoadInUse), at(LoadRides))
	if m.phased() {
		for k := range phases {
			s.Calc(row, LoadShares+k, book.Live, book.AsMille, "IF(%[1]s=0,1/%[2]d,IF(%[1]s=%[3]d,1,0))", at(loadPhase),
				phases, k+1)
		}
	}
	if len(m.choices) > 1 {
		for c, ch := range m.choices {
			s.Num(row, m.choiceCol(c), book.Worked, bit(ch.holds[i]), book.AsGiven)
		}
	}
}

// circuitEnergy adds the energy of a day to the circuits.
func (m *Home) circuitEnergy() {
	for i := range m.Plan.Site.Circuits {
		no := m.Plan.Site.Circuits[i].ID
		var rows []string
		for _, l := range m.LoadRows {
			if l.CircuitID == no {
				rows = append(rows, string(m.Loads.At(l.Row, loadWh)))
			}
		}
		if len(rows) == 0 {
			rows = []string{"0"}
		}
		m.Circuits.Calc(FirstCircuit+i, 5, book.Live, book.AsWhole, "%s", strings.Join(rows, "+"))
	}
}

// chosenLoads are the loads that are laid out, and all choices of their interlocks: those of the month and, behind them,
// where that does not become too large, those of other months for the conductors of their circuits.
func (m *Home) chosenLoads() ([]loads.Load, error) {
	all := loads.InMonth(m.Plan.Site.Loads, m.Plan.Month)
	if len(all) > MostLoads {
		return nil, tooLarge("%d loads, at most %d", len(all), MostLoads)
	}
	others := loads.Where(m.Plan.Site.Loads, func(l *loads.Load) bool { return !l.Months.Has(m.Plan.Month) })
	if more := slices.Concat(all, others); len(others) > 0 && len(more) <= MostLoads && m.choose(more) == nil &&
		intervals(more)*len(m.choices) <= mostDemandAt {
		m.otherMonths = true
		return more, nil
	}
	return all, m.choose(all)
}

// startPF is the power factor of a start as the workbook has it; 0: it has none.
func startPF(st *loads.Start) float64 {
	if st == nil || st.PlainVA != 0 || !(st.VA() > 0) {
		return 0
	}
	return book.Digits(st.Power.W / st.VA())
}

// choose lists all choices of the interlocks: a member of each.
func (m *Home) choose(all []loads.Load) error {
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
func (m *Home) choiceCol(c int) int {
	if m.phased() {
		return LoadShares + m.Plan.Site.Phases + c
	}
	return LoadShares + c
}

// LoadColumn is a column of all loads.
func (m *Home) LoadColumn(col int) string {
	return m.Loads.Span(FirstLoad, col, FirstLoad+max(1, len(m.LoadRows))-1, col)
}
