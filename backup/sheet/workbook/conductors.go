package workbook

import (
	"fmt"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
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
func (m *maker) fillConductors() error {
	s, in, out := m.conductors, m.in, m.out
	s.say(1, 1, title, m.say(phrase.Of("Conductors")))
	s.say(2, 1, note,
		m.say(phrase.Of("Sizes and devices are those of the site file, or the smallest that pass: nothing is chosen anew when a figure changes.")))
	s.say(3, 1, note,
		m.say(phrase.Of("What grey conductors must carry, and what they carry at starts, is worked out by the program, as each has its own months and rules.")))
	heads := map[int]string{runName: m.say(phrase.Of("Run")), runSize: m.say(phrase.Of("Conductor")),
		runLength: m.say(phrase.Of("Length one way")) + ", m",
		runTable:  m.say(phrase.Of("Tabulated current")) + ", A", runAmbient: m.say(phrase.Of("Ambient factor")),
		runGroup: m.say(phrase.Of("Grouping factor")), runCap: m.say(phrase.Of("At most, for the terminals")) + ", A",
		runCarries:    m.say(phrase.Of("Current-carrying capacity")) + ", A",
		runNeeds:      m.say(phrase.Of("Required current")) + ", A",
		runDevice:     m.say(phrase.Of("Protective device")) + ", A",
		runMostDevice: m.say(phrase.Of("Largest protective device")) + ", A",
		runOhm:        m.say(phrase.Of("Resistance of one conductor")) + ", Ω/km",
		runX:          m.say(phrase.Of("Reactance")) + ", Ω/km",
		runPaths:      m.say(phrase.Of("Conductors in series")), runV: m.say(phrase.Of("Voltage")) + ", V",
		runA: m.say(phrase.Of("Current")) + ", A", runPF: m.say(phrase.Of("Power factor, 0: the worst")),
		runDropV: m.say(phrase.Of("Voltage drop")) + ", V", runDrop: m.say(phrase.Of("Voltage drop")) + ", %",
		runBefore: m.say(phrase.Of("Lost before it")) + ", %", runTotal: m.say(phrase.Of("Lost in all")) + ", %",
		runStartA:    m.say(phrase.Of("Current of the largest start")) + ", A",
		runStartPF:   m.say(phrase.Of("Its power factor, 0: the worst")),
		runStartDrop: m.say(phrase.Of("Voltage drop at it")) + ", %"}
	for col, words := range heads {
		s.put(firstRun-1, col, cell{kind: head, text: words, wrap: true, middle: col > runSize})
		s.width(14, col)
	}
	s.width(38, runName)
	s.width(40, runSize)

	runs := m.p.Runs
	compared := firstRun + len(runs) + 3
	for i, words := range []string{m.say(phrase.Of("Run")), m.say(phrase.Of("What is compared")), m.r.Say("col.demand"),
		m.r.Say("col.limit"),
		m.r.Say("col.unit"), m.say(phrase.Of("Margin")), m.say(phrase.Of("Rank, the lowest counts")),
		m.r.Say("col.status")} {
		s.put(compared-1, i+1, cell{kind: head, text: words, wrap: true, middle: i > 1})
	}
	next := compared
	for i, r := range runs {
		row, laid := firstRun+i, r.Laid
		at := func(col int) ref { return s.at(row, col) }
		name := m.say(r.Label)
		if r.Kind == conductors.Circuit {
			name = speechName(m.r.Called(m.circuitLabel(r.Of)))
		}
		s.long(row, runName, plain, name)
		s.long(row, runSize, plain, m.say(phrase.Symbols("%s", phrase.Measure(r.Conductor.Name))))
		length := cell{kind: input, format: asGiven}
		if r.LengthM > 0 {
			length.isNum, length.number = true, r.LengthM
		}
		s.put(row, runLength, length)
		a := laid.Ampacity
		s.num(row, runTable, table, a.TableA, asGiven)
		s.num(row, runAmbient, table, a.AmbientFactor, asGiven)
		s.num(row, runGroup, table, a.GroupFactor, asGiven)
		carries := fmt.Sprintf("%s*%s*%s", at(runTable), at(runAmbient), at(runGroup))
		if a.A < a.TableA*a.AmbientFactor*a.GroupFactor*(1-1e-9) {
			s.num(row, runCap, table, a.A, asGiven)
			carries = fmt.Sprintf("MIN(%s,%s)", carries, at(runCap))
		}
		s.calc(row, runCarries, live, asTenth, "%s", carries)
		if r.Kind == conductors.Bank {
			// The rated power sizes the cable of the bank, or what is charged with, whichever is more.
			rated := fmt.Sprintf("%s/%s/%s", out["dc_rated_w"], out["low_v"], in["inverters"])
			load := fmt.Sprintf("MAX(%s,%s,%s/%s)", rated, in["max_charge_a"], out["grid_charger_a"], in["inverters"])
			if m.startsTooLong() {
				s.num(row, runA, worked, laid.LoadA, asTenth)
			} else {
				s.calc(row, runA, live, asTenth, "%s", load)
			}
			s.calc(row, runNeeds, live, asTenth, "%s*%s", lit(m.dcFuseFactor()), at(runA))
		} else {
			s.num(row, runNeeds, worked, r.NeedsA, asTenth)
			s.num(row, runA, worked, laid.LoadA, asTenth)
		}
		s.num(row, runPF, worked, laid.PowerFactor, asMille)
		device := cell{kind: input, format: asGiven}
		if r.DeviceA > 0 {
			device.isNum, device.number = true, r.DeviceA
		}
		if n := m.circuitAt(r.Of); r.Kind == conductors.Circuit && n >= 0 {
			if m.plainCurrents() && allYear(m.p.Site, r.Of, m.p.Month) {
				s.calc(row, runA, live, asTenth, "%s", m.circuits.at(firstCircuit+n, circuitA))
				s.calc(row, runNeeds, live, asTenth, "%s", at(runA))
				s.calc(row, runPF, live, asMille, "%s", m.powerFactorOf(n))
			}
			if !r.DeviceChosen {
				device = cell{kind: live, format: asGiven,
					formula: string(m.circuits.at(firstCircuit+n, circuitBreaker))}
			}
		}
		s.put(row, runDevice, device)
		if a.DeviceA == a.A {
			s.calc(row, runMostDevice, live, asTenth, "%s", at(runCarries))
		} else {
			s.num(row, runMostDevice, table, a.DeviceA, asGiven)
		}
		s.num(row, runOhm, table, digits(laid.OhmPerKm), asFine)
		s.num(row, runX, table, wiring.ReactanceOhmPerKm(), asGiven)
		s.num(row, runPaths, worked, laid.System.Paths(), asGiven)
		s.num(row, runV, worked, laid.VoltageV, asCent)
		if r.Kind == conductors.Array {
			m.arrayRun(row, r)
		}
		drop := func(amps, pf ref) string {
			z := fmt.Sprintf("IF(%[3]s=0,SQRT(%[1]s^2+%[2]s^2),%[1]s*%[3]s+%[2]s*SQRT(MAX(0,1-%[3]s^2)))", at(runOhm),
				at(runX), pf)
			if laid.System == wiring.DC {
				z = string(at(runOhm))
			}
			return fmt.Sprintf("%s*%s/1000*%s*%s", at(runPaths), at(runLength), amps, z)
		}
		s.calc(row, runDropV, live, asMille, "%s", drop(at(runA), at(runPF)))
		s.calc(row, runDrop, live, asCent, "100*%s/%s", at(runDropV), at(runV))
		s.num(row, runBefore, worked, 100*laid.Upstream, asCent)
		s.calc(row, runTotal, live, asCent, "%s+%s", at(runBefore), at(runDrop))
		s.num(row, runStartA, worked, laid.StartA, asTenth)
		s.num(row, runStartPF, worked, laid.StartPowerFactor, asMille)
		s.calc(row, runStartDrop, live, asCent, "100*%s/%s", drop(at(runStartA), at(runStartPF)), at(runV))

		first := next
		for _, c := range laid.Compared {
			m.compareRun(next, i, r, c)
			next++
		}
		m.runs = append(m.runs, runRow{r.ID, first, next - 1})
	}
	if next > compared {
		s.marks = append(s.marks, strip(ofStatus, compared, next-1))
	}
	s.frozen, s.heads = [2]int{0, 1}, 0
	return nil
}

// arrayRun lets the conductor of a string of modules follow them: what it must carry, and its current and volts in the
// heat, in which it loses most.
func (m *maker) arrayRun(row int, r conductors.Run) {
	s, key := m.conductors, arrayKey(r.Array+1)
	isc, volts := m.in[key+"isc_a"], m.out[key+"vmp_hot_v"]
	factor := m.p.Site.Practice.Wires().PVFactor
	if want := factor * m.p.Site.Arrays[r.Array].Module.IscA; volts == "" || abs(r.NeedsA-want) > 1e-9*want {
		return // several strings share it, or it was not worked out
	}
	s.calc(row, runNeeds, live, asTenth, "%s*%s", lit(factor), isc)
	s.calc(row, runA, live, asTenth, "%s", m.in[key+"imp_a"])
	s.calc(row, runV, live, asCent, "%s", volts)
}

// compareRun is one comparison of a run.
func (m *maker) compareRun(row, i int, r conductors.Run, c wiring.Check) {
	s, line := m.conductors, firstRun+i
	at := func(col int) ref { return s.at(row, col) }
	s.put(row, ofRun, cell{kind: live, formula: string(s.at(line, runName)), words: true, wrap: true})
	s.long(row, ofWhat, plain, m.say(conductors.Subject(c.Of)))
	demand, limit := ref(""), ref("")
	near := func(a, b float64) bool { return a-b < 1e-9*(a+b) && b-a < 1e-9*(a+b) }
	switch c.Of {
	case wiring.OfAmpacity:
		if limit = s.at(line, runCarries); near(c.Demand, r.NeedsA) {
			demand = s.at(line, runNeeds)
		}
	case wiring.OfTable:
		limit = s.at(line, runTable)
	case wiring.OfProtection:
		demand, limit = s.at(line, runDevice), s.at(line, runMostDevice)
	case wiring.OfDrop:
		demand = s.at(line, runDrop)
	case wiring.OfTotalDrop:
		demand = s.at(line, runTotal)
	case wiring.OfStartDrop:
		demand = s.at(line, runStartDrop)
	case wiring.OfDevice:
		if near(c.Demand, r.NeedsA) {
			demand = s.at(line, runNeeds)
		}
		if near(c.Limit, r.DeviceA) {
			limit = s.at(line, runDevice)
		}
	case wiring.OfBehind:
		demand = s.at(line, runDevice)
	}
	format := formatOf(c.Unit)
	put := func(col int, from ref, x float64) {
		if from == "" {
			s.num(row, col, worked, x, format)
			return
		}
		s.calc(row, col, live, format, "%s", from)
	}
	put(ofDemand, demand, c.Demand)
	put(ofLimit, limit, c.Limit)
	s.put(row, ofUnit, cell{kind: plain, text: m.r.UnitName(c.Unit), inset: true})
	s.calc(row, ofMargin, live, asMille, "IF(%[2]s>0,(%[2]s-%[1]s)/%[2]s,-1)", at(ofDemand), at(ofLimit))
	broken := fmt.Sprintf("%s>%s*(1+1E-9)", at(ofDemand), at(ofLimit))
	s.calc(row, ofRank, live, asMille, "%s-IF(%s,10,0)", at(ofMargin), broken)
	// What the planner looked for and did not find is nothing yet that fails; nor is what the main board has.
	word := m.pass[0]
	if c.Of.OfConductor() && r.ConductorChosen || c.Of == wiring.OfDevice && r.DeviceChosen ||
		r.Kind == conductors.Circuit && !m.onBackup(r.Of) {
		word = m.pass[1]
	}
	s.put(row, ofStatus, cell{kind: live, words: true, inset: true,
		formula: fmt.Sprintf("IF(%s,%s,%s)", broken, quote(word), quote(m.pass[2]))})
}

// startsTooLong says whether a start lasts so long that it counts as a load of the conductors.
func (m *maker) startsTooLong() bool {
	for _, st := range m.p.Starts.All {
		if st.Seconds > 300 {
			return true
		}
	}
	return false
}

// dcFuseFactor is what the current of the bank's conductor is taken times.
func (m *maker) dcFuseFactor() float64 {
	p, err := m.p.Site.Practice.Wires().Filled()
	if err != nil {
		return 1
	}
	return p.DCFuseFactor
}

func (m *maker) circuitLabel(id string) string {
	for _, c := range m.p.Site.Circuits {
		if c.ID == id {
			return c.Label
		}
	}
	return id
}

func (m *maker) onBackup(id string) bool {
	for _, c := range m.p.Site.Circuits {
		if c.ID == id {
			return c.Board == loads.BoardBackup
		}
	}
	return false
}
