package course

import (
	"slices"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/site"
)

// fillInputs lists what the plan rests on beside the loads: site, outage, practice, inverters, battery.
func (m *Home) fillInputs() {
	l := m.List(m.Inputs, phrase.Of("Inputs"))
	for _, fill := range []func(*book.List){m.fillSiteInputs, m.fillOutageInputs, m.fillPracticeInputs,
		m.fillInverterInputs, m.fillTrackerInputs, m.fillBatteryInputs, m.fillBankInputs, m.fillArrayInputs,
		m.fillGeneratorInputs} {
		fill(l)
	}
	l.Part(phrase.Of("Backup board"))
	l.Given("ways", m.Prose(phrase.Of("Ways, 0: no limit")), float64(m.Plan.Site.Ways), "", "[board] ways")
	l.Frozen = [2]int{3, 0}
}

// keys lists inputs of a table of the site file.
func (m *Home) keys(l *book.List, table string, of []keyed) {
	for _, k := range of {
		name := k.name
		if name == "" {
			name = k.key
		}
		label := m.keyName(k.key)
		if !k.label.Empty() {
			label = m.Prose(k.label)
		}
		l.Given(name, label, k.value, k.unit, "["+table+"] "+k.key)
	}
}

func (m *Home) fillSiteInputs(l *book.List) {
	s := m.Plan.Site
	l.Part(phrase.Of("Site"))
	m.keys(l, "site", []keyed{
		{"site_v", "nominal_v", phrase.Of("Voltage, line to neutral"), s.NominalV, "V"},
		{"", "altitude_m", phrase.Phrase{}, s.AltitudeM, "m"},
		{"", "coldest_c", phrase.Phrase{}, s.ColdestC, "C"}, {"", "hottest_c", phrase.Phrase{}, s.HottestC, "C"}})
	// Where a weather file tells of the cold, that stands beside the arrays.
	if c, from, known := s.ColdAir(); len(s.Arrays) > 0 && (s.ColdestAirC != nil || !known) {
		if s.ColdestAirC != nil {
			c = *s.ColdestAirC
		}
		label := phrase.Phrase{}
		if from == site.AirAssumed {
			label = phrase.Of("coldest air outdoors, assumed by latitude and height")
		}
		m.keys(l, "site", []keyed{{"", "coldest_air_c", label, c, "C"}})
	}
	m.layout(l, phrase.Of("Phases"), float64(s.Phases), "", phrase.Of("as planned: what depends on it is laid out so"))
}

func (m *Home) fillOutageInputs(l *book.List) {
	s := m.Plan.Site
	l.Part(phrase.Of("Outage"))
	m.keys(l, "outage", []keyed{{"", "autonomy_h", phrase.Of("Required autonomy"), s.Outage.AutonomyH, "h"},
		{"", "reserve", phrase.Phrase{}, s.Outage.Reserve, ""}})
	row := l.Line(m.Prose(phrase.Of("Start of the outage")), "h",
		m.Prose(phrase.Of("[outage] start; empty: the start that needs most energy")))
	m.In["outage_start"] = l.At(row, book.ColValue)
	c := book.Cell{Kind: book.Input, Format: book.AsClock}
	if s.Outage.Start != site.WorstStart {
		c.IsNum, c.Number = true, float64(s.Outage.Start)/1440
	}
	l.Put(row, book.ColValue, c)
	l.Times = append(l.Times, book.ColumnName(book.ColValue)+strconv.Itoa(row))
	m.layout(l, phrase.Of("Month of the outage"), float64(m.Plan.Month), "",
		phrase.Of("as planned: the loads of this month are laid out"))
}

