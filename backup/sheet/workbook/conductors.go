package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/wiring"
	"outlast/loads"
)

// A runRow is where the comparisons of a run stand, for its check.
type runRow struct {
	id          string
	first, last int
}

// Columns of the conductors.
const (
	runName = iota + 1
	runSize
	runLength
	runTable
	runAmbient
	runGroup
	runCap
	runCarries
	runNeeds
	runDevice
	runMostDevice
	runOhm
	runX
	runPaths
	runV
	runA
	runPF
	runDropV
	runDrop
	runBefore
	runTotal
	runStartA
	runStartPF
	runStartDrop
	runLeast
	runHeatA
	runHeatS
	runOneSecond
	runNext
)

const (
	feedingRow = 4
	firstRun   = 7
)

// Columns of the comparisons below.
const (
	ofRun = iota + 1
	ofWhat
	ofDemand
	ofLimit
	ofUnit
	ofMargin
	ofRank
	ofStatus
)

// fillConductors works out what each conductor carries and loses, and compares it.
func (m *maker) fillConductors() {
	m.fillFault()
	s, runs := m.conductors, m.Plan.Runs
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Conductors")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Sizes and devices are those of the site file, or the smallest that pass: nothing is chosen "+
			"anew when a figure changes.")))
	s.Say(feedingRow, 1, book.Plain, m.Prose(phrase.Of("Lost on the way to the backup board by what the loads draw"))+", %")
	compared := firstRun + len(runs) + 3
	m.runHeads(compared)
	next := compared
	for i, r := range runs {
		m.layRun(firstRun+i, r)
		first := next
		for _, c := range r.Laid.Compared {
			m.compareRun(next, i, r, c)
			next++
		}
		m.runs = append(m.runs, runRow{r.ID, first, next - 1})
	}
	s.Calc(feedingRow, runLength, book.Live, book.AsMille, "%s", m.feeding())
	if next > compared {
		s.Marks = append(s.Marks, book.Strip(ofStatus, compared, next-1))
	}
	s.Frozen, s.Heads = [2]int{0, 1}, 0
}

// runHeads are the heads of the conductors and of their comparisons.
func (m *maker) runHeads(compared int) {
	s := m.conductors
	for col, h := range map[int]struct {
		words phrase.Phrase
		unit  string
	}{runName: {phrase.Of("Run"), ""}, runSize: {phrase.Of("Conductor"), ""}, runLength: {phrase.Of("Length one way"), "m"},
		runTable: {phrase.Of("Tabulated current"), "A"}, runAmbient: {phrase.Of("Ambient factor"), ""},
		runGroup: {phrase.Of("Grouping factor"), ""}, runCap: {phrase.Of("At most, for the terminals"), "A"},
		runCarries: {phrase.Of("Current-carrying capacity"), "A"}, runNeeds: {phrase.Of("Required current"), "A"},
		runDevice:     {phrase.Of("Protective device"), "A"},
		runMostDevice: {phrase.Of("Largest protective device"), "A"},
		runOhm:        {phrase.Of("Resistance of one conductor"), "Ω/km"}, runX: {phrase.Of("Reactance"), "Ω/km"},
		runPaths: {phrase.Of("Conductors in series"), ""}, runV: {phrase.Of("Voltage"), "V"},
		runA: {phrase.Of("Current"), "A"}, runPF: {phrase.Of("Power factor, 0: the worst"), ""},
		runDropV: {phrase.Of("Voltage drop"), "V"}, runDrop: {phrase.Of("Voltage drop"), "%"},
		runBefore: {phrase.Of("Lost before it"), "%"}, runTotal: {phrase.Of("Lost in all"), "%"},
		runStartA:    {phrase.Of("Current of the largest start"), "A"},
		runStartPF:   {phrase.Of("Its power factor, 0: the worst"), ""},
		runStartDrop: {phrase.Of("Voltage drop at it"), "%"},
		runLeast:     {phrase.Of("What runs, for the circuit breaker"), "A"},
		runHeatA:     {phrase.Of("Current of the start that heats most"), "A"}, runHeatS: {phrase.Of("It lasts"), "s"},
		runOneSecond: {phrase.Of("It would withstand for a second"), "A"},
		runNext:      {phrase.Of("Next standard circuit breaker"), "A"}} {
		words := m.Prose(h.words)
		if h.unit != "" {
			words += ", " + h.unit
		}
		s.Put(firstRun-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: col > runSize})
		s.Width(14, col)
	}
	s.Width(38, runName)
	s.Width(40, runSize)
	for i, words := range []string{m.Prose(phrase.Of("Run")), m.Prose(phrase.Of("What is compared")),
		m.Say("col.demand"), m.Say("col.limit"), m.Say("col.unit"), m.Prose(phrase.Of("Margin")),
		m.Prose(phrase.Of("Rank, the lowest counts")), m.Say("col.status")} {
		s.Put(compared-1, i+1, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: i > 1})
	}
}

