package workbook

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/battery"
)

// fillInverter works out what the inverters may give where they stand.
func (m *maker) fillInverter() error {
	l := m.list(m.inverter, phrase.Of("Inverter"), phrase.Phrase{})
	in, out := m.in, m.out
	l.part(phrase.Of("Inverter"))
	sheet := phrase.Of("data sheet")
	heat := l.figure("derating_heat", phrase.Of("Derating by heat"), "",
		phrase.Of("1 - derate_per_c * (hottest_c - derate_from_c), from 0 to 1"), "MIN(1,MAX(0,1-MAX(0,%s*(%s-%s))))",
		in["derate_per_c"], in["hottest_c"], in["derate_from_c"])
	altitude := l.figure("derating_altitude", phrase.Of("Derating by altitude"), "",
		phrase.Of("1 - derate_per_100m * (altitude_m - derate_from_m)/100, from 0 to 1"),
		"MIN(1,MAX(0,1-MAX(0,%s*(%s-%s)/100)))", in["derate_per_100m"], in["altitude_m"], in["derate_from_m"])
	derating := l.figure("derating", phrase.Of("Derating"), "", phrase.Of("both factors"), "%s*%s", heat, altitude)
	va := l.figure("rated_here_va", phrase.Of("Continuous rating"), "VA", phrase.Of("rated_va * count * both factors"),
		"%s*%s*%s", in["rated_va"], in["inverters"], derating)
	w := l.figure("rated_here_w", phrase.Of("Continuous power rating"), "W",
		phrase.Of("rated_w * count * both factors"),
		"%s*%s*%s", in["rated_w"], in["inverters"], derating)
	less := phrase.Of("rating * (1 - headroom)")
	l.figure("limit_va", phrase.Of("Continuous rating, less headroom"), "VA", less, "%s*(1-%s)", va, in["headroom"])
	l.figure("limit_w", phrase.Of("Continuous power rating, less headroom"), "W", less, "%s*(1-%s)", w, in["headroom"])
	l.figure("limit_discharge_a", phrase.Of("Battery current of the inverters, less headroom"), "A", less,
		"%s*%s*(1-%s)", in["max_discharge_a"], in["inverters"], in["headroom"])
	perPhase := fmt.Sprintf("%s*%d/%d", in["inverters"], m.p.Site.Inverter.Phases, m.p.Site.Phases)
	l.figure("limit_pass_through_a", phrase.Of("Pass-through rating per phase"), "A", sheet, "%s*%s",
		in["pass_through_a"], perPhase)
	l.figure("limit_ac_input_a", phrase.Of("Rating of the ac input per phase"), "A", sheet, "%s*%s", in["ac_input_a"],
		perPhase)
	charger := l.figure("grid_charger_a", phrase.Of("Charge current from the grid"), "A", sheet,
		"IF(%[2]s>0,MIN(%[1]s,%[2]s),%[1]s)*%[3]s", in["charger_a"], in["max_charge_a"], in["inverters"])
	chargerW := l.figure("charger_input_w", phrase.Of("Charger power from the grid"), "W",
		phrase.Of("charger_a * count * charge voltage of the bank / efficiency"), "%s*%s*%s/%s", charger, in["series"],
		in["charge_v"], in["efficiency"])
	l.figure("input_a", phrase.Of("Current from the grid per phase, chargers included"), "A",
		phrase.Of("energy balance"),
		"%s+%s/%d/%s", out["pass_through_a"], chargerW, m.p.Site.Phases, in["site_v"])
	l.figure("idle_all_w", phrase.Of("Standby consumption"), "W", sheet, "%s*%s", in["idle_w"], in["inverters"])
	rated := l.figure("rated_all_w", phrase.Of("Rated power of all inverters"), "W", sheet, "%s*%s", in["rated_w"],
		in["inverters"])
	l.figure("dc_rated_w", phrase.Of("From the bank at rated power"), "W", phrase.Of("idle_w*count + P/efficiency"),
		"%s", m.dcPower(string(rated)))
	l.figure("dc_scheduled_w", phrase.Of("From the bank at full simultaneous load"), "W",
		phrase.Of("idle_w*count + P/efficiency"), "%s", m.dcPower(string(out["scheduled_w"])))
	return nil
}