func (m *Home) fillPracticeInputs(l *book.List) {
	s := m.Plan.Site
	l.Part(phrase.Of("Practice"))
	m.keys(l, "practice", []keyed{{"", "margin", phrase.Phrase{}, s.Practice.Margin, ""},
		{"", "growth", phrase.Phrase{}, s.Practice.Growth, ""},
		{"", "end_of_life", phrase.Phrase{}, s.Practice.EndOfLife, ""},
		{"practice_max_dod", "max_dod", phrase.Of("Depth of discharge of the practice, 0: that of the battery"),
			s.Practice.MaxDoD, ""},
		{"", "headroom", phrase.Phrase{}, s.Practice.Headroom, ""}})
	wires := s.Practice.Wires()
	for _, f := range site.WiringFactors {
		if followedFactors[f.Key] || f.Key == "continuous_factor" && !m.PlainCurrents() {
			l.Given(f.Key, m.keyName(f.Key), *f.Field(&wires), "", "[practice] "+f.Key)
		}
	}
}

func (m *Home) fillInverterInputs(l *book.List) {
	s := m.Plan.Site
	l.Part(phrase.Of("Inverter"))
	inv := s.Inverter
	m.keys(l, "inverter", []keyed{{"inverters", "count", phrase.Phrase{}, float64(s.InverterCount), ""},
		{"", "rated_w", phrase.Phrase{}, inv.RatedW, "W"}, {"", "rated_va", phrase.Phrase{}, inv.RatedVA, "VA"}})
	for i, o := range inv.Overload {
		n := strconv.Itoa(i + 1)
		l.Given("overload_s_"+n, m.Prose(phrase.Of("Overload %d, for", i+1)), o.Seconds, "s", "[inverter] overload")
		l.Given("overload_va_"+n, m.Prose(phrase.Of("Overload %d", i+1)), o.VA, "VA", "[inverter] overload")
	}
	m.keys(l, "inverter", []keyed{{"", "efficiency", phrase.Phrase{}, inv.Efficiency, ""}})
	for i, p := range inv.EfficiencyCurve {
		n := strconv.Itoa(i + 1)
		l.Given("curve_load_"+n, m.Prose(phrase.Of("Efficiency %d, at a share of the rating of", i+1)), p.Load, "",
			"[inverter] efficiency_curve")
		l.Given("curve_"+n, m.Prose(phrase.Of("Efficiency %d", i+1)), p.Efficiency, "", "[inverter] efficiency_curve")
	}
	m.keys(l, "inverter", []keyed{{"", "idle_w", phrase.Phrase{}, inv.IdleW, "W"},
		{"", "derate_from_c", phrase.Phrase{}, inv.DerateFromC, "C"},
		{"", "derate_per_c", phrase.Phrase{}, inv.DeratePerC, ""},
		{"", "derate_from_m", phrase.Phrase{}, inv.DerateFromM, "m"},
		{"", "derate_per_100m", phrase.Phrase{}, inv.DeratePer100M, ""},
		{"", "dc_min_v", phrase.Phrase{}, inv.DCMinV, "V"}, {"", "dc_max_v", phrase.Phrase{}, inv.DCMaxV, "V"},
		{"", "max_discharge_a", phrase.Phrase{}, inv.MaxDischargeA, "A"},
		{"", "max_charge_a", phrase.Phrase{}, inv.MaxChargeA, "A"},
		{"", "charger_a", phrase.Phrase{}, inv.ChargerA, "A"},
		{"", "pass_through_a", phrase.Phrase{}, inv.PassThroughA, "A"},
		{"", "ac_input_a", phrase.Phrase{}, inv.ACInputA, "A"}})
	m.unsaid(l, "inverter", "transfer_ms", inv.TransferMs, "ms")
	m.charges(l)
	m.flag(l, "equalises", phrase.Of("It equalises (1: yes, 0: no)"), inv.Equalises, "[inverter] equalises")
	m.layout(l, phrase.Of("Phases of one inverter"), float64(inv.Phases), "",
		phrase.Of("as planned: what depends on it is laid out so"))
}

