package backup_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/verdict"
)

// TestBoardWays: circuits on the backup board against its ways.
func TestBoardWays(t *testing.T) {
	two := func() *house { return newHouse().circuit("b", "").circuit("m", `board = "main"`) }
	checkFacts(t, "board-ways", "circuits", []fact{
		{"all ways taken", two().set("board.ways", 2), "pass", 2, 2, 0, "2 ways"},
		{"one too many", two().set("board.ways", 1), "fail", 2, 1, -1, "1 way"},
		{"room", two().set("board.ways", 4), "pass", 2, 4, 0.5, ""},
	})
	c := check(t, two().plan(t), "board-ways")
	if c.Status != "pass" || c.HasLimit || c.Demand != 2 {
		t.Errorf("no ways given: %+v, want a pass without a limit for 2 circuits", c)
	}
}

// TestCircuitBreaker: the scheduled current of each circuit, held-off loads included; loads of more than 3 h a day at
// 125 % (NEC 210.20(A), SEEN).
func TestCircuitBreaker(t *testing.T) {
	one := func(text string) *house {
		h := newHouse()
		h.circuits = nil
		return h.circuit("a", "breaker_a = 20").load("A", text)
	}
	checkFacts(t, "circuit-breaker", "A", []fact{
		// 4000 VA at 200 V.
		{"in full", one("running_w = 4000; hours_per_day = 3"), "pass", 20, 20, 0, `"a"`},
		{"just above", one("running_w = 4002; hours_per_day = 3"), "fail", 20.01, 20, -0.0005, `"a"`},
		{"VA count", one("running_w = 3200; power_factor = 0.8; hours_per_day = 3"), "pass", 20, 20, 0, ""},
		{"just over 3 h", one("running_w = 3200; hours_per_day = 3.001"), "pass", 20, 20, 0, ""},
		{"over 3 h, above", one("running_w = 3202; hours_per_day = 3.001"), "fail", 20.0125, 20, -0.000625, "125 %"},
		// 1000 W for long and 2000 W for short: 6.25 + 10 A.
		{"each at its own", one("running_w = 1000").load("B", "running_w = 2000; hours_per_day = 1"), "pass", 16.25, 20,
			3.75 / 20, ""},
		{"held off or not", one("running_w = 2000; hours_per_day = 1").load("B",
			"running_w = 2000; hours_per_day = 1; held_off = true"), "pass", 20, 20, 0, ""},
		{"not together", one(`running_w = 3000; hours_per_day = 1; when = ["06:00-07:00"]`).
			load("B", `running_w = 3500; hours_per_day = 1; when = ["07:00-08:00"]`), "pass", 17.5, 20, 0.125, ""},
		{"interlocked", one(`running_w = 3000; hours_per_day = 1; interlock = "i"`).load("B",
			`running_w = 3500; hours_per_day = 1; interlock = "i"`),
			"pass", 17.5, 20, 0.125, ""},
		{"the fullest of all circuits, also on the main board",
			one("running_w = 1000; hours_per_day = 1").circuit("m", `breaker_a = 10; board = "main"`).
				load("B", `running_w = 1900; hours_per_day = 1; circuit = "m"`), "pass", 9.5, 10, 0.05, `"m"`},
		// 11 A on 10 A: on the main board told, and no more; a smaller overload on the backup board fails all the same.
		{"too much on the main board", one("running_w = 1000; hours_per_day = 1").circuit("m",
			`breaker_a = 10; board = "main"`).
			load("B", `running_w = 2200; hours_per_day = 1; circuit = "m"`), "caution", 11, 10, -0.1,
			"the circuit is on the main board"},
		{"too much on both", one("running_w = 4040; hours_per_day = 1").circuit("m", `breaker_a = 10; board = "main"`).
			load("B", `running_w = 2200; hours_per_day = 1; circuit = "m"`), "fail", 20.2, 20, -0.01,
			`also overloaded: "m"`},
		// On all phases a third each.
		{"three phases", newHouse().set("site.phases", 3).set("inverter.phases", 3).circuit("b",
			"phase = 0; breaker_a = 10").
			load("A", `running_w = 5700; hours_per_day = 1; circuit = "b"`), "pass", 9.5, 10, 0.05, `"b"`},
	})
	// Every circuit that is broken is named.
	c := check(t, one("running_w = 5000; hours_per_day = 1").circuit("b", "breaker_a = 1").load("B",
		`running_w = 400; hours_per_day = 1; circuit = "b"`).
		circuit("c", "breaker_a = 1").load("C", `running_w = 300; hours_per_day = 1; circuit = "c"`).plan(t),
		"circuit-breaker")
	for _, label := range []string{`"a"`, `"b"`, `"c"`} {
		if strings.Count(c.Reason.String(), label) != 1 {
			t.Errorf("the reason %q does not name %s once", c.Reason, label)
		}
	}
}

