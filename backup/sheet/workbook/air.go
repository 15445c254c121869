package workbook

import (
	"fmt"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/site"
	"outlast/battery"
)

// fillAir works out the air that the bank requires while it is charged. most is the greatest current that it bears.
func (m *maker) fillAir(l *book.List, most book.Ref) {
	in, out, u := m.In, m.Out, m.Plan.Site.Unit
	gas, ok := u.Chemistry.Gas()
	if !ok {
		return
	}
	l.Part(phrase.Of("Ventilation of the bank"))
	gasA := l.Figure("gas_a", phrase.Of("Current that may turn into gas"), "A",
		phrase.Of("of all that charges, else the maximum charge current of the bank"), "IF(%[1]s>0,%[1]s,%[2]s)",
		out["sources_a"], most)
	ahIn := m.ahIn(l, battery.C10H)
	c10 := l.Figure("c10_ah", phrase.Of("Capacity in 10 h"), "Ah",
		phrase.Of("from the capacity table or the exponent; for the gassing figures"), "%s*%s", in["strings"],
		ahIn)
	heat := l.Figure("gas_heat", phrase.Of("Factor of heat on gassing"), "",
		phrase.Of("twice with every 8 K above 40 C"), "2^(MAX(0,%s-%s)/%s)", in["hottest_c"],
		book.Lit(battery.TableHottestC), book.Lit(battery.GasDoublesK))
	boostV := fmt.Sprintf("IF(%s=1,MAX(%s,%s),%s)", in["equalises"], in["charge_v"], in["equalise_v"], in["charge_v"])
	for _, of := range []struct {
		name         string
		label        phrase.Phrase
		unitV        string
		rate, upToV  float64
		mayBeByBoost bool
	}{{"float", phrase.Of("Ventilation air flow on float charge"), string(in["float_v"]), gas.FloatMAPerAh,
		gas.FloatCellV, true},
		{"boost", phrase.Of("Ventilation air flow on boost charge"), boostV, gas.BoostMAPerAh, gas.BoostCellV, false}} {
		cellV := l.Figure(of.name+"_cell_v", phrase.Of("Charging voltage of a cell"), "V",
			phrase.Of("of a unit, by its cells"), "%s*%s/%s", of.unitV, in["series"], out["cells"])
		rate := l.Figure(of.name+"_gas_ma_per_ah", phrase.Of("Gas rate"), "mA/Ah", phrase.Of("published table"),
			"IF(%s>%s,%s,%s)", cellV, book.Lit(book.Digits(of.upToV+battery.CellVRounding)), book.Lit(gas.BoostMAPerAh), book.Lit(of.rate))
		table := l.Figure(of.name+"_table_flow", phrase.Of("Air flow by the table"), "m3/h",
			phrase.Of("0.05 * series * cells * gas_ma_per_ah * gas_heat * c10_ah / 1000"), "%s*%s*%s*%s*%s/1000",
			book.Lit(battery.AirFactor), out["cells"], rate, heat, c10)
		l.Figure(of.name+"_flow", of.label, "m3/h",
			phrase.Of("by the table or, above its volts, all of the charging current as hydrogen kept under 2 %%, whichever is more"),
			"IF(%[1]s>%[2]s,MAX(%[3]s,%[4]s*%[5]s*%[6]s*(%[7]s+273.15)/273.15/%[8]s),%[3]s)", cellV,
			book.Lit(book.Digits(gas.BoostCellV+battery.CellVRounding)), table, out["cells"], gasA, book.Lit(battery.HydrogenOfAh),
			book.Lit(battery.FullGasC), book.Lit(battery.FullGasShare))
	}
	flow, opening := out["boost_flow"], fmt.Sprintf("%s*%s", book.Lit(battery.AirOpeningCM2), out["boost_flow"])
	how := phrase.Of("air at 0.1 m/s")
	if m.Plan.Site.VentRule == site.AustralianVent {
		a := string(gasA)
		if u.Chemistry != battery.Flooded {
			a = fmt.Sprintf("%s*%s", book.Lit(battery.AustralianSealedAPerAh), c10)
		}
		litres := l.Figure("as_l_per_s", phrase.Of("Air flow by the Australian rule"), "l/s",
			phrase.Of("0.006 l/s * cells * current"), "%s*%s*%s", book.Lit(battery.AustralianLPerS), out["cells"], a)
		opening = fmt.Sprintf("IF(%[1]s*3.6>%[2]s,%[3]s*%[1]s,%[4]s)", litres, flow, book.Lit(battery.AustralianCM2),
			opening)
		how = phrase.Of("100 cm2 for each l/s")
	}
	l.Figure("opening_cm2", phrase.Of("Ventilation opening, inlet and outlet each"), "cm2", how, "%s", opening)
}

