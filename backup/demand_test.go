package backup_test

import (
	"testing"

	"outlast/backup/calendar"
)

// TestDemand: powers add as vectors, of an interlock the worst member counts, windows hold their start and not their
// end.
func TestDemand(t *testing.T) {
	type want struct{ connectedW, connectedVA, scheduledW, scheduledVA float64 }
	for _, tt := range []struct {
		what  string
		house *house
		want  want
		at    string
	}{
		// 800 W at 0.8 bring 600 VAr, 300 W at 0.6 bring 400: sqrt(1100^2 + 1000^2) = 1486.606875.
		{"vectors", newHouse().load("A", "running_w = 800; power_factor = 0.8").load("B",
			"running_w = 300; power_factor = 0.6"),
			want{1100, 1486.606874731851, 1100, 1486.606874731851}, "00:00"},
		// 3 * 100 W at 0.8: 300 W and 225 VAr are 375 VA.
		{"quantity", newHouse().load("A", "quantity = 3; running_w = 100; power_factor = 0.8"),
			want{300, 375, 300, 375}, "00:00"},
		// A has more W (1000), B with C more VA: sqrt(900^2 + (800+400)^2) = 1500 against sqrt(1300^2 + 400^2) =
		// 1360.1.
		{"interlock", newHouse().load("A", `running_w = 1000; interlock = "one"`).
			load("B", `running_w = 600; power_factor = 0.6; interlock = "one"`).load("C",
			"running_w = 300; power_factor = 0.6"),
			want{1300, 1500, 1300, 1500}, "00:00"},
		// An interlock of members that never meet in their windows: connected still counts only one.
		{"interlock in turns", newHouse().load("A",
			`running_w = 700; hours_per_day = 1; when = ["06:00-07:00"]; interlock = "one"`).
			load("B", `running_w = 500; hours_per_day = 1; when = ["07:00-08:00"]; interlock = "one"`),
			want{700, 700, 700, 700}, "06:00"},
		{"windows", newHouse().load("A", `running_w = 1000; hours_per_day = 1; when = ["06:00-09:00"]`).
			load("B", `running_w = 500; hours_per_day = 1; when = ["08:00-10:00"]`).
			load("C", `running_w = 200; hours_per_day = 1; when = ["20:00-22:00"]`),
			want{1700, 1700, 1500, 1500}, "08:00"},
		// W is worst at 06:00, VA (800/0.6) at 12:00; scheduled_at is that of W. Together: 1800 W and 800*4/3 VAr.
		{"each at its own minute", newHouse().load("A", `running_w = 1000; hours_per_day = 1; when = ["06:00-07:00"]`).
			load("B", `running_w = 800; power_factor = 0.6; hours_per_day = 1; when = ["12:00-13:00"]`),
			want{1800, 2092.3139768633623, 1000, 4000.0 / 3}, "06:00"},
		{"the end of a window is not held", newHouse().load("A",
			`running_w = 400; hours_per_day = 1; when = ["06:00-07:00"]`).
			load("B", `running_w = 300; hours_per_day = 1; when = ["07:00-08:00"]`),
			want{700, 700, 400, 400}, "06:00"},
		{"over midnight", newHouse().load("A", `running_w = 400; hours_per_day = 1; when = ["22:00-02:00"]`).
			load("B", `running_w = 300; hours_per_day = 1; when = ["01:59-03:00"]`),
			want{700, 700, 700, 700}, "01:59"},
		{"24:00 is an end", newHouse().load("A", `running_w = 400; hours_per_day = 1; when = ["23:00-24:00"]`).
			load("B", `running_w = 300; hours_per_day = 1; when = ["00:00-01:00"]`),
			want{700, 700, 400, 400}, "23:00"},
		{"held off, on the main board, in another month", newHouse().set("outage.month", 7).circuit("m",
			`board = "main"`).
			load("A", "running_w = 100").load("B", "running_w = 200; held_off = true").
			load("C", `running_w = 400; circuit = "m"`).load("D", "running_w = 800; months = [1, 6, 8, 12]"),
			want{100, 100, 100, 100}, "00:00"},
		{"nothing", newHouse(), want{0, 0, 0, 0}, "00:00"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			d := tt.house.plan(t).Demand
			near(t, "connected W", d.Connected.W, tt.want.connectedW)
			near(t, "scheduled W", d.Scheduled.W, tt.want.scheduledW)
			near(t, "scheduled VA", d.Scheduled.VA, tt.want.scheduledVA)
			near(t, "connected VA", d.Connected.VA, tt.want.connectedVA)
			if got := calendar.Clock(d.Scheduled.AtMin); got != tt.at {
				t.Errorf("scheduled at %s, want %s", got, tt.at)
			}
		})
	}
}

// TestPhases: a circuit on phase 0 spreads evenly, totals are vectors, each phase stands for itself.
func TestPhases(t *testing.T) {
	h := newHouse().set("site.phases", 3).set("inverter.phases", 3).
		circuit("b", "phase = 2").circuit("c", "phase = 0").
		load("A", "running_w = 1000").
		load("B", `running_w = 800; power_factor = 0.8; circuit = "b"`).
		load("C", `running_w = 3000; circuit = "c"`)
	d := h.plan(t).Demand.Scheduled
	// 1000 + 800 + 3000 W and 600 VAr.
	near(t, "W", d.W, 4800)
	near(t, "VA", d.VA, 4837.354648979131)
	// Phase 2: 800 + 1000 W and 600 VAr: sqrt(1800^2 + 600^2) = 1897.3666.
	for i, want := range []float64{2000, 1897.3665961010276, 1000} {
		near(t, "VA of a phase", d.PhaseVA[i], want)
	}
	for i, want := range []float64{2000, 1800, 1000} {
		near(t, "W of a phase", d.PhaseW[i], want)
	}
}