// before is the formula for the energy from midnight to a minute of the day, 0 to 1440, of a row of the course of the
// day.
func (m *maker) before(row int, wh int, x string) string {
	from, to := m.through(dayFromMin), m.through(dayToMin)
	return fmt.Sprintf(
		`(SUMIFS(%[1]s,%[2]s,"<="&%[5]s)+SUMIFS(%[3]s,%[4]s,"<"&%[5]s,%[2]s,">"&%[5]s)*(%[5]s-SUMIFS(%[4]s,%[4]s,"<"&%[5]s,%[2]s,">"&%[5]s))/60)`,
		m.through(wh), to, m.through(row), from, x)
}

// fillBank works out what the bank is asked for, and what it has.
func (m *maker) fillBank() error {
	l := m.list(m.bank, phrase.Of("Bank"), phrase.Phrase{})
	in, out := m.in, m.out
	unit := m.p.Site.Unit
	s, below := m.bank, m.belowDay()

	l.part(phrase.Of("Energy of the autonomy"))
	// The energy of a window is straight between the moments at which its start or its end crosses a bound of the day,
	// so those are all that need be tried.
	rest := l.figure("window_rest_min", phrase.Of("Minutes beyond whole days"), "min",
		phrase.Of("autonomy_h less whole days"),
		"(%[1]s-24*INT(%[1]s/24))*60", in["autonomy_h"])
	dayWh := l.figure("day_wh", phrase.Of("Energy of a day"), "Wh", phrase.Of("course of the day"), "SUM(%s)",
		m.through(below.wh))
	dayDCWh := l.figure("day_dc_wh", phrase.Of("Energy of a day, DC"), "Wh", phrase.Of("course of the day"), "SUM(%s)",
		m.through(below.dcWh))
	window := func(row, wh int, day ref, start string) string {
		end := fmt.Sprintf("(%s+%s-1440)", start, rest)
		within := fmt.Sprintf("(%s+%s)", start, rest)
		return fmt.Sprintf("INT(%s/24)*%s+IF(%s+%s>1440,%s-%s+%s,%s-%s)", in["autonomy_h"], day, start, rest, day,
			m.before(row, wh, start), m.before(row, wh, end), m.before(row, wh, within), m.before(row, wh, start))
	}
	candidates := m.day
	base := below.dcWh + 4
	for i, words := range []string{m.say(phrase.Of("Start tried: a bound of the day, minute")),
		m.say(phrase.Of("Energy from it")) + ", Wh",
		m.say(phrase.Of("Start tried: a window that ends at a bound, minute")),
		m.say(phrase.Of("Energy from it")) + ", Wh"} {
		candidates.put(base+i, 2, cell{kind: head, text: words, wrap: true})
	}
	for k := range m.intervals {
		col := firstInterval + k
		a := candidates.calc(base, col, live, asGiven, "IF(%[1]s>=1440,0,%[1]s)", m.day.at(dayFromMin, col))
		candidates.calc(base+1, col, live, asTenth, "%s", window(below.meanW, below.wh, dayWh, string(a)))
		b := candidates.calc(base+2, col, live, asGiven, "MOD(%s-%s,1440)", m.day.at(dayFromMin, col), rest)
		candidates.calc(base+3, col, live, asTenth, "%s", window(below.meanW, below.wh, dayWh, string(b)))
	}
	bothE := []string{m.through(base + 1), m.through(base + 3)}
	most := fmt.Sprintf("MAX(%s,%s)", bothE[0], bothE[1])
	// Of starts with as much energy the earliest counts.
	largest := l.figure("window_wh", phrase.Of("Largest energy of a window"), "Wh",
		phrase.Of("largest of the starts that are tried under the course of the day"), "%s", most)
	for i, row := range []int{base, base + 2} {
		candidates.put(base+4+i, 2, cell{kind: head, text: m.say(phrase.Of("Start with the largest energy, minute")),
			wrap: true})
		for k := range m.intervals {
			col := firstInterval + k
			candidates.calc(base+4+i, col, live, asGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", candidates.at(row+1, col),
				largest,
				candidates.at(row, col))
		}
	}
	worst := l.figure("window_start_min", phrase.Of("Start with the largest energy, minute"), "min",
		phrase.Of("the earliest of equal ones"), "MIN(%s,%s)", m.through(base+4), m.through(base+5))
	start := l.figure("start_min", phrase.Of("Start of the outage, minute"), "min",
		phrase.Of("as given, or the start with the largest energy"), "IF(COUNT(%[1]s)=0,%[2]s,ROUND(%[1]s*1440,0))",
		in["outage_start"],
		worst)
	row := l.line(m.say(phrase.Of("Start of the outage")), "", "")
	out["start"] = s.calc(row, colValue, result, asClock, "%s/1440", start)
	l.figure("energy_ac_wh", phrase.Of("Energy of the autonomy, AC"), "Wh",
		phrase.Of("from the start, course of the day"), "%s",
		window(below.meanW, below.wh, dayWh, string(start)))
	dc := l.figure("energy_dc_wh", phrase.Of("Energy of the autonomy, DC"), "Wh",
		phrase.Of("sum over the profile of (P_ac / efficiency(P_ac) + idle_w * count) * time"), "%s",
		window(below.dcW, below.dcWh, dayDCWh, string(start)))

	l.part(phrase.Of("Required capacity"))
	v := l.figure("bank_v", phrase.Of("Nominal voltage of the bank"), "V", phrase.Of("series * nominal_v"), "%s*%s",
		in["series"], in["unit_v"])
	usual := l.program("usual_dod", phrase.Of("Depth of discharge that is usual for the chemistry"),
		unit.Chemistry.UsualDoD(), "", phrase.Of("planning rule by chemistry"))
	dod := l.figure("dod", phrase.Of("Depth of discharge"), "",
		phrase.Of("of the practice, at most that of the battery; without either the usual one"),
		"IF(%[1]s>0,IF(AND(%[2]s>0,%[1]s>%[2]s),%[2]s,%[1]s),IF(%[2]s>0,%[2]s,%[3]s))", in["practice_max_dod"],
		in["unit_max_dod"], usual)
	share := l.figure("usable_share", phrase.Of("Usable share"), "", phrase.Of("reserve - (1 - max_dod)"), "%s-(1-%s)",
		in["reserve"], dod)
	mean := l.figure("mean_a", phrase.Of("Mean discharge current"), "A",
		phrase.Of("E_dc * (1 + growth) / (V_nominal * autonomy_h)"), "%s*(1+%s)/(%s*%s)", dc, in["growth"], v,
		in["autonomy_h"])
	curve, multiplier, least := battery.TemperatureCurve(unit.Chemistry)
	const right = 6 // the column of published tables beside the list
	s.say(4, right, head, m.say(phrase.Of("Capacity factor of temperature")))
	s.say(5, right, head, "°C")
	s.put(5, right+1, cell{kind: head, text: m.say(phrase.Of("Share"))})
	if multiplier {
		s.put(5, right+1, cell{kind: head, text: m.say(phrase.Of("Multiplier"))})
	}
	xs, ys, n := m.tableOf(s, 6, right, curve.X, curve.Y, table)
	factor := between(xs, ys, n, string(in["coldest_c"]))
	if multiplier {
		factor = "1/" + factor
	}
	kT := l.figure("k_temperature", phrase.Of("Capacity factor of temperature"), "",
		phrase.Of("table by chemistry, never above 1"), "IF(%s>=25,1,MAX(%s,%s))", in["coldest_c"], lit(least), factor)
	given := l.figure("given_ah", phrase.Of("Required capacity, without the factor of rate"), "Ah",
		phrase.Of("E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature)"),
		"%s*(1+%s)/%s*(1+%s)/(%s*%s*%s)", dc, in["growth"], v, in["margin"], share, in["end_of_life"], kT)
	atH := fmt.Sprintf("%s/%s", given, mean)
	peukert := fmt.Sprintf("MAX(%s,1)", in["peukert"])
	rate := fmt.Sprintf("MIN(1,((%s)/%s)^(1-1/%s))", atH, in["rated_h"], peukert)
	installedRate := func(a string) string {
		return fmt.Sprintf("IF(%[1]s<=0,1,MIN(1,(%[2]s/(%[1]s*%[3]s))^(%[4]s-1)))", a, in["rated_ah"], in["rated_h"],
			peukert)
	}
	m.bankTables = 6 + n + 2
	how := phrase.Of("(C/(I*H))^(k-1), solved together with C, never above 1")
	if t := unit.Capacity; len(t) > 1 {
		how = phrase.Of("capacity table, straight on log-log, solved together with C; its last point is held")
		rate, installedRate = m.capacityTable(s, m.bankTables, right, atH)
		m.bankTables += len(t) + 2
	}
	kRate := l.figure("k_rate", phrase.Of("Capacity factor of rate"), "", how, "IF(%s>0,%s,1)", mean, rate)
	required := l.figure("required_ah", phrase.Of("Required capacity"), "Ah",
		phrase.Of("E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature * k_rate)"),
		"%s/%s", given, kRate)
	needed := l.figure("strings_needed", phrase.Of("Strings needed"), "",
		phrase.Of("required capacity / unit Ah, rounded up"), "MAX(1,ROUNDUP(%s/%s*(1-1E-9),0))", required,
		in["rated_ah"])
	if m.p.Bank.Sized {
		m.inputs.put(m.stringsRow, colValue, cell{kind: input, format: asGiven, formula: string(needed)})
	}

	l.part(phrase.Of("Installed bank"))
	l.figure("installed_ah", phrase.Of("Installed capacity"), "Ah", phrase.Of("strings * unit Ah"), "%s*%s",
		in["strings"], in["rated_ah"])
	l.figure("k_rate_installed", phrase.Of("Capacity factor of rate, installed bank"), "", how, "%s",
		installedRate(fmt.Sprintf("(%s/%s)", mean, in["strings"])))
	low := l.figure("low_v", phrase.Of("End-of-discharge voltage of the bank"), "V", phrase.Of("series * min_v"),
		"%s*%s",
		in["series"], in["min_v"])
	l.figure("cutoff_v", phrase.Of("Low-voltage cut-off to set"), "V",
		phrase.Of("larger of series * min_v and dc_min_v, up to the next tenth"), "ROUNDUP(MAX(%s,%s)*10-1E-9,0)/10",
		low, in["dc_min_v"])
	l.figure("scheduled_a", phrase.Of("Battery current of the scheduled power"), "A",
		phrase.Of("(idle_w*count + P/efficiency) / lowest voltage"), "%s/%s", out["dc_scheduled_w"], low)
	cells := l.figure("cells", phrase.Of("Cells in series"), "", phrase.Of("series * cells of a unit"),
		"%s*MAX(1,ROUND(%s/%s,0))", in["series"], in["unit_v"], lit(unit.Chemistry.CellV()))
	l.figure("charging_v", phrase.Of("Highest charging voltage"), "V",
		phrase.Of("charge (or equalise) voltage, raised by the compensation to coldest_c"),
		"%s*IF(%s=1,MAX(%s,%s),%s)+%s*%s/1000*MAX(0,25-%s)", in["series"], in["equalises"], in["charge_v"],
		in["equalise_v"], in["charge_v"], cells, in["charge_mv_per_cell_c"], in["coldest_c"])
	m.bankStarts(low)
	return nil
}

