package backup_test

import (
	"fmt"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
)

// TestBankChargeRate: the current of charger and array per rated Ah against the unit's limit, and for lead-acid the
// charger alone not below C/20. The array is of 1920 W, 40 A at 48 V; the papers tell what to enter where it gives more
// than the bank bears.
func TestBankChargeRate(t *testing.T) {
	one := func(chargerA float64) *house {
		return newHouse().set("bank.strings", 1).set("inverter.charger_a", chargerA)
	}
	lead := func(chargerA float64) *house {
		return newHouse().set("inverter.dc_max_v", 66).replace("bank", flooded).set("bank.strings",
			1).set("inverter.charger_a", chargerA)
	}
	sun := func(h *house) *house { return h.set("inverter.max_charge_a", 200).array() }
	// One figure: what the check names is what stands in the table of settings.
	if set := sun(one(20)).plan(t).Details.Charge.SetA; set != 50 {
		t.Errorf("to enter as the limit: %g A, want 50 A, as the check says", set)
	}
	checkFacts(t, "bank-charge-rate", "A/Ah", []fact{
		{"with an array, in full", sun(one(10)), "pass", 0.5, 0.5, 0, "chargers and arrays together give at most 50 A"},
		{"with an array, just above", sun(one(10.1)), "caution", 0.501, 0.5, -0.002,
			"enter at most 50 A as the maximum charge current"},
		{"a limit that cannot be set in full", sun(one(20)).set("bank.max_charge_a", 30.7), "caution", 0.6, 0.307,
			1 - 0.6/0.307, "enter at most 30 A"},
		{"with an array, held by max_charge_a", sun(one(40)).set("inverter.max_charge_a", 50), "pass", 0.5, 0.5, 0, ""},
		{"the charger alone is too much", sun(one(50.1)), "fail", 0.501, 0.5, -0.002, "set the charger lower"},
		{"lead-acid, too little at night", sun(lead(4.9)), "fail", 0.049, 0.05, -0.02, "ages fast"},
		{"lead-acid, enough, and too much by day", sun(lead(5)), "caution", 0.45, 0.2, -1.25, "enter at most 20 A"},
		{"in full", one(50), "pass", 0.5, 0.5, 0, ""},
		{"just above", one(50.1), "fail", 0.501, 0.5, -0.002, "set the charger lower"},
		{"strings share it", one(50.1).set("bank.strings", 2), "pass", 0.2505, 0.5, 0.499, ""},
		{"held by max_charge_a", one(80).set("inverter.max_charge_a", 50), "pass", 0.5, 0.5, 0, ""},
		{"two inverters", one(25).set("inverter.count", 2), "pass", 0.5, 0.5, 0, ""},
		// C/20 of 100 Ah are 5 A; the unit takes 20 A.
		{"lead-acid, just enough", lead(5), "pass", 0.05, 0.2, 0.75, ""},
		{"lead-acid, just too little", lead(4.9), "fail", 0.049, 0.05, -0.02, "ages fast"},
		{"lead-acid, in full", lead(20), "pass", 0.2, 0.2, 0, ""},
		{"lead-acid, too much", lead(20.1), "fail", 0.201, 0.2, -0.005, ""},
		{"lithium may be charged slowly", one(1), "pass", 0.01, 0.5, 0.98, ""},
		// A known limit that is broken fails, though the other one is not known.
		{"lead-acid, too little, upper limit unknown", lead(4.9).drop("bank.max_charge_a"), "fail", 0.049, 0.05,
			-0.02, ""},
	})
}

// TestBankParallel: strings against max_parallel; more of them are a caution, never a failure.
func TestBankParallel(t *testing.T) {
	checkFacts(t, "bank-parallel", "strings", []fact{
		{"in full", newHouse(), "pass", 4, 4, 0, ""},
		{"one more", newHouse().set("bank.strings", 5), "caution", 5, 4, -0.25, "larger unit"},
		{"lithium by chemistry", newHouse().drop("bank.max_parallel").set("bank.strings", 16), "pass", 16, 16, 0, ""},
		{"lithium by chemistry, one more", newHouse().drop("bank.max_parallel").set("bank.strings", 17), "caution", 17,
			16, -1.0 / 16, ""},
		{"lead-acid by chemistry", newHouse().set("inverter.dc_max_v", 66).replace("bank",
			flooded).drop("bank.max_parallel").set("bank.strings", 5),
			"caution", 5, 4, -0.25, ""},
	})
}

