package workbook

import (
	"fmt"
	"strconv"

	"outlast/backup/facts"
	"outlast/backup/generator"
	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/site"
	"outlast/backup/wiring"
)

// fillRuns works out at which charge of the bank the generator starts and stops, so that the house never gets dark.
func (m *maker) fillRuns(l *book.List) {
	in, out := m.In, m.Out
	l.Part(phrase.Of("When the generator runs"))
	loaded := "0"
	if out["loaded_soc"] != "" {
		loaded = string(l.Figure("carries_soc", phrase.Of("Lowest charge that carries the scheduled power"), "",
			phrase.Of("with growth, above the cut-off; sheet of the voltage under load"), "%s", out["loaded_soc"]))
	}
	// What the charge of the plan ends says nothing of voltage or rate, nor does a limit of the current.
	most := func(a, n string) string { return fmt.Sprintf("%s>%s*%s*%s", out["end_w"], a, n, out["bank_v"]) }
	unit, strings := string(in["unit_max_discharge_a"]), string(in["strings"])
	current := fmt.Sprintf("OR(AND(%s>0,%s),%s)", unit, most(unit, strings),
		most(string(in["max_discharge_a"]), string(in["inverters"])))
	ended := l.Figure("ends_soc", phrase.Of("Charge at which voltage or rate end the autonomy"), "",
		phrase.Of("charge left at its end; 0 where the lowest charge of the plan or a limit of the current ends it"),
		"IF(%s=%s,IF(%s<=%s+%s,IF(%s>%s,%[4]s,0),IF(%[8]s,0,%[4]s)),0)", out["autonomy_ends"],
		book.Quote(m.Prose(phrase.Of("yes"))), out["end_soc"], out["floor_soc"], book.Lit(facts.EndTolerance), out["floor_soc"],
		out["planned_soc"], current)
	dark := l.Figure("dark_soc", phrase.Of("Charge down to which the bank supplies everything"), "",
		phrase.Of("the highest of these and of the minimum state of charge of the plan"), "MAX(%s,%s,%s)",
		out["floor_soc"], ended, loaded)
	practice := phrase.Of("common practice")
	usual := l.Published("", phrase.Of("Usual charge at which a generator starts"), site.UsualStartSoC, "", practice)
	above := l.Published("", phrase.Of("It starts above the charge that supplies everything by"), site.GeneratorAbove, "",
		practice)
	latest := l.Published("", phrase.Of("It starts at a charge of at most"), generator.LatestStartSoC, "", practice)
	refilled := l.Published("", phrase.Of("It stops above its start by at least"), generator.LeastRefilled, "", practice)
	percent := func(share string) string { return fmt.Sprintf("ROUNDUP(100*(%s)-1E-9,0)/100", share) }
	wished := fmt.Sprintf("IF(COUNT(%[1]s)=0,%[2]s,%[1]s)", in["start_soc"], usual)
	start := l.Figure("generator_start_soc", phrase.Of("Charge at which the generator starts"), "",
		phrase.Of("start_soc or what is usual, raised where needed, in whole per cents"), "MIN(%s,%s)", latest,
		percent(fmt.Sprintf("MAX(%s,%s+%s)", wished, dark, above)))
	l.Figure("generator_stop_soc", phrase.Of("Charge at which the generator stops"), "",
		phrase.Of("stop_soc, raised where needed, in whole per cents"), "MIN(1,%s)",
		percent(fmt.Sprintf("MAX(%s,%s+%s)", in["stop_soc"], start, refilled)))
	l.Figure("generator_wished_soc", phrase.Of("Charge at which it is to start"), "",
		phrase.Of("start_soc; without it as worked out above"), "IF(COUNT(%[1]s)=0,%[2]s,%[1]s)", in["start_soc"], start)
	l.Figure("generator_least_soc", phrase.Of("Charge at which it has to start at least"), "",
		phrase.Of("what supplies everything, and as much above it"), "%s+%s", dark, above)
}

