package site

import (
	"outlast/backup/wiring"
	"outlast/catalog/strict"
)

// usual is the practice of package wiring where the file says nothing. Its sources stand there.
var usual = func() wiring.Practice {
	p, err := wiring.Practice{}.Filled()
	if err != nil {
		panic(err) // the zero value is allowed
	}
	return p
}()

func deratingRuleNames() (names []string) {
	for _, rule := range wiring.AllDeratingRules() {
		names = append(names, string(rule))
	}
	return names
}

// wiringPracticeKeys are the factors that codes and offices differ in. Drops are fractions of the voltage.
var wiringPracticeKeys = []strict.Key{
	number("continuous_factor", 1, 2, "", "on loads of more than 3 h, for circuit breakers and cables; default 1.25 with the us tables, else 1"),
	or(number("dc_fuse_factor", 1, 2, "", "on the current between bank and inverter"), usual.DCFuseFactor),
	or(number("pv_factor", 1, 2, "", "on the short-circuit current of modules; twice for ratings"), usual.PVFactor),
	or(number("dc_drop", 1e-4, 0.5, "", "voltage drop of a DC run"), usual.DCDropLimit),
	or(number("ac_drop", 1e-4, 0.5, "", "voltage drop of one AC run"), usual.ACDropLimit),
	or(number("total_drop", 1e-4, 0.5, "", "voltage drop of an AC run and those before it"), usual.TotalDropLimit),
	or(number("start_drop", 1e-4, 0.5, "", "voltage drop of a run while the largest motor starts"), usual.StartDropLimit),
	or(number("long_run_per_m", 0, 0.001, "per m", "what each metre beyond 100 m adds to the AC limits"), usual.LongRunPerM),
	flag("next_size_up", "a device may be the next standard rating above the current-carrying capacity of its conductor"),
	whole("unfused_strings", 1, 100, "parallel strings that need no fuse each; default 2, of lithium 1"),
	or(number("surge_rise_k", 0.1, 60, "K", "permitted temperature rise of a conductor in one start"), usual.SurgeRiseK),
	number("fault_a_per_ah", 1, wiring.MostFaultPerAh, "A/Ah", "short-circuit current of lead-acid of unknown resistance; default 15, AGM 30"),
	or(number("generator_share", 0.1, 1, "", "part of a generator's rating that may run"), usual.GeneratorShare),
	or(number("generator_start", 1, 3, "", "starting power over a generator's rating"), usual.GeneratorStart),
	or(number("generator_dip", 0.01, 0.5, "", "permitted voltage dip of a generator at a start"), usual.GeneratorDip),
	or(number("generator_reactance", 0.01, 1, "", "transient reactance of its alternator, per unit"), usual.GeneratorReactance),
	choice("generator_rule", "how a generator is derated by altitude and heat; default by its engine", deratingRuleNames()...),
}

var wiringKeys = strict.Keys{Name: "[wiring]", List: []strict.Key{
	choice("tables", "default us below 150 V line to neutral, else iec", string(wiring.IEC), string(wiring.US)),
	choice("method", "method of installation of the cables, iec tables only; default B2, bank and array C", string(wiring.CoresInConduit), string(wiring.InConduit), string(wiring.OnWall)),
	number("ambient_c", -60, 60, "C", "air around the cables; default hottest_c"),
	or(whole("grouped", 1, 20, "circuits grouped together, bank cables excepted"), 1),
	above("bank_m", 0, 1000, "m", "bank to inverter, one way"),
	above("bank_mm2", 0, 1000, "mm2", "conductor, likewise"),
	choice("bank_device", "next to the bank; default fuse", string(wiring.Fuse), string(wiring.Breaker)),
	number("bank_device_a", 0.1, 1e5, "A", "its rating"),
	number("bank_device_v", 1, 1e4, "V", "its rated voltage, DC"),
	number("bank_device_breaking_a", 1, 1e6, "A", "its breaking capacity at that voltage"),
	above("feeder_m", 0, 10000, "m", "inverter to backup board, one way"),
	above("feeder_mm2", 0, 1000, "mm2", "conductor, likewise"),
	number("feeder_breaker_a", 0.1, 1e5, "A", "its circuit breaker"),
	above("input_m", 0, 10000, "m", "main board to the inverter's grid input, one way"),
	above("input_mm2", 0, 1000, "mm2", "conductor, likewise"),
	number("input_breaker_a", 0.1, 1e5, "A", "its circuit breaker"),
	above("array_m", 0, 10000, "m", "a string of the array to the inverter, one way"),
	above("array_mm2", 0, 1000, "mm2", "conductor, likewise"),
	number("array_isolator_a", 0.1, 1e5, "A", "rated current of the DC isolator of a string"),
	number("array_isolator_v", 1, 1e4, "V", "its rated voltage, DC"),
}}
