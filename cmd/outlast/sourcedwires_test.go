package main

import "fmt"

// sourcedWires are derating, conductors, devices and generators.
func sourcedWires() []sourced {
	derated := home{site: "hottest_c = 50",
		inverter: "rated_w = 10000\nrated_va = 10000\nderate_from_c = 40\nderate_per_c = 0.025"}
	us := "tables = \"us\"\nambient_c = 30"
	drop := func(mm2 float64) home {
		return home{site: "nominal_v = 120\nfrequency_hz = 60", wiring: us,
			circuit: fmt.Sprintf("breaker_a = 30\ncable_mm2 = %g\nlength_m = 30.48", mm2),
			loads:   []string{always(2400)}}
	}
	shower := home{site: "nominal_v = 240", wiring: "tables = \"iec\"\nambient_c = 30",
		circuit: "breaker_a = 32\ncable_mm2 = 4\nlength_m = 16", loads: []string{always(6000)}}
	cable := home{inverter: dc(24) + "\nrated_w = 2500\nrated_va = 2500\nefficiency = 0.85\ndc_min_v = 20",
		bank:   "chemistry = \"flooded\"\nnominal_v = 24\nrated_ah = 1000\nmin_v = 22\nstrings = 1",
		wiring: us + "\nbank_m = 2", loads: []string{always(2500)}}
	continuous := home{site: "nominal_v = 120\nfrequency_hz = 60", wiring: us, circuit: "length_m = 5",
		loads: []string{always(1920)}}
	exam := "electrician exam-preparation page on voltage drop"
	course := "open electrician course, lesson on PV voltage and current, NEC 2023"
	module := "rated_w = 550\nvoc_v = 49.5\nisc_a = 11.2\nvmp_v = 41.2\nimp_a = 10.8\ntilt_deg = 30\nazimuth_deg = 180\n"
	array := func(coldest float64, modules int, more string) home {
		return home{site: fmt.Sprintf("coldest_air_c = %g\nlatitude = 40", coldest),
			inverter: "input = [{ max_v = 1000, track_min_v = 200, track_max_v = 900, max_a = 30, max_short_circuit_a = 40 }]",
			wiring:   us + "\narray_m = 10", rest: fmt.Sprintf("[[array]]\n%smodules_per_string = %d\n%s\n", module,
				modules, more)}
	}
	all := []sourced{
		{"drive at 50 C", "manual of an industrial drive, 2.5 % a kelvin above 40 C", seen, derated,
			"inverter.derated_va", 0.0001, 0.75, 0.005},
		{"12 AWG, 20 A, 100 ft at 120 V", exam, seen, drop(3.31), "wiring[id=cable-c].drop", 120, 7.92, 0.005},
		{"8 AWG, 20 A, 100 ft at 120 V", exam, seen, drop(8.37), "wiring[id=cable-c].drop", 120, 3.11, 0.005},
		{"4 mm2, 25 A, 16 m at 240 V", "training document on cables, 11 mV an ampere and metre", seen, shower,
			"wiring[id=cable-c].drop", 100, 1.83, 0.01},
		{"battery current of 2500 W at 22 V", "syllabus of PV installers, wires between inverter and battery", seen,
			cable, "checks[id=dc-current].demand", 0, 133.7, 0.05},
		{"cable for that current", "syllabus of PV installers, wires between inverter and battery", seen, cable,
			"wiring[id=cable-bank].needs_a", 0, 167, 0.5},
		{"breaker for 16 A all day", "electrician's journal on NEC 210.20(A)", seen, continuous,
			"wiring[id=cable-c].device_a", 0, 20, 0.5},
		{"open-circuit volts of a module at -10 C", course, seen, array(-10, 11, "voc_pct_per_c = -0.27"),
			"checks[id=string-voc-cold].demand", 1. / 11, 54.18, 0.005},
		{"11 modules at -10 C", course, seen, array(-10, 11, "voc_pct_per_c = -0.27"),
			"checks[id=string-voc-cold].demand", 0, 596, 0.5},
		{"by the code's table at -10 C", course, seen, array(-10, 10, ""), "checks[id=string-voc-cold].demand", 0.1,
			56.43, 0.005},
		{"18 modules at -5 C", "training page on string sizing", seen, array(-5, 18, "voc_pct_per_c = -0.28"),
			"checks[id=string-voc-cold].demand", 1. / 18, 53.66, 0.005},
		{"highest current of a string", course, seen, array(10, 10, "voc_pct_per_c = -0.27"),
			"wiring[id=cable-array-1].needs_a", 0, 14.0, 0.05},
	}
	// Factors of a generator by altitude and heat.
	for _, row := range []struct{ m, c, factor float64 }{{1500, 25, 0.97}, {2000, 25, 0.94}, {2500, 25, 0.91},
		{3000, 25, 0.88}, {3500, 25, 0.85}, {4000, 25, 0.82},
		{0, 45, 0.97}, {0, 50, 0.94}, {0, 55, 0.91}, {0, 60, 0.88}, {2500, 50, 0.8554}, {1500, 45, 0.9409}} {
		all = append(all, sourced{fmt.Sprintf("alternator at %g m and %g C", row.m, row.c),
			"two generator manuals and a training sheet on alternators", seen,
			home{site: fmt.Sprintf("altitude_m = %g\nhottest_c = %g", row.m, row.c),
				practice: "generator_rule = \"alternator\"",
				rest:     "[generator]\nrated_va = 10000\npower_factor = 0.8\nfuel = \"diesel\"\n"},
			"generator.derated_va", 0.0001, row.factor, 0.00005})
	}
	return append(all, sourced{"engine at 5000 ft and 97 F",
		"manual of a standby generator: 3.5 % for each 1000 ft, 1 % for each 10 F above 77 F", derived,
		home{site: "altitude_m = 1524\nhottest_c = 36.1111", practice: "generator_rule = \"engine\"",
			rest: "[generator]\nrated_va = 10000\npower_factor = 0.8\nfuel = \"petrol\"\n"},
		"generator.derated_va", 0.0001, 0.8085, 0.00005})
}

