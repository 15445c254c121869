package workbook

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/battery"
)

// Columns of the volts under load.
const (
	voltSoC = iota + 1
	voltP
	voltRest
	voltOhm
	voltBy // by the resistance
	voltSag
	// Of lithium: by how much the volts fall at a fifth of the capacity, at half of it and at all of it; and the four
	// straight pieces between, each with its volts, its ohm and the volts that it gives at the power.
	voltLine  = voltSag + 3
	voltLoad  = voltLine + 12
	voltV     = voltLoad + 1
	voltOK    = voltV + 1
	voltAbove = voltOK + 1
	voltLimit = voltAbove + 1 // the greatest current at which the bank stays above the cut-off
)

// Rows of the volts under load: the planned depth, the lowest charge of the plan, each start at it, and then the state
// of charge in hundredths.
const (
	firstVolt   = 18
	voltPlanned = firstVolt
	voltFloor   = firstVolt + 1
	voltStarts  = firstVolt + 2
)

// firstHundredth is the row of the empty bank.
func (m *maker) firstHundredth() int { return voltStarts + len(m.startsAt().starts) + 1 }

// hundredths is a column over the state of charge in hundredths.
func (m *maker) hundredths(col int) string {
	row := m.firstHundredth()
	return m.volts.span(row, col, row+100, col)
}

// fillVolts works out how far the volts of the bank fall under load, where that is known, and with it the lowest charge
// of the plan.
func (m *maker) fillVolts() error {
	l := &list{maker: m, sheet: m.bank}
	in, out := m.in, m.out
	planned := l.figure("planned_soc", phrase.Of("Charge left at the planned depth"), "",
		phrase.Of("1 - depth of discharge"),
		"1-%s", out["dod"])
	floor := string(planned)
	if m.p.Sags() {
		floor = m.layVolts(planned)
	}
	l = &list{maker: m, sheet: m.bank}
	at := l.figure("floor_soc", phrase.Of("Minimum state of charge of the plan"), "",
		phrase.Of("planned depth or, where the cut-off comes before, the first hundredth above it"), "%s", floor)
	l.figure("depth", phrase.Of("Depth of discharge down to it"), "", phrase.Of("1 - charge"),
		"IF(%[1]s>%[2]s,MAX(0.01,1-%[1]s),%[3]s)", at, planned,
		out["dod"])
	share := l.figure("usable_share_installed", phrase.Of("Usable share of the installed bank"), "",
		phrase.Of("reserve - charge"),
		"IF(%[1]s>%[2]s,MAX(0,%[3]s-%[1]s),%[4]s)", at, planned, in["reserve"], out["usable_share"])
	l.figure("usable_wh", phrase.Of("Usable energy at end of life"), "Wh",
		phrase.Of("V_nominal * Ah * usable share * end_of_life * k_temperature * k_rate of the installed bank"),
		"%s*%s*%s*%s*%s*%s", out["bank_v"], out["installed_ah"], share, in["end_of_life"], out["k_temperature"],
		out["k_rate_installed"])
	m.fillFrost(l)
	if m.volts == nil {
		return nil
	}
	// Now that the lowest charge is known: how far the starts pull the bank down there.
	m.volts.calc(voltFloor, voltSoC, live, asMille, "%s", at)
	t := m.startsAt()
	for i := range t.starts {
		row, r := voltStarts+i, t.list+i
		m.volts.calc(row, voltSoC, live, asMille, "%s", at)
		m.volts.calc(row, voltP, live, asTenth, "%s",
			m.dcPower(string(m.starts.at(r, startRunsW))))
		v, ohm := m.volts.at(row, voltV), m.volts.at(row, voltOhm)
		m.starts.calc(r, startSag, live, asCent,
			"IF(%[6]s=0,9999,IF(%[1]s=1,MAX(0,%[2]s+%[3]s*%[4]s/%[2]s-%[5]s*%[3]s),0))", m.volts.at(row, voltOK), v,
			ohm, m.volts.at(row, voltP), m.starts.at(r, startDCA), m.starts.at(r, startDemand))
	}
	return nil
}