// TestProbable: the smallest attainable sum that holds with the confidence, exactly; an interlock is one draw.
func TestProbable(t *testing.T) {
	for _, tt := range []struct {
		what       string
		confidence float64
		house      *house
		want       float64
	}{
		// Three units at 1/2: P(sum <= 100 W) = 1/2, <= 200 W 7/8.
		{"just reached", 0.875, newHouse().load("A", "quantity = 3; running_w = 100; hours_per_day = 12"), 200},
		{"just not reached", 0.8751, newHouse().load("A", "quantity = 3; running_w = 100; hours_per_day = 12"), 300},
		{"one half", 0.5, newHouse().load("A", "quantity = 3; running_w = 100; hours_per_day = 12"), 100},
		{"always on", 0.01, newHouse().load("A", "running_w = 100"), 100},
		{"never on", 1, newHouse().load("A", "running_w = 100; hours_per_day = 0"), 0},
		// In its window of 2 h a load of 1 h is on half the time, so 0.4 still finds it off and 0.6 does not.
		{"hours of the windows", 0.4, newHouse().load("A",
			`running_w = 100; hours_per_day = 1; when = ["06:00-08:00"]`), 0},
		{"hours of the windows, more", 0.6, newHouse().load("A",
			`running_w = 100; hours_per_day = 1; when = ["06:00-08:00"]`), 100},
		// Both members want 3/4 of the day: scaled to 1/2 each, never both, never none.
		{"interlock scaled", 0.5, newHouse().load("A", `running_w = 100; hours_per_day = 18; interlock = "i"`).
			load("B", `running_w = 300; hours_per_day = 18; interlock = "i"`), 100},
		{"interlock scaled, more", 0.51, newHouse().load("A", `running_w = 100; hours_per_day = 18; interlock = "i"`).
			load("B", `running_w = 300; hours_per_day = 18; interlock = "i"`), 300},
		// 1/4 and 1/4: none of them half of the time.
		{"interlock with none", 0.5, newHouse().load("A", `running_w = 100; hours_per_day = 6; interlock = "i"`).
			load("B", `running_w = 300; hours_per_day = 6; interlock = "i"`), 0},
		// A member comes with all its units: 4 * 100 W with probability 1/2, never 100 W.
		{"interlock with all units", 0.6, newHouse().load("A",
			`quantity = 4; running_w = 100; hours_per_day = 12; interlock = "i"`), 400},
	} {
		t.Run(tt.what, func(t *testing.T) {
			near(t, "probable W", tt.house.set("practice.confidence", tt.confidence).plan(t).Demand.ProbableW, tt.want)
		})
	}
}

// TestEnergy: all loads in use count, each spread evenly over its windows.
func TestEnergy(t *testing.T) {
	// 900 W for 1 h within 06:00-07:30 are 600 W on average there; 100 W from 22:00 to 02:00 half of the time are 50 W.
	// Both members of the interlock count with their energy.
	d := newHouse().load("A", `running_w = 900; hours_per_day = 1; when = ["06:00-07:30"]; interlock = "i"`).
		load("B", `quantity = 2; running_w = 50; hours_per_day = 2; when = ["22:00-02:00"]; interlock = "i"`).
		load("C", "running_w = 24; hours_per_day = 6").plan(t).Demand
	near(t, "energy", d.EnergyWhPerDay, 900+2*50*2+24*6)
	hours := d.Profile.HourlyW()
	for hour, want := range map[int]float64{0: 56, 1: 56, 2: 6, 5: 6, 6: 606, 7: 306, 8: 6, 21: 6, 22: 56, 23: 56} {
		near(t, "mean W of an hour", hours[hour], want)
	}
}

// TestMonth: the given one, else the month with the most energy on backup and either circuits, the first of equals.
func TestMonth(t *testing.T) {
	seasons := func() *house {
		return newHouse().circuit("e", `board = "either"`).circuit("m", `board = "main"`).
			load("Fan", "running_w = 1000; hours_per_day = 2; months = [12, 1, 2]").
			load("Pump", `running_w = 1000; hours_per_day = 3; months = [6, 7, 8]`).
			load("Lamp", "running_w = 10")
	}
	for _, tt := range []struct {
		what  string
		house *house
		want  int
	}{
		{"most energy, the first of equals", seasons(), 6},
		{"given", seasons().set("outage.month", 2), 2},
		{"a circuit on either board counts", seasons().load("Kiln",
			`running_w = 1000; hours_per_day = 4; months = [3]; circuit = "e"`), 3},
		{"a circuit on the main board does not", seasons().load("Kiln",
			`running_w = 1000; hours_per_day = 24; months = [3]; circuit = "m"`), 6},
		{"all months alike", newHouse().load("Lamp", "running_w = 10"), 1},
		{"no loads", newHouse(), 1},
	} {
		t.Run(tt.what, func(t *testing.T) {
			if got := tt.house.plan(t).Month; got != tt.want {
				t.Errorf("month %d, want %d", got, tt.want)
			}
		})
	}
	// Demand, starts and energy are those of the month.
	p := seasons().load("Fan start", "running_w = 100; starting_va = 400; months = [1]").set("outage.month", 1).plan(t)
	near(t, "scheduled W in January", p.Demand.Scheduled.W, 1110)
	if len(p.Starts.All) != 1 {
		t.Errorf("%d starts in January, want 1", len(p.Starts.All))
	}
	if p := seasons().load("Fan start", "running_w = 100; starting_va = 400; months = [1]").set("outage.month",
		7).plan(t); len(p.Starts.All) != 0 {
		t.Errorf("%d starts in July, want none", len(p.Starts.All))
	}
}