// TestContinuousFactor: 125 % is the rule of the US code, and comes with its tables (NEC 210.20(A)); IEC 60364-4-43
// 433.1 lets the current be what the breaker is rated for.
func TestContinuousFactor(t *testing.T) {
	long := func(volts float64) *house {
		h := newHouse().set("site.nominal_v", volts).drop("practice.continuous_factor")
		h.circuits = nil
		return h.circuit("a", "breaker_a = 20; length_m = 1").load("A", fmt.Sprintf("running_w = %g", 20*volts))
	}
	checkFacts(t, "circuit-breaker", "A", []fact{
		{"iec", long(200), "pass", 20, 20, 0, "breaker of 20 A"},
		{"us", long(120).set("wiring.tables", `"us"`).set("inverter.output_v", 120), "fail", 25, 20, -0.25, "125 %"},
		{"iec below 150 V", long(120).set("wiring.tables", `"iec"`).set("inverter.output_v", 120), "pass", 20, 20,
			0, ""},
		{"given", long(200).set("practice.continuous_factor", 1.1), "fail", 22, 20, -0.1, "110 %"},
	})
	p := long(200).plan(t)
	near(t, "current of the conductor", p.Runs[len(p.Runs)-1].NeedsA, 20)
}

// TestCableOnTheMainBoard: the cable of a circuit on the main board is told, and no more.
func TestCableOnTheMainBoard(t *testing.T) {
	thin := func(board string) *house {
		return newHouse().set("wiring.ambient_c", 30).circuit("b",
			"cable_mm2 = 2.5; length_m = 1; breaker_a = 50; board = "+strconv.Quote(board)).
			load("A", `running_w = 1000; hours_per_day = 1; circuit = "b"`)
	}
	// 2.5 mm2 bears a breaker of 23 A (IEC 60364-5-52 Table B.52.2).
	checkFacts(t, "cable-b", "A", []fact{
		{"on the backup board", thin("backup"), "fail", 50, 23, -27.0 / 23, "only 23 A"},
		{"on the main board", thin("main"), "caution", 50, 23, -27.0 / 23, "the circuit is on the main board"},
	})
	// Where the planner decides, it goes where it does no harm.
	p := thin("either").plan(t)
	if c := circuitOf(t, p, "b"); c.OnBackup || !strings.Contains(c.Reason().String(), "left out because of cable-b") ||
		p.Verdict() == "fail" {
		t.Errorf("%s: %t, %q", p.Verdict(), c.OnBackup, c.Reason())
	}
}