// layVolts lays out the volts by state of charge, and gives the formula for the lowest charge of the plan.
func (m *maker) layVolts(planned ref) (floor string) {
	s, in, out := m.volts, m.in, m.out
	chemistry := m.p.Site.Unit.Chemistry
	s.say(1, 1, title, m.say(phrase.Of("Voltage under load")))
	s.say(2, 1, note,
		m.say(phrase.Of("Volts at rest less those that the load takes: by the resistance, for lithium also by the published fall of cells; the lower counts.")))
	s.width(34, voltSoC)
	s.width(12, voltP, voltRest, voltOhm, voltBy)

	// The published tables stand above, side by side: volts at rest of a cell, its fall, the factor of cold.
	s.put(4, 1, cell{kind: head, text: m.say(phrase.Of("Volts of a cell at rest, by charge")), wrap: false})
	var rest func(soc string) string
	if chemistry.LeadAcid() {
		rest = m.leadRest(5)
	} else {
		curve := battery.RestCurve(chemistry, 25)
		for i := range curve.X {
			s.num(5, 2+i, table, curve.X[i], asGiven)
			s.num(6, 2+i, table, curve.Y[i], asGiven)
		}
		s.say(5, 1, plain, m.say(phrase.Of("Charge")))
		s.say(6, 1, plain, "V")
		n := len(curve.X)
		rest = func(soc string) string { return across(s.span(5, 2, 5, 1+n), s.span(6, 2, 6, 1+n), n, soc) }
	}
	cold, empty, knee := battery.ColdResistanceCurve(chemistry)
	s.say(13, 1, plain, "°C")
	s.say(14, 1, plain, m.say(phrase.Of("Factor of cold on the resistance")))
	for i := range cold.X {
		s.num(13, 2+i, table, cold.X[i], asGiven)
		s.num(14, 2+i, table, cold.Y[i], asGiven)
	}
	n := len(cold.X)
	s.say(15, 1, plain, m.say(phrase.Of("At coldest_c")))
	factor := s.calc(15, 2, live, asMille, "IF(%s>=25,1,%s)", in["coldest_c"],
		across(s.span(13, 2, 13, 1+n), s.span(14, 2, 14, 1+n), n,
			fmt.Sprintf("MAX(%s,-273.15)", in["coldest_c"])))
	rates, sags, lithium := battery.SagCurves(chemistry)
	if lithium {
		s.say(8, 1, plain, m.say(phrase.Of("Fall of a cell, by charge")))
		for i, x := range sags[0].X {
			s.num(8, 2+i, table, x, asGiven)
			for k := 1; k < len(rates); k++ {
				s.say(8+k, 1, plain, m.say(phrase.Of("V at %s of the capacity", m.percent(rates[k]))))
				s.num(8+k, 2+i, table, digits(sags[k].Y[i]), asGiven)
			}
		}
	}

	heads := map[int]string{voltSoC: m.say(phrase.Of("Charge")), voltP: m.say(phrase.Of("Power")) + ", W",
		voltRest: m.say(phrase.Of("At rest")) + ", V", voltOhm: m.say(phrase.Of("Resistance")) + ", ohm",
		voltBy: m.say(phrase.Of("By the resistance")) + ", V", voltV: m.say(phrase.Of("Under load")) + ", V",
		voltOK:    m.say(phrase.Of("It gives the power (1: yes, 0: no)")),
		voltAbove: m.say(phrase.Of("Above the cut-off (1: yes, 0: no)")),
		voltLimit: m.say(phrase.Of("Greatest current above the cut-off")) + ", A"}
	if lithium {
		for k := 1; k < 4; k++ {
			heads[voltSag+k-1] = m.say(phrase.Of("Fall at %s of the capacity", m.percent(rates[k]))) + ", V"
		}
		for k := range 4 {
			heads[voltLine+3*k] = m.say(phrase.Of("Piece %d", k+1)) + ", V"
			heads[voltLine+3*k+1] = m.say(phrase.Of("Piece %d", k+1)) + ", ohm"
			heads[voltLine+3*k+2] = m.say(phrase.Of("Piece %d, under load", k+1)) + ", V"
		}
		heads[voltLoad] = m.say(phrase.Of("By the published fall")) + ", V"
	}
	for col, words := range heads {
		s.put(firstVolt-1, col, cell{kind: head, text: words, wrap: true, middle: true})
		if col > voltBy {
			s.width(12, col)
		}
	}
	s.frozen, s.heads = [2]int{0, 1}, 0
	row := func(row int) {
		at := func(col int) ref { return s.at(row, col) }
		s.calc(row, voltRest, live, asMille, "%s*%s", rest(string(at(voltSoC))), out["cells"])
		s.calc(row, voltOhm, live, asFine, "%s*%s/1000/%s*%s*(1+%s*MAX(0,1-%s/%s))", in["series"],
			in["resistance_mohm"],
			in["strings"], factor, lit(empty-1), at(voltSoC), lit(knee))
		s.calc(row, voltBy, live, asMille, "%s", underLoad(at(voltRest), at(voltOhm), at(voltP)))
		loaded := string(at(voltBy))
		limit := fmt.Sprintf("IF(%s>0,(%s-MAX(%[3]s,%[2]s/2))/%[1]s,1E+99)", at(voltOhm), at(voltRest), out["cutoff_v"])
		if lithium {
			limit = fmt.Sprintf("MIN(%s,%s)", limit, m.layLines(row))
			loaded = fmt.Sprintf("MIN(%s,%s)", at(voltBy), at(voltLoad))
		}
		s.calc(row, voltOK, live, asGiven, "IF(%[1]s>=%[2]s/2,1,0)", loaded, at(voltRest))
		s.calc(row, voltV, live, asMille, "IF(%s=1,%s,%s/2)", at(voltOK), loaded, at(voltRest))
		s.calc(row, voltAbove, live, asGiven, "IF(AND(%s=1,%s>=%s*(1-1E-9)),1,0)", at(voltOK), at(voltV),
			out["cutoff_v"])
		s.calc(row, voltLimit, live, asTenth,
			"MIN(1E+12,MAX(%[1]s,%[2]s/2)*IF(%[2]s<=MAX(%[1]s,%[2]s/2),0,%[3]s)/%[4]s)", out["cutoff_v"],
			at(voltRest), limit, out["bank_v"])
	}
	s.calc(voltPlanned, voltSoC, live, asMille, "%s", planned)
	s.calc(voltPlanned, voltP, live, asTenth, "%s", out["dc_scheduled_w"])
	s.calc(voltFloor, voltP, live, asTenth, "%s", out["dc_scheduled_w"])
	row(voltPlanned)
	row(voltFloor)
	for i := range m.startsAt().starts {
		row(voltStarts + i)
	}
	first := m.firstHundredth()
	for i := range 101 {
		s.num(first+i, voltSoC, worked, float64(i)/100, asCent)
		s.calc(first+i, voltP, live, asTenth, "%s", out["dc_scheduled_w"])
		row(first + i)
	}
	m.out["volts_planned"] = s.at(voltPlanned, voltV)
	m.out["volts_full_above"] = s.at(first+100, voltAbove)
	return fmt.Sprintf("IF(OR(%s=1,%s=0),%[3]s,MAX(%[3]s,COUNTIF(%s,0)/100))", s.at(voltPlanned, voltAbove),
		s.at(first+100, voltAbove),
		planned, m.hundredths(voltAbove))
}

