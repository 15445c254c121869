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
	number("continuous_factor", 1, 2, "", "factor on loads of more than 3 h, for circuit breakers and cables").
		Else("1.25 with the us tables, else 1").Eg("1.25"),
	or(number("dc_fuse_factor", 1, 2, "", "factor on the current between bank and inverter").Eg("1.25"),
		usual.DCFuseFactor),
	or(number("pv_factor", 1, 2, "", "factor on the short-circuit current of modules; twice for ratings").Eg("1.25"),
		usual.PVFactor),
	or(number("dc_drop", 1e-4, 0.5, "", "permitted voltage drop of a DC run").Eg("0.02"), usual.DCDropLimit),
	or(number("ac_drop", 1e-4, 0.5, "", "permitted voltage drop of one AC run").Eg("0.04"), usual.ACDropLimit),
	or(number("total_drop", 1e-4, 0.5, "", "permitted voltage drop of an AC run and those before it").Eg("0.07"),
		usual.TotalDropLimit),
	or(number("start_drop", 1e-4, 0.5, "", "permitted voltage drop of a run while the largest motor starts").Eg("0.12"),
		usual.StartDropLimit),
	or(number("long_run_per_m", 0, 0.001, "per m", "what each metre beyond 100 m adds to the AC limits").Eg("0.00005"),
		usual.LongRunPerM),
	flag("next_size_up",
		"a device may be the next standard rating above the current-carrying capacity of its conductor").Eg("true"),
	whole("unfused_strings", 1, 100, "parallel strings that need no fuse each").Else("2, of lithium 1").Eg("3"),
	or(number("surge_rise_k", 0.1, 60, "K", "permitted temperature rise of a conductor in one start").Eg("15"),
		usual.SurgeRiseK),
	number("fault_a_per_ah", 1, wiring.MostFaultPerAh, "A/Ah",
		"short-circuit current of lead-acid of unknown resistance").
		Else("15 A/Ah, AGM 30 A/Ah").Eg("12"),
	or(number("generator_share", 0.1, 1, "", "part of a generator's rating that may run").Eg("0.8"),
		usual.GeneratorShare),
	or(number("generator_start", 1, 3, "", "starting power over a generator's rating").Eg("1.4"), usual.GeneratorStart),
	or(number("generator_dip", 0.01, 0.5, "", "permitted voltage dip of a generator at a start").Eg("0.3"),
		usual.GeneratorDip),
	or(number("generator_reactance", 0.01, 1, "", "transient reactance of its alternator, per unit").Eg("0.2"),
		usual.GeneratorReactance),
	choice("generator_rule", "how a generator is derated by altitude and heat",
		deratingRuleNames()...).Else("by its engine").Eg(`"portable"`),
}

var wiringKeys = strict.Keys{Name: "[wiring]", List: []strict.Key{
	choice("tables", "rules and sizes for cables and devices", string(wiring.IEC), string(wiring.US)).
		Else("us below 150 V line to neutral, else iec").Eg(`"iec"`),
	choice("method", "method of installation of the cables, iec tables only", string(wiring.CoresInConduit),
		string(wiring.InConduit), string(wiring.OnWall)).
		Else("B2, bank and array C").Eg(`"B1"`),
	number("ambient_c", -60, 60, "C", "air around the cables").Else("hottest_c").Eg("35"),
	or(whole("grouped", 1, 20, "circuits grouped together, bank cables excepted").Eg("2"), 1),
	above("bank_m", 0, 1000, "m", "length from bank to inverter, one way").Else("not known").Eg("2"),
	above("bank_mm2", 0, 1000, "mm2", "cross-section of the conductors between bank and inverter").Else(
		"the planner picks it").Eg("70"),
	choice("bank_device", "protective device next to the bank", string(wiring.Fuse),
		string(wiring.Breaker)).Else("fuse").Eg(`"breaker"`),
	number("bank_device_a", 0.1, 1e5, "A", "rated current of the device next to the bank").Else(
		"the planner picks it").Eg("125"),
	number("bank_device_v", 1, 1e4, "V", "rated voltage of that device, DC").Else("not known").Eg("80"),
	number("bank_device_breaking_a", 1, 1e6, "A", "breaking capacity of that device at that voltage").Else(
		"not known").Eg("10000"),
	above("feeder_m", 0, 10000, "m", "length from inverter to backup board, one way").Else("not known").Eg("8"),
	above("feeder_mm2", 0, 1000, "mm2", "cross-section of the conductors from inverter to backup board").Else(
		"the planner picks it").Eg("6"),
	number("feeder_breaker_a", 0.1, 1e5, "A", "rated current of the circuit breaker of that cable").Else(
		"the planner picks it").Eg("32"),
	above("input_m", 0, 10000, "m", "length from main board to the inverter's grid input, one way").Else(
		"not known").Eg("12"),
	above("input_mm2", 0, 1000, "mm2", "cross-section of the conductors to the inverter's grid input").Else(
		"the planner picks it").Eg("10"),
	number("input_breaker_a", 0.1, 1e5, "A", "rated current of the circuit breaker of that cable").Else(
		"the planner picks it").Eg("40"),
	above("array_m", 0, 10000, "m", "length from a string of the array to the inverter, one way").Else("not known").Eg(
		"25"),
	above("array_mm2", 0, 1000, "mm2", "cross-section of the conductors of a string").Else(
		"the planner picks it").Eg("4"),
	number("array_isolator_a", 0.1, 1e5, "A", "rated current of the DC isolator of a string").Else(
		"the planner picks it").Eg("32"),
	number("array_isolator_v", 1, 1e4, "V", "rated voltage of that isolator, DC").Else("not known").Eg("600"),
}}