// runsComparison is the check of the charge at which the generator starts.
func (m *maker) runsComparison(add func(string, comparison)) {
	in, out := m.In, m.Out
	wished, least := out["generator_wished_soc"], out["generator_least_soc"]
	add("generator-soc", comparison{demand: fmt.Sprintf("100*%s", wished), limit: fmt.Sprintf("100*%s", least),
		atLeast: true, status: fmt.Sprintf("IF(%s<=%s+1E-9,%s,IF(OR(%s<%s*(1-1E-9),%s<%s-1E-12),%s,%s))",
			out["generator_start_soc"], out["dark_soc"], book.Quote(m.Pass[0]), wished, least, in["stop_soc"],
			out["generator_stop_soc"], book.Quote(m.Pass[1]), book.Quote(m.Pass[2]))})
}

// generatorLeaves is the formula for what the chargers take of the generator beside so many watts of loads, no more than
// most: generator and AC input leave it to them.
func (m *maker) generatorLeaves(loads, most string) string {
	return fmt.Sprintf("MAX(0,MIN(%s,%s))", most, m.generatorRoom(loads, fmt.Sprintf("%s/%s", loads, m.Out["generator_loads_pf"])))
}

// generatorRoom is what they leave beside loads of so many watts and VA.
func (m *maker) generatorRoom(loadsW, loadsVA string) string {
	out, share, pf := m.Out, m.In["generator_share"], book.Lit(generator.ChargerPF)
	room := fmt.Sprintf("%s*%s-%s,(%[1]s*%[4]s-%[5]s)*%[6]s", share, out["generator_w"], loadsW, out["generator_va"], loadsVA, pf)
	if way := out["generator_way_va"]; way != "" {
		room += fmt.Sprintf(",(%s-%s)*%s", way, loadsVA, pf)
	}
	return room
}

// fillChargeSetting is the charge current that is entered for the generator: the most that everything may run with; where
// that is too little for the bank, what the bank requires; where it requires nothing, what the generator bears at rest.
// The current of the chargers where none is entered.
func (m *maker) fillChargeSetting(l *book.List) {
	in, out := m.In, m.Out
	l.Figure("generator_loads_pf", phrase.Of("Power factor of the loads"), "", phrase.Of("watts / VA, at most 1"),
		"IF(%[1]s*%[2]s>0,MIN(1,%[1]s/%[2]s),1)", out["scheduled_w"], out["generator_loads_va"])
	all, full := fmt.Sprintf("MAX(%s,1E-9)", out["charger_input_w"]), out["grid_charger_a"]
	room := l.Figure("generator_room_w", phrase.Of("Left for the chargers while everything runs"), "W",
		phrase.Of("what generator and ac input leave"), "MAX(0,MIN(%s))",
		m.generatorRoom(string(out["generator_loads_w"]), string(out["generator_loads_va"])))
	rest := l.Figure("generator_rest_a", phrase.Of("Charge current that the generator leaves while no load runs"), "A",
		phrase.Of("at most that of the chargers"), "%s*MIN(1,%s*MIN(%s,%s*%s)/%s)", full, in["generator_share"],
		out["generator_w"], out["generator_va"], book.Lit(generator.ChargerPF), all)
	leastC, _ := m.Plan.Bank.Unit.Chemistry.ChargeC()
	least := l.Figure("generator_least_a", phrase.Of("Charge current that the bank requires"), "A",
		phrase.Of("0 where the chargers do not give it"), "IF(%[1]s>=%[2]s*%[3]s*(1-1E-9),%[2]s*%[3]s,0)", full,
		book.Lit(leastC), out["installed_ah"])
	useful := l.Figure("generator_useful_a", phrase.Of("Charge current below which the generator would run for more than a day"), "A",
		phrase.Of("0 where the chargers do not give it"), "MAX(%[1]s,IF(%[2]s>=%[3]s*%[4]s*(1-1E-9),%[3]s*%[4]s,0))", least, full,
		book.Lit(generator.SlowestChargeC), out["installed_ah"])
	left := settable(fmt.Sprintf("(%s*%s/%s)", full, room, all))
	l.Figure("generator_charge_a", phrase.Of("Charge current to enter for the generator"), "A",
		phrase.Of("that of the chargers where none is entered"),
		"IF(OR(%[1]s>=%[2]s*(1-1E-9),%[3]s<%[4]s*(1-1E-9)),%[5]s,IF(AND(%[6]s>0,%[6]s>=%[9]s*(1-1E-9)),%[6]s,IF(%[4]s>0,%[7]s,IF(%[3]s<%[5]s*(1-1E-9),%[8]s,%[5]s))))",
		room, out["charger_input_w"], rest, least, full, left, enough(string(least)), settable(string(rest)), useful)
}