// bankStarts adds to the list of starts what the bank gives meanwhile.
func (m *maker) bankStarts(low ref) {
	t, s, in := m.startsAt(), m.starts, m.in
	for i := range t.starts {
		r := t.list + i
		at := func(col int) ref { return s.at(r, col) }
		s.calc(r, startDCA, live, asTenth, "%s/%s", at(startDCW), low)
		s.calc(r, startDCLimit, live, asTenth, "%[1]s*IF(AND(%[2]s>0,%[2]s>=%[3]s),MAX(%[4]s,%[5]s),%[4]s)",
			in["strings"], in["pulse_s"],
			at(startSeconds), in["unit_max_discharge_a"], in["pulse_a"])
		s.calc(r, startDCMargin, live, asMille, "IF(%[2]s>0,(%[2]s-%[1]s)/%[2]s,0)", at(startDCA), at(startDCLimit))
		// A limit that is broken comes before one that is not known, and that before one that is kept.
		s.calc(r, startRank, live, asMille,
			"IF(%[4]s=0,9,IF(%[2]s=0,-5-%[1]s/1E+6,IF(%[1]s>%[2]s*(1+1E-9),-10+%[3]s,%[3]s)))", at(startDCA),
			at(startDCLimit), at(startDCMargin), at(startDemand))
	}
}

