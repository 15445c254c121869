package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/site"
	"outlast/backup/solar"
)

// fillArrays works out what the strings of each array give at the ends of the climate.
func (m *maker) fillArrays() {
	if m.solar == nil {
		return
	}
	l := m.List(m.solar, phrase.Of("PV array"))
	s := m.solar
	const right = 6 // the column of the published table beside the list
	s.Put(4, right, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Open-circuit voltage factor of cold, down to"))})
	s.Put(5, right, book.Cell{Kind: book.Head, Text: "°C"})
	s.Put(5, right+1, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Multiplier"))})
	downTo, factors := solar.VocFactors()
	for i := range downTo {
		s.Num(6+i, right, book.Table, downTo[i], book.AsGiven)
		s.Num(6+i, right+1, book.Table, factors[i], book.AsGiven)
	}
	rows := s.Span(6, right, 5+len(downTo), right)
	shares := s.Span(6, right+1, 5+len(downTo), right+1)
	cold, hot := m.stringsAir(l)
	factor := func(at book.Ref) string {
		return fmt.Sprintf("IF(%[1]s>=25,1,INDEX(%[2]s,MATCH(%[1]s,%[3]s,1)))", at, shares, rows)
	}
	for i := range m.Plan.Site.Arrays {
		m.fillArray(l, i, cold, hot, factor(cold))
	}
}

// stringsAir is the coldest and the hottest air of the strings: of the site or of a weather file.
func (m *maker) stringsAir(l *book.List) (cold, hot book.Ref) {
	in := m.In
	l.Part(phrase.Of("Air of the strings"))
	s := m.Plan.Site
	coldest := string(in["coldest_c"])
	outdoors, told := in["coldest_air_c"]
	if told {
		coldest += "," + string(outdoors)
	}
	weather, hottest := false, string(in["hottest_c"])
	for i, a := range s.Arrays {
		if a.Hours == nil {
			continue
		}
		weather = true
		cold, hot := a.Hours.AirRangeC()
		coldest += "," + string(l.Published("", phrase.Of("Array %d: %s", i+1, phrase.Of("coldest air")), cold, "C",
			phrase.Of("weather file")))
		if !told {
			coldest += "-" + book.Lit(site.WeatherAllowanceK)
		}
		hottest += "," + string(l.Published("", phrase.Of("Array %d: %s", i+1, phrase.Of("hottest air")), hot, "C",
			phrase.Of("weather file")))
	}
	how := phrase.Of("of the site")
	if weather {
		how = phrase.Of("of the site and of the weather files, whichever goes further")
	}
	howCold := how
	if weather && !told {
		howCold = phrase.Of("coldest_c, or %g K below the coldest hour of the weather files",
			float64(site.WeatherAllowanceK))
	}
	cold = l.Figure("strings_coldest_c", phrase.Of("Coldest air of the strings"), "C", howCold, "MIN(%s,%s)",
		book.Lit(solar.MostAirC), coldest)
	hot = l.Figure("strings_hottest_c", phrase.Of("Hottest air of the strings"), "C", how, "MIN(%s,MAX(%s,%s))",
		book.Lit(solar.MostAirC), cold, hottest)
	return cold, hot
}

// fillArray works out what the strings of an array give at the ends of the climate. table is the formula for the factor of
// cold without a coefficient.
func (m *maker) fillArray(l *book.List, i int, cold, hot book.Ref, table string) {
	in := m.In
	usual, _ := solar.Module{}.WithDefaults()
	key := course.ArrayKey(i + 1)
	of := func(name string) book.Ref { return in[key+name] }
	figure := func(name string, label phrase.Phrase, unit string, how phrase.Phrase, formula string,
		args ...any) book.Ref {
		return l.Figure(key+name, label, unit, how, formula, args...)
	}
	l.Part(phrase.Of("Array %d", i+1))
	n, strings := of("modules_per_string"), of("strings")
	opened := figure("voc_factor", phrase.Of("Open-circuit voltage factor of cold"), "",
		phrase.Of("1 + voc_pct_per_c / 100 * (cold_c - 25); without a coefficient by the published table"),
		"IF(%[1]s=0,%[3]s,1+%[1]s/100*(%[2]s-25))",
		of("voc_pct_per_c"), cold, table)
	figure("voc_cold_v", phrase.Of("open-circuit voltage of a string at the coldest"), "V",
		phrase.Symbols("modules_per_string * voc_v * voc_factor"), "%s*%s*%s", n, of("voc_v"), opened)
	// The coefficient of the operating voltage follows from those of power and current, each with its default.
	slope := figure("vmp_per_c", phrase.Of("Temperature coefficient of the operating voltage"), "1/K",
		phrase.Of("that of the power less that of the current; defaults of crystalline silicon"),
		"IF(%[1]s=0,%[2]s,%[1]s/100)-IF(%[3]s=0,%[4]s,%[3]s/100)", of("pmax_pct_per_c"), book.Lit(usual.PmaxPerC),
		of("isc_pct_per_c"), book.Lit(usual.IscPerC))
	figure("vmp_cold_v", phrase.Of("operating voltage of a string at the coldest"), "V",
		phrase.Of("modules_per_string * vmp_v * (1 + vmp_per_c * (cold_c - 25)), at least 0"),
		"%s*%s*MAX(0,1+%s*(%s-25))", n, of("vmp_v"), slope, cold)
	heat := figure("cell_c", phrase.Of("temperature of the cells at the hottest, in full sun"), "C",
		phrase.Symbols("hot_c + (noct_c - 20) * 1000 / 800"), "%s+(IF(%[2]s=0,%[3]s,%[2]s)-20)*1000/800", hot,
		of("noct_c"), book.Lit(usual.NOCTC))
	figure("vmp_hot_v", phrase.Of("operating voltage of a string at the hottest"), "V",
		phrase.Of("modules_per_string * vmp_v * (1 + vmp_per_c * (cell_c - 25)), at least 0"),
		"%s*%s*MAX(0,1+%s*(%s-25))", n, of("vmp_v"), slope, heat)
	figure("all_imp_a", phrase.Of("current of the strings at maximum power"), "A",
		phrase.Symbols("strings * imp_a"), "%s*%s", strings, of("imp_a"))
	figure("all_isc_a", phrase.Of("short-circuit current of the strings, with a quarter more"), "A",
		phrase.Of("strings * isc_a * 1.25"), "%s*%s*%s", strings, of("isc_a"), book.Lit(solar.ShortCircuitFactor))
	figure("array_w", phrase.Of("rated power of the modules"), "W",
		phrase.Symbols("rated_w * modules_per_string * strings"), "%s*%s*%s", of("rated_w"), n, strings)
}

// arrayComparisons are those of the strings on each tracker input.
func (m *maker) arrayComparisons(add func(string, comparison)) {
	in, out := m.In, m.Out
	byInput, most := map[int][]int{}, 0
	for i, a := range m.Plan.Site.Arrays {
		byInput[a.Input] = append(byInput[a.Input], i+1)
		most = max(most, a.Input)
	}
	for input, arrays := range byInput {
		if input > len(m.Plan.Site.Inverter.Inputs) {
			continue
		}
		all := func(function, name string) string {
			var cells []string
			for _, n := range arrays {
				cells = append(cells, string(out[course.ArrayKey(n)+name]))
			}
			return fmt.Sprintf("%s(%s)", function, strings.Join(cells, ","))
		}
		id := func(name string) string {
			if most == 1 {
				return name
			}
			return fmt.Sprintf("%s-%d", name, input)
		}
		limit := func(key string) string { return string(in[fmt.Sprintf("input_%d_%s", input, key)]) }
		clips := m.Pass[1] // beyond the limit energy is lost, nothing breaks
		for name, k := range map[string]comparison{
			"string-voc-cold": {demand: all("MAX", "voc_cold_v"), limit: limit("max_v")},
			"string-vmp-cold": {demand: all("MAX", "vmp_cold_v"), limit: limit("track_max_v"), broken: clips},
			"string-vmp-hot": {demand: all("MIN", "vmp_hot_v"), limit: limit("track_min_v"), broken: clips,
				atLeast: true},
			"string-start": {demand: all("MIN", "vmp_hot_v"), limit: limit("start_v"), broken: clips,
				atLeast: true},
			"string-current":       {demand: all("SUM", "all_imp_a"), limit: limit("max_a"), broken: clips},
			"string-short-circuit": {demand: all("SUM", "all_isc_a"), limit: limit("max_short_circuit_a")},
			"string-power":         {demand: all("SUM", "array_w"), limit: limit("max_w"), broken: clips},
		} {
			k.mayLack = true
			add(id(name), k)
		}
		if len(arrays) > 1 {
			var volts []string
			for _, n := range arrays {
				volts = append(volts, fmt.Sprintf("%s*%s", in[course.ArrayKey(n)+"vmp_v"],
					in[course.ArrayKey(n)+"modules_per_string"]))
			}
			each := strings.Join(volts, ",")
			add(id("string-parallel"), comparison{demand: fmt.Sprintf("MAX(%s)", each),
				limit: fmt.Sprintf("MIN(%s)*%s", each, book.Lit(1+solar.ParallelSpread)), broken: clips})
		}
	}
}
