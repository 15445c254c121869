package workbook

import (
	"fmt"

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
)

const firstRun = 6

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
	s, in, out := m.conductors, m.In, m.Out
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Conductors")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Sizes and devices are those of the site file, or the smallest that pass: nothing is chosen anew when a figure changes.")))
	s.Say(3, 1, book.Note,
		m.Prose(phrase.Of("What grey conductors must carry, and what they carry at starts, is worked out by the program, as each has its own months and rules.")))
	heads := map[int]string{runName: m.Prose(phrase.Of("Run")), runSize: m.Prose(phrase.Of("Conductor")),
		runLength: m.Prose(phrase.Of("Length one way")) + ", m",
		runTable:  m.Prose(phrase.Of("Tabulated current")) + ", A", runAmbient: m.Prose(phrase.Of("Ambient factor")),
		runGroup: m.Prose(phrase.Of("Grouping factor")), runCap: m.Prose(phrase.Of("At most, for the terminals")) + ", A",
		runCarries:    m.Prose(phrase.Of("Current-carrying capacity")) + ", A",
		runNeeds:      m.Prose(phrase.Of("Required current")) + ", A",
		runDevice:     m.Prose(phrase.Of("Protective device")) + ", A",
		runMostDevice: m.Prose(phrase.Of("Largest protective device")) + ", A",
		runOhm:        m.Prose(phrase.Of("Resistance of one conductor")) + ", Ω/km",
		runX:          m.Prose(phrase.Of("Reactance")) + ", Ω/km",
		runPaths:      m.Prose(phrase.Of("Conductors in series")), runV: m.Prose(phrase.Of("Voltage")) + ", V",
		runA: m.Prose(phrase.Of("Current")) + ", A", runPF: m.Prose(phrase.Of("Power factor, 0: the worst")),
		runDropV: m.Prose(phrase.Of("Voltage drop")) + ", V", runDrop: m.Prose(phrase.Of("Voltage drop")) + ", %",
		runBefore: m.Prose(phrase.Of("Lost before it")) + ", %", runTotal: m.Prose(phrase.Of("Lost in all")) + ", %",
		runStartA:    m.Prose(phrase.Of("Current of the largest start")) + ", A",
		runStartPF:   m.Prose(phrase.Of("Its power factor, 0: the worst")),
		runStartDrop: m.Prose(phrase.Of("Voltage drop at it")) + ", %"}
	for col, words := range heads {
		s.Put(firstRun-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: col > runSize})
		s.Width(14, col)
	}
	s.Width(38, runName)
	s.Width(40, runSize)

	runs := m.Plan.Runs
	compared := firstRun + len(runs) + 3
	for i, words := range []string{m.Prose(phrase.Of("Run")), m.Prose(phrase.Of("What is compared")), m.Say("col.demand"),
		m.Say("col.limit"),
		m.Say("col.unit"), m.Prose(phrase.Of("Margin")), m.Prose(phrase.Of("Rank, the lowest counts")),
		m.Say("col.status")} {
		s.Put(compared-1, i+1, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: i > 1})
	}
	next := compared
	for i, r := range runs {
		row, laid := firstRun+i, r.Laid
		at := func(col int) book.Ref { return s.At(row, col) }
		name := m.Prose(r.Label)
		if r.Kind == conductors.Circuit {
			name = speech.Name(m.Called(m.circuitLabel(r.Of)))
		}
		s.Long(row, runName, book.Plain, name)
		s.Long(row, runSize, book.Plain, m.Prose(phrase.Symbols("%s", phrase.Measure(r.Conductor.Name))))
		length := book.Cell{Kind: book.Input, Format: book.AsGiven}
		if r.LengthM > 0 {
			length.IsNum, length.Number = true, r.LengthM
		}
		s.Put(row, runLength, length)
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
		if r.Kind == conductors.Bank {
			// The rated power sizes the cable of the bank, or what is charged with, whichever is more.
			rated := fmt.Sprintf("%s/%s/%s", out["dc_rated_w"], out["low_v"], in["inverters"])
			load := fmt.Sprintf("MAX(%s,%s,%s/%s)", rated, in["max_charge_a"], out["grid_charger_a"], in["inverters"])
			if m.startsTooLong() {
				s.Num(row, runA, book.Worked, laid.LoadA, book.AsTenth)
			} else {
				s.Calc(row, runA, book.Live, book.AsTenth, "%s", load)
			}
			s.Calc(row, runNeeds, book.Live, book.AsTenth, "%s*%s", book.Lit(m.dcFuseFactor()), at(runA))
		} else {
			s.Num(row, runNeeds, book.Worked, r.NeedsA, book.AsTenth)
			s.Num(row, runA, book.Worked, laid.LoadA, book.AsTenth)
		}
		s.Num(row, runPF, book.Worked, laid.PowerFactor, book.AsMille)
		device := book.Cell{Kind: book.Input, Format: book.AsGiven}
		if r.DeviceA > 0 {
			device.IsNum, device.Number = true, r.DeviceA
		}
		if n := m.CircuitAt(r.Of); r.Kind == conductors.Circuit && n >= 0 {
			if m.PlainCurrents() && course.AllYear(m.Plan.Site, r.Of, m.Plan.Month) {
				s.Calc(row, runA, book.Live, book.AsTenth, "%s", m.Circuits.At(course.FirstCircuit+n, course.CircuitA))
				s.Calc(row, runNeeds, book.Live, book.AsTenth, "%s", at(runA))
				s.Calc(row, runPF, book.Live, book.AsMille, "%s", m.PowerFactorOf(n))
			}
			if !r.DeviceChosen {
				device = book.Cell{Kind: book.Live, Format: book.AsGiven,
					Formula: string(m.Circuits.At(course.FirstCircuit+n, course.CircuitBreaker))}
			}
		}
		s.Put(row, runDevice, device)
		if a.DeviceA == a.A {
			s.Calc(row, runMostDevice, book.Live, book.AsTenth, "%s", at(runCarries))
		} else {
			s.Num(row, runMostDevice, book.Table, a.DeviceA, book.AsGiven)
		}
		s.Num(row, runOhm, book.Table, book.Digits(laid.OhmPerKm), book.AsFine)
		s.Num(row, runX, book.Table, wiring.ReactanceOhmPerKm(), book.AsGiven)
		s.Num(row, runPaths, book.Worked, laid.System.Paths(), book.AsGiven)
		s.Num(row, runV, book.Worked, laid.VoltageV, book.AsCent)
		if r.Kind == conductors.Array {
			m.arrayRun(row, r)
		}
		drop := func(amps, pf book.Ref) string {
			z := fmt.Sprintf("IF(%[3]s=0,SQRT(%[1]s^2+%[2]s^2),%[1]s*%[3]s+%[2]s*SQRT(MAX(0,1-%[3]s^2)))", at(runOhm),
				at(runX), pf)
			if laid.System == wiring.DC {
				z = string(at(runOhm))
			}
			return fmt.Sprintf("%s*%s/1000*%s*%s", at(runPaths), at(runLength), amps, z)
		}
		s.Calc(row, runDropV, book.Live, book.AsMille, "%s", drop(at(runA), at(runPF)))
		s.Calc(row, runDrop, book.Live, book.AsCent, "100*%s/%s", at(runDropV), at(runV))
		s.Num(row, runBefore, book.Worked, 100*laid.Upstream, book.AsCent)
		s.Calc(row, runTotal, book.Live, book.AsCent, "%s+%s", at(runBefore), at(runDrop))
		s.Num(row, runStartA, book.Worked, laid.StartA, book.AsTenth)
		s.Num(row, runStartPF, book.Worked, laid.StartPowerFactor, book.AsMille)
		s.Calc(row, runStartDrop, book.Live, book.AsCent, "100*%s/%s", drop(at(runStartA), at(runStartPF)), at(runV))

		first := next
		for _, c := range laid.Compared {
			m.compareRun(next, i, r, c)
			next++
		}
		m.runs = append(m.runs, runRow{r.ID, first, next - 1})
	}
	if next > compared {
		s.Marks = append(s.Marks, book.Strip(ofStatus, compared, next-1))
	}
	s.Frozen, s.Heads = [2]int{0, 1}, 0
}

