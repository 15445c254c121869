package account

import (
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/solar"
	"outlast/backup/working"
	"outlast/loads"
)

// workBoard counts the circuits of the backup board.
func (w *workings) workBoard() {
	t := &working.Table{Columns: []working.Column{{Name: "n"}}}
	for _, c := range w.p.Site.Circuits {
		if c.Board == loads.BoardBackup {
			t.Rows = append(t.Rows, working.Row{Label: phrase.Name(c.Label),
				Values: []float64{float64(len(t.Rows) + 1)}})
		}
	}
	if len(t.Rows) > 0 {
		w.add(working.Step{Title: phrase.Of("Circuits on the backup board"), Name: "backup_circuits", Expr: "last(n)",
			Table:   t,
			Value:   float64(len(t.Rows)),
			Sources: definition})
	}
}

// coldAir is the coldest air of the strings, by what tells it.
func (w *workings) coldAir(c float64) working.Input {
	switch _, from, _ := w.p.Site.ColdAir(); {
	case from == site.AirOfBank:
		return working.Given("cold_c", c, "C", "site", "", "coldest_c")
	case from != site.AirOfWeather:
		return working.Given("cold_c", c, "C", "site", "", "coldest_air_c")
	case w.p.Site.ColdestAirC == nil:
		return working.Told("cold_c", c, "C", phrase.Of("coldest hour of the weather file, less %g K",
			float64(site.WeatherAllowanceK)))
	}
	return working.Told("cold_c", c, "C", phrase.Of("coldest hour of the weather file"))
}

// workStrings shows the voltages and currents of the strings of each array at the ends of the climate.
func (w *workings) workStrings() {
	p := w.p
	climate := p.Site.StringClimate()
	cold := w.coldAir(climate.ColdestC)
	hot := working.Given("hot_c", climate.HottestC, "C", "site", "", "hottest_c")
	if climate.HottestC != p.Site.HottestC {
		hot = working.Told("hot_c", climate.HottestC, "C",
			phrase.Of("air of the weather file, or the most that modules stand in"))
	}
	for i, a := range p.Site.Arrays {
		set, id := a.StringSet(), strconv.Itoa(i+1)
		volts, err := set.Voltages(climate)
		if err != nil {
			continue
		}
		m, _ := set.Module.WithDefaults()
		of := func(name string, v float64, unit string) working.Input {
			return working.Given(name, v, unit, "array", id, name)
		}
		add := func(what phrase.Phrase, name, expr string, v float64, unit string, source []working.Source,
			inputs ...working.Input) {
			w.add(working.Step{Title: phrase.Of("Array %d: %s", i+1, what), Name: name + " of array " + id, Expr: expr,
				Inputs: inputs,
				Value:  v, Unit: unit, Sources: source})
		}
		n, strings := of("modules_per_string", float64(set.PerString), ""), of("strings", float64(set.Strings), "")
		factor, opened := "(1 + voc_pct_per_c / 100 * (cold_c - 25))", []working.Input{n, of("voc_v", m.VocV, "V"),
			of("voc_pct_per_c", a.Module.VocPctPerC, "%/K"), cold}
		if m.VocPerC == 0 {
			k, err := solar.VocFactor(climate.ColdestC)
			if err != nil {
				continue
			}
			factor, opened = "voc_factor", []working.Input{n, opened[1], working.Told("voc_factor", k, "", published)}
		}
		add(phrase.Of("open-circuit voltage of a string at the coldest"), "voc_cold_v",
			"modules_per_string * voc_v * "+factor,
			volts.VocColdV, "V", nec("690.7(A)"), opened...)
		slope := working.Told("vmp_per_c", m.VmpPerC, "1/K", phrase.Of("of the module, by its data or default"))
		vmp := of("vmp_v", m.VmpV, "V")
		add(phrase.Of("operating voltage of a string at the coldest"), "vmp_cold_v",
			"modules_per_string * vmp_v * max(0, 1 + vmp_per_c * (cold_c - 25))", volts.VmpColdV, "V", definition, n,
			vmp, slope, cold)
		add(phrase.Of("temperature of the cells at the hottest, in full sun"), "cell_c",
			"hot_c + (noct_c - 20) * 1000 / 800",
			volts.CellHotC, "C", cellHeat, hot, of("noct_c", m.NOCTC, "C"))
		add(phrase.Of("operating voltage of a string at the hottest"), "vmp_hot_v",
			"modules_per_string * vmp_v * max(0, 1 + vmp_per_c * (cell_c - 25))", volts.VmpHotV, "V", definition, n,
			vmp, slope,
			w.as("cell_c", "cell_c of array "+id))
		add(phrase.Of("current of the strings at maximum power"), "imp_a", "strings * imp_a",
			float64(set.Strings)*m.ImpA, "A",
			definition, strings, of("imp_a", m.ImpA, "A"))
		add(phrase.Of("short-circuit current of the strings, with a quarter more"), "isc_a", "strings * isc_a * 1.25",
			float64(set.Strings)*m.IscA*1.25, "A", nec("690.8(A)"), strings, of("isc_a", m.IscA, "A"))
		add(phrase.Of("rated power of the modules"), "array_w", "rated_w * modules_per_string * strings",
			set.RatedW(), "W",
			definition, of("rated_w", a.Module.RatedW, "W"), n, strings)
	}
}