// TestBankTemperature: the coldest battery space against what the bank may be charged and discharged at.
func TestBankTemperature(t *testing.T) {
	checkFacts(t, "bank-temperature", "C", []fact{
		{"just warm enough to charge", newHouse().set("site.coldest_c", 0), "pass", 0, 0, 0, ""},
		{"just too cold", newHouse().set("site.coldest_c", -0.1), "fail", -0.1, 0, -0.1, "must not be charged"},
		{"the tighter of both", newHouse().set("bank.discharge_min_c", 5).set("site.coldest_c", 7), "pass", 7, 5,
			2, ""},
		{"too cold to discharge", newHouse().set("bank.discharge_min_c", 5).set("site.coldest_c", 4), "fail", 4, 5, -1,
			"must not be discharged"},
		{"too hot to charge", newHouse().set("site.hottest_c", 46), "caution", 25, 0, 25, "above 45 C"},
		{"hot, in full", newHouse().set("site.hottest_c", 45), "pass", 25, 0, 25, ""},
		{"cold is worse than hot", newHouse().set("site.hottest_c", 46).set("site.coldest_c", -1), "fail", -1, 0,
			-1, ""},
	})
}

// TestMissingKeys: what can't be compared for want of a key is a caution that names the key; it is never silently
// passed.
func TestMissingKeys(t *testing.T) {
	// Everything is in use: a start, a load that rides through, one that is held off.
	all := func() *house {
		return newHouse().load("A", "running_w = 100; starting_va = 500; rides_through_ms = 20").load("B",
			"running_w = 10; held_off = true")
	}
	base := all().plan(t)
	for _, tt := range []struct {
		drop, id string
		also     []string // keys that cannot stand without it
	}{
		{drop: "inverter.pass_through_a", id: "pass-through"},
		{drop: "inverter.ac_input_a", id: "ac-input"},
		{drop: "inverter.charger_a", id: "ac-input"},
		{drop: "inverter.charger_a", id: "bank-charge-rate"},
		{drop: "inverter.chemistries", id: "bank-chemistry"},
		{drop: "inverter.transfer_ms", id: "transfer-time"},
		{drop: "bank.max_discharge_a", id: "dc-current"},
		{drop: "bank.max_discharge_a", id: "dc-surge-current", also: []string{"bank.pulse_a", "bank.pulse_s"}},
		{drop: "bank.resistance_mohm", id: "surge-sag"},
		{drop: "bank.max_charge_a", id: "bank-charge-rate"},
		{drop: "bank.charge_min_c", id: "bank-temperature"},
		{drop: "bank.discharge_min_c", id: "bank-temperature"},
		{drop: "circuit.breaker_a", id: "circuit-breaker"},
	} {
		t.Run(tt.id+" without "+tt.drop, func(t *testing.T) {
			if c := check(t, base, tt.id); c.Status != verdict.Pass {
				t.Fatalf("with all keys: status %s, want pass: %s", c.Status, c.Reason)
			}
			h := all()
			if tt.drop == "circuit.breaker_a" {
				h.circuit("b", "")
			}
			c := check(t, h.drop(tt.drop).drop(tt.also...).plan(t), tt.id)
			_, key, _ := strings.Cut(tt.drop, ".")
			if c.Status != verdict.Caution || !strings.Contains(c.Reason.String(), key) {
				t.Errorf("status %s, reason %q; want a caution that names %s", c.Status, c.Reason, key)
			}
		})
	}
	// What is known and broken fails all the same.
	for _, tt := range []struct {
		what, id string
		house    *house
	}{
		{"grid current above ac_input_a, charger unknown", "ac-input",
			all().drop("inverter.charger_a").load("C", "running_w = 12000")},
		{"too cold to charge, discharging unknown", "bank-temperature",
			all().drop("bank.discharge_min_c").set("site.coldest_c", -1)},
		{"too cold to discharge, charging unknown", "bank-temperature",
			all().drop("bank.charge_min_c").set("site.coldest_c", -21)},
		{"one breaker too small, one unknown", "circuit-breaker",
			all().circuit("b", "").circuit("c", "breaker_a = 1").load("C", `running_w = 400; circuit = "c"`)},
	} {
		if c := check(t, tt.house.plan(t), tt.id); c.Status != verdict.Fail {
			t.Errorf("%s: status %s, want fail: %s", tt.what, c.Status, c.Reason)
		}
	}
}

