package backup_test

import (
	"slices"
	"testing"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
)

// startOf finds a load's start in a plan.
func startOf(t *testing.T, p *backup.Plan, load string) facts.Start {
	t.Helper()
	i := slices.IndexFunc(p.Starts.All, func(st facts.Start) bool { return st.Load == load })
	if i < 0 {
		t.Fatalf("the plan has no start of %q", load)
	}
	return p.Starts.All[i]
}

// TestStart: one unit starts on top of its other units and of everything else that runs in that minute.
func TestStart(t *testing.T) {
	for _, tt := range []struct {
		what      string
		house     *house
		wantW     float64
		wantVA    float64
		wantAt    string
		wantLimit float64
	}{
		// 500 VA at 0.6 are 300 W and 400 VAr; two more units and the lamp run: 700 W, sqrt(700^2 + 400^2) = 806.2258.
		{"one unit of three", newHouse().load("A",
			"quantity = 3; running_w = 100; starting_va = 500; starting_pf = 0.6").load("Lamp", "running_w = 200"),
			700, 806.2257748298549, "00:00", 10000},
		// Without starting_pf the 500 VA add as a plain number to 500 VA running, and all of them count as watts.
		{"no power factor", newHouse().load("A", "running_w = 100; starting_va = 500").load("Lamp",
			"running_w = 300; power_factor = 0.6"),
			800, 1000, "00:00", 10000},
		// starting_w at 0.6: 600 W are 1000 VA.
		{"in watts", newHouse().load("A", "running_w = 100; starting_w = 600; starting_pf = 0.6"), 600, 1000, "00:00",
			10000},
		{"in watts, no power factor", newHouse().load("A", "running_w = 100; starting_w = 600"), 600, 600, "00:00",
			10000},
		// The other member of its interlock is off while it starts, that of another interlock is on.
		{"interlock", newHouse().load("A", `running_w = 100; starting_va = 500; starting_pf = 1; interlock = "i"`).
			load("B", `running_w = 3000; interlock = "i"`).load("C", `running_w = 200; interlock = "j"`), 700, 700,
			"00:00", 10000},
		// B runs from 08:00 to 10:00 only, and A may start there: the worst minute.
		{"windows", newHouse().load("A", "running_w = 100; starting_va = 500; starting_pf = 1").
			load("B", `running_w = 1000; hours_per_day = 1; when = ["08:00-10:00"]`), 1500, 1500, "08:00", 10000},
		// A is over before B begins.
		{"windows apart", newHouse().load("A",
			`running_w = 100; starting_va = 500; starting_pf = 1; hours_per_day = 1; when = ["06:00-08:00"]`).
			load("B", `running_w = 1000; hours_per_day = 1; when = ["08:00-10:00"]`), 500, 500, "06:00", 10000},
		// The rating is the highest point given for at least the time of the start: steps, nothing in between.
		{"5 s", newHouse().load("A", "running_w = 0; starting_va = 500; starting_pf = 1; starting_s = 5"), 500, 500,
			"00:00", 10000},
		{"just over 5 s", newHouse().load("A", "running_w = 0; starting_va = 500; starting_pf = 1; starting_s = 5.001"),
			500, 500, "00:00", 7000},
		{"60 s", newHouse().load("A", "running_w = 0; starting_va = 500; starting_pf = 1; starting_s = 60"), 500, 500,
			"00:00", 7000},
		{"just over 60 s", newHouse().load("A",
			"running_w = 0; starting_va = 500; starting_pf = 1; starting_s = 60.001"), 500, 500, "00:00", 5000},
		{"3 s where none are given", newHouse().set("inverter.overload",
			"[{ seconds = 3, va = 8000 }, { seconds = 2.9, va = 9000 }]").
			load("A", "running_w = 0; starting_va = 500"), 500, 500, "00:00", 8000},
		{"no overload points", newHouse().drop("inverter.overload").load("A", "running_w = 0; starting_va = 500"), 500,
			500, "00:00", 5000},
		{"a longer point may be the higher one", newHouse().set("inverter.overload",
			"[{ seconds = 5, va = 6000 }, { seconds = 60, va = 7000 }]").
			load("A", "running_w = 0; starting_va = 500; starting_s = 1"), 500, 500, "00:00", 7000},
		// 55 C: 1 - 0.02*10 = 0.8. 2000 m: 1 - 0.01*10 = 0.9. Overload points are derated like the rating.
		{"derated", newHouse().set("site.hottest_c", 55).set("site.altitude_m", 2000).load("A",
			"running_w = 0; starting_va = 500"), 500, 500, "00:00", 7200},
		{"two inverters", newHouse().set("inverter.count", 2).load("A", "running_w = 0; starting_va = 500"), 500, 500,
			"00:00", 20000},
	} {
		t.Run(tt.what, func(t *testing.T) {
			st := startOf(t, tt.house.plan(t), "A")
			near(t, "W", st.W, tt.wantW)
			near(t, "VA", st.VA, tt.wantVA)
			near(t, "limit", st.LimitVA, tt.wantLimit)
			if got := calendar.Clock(st.AtMin); got != tt.wantAt {
				t.Errorf("at %s, want %s", got, tt.wantAt)
			}
		})
	}
}