// layRun is a conductor: how it lies, what is asked of it, what it loses.
func (m *maker) layRun(row int, r conductors.Run) {
	s, laid := m.conductors, r.Laid
	at := func(col int) book.Ref { return s.At(row, col) }
	name := m.Prose(r.Label)
	if r.Kind == conductors.Circuit {
		name = speech.Name(m.Called(m.circuitLabel(r.Of)))
	}
	s.Long(row, runName, book.Plain, name)
	s.Long(row, runSize, book.Plain, m.Prose(phrase.Symbols("%s", phrase.Measure(r.Conductor.Name))))
	s.Put(row, runLength, mayLack(r.LengthM))
	a := laid.Ampacity
	s.Num(row, runTable, book.Table, a.TableA, book.AsGiven)
	s.Num(row, runAmbient, book.Table, a.AmbientFactor, book.AsGiven)
	s.Num(row, runGroup, book.Table, a.GroupFactor, book.AsGiven)
	carries := fmt.Sprintf("%s*%s*%s", at(runTable), at(runAmbient), at(runGroup))
	if a.A < a.TableA*a.AmbientFactor*a.GroupFactor*(1-1e-9) {
		s.Num(row, runCap, book.Table, a.A, book.AsGiven)
		carries = fmt.Sprintf("MIN(%s,%s)", carries, at(runCap))
	}
	s.Calc(row, runCarries, book.Live, book.AsTenth, "%s", carries)
	device := mayLack(r.DeviceA)
	if n := m.CircuitAt(r.Of); r.Kind == conductors.Circuit && n >= 0 && !r.DeviceChosen {
		device = book.Cell{Kind: book.Live, Format: book.AsGiven,
			Formula: string(m.Circuits.At(course.FirstCircuit+n, course.CircuitBreaker))}
	}
	s.Put(row, runDevice, device)
	if a.DeviceA == a.A {
		s.Calc(row, runMostDevice, book.Live, book.AsTenth, "%s", at(runCarries))
	} else {
		s.Num(row, runMostDevice, book.Table, a.DeviceA, book.AsGiven)
	}
	s.Num(row, runOhm, book.Table, book.Digits(laid.OhmPerKm), book.AsFine)
	s.Num(row, runX, book.Table, wiring.ReactanceOhmPerKm(), book.AsGiven)
	s.Num(row, runPaths, book.Table, laid.System.Paths(), book.AsGiven)
	s.Num(row, runOneSecond, book.Table, book.Digits(laid.OneSecondA), book.AsTenth)
	m.askedOf(row, r)
	s.Calc(row, runDropV, book.Live, book.AsMille, "%s", m.dropV(row, r, runA, runPF))
	s.Calc(row, runDrop, book.Live, book.AsCent, "100*%s/%s", at(runDropV), at(runV))
	s.Calc(row, runTotal, book.Live, book.AsCent, "%s+%s", at(runBefore), at(runDrop))
	s.Calc(row, runStartDrop, book.Live, book.AsCent, "100*%s/%s", m.dropV(row, r, runStartA, runStartPF), at(runV))
}

// mayLack is an input that the site file may leave out.
func mayLack(x float64) book.Cell {
	return book.Cell{Kind: book.Input, Format: book.AsGiven, IsNum: x > 0, Number: x}
}

// dropV is the formula for the volts that a conductor loses at the current and the power factor of two columns.
func (m *maker) dropV(row int, r conductors.Run, a, pf int) string {
	at := func(col int) book.Ref { return m.conductors.At(row, col) }
	z := fmt.Sprintf("IF(%[3]s=0,SQRT(%[1]s^2+%[2]s^2),%[1]s*%[3]s+%[2]s*SQRT(MAX(0,1-%[3]s^2)))", at(runOhm), at(runX),
		at(pf))
	if r.Laid.System == wiring.DC {
		z = string(at(runOhm))
	}
	return fmt.Sprintf("%s*%s/1000*%s*%s", at(runPaths), at(runLength), at(a), z)
}

