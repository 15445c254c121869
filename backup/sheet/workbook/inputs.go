package workbook

import (
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/loads"
)

// fillInputs lists what the plan rests on beside the loads: site, outage, practice, inverters, battery.
func (m *maker) fillInputs() error {
	s := m.p.Site
	l := m.list(m.inputs, phrase.Of("Inputs"), phrase.Phrase{})
	keys := func(table string, of []keyed) {
		for _, k := range of {
			name := k.name
			if name == "" {
				name = k.key
			}
			label := l.r.KeyName(k.key)
			if !k.label.Empty() {
				label = l.say(k.label)
			}
			l.given(name, label, k.value, k.unit, "["+table+"] "+k.key)
		}
	}
	l.part(phrase.Of("Site"))
	keys("site", []keyed{
		{"site_v", "nominal_v", phrase.Of("Voltage, line to neutral"), s.NominalV, "V"},
		{"", "altitude_m", phrase.Phrase{}, s.AltitudeM, "m"},
		{"", "coldest_c", phrase.Phrase{}, s.ColdestC, "C"}, {"", "hottest_c", phrase.Phrase{}, s.HottestC, "C"}})
	m.layout(l, phrase.Of("Phases"), float64(s.Phases), "", phrase.Of("as planned: what depends on it is laid out so"))

	l.part(phrase.Of("Outage"))
	keys("outage", []keyed{{"", "autonomy_h", phrase.Of("Required autonomy"), s.Outage.AutonomyH, "h"},
		{"", "reserve", phrase.Phrase{}, s.Outage.Reserve, ""}})
	row := l.line(l.say(phrase.Of("Start of the outage")), "h",
		l.say(phrase.Of("[outage] start; empty: the start that needs most energy")))
	m.in["outage_start"] = l.inputs.at(row, colValue)
	c := cell{kind: input, format: asClock}
	if s.Outage.Start != site.WorstStart {
		c.isNum, c.number = true, float64(s.Outage.Start)/1440
	}
	l.put(row, colValue, c)
	l.times = append(l.times, colName(colValue)+itoa(row))
	m.layout(l, phrase.Of("Month of the outage"), float64(m.p.Month), "",
		phrase.Of("as planned: the loads of this month are laid out"))

	l.part(phrase.Of("Practice"))
	keys("practice", []keyed{{"", "margin", phrase.Phrase{}, s.Practice.Margin, ""},
		{"", "growth", phrase.Phrase{}, s.Practice.Growth, ""},
		{"", "end_of_life", phrase.Phrase{}, s.Practice.EndOfLife, ""},
		{"practice_max_dod", "max_dod", phrase.Of("Depth of discharge of the practice, 0: that of the battery"),
			s.Practice.MaxDoD, ""},
		{"", "headroom", phrase.Phrase{}, s.Practice.Headroom, ""}})

	l.part(phrase.Of("Inverter"))
	inv := s.Inverter
	keys("inverter", []keyed{{"inverters", "count", phrase.Phrase{}, float64(s.InverterCount), ""},
		{"", "rated_w", phrase.Phrase{}, inv.RatedW, "W"}, {"", "rated_va", phrase.Phrase{}, inv.RatedVA, "VA"}})
	for i, o := range inv.Overload {
		n := itoa(i + 1)
		l.given("overload_s_"+n, l.say(phrase.Of("Overload %d, for", i+1)), o.Seconds, "s", "[inverter] overload")
		l.given("overload_va_"+n, l.say(phrase.Of("Overload %d", i+1)), o.VA, "VA", "[inverter] overload")
	}
	keys("inverter", []keyed{{"", "efficiency", phrase.Phrase{}, inv.Efficiency, ""}})
	for i, p := range inv.EfficiencyCurve {
		n := itoa(i + 1)
		l.given("curve_load_"+n, l.say(phrase.Of("Efficiency %d, at a share of the rating of", i+1)), p.Load, "",
			"[inverter] efficiency_curve")
		l.given("curve_"+n, l.say(phrase.Of("Efficiency %d", i+1)), p.Efficiency, "", "[inverter] efficiency_curve")
	}
	keys("inverter", []keyed{{"", "idle_w", phrase.Phrase{}, inv.IdleW, "W"},
		{"", "derate_from_c", phrase.Phrase{}, inv.DerateFromC, "C"},
		{"", "derate_per_c", phrase.Phrase{}, inv.DeratePerC, ""},
		{"", "derate_from_m", phrase.Phrase{}, inv.DerateFromM, "m"},
		{"", "derate_per_100m", phrase.Phrase{}, inv.DeratePer100M, ""},
		{"", "dc_min_v", phrase.Phrase{}, inv.DCMinV, "V"}, {"", "dc_max_v", phrase.Phrase{}, inv.DCMaxV, "V"},
		{"", "max_discharge_a", phrase.Phrase{}, inv.MaxDischargeA, "A"},
		{"", "max_charge_a", phrase.Phrase{}, inv.MaxChargeA, "A"},
		{"", "charger_a", phrase.Phrase{}, inv.ChargerA, "A"},
		{"", "pass_through_a", phrase.Phrase{}, inv.PassThroughA, "A"},
		{"", "ac_input_a", phrase.Phrase{}, inv.ACInputA, "A"},
		{"", "transfer_ms", phrase.Phrase{}, orZero(inv.TransferMs), "ms"}})
	m.flag(l, "equalises", phrase.Of("It equalises (1: yes, 0: no)"), inv.Equalises, "[inverter] equalises")
	m.layout(l, phrase.Of("Phases of one inverter"), float64(inv.Phases), "",
		phrase.Of("as planned: what depends on it is laid out so"))

	m.fillTrackerInputs(l)

	l.part(phrase.Of("Battery"))
	u := s.Unit
	keys("bank", []keyed{{"unit_v", "nominal_v", phrase.Of("Nominal voltage of a unit"), u.NominalV, "V"},
		{"", "rated_ah", phrase.Phrase{}, u.RatedAh, "Ah"}, {"", "rated_h", phrase.Phrase{}, u.RatedH, "h"},
		{"", "peukert", phrase.Phrase{}, u.Peukert, ""}})
	for i, p := range u.Capacity {
		n := itoa(i + 1)
		l.given("capacity_h_"+n, l.say(phrase.Of("Capacity %d, in", i+1)), p.Hours, "h", "[bank] capacity")
		l.given("capacity_ah_"+n, l.say(phrase.Of("Capacity %d", i+1)), p.Ah, "Ah", "[bank] capacity")
	}
	limit := 0.0
	if !u.DoDUsual {
		limit = u.MaxDoD
	}
	keys("bank", []keyed{{"unit_max_dod", "max_dod", phrase.Phrase{}, limit, ""},
		{"", "min_v", phrase.Phrase{}, u.MinV, "V"},
		{"", "charge_v", phrase.Phrase{}, u.ChargeV, "V"}, {"", "float_v", phrase.Phrase{}, u.FloatV, "V"},
		{"", "equalise_v", phrase.Phrase{}, u.EqualiseV, "V"},
		{"", "charge_mv_per_cell_c", phrase.Phrase{}, u.CompensationMV(), "mV/K"},
		{"unit_max_discharge_a", "max_discharge_a", phrase.Of("Highest discharge current of a unit"),
			u.MaxDischargeA, "A"},
		{"", "pulse_a", phrase.Phrase{}, u.PulseA, "A"}, {"", "pulse_s", phrase.Phrase{}, u.PulseS, "s"},
		{"unit_max_charge_a", "max_charge_a", phrase.Of("Highest charge current of a unit"), u.MaxChargeA, "A"},
		{"", "resistance_mohm", phrase.Phrase{}, u.ResistanceMohm, "mohm"},
		{"", "max_parallel", phrase.Phrase{}, float64(u.MaxParallel), ""},
		{"", "round_trip", phrase.Phrase{}, u.RoundTrip, ""}})
	for _, t := range []struct {
		key   string
		limit *float64
	}{{"charge_min_c", u.ChargeMinC}, {"charge_max_c", u.ChargeMaxC}, {"discharge_min_c", u.DischargeMinC}} {
		row := l.line(l.r.KeyName(t.key), "C", "[bank] "+t.key)
		c := cell{kind: input, format: asGiven}
		if t.limit != nil {
			c.isNum, c.number = true, *t.limit
		}
		m.in[t.key] = l.put(row, colValue, c)
	}

	l.part(phrase.Of("Bank"))
	l.given("series", l.say(phrase.Of("Units in series")), float64(s.Series), "", "[bank]")
	m.stringsRow = l.line(l.say(phrase.Of("Strings")), "", "[bank] strings")
	m.in["strings"] = l.at(m.stringsRow, colValue)
	if !m.p.Bank.Sized { // else it follows from the capacity
		l.num(m.stringsRow, colValue, input, float64(m.p.Bank.Strings), asGiven)
	}
	l.given("vent_cm2", l.say(phrase.Of("Ventilation opening, inlet and outlet each")), s.VentCM2, "cm2",
		"[bank] vent_cm2")

	m.fillArrayInputs(l)
	m.fillGeneratorInputs(l)

	l.part(phrase.Of("Backup board"))
	l.given("ways", l.say(phrase.Of("Ways, 0: no limit")), float64(s.Ways), "", "[board] ways")
	l.frozen = [2]int{3, 0}
	return m.fillCircuits()
}

