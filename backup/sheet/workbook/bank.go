package workbook

import (
	"fmt"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/battery"
)

// besideBank is the column of published tables beside the list of the bank.
const besideBank = 6

// fillBank works out what the bank is asked for, and what it has.
func (m *maker) fillBank() {
	l := m.List(m.bank, phrase.Of("Bank"))
	m.fillEnergy(l)
	rate := m.fillRequired(l)
	m.fillInstalled(l, rate)
}

// A rateFactor is how the factor of rate is worked out, and its formula for a current of a unit.
type rateFactor struct {
	how phrase.Phrase
	at  func(a string) string
}

// fillRequired works out the capacity that is required.
func (m *maker) fillRequired(l *book.List) rateFactor {
	in, unit := m.In, m.Plan.Site.Unit
	dc := m.Out["energy_dc_wh"]
	l.Part(phrase.Of("Required capacity"))
	v := l.Figure("bank_v", phrase.Of("Nominal voltage of the bank"), "V", phrase.Of("series * nominal_v"), "%s*%s",
		in["series"], in["unit_v"])
	usual := l.Published("usual_dod", phrase.Of("Depth of discharge that is usual for the chemistry"),
		unit.Chemistry.UsualDoD(), "", unit.Chemistry.UsualDoDSource().Phrase())
	dod := l.Figure("dod", phrase.Of("Depth of discharge"), "",
		phrase.Of("of the practice, at most that of the battery; without either the usual one"),
		"IF(%[1]s>0,IF(AND(%[2]s>0,%[1]s>%[2]s),%[2]s,%[1]s),IF(%[2]s>0,%[2]s,%[3]s))", in["practice_max_dod"],
		in["unit_max_dod"], usual)
	share := l.Figure("usable_share", phrase.Of("Usable share"), "", phrase.Of("reserve - (1 - max_dod)"), "%s-(1-%s)",
		in["reserve"], dod)
	mean := l.Figure("mean_a", phrase.Of("Mean discharge current"), "A",
		phrase.Of("E_dc * (1 + growth) / (V_nominal * autonomy_h)"), "%s*(1+%s)/(%s*%s)", dc, in["growth"], v,
		in["autonomy_h"])
	kT := m.temperatureFactor(l)
	given := l.Figure("given_ah", phrase.Of("Required capacity, without the factor of rate"), "Ah",
		phrase.Of("E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature)"),
		"%s*(1+%s)/%s*(1+%s)/(%s*%s*%s)", dc, in["growth"], v, in["margin"], share, in["end_of_life"], kT)
	atH := fmt.Sprintf("%s/%s", given, mean)
	peukert := fmt.Sprintf("MAX(%s,1)", in["peukert"])
	rate := fmt.Sprintf("MIN(1,((%s)/%s)^(1-1/%s))", atH, in["rated_h"], peukert)
	installedRate := func(a string) string {
		return fmt.Sprintf("IF(%[1]s<=0,1,MIN(1,(%[2]s/(%[1]s*%[3]s))^(%[4]s-1)))", a, in["rated_ah"], in["rated_h"],
			peukert)
	}
	how := phrase.Of("(C/(I*H))^(k-1), solved together with C, never above 1")
	if t := unit.Capacity; len(t) > 1 {
		how = phrase.Of("capacity table, straight on log-log, solved together with C; its last point is held")
		rate, installedRate = m.capacityTable(m.bank, m.bankTables, besideBank, atH)
		m.bankTables += len(t) + 2
	}
	kRate := l.Figure("k_rate", phrase.Of("Capacity factor of rate"), "", how, "IF(%s>0,%s,1)", mean, rate)
	required := l.Figure("required_ah", phrase.Of("Required capacity"), "Ah",
		phrase.Of("E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature * k_rate)"),
		"%s/%s", given, kRate)
	needed := l.Figure("strings_needed", phrase.Of("Strings needed"), "",
		phrase.Of("required capacity / unit Ah, rounded up"), "MAX(1,ROUNDUP(%s/%s*(1-1E-9),0))", required,
		in["rated_ah"])
	if m.Plan.Bank.Sized {
		m.Inputs.Put(m.StringsRow, book.ColValue, book.Cell{Kind: book.Input, Format: book.AsGiven, Formula: string(needed)})
	}
	return rateFactor{how, installedRate}
}

