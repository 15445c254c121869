package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/generator"
	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
)

// rulesCol is the column of published tables beside the list of the generator.
const rulesCol = 6

// fillGenerator works out what the generator has left at its place, what is asked of it, when it runs and what it burns.
func (m *maker) fillGenerator() {
	if m.generator == nil {
		return
	}
	l := m.List(m.generator, phrase.Of("Generator"))
	s := m.generator
	s.Width(60, book.ColHow) // so that list and tables go on one page beside each other
	s.Width(14, rulesCol, rulesCol+1, rulesCol+3)
	next := m.fillDerating(l)
	m.fillAsked(l)
	m.fillChargeSetting(l)
	m.fillGeneratorStarts(l)
	m.fillRuns(l)
	m.fillFuel(l, next+1)
}

// fillDerating works out what altitude and heat leave of it, and gives the next free row beside the list.
func (m *maker) fillDerating(l *book.List) (next int) {
	in := m.In
	l.Part(phrase.Of("Generator, derated"))
	// The rules stand beside the list: above which figure how much is lost for each unit of it.
	s := m.generator
	next = 6
	s.Say(4, rulesCol, book.Head, m.Prose(phrase.Of("Published rules of derating")))
	for i, words := range []string{m.Prose(phrase.Of("Rule")), m.Prose(phrase.Of("Above")), m.Say("col.unit"),
		m.Prose(phrase.Of("Loss for each"))} {
		s.Put(5, rulesCol+i, book.Cell{Kind: book.Head, Text: words, Middle: i == 1 || i == 3})
	}
	var factors []string
	for _, rule := range generator.Rules(m.Plan.Site) {
		altitude, heat := rule.Slopes()
		factor := func(slopes [][2]float64, at book.Ref, unit string) string {
			loss := "0"
			for _, of := range slopes {
				s.Say(next, rulesCol, book.Table, string(rule))
				from := s.Num(next, rulesCol+1, book.Table, of[0], book.AsGiven)
				s.Say(next, rulesCol+2, book.Table, m.UnitName(unit))
				loss += fmt.Sprintf("+%s*MAX(0,%s-%s)", s.Num(next, rulesCol+3, book.Table, book.Digits(of[1]), book.AsGiven), at, from)
				next++
			}
			return "MAX(0,1-(" + loss + "))"
		}
		a := l.Figure("altitude_factor_"+string(rule), phrase.Of("Generator, altitude"), "",
			phrase.Of("rule: %s", string(rule)), "%s", factor(altitude, in["altitude_m"], "m"))
		h := l.Figure("heat_factor_"+string(rule), phrase.Of("Generator, heat"), "",
			phrase.Of("rule: %s", string(rule)), "%s", factor(heat, in["hottest_c"], "C"))
		factors = append(factors, fmt.Sprintf("%s*%s", a, h))
	}
	least := l.Figure("generator_derating", phrase.Of("Derating"), "", phrase.Of("of the rule that leaves least"),
		"MIN(%s)", strings.Join(factors, ","))
	rated, gen := in["generator_rated_va"], m.Plan.Site.Generator
	if generator.UsableVA(m.Plan.Site) < gen.RatedVA {
		rated = l.Figure("generator_usable_va", phrase.Of("Generator, what the phases of the home can use"), "VA",
			phrase.Of("common practice"), "%s*%d/%d", rated, m.Plan.Site.Phases, gen.Phases)
	}
	va := l.Figure("generator_va", phrase.Of("Generator, derated"), "VA", phrase.Of("rating * derating"), "%s*%s",
		rated, least)
	l.Figure("generator_w", phrase.Of("Generator, derated"), "W", phrase.Of("rating * derating * power factor"),
		"%s*%s", va, in["generator_power_factor"])
	return next
}

// yesOrNo is a figure of 1 or 0: whether something holds.
func (m *maker) yesOrNo(l *book.List, name string, label phrase.Phrase, formula string, args ...any) book.Ref {
	row := l.Line(m.Prose(label), "", m.Prose(phrase.Of("1: yes, 0: no")))
	m.Out[name] = l.Calc(row, book.ColValue, book.Live, book.AsGiven, "IF("+formula+",1,0)", args...)
	return m.Out[name]
}