// TestMotorStart: a nameplate becomes a start.
func TestMotorStart(t *testing.T) {
	// 800 W at 0.8 are 1000 VA running.
	const runs = "running_w = 800; power_factor = 0.8; "
	threePhases := func(motor string) *house {
		return newHouse().set("site.phases", 3).set("inverter.count", 3).circuit("b", "phase = 0").load("M",
			runs+"motor = "+motor)
	}
	for _, tt := range []struct {
		what   string
		house  *house
		wantVA float64
		wantW  float64
	}{
		// NEC Table 430.7(B), SEEN: G is 5.6 to 6.29 kVA/hp, the upper end counts. Where no power factor is given it is
		// 0.80 on one phase: application manual for generator sets, 2007, table 4, read there.
		{"code letter", newHouse().load("M", runs+`motor = { hp = 1, code = "G" }`), 6290, 0.8 * 6290},
		{"code letter, half", newHouse().load("M", runs+`motor = { hp = 0.5, code = "G" }; starting_pf = 0.5`), 3145,
			0.5 * 3145},
		// 0.746 kW are 1 hp: the value of the NEC motor tables, SEEN.
		{"code letter, kW", newHouse().load("M", runs+`motor = { kw = 0.746, code = "G" }`), 6290, 0.8 * 6290},
		// 30 A at 200 V, on three phases three times that.
		{"locked rotor", newHouse().load("M", runs+`motor = { locked_rotor_a = 30 }`), 6000, 4800},
		// On three phases by the rating: table 7 of the same manual, 0.76 at 1 hp, 0.635 half-way between 3 and 5 hp.
		{"locked rotor, three phases", threePhases(`{ hp = 1, locked_rotor_a = 10 }; circuit = "b"`), 6000,
			0.76 * 6000},
		{"between two sizes", threePhases(`{ kw = 2.984, times = 6 }; circuit = "b"`), 6000, 0.635 * 6000},
		{"a drive on three phases", threePhases(`{ hp = 1, times = 6, method = "drive" }; circuit = "b"`), 1500,
			0.95 * 1500},
		{"one of the three", threePhases(`{ hp = 1, times = 6 }`), 6000, 4800},
		// Between the two lines of a split-phase supply it is a single-phase motor.
		{"on both lines", newHouse().set("site.phases", 2).set("inverter.count", 2).circuit("b", "phase = 0").
			load("M", runs+`motor = { hp = 1, times = 6 }; circuit = "b"`), 6000, 4800},
		{"times", newHouse().load("M", runs+`motor = { times = 6 }`), 6000, 4800},
		// Star-delta: 1/3 of direct, trade texts on star-delta starting, SEEN.
		{"star-delta", newHouse().load("M", runs+`motor = { times = 6, method = "star-delta" }`), 2000, 1600},
		// Soft starter 150 to 450 %, drive 100 to 150 % of full load: engineering knowledge-base page on starting
		// methods, SEEN.
		{"soft", newHouse().load("M", runs+`motor = { times = 6, method = "soft" }`), 4500, 3600},
		{"soft, no more than direct", newHouse().load("M", runs+`motor = { times = 4, method = "soft" }`), 4000, 3200},
		{"drive", newHouse().load("M", runs+`motor = { times = 6, method = "drive" }`), 1500, 0.95 * 1500},
	} {
		t.Run(tt.what, func(t *testing.T) {
			st := startOf(t, tt.house.plan(t), "M")
			near(t, "VA", st.VA, tt.wantVA)
			near(t, "W", st.W, tt.wantW)
			near(t, "seconds", st.Seconds, 3)
		})
	}
}

