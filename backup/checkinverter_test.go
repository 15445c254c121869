package backup_test

import "testing"

// TestInverterContinuous: W and VA are limits of their own, in total and on each phase, derated by heat and by
// altitude.
func TestInverterContinuous(t *testing.T) {
	checkFacts(t, "inverter-continuous", "VA", []fact{
		{"in full", newHouse().load("A", "running_w = 4000; power_factor = 0.8"), "pass", 5000, 5000, 0, "5.00 kVA"},
		{"just above", newHouse().load("A", "running_w = 4000.8; power_factor = 0.8"), "fail", 5001, 5000, -0.0002,
			"move at least"},
		{"units add up", newHouse().set("inverter.count", 2).load("A", "running_w = 9000"), "pass", 9000, 10000,
			0.1, ""},
		// The default derating begins at 45 C: 0.02 of the rating per kelvin, and at 1000 m: 0.01 per 100 m.
		{"45 C and 1000 m take nothing", newHouse().set("site.hottest_c", 45).set("site.altitude_m", 1000).load("A",
			"running_w = 1000"), "pass", 1000, 5000, 0.8, ""},
		{"55 C take a fifth", newHouse().set("site.hottest_c", 55).load("A", "running_w = 1000"), "pass", 1000, 4000,
			0.75, ""},
		{"2000 m take a tenth", newHouse().set("site.altitude_m", 2000).load("A", "running_w = 900"), "pass", 900, 4500,
			0.8, ""},
		{"both multiply", newHouse().set("site.hottest_c", 55).set("site.altitude_m", 2000).load("A",
			"running_w = 900"), "pass", 900, 3600, 0.75, ""},
		{"keys of the data sheet", newHouse().set("site.hottest_c", 41).set("site.altitude_m", 500).
			put("inverter", "derate_from_c = 40; derate_per_c = 0.05; derate_from_m = 0; derate_per_100m = 0.02").load(
			"A", "running_w = 1000"),
			"pass", 1000, 5000 * 0.95 * 0.9, 1 - 1000/(5000*0.95*0.9), ""},
		{"never below nothing", newHouse().set("site.hottest_c", 80).set("inverter.derate_per_c", 0.05).load("A",
			"running_w = 1000"), "fail", 1000, 0, -1, ""},
		{"no demand, no rating", newHouse().set("site.hottest_c", 80).set("inverter.derate_per_c", 0.05), "pass", 0, 0,
			0, ""},
		// Two phases: 2500 VA each. In total 3000 of 5000 would fit.
		{"a phase governs", newHouse().set("site.phases", 2).set("inverter.phases", 2).load("A",
			"running_w = 2501").circuit("b", "phase = 2").
			load("B", `running_w = 499; circuit = "b"`), "fail", 2501, 2500, -0.0004, "phase 1"},
		{"a phase in full", newHouse().set("site.phases", 2).set("inverter.phases", 2).load("A", "running_w = 2500"),
			"pass", 2500, 2500, 0, "phase 1"},
		{"evenly, the total is told", newHouse().set("site.phases", 3).set("inverter.phases", 3).circuit("b",
			"phase = 0").
			load("A", `running_w = 3000; circuit = "b"`), "pass", 3000, 5000, 0.4, ""},
	})
	checkFacts(t, "inverter-continuous-w", "W", []fact{
		{"in full", newHouse().load("A", "running_w = 4000"), "pass", 4000, 4000, 0, ""},
		{"just above, though its VA fit", newHouse().load("A", "running_w = 4001"), "fail", 4001, 4000, -0.00025, ""},
		{"derated as well", newHouse().set("site.hottest_c", 55).load("A", "running_w = 3201"), "fail", 3201, 3200,
			-1.0 / 3200, ""},
		{"a phase governs", newHouse().set("site.phases", 2).set("inverter.phases", 2).load("A", "running_w = 2001"),
			"fail", 2001, 2000, -0.0005, "phase 1"},
	})
}

// TestPassThrough: scheduled current per phase while the grid is there, held-off loads included.
func TestPassThrough(t *testing.T) {
	checkFacts(t, "pass-through", "A", []fact{
		// 8000 VA at 200 V.
		{"in full", newHouse().load("A", "running_w = 6400; power_factor = 0.8"), "pass", 40, 40, 0, ""},
		{"just above", newHouse().load("A", "running_w = 8020"), "fail", 40.1, 40, -0.0025, "40"},
		{"held off or not", newHouse().load("A", "running_w = 2000").load("B", "running_w = 6000; held_off = true"),
			"pass", 40, 40, 0, ""},
		{"not both of an interlock", newHouse().load("A", `running_w = 2000; interlock = "i"`).load("B",
			`running_w = 6000; held_off = true; interlock = "i"`),
			"pass", 30, 40, 0.25, ""},
		{"not the main board", newHouse().circuit("m", `board = "main"`).load("A", "running_w = 2000").load("B",
			`running_w = 9000; circuit = "m"`),
			"pass", 10, 40, 0.75, ""},
		// Limits per phase scale with count * phases / site phases.
		{"two units", newHouse().set("inverter.count", 2).load("A", "running_w = 8000"), "pass", 40, 80, 0.5, ""},
		{"two three-phase units on three phases", newHouse().set("site.phases", 3).set("inverter.phases",
			3).set("inverter.count", 2).
			load("A", "running_w = 2000"), "pass", 10, 80, 0.875, ""},
		{"three units on three phases", newHouse().set("site.phases", 3).set("inverter.count", 3).circuit("b",
			"phase = 2").
			load("A", "running_w = 2000").load("B", `running_w = 4000; circuit = "b"`), "pass", 20, 40, 0.5, ""},
		{"six units on three phases", newHouse().set("site.phases", 3).set("inverter.count", 6).load("A",
			"running_w = 2000"), "pass", 10, 80, 0.875, ""},
	})
}