// compareRun is one comparison of a run.
func (m *maker) compareRun(row, i int, r conductors.Run, c wiring.Check) {
	s, line := m.conductors, firstRun+i
	at := func(col int) book.Ref { return s.At(row, col) }
	s.Put(row, ofRun, book.Cell{Kind: book.Live, Formula: string(s.At(line, runName)), Words: true, Wrap: true})
	s.Long(row, ofWhat, book.Plain, m.Prose(conductors.Subject(c.Of)))
	demand, limit := m.comparedConductor(line, r, c)
	if !c.Of.OfConductor() {
		demand, limit = m.comparedDevice(line, r, c)
	}
	format := book.FormatOf(c.Unit)
	put := func(col int, from book.Ref, x float64) {
		switch {
		case from != "":
			s.Calc(row, col, book.Live, format, "%s", from)
		case col == ofLimit && ofPlate[c.Of]:
			m.In[fmt.Sprintf("%s_plate_%d", cellName(r.ID), c.Of)] = s.Num(row, col, book.Input, x, book.AsGiven)
		default:
			s.Num(row, col, book.Worked, x, format)
		}
	}
	put(ofDemand, demand, c.Demand)
	put(ofLimit, limit, c.Limit)
	s.Put(row, ofUnit, book.Cell{Kind: book.Plain, Text: m.UnitName(c.Unit), Inset: true})
	s.Calc(row, ofMargin, book.Live, book.AsMille, "IF(%[2]s>0,(%[2]s-%[1]s)/%[2]s,-1)", at(ofDemand), at(ofLimit))
	broken := fmt.Sprintf("%s>%s*(1+1E-9)", at(ofDemand), at(ofLimit))
	s.Calc(row, ofRank, book.Live, book.AsMille, "%s-IF(%s,10,0)", at(ofMargin), broken)
	// What the planner looked for and did not find is nothing yet that fails; nor is what the main board has.
	word := m.Pass[0]
	if c.Of.OfConductor() && r.ConductorChosen || c.Of == wiring.OfDevice && r.DeviceChosen ||
		r.Kind == conductors.Circuit && !m.onBackup(r.Of) {
		word = m.Pass[1]
	}
	s.Put(row, ofStatus, book.Cell{Kind: book.Live, Words: true, Inset: true,
		Formula: fmt.Sprintf("IF(%s,%s,%s)", broken, book.Quote(word), book.Quote(m.Pass[2]))})
}

// ofPlate are the comparisons whose limits stand on the plate of a device or a module: inputs, where they are compared.
var ofPlate = map[wiring.Comparison]bool{wiring.OfDeviceVolts: true, wiring.OfBreaking: true, wiring.OfFuseVolts: true,
	wiring.OfIsolatorVolts: true, wiring.OfIsolatorA: true, wiring.OfModuleFuse: true, wiring.OfReverse: true}

// comparedConductor are the formulas for demand and limit of a comparison of the conductor itself.
func (m *maker) comparedConductor(line int, r conductors.Run, c wiring.Check) (demand, limit book.Ref) {
	at := func(col int) book.Ref { return m.conductors.At(line, col) }
	switch c.Of {
	case wiring.OfAmpacity:
		demand, limit = at(runNeeds), at(runCarries)
		if r.Kind == conductors.Input || r.Kind == conductors.Feeder {
			// Where the breaker is smaller than asked for, it lets no more through than its rating.
			demand = book.Ref(fmt.Sprintf("MAX(%s,MIN(%s,%s))", at(runNeeds), m.inFull(line), at(runDevice)))
		}
	case wiring.OfTable:
		limit = at(runTable)
		if r.Kind == conductors.Array {
			demand = m.In["pv_factor"] + "*" + at(runNeeds)
		}
	case wiring.OfProtection:
		demand, limit = at(runDevice), at(runMostDevice)
	case wiring.OfSurge:
		demand = at(runHeatA)
		limit = book.Ref(fmt.Sprintf("MAX(%s,%s/SQRT(%s))", at(runCarries), at(runOneSecond), at(runHeatS)))
	case wiring.OfDrop:
		demand, limit = at(runDrop), m.dropLimit(line, r, "ac_drop")
	case wiring.OfTotalDrop:
		demand, limit = at(runTotal), m.dropLimit(line, r, "total_drop")
	case wiring.OfStartDrop:
		demand, limit = at(runStartDrop), "100*"+m.In["start_drop"]
	}
	return demand, limit
}