// arrayRun lets the conductor of a string of modules follow them: what it must carry, and its current and volts in the
// heat, in which it loses most.
func (m *maker) arrayRun(row int, r conductors.Run) {
	s, key := m.conductors, course.ArrayKey(r.Array+1)
	isc, volts := m.In[key+"isc_a"], m.Out[key+"vmp_hot_v"]
	factor := m.Plan.Site.Practice.Wires().PVFactor
	if want := factor * m.Plan.Site.Arrays[r.Array].Module.IscA; volts == "" || abs(r.NeedsA-want) > 1e-9*want {
		return // several strings share it, or it was not worked out
	}
	s.Calc(row, runNeeds, book.Live, book.AsTenth, "%s*%s", book.Lit(factor), isc)
	s.Calc(row, runA, book.Live, book.AsTenth, "%s", m.In[key+"imp_a"])
	s.Calc(row, runV, book.Live, book.AsCent, "%s", volts)
}

// compareRun is one comparison of a run.
func (m *maker) compareRun(row, i int, r conductors.Run, c wiring.Check) {
	s, line := m.conductors, firstRun+i
	at := func(col int) book.Ref { return s.At(row, col) }
	s.Put(row, ofRun, book.Cell{Kind: book.Live, Formula: string(s.At(line, runName)), Words: true, Wrap: true})
	s.Long(row, ofWhat, book.Plain, m.Prose(conductors.Subject(c.Of)))
	demand, limit := book.Ref(""), book.Ref("")
	near := func(a, b float64) bool { return a-b < 1e-9*(a+b) && b-a < 1e-9*(a+b) }
	switch c.Of {
	case wiring.OfAmpacity:
		if limit = s.At(line, runCarries); near(c.Demand, r.NeedsA) {
			demand = s.At(line, runNeeds)
		}
	case wiring.OfTable:
		limit = s.At(line, runTable)
	case wiring.OfProtection:
		demand, limit = s.At(line, runDevice), s.At(line, runMostDevice)
	case wiring.OfDrop:
		demand = s.At(line, runDrop)
	case wiring.OfTotalDrop:
		demand = s.At(line, runTotal)
	case wiring.OfStartDrop:
		demand = s.At(line, runStartDrop)
	case wiring.OfDevice:
		if near(c.Demand, r.NeedsA) {
			demand = s.At(line, runNeeds)
		}
		if near(c.Limit, r.DeviceA) {
			limit = s.At(line, runDevice)
		}
	case wiring.OfBehind:
		demand = s.At(line, runDevice)
	}
	format := book.FormatOf(c.Unit)
	put := func(col int, from book.Ref, x float64) {
		if from == "" {
			s.Num(row, col, book.Worked, x, format)
			return
		}
		s.Calc(row, col, book.Live, format, "%s", from)
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

// startsTooLong says whether a start lasts so long that it counts as a load of the conductors.
func (m *maker) startsTooLong() bool {
	for _, st := range m.Plan.Starts.All {
		if st.Seconds > 300 {
			return true
		}
	}
	return false
}

// dcFuseFactor is what the current of the bank's conductor is taken times.
func (m *maker) dcFuseFactor() float64 {
	p, err := m.Plan.Site.Practice.Wires().Filled()
	if err != nil {
		return 1
	}
	return p.DCFuseFactor
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
