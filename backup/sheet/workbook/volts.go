package workbook

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
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
func (m *maker) firstHundredth() int { return voltStarts + len(m.StartsAt().Starts) + 1 }

// hundredths is a column over the state of charge in hundredths.
func (m *maker) hundredths(col int) string {
	row := m.firstHundredth()
	return m.volts.Span(row, col, row+100, col)
}

// fillVolts works out how far the volts of the bank fall under load, where that is known, and with it the lowest charge
// of the plan.
func (m *maker) fillVolts() {
	l := m.GoOn(m.bank)
	in, out := m.In, m.Out
	planned := l.Figure("planned_soc", phrase.Of("Charge left at the planned depth"), "",
		phrase.Of("1 - depth of discharge"),
		"1-%s", out["dod"])
	floor := string(planned)
	if m.Plan.Sags() {
		floor = m.layVolts(planned)
	}
	l = m.GoOn(m.bank)
	at := l.Figure("floor_soc", phrase.Of("Minimum state of charge of the plan"), "",
		phrase.Of("planned depth or, where the cut-off comes before, the first hundredth above it"), "%s", floor)
	l.Figure("depth", phrase.Of("Depth of discharge down to it"), "", phrase.Of("1 - charge"),
		"IF(%[1]s>%[2]s,MAX(0.01,1-%[1]s),%[3]s)", at, planned,
		out["dod"])
	share := l.Figure("usable_share_installed", phrase.Of("Usable share of the installed bank"), "",
		phrase.Of("reserve - charge"),
		"IF(%[1]s>%[2]s,MAX(0,%[3]s-%[1]s),%[4]s)", at, planned, in["reserve"], out["usable_share"])
	l.Figure("usable_wh", phrase.Of("Usable energy at end of life"), "Wh",
		phrase.Of("V_nominal * Ah * usable share * end_of_life * k_temperature * k_rate of the installed bank"),
		"%s*%s*%s*%s*%s*%s", out["bank_v"], out["installed_ah"], share, in["end_of_life"], out["k_temperature"],
		out["k_rate_installed"])
	m.fillFrost(l)
	if m.volts == nil {
		return
	}
	// Now that the lowest charge is known: how far the starts pull the bank down there.
	m.volts.Calc(voltFloor, voltSoC, book.Live, book.AsMille, "%s", at)
	t := m.StartsAt()
	for i := range t.Starts {
		row, r := voltStarts+i, t.List+i
		m.volts.Calc(row, voltSoC, book.Live, book.AsMille, "%s", at)
		m.volts.Calc(row, voltP, book.Live, book.AsTenth, "%s",
			m.DCPower(string(m.Starts.At(r, course.StartRunsW))))
		v, ohm := m.volts.At(row, voltV), m.volts.At(row, voltOhm)
		m.Starts.Calc(r, course.StartSag, book.Live, book.AsCent,
			"IF(%[6]s=0,9999,IF(%[1]s=1,MAX(0,%[2]s+%[3]s*%[4]s/%[2]s-%[5]s*%[3]s),0))", m.volts.At(row, voltOK), v,
			ohm, m.volts.At(row, voltP), m.Starts.At(r, course.StartDCA), m.Starts.At(r, course.StartDemand))
	}
}