// fillAsked works out what loads and chargers ask of it.
func (m *maker) fillAsked(l *book.List) {
	in, out, n := m.In, m.Out, m.Plan.Site.Phases
	va, w := out["generator_va"], out["generator_w"]
	l.Part(phrase.Of("Loads and chargers"))
	balanced := func(unit string) string {
		cells := []string{string(out["scheduled_"+unit])}
		for k := 1; n > 1 && k <= n; k++ {
			of := string(out[fmt.Sprintf("scheduled_va_phase_%d", k)])
			if unit == "w" {
				of = fmt.Sprintf("MAX(%s)", m.DemandColumn(m.DemandAt().PhaseW+3*(k-1)))
			}
			cells = append(cells, fmt.Sprintf("%d*%s", n, of))
		}
		return strings.Join(cells, ",")
	}
	even := phrase.Of("all phases together, or the fullest times their number")
	loadsVA := l.Figure("generator_loads_va", phrase.Of("Apparent power of the loads, evenly on all phases"),
		"VA", even,
		"MAX(%s)", balanced("va"))
	loadsW := l.Figure("generator_loads_w", phrase.Of("Power of the loads, evenly on all phases"), "W", even, "MAX(%s)",
		balanced("w"))
	chargersVA := l.Figure("generator_chargers_va", phrase.Of("Apparent power of the chargers"), "VA",
		phrase.Of("charger power / %s, common practice", phrase.Number(book.Lit(generator.ChargerPF))), "%s/%s",
		out["charger_input_w"], book.Lit(generator.ChargerPF))
	allVA := l.Figure("generator_running_va", phrase.Of("Apparent power of loads and chargers"), "VA",
		phrase.Of("both together"), "%s+%s", loadsVA, chargersVA)
	allW := l.Figure("generator_running_w", phrase.Of("Power of loads and chargers"), "W", phrase.Of("both together"),
		"%s+%s", loadsW, out["charger_input_w"])
	// Of VA and W the tighter one counts, and what the loads alone break before it, without the chargers.
	aloneVA := m.yesOrNo(l, "generator_alone_va", phrase.Of("The loads alone are too much, %s", "VA"), "%s>%s*(1+1E-9)",
		loadsVA, va)
	aloneW := m.yesOrNo(l, "generator_alone_w", phrase.Of("The loads alone are too much, %s", "W"), "%s>%s*(1+1E-9)",
		loadsW, w)
	held := func(unit string, loads, all book.Ref) book.Ref {
		return l.Figure("generator_held_"+strings.ToLower(unit), phrase.Of("Held against the rating, %s", unit), unit,
			phrase.Of("loads and chargers, or the loads where those alone are too much"), "IF(%s+%s>0,%s,%s)", aloneVA,
			aloneW, loads, all)
	}
	heldVA, heldW := held("VA", loadsVA, allVA), held("W", loadsW, allW)
	m.yesOrNo(l, "generator_by_w", phrase.Of("Watts are compared, not VA"), "%s*%s>%s*%s*(1+1E-12)", heldW, va, heldVA, w)
	pick := phrase.Of("W or VA, as above")
	l.Figure("generator_demand", phrase.Of("Held against the rating"), "", pick, "IF(%s=1,%s,%s)",
		out["generator_by_w"], heldW, heldVA)
	l.Figure("generator_limit", phrase.Of("Generator, derated"), "", pick, "IF(%s=1,%s,%s)", out["generator_by_w"],
		w, va)
	l.Figure("generator_input_a", phrase.Of("Current through the inverter per phase"), "A",
		phrase.Of("loads and chargers over phases and volts"), "%s/%d/%s", allVA, n, in["site_v"])
	l.Figure("generator_loads_input_a", phrase.Of("Current of the loads through the inverter per phase"), "A",
		phrase.Of("loads over phases and volts"), "%s/%d/%s", loadsVA, n, in["site_v"])
	if m.Plan.Inverter.ACInputA() > 0 || m.Plan.Grid.LimitA > 0 {
		entered := l.Figure("generator_entered_a", phrase.Of("Limit of the AC input current, per phase of the home"), "A",
			phrase.Of("as it is entered in each inverter, per phase"), "%s", m.enteredInput())
		l.Figure("generator_way_va", phrase.Of("What the AC input takes"), "VA", phrase.Of("limit * phases * volts"),
			"%s*%d*%s", entered, n, in["site_v"])
	}
}