// TestInverterSurge: every start against the rating for its own seconds; the one with the smallest margin is told.
func TestInverterSurge(t *testing.T) {
	const plain = "running_w = 0; starting_pf = 1; "
	checkFacts(t, "inverter-surge", "VA", []fact{
		{"a rating may be used in full", newHouse().load("A", plain+"starting_va = 10000; starting_s = 5"), "pass",
			10000, 10000, 0, "A"},
		{"just above", newHouse().load("A", plain+"starting_va = 10001; starting_s = 5"), "fail", 10001, 10000, -0.0001,
			"would trip"},
		{"the same, longer", newHouse().load("A", plain+"starting_va = 10000; starting_s = 5.1"), "fail", 10000, 7000,
			-3.0 / 7, "5.1 s"},
		// A leaves 20 %, B, though smaller, only 1/7.
		{"smallest margin", newHouse().load("A", plain+"starting_va = 8000; starting_s = 5").load("B",
			plain+"starting_va = 6000; starting_s = 60"),
			"pass", 6000, 7000, 1.0 / 7, `"B"`},
		// Both leave 20 %: the one with more VA.
		{"tie, more VA", newHouse().load("B", plain+"starting_va = 5600; starting_s = 60").load("A",
			plain+"starting_va = 8000; starting_s = 5"),
			"pass", 8000, 10000, 0.2, `"A"`},
		{"tie, earlier minute", newHouse().load("A",
			plain+`starting_va = 8000; hours_per_day = 1; when = ["09:00-10:00"]`).
			load("B", plain+`starting_va = 8000; hours_per_day = 1; when = ["07:00-08:00"]`), "pass", 8000, 10000, 0.2,
			`"B"`},
		{"tie, order of the file", newHouse().load("B", plain+"starting_va = 8000").load("A",
			plain+"starting_va = 8000"),
			"pass", 8000, 10000, 0.2, `"B"`},
		{"heat leaves nothing", newHouse().set("site.hottest_c", 80).set("inverter.derate_per_c", 0.1).load("A",
			plain+"starting_va = 1"),
			"fail", 1, 0, -1, ""},
		// Three single-phase units of 10 kVA for 5 s on three phases: 10 kVA a phase, though 30 kVA in total.
		{"a phase governs", newHouse().set("site.phases", 3).set("inverter.count", 3).circuit("b", "phase = 2").
			load("A", plain+`starting_va = 10001; circuit = "b"`), "fail", 10001, 10000, -0.0001, "phase 2"},
		{"another phase has less left", newHouse().set("site.phases", 3).set("inverter.count", 3).circuit("b", "phase = 2").
			load("A", plain+`starting_va = 4000; circuit = "b"`).load("C", "running_w = 8000"), "pass", 8000, 10000, 0.2,
			`while "A" starts, the load is 8.00 kVA on phase 1`},
		{"a start on all phases spreads", newHouse().set("site.phases", 3).set("inverter.count", 3).circuit("b",
			"phase = 0").
			load("A", plain+`starting_va = 30000; circuit = "b"`), "pass", 30000, 30000, 0, "A"},
		{"nothing starts", newHouse().load("A", "running_w = 100"), "pass", 0, 5000, 1, "no load"},
	})
}