// TestVerdict: the worst of all checks; a check that says why.
func TestVerdict(t *testing.T) {
	worst := map[verdict.Status]bool{}
	for _, h := range []*house{
		newHouse(), newHouse().drop("inverter.pass_through_a"), newHouse().load("A", "running_w = 9000"),
		newHouse().load("A", "running_w = 9000").drop("inverter.ac_input_a"),
	} {
		p := h.plan(t)
		want, ids := verdict.Pass, map[string]bool{}
		for _, c := range p.Checks {
			if c.Status == verdict.Fail || c.Status == verdict.Caution && want == verdict.Pass {
				want = c.Status
			}
			if c.Reason.Empty() || ids[c.ID] {
				t.Errorf("check %q: reason %q, a second time: %v", c.ID, c.Reason, ids[c.ID])
			}
			ids[c.ID] = true
		}
		if got := p.Verdict(); got != want {
			t.Errorf("verdict %s, want %s", got, want)
		}
		worst[want] = true
	}
	if !worst[verdict.Caution] || !worst[verdict.Fail] {
		t.Errorf("the houses have the verdicts %v, want cautions and failures among them", worst)
	}
}

// TestVoltageBetweenLines: a nominal voltage that looks like one between two lines is doubted, and none that grids have
// from line to neutral.
func TestVoltageBetweenLines(t *testing.T) {
	for _, tt := range []struct {
		phases     int
		nominalV   float64
		toNeutralV string // "": not doubted
	}{
		{1, 100, ""}, {1, 120, ""}, {1, 208, ""}, {1, 220, ""}, {1, 230, ""}, {1, 240, ""}, {1, 480, ""},
		{2, 100, ""}, {2, 110, ""}, {2, 115, ""}, {2, 120, ""}, {2, 127, ""}, {2, 230, ""}, {2, 277, ""},
		{2, 200, "100 V"}, {2, 208, "120 V"}, {2, 220, "110 V"}, {2, 240, "120 V"}, {2, 480, "240 V"},
		{3, 120, ""}, {3, 127, ""}, {3, 220, ""}, {3, 230, ""}, {3, 240, ""}, {3, 277, ""}, {3, 346, ""}, {3, 347, ""},
		{3, 208, "120 V"}, {3, 380, "219 V"}, {3, 400, "231 V"}, {3, 415, "240 V"}, {3, 480, "277 V"}, {3, 600, "346 V"},
	} {
		h := newHouse().set("site.nominal_v", tt.nominalV).set("site.phases", tt.phases).set("inverter.phases", tt.phases).
			put("wiring", `tables = "iec"`)
		said := ""
		for _, text := range phrase.Strings(h.plan(t).Cautions) {
			if strings.Contains(text, "between two lines") {
				said = text
			}
		}
		want := "it is about " + tt.toNeutralV + " to neutral"
		if doubted := said != ""; doubted != (tt.toNeutralV != "") || doubted && !strings.Contains(said, want) {
			t.Errorf("%d phases of %g V: said %q, want %q", tt.phases, tt.nominalV, said, tt.toNeutralV)
		}
	}
}