// TestLargestMotor: with the US tables the largest motor of a circuit counts 125 % for the conductor (NEC 430.24), and
// beside its breaker the circuit is told (NEC 220.18(A), from memory). 120 V, 20 A.
func TestLargestMotor(t *testing.T) {
	home := func(tables string, texts ...string) *house {
		h := newHouse().put("site", "nominal_v = 120").put("inverter", "output_v = 120").put("wiring",
			"ambient_c = 30; tables = "+strconv.Quote(tables))
		h.circuits = nil
		h.circuit("a", "breaker_a = 20; length_m = 1")
		for i, text := range texts {
			h.load(string(rune('A'+i)), text)
		}
		return h
	}
	const pump = "running_w = 960; hours_per_day = 1; starting_va = 5000" // 8 A
	runs := func(w float64) string { return fmt.Sprintf("running_w = %g; hours_per_day = 1", w) }
	checkFacts(t, "circuit-breaker", "A", []fact{
		// 10 + 8 = 18 A, with the motor 20 A.
		{"in full", home("us", pump, runs(1200)), "pass", 18, 20, 0.1, ""},
		{"just above", home("us", pump, runs(1212)), "caution", 20.1, 20, -0.005, "largest motor at 125 %"},
		{"no such rule", home("iec", pump, runs(1212)), "pass", 18.1, 20, 0.095, ""},
		// Only the larger of two: 6 + 8 + 4 A and a quarter of 8.
		{"one of two", home("us", pump, "running_w = 720; hours_per_day = 1; starting_va = 4000", runs(480)), "pass",
			18, 20, 0.1, ""},
		{"one unit of three", home("us", "quantity = 3; "+"running_w = 480; hours_per_day = 1; starting_va = 5000",
			runs(840)), "pass", 19, 20, 0.05, ""},
		{"one unit of three, above",
			home("us", "quantity = 3; "+"running_w = 480; hours_per_day = 1; starting_va = 5000", runs(852)), "caution",
			20.1, 20, -0.005, ""},
		// What runs long counts 125 % already, and not twice.
		{"a motor that runs long", home("us", "running_w = 960; hours_per_day = 4; starting_va = 5000", runs(1200)),
			"pass", 20, 20, 0, ""},
		// The larger motor at night, the smaller beside the heater: 7 + 11 + 7/4.
		{"of those that run together",
			home("us", `running_w = 960; hours_per_day = 1; starting_va = 5000; when = ["00:00-02:00"]`,
				`running_w = 840; hours_per_day = 1; starting_va = 5000; when = ["12:00-14:00"]`, runs(1320)),
			"caution",
			21, 20, -0.05, ""},
		{"a motor by its name", home("us", runs(1212)).load("Well pump", "running_w = 960; hours_per_day = 1"),
			"caution", 20.1, 20, -0.005, ""},
		{"no motor", home("us", runs(960), runs(1212)), "pass", 18.1, 20, 0.095, ""},
	})
	for _, tt := range []struct {
		tables string
		want   float64
	}{{"us", 20.1}, {"iec", 18.1}} {
		p := home(tt.tables, pump, runs(1212)).plan(t)
		near(t, tt.tables+": current of the conductor", p.Runs[len(p.Runs)-1].NeedsA, tt.want)
	}
}

// TestJustBeyond: what is beyond its limit by little is seen to be, in the reason of every kind of check that compares.
func TestJustBeyond(t *testing.T) {
	h := newHouse().set("site.nominal_v", 230).set("practice.headroom", 0).set("inverter.rated_w", 3000).
		set("inverter.rated_va", 3000).set("inverter.overload", "[{ seconds = 10, va = 3500 }]").set("inverter.pass_through_a", 13.05).
		circuit("c", "breaker_a = 13").load("Oven", `circuit = "c"; running_w = 3004; starting_va = 3503; starting_s = 2`)
	p := h.plan(t)
	for id, want := range map[string][2]string{"inverter-continuous": {"3.004 kVA", "3.000 kVA"},
		"inverter-continuous-w": {"3.004 kW", "3.000 kW"}, "inverter-surge": {"3.503 kVA", "3.500 kVA"},
		"inverter-restart": {"3.503 kVA", "3.500 kVA"}, "pass-through": {"13.06 A", "13.05 A"}} {
		c := check(t, p, id)
		if text := c.Reason.String(); c.Status != verdict.Fail || !strings.Contains(text, want[0]) || !strings.Contains(text, want[1]) {
			t.Errorf("%s, %s: %q, want a failure by %s of %s", id, c.Status, text, want[0], want[1])
		}
	}
}