// percent writes a share of the capacity.
func (m *maker) percent(share float64) phrase.Phrase {
	return phrase.Symbols("%s", phrase.Number(fmt.Sprintf("%g", share)))
}

// underLoad is the formula for the volts at which a source of v volts and so many ohm gives a power, -1 where it
// cannot.
func underLoad(v, ohm, p ref) string {
	root := fmt.Sprintf("1-4*%s*%s/%s^2", ohm, p, v)
	return fmt.Sprintf("IF(%[1]s<=0,-1,IF(%[2]s<0,-1,%[1]s*(1+SQRT(MAX(0,%[2]s)))/2))", v, root)
}

// layLines lays out the four straight pieces of the published fall of lithium, and gives the formula for the greatest
// current above the cut-off.
func (m *maker) layLines(row int) (limit string) {
	s, out := m.volts, m.out
	at := func(col int) ref { return s.at(row, col) }
	_, curves, _ := battery.SagCurves(m.p.Site.Unit.Chemistry)
	n := len(curves[0].X)
	xs := s.span(8, 2, 8, 1+n)
	soc := fmt.Sprintf("MIN(%s,MAX(%s,%s))", lit(curves[0].X[n-1]), lit(curves[0].X[0]), at(voltSoC))
	for k := 1; k < 4; k++ {
		s.calc(row, voltSag+k-1, live, asMille, "%s*%s*%s", across(xs, s.span(8+k, 2, 8+k, 1+n), n, soc), out["cells"],
			s.at(15, 2))
	}
	ah := out["installed_ah"]
	sag := func(k int) string {
		if k == 0 {
			return "0"
		}
		return string(at(voltSag + k - 1))
	}
	rates := []float64{0, 0.2, 0.5, 1}
	most := fmt.Sprintf("MAX(%s,%s/2)", out["cutoff_v"], at(voltRest))
	limit = ""
	for k := 3; k >= 0; k-- {
		v, ohm, load := voltLine+3*k, voltLine+3*k+1, voltLine+3*k+2
		if k == 3 {
			s.calc(row, ohm, live, asFine, "%s/%s", sag(3), ah)
			s.calc(row, v, live, asMille, "%s", at(voltRest))
		} else {
			s.calc(row, ohm, live, asFine, "(%s-%s)/(%s*%s)", sag(k+1), sag(k), lit(digits(rates[k+1]-rates[k])), ah)
			s.calc(row, v, live, asMille, "%s-(%s-%s*%s*%s)", at(voltRest), sag(k), at(ohm), lit(rates[k]), ah)
		}
		s.calc(row, load, live, asMille, "%s", underLoad(at(v), at(ohm), at(voltP)))
		a := fmt.Sprintf("IF(%[1]s>0,(%[2]s-%[3]s)/%[1]s,1E+99)", at(ohm), at(v), most)
		if k == 3 {
			limit = a
		} else {
			limit = fmt.Sprintf("IF(%[1]s<=%[2]s*%[3]s,%[1]s,%[4]s)", a, lit(rates[k+1]), ah, limit)
		}
	}
	load := func(k int) ref { return at(voltLine + 3*k + 2) }
	within := func(k int) string {
		return fmt.Sprintf("AND(%[1]s>0,%[2]s<=%[1]s*%[3]s*%[4]s*(1+1E-9))", load(k), at(voltP), lit(rates[k+1]), ah)
	}
	s.calc(row, voltLoad, live, asMille, "IF(%s,%s,IF(%s,%s,IF(%s,%s,%s)))", within(0), load(0), within(1), load(1),
		within(2), load(2), load(3))
	return limit
}

