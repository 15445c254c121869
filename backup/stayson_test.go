package backup_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/study"
)

// The house's bank gives 4 strings * 100 Ah * 48 V * 0.8 = 15 360 Wh; the inverter takes 50 W for itself and W/0.8 for
// the loads.
func hoursAt(w float64) float64 { return 15360 / (50 + w/0.8) }

// roundly compares hours: a minute's step is cut where the bank ends, so that only rounding is left.
func roundly(t testing.TB, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-6*(1+want) {
		t.Errorf("%s: %.6f, want %.6f", what, got, want)
	}
}

// TestLevels: only the loads up to a priority run, medical ones always.
func TestLevels(t *testing.T) {
	p := newHouse().load("A", "running_w = 300; priority = 1").load("B", "running_w = 200; priority = 3").load("C",
		"running_w = 100; priority = 3").
		load("D", "running_w = 400; priority = 5").load("E", "running_w = 50; priority = 4; medical = true").load("F",
		"running_w = 999; priority = 2; held_off = true").plan(t)
	list, err := study.Levels(p.Facts)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		priority, loads int
		w               float64
	}{{1, 2, 350}, {3, 4, 650}, {5, 5, 1050}}
	if len(list) != len(want) {
		t.Fatalf("%d levels, want %d: %+v", len(list), len(want), list)
	}
	for i, l := range list {
		if l.Priority != want[i].priority || l.Loads != want[i].loads {
			t.Errorf("level %d: priority %d with %d loads, want %d with %d", i, l.Priority, l.Loads, want[i].priority,
				want[i].loads)
		}
		near(t, "energy", l.EnergyWhPerDay, want[i].w*24)
		roundly(t, fmt.Sprintf("hours up to priority %d", l.Priority), l.Hours, hoursAt(want[i].w))
	}
	least, _, err := p.LeastAutonomy()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "with all of them", list[2].Hours, least)
}

// TestShed: which loads go, in which order, and how long the bank lasts after each.
func TestShed(t *testing.T) {
	house := func() *house {
		return newHouse().load("A", "running_w = 400; priority = 1").load("B", "running_w = 200; priority = 3").
			load("C", "running_w = 300; priority = 5").load("D", "running_w = 100; priority = 5")
	}
	for _, tt := range []struct {
		wished  float64
		drops   string // "name hours"
		reached bool
	}{
		{11, "", true},                   // all 1000 W: 11.8 h
		{13, "D 13.072", true},           // the smaller one does
		{15, "C 16.605", true},           // the smaller one does not
		{17, "C 16.605, D 19.200", true}, // both of priority 5, nothing of priority 3
		{22, "C 16.605, B 22.756", true}, // with B off D may stay
		{25, "C 16.605, D 19.200, B 27.927", true},
		{300, "C 16.605, D 19.200, B 27.927, A 307.200", true},
		{310, "C 16.605, D 19.200, B 27.927, A 307.200", false}, // its own 50 W
	} {
		t.Run(fmt.Sprintf("%g h", tt.wished), func(t *testing.T) {
			shed, err := study.Shed(house().plan(t).Facts, tt.wished)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, d := range shed.Drops {
				got = append(got, fmt.Sprintf("%s %.3f", d.Load, d.Hours))
			}
			if text := strings.Join(got, ", "); text != tt.drops || shed.Reached != tt.reached {
				t.Errorf("off %q, reached %t; want %q, %t", text, shed.Reached, tt.drops, tt.reached)
			}
		})
	}
	shed, err := study.Shed(house().load("M", "running_w = 100; priority = 5; medical = true").plan(t).Facts, 1e4)
	if err != nil {
		t.Fatal(err)
	}
	if shed.Reached || slices.ContainsFunc(shed.Drops, func(d study.Drop) bool { return d.Load == "M" }) ||
		len(shed.Drops) != 4 {
		t.Errorf("%+v: a medical load is never switched off", shed)
	}
}