// layVolts lays out the volts by state of charge, and gives the formula for the lowest charge of the plan.
func (m *maker) layVolts(planned book.Ref) (floor string) {
	s, out := m.volts, m.Out
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Voltage under load")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Volts at rest less those that the load takes: by the resistance, for lithium also by the "+
			"published fall of cells; the lower counts.")))
	s.Width(34, voltSoC)
	s.Width(12, voltP, voltRest, voltOhm, voltBy)
	v := m.voltTables()
	m.voltHeads(v.lithium)
	s.Calc(voltPlanned, voltSoC, book.Live, book.AsMille, "%s", planned)
	for _, row := range []int{voltPlanned, voltFloor} {
		s.Calc(row, voltP, book.Live, book.AsTenth, "%s", out["dc_scheduled_w"])
		v.row(row)
	}
	for i := range m.StartsAt().Starts {
		v.row(voltStarts + i)
	}
	first := m.firstHundredth()
	for i := range 101 {
		s.Num(first+i, voltSoC, book.Plain, float64(i)/100, book.AsCent)
		s.Calc(first+i, voltP, book.Live, book.AsTenth, "%s", out["dc_scheduled_w"])
		v.row(first + i)
	}
	if m.generator != nil {
		m.Out["loaded_soc"] = v.lowest(first + 101 + 2)
	}
	m.Out["volts_planned"] = s.At(voltPlanned, voltV)
	m.Out["volts_full_above"] = s.At(first+100, voltAbove)
	return fmt.Sprintf("IF(OR(%s=1,%s=0),%[3]s,MAX(%[3]s,COUNTIF(%s,0)/100))", s.At(voltPlanned, voltAbove),
		s.At(first+100, voltAbove),
		planned, m.hundredths(voltAbove))
}

// A loadedBank is what the volts of each row are worked out with.
type loadedBank struct {
	*maker
	rest        func(soc string) string // formula for the volts of a cell at rest
	cold        book.Ref                // factor of cold on the resistance
	empty, knee float64                 // the resistance rises to so many times its value when empty, from the knee on
	lithium     bool                    // its cells have a published fall too
}