// comparedDevice are those of a comparison of its protective device.
func (m *maker) comparedDevice(line int, r conductors.Run, c wiring.Check) (demand, limit book.Ref) {
	at := func(col int) book.Ref { return m.conductors.At(line, col) }
	key := course.ArrayKey(r.Array + 1)
	switch c.Of {
	case wiring.OfDevice:
		return at(runNeeds), at(runDevice)
	case wiring.OfBehind:
		return at(runDevice), m.behind(r)
	case wiring.OfWindow:
		return m.betweenRatings(line, m.behind(r))
	case wiring.OfDeviceVolts:
		return book.Ref(fmt.Sprintf("MAX(%s,%s)", m.Out["charging_v"], m.Out["bank_v"])), ""
	case wiring.OfBreaking:
		return m.Out["fault_a"], ""
	case wiring.OfFuse:
		return m.In["pv_factor"] + "*" + at(runNeeds), at(runDevice)
	case wiring.OfModuleFuse:
		return at(runDevice), ""
	case wiring.OfReverse:
		beside := []string{"-1"}
		for i, a := range m.Plan.Site.Arrays {
			if a.Input == m.Plan.Site.Arrays[r.Array].Input {
				beside = append(beside, string(m.In[course.ArrayKey(i+1)+"strings"]))
			}
		}
		return book.Ref(fmt.Sprintf("SUM(%s)*%s", strings.Join(beside, ","), at(runNeeds))), ""
	case wiring.OfFuseVolts, wiring.OfIsolatorVolts:
		return m.Out[key+"voc_cold_v"], ""
	case wiring.OfIsolatorA:
		return at(runNeeds), ""
	}
	return "", ""
}

// behind is what follows the breaker of the inverters: the relay or the input that it protects.
func (m *maker) behind(r conductors.Run) book.Ref {
	if r.Kind == conductors.Input {
		return m.In["ac_input_a"]
	}
	return m.In["pass_through_a"]
}

// betweenRatings are the formulas for a breaker that no list has: the largest rating that what follows bears is too small for
// what runs, or there is none.
func (m *maker) betweenRatings(line int, bears book.Ref) (demand, limit book.Ref) {
	list, n := m.ratings(), len(wiring.Ratings(m.Plan.Site.Wiring.Tables, wiring.Breaker))
	place := fmt.Sprintf("IFERROR(MATCH(%s*(1+1E-9),%s,1),0)", bears, list)
	return book.Ref(fmt.Sprintf("IF(%[1]s=0,0+INDEX(%[2]s,MIN(%[3]d,1+%[1]s)),%[4]s)", place, list, n,
			m.conductors.At(line, runNeeds))),
		book.Ref(fmt.Sprintf("IF(%[1]s=0,%[2]s,0+INDEX(%[3]s,MAX(1,%[1]s)))", place, bears, list))
}

// fillFault works out what the bank drives into a short circuit at most.
func (m *maker) fillFault() {
	l := m.GoOn(m.bank)
	in, out, u := m.In, m.Out, m.Plan.Site.Unit
	rules := wiring.FaultRulesOf(u.Chemistry, m.Plan.Site.Practice.Wires())
	l.Part(phrase.Of("Short circuit of the bank"))
	volts := l.Published("", phrase.Of("Factor on the voltage at a short circuit"), rules.Volts, "", rules.VoltsFrom.Phrase())
	ohms := l.Published("", phrase.Of("Factor on the resistance at a short circuit"), rules.Resistance, "",
		rules.ResistanceFrom.Phrase())
	per, of, unit := phrase.Of("Short-circuit current for each Ah, without the resistance"), out["installed_ah"], "A/Ah"
	if !u.Chemistry.LeadAcid() {
		per, of, unit = phrase.Of("Short-circuit current of a string, without the resistance"), in["strings"], "A"
	}
	each := l.Published("", per, rules.Each, unit, rules.EachFrom.Phrase())
	l.Figure("fault_a", phrase.Of("Prospective short-circuit current of the bank"), "A",
		phrase.Of("volts over resistance, or the figure above; and all that charges"),
		"IF(%[1]s>0,%[2]s*%[3]s/(%[4]s*%[1]s*%[5]s/%[6]s)*1000,%[7]s*%[8]s)+MAX(%[9]s*%[10]s,%[11]s)", in["resistance_mohm"],
		volts, out["bank_v"], ohms, in["series"], in["strings"], each, of, in["max_charge_a"], in["inverters"],
		out["grid_charger_a"])
}

// dropLimit is the formula for the permitted drop of a conductor in per cent: of alternating current by a key of the
// practice, with more for a long run.
func (m *maker) dropLimit(row int, r conductors.Run, key string) book.Ref {
	if r.Laid.System == wiring.DC {
		return "100*" + m.In["dc_drop"]
	}
	return book.Ref(fmt.Sprintf("100*(%s+MIN(%s,%s*MAX(0,%s-%d)))", m.In[key], book.Lit(wiring.LongRunMost),
		m.In["long_run_per_m"], m.conductors.At(row, runLength), wiring.LongRunFromM))
}

func (m *maker) circuitLabel(id string) string {
	for _, c := range m.Plan.Site.Circuits {
		if c.ID == id {
			return c.Label
		}
	}
	return id
}

func (m *maker) onBackup(id string) bool {
	for _, c := range m.Plan.Site.Circuits {
		if c.ID == id {
			return c.Board == loads.BoardBackup
		}
	}
	return false
}