// fillFuel works out what the generator burns on average, and how long its tank lasts.
func (m *maker) fillFuel(l *book.List, tables int) {
	in, out := m.In, m.Out
	l.Part(phrase.Of("Fuel"))
	rated := l.Figure("generator_rated_w", phrase.Of("Rated power"), "W", phrase.Symbols("rated_va * power_factor"), "%s*%s",
		in["generator_rated_va"], in["generator_power_factor"])
	loads := fmt.Sprintf("%s/24", out["energy_wh_per_day"])
	charging := l.Figure("generator_charging_w", phrase.Of("Chargers beside the mean of the loads"), "W",
		phrase.Of("what generator and ac input leave, at most their power with the current that is entered"), "%s",
		m.generatorLeaves(loads, fmt.Sprintf("%s*%s/MAX(%s,1E-9)", out["charger_input_w"], out["generator_charge_a"],
			out["grid_charger_a"])))
	mean := l.Figure("generator_mean_w", phrase.Of("Mean output"), "W",
		phrase.Of("energy of a day / 24 h + power of the chargers, at most the derated power"), "MIN(%s+%s,%s)",
		loads, charging, out["generator_w"])
	load := l.Figure("generator_mean_load", phrase.Of("Load of the generator"), "", phrase.Of("mean output / rated power"),
		"IF(%[1]s>0,%[2]s/%[1]s,0)", rated, mean)
	var formula string
	how := phrase.Of("points of the data sheet, straight between them")
	switch _, from := generator.Fuel(m.Plan.Site.Generator); from {
	case generator.FuelOfSheet:
		formula = m.fuelSheet(tables, load)
	case generator.FuelOfKind:
		formula, how = m.fuelOfKind(tables, rated, load), phrase.Of("typical of small sets with this fuel")
	case generator.FuelOfChart:
		formula, how = m.fuelChart(tables, rated, load), phrase.Of("chart of diesel sets at rating and load")
	}
	flow := l.Figure("fuel_flow", phrase.Of("Fuel consumption"), "l/h", how, "%s", formula)
	l.Figure("tank_h", phrase.Of("Running hours of a tank"), "h", phrase.Of("fuel_l / consumption; 0: not known"),
		"IF(%[1]s>0,%[2]s/%[1]s,0)", flow, in["fuel_l"])
}

// fuelSheet lays out what the data sheet says of the fuel, and gives the formula for the flow at a load: straight lines,
// held below the first load, the last one drawn on.
func (m *maker) fuelSheet(row int, load book.Ref) string {
	s, n := m.generator, len(m.Plan.Site.Generator.FuelLPerH)
	m.fuelHeads(row, phrase.Of("Fuel by load, data sheet"), []string{m.Prose(phrase.Of("Load of the generator")), "l/h"})
	for i := range n {
		key := strconv.Itoa(i + 1)
		s.Calc(row+2+i, rulesCol, book.Live, book.AsGiven, "%s", m.In["fuel_load_"+key])
		s.Calc(row+2+i, rulesCol+1, book.Live, book.AsGiven, "%s", m.In["fuel_l_per_h_"+key])
	}
	return m.fuelBetween(row+2, n, load)
}