// temperatureFactor lays the table of the chemistry out beside the list, and reads it.
func (m *maker) temperatureFactor(l *book.List) book.Ref {
	s, in := m.bank, m.In
	curve, multiplier, least := battery.TemperatureCurve(m.Plan.Site.Unit.Chemistry)
	s.Say(4, besideBank, book.Head, m.Prose(phrase.Of("Capacity factor of temperature")))
	s.Say(5, besideBank, book.Head, "°C")
	s.Put(5, besideBank+1, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Share"))})
	if multiplier {
		s.Put(5, besideBank+1, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Multiplier"))})
	}
	xs, ys, n := s.TableOf(6, besideBank, curve.X, curve.Y, book.Table)
	factor := book.Between(xs, ys, n, string(in["coldest_c"]))
	if multiplier {
		factor = "1/" + factor
	}
	m.bankTables = 6 + n + 2
	return l.Figure("k_temperature", phrase.Of("Capacity factor of temperature"), "",
		phrase.Of("table by chemistry, never above 1"), "IF(%s>=25,1,MAX(%s,%s))", in["coldest_c"], book.Lit(least), factor)
}

// fillInstalled works out what the installed bank is.
func (m *maker) fillInstalled(l *book.List, rate rateFactor) {
	in, out := m.In, m.Out
	l.Part(phrase.Of("Installed bank"))
	l.Figure("installed_ah", phrase.Of("Installed capacity"), "Ah", phrase.Of("strings * unit Ah"), "%s*%s",
		in["strings"], in["rated_ah"])
	l.Figure("k_rate_installed", phrase.Of("Capacity factor of rate, installed bank"), "", rate.how, "%s",
		rate.at(fmt.Sprintf("(%s/%s)", out["mean_a"], in["strings"])))
	low := l.Figure("low_v", phrase.Of("End-of-discharge voltage of the bank"), "V", phrase.Of("series * min_v"),
		"%s*%s",
		in["series"], in["min_v"])
	l.Figure("cutoff_v", phrase.Of("Low-voltage cut-off to set"), "V",
		phrase.Of("larger of series * min_v and dc_min_v, up to the next tenth"), "ROUNDUP(MAX(%s,%s)*10-1E-9,0)/10",
		low, in["dc_min_v"])
	l.Figure("scheduled_a", phrase.Of("Battery current of the scheduled power"), "A",
		phrase.Of("(idle_w*count + P/efficiency) / lowest voltage"), "%s/%s", out["dc_scheduled_w"], low)
	cells := l.Figure("cells", phrase.Of("Cells in series"), "", phrase.Of("series * cells of a unit"),
		"%s*MAX(1,ROUND(%s/%s,0))", in["series"], in["unit_v"], book.Lit(m.Plan.Site.Unit.Chemistry.CellV()))
	l.Figure("charging_v", phrase.Of("Highest charging voltage"), "V",
		phrase.Of("charge (or equalise) voltage, raised by the compensation to coldest_c"),
		"%s*IF(%s=1,MAX(%s,%s),%s)+%s*%s/1000*MAX(0,25-%s)", in["series"], in["equalises"], in["charge_v"],
		in["equalise_v"], in["charge_v"], cells, in["charge_mv_per_cell_c"], in["coldest_c"])
	m.bankStarts(low)
}

// bankStarts adds to the list of starts what the bank gives meanwhile.
func (m *maker) bankStarts(low book.Ref) {
	t, s, in := m.StartsAt(), m.Starts, m.In
	for i := range t.Starts {
		r := t.List + i
		at := func(col int) book.Ref { return s.At(r, col) }
		s.Calc(r, course.StartDCA, book.Live, book.AsTenth, "IF(%s=0,0,%s/%s)", at(course.StartDemand),
			at(course.StartDCW), low)
		m.LongAndHeat(r, course.StartDCA, course.StartLongA)
		s.Calc(r, course.StartDCLimit, book.Live, book.AsTenth, "%[1]s*IF(AND(%[2]s>0,%[2]s>=%[3]s),MAX(%[4]s,%[5]s),%[4]s)",
			in["strings"], in["pulse_s"],
			at(course.StartSeconds), in["unit_max_discharge_a"], in["pulse_a"])
		s.Calc(r, course.StartDCMargin, book.Live, book.AsMille, "IF(%[2]s>0,(%[2]s-%[1]s)/%[2]s,0)", at(course.StartDCA), at(course.StartDCLimit))
		// A limit that is broken comes before one that is not known, and that before one that is kept.
		s.Calc(r, course.StartRank, book.Live, book.AsMille,
			"IF(%[4]s=0,9,IF(%[2]s=0,-5-%[1]s/1E+6,IF(%[1]s>%[2]s*(1+1E-9),-10+%[3]s,%[3]s)))", at(course.StartDCA),
			at(course.StartDCLimit), at(course.StartDCMargin), at(course.StartDemand))
	}
}

// capacityTable lays the discharge table of a unit out, with the slopes of its segments on log-log paper, and gives the
// factor of rate for a discharge in so many hours, and for a current of a unit.
func (m *maker) capacityTable(s *book.Sheet, row, col int, hours string) (atHours string, atCurrent func(a string) string) {
	t := m.Plan.Site.Unit.Capacity
	for i, words := range []string{"h", "Ah", "A", m.Prose(phrase.Of("Slope to the next"))} {
		s.Put(row, col+i, book.Cell{Kind: book.Head, Text: words, Wrap: true})
	}
	s.Width(11, col, col+1, col+2, col+3)
	n := len(t)
	for i := range t {
		h := s.Calc(row+1+i, col, book.Live, book.AsGiven, "%s", m.In["capacity_h_"+strconv.Itoa(i+1)])
		ah := s.Calc(row+1+i, col+1, book.Live, book.AsGiven, "%s", m.In["capacity_ah_"+strconv.Itoa(i+1)])
		s.Calc(row+1+i, col+2, book.Live, book.AsMille, "%s/%s", ah, h)
		if i+1 < n {
			s.Calc(row+1+i, col+3, book.Live, book.AsFine, "LN(%s/%s)/LN(%s/%s)", m.In["capacity_ah_"+strconv.Itoa(i+2)], ah,
				m.In["capacity_h_"+strconv.Itoa(i+2)], h)
		}
	}
	hs, ahs := s.Span(row+1, col, row+n, col), s.Span(row+1, col+1, row+n, col+1)
	slopes := s.Span(row+1, col+3, row+n-1, col+3)
	m.atHours = func(hours string) string {
		i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, hours, hs)
		return fmt.Sprintf("IF(%[1]s>=%[2]s,%[3]s,INDEX(%[4]s,%[5]s)*((%[1]s)/INDEX(%[6]s,%[5]s))^INDEX(%[7]s,%[5]s))/%[8]s",
			hours, s.At(row+n, col), s.At(row+n, col+1), ahs, i, hs, slopes, m.In["rated_ah"])
	}
	return m.atHours(hours), func(a string) string {
		// Rows stand from fast to slow, so their currents fall.
		i := fmt.Sprintf(`MIN(%d,1+COUNTIF(%s,">"&%s))`, n-1, s.Span(row+2, col+2, row+n, col+2), a)
		slope := fmt.Sprintf("INDEX(%s,%s)", slopes, i)
		return fmt.Sprintf("IF(%[1]s<=%[2]s,%[3]s,INDEX(%[4]s,%[5]s)*(%[1]s*INDEX(%[6]s,%[5]s)/INDEX(%[4]s,%[5]s))^(-%[7]s/(1-%[7]s)))/%[8]s",
			a, s.At(row+n, col+2), s.At(row+n, col+1), ahs, i, hs, slope, m.In["rated_ah"])
	}
}