// keyed is an input by its key.
type keyed struct {
	name  string // of its cell; "": the key
	key   string
	label phrase.Phrase // empty: the words of the key
	value float64
	unit  string
}

// layout is a figure of the plan that the workbook is laid out for: it is told, and not changed here.
func (m *maker) layout(l *list, label phrase.Phrase, value float64, unit string, why phrase.Phrase) {
	row := l.line(m.say(label), unit, m.say(why))
	l.num(row, colValue, worked, value, asGiven)
}

// flag is an input that is 0 or 1.
func (m *maker) flag(l *list, name string, label phrase.Phrase, on bool, key string) {
	at := l.row
	l.given(name, m.say(label), bit(on), "", key)
	l.flags = append(l.flags, colName(colValue)+itoa(at))
}

func bit(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

func orZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

// firstCircuit is the row of the first circuit.
const firstCircuit = 5

// fillCircuits lists the circuits with board and phase, both of which may be changed.
func (m *maker) fillCircuits() error {
	s := m.circuits
	s.say(1, 1, title, m.say(phrase.Of("Circuits")))
	s.say(2, 1, note,
		m.say(phrase.Of("Boards and phases are those of the plan. Nothing is chosen anew when a figure changes.")))
	for i, h := range []string{m.r.Say("col.no"), m.r.Say("col.circuit"),
		m.say(phrase.Of("On the backup board (1: yes, 0: no)")),
		m.say(phrase.Of("Phase, 0: all")), m.say(phrase.Of("Energy of a day")) + ", Wh",
		m.say(phrase.Of("Circuit breaker")) + ", A", m.say(phrase.Of("Current with the grid")) + ", A",
		m.say(phrase.Of("Margin")), m.say(phrase.Of("Rank, the lowest counts")), m.r.Say("col.status")} {
		s.put(firstCircuit-1, i+1, cell{kind: head, text: h, wrap: true, middle: i > 1})
	}
	s.width(5, 1)
	s.width(48, 2)
	s.width(16, 3, 4, 5, 6, 7, 8, 9, 10)
	for i, c := range m.p.Site.Circuits {
		row := firstCircuit + i
		s.put(row, 1, cell{kind: plain, isNum: true, number: float64(i + 1), format: asGiven, middle: true})
		s.long(row, 2, plain, speechName(m.r.Called(c.Label)))
		s.num(row, 3, input, bit(c.Board == loads.BoardBackup), asGiven)
		s.num(row, 4, input, float64(c.Phase), asGiven)
		breaker := cell{kind: input, format: asGiven}
		if c.BreakerA > 0 {
			breaker.isNum, breaker.number = true, c.BreakerA
		}
		s.put(row, circuitBreaker, breaker)
	}
	if n := len(m.p.Site.Circuits); n > 0 {
		s.flags = append(s.flags, "C"+itoa(firstCircuit)+":C"+itoa(firstCircuit+n-1))
	}
	s.frozen, s.heads = [2]int{firstCircuit - 1, 2}, firstCircuit-1
	return nil
}