// TestSlip: what happens if a held-off load is switched on all the same, at the worst minute, whatever its own windows;
// never worse than a caution.
func TestSlip(t *testing.T) {
	checkFacts(t, "slip-Kettle", "VA", []fact{
		{"within the limits", newHouse().set("inverter.rated_w", 5000).set("inverter.max_discharge_a", 200).load("Lamp", "running_w = 3000").load("Kettle",
			"running_w = 2000; held_off = true"),
			"pass", 5000, 5000, 0, "within the limits"},
		{"just not", newHouse().set("inverter.rated_w", 5000).load("Lamp", "running_w = 3000").load("Kettle",
			"running_w = 2001; held_off = true"),
			"caution", 5001, 5000, -0.0002, "60 s"},
		{"not by far", newHouse().set("inverter.rated_w", 5000).load("Lamp", "running_w = 3000").load("Kettle",
			"running_w = 200000; held_off = true"),
			"caution", 203000, 5000, -39.6, "at once"},
		{"outside its own windows", newHouse().set("inverter.rated_w", 5000).load("Lamp",
			`running_w = 3000; hours_per_day = 1; when = ["20:00-22:00"]`).
			load("Kettle", `running_w = 2001; held_off = true; hours_per_day = 1; when = ["06:00-08:00"]`), "caution",
			5001, 5000, -0.0002, ""},
		{"its start", newHouse().set("inverter.rated_w", 5000).load("Lamp", "running_w = 3000").
			load("Kettle", "running_w = 100; starting_va = 7001; starting_pf = 1; held_off = true"), "caution", 10001,
			10000, -0.0001, "its start"},
		{"its start trips before what it runs with would", newHouse().set("inverter.rated_w", 5000).load("Lamp",
			"running_w = 3000").load("Kettle", "running_w = 3000; starting_va = 7001; starting_pf = 1; held_off = true"),
			"caution", 6000, 5000, -0.2, "at once"},
		{"its start fits", newHouse().set("inverter.rated_w", 5000).load("Lamp", "running_w = 3000").
			load("Kettle", "running_w = 100; starting_va = 7000; starting_pf = 1; held_off = true"), "pass", 10000,
			10000, 0, ""},
		{"others that are held off stay off", newHouse().set("inverter.rated_w", 5000).load("Lamp", "running_w = 3000").
			load("Kettle", "running_w = 1000; held_off = true").load("Iron", "running_w = 4000; held_off = true"),
			"pass", 4000, 5000, 0.2, ""},
		{"instead of the other member of its interlock", newHouse().set("inverter.rated_w", 5000).load("Lamp",
			`running_w = 3000; interlock = "i"`).
			load("Kettle", `running_w = 4000; held_off = true; interlock = "i"`), "pass", 4000, 5000, 0.2, ""},
	})
	// Watts are a limit of their own: 5000 W of resistive load are more than 4000 W, though not more than 5000 VA.
	checkFacts(t, "slip-Kettle", "W", []fact{
		{"watts, in full", newHouse().load("Lamp", "running_w = 3000").load("Kettle",
			"running_w = 1000; held_off = true"), "pass", 4000, 4000, 0, "within the limits"},
		{"watts, just above", newHouse().load("Lamp", "running_w = 3000").load("Kettle",
			"running_w = 1001; held_off = true"), "caution", 4001, 4000, -0.00025, "lose power"},
	})
	// A phase has its share of the watts too, and the other member of an interlock stands still there.
	three := func() *house {
		h := newHouse().set("site.phases", 3).set("inverter.phases", 3).set("inverter.rated_w",
			12000).set("inverter.rated_va", 30000)
		return h.circuit("p", `board = "backup"; phase = 2`).load("Lamp",
			`running_w = 3000; circuit = "p"`).load("Mate", `running_w = 900; circuit = "p"; interlock = "i"`)
	}
	checkFacts(t, "slip-Kettle", "W", []fact{
		{"watts of a phase, in full", three().load("Kettle",
			`running_w = 1000; circuit = "p"; held_off = true; interlock = "i"`), "pass", 4000, 4000, 0,
			"within the limits"},
		{"watts of a phase, just above", three().load("Kettle",
			`running_w = 1001; circuit = "p"; held_off = true; interlock = "i"`), "caution", 4001, 4000, -0.00025,
			"lose power"},
	})
	p := newHouse().set("outage.month", 1).circuit("m", `board = "main"`).
		load("A", `running_w = 1; held_off = true; circuit = "m"`).load("B",
		"running_w = 1; held_off = true; months = [2]").load("C", "running_w = 1").plan(t)
	for _, c := range p.Checks {
		if strings.HasPrefix(c.ID, "slip-") {
			t.Errorf("%s: a slip of a load that is not on the board, not used in the month or not held off", c.ID)
		}
	}
}