// voltTables lays the published tables out above, side by side: volts at rest of a cell, its fall, the factor of cold.
func (m *maker) voltTables() loadedBank {
	s, chemistry := m.volts, m.Plan.Site.Unit.Chemistry
	v := loadedBank{maker: m}
	s.Put(4, 1, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Volts of a cell at rest, by charge")), Wrap: false})
	if chemistry.LeadAcid() {
		v.rest = m.leadRest(5)
	} else {
		curve := battery.RestCurve(chemistry, 25)
		xs, ys := m.voltTable(5, phrase.Of("Charge"), phrase.Symbols("V"), curve)
		v.rest = func(soc string) string { return book.Across(xs, ys, len(curve.X), soc) }
	}
	rates, sags, lithium := battery.SagCurves(chemistry)
	if v.lithium = lithium; lithium {
		s.Say(8, 1, book.Plain, m.Prose(phrase.Of("Fall of a cell, by charge")))
		for i, x := range sags[0].X {
			s.Num(8, 2+i, book.Table, x, book.AsGiven)
			for k := 1; k < len(rates); k++ {
				s.Say(8+k, 1, book.Plain, m.Prose(phrase.Of("V at %s of the capacity", m.percent(rates[k]))))
				s.Num(8+k, 2+i, book.Table, book.Digits(sags[k].Y[i]), book.AsGiven)
			}
		}
	}
	var cold battery.Curve
	cold, v.empty, v.knee = battery.ColdResistanceCurve(chemistry)
	xs, ys := m.voltTable(13, phrase.Symbols("°C"), phrase.Of("Factor of cold on the resistance"), cold)
	s.Say(15, 1, book.Plain, m.Prose(phrase.Of("At coldest_c")))
	v.cold = s.Calc(15, 2, book.Live, book.AsMille, "IF(%s>=25,1,%s)", m.In["coldest_c"],
		book.Across(xs, ys, len(cold.X), fmt.Sprintf("MAX(%s,-273.15)", m.In["coldest_c"])))
	return v
}

// voltTable lays a table out along two rows, and gives their blocks.
func (m *maker) voltTable(row int, x, y phrase.Phrase, curve battery.Curve) (xs, ys string) {
	s, n := m.volts, len(curve.X)
	s.Say(row, 1, book.Plain, m.Prose(x))
	s.Say(row+1, 1, book.Plain, m.Prose(y))
	for i := range curve.X {
		s.Num(row, 2+i, book.Table, curve.X[i], book.AsGiven)
		s.Num(row+1, 2+i, book.Table, curve.Y[i], book.AsGiven)
	}
	return s.Span(row, 2, row, 1+n), s.Span(row+1, 2, row+1, 1+n)
}

// voltHeads are the heads of the volts by state of charge.
func (m *maker) voltHeads(lithium bool) {
	s := m.volts
	heads := map[int]string{voltSoC: m.Prose(phrase.Of("Charge")), voltP: m.Prose(phrase.Of("Power")) + ", W",
		voltRest: m.Prose(phrase.Of("At rest")) + ", V", voltOhm: m.Prose(phrase.Of("Resistance")) + ", ohm",
		voltBy: m.Prose(phrase.Of("By the resistance")) + ", V", voltV: m.Prose(phrase.Of("Under load")) + ", V",
		voltOK:    m.Prose(phrase.Of("It gives the power (1: yes, 0: no)")),
		voltAbove: m.Prose(phrase.Of("Above the cut-off (1: yes, 0: no)")),
		voltLimit: m.Prose(phrase.Of("Greatest current above the cut-off")) + ", A"}
	if lithium {
		rates, _, _ := battery.SagCurves(m.Plan.Site.Unit.Chemistry)
		for k := 1; k < 4; k++ {
			heads[voltSag+k-1] = m.Prose(phrase.Of("Fall at %s of the capacity", m.percent(rates[k]))) + ", V"
		}
		for k := range 4 {
			heads[voltLine+3*k] = m.Prose(phrase.Of("Piece %d", k+1)) + ", V"
			heads[voltLine+3*k+1] = m.Prose(phrase.Of("Piece %d", k+1)) + ", ohm"
			heads[voltLine+3*k+2] = m.Prose(phrase.Of("Piece %d, under load", k+1)) + ", V"
		}
		heads[voltLoad] = m.Prose(phrase.Of("By the published fall")) + ", V"
	}
	for col, words := range heads {
		s.Put(firstVolt-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		if col > voltBy {
			s.Width(12, col)
		}
	}
	s.Frozen, s.Heads = [2]int{0, 1}, 0
}

// row is the bank at the charge and the power of a row.
func (v loadedBank) row(row int) {
	s, in, out := v.volts, v.In, v.Out
	at := func(col int) book.Ref { return s.At(row, col) }
	s.Calc(row, voltRest, book.Live, book.AsMille, "%s*%s", v.rest(string(at(voltSoC))), out["cells"])
	s.Calc(row, voltOhm, book.Live, book.AsFine, "%s*%s/1000/%s*%s*(1+%s*MAX(0,1-%s/%s))", in["series"],
		in["resistance_mohm"], in["strings"], v.cold, book.Lit(v.empty-1), at(voltSoC), book.Lit(v.knee))
	s.Calc(row, voltBy, book.Live, book.AsMille, "%s", underLoad(at(voltRest), at(voltOhm), at(voltP)))
	loaded := string(at(voltBy))
	limit := fmt.Sprintf("IF(%s>0,(%s-MAX(%[3]s,%[2]s/2))/%[1]s,1E+99)", at(voltOhm), at(voltRest), out["cutoff_v"])
	if v.lithium {
		limit = fmt.Sprintf("MIN(%s,%s)", limit, v.layLines(row))
		loaded = fmt.Sprintf("MIN(%s,%s)", at(voltBy), at(voltLoad))
	}
	s.Calc(row, voltOK, book.Live, book.AsGiven, "IF(%[1]s>=%[2]s/2,1,0)", loaded, at(voltRest))
	s.Calc(row, voltV, book.Live, book.AsMille, "IF(%s=1,%s,%s/2)", at(voltOK), loaded, at(voltRest))
	s.Calc(row, voltAbove, book.Live, book.AsGiven, "IF(AND(%s=1,%s>=%s*(1-1E-9)),1,0)", at(voltOK), at(voltV),
		out["cutoff_v"])
	s.Calc(row, voltLimit, book.Live, book.AsTenth,
		"MIN(1E+12,MAX(%[1]s,%[2]s/2)*IF(%[2]s<=MAX(%[1]s,%[2]s/2),0,%[3]s)/%[4]s)", out["cutoff_v"],
		at(voltRest), limit, out["bank_v"])
}

// thousandth is how often the range of the charge is halved until it is narrower than a thousandth.
const thousandth = 10

// lowest halves its way, from a row on, to the lowest charge at which the bank gives the scheduled power, growth
// included, and stays above the cut-off; 0 where not even a full one does.
func (v loadedBank) lowest(top int) book.Ref {
	s, out := v.volts, v.Out
	const less, more = voltLimit + 1, voltLimit + 2
	s.Put(top, voltSoC, book.Cell{Kind: book.Head, Wrap: true,
		Text: v.Prose(phrase.Of("Lowest charge that carries the scheduled power, with growth, halved"))})
	for col, words := range map[int]phrase.Phrase{less: phrase.Of("Too low, or 0"), more: phrase.Of("High enough, or 1")} {
		s.Put(top, col, book.Cell{Kind: book.Head, Text: v.Prose(words), Wrap: true, Middle: true})
		s.Width(12, col)
	}
	full, empty, first := top+1, top+2, top+3
	line := func(row int) {
		s.Calc(row, voltP, book.Live, book.AsTenth, "%s*(1+%s)", out["dc_scheduled_w"], v.In["growth"])
		v.row(row)
	}
	s.Num(full, voltSoC, book.Plain, 1, book.AsCent)
	s.Num(empty, voltSoC, book.Plain, 0, book.AsCent)
	line(full)
	line(empty)
	for i := range thousandth {
		row := first + i
		if i == 0 {
			s.Num(row, less, book.Plain, 0, book.AsGiven)
			s.Num(row, more, book.Plain, 1, book.AsGiven)
		} else {
			v.half(row, less, more)
		}
		s.Calc(row, voltSoC, book.Live, book.AsFine, "(%s+%s)/2", s.At(row, less), s.At(row, more))
		line(row)
	}
	last := first + thousandth
	v.half(last, less, more)
	return s.Calc(last, voltSoC, book.Live, book.AsFine, "IF(%s=0,0,IF(%s=1,0,%s))", s.At(full, voltAbove),
		s.At(empty, voltAbove), s.At(last, more))
}

// half leaves, of the range of the row before, the half in which the border lies.
func (v loadedBank) half(row, less, more int) {
	s := v.volts
	above, middle := s.At(row-1, voltAbove), s.At(row-1, voltSoC)
	s.Calc(row, less, book.Live, book.AsFine, "IF(%s=1,%s,%s)", above, s.At(row-1, less), middle)
	s.Calc(row, more, book.Live, book.AsFine, "IF(%s=1,%s,%s)", above, middle, s.At(row-1, more))
}

// underLoad is the formula for the volts at which a source of v volts and so many ohm gives a power, -1 where it
// cannot.
func underLoad(v, ohm, p book.Ref) string {
	root := fmt.Sprintf("1-4*%s*%s/%s^2", ohm, p, v)
	return fmt.Sprintf("IF(%[1]s<=0,-1,IF(%[2]s<0,-1,%[1]s*(1+SQRT(MAX(0,%[2]s)))/2))", v, root)
}

// layLines lays out the four straight pieces of the published fall of lithium, and gives the formula for the greatest
// current above the cut-off.
func (m *maker) layLines(row int) (limit string) {
	s, out := m.volts, m.Out
	at := func(col int) book.Ref { return s.At(row, col) }
	_, curves, _ := battery.SagCurves(m.Plan.Site.Unit.Chemistry)
	n := len(curves[0].X)
	xs := s.Span(8, 2, 8, 1+n)
	soc := fmt.Sprintf("MIN(%s,MAX(%s,%s))", book.Lit(curves[0].X[n-1]), book.Lit(curves[0].X[0]), at(voltSoC))
	for k := 1; k < 4; k++ {
		s.Calc(row, voltSag+k-1, book.Live, book.AsMille, "%s*%s*%s", book.Across(xs, s.Span(8+k, 2, 8+k, 1+n), n, soc), out["cells"],
			s.At(15, 2))
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
			s.Calc(row, ohm, book.Live, book.AsFine, "%s/%s", sag(3), ah)
			s.Calc(row, v, book.Live, book.AsMille, "%s", at(voltRest))
		} else {
			s.Calc(row, ohm, book.Live, book.AsFine, "(%s-%s)/(%s*%s)", sag(k+1), sag(k), book.Lit(book.Digits(rates[k+1]-rates[k])), ah)
			s.Calc(row, v, book.Live, book.AsMille, "%s-(%s-%s*%s*%s)", at(voltRest), sag(k), at(ohm), book.Lit(rates[k]), ah)
		}
		s.Calc(row, load, book.Live, book.AsMille, "%s", underLoad(at(v), at(ohm), at(voltP)))
		a := fmt.Sprintf("IF(%[1]s>0,(%[2]s-%[3]s)/%[1]s,1E+99)", at(ohm), at(v), most)
		if k == 3 {
			limit = a
		} else {
			limit = fmt.Sprintf("IF(%[1]s<=%[2]s*%[3]s,%[1]s,%[4]s)", a, book.Lit(rates[k+1]), ah, limit)
		}
	}
	load := func(k int) book.Ref { return at(voltLine + 3*k + 2) }
	within := func(k int) string {
		return fmt.Sprintf("AND(%[1]s>0,%[2]s<=%[1]s*%[3]s*%[4]s*(1+1E-9))", load(k), at(voltP), book.Lit(rates[k+1]), ah)
	}
	s.Calc(row, voltLoad, book.Live, book.AsMille, "IF(%s,%s,IF(%s,%s,IF(%s,%s,%s)))", within(0), load(0), within(1), load(1),
		within(2), load(2), load(3))
	return limit
}

// leadRest lays out the volts at rest of lead-acid, which depend a little on the temperature: rows 20 F apart, held
// beyond their ends.
func (m *maker) leadRest(row int) func(soc string) string {
	s := m.volts
	chemistry := m.Plan.Site.Unit.Chemistry
	socs := battery.RestCurve(chemistry, 25).X
	s.Say(row, 1, book.Plain, m.Prose(phrase.Of("Charge")))
	for i, soc := range socs {
		s.Num(row, 3+i, book.Table, soc, book.AsGiven)
	}
	var temps []float64
	for f := 0.0; f <= 120; f += 20 {
		temps = append(temps, (f-32)/1.8)
	}
	// Beside each other, to leave the rows below: each temperature takes a row of its own at the right.
	const right = 12
	for i, c := range temps {
		s.Num(row+i, right, book.Table, c, book.AsTenth)
		for k, v := range battery.RestCurve(chemistry, c).Y {
			s.Num(row+i, right+1+k, book.Table, book.Digits(v), book.AsFine)
		}
	}
	s.Put(row-1, right, book.Cell{Kind: book.Head, Text: "°C", Middle: true})
	for k, soc := range socs {
		s.Put(row-1, right+1+k, book.Cell{Kind: book.Head, IsNum: true, Number: soc, Format: book.AsGiven})
	}
	n := len(temps)
	ts := s.Span(row, right, row+n-1, right)
	s.Say(row+1, 1, book.Plain, m.Prose(phrase.Of("V at coldest_c")))
	for k := range socs {
		s.Calc(row+1, 3+k, book.Live, book.AsFine, "%s", book.Between(ts, s.Span(row, right+1+k, row+n-1, right+1+k), n,
			fmt.Sprintf("MIN(%s,MAX(%s,%s))", book.Lit(temps[n-1]), book.Lit(temps[0]), m.In["coldest_c"])))
	}
	k := len(socs)
	return func(soc string) string {
		return book.Across(s.Span(row, 3, row, 2+k), s.Span(row+1, 3, row+1, 2+k), k, soc)
	}
}

// percent writes a share of the capacity.
func (m *maker) percent(share float64) phrase.Phrase {
	return phrase.Symbols("%s", phrase.Number(fmt.Sprintf("%g", share)))
}