// fuelOfKind lays out what sets with its fuel burn typically, by rated kW, and gives the formula for the flow.
func (m *maker) fuelOfKind(row int, rated, load book.Ref) string {
	s := m.generator
	loads, perKW, _ := wiring.TypicalFuel(m.Plan.Site.Generator.Fuel)
	m.fuelHeads(row, phrase.Of("Fuel by load, typical of small sets with this fuel"),
		[]string{m.Prose(phrase.Of("Load of the generator")), "l/h", m.Prose(phrase.Of("%s per rated kW", "l/h"))})
	for i, at := range loads {
		s.Num(row+2+i, rulesCol, book.Table, at, book.AsGiven)
		s.Calc(row+2+i, rulesCol+1, book.Live, book.AsMille, "%s*%s/1000",
			s.Num(row+2+i, rulesCol+2, book.Table, perKW[i], book.AsGiven), rated)
	}
	return m.fuelBetween(row+2, len(loads), load)
}

// fuelBetween is the formula for the flow at a load, of n points from a row on: held below the first.
func (m *maker) fuelBetween(row, n int, load book.Ref) string {
	s := m.generator
	first := s.At(row, rulesCol+1)
	if n == 1 {
		return string(first)
	}
	xs, ys := s.Span(row, rulesCol, row+n-1, rulesCol), s.Span(row, rulesCol+1, row+n-1, rulesCol+1)
	return fmt.Sprintf("IF(%s<=%s,%s,MAX(0,%s))", load, s.At(row, rulesCol), first, book.Between(xs, ys, n, string(load)))
}

// fuelChart lays out the published chart of diesel sets, reads each set of it at a load, and gives the formula for the
// flow of the generator: straight between sets, beyond them in proportion to the rating.
func (m *maker) fuelChart(row int, rated, load book.Ref) string {
	s := m.generator
	sets, loads, flows := wiring.FuelCharts()
	heads := []string{m.Prose(phrase.Of("Rating")) + ", kW"}
	for _, at := range loads {
		heads = append(heads, m.Prose(phrase.Of("l/h at a load of %s", phrase.Number(book.Lit(at)))))
	}
	m.fuelHeads(row, phrase.Of("Published fuel consumption of diesel sets"),
		append(heads, m.Prose(phrase.Of("At the load of the generator"))+", l/h"))
	first, flowCol := row+2, rulesCol+1+len(loads)
	for i, kW := range sets {
		r, least := first+i, 0
		s.Num(r, rulesCol, book.Table, kW, book.AsGiven)
		for k, flow := range flows[i] {
			if flow == 0 {
				least = k + 1
				continue
			}
			s.Num(r, rulesCol+1+k, book.Table, book.Digits(flow), book.AsMille)
		}
		below := fmt.Sprintf("MAX(%d,MIN(%d,INT(4*%s-1)))", least, len(loads)-2, load)
		lph := s.Span(r, rulesCol+1, r, rulesCol+len(loads))
		s.Calc(r, flowCol, book.Live, book.AsMille,
			"INDEX(%[1]s,1,%[2]s+1)+(INDEX(%[1]s,1,%[2]s+2)-INDEX(%[1]s,1,%[2]s+1))*MAX(0,4*%[3]s-1-%[2]s)", lph, below, load)
	}
	last := first + len(sets) - 1
	kW := fmt.Sprintf("(%s/1000)", rated)
	share := func(row int) string { return fmt.Sprintf("%s*%s/%s", s.At(row, flowCol), kW, s.At(row, rulesCol)) }
	return fmt.Sprintf("IF(%[1]s<%[2]s,0,IF(%[1]s<=%[3]s,%[4]s,IF(%[1]s>=%[5]s,%[6]s,%[7]s)))", kW,
		book.Lit(wiring.LeastChartKW), s.At(first, rulesCol), share(first), s.At(last, rulesCol), share(last),
		book.Between(s.Span(first, rulesCol, last, rulesCol), s.Span(first, flowCol, last, flowCol), len(sets), kW))
}

// fuelHeads are the heads of a table of fuel beside the list.
func (m *maker) fuelHeads(row int, title phrase.Phrase, heads []string) {
	s := m.generator
	s.Put(row, rulesCol, book.Cell{Kind: book.Head, Text: m.Prose(title), Across: len(heads)})
	for i, words := range heads {
		s.Put(row+1, rulesCol+i, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		s.Width(14, rulesCol+i)
	}
}