// ahIn is the formula for the capacity of a unit in a discharge of some hours, which gas rates are of: never under the
// rated one where no table reaches so far.
func (m *maker) ahIn(l *book.List, hours float64) string {
	in := m.In
	if n := len(m.Plan.Site.Unit.Capacity); n > 1 {
		x := fmt.Sprintf("%s*%s", m.atHours(book.Lit(hours)), in["rated_ah"])
		return fmt.Sprintf("IF(OR(%s>%s,%s<%s),MAX(%s,%s),%s)", in["capacity_h_1"], book.Lit(hours),
			in["capacity_h_"+strconv.Itoa(n)], book.Lit(hours), in["rated_ah"], x, x)
	}
	k := l.Figure("rate_exponent", phrase.Of("Exponent of the capacity by hours"), "",
		phrase.Of("1 - 1 / peukert, at least 0"), "1-1/MAX(1,%s)", in["peukert"])
	return fmt.Sprintf("%[1]s*MAX(1,(%[2]s/%[3]s)^%[4]s)", in["rated_ah"], book.Lit(hours), in["rated_h"], k)
}

// airComparison is the check of the ventilation opening.
func (m *maker) airComparison(add func(string, comparison)) {
	in, out := m.In, m.Out
	if out["opening_cm2"] == "" { // it gives off no gas
		add("ventilation", comparison{settled: true})
		return
	}
	// Beyond the temperatures of the table, and with a charger that is not known, it is a caution at best.
	wary := fmt.Sprintf("%s>%s", in["hottest_c"], book.Lit(battery.TableHottestC))
	if m.Plan.Site.Unit.Chemistry == battery.Flooded {
		other := fmt.Sprintf("%s>%s*(1+1E-12)", out["boost_flow"], out["boost_table_flow"])
		if l := out["as_l_per_s"]; l != "" {
			other = fmt.Sprintf("OR(%s,%s*3.6>%s)", other, l, out["boost_flow"])
		}
		wary = fmt.Sprintf("OR(%s,AND(%s=0,%s))", wary, out["sources_a"], other)
	}
	add("ventilation", comparison{demand: string(out["opening_cm2"]), limit: string(in["vent_cm2"]),
		status: fmt.Sprintf("IF(%[1]s=0,%[2]s,IF(%[3]s>%[1]s*(1+1E-9),%[4]s,IF(%[5]s,%[2]s,%[6]s)))", in["vent_cm2"],
			book.Quote(m.Pass[1]), out["opening_cm2"], book.Quote(m.Pass[0]), wary, book.Quote(m.Pass[2]))})
}