// TestACInput: pass-through and the charger at full current together. 40 A at 54 V through 0.8 are 2700 W, 13.5 A at
// 200 V.
func TestACInput(t *testing.T) {
	checkFacts(t, "ac-input", "A", []fact{
		{"together", newHouse().load("A", "running_w = 2000"), "pass", 23.5, 60, 36.5 / 60, ""},
		{"in full", newHouse().load("A", "running_w = 9300"), "pass", 60, 60, 0, ""},
		{"just above", newHouse().load("A", "running_w = 9320"), "fail", 60.1, 60, -0.1 / 60, "charger"},
		// The charger spreads over the phases; the limit is per phase.
		{"three phases", newHouse().set("site.phases", 3).set("inverter.phases", 3).load("A", "running_w = 2000"),
			"pass", 14.5, 60, 45.5 / 60, ""},
		// Never more than the battery side takes from all sources.
		{"charger held by max_charge_a", newHouse().set("inverter.charger_a", 80).set("inverter.max_charge_a", 20),
			"pass", 6.75, 60, 53.25 / 60, ""},
		{"two units", newHouse().set("inverter.count", 2), "pass", 27, 120, 93.0 / 120, ""},
	})
}

// TestPhaseBalance: the largest phase less the smallest over the mean, a caution above 0.3.
func TestPhaseBalance(t *testing.T) {
	two := func(a, b string) *house {
		return newHouse().set("site.phases", 2).set("inverter.phases", 2).circuit("b", "phase = 2").
			load("A", "running_w = "+a).load("B", "running_w = "+b+`; circuit = "b"`)
	}
	checkFacts(t, "phase-balance", "", []fact{
		{"in full", two("1150", "850"), "pass", 0.3, 0.3, 0, ""},
		{"just above", two("1151", "849"), "caution", 0.302, 0.3, -0.002 / 0.3, "phase"},
		{"all on one", two("1000", "0"), "caution", 2, 0.3, -1.7 / 0.3, ""},
		{"even", two("1000", "1000"), "pass", 0, 0.3, 1, ""},
		{"nothing runs", two("0", "0"), "pass", 0, 0.3, 1, ""},
		{"one phase", newHouse().load("A", "running_w = 1000"), "pass", 0, 0.3, 1, "no phases to balance"},
		// 1000, 1000 and 1300: 300 / 1100.
		{"three", newHouse().set("site.phases", 3).set("inverter.phases", 3).circuit("b", "phase = 2").circuit("c",
			"phase = 3").
			load("A", "running_w = 1000").load("B", `running_w = 1000; circuit = "b"`).load("C",
			`running_w = 1300; circuit = "c"`),
			"pass", 300.0 / 1100, 0.3, 1 - 1000.0/1100, ""},
	})
}

// TestTransferTime: the changeover against the shortest break that a load in use rides through.
func TestTransferTime(t *testing.T) {
	checkFacts(t, "transfer-time", "ms", []fact{
		{"just as long", newHouse().load("A", "running_w = 1; rides_through_ms = 10"), "pass", 10, 10, 0, `"A"`},
		{"just shorter", newHouse().load("A", "running_w = 1; rides_through_ms = 9.9"), "fail", 10, 9.9, -0.1 / 9.9,
			`"A"`},
		{"the shortest", newHouse().load("A", "running_w = 1; rides_through_ms = 100").load("B",
			"running_w = 1; rides_through_ms = 20"),
			"pass", 10, 20, 0.5, `"B"`},
		{"no break at all", newHouse().set("inverter.transfer_ms", 0).load("A", "running_w = 1; rides_through_ms = 0"),
			"pass", 0, 0, 0, ""},
		{"none is borne", newHouse().load("A", "running_w = 1; rides_through_ms = 0"), "fail", 10, 0, -1, ""},
		{"held off does not count", newHouse().load("A", "running_w = 1; rides_through_ms = 1; held_off = true").load(
			"B", "running_w = 1; rides_through_ms = 20"),
			"pass", 10, 20, 0.5, `"B"`},
	})
	c := check(t, newHouse().load("A", "running_w = 1").plan(t), "transfer-time")
	if c.Status != "pass" || c.HasLimit {
		t.Errorf("no load states rides_through_ms: %+v, want a pass without a limit", c)
	}
}