// TestShedIsLeast: no other choice of loads reaches the wish with fewer of the most important off, then of the next,
// and so on; and the one that is named does reach it.
func TestShedIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "loads")
		type one struct {
			w, priority int
			when        string
			hours       float64
		}
		var all []one
		for range n {
			set := rapid.IntRange(0, 3).Draw(t, "windows")
			all = append(all, one{rapid.IntRange(20, 600).Draw(t, "w"), rapid.IntRange(1, 5).Draw(t, "priority"),
				[]string{"", "06:00-09:00", "17:00-23:00", "20:00-04:00"}[set], []float64{24, 3, 6, 8}[set]})
		}
		start := rapid.SampledFrom([]string{"worst", "07:00", "18:30", "23:00"}).Draw(t, "start")
		plan := func(off int) *backup.Plan {
			h := newHouse().set("outage.start", fmt.Sprintf("%q", start))
			for i, l := range all {
				text := fmt.Sprintf("running_w = %d.%03d1; priority = %d; hours_per_day = %g; held_off = %t", l.w, i,
					l.priority, l.hours, off>>i&1 == 1)
				if l.when != "" {
					text += fmt.Sprintf("; when = [%q]", l.when)
				}
				h.load(fmt.Sprint(i), text)
			}
			p, err := planOf(h.text())
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
		wished := float64(rapid.IntRange(8, 40).Draw(t, "wished"))
		// least is the shortest time over the starts that the program looks at.
		least := func(off int) float64 {
			h, _, err := plan(off).LeastAutonomy()
			if err != nil {
				t.Fatal(err)
			}
			return h
		}
		count := func(off int) []int {
			c := make([]int, 5)
			for i, l := range all {
				if off>>i&1 == 1 {
					c[l.priority-1]++
				}
			}
			return c
		}
		var best []int
		for off := range 1 << n {
			if c := count(off); (best == nil || slices.Compare(c, best) < 0) && least(off) >= wished {
				best = c
			}
		}
		shed, err := study.Shed(plan(0).Facts, wished)
		if err != nil {
			t.Fatal(err)
		}
		if shed.Reached != (best != nil) {
			t.Fatalf("reached %t, but %v would do", shed.Reached, best)
		}
		if best == nil {
			return
		}
		off := 0
		for _, d := range shed.Drops {
			var i int
			if _, err := fmt.Sscan(d.Load, &i); err != nil {
				t.Fatal(err)
			}
			off |= 1 << i
		}
		if got := count(off); !slices.Equal(got, best) {
			t.Errorf("off %v by priority, but %v would do", got, best)
		}
		if h := least(off); h < wished-1e-6 {
			t.Errorf("lasts %g h with these off, wished %g", h, wished)
		}
	})
}

// TestMoves: what a circuit costs in hours, on the board or off it.
func TestMoves(t *testing.T) {
	p := newHouse().load("A", "running_w = 400").circuit("b", "").load("B",
		`running_w = 400; circuit = "b"`).circuit("m", `board = "main"`).
		load("M", `running_w = 800; circuit = "m"`).circuit("idle", "").load("H",
		`running_w = 800; circuit = "idle"; held_off = true`).plan(t)
	moves, err := study.Moves(p.Facts)
	if err != nil {
		t.Fatal(err)
	}
	now := hoursAt(800)
	for id, want := range map[string]float64{"a": hoursAt(400) - now, "b": hoursAt(400) - now, "m": hoursAt(1600) - now,
		"idle": 0} {
		if m, ok := moves[id]; !ok || m.Capped {
			t.Errorf("%s: not known", id)
		} else if math.Abs(m.Hours-want) > 1e-6 {
			t.Errorf("%s: %+.6f h, want %+.6f", id, m.Hours, want)
		}
	}
	// Without its only circuit the bank lasts for 307 h, which is more than the 240 h for which it is followed.
	alone, err := study.Moves(newHouse().load("A", "running_w = 800").plan(t).Facts)
	if err != nil {
		t.Fatal(err)
	}
	if m := alone["a"]; !m.Capped || math.Abs(m.Hours-(240-now)) > 1e-6 {
		t.Errorf("the only circuit: %+v, want 240 h less %g h, at least", m, now)
	}
}

// TestWays: ways are numbered in the order of the file; the main board has none.
func TestWays(t *testing.T) {
	p := newHouse().circuit("m", `board = "main"`).circuit("b", "").either("c", "running_w = 1").either("d",
		"running_w = 100000").plan(t)
	for id, want := range map[string]int{"a": 1, "m": 0, "b": 2, "c": 3, "d": 0} {
		if c := circuitOf(t, p, id); c.Way != want {
			t.Errorf("%s is on way %d, want %d", id, c.Way, want)
		}
	}
}
