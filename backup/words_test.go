package backup_test

import (
	"strings"
	"testing"

	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// TestAmountOfLittle: an excess is never written as none.
func TestAmountOfLittle(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		unit string
		want string
	}{
		{0.4, "VA", "0.4 VA"}, {0.5, "W", "0.5 W"}, {0.6, "W", "1 W"}, {0.0123, "W", "0.01 W"}, {0.04, "A", "0.04 A"},
		{0.05, "A", "0.1 A"},
		{-0.3, "VA", "-0.3 VA"}, {0.002, "h", "0.002 h"}, {0.0004, "A/Ah", "0.0004 A/Ah"}, {0.003, "", "0.003"},
		{0, "VA", "0 VA"}, {1e-9, "VA", "0 VA"}, // what rounding leaves
		{850, "W", "850 W"}, {3210, "VA", "3.21 kVA"}, {25.3, "h", "25.3 h"},
	} {
		if got := wording.AmountText(tt.v, tt.unit); got != tt.want {
			t.Errorf("%g %s: %q, want %q", tt.v, tt.unit, got, tt.want)
		}
	}
	over := newHouse().load("Heater", "running_w = 4000.4").plan(t)
	if c := check(t, over, "inverter-continuous-w"); c.Status != verdict.Fail ||
		!strings.HasSuffix(c.Reason.String(), "at least 0.4 W") {
		t.Errorf("%s: %q, want 0.4 W at its end", c.Status, c.Reason)
	}
}

func TestPriorityOfHeldOffCircuits(t *testing.T) {
	p := newHouse().circuit("b", "breaker_a = 10").circuit("c", "breaker_a = 10").
		load("Lamp", "running_w = 10; priority = 4").load("Kettle", "running_w = 100; priority = 1; held_off = true").
		load("Iron", `running_w = 100; priority = 5; held_off = true; circuit = "b"`).
		load("Press", `running_w = 100; priority = 4; held_off = true; circuit = "b"`).plan(t)
	for i, want := range []int{4, 4, 3} { // the lamp, not what is held off beside it; the press; nothing, so the default
		if got := p.Circuits[i].Priority; got != want {
			t.Errorf("circuit %s: priority %d, want %d", p.Circuits[i].ID, got, want)
		}
	}
}

func TestNothingOnTheCircuits(t *testing.T) {
	c := check(t, newHouse().load("Lamp", "running_w = 0").plan(t), "circuit-breaker")
	if c.Status != verdict.Pass || strings.Contains(c.Reason.String(), "fullest") {
		t.Errorf("%s: %q, want no fullest circuit where nothing draws current", c.Status, c.Reason)
	}
}