// fillBatteryInputs lists the data sheet of a unit.
func (m *Home) fillBatteryInputs(l *book.List) {
	l.Part(phrase.Of("Battery"))
	u := m.Plan.Site.Unit
	m.keys(l, "bank", []keyed{{"unit_v", "nominal_v", phrase.Of("Nominal voltage of a unit"), u.NominalV, "V"},
		{"", "rated_ah", phrase.Phrase{}, u.RatedAh, "Ah"}, {"", "rated_h", phrase.Phrase{}, u.RatedH, "h"},
		{"", "peukert", phrase.Phrase{}, u.Peukert, ""}})
	for i, p := range u.Capacity {
		n := strconv.Itoa(i + 1)
		l.Given("capacity_h_"+n, m.Prose(phrase.Of("Capacity %d, in", i+1)), p.Hours, "h", "[bank] capacity")
		l.Given("capacity_ah_"+n, m.Prose(phrase.Of("Capacity %d", i+1)), p.Ah, "Ah", "[bank] capacity")
	}
	limit := 0.0
	if !u.DoDUsual {
		limit = u.MaxDoD
	}
	m.keys(l, "bank", []keyed{{"unit_max_dod", "max_dod", phrase.Phrase{}, limit, ""},
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
		m.unsaid(l, "bank", t.key, t.limit, "C")
	}
}

// fillBankInputs lists how the units make the bank.
func (m *Home) fillBankInputs(l *book.List) {
	s := m.Plan.Site
	l.Part(phrase.Of("Bank"))
	l.Given("series", m.Prose(phrase.Of("Units in series")), float64(s.Series), "", "[bank]")
	m.StringsRow = l.Line(m.Prose(phrase.Of("Strings")), "", "[bank] strings")
	m.In["strings"] = l.At(m.StringsRow, book.ColValue)
	if !m.Plan.Bank.Sized { // else it follows from the capacity
		l.Num(m.StringsRow, book.ColValue, book.Input, float64(m.Plan.Bank.Strings), book.AsGiven)
	}
	l.Given("vent_cm2", m.Prose(phrase.Of("Ventilation opening, inlet and outlet each")), s.VentCM2, "cm2",
		"[bank] vent_cm2")
}

// followedFactors are the factors of the wiring that formulas follow. The others are laid out: a table that they change,
// or the generator's, which stand with it.
var followedFactors = map[string]bool{"dc_fuse_factor": true, "pv_factor": true, "dc_drop": true, "ac_drop": true,
	"total_drop": true, "start_drop": true, "long_run_per_m": true}

// keyed is an input by its key.
type keyed struct {
	name  string // of its cell; "": the key
	key   string
	label phrase.Phrase // empty: the words of the key
	value float64
	unit  string
}

// layout is a figure of the plan that the workbook is laid out for: it is told, and not changed here.
func (m *Home) layout(l *book.List, label phrase.Phrase, value float64, unit string, why phrase.Phrase) {
	row := l.Line(m.Prose(label), unit, m.Prose(why))
	l.Num(row, book.ColValue, book.Worked, value, book.AsGiven)
}

// flag is an input that is 0 or 1.
func (m *Home) flag(l *book.List, name string, label phrase.Phrase, on bool, key string) {
	at := l.Row
	l.Given(name, m.Prose(label), bit(on), "", key)
	l.Flags = append(l.Flags, book.ColumnName(book.ColValue)+strconv.Itoa(at))
}

func bit(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

// unsaid is an input of which 0 says something: it is empty where the site file says nothing.
func (m *Home) unsaid(l *book.List, table, key string, value *float64, unit string) {
	c := book.Cell{Kind: book.Input, Format: book.AsGiven}
	if value != nil {
		c.IsNum, c.Number = true, *value
	}
	m.In[key] = l.Put(l.Line(m.keyName(key), unit, "["+table+"] "+key), book.ColValue, c)
}

// charges asks whether the inverter is stated to charge batteries of this kind; empty: its data sheet names none.
func (m *Home) charges(l *book.List) {
	at, c := l.Row, book.Cell{Kind: book.Input, Format: book.AsGiven}
	if list := m.Plan.Site.Inverter.Chemistries; len(list) > 0 {
		c.IsNum, c.Number = true, bit(slices.Contains(list, m.Plan.Site.Unit.Chemistry))
	}
	l.Line(m.Prose(phrase.Of("It is stated to charge this kind of battery (1: yes, 0: no; empty: it does not say)")), "",
		"[inverter] chemistries")
	m.In["charges_it"] = l.Put(at, book.ColValue, c)
	l.Flags = append(l.Flags, book.ColumnName(book.ColValue)+strconv.Itoa(at))
}