// fillFrost works out where the acid freezes at the lowest charge of the plan.
func (m *maker) fillFrost(l *book.List) {
	if m.Plan.Details.Frost == nil {
		return
	}
	s, floor := m.bank, m.Out["floor_soc"]
	gravity, weak, freezing := battery.AcidCurves()
	row := m.bankTables
	block := func(col int, title, x, y string, c battery.Curve) func(at string) string {
		s.Put(row, col, book.Cell{Kind: book.Head, Text: title})
		s.Put(row+1, col, book.Cell{Kind: book.Head, Text: x})
		s.Put(row+1, col+1, book.Cell{Kind: book.Head, Text: y})
		n := len(c.X)
		for i := range n {
			s.Num(row+2+i, col, book.Table, c.X[i], book.AsGiven)
			s.Num(row+2+i, col+1, book.Table, c.Y[i], book.AsGiven)
		}
		xs, ys := s.Span(row+2, col, row+1+n, col), s.Span(row+2, col+1, row+1+n, col+1)
		return func(at string) string {
			return book.Between(xs, ys, n, fmt.Sprintf("MIN(%s,MAX(%s,%s))", book.Lit(c.X[n-1]), book.Lit(c.X[0]), at))
		}
	}
	specific := m.Prose(phrase.Of("Specific gravity"))
	bySoC := block(besideBank, m.Prose(phrase.Of("Gravity of the acid by charge")), m.Prose(phrase.Of("Charge")), specific,
		gravity)
	row += len(gravity.X) + 3
	weakBySoC := block(besideBank, m.Prose(phrase.Of("Gravity of a weaker acid by charge")), m.Prose(phrase.Of("Charge")),
		specific, weak)
	row += len(weak.X) + 3
	freezes := block(besideBank, m.Prose(phrase.Of("Freezing point by gravity")), specific, "°F", freezing)

	l.Part(phrase.Of("Freezing point"))
	g := l.Figure("gravity", phrase.Of("Gravity of the acid at the minimum state of charge"), "",
		phrase.Of("published tables of the acid"), "%s", bySoC(string(floor)))
	l.Figure("freezes_c", phrase.Of("Freezing point at the minimum state of charge"), "C",
		phrase.Of("published tables of the acid"), "(%s-32)/1.8", freezes(string(g)))
	if m.Plan.Site.Unit.Chemistry != battery.Flooded {
		return
	}
	w := l.Figure("weak_gravity", phrase.Of("Gravity of a weaker acid at the minimum state of charge"), "",
		phrase.Of("published tables of the acid"), "%s", weakBySoC(string(floor)))
	l.Figure("weak_freezes_c", phrase.Of("Freezing point of a weaker acid at the minimum state of charge"), "C",
		phrase.Of("published tables of the acid"), "(%s-32)/1.8", freezes(string(w)))
}

// temperatureComparison is the check of the coldest bank.
func (m *maker) temperatureComparison(add func(string, comparison)) {
	in, out, u := m.In, m.Out, m.Plan.Site.Unit
	coldest := in["coldest_c"]
	given := func(key string) string { return fmt.Sprintf("COUNT(%s)=1", in[key]) }
	charge := "-999"
	wary := []string{fmt.Sprintf("NOT(AND(%s,%s))", given("discharge_min_c"), given("charge_min_c")),
		fmt.Sprintf("AND(%s,%s>%s)", given("charge_max_c"), in["hottest_c"], in["charge_max_c"])}
	usualUnit := u
	usualUnit.ChargeMinC = nil
	if usual, _, _, ok := usualUnit.LeastChargeC(); ok {
		charge = book.Lit(usual)
	}
	limits := fmt.Sprintf("IF(%s,%s,-999),IF(%s,%s,%s)", given("discharge_min_c"), in["discharge_min_c"],
		given("charge_min_c"), in["charge_min_c"], charge)
	if at := out["freezes_c"]; at != "" {
		limits += "," + string(at)
	}
	if at := out["weak_freezes_c"]; at != "" {
		wary = append(wary, fmt.Sprintf("AND(%[1]s<0,%[2]s<%[1]s)", at, coldest),
			fmt.Sprintf("AND(%s<0,%s<%s-1E-9)", coldest, out["floor_soc"], book.Lit(battery.FloodedColdSoC)))
	}
	either := wary[0]
	for _, w := range wary[1:] {
		either += "," + w
	}
	limit := "MAX(" + limits + ")"
	add("bank-temperature", comparison{demand: string(coldest), limit: limit, atLeast: true, kelvin: true,
		status: fmt.Sprintf("IF(%s>=%s-1E-9,IF(OR(%s),%s,%s),%s)", coldest, limit, either, book.Quote(m.Pass[1]),
			book.Quote(m.Pass[2]), book.Quote(m.Pass[0]))})
}
