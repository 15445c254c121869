package course

import (
	"fmt"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/solar"
)

// ArrayKey begins the names of the cells of an array, counted from 1.
func ArrayKey(n int) string { return fmt.Sprintf("array_%d_", n) }

// fillArrayInputs lists the modules and strings of each array.
func (m *Home) fillArrayInputs(l *book.List) {
	for i, a := range m.Plan.Site.Arrays {
		mod := a.Module
		l.Part(phrase.Of("Array %d", i+1))
		for _, k := range []struct {
			key   string
			value float64
			unit  string
		}{{"rated_w", mod.RatedW, "W"}, {"voc_v", mod.VocV, "V"}, {"isc_a", mod.IscA, "A"}, {"vmp_v", mod.VmpV, "V"},
			{"imp_a", mod.ImpA, "A"}, {"voc_pct_per_c", mod.VocPctPerC, "%/K"},
			{"pmax_pct_per_c", mod.PmaxPctPerC, "%/K"}, {"isc_pct_per_c", mod.IscPctPerC, "%/K"},
			{"noct_c", mod.NOCTC, "C"}, {"modules_per_string", float64(a.ModulesPerString), ""},
			{"strings", float64(a.Strings), ""}} {
			l.Given(ArrayKey(i+1)+k.key, m.keyName(k.key), k.value, k.unit, "[[array]] "+k.key)
		}
	}
}

// trackerKeys are the limits of a tracker input by their keys.
func trackerKeys(in solar.Input) []keyed {
	return []keyed{{key: "max_v", value: in.MaxV, unit: "V"}, {key: "start_v", value: in.StartV, unit: "V"},
		{key: "track_min_v", value: in.TrackMinV, unit: "V"}, {key: "track_max_v", value: in.TrackMaxV, unit: "V"},
		{key: "max_a", value: in.MaxA, unit: "A"},
		{key: "max_short_circuit_a", value: in.MaxShortCircuitA, unit: "A"}, {key: "max_w", value: in.MaxW, unit: "W"}}
}

// fillTrackerInputs lists the limits of the tracker inputs of the inverter, where an array is led to one.
func (m *Home) fillTrackerInputs(l *book.List) {
	if len(m.Plan.Site.Arrays) == 0 {
		return
	}
	for i, in := range m.Plan.Site.Inverter.Inputs {
		for _, k := range trackerKeys(solar.Input(in)) {
			l.Given(fmt.Sprintf("input_%d_%s", i+1, k.key), m.keyName(fmt.Sprintf("input %d %s", i+1, k.key)),
				k.value,
				k.unit, "[inverter] input")
		}
	}
}

// fillGeneratorInputs lists the generator, and the practice that it is held against.
func (m *Home) fillGeneratorInputs(l *book.List) {
	if m.Plan.Site.Generator == nil {
		return
	}
	g, p := m.Plan.Site.Generator, m.Plan.Site.Practice.Wires()
	l.Part(phrase.Of("Generator"))
	for _, k := range []struct {
		name, table, key string
		value            float64
		unit             string
	}{{"generator_rated_va", "generator", "rated_va", g.RatedVA, "VA"},
		{"generator_power_factor", "generator", "power_factor", g.PowerFactor, ""},
		{"generator_share", "practice", "generator_share", p.GeneratorShare, ""},
		{"generator_times", "practice", "generator_start", p.GeneratorStart, ""},
		{"generator_most_dip", "practice", "generator_dip", p.GeneratorDip, ""},
		{"generator_reactance", "practice", "generator_reactance", p.GeneratorReactance, ""}} {
		l.Given(k.name, m.keyName(k.key), k.value, k.unit, "["+k.table+"] "+k.key)
	}
	var start *float64 // what is only usual follows from the bank
	if g.StartGiven {
		start = &g.StartSoC
	}
	m.unsaid(l, "generator", "start_soc", start, "")
	l.Given("stop_soc", m.keyName("stop_soc"), g.StopSoC, "", "[generator] stop_soc")
	l.Given("fuel_l", m.keyName("fuel_l"), g.FuelL, "l", "[generator] fuel_l")
	for i, f := range g.FuelLPerH {
		n := strconv.Itoa(i + 1)
		l.Given("fuel_load_"+n, m.Prose(phrase.Of("Fuel %d, at a share of the rated power of", i+1)), f.Load, "",
			"[generator] fuel_l_per_h")
		l.Given("fuel_l_per_h_"+n, m.Prose(phrase.Of("Fuel %d", i+1)), f.LPerH, "l/h", "[generator] fuel_l_per_h")
	}
}
