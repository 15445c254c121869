package workbook

import (
	"fmt"
	"slices"

	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/wording"
	"outlast/battery"
)

// fillCharging works out the currents, the times and the voltages of charging.
func (m *maker) fillCharging() {
	l := m.List(m.charging, phrase.Of("Charging"))
	most, set := m.chargeCurrents(l)
	m.chargeFactor(l)
	cold := m.coldCharge(l)
	for _, c := range m.Plan.Details.Charges {
		if c.Problem.Empty() {
			m.chargeTime(l, c, set, cold)
		}
	}
	m.chargeVolts(l)
	m.fillAir(l, most)
}

// chargeCurrents are what all that charges the bank gives, and the least and the greatest current that suits it; it
// gives the latter, and the current that is entered.
func (m *maker) chargeCurrents(l *book.List) (most, set book.Ref) {
	in, out, b := m.In, m.Out, m.Plan.Bank.Bank
	silent := b.Unit // as if its data sheet set no limit
	silent.MaxChargeA = 0
	_, _, source := battery.Bank{Unit: silent, Series: b.Series, Strings: 1}.ChargeRange()
	leastC, mostC := b.Unit.Chemistry.ChargeC()

	l.Part(phrase.Of("Charge currents"))
	leastRate := l.Published("", phrase.Of("Least charge current per Ah"), leastC, "A/Ah",
		phrase.Of("lead-acid: C/20; lithium: none"))
	l.Figure("least_charge_a", phrase.Of("Minimum charge current"), "A", phrase.Of("current per Ah * Ah"),
		"%s*%s", leastRate, out["installed_ah"])
	sources := string(out["grid_charger_a"])
	for i := range m.Plan.Site.Arrays {
		sources += fmt.Sprintf("+%s/%s", out[course.ArrayKey(i+1)+"array_w"], out["bank_v"])
	}
	l.Figure("sources_a", phrase.Of("Current of all that charges the bank"), "A",
		phrase.Of("grid and solar array, at most max_charge_a * count; 0: not known"),
		"IF(%[1]s=0,%[2]s*%[3]s,IF(%[2]s>0,MIN(%[4]s,%[2]s*%[3]s),%[4]s))", out["grid_charger_a"], in["max_charge_a"],
		in["inverters"], sources)
	usualRate := l.Published("", phrase.Of("Usual charge current per Ah"), mostC, "A/Ah", source.Phrase())
	most = l.Figure("most_charge_a", phrase.Of("Maximum charge current"), "A",
		phrase.Of("max_charge_a of the unit * strings; without it the usual current per Ah * Ah"),
		"IF(%[1]s>0,%[1]s*%[2]s,%[3]s*%[4]s)", in["unit_max_charge_a"], in["strings"], usualRate, out["installed_ah"])
	set = l.Figure("set_charge_a", phrase.Of("Charge current to enter"), "A",
		phrase.Of("rounded down to what can be entered"), "%s",
		enteredA(fmt.Sprintf("IF(%[1]s>0,MIN(%[1]s,%[2]s),%[2]s)", out["sources_a"], most)))
	return most, set
}

// settable is the formula for a limit as it is entered: rounded down as [verdict.Settable] does.
func settable(a string) string {
	return fmt.Sprintf("IF(%[1]s<10,INT(10*%[1]s+1E-9)/10,INT(%[1]s+1E-9))", a)
}

// enough is the formula for what is required at least, as it is entered: rounded up as [verdict.Enough] does.
func enough(a string) string {
	return fmt.Sprintf("IF(%[1]s<10,ROUNDUP(10*%[1]s-1E-9,0)/10,ROUNDUP(%[1]s-1E-9,0))", a)
}

// enteredA is that of a charge current: what is below the least that can be entered is left as it is.
func enteredA(a string) string { return fmt.Sprintf("IF(10*%[1]s+1E-9<1,%[1]s,%[2]s)", a, settable(a)) }

// chargeFactor is how much charge goes in for each Ah that comes out.
func (m *maker) chargeFactor(l *book.List) {
	low, high := m.Plan.Bank.Unit.Chemistry.RechargeFactor()
	l.Part(phrase.Of("Charge factor"))
	lowest := l.Published("", phrase.Of("Charge factor, lowest"), low, "", phrase.Of("common practice"))
	highest := l.Published("", phrase.Of("Charge factor, highest"), high, "", phrase.Of("common practice"))
	l.Figure("charge_factor", phrase.Of("Charge factor"), "", phrase.Of("middle of the range by chemistry"),
		"(%s+%s)/2", lowest, highest)
}