// TestSlipBeyondBank: what a slip asks of the bank is told too, where inverter and bank without it are within their
// limits, and who uses it all the same is not told that it fits.
func TestSlipBeyondBank(t *testing.T) {
	for _, tt := range []struct {
		what, kettle string
		limits       map[string]any
		says         string // "": nothing
	}{
		// 3000 + 1000 W are 100 A at 40 V.
		{"the bank, in full", "running_w = 1000", map[string]any{"bank.max_discharge_a": 100}, ""},
		{"the bank", "running_w = 1000", map[string]any{"bank.max_discharge_a": 99}, "rises to 100 A at its lowest voltage, the limit being 99 A"},
		{"the inverter", "running_w = 1000", map[string]any{"inverter.max_discharge_a": 99}, "the limit being 99 A"},
		{"headroom is kept free for such as that", "running_w = 1000",
			map[string]any{"inverter.max_discharge_a": 100, "practice.headroom": 0.2}, ""},
		{"without it too", "running_w = 1000", map[string]any{"bank.max_discharge_a": 74}, ""},
		// 3000 + 4000 W are 175 A.
		{"its start", "running_w = 100; starting_va = 4000; starting_pf = 1",
			map[string]any{"bank.max_discharge_a": 100, "bank.pulse_a": 174, "bank.pulse_s": 3}, "its start draws 175 A"},
		{"its start, in full", "running_w = 100; starting_va = 4000; starting_pf = 1",
			map[string]any{"bank.max_discharge_a": 100, "bank.pulse_a": 175, "bank.pulse_s": 3}, ""},
		{"a pulse that is too short", "running_w = 100; starting_va = 4000; starting_pf = 1",
			map[string]any{"bank.max_discharge_a": 100, "bank.pulse_a": 175, "bank.pulse_s": 2}, "its start draws 175 A"},
		{"nothing known", "running_w = 1000", nil, ""},
	} {
		h := newHouse().set("inverter.rated_w", 5000).set("inverter.idle_w", 0).set("inverter.efficiency", 1).
			set("inverter.max_discharge_a", 1000).drop("bank.max_discharge_a").set("bank.min_v", 40).set("bank.strings", 1)
		for key, v := range tt.limits {
			h.set(key, v)
		}
		p := h.load("Lamp", "running_w = 3000").load("Kettle", tt.kettle+"; held_off = true").plan(t)
		said := ""
		for _, text := range p.Cautions {
			if strings.HasPrefix(text.String(), `If "Kettle" is used anyway`) {
				said = text.String()
			}
		}
		c := check(t, p, "slip-Kettle")
		if !strings.Contains(said, tt.says) || tt.says == "" && said != "" || p.SlipGoesDark(p.HeldOff[0]) != (tt.says != "") ||
			strings.Contains(c.Reason.String(), "within the limits") != (tt.says == "") {
			t.Errorf("%s: cautions say %q, the check %q, dark %t; want %q", tt.what, said, c.Reason,
				p.SlipGoesDark(p.HeldOff[0]), tt.says)
		}
	}
}

// TestSlipTakes: the share of the bank that an hour of a slip takes is of the energy that the autonomy counts with: a
// load that takes 12.5 % an hour when it is held off is carried for 8 h when it is not.
func TestSlipTakes(t *testing.T) {
	const kettle = "running_w = 1536" // 1920 W of the bank's
	for _, tt := range []struct {
		what  string
		with  func(h *house) *house
		says  string
		hours float64
	}{
		{"a new bank", func(h *house) *house { return h }, "takes 12.5 %", 8}, // of 48 V * 400 Ah * 0.8 = 15360 Wh
		{"at the end of its life", func(h *house) *house { return h.set("practice.end_of_life", 0.8) }, "takes 15.6 %", 6.4},
		{"in the cold", func(h *house) *house { return h.set("site.coldest_c", -10) }, "takes 16.7 %", 6}, // 0.75 of it
		{"from the reserve", func(h *house) *house { return h.set("outage.reserve", 0.6) }, "takes 25.0 %", 4},
		{"less deep", func(h *house) *house { return h.set("practice.max_dod", 0.5).drop("bank.max_dod") }, "takes 20.0 %", 5},
	} {
		home := func() *house { return tt.with(newHouse().set("inverter.idle_w", 0)) }
		c := check(t, home().load("Kettle", kettle+"; held_off = true").plan(t), "slip-Kettle")
		if !strings.Contains(c.Reason.String(), tt.says) {
			t.Errorf("%s: %q, want that each hour %s", tt.what, c.Reason, tt.says)
		}
		near(t, tt.what+": autonomy", home().load("Kettle", kettle).plan(t).Bank.AutonomyH, tt.hours)
	}
}