// sourcedSun are irradiation, losses of an array, and an outage.
func sourcedSun() []sourced {
	array := func(latitude float64, month int) home {
		months := "monthly_kwh_m2_day = [3, 3, 3, 5, 3, 3, 3, 3, 3, 3, 3, 3]"
		return home{site: fmt.Sprintf("latitude = %g", latitude), outage: fmt.Sprintf("month = %d", month),
			inverter: "input = [{ max_v = 1000, track_min_v = 100, track_max_v = 900, max_a = 30, max_short_circuit_a = 40 }]",
			rest: "[[array]]\nrated_w = 400\nvoc_v = 40\nisc_a = 11\nvmp_v = 33\nimp_a = 10\n" +
				"modules_per_string = 8\ntilt_deg = 0\nazimuth_deg = 180\n" + months + "\n"}
	}
	madison := array(43, 4)
	survival := "hand check of a survival table: 5 kWh, 95 % of it out, 200 W"
	everyStart := []string{"outage", "--every-start", "--step", "60"}
	small := func(command []string) home {
		return home{bank: "chemistry = \"lfp\"\nnominal_v = 50\nrated_ah = 100\nmax_dod = 1\nmin_v = 1\nstrings = 1",
			inverter: dc(50) + "\nefficiency = 0.95", loads: []string{always(200)}, command: command}
	}
	return []sourced{
		{"irradiation above the air, 15 April at 43 N", "Duffie & Beckman, Example 1.10.1, by the tests of a library",
			seen, madison,
			"working[title=Array 1: irradiation above the atmosphere].value", 3.6, 33.8, 0.05},
		{"losses of an array", "NREL/TP-6A20-62641 (2014), default losses, by the tests of a library", seen, madison,
			"working[title=Array 1: losses].value", 100, 14.075660688264469, 1e-9},
		{"200 W from 5 kWh, 95 % out", survival, derived, small(nil), "bank.autonomy_new_h", 0, 23.75, 0.005},
		{"the same followed by the minute", survival, derived, small([]string{"outage"}), "until_dark_h", 0, 23.75,
			1. / 60},
		{"whole hours from every start", survival, derived, small(everyStart), "mean_h", 0, 23, 1e-9},
		{"chance to outlast 8 h", survival, derived, small(everyStart), "chances.8", 0, 1, 1e-9},
		{"chance to outlast 24 h", survival, derived, small(everyStart), "chances.24", 0, 0, 1e-9},
		{"demand of three days", survival, derived, small([]string{"outage"}), "energy_wh.demand", 0, 72 * 200, 0.5},
		{"what of it is served", survival, derived, small([]string{"outage"}), "energy_wh.served", 0, 5000 * 0.95, 0.5},
	}
}