// TestCautions: what concerns this home is said, and the end is the same for every home.
func TestCautions(t *testing.T) {
	for _, tt := range []struct {
		what  string
		house *house
		says  string
	}{
		{"medical, on the board", newHouse().load("Pump", "running_w = 100; medical = true"),
			`Someone depends on "Pump": it is`},
		{"two of them are one caution", newHouse().load("Pump", "running_w = 100; medical = true").load("Bed",
			"running_w = 50; medical = true"), `Someone depends on "Pump" and "Bed": they are`},
		{"medical, on the main board", newHouse().circuit("m", `board = "main"`).load("Pump",
			`running_w = 100; medical = true; circuit = "m"`), "loses power with the grid"},
		{"medical, held off", newHouse().load("Pump", "running_w = 100; medical = true; held_off = true"),
			`"Pump", but it is not to be used`},
		{"colder than the table", newHouse().set("site.coldest_c", -30), "colder than the capacity table"},
		{"more current in another month", newHouse().set("outage.month", 1).load("A",
			"running_w = 9000; months = [7]").load("B", "running_w = 10"),
			"In July: while the grid is available the pass-through current may be 45.0 A per phase, but the inverter is rated for only 40 A"},
		{"more load in another month", newHouse().set("outage.month", 1).load("A",
			"running_w = 9000; months = [7]").load("B", "running_w = 10"),
			"In July: simultaneous load of up to 9.01 kW at 00:00, but the inverter is rated for only 4.00 kW continuously"},
		{"more from the grid in another month", newHouse().set("outage.month", 1).set("inverter.ac_input_a", 46).
			load("A", "running_w = 9000; months = [7]").load("B", "running_w = 10"),
			"In July: backup board and charger together draw up to 58.5 A per phase from the grid, but the ac input is rated for only 46 A"},
		{"hours that an interlock leaves no room for", newHouse().
			load("A", `running_w = 100; hours_per_day = 12; interlock = "i"`).
			load("B", `running_w = 100; hours_per_day = 12.01; interlock = "i"`),
			`Of "A" and "B" only one runs at a time, and they are given 24.01 h a day in all, but may run in only 24 h`},
		{"more on a circuit in another month", newHouse().set("outage.month", 1).circuit("m", "breaker_a = 10").load("A",
			`running_w = 2020; hours_per_day = 1; months = [7]; circuit = "m"`),
			`In July: "m" may draw 10.1 A, continuous loads counted at 125 %, on a circuit breaker of 10 A.`},
		{"the worst of two months", newHouse().set("outage.month", 1).circuit("m", "breaker_a = 10").
			load("A", `running_w = 2100; hours_per_day = 1; months = [7]; circuit = "m"`).
			load("B", `running_w = 2400; hours_per_day = 1; months = [8]; circuit = "m"`), `In August: "m" may draw 12 A`},
		{"on the main board", newHouse().set("outage.month", 1).circuit("m", `breaker_a = 10; board = "main"`).load("A",
			`running_w = 4000; hours_per_day = 1; months = [7]; circuit = "m"`),
			"on a circuit breaker of 10 A; the circuit is on the main board and does not affect the plan."},
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := tt.house.plan(t)
			if text := strings.Join(phrase.Strings(p.Cautions), "\n"); !strings.Contains(text, tt.says) {
				t.Errorf("no caution says %q:\n%s", tt.says, text)
			}
		})
	}
	for _, tt := range []struct {
		what  string
		house *house
		not   string
	}{
		{"just carried in another month", newHouse().set("outage.month", 1).circuit("m", "breaker_a = 10").load("A",
			`running_w = 2000; hours_per_day = 1; months = [7]; circuit = "m"`), "In July: "},
		{"too much only in the month of the outage, which the check tells", newHouse().set("outage.month", 1).
			circuit("m", "breaker_a = 10").
			load("A", `running_w = 2200; hours_per_day = 1; months = [1]; circuit = "m"`).
			load("B", `running_w = 2100; hours_per_day = 1; months = [7]; circuit = "m"`), "In July: "},
		{"no breaker given", newHouse().set("outage.month", 1).circuit("m", "").load("A",
			`running_w = 2200; hours_per_day = 1; months = [7]; circuit = "m"`), "In July: "},
		{"hours of an interlock that find room without the load that is held off", newHouse().
			load("A", `running_w = 100; hours_per_day = 24; interlock = "i"`).
			load("B", `running_w = 100; hours_per_day = 12; interlock = "i"; held_off = true`), "at a time"},
	} {
		if text := strings.Join(phrase.Strings(tt.house.plan(t).Cautions), "\n"); strings.Contains(text, tt.not) {
			t.Errorf("%s: a caution says %q:\n%s", tt.what, tt.not, text)
		}
	}
	for _, h := range []*house{newHouse(), newHouse().load("A", "running_w = 90000")} {
		text := strings.Join(phrase.Strings(h.plan(t).Cautions), "\n")
		for _, word := range []string{"not a design certificate", "licensed", "earthing", "neutral", "residual-current",
			"isolation", "ventilated", "life-supporting"} {
			if !strings.Contains(text, word) {
				t.Errorf("the cautions do not speak of %q:\n%s", word, text)
			}
		}
	}
}

// TestWarmEnough: where the cold alone makes a bank too small, the temperature is told at which it would do, and a plan
// for a space that stays at it is given the capacity.
func TestWarmEnough(t *testing.T) {
	for _, tt := range []struct {
		name     string
		coldestC int
		runningW int
		warm     bool
	}{
		{"enough in the cold", -10, 300, false},
		{"too small in the cold", -10, 950, true},
		{"too small in any room", -10, 2000, false},
		{"too small where it is warm", 20, 2000, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			home := func(coldestC float64) *backup.Plan {
				return newHouse().replace("bank", flooded).set("bank.strings", 6).set("site.coldest_c", coldestC).
					set("site.hottest_c", 30).
					load("A", fmt.Sprintf("running_w = %d", tt.runningW)).plan(t)
			}
			p := home(float64(tt.coldestC))
			c := check(t, p, "bank-capacity")
			warmC, ok := p.WarmEnoughC()
			said := strings.Contains(c.Reason.String(), fmt.Sprintf("or this bank kept at %g C or above (insulate or heat the space, or move the bank)", warmC))
			if ok != tt.warm || said != tt.warm {
				t.Fatalf("%g, %t; %s: %s", warmC, ok, c.Status, c.Reason)
			}
			if !ok {
				return
			}
			if c := check(t, home(warmC), "bank-capacity"); c.Status == verdict.Fail {
				t.Errorf("at %g C: %s", warmC, c.Reason)
			}
			if c := check(t, home(warmC-2), "bank-capacity"); c.Status != verdict.Fail {
				t.Errorf("at %g C it would do too: %s", warmC-2, c.Reason)
			}
		})
	}
}