// coldCharge is the greatest charge current in the coldest battery space; 0: the cold sets no limit, or the bank must
// not be charged there.
func (m *maker) coldCharge(l *book.List) book.Ref {
	u, in := m.Plan.Site.Unit, m.In
	usual := u
	usual.ChargeMinC = nil
	leastC, _, _, _ := usual.LeastChargeC()
	least := fmt.Sprintf("IF(COUNT(%[1]s)=1,%[1]s,%[2]s)", in["charge_min_c"], book.Lit(leastC))
	coldest := string(in["coldest_c"])
	if !u.Chemistry.LeadAcid() { // a pack that heats itself
		coldest = fmt.Sprintf("IF(%s<0,MAX(%s,%s),%[2]s)", least, in["coldest_c"], book.Lit(battery.HeatedC))
	}
	l.Part(phrase.Of("Charging in the cold"))
	share := "0"
	steps, source := u.Chemistry.ColdChargeC()
	for _, step := range steps {
		most := l.Published("", phrase.Of("Greatest charge current per Ah below %s", wording.Amount(step.BelowC, "C")),
			step.Most, "A/Ah", source.Phrase())
		share = fmt.Sprintf("IF(%s<%s,%s,%s)", coldest, book.Lit(step.BelowC), most, share)
	}
	return l.Figure("cold_charge_a", phrase.Of("Greatest charge current in the coldest battery space"), "A",
		phrase.Of("current per Ah * Ah, as it is entered; 0: the cold sets no limit, or the battery must not be charged there"),
		"IF(%s<%s,0,%s)", in["coldest_c"], least, enteredA(fmt.Sprintf("(%s*%s)", share, m.Out["installed_ah"])))
}

// chargeTime is how long a source takes to fill the bank.
func (m *maker) chargeTime(l *book.List, c facts.ChargeTime, set, cold book.Ref) {
	out, factor := m.Out, m.Out["charge_factor"]
	name, title := "_"+c.By, phrase.Of("Charging from the grid")
	if c.By != "grid" {
		title = phrase.Of("Charging from the generator")
	}
	l.Part(title)
	offer := m.gridOffers()
	if c.By != facts.ByGrid {
		offer = m.generatorOffers()
	}
	offered := l.Figure("offered_a"+name, phrase.Of("Current that is offered"), "A",
		phrase.Of("what the settings, the circuit breaker and the loads leave"), "%s", offer)
	a := l.Figure("charge_a"+name, phrase.Of("Current that is counted with"), "A",
		phrase.Of("of the source and as it is entered, whichever is less"), "MIN(%s,%s)", offered, set)
	l.Figure("charge_in_ah"+name, phrase.Of("Charge that goes in"), "Ah", phrase.Of("factor * (1 - charge) * Ah"),
		"%s*(1-%s)*%s", factor, out["floor_soc"], out["installed_ah"])
	bulk, absorption := m.chargeStages(l, name, factor, a)
	full := l.Figure("charge_h"+name, phrase.Of("Until it is full"), "h", phrase.Of("both together"), "%s+%s", bulk,
		absorption)
	l.Figure("longest_charge_h"+name, phrase.Of("Until it is full, in the coldest battery space"), "h",
		phrase.Of("longer where the cold leaves less current: hours * current / current in the cold"),
		"%[1]s*MAX(1,IF(%[3]s>0,%[2]s/MAX(%[3]s,1E-9),1))", full, a, cold)
	if c.ModelOK {
		l.Program("model_h"+name, phrase.Of("Until it is full, by the state model"), c.ModelH, "h",
			phrase.Of("simulation in steps of a minute"))
	}
}

// chargeStages are the hours at full current and at constant voltage, by the rules of thumb of the chemistry.
func (m *maker) chargeStages(l *book.List, name string, factor, a book.Ref) (bulk, absorption book.Ref) {
	out := m.Out
	if m.Plan.Bank.Unit.Chemistry.LeadAcid() {
		bulk = l.Figure("bulk_h"+name, phrase.Of("At full current"), "h",
			phrase.Of("factor * (0.8 - charge) * Ah / current"),
			"%s*MAX(0,0.8-%s)*%s/%s", factor, out["floor_soc"], out["installed_ah"], a)
		absorption = l.Figure("absorption_h"+name, phrase.Of("At constant voltage"), "h",
			phrase.Of("0.42 * Ah / current; above a charge of 0.8 the share that is left"),
			"MIN(1,(1-%s)/0.2)*0.42*%s/%s", out["floor_soc"], out["installed_ah"], a)
	} else {
		bulk = l.Figure("bulk_h"+name, phrase.Of("At full current"), "h",
			phrase.Of("factor * (0.95 - charge) * Ah / current"),
			"%s*MAX(0,0.95-%s)*%s/%s", factor, out["floor_soc"], out["installed_ah"], a)
		absorption = l.Figure("absorption_h"+name, phrase.Of("At constant voltage"), "h",
			phrase.Of("2 * factor * 0.05 * Ah / current"),
			"2*%s*MIN(1-%s,0.05)*%s/%s", factor, out["floor_soc"], out["installed_ah"], a)
	}
	return bulk, absorption
}