// across is between for a table that lies along a row.
func across(xs, ys string, n int, x string) string {
	i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, x, xs)
	return fmt.Sprintf("(INDEX(%[2]s,1,%[4]s)+(INDEX(%[2]s,1,%[4]s+1)-INDEX(%[2]s,1,%[4]s))*(%[3]s-INDEX(%[1]s,1,%[4]s))/"+
		"(INDEX(%[1]s,1,%[4]s+1)-INDEX(%[1]s,1,%[4]s)))", xs, ys, x, i)
}

// leadRest lays out the volts at rest of lead-acid, which depend a little on the temperature: rows 20 F apart, held
// beyond their ends.
func (m *maker) leadRest(row int) func(soc string) string {
	s := m.volts
	chemistry := m.p.Site.Unit.Chemistry
	socs := battery.RestCurve(chemistry, 25).X
	s.say(row, 1, plain, m.say(phrase.Of("Charge")))
	for i, soc := range socs {
		s.num(row, 3+i, table, soc, asGiven)
	}
	var temps []float64
	for f := 0.0; f <= 120; f += 20 {
		temps = append(temps, (f-32)/1.8)
	}
	// Beside each other, to leave the rows below: each temperature takes a row of its own at the right.
	const right = 12
	for i, c := range temps {
		s.num(row+i, right, table, c, asTenth)
		for k, v := range battery.RestCurve(chemistry, c).Y {
			s.num(row+i, right+1+k, table, digits(v), asFine)
		}
	}
	s.put(row-1, right, cell{kind: head, text: "°C", middle: true})
	for k, soc := range socs {
		s.put(row-1, right+1+k, cell{kind: head, isNum: true, number: soc, format: asGiven})
	}
	n := len(temps)
	ts := s.span(row, right, row+n-1, right)
	s.say(row+1, 1, plain, m.say(phrase.Of("V at coldest_c")))
	for k := range socs {
		s.calc(row+1, 3+k, live, asFine, "%s", between(ts, s.span(row, right+1+k, row+n-1, right+1+k), n,
			fmt.Sprintf("MIN(%s,MAX(%s,%s))", lit(temps[n-1]), lit(temps[0]), m.in["coldest_c"])))
	}
	k := len(socs)
	return func(soc string) string {
		return across(s.span(row, 3, row, 2+k), s.span(row+1, 3, row+1, 2+k), k, soc)
	}
}