// fillGeneratorStarts works out what the largest start asks of it.
func (m *maker) fillGeneratorStarts(l *book.List) {
	in, out, n := m.In, m.Out, m.Plan.Site.Phases
	va := out["generator_va"]
	t := m.StartsAt()
	if len(t.Starts) == 0 {
		return
	}
	l.Part(phrase.Of("Starting"))
	var alone []string
	for _, r := range t.Starts {
		load := func(col int) book.Ref { return m.Loads.At(r.Row, col) }
		times := "1"
		if n > 1 { // on one phase it takes that phase's share
			times = fmt.Sprintf("IF(MAX(%s)>0.999,%d,1)", m.Loads.Span(r.Row, course.LoadShares, r.Row, course.LoadShares+n-1), n)
		}
		alone = append(alone, fmt.Sprintf("%s*%s*%s", load(course.LoadInUse), load(course.LoadStartVA), times))
	}
	start := l.Figure("generator_start_va", phrase.Of("Largest start alone"), "VA",
		phrase.Of("on one phase times the number of phases"), "MAX(%s)", strings.Join(alone, ","))
	dip := l.Figure("generator_dip_share", phrase.Of("Voltage dip at the largest start"), "",
		phrase.Of("reactance * start / (reactance * start + derated rating)"),
		"IF(%[2]s<1,IF(%[3]s>0,1,0),%[1]s*%[3]s/(%[1]s*%[3]s+%[2]s))",
		in["generator_reactance"], va, start)
	surges := m.Starts.Span(t.List, course.StartVA, t.List+len(t.Starts)-1, course.StartVA)
	if n > 1 {
		surges += "," + m.Starts.Span(t.List, course.StartPhaseVA, t.List+len(t.Starts)-1, course.StartPhaseVA)
	}
	most := l.Figure("generator_surge_va", phrase.Of("Largest start on top of what runs"), "VA",
		phrase.Of("evenly on all phases"), "MAX(%s)", surges)
	bears := string(va)
	if out["generator_way_va"] != "" {
		bears = fmt.Sprintf("MIN(%s,%s)", va, out["generator_way_va"])
	}
	total := l.Figure("generator_total_va", phrase.Of("Largest start with running load and chargers"), "VA",
		phrase.Of("chargers as far as the loads leave room for them"),
		"IF(%[1]s>0,%[1]s+MIN(%[2]s,MAX(0,%[3]s-%[4]s)),0)",
		most, out["generator_chargers_va"], bears, out["generator_loads_va"])
	short := l.Figure("generator_short_va", phrase.Of("Short-time rating of the generator"), "VA",
		phrase.Of("generator_start * derated rating"), "%s*%s", in["generator_times"], va)
	m.yesOrNo(l, "generator_by_total", phrase.Of("The short-time rating is compared, not the dip"),
		"AND(%[1]s<=%[2]s*(1+1E-9),OR(%[3]s>%[4]s*(1+1E-9),%[3]s*%[2]s>%[1]s*%[4]s*(1+1E-12)))", dip,
		in["generator_most_dip"], total, short)
}

// generatorComparisons are those of the generator.
func (m *maker) generatorComparisons(add func(string, comparison)) {
	in, out := m.In, m.Out
	if m.generator == nil || m.Plan.Generator == nil {
		return
	}
	pick := func(flag, a, b any) string { return fmt.Sprintf("IF(%s=1,%s,%s)", flag, a, b) }
	fail, caution, pass := book.Quote(m.Pass[0]), book.Quote(m.Pass[1]), book.Quote(m.Pass[2])
	carries := fmt.Sprintf("IF(%s=0,%s,%s)", in["charger_a"], caution, pass) // loads alone where no charger is known
	byW := out["generator_by_w"]
	demand, limit := string(out["generator_demand"]), string(out["generator_limit"])
	add("generator-running", comparison{demand: demand, limit: limit,
		unit: pick(byW, book.Quote(m.UnitName("W")), book.Quote(m.UnitName("VA"))),
		status: fmt.Sprintf("IF(%s+%s>0,%s,IF(%s>%s*%s*(1+1E-9),%s,%s))", out["generator_alone_va"],
			out["generator_alone_w"], fail, demand, in["generator_share"], limit, caution, carries)})
	a, alone, most := out["generator_input_a"], out["generator_loads_input_a"], out["limit_ac_input_a"]
	// What the loads alone break of the rating comes first; else the limit that is entered holds.
	entered := string(most)
	if set := out["generator_entered_a"]; set != "" {
		entered = fmt.Sprintf("IF(%[1]s>%[2]s*(1+1E-9),%[2]s,IF(%[3]s<%[2]s*(1-1E-9),%[3]s,%[2]s))", alone, most, set)
	}
	add("generator-input", comparison{limit: fmt.Sprintf("IF(%s=0,0,%s)", most, entered),
		demand: fmt.Sprintf("IF(AND(%[1]s>0,%[2]s>%[4]s*(1+1E-9)),%[2]s,%[3]s)", most, alone, a, entered),
		status: fmt.Sprintf("IF(%[1]s=0,%[4]s,IF(%[2]s<=%[7]s*(1+1E-9),%[6]s,IF(%[3]s<=%[1]s*(1+1E-9),%[4]s,%[5]s)))",
			most, a, alone, caution, fail, carries, entered)})
	m.runsComparison(add)
	if out["generator_by_total"] == "" { // nothing starts
		add("generator-start", comparison{settled: true})
		return
	}
	byTotal, dip := out["generator_by_total"], out["generator_dip_share"]
	add("generator-start", comparison{unlimited: fmt.Sprintf("%s=0", out["generator_start_va"]),
		demand: pick(byTotal, out["generator_total_va"], fmt.Sprintf("100*%s", dip)),
		limit:  pick(byTotal, out["generator_short_va"], fmt.Sprintf("100*%s", in["generator_most_dip"])),
		unit:   pick(byTotal, book.Quote(m.UnitName("VA")), book.Quote(m.UnitName("%"))),
		status: fmt.Sprintf("IF(%s=1,IF(%s>%s*(1+1E-9),%s,%s),IF(%s>%s*(1+1E-9),%s,%s))", byTotal,
			out["generator_total_va"], out["generator_short_va"], caution, carries, dip, in["generator_most_dip"], fail,
			carries)})
}