// chargeVolts are the voltages of the stages at the ends of the climate.
func (m *maker) chargeVolts(l *book.List) {
	in, out := m.In, m.Out
	l.Part(phrase.Of("Charging voltages of the bank"))
	for _, st := range []struct {
		stage battery.Stage
		name  phrase.Phrase
		id    string
		v     book.Ref
	}{{battery.Absorption, phrase.Of("Absorption"), "absorption", in["charge_v"]},
		{battery.Float, phrase.Of("Float"), "float", in["float_v"]},
		{battery.Equalise, phrase.Of("Equalise"), "equalise", in["equalise_v"]}} {
		if !slices.ContainsFunc(m.Plan.Details.Stages, func(v facts.StageVolts) bool { return v.Stage == st.stage }) {
			continue
		}
		for _, t := range []struct{ id, c string }{{"25", "25"}, {"coldest", string(in["coldest_c"])},
			{"hottest", string(in["hottest_c"])}} {
			words := phrase.Of("%s at 25 C", st.name)
			switch t.id {
			case "coldest":
				words = phrase.Of("%s at coldest_c", st.name)
			case "hottest":
				words = phrase.Of("%s at hottest_c", st.name)
			}
			l.Figure(st.id+"_v_"+t.id, words, "V",
				phrase.Of("series * volts + cells * compensation * (25 C - temperature)"),
				"%s*%s+%s*%s/1000*(25-%s)", in["series"], st.v, out["cells"], in["charge_mv_per_cell_c"], t.c)
		}
	}
}

// gridLimit is the formula for the limit of the current from the grid that is entered in each inverter: what its input
// bears, or the breaker before it, whichever is less, rounded down.
func (m *maker) gridLimit() string {
	limit := "(" + m.shared(m.Out["limit_ac_input_a"]) + ")"
	if row := m.runOf(conductors.Input); row > 0 {
		carries := fmt.Sprintf("%s/%s", m.conductors.At(row, runDevice), m.Factor())
		limit = fmt.Sprintf("IF(%[1]s>0,IF(%[2]s>0,MIN(%[1]s,%[2]s),%[1]s),%[2]s)", carries, limit)
	}
	return settable(limit)
}

// enteredInput is the formula for that limit of all inverters, per phase of the home.
func (m *maker) enteredInput() string {
	return fmt.Sprintf("(%s*%s*%d/%d)", m.gridLimit(), m.In["inverters"], m.Plan.Site.Inverter.Phases, m.Plan.Site.Phases)
}

// gridOffers is the formula for what the grid chargers put into the bank under that limit.
func (m *maker) gridOffers() string {
	out, limit := m.Out, m.enteredInput()
	takes := fmt.Sprintf("(%s-%s)", out["input_a"], out["pass_through_a"])
	return fmt.Sprintf("%[1]s*IF(%[2]s>0,MIN(1,%[2]s/MAX(%[3]s,1E-9)),1)", out["grid_charger_a"], limit, takes)
}

// generatorOffers is the formula for the mean current into the bank while the generator runs: what the chargers give
// with what is entered, as far as the loads leave it, interval by interval of the day.
func (m *maker) generatorOffers() string {
	in, out, below := m.In, m.Out, m.BelowDay()
	row := below.DcWh + 11
	m.Day.Put(row, 2, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Charging from the generator")) + ", W", Wrap: true})
	most := fmt.Sprintf("%s*%s/%s", out["generator_charge_a"], out["bank_v"], in["efficiency"])
	set := fmt.Sprintf("%s*%s", out["set_charge_a"], out["bank_v"])
	for k := range m.Intervals {
		col := course.FirstInterval + k
		m.Day.Calc(row, col, book.Live, book.AsTenth, "MIN(%s,%s*%s)", set,
			m.generatorLeaves(string(m.Day.At(below.MeanW, col)), most), in["efficiency"])
	}
	return fmt.Sprintf("SUMPRODUCT(%s,%s)/24/%s", m.Through(row), m.Through(course.DayHours), out["bank_v"])
}