// capacityTable lays the discharge table of a unit out, with the slopes of its segments on log-log paper, and gives the
// factor of rate for a discharge in so many hours, and for a current of a unit.
func (m *maker) capacityTable(s *sheet, row, col int, hours string) (atHours string, atCurrent func(a string) string) {
	t := m.p.Site.Unit.Capacity
	for i, words := range []string{"h", "Ah", "A", m.say(phrase.Of("Slope to the next"))} {
		s.put(row, col+i, cell{kind: head, text: words, wrap: true})
	}
	s.width(11, col, col+1, col+2, col+3)
	n := len(t)
	for i := range t {
		h := s.calc(row+1+i, col, live, asGiven, "%s", m.in["capacity_h_"+itoa(i+1)])
		ah := s.calc(row+1+i, col+1, live, asGiven, "%s", m.in["capacity_ah_"+itoa(i+1)])
		s.calc(row+1+i, col+2, live, asMille, "%s/%s", ah, h)
		if i+1 < n {
			s.calc(row+1+i, col+3, live, asFine, "LN(%s/%s)/LN(%s/%s)", m.in["capacity_ah_"+itoa(i+2)], ah,
				m.in["capacity_h_"+itoa(i+2)], h)
		}
	}
	hs, ahs := s.span(row+1, col, row+n, col), s.span(row+1, col+1, row+n, col+1)
	slopes := s.span(row+1, col+3, row+n-1, col+3)
	m.atHours = func(hours string) string {
		i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, hours, hs)
		return fmt.Sprintf("IF(%[1]s>=%[2]s,%[3]s,INDEX(%[4]s,%[5]s)*((%[1]s)/INDEX(%[6]s,%[5]s))^INDEX(%[7]s,%[5]s))/%[8]s",
			hours, s.at(row+n, col), s.at(row+n, col+1), ahs, i, hs, slopes, m.in["rated_ah"])
	}
	return m.atHours(hours), func(a string) string {
		// Rows stand from fast to slow, so their currents fall.
		i := fmt.Sprintf(`MIN(%d,1+COUNTIF(%s,">"&%s))`, n-1, s.span(row+2, col+2, row+n, col+2), a)
		slope := fmt.Sprintf("INDEX(%s,%s)", slopes, i)
		return fmt.Sprintf("IF(%[1]s<=%[2]s,%[3]s,INDEX(%[4]s,%[5]s)*(%[1]s*INDEX(%[6]s,%[5]s)/INDEX(%[4]s,%[5]s))^(-%[7]s/(1-%[7]s)))/%[8]s",
			a, s.at(row+n, col+2), s.at(row+n, col+1), ahs, i, hs, slope, m.in["rated_ah"])
	}
}