// TestInverterRestart: pass if all may start at once, caution if only an order fits, fail if none does.
func TestInverterRestart(t *testing.T) {
	const plain = "running_w = 100; starting_pf = 1; "
	checkFacts(t, "inverter-restart", "VA", []fact{
		{"all units at once", newHouse().load("A", plain+"quantity = 2; starting_va = 5000; starting_s = 5"), "pass",
			10000, 10000, 0, "at once"},
		// One after the other each start of 6 kVA finds 100 W running.
		{"an order fits", newHouse().load("A", plain+"starting_va = 6000").load("B", plain+"starting_va = 6000"),
			"caution", 12000, 10000, -0.2, "restart order"},
		// All units of a load are switched on together: 3 * 4 kVA fit in no order.
		{"no order fits", newHouse().load("A", plain+"quantity = 3; starting_va = 4000"), "fail", 12000, 10000, -0.2,
			`"A" alone takes more than the rating`},
		// Whichever comes second finds 4500 W running: 10.5 kVA. Alone each starts.
		{"neither starts beside the other", newHouse().load("A", "running_w = 4500; starting_pf = 1; starting_va = 6000").
			load("B", "running_w = 4500; starting_pf = 1; starting_va = 6000"), "fail", 12000, 10000, -0.2,
			"cannot start while the others run"},
		// The start of everything lasts as long as its longest start, here 60 s and 7 kVA.
		{"the longest start rules", newHouse().load("A", plain+"starting_va = 4000; starting_s = 1").load("B",
			plain+"starting_va = 4000; starting_s = 60"),
			"caution", 8000, 7000, -1.0 / 7, ""},
		{"not scheduled together", newHouse().load("A",
			plain+`starting_va = 6000; hours_per_day = 1; when = ["06:00-08:00"]`).
			load("B", plain+`starting_va = 6000; hours_per_day = 1; when = ["08:00-10:00"]`), "pass", 6000, 10000,
			0.4, ""},
		{"interlocked", newHouse().load("A", plain+`starting_va = 6000; interlock = "i"`).load("B",
			plain+`starting_va = 6000; interlock = "i"`),
			"pass", 6000, 10000, 0.4, ""},
		{"what does not start runs", newHouse().load("A", "running_w = 5000"), "pass", 5000, 5000, 0, ""},
	})
	p := newHouse().load("A", plain+"starting_va = 6000").load("B", plain+"starting_va = 6500").load("Lamp",
		"running_w = 50").plan(t)
	order := slices.Sorted(slices.Values(p.Starts.Restart.Order))
	if want := []string{"A", "B", "Lamp"}; !slices.Equal(order, want) {
		t.Errorf("the restart order holds %q, want each of %q once", order, want)
	}
	if p := newHouse().load("A", plain+"starting_va = 6000").plan(t); len(p.Starts.Restart.Order) != 0 {
		t.Errorf("an order %q where all fits at once", p.Starts.Restart.Order)
	}
}

// TestStartsInTheWorking: what a check compares, in total or on a phase, is a step of the working, and so is its limit.
func TestStartsInTheWorking(t *testing.T) {
	h := newHouse().set("site.phases", 3).set("inverter.phases", 3).circuit("b", "phase = 2; breaker_a = 50").
		load("Lamp", "running_w = 100").load("Pump",
		`running_w = 500; starting_va = 2000; starting_pf = 1; circuit = "b"`)
	p := h.plan(t)
	steps := map[float64]bool{}
	for _, s := range p.Working() {
		if s.Unit == "VA" {
			steps[s.Value] = true
		}
	}
	for _, id := range []string{"inverter-surge", "inverter-restart"} {
		c := check(t, p, id)
		if !steps[c.Demand] || !steps[c.Limit] || c.Demand != 2000 {
			t.Errorf("%s compares %g with %g VA, of which no step of the working tells", id, c.Demand, c.Limit)
		}
	}
}
