package loads

import (
	"math"
	"strings"
	"testing"
)

func TestWindow(t *testing.T) {
	for _, tt := range []struct {
		w       Window
		minutes int
		in, out []int
	}{
		{Window{360, 540}, 180, []int{360, 539}, []int{359, 540, 0}},
		{Window{1320, 360}, 480, []int{1320, 1439, 0, 359}, []int{360, 1319}},
		{Window{1320, 1440}, 120, []int{1320, 1439}, []int{0, 1319}},
		{Window{1320, 0}, 120, []int{1320, 1439}, []int{0, 1319}},
		{Window{0, 1440}, 1440, []int{0, 720, 1439}, nil},
		{Window{600, 600}, 0, nil, []int{0, 600, 1439}},
	} {
		if got := tt.w.Minutes(); got != tt.minutes {
			t.Errorf("%v: %d minutes, want %d", tt.w, got, tt.minutes)
		}
		for _, m := range tt.in {
			if !tt.w.Holds(m) {
				t.Errorf("%v does not hold %d", tt.w, m)
			}
		}
		for _, m := range tt.out {
			if tt.w.Holds(m) {
				t.Errorf("%v holds %d", tt.w, m)
			}
		}
	}
}

func TestMonths(t *testing.T) {
	winter := MonthsOf(6, 7, 8)
	for m := -1; m <= 14; m++ {
		if want := m >= 6 && m <= 8; winter.Has(m) != want {
			t.Errorf("winter has %d: %t, want %t", m, !want, want)
		}
		if want := m >= 1 && m <= 12; AllMonths.Has(m) != want {
			t.Errorf("all months have %d: %t, want %t", m, !want, want)
		}
	}
	heater, lamp := steady("heater", 1000), steady("lamp", 10)
	heater.Months = winter
	if got := InMonth([]Load{heater, lamp}, 1); len(got) != 1 || got[0].Name != "lamp" {
		t.Errorf("in January: %v, want the lamp", got)
	}
	if got := InMonth([]Load{heater, lamp}, 7); len(got) != 2 {
		t.Errorf("in July: %v, want both", got)
	}
}

func TestLoad(t *testing.T) {
	l := Load{Quantity: 3, RunningW: 100, PowerFactor: 0.8, HoursPerDay: 2, Windows: []Window{{360, 540}, {1380, 60}}}
	const own = "own, by hand"
	check(t, []fact{
		{"hours of the windows", own, l.WindowHours(), 5, 0},
		{"share", own, l.Share(), 0.4, 1e-15},
		{"VAr of all", own, l.RunningAll().VAr, 225, 1e-9},
		{"VA of one", own, l.Running().VA(), 125, 1e-9},
		{"energy", own, l.EnergyWhPerDay(), 600, 0},
		{"no power factor is 1", own, Load{RunningW: 5}.Running().VAr, 0, 0},
		{"any time", own, Load{}.WindowHours(), 24, 0},
	})
	if !l.ActiveAt(0) || l.ActiveAt(60) || !(Load{}).ActiveAt(60) {
		t.Error("active at the wrong minutes")
	}
}

func TestCheck(t *testing.T) {
	good := func() Load {
		return Load{Name: "pump", Phase: 1, Quantity: 2, RunningW: 1100, PowerFactor: 0.8, HoursPerDay: 4,
			Windows: []Window{{360, 540}, {960, 1200}}, Start: &Start{PlainVA: 5200, Seconds: 3}}
	}
	if err := good().Check(1); err != nil {
		t.Errorf("a good load: %v", err)
	}
	for _, tt := range []struct {
		want  string // part of the message
		spoil func(*Load)
	}{
		{"phase 2, want 0 to 1", func(l *Load) { l.Phase = 2 }},
		{"phase -1", func(l *Load) { l.Phase = -1 }},
		{"quantity -1", func(l *Load) { l.Quantity = -1 }},
		{"running power NaN", func(l *Load) { l.RunningW = math.NaN() }},
		{"running power -5", func(l *Load) { l.RunningW = -5 }},
		{"running power +Inf", func(l *Load) { l.RunningW = math.Inf(1) }},
		{"running VA of all units", func(l *Load) { l.RunningW = 1e300 }},
		{"running VA of all units", func(l *Load) { l.PowerFactor = 1e-300 }},
		{"power factor 1.1", func(l *Load) { l.PowerFactor = 1.1 }},
		{"power factor -0.5", func(l *Load) { l.PowerFactor = -0.5 }},
		{"power factor NaN", func(l *Load) { l.PowerFactor = math.NaN() }},
		{"hours per day -1", func(l *Load) { l.HoursPerDay = -1 }},
		{"hours per day 7.01, want at most the 7 h", func(l *Load) { l.HoursPerDay = 7.01 }},
		{"start", func(l *Load) { l.Start.PlainVA = -1 }},
		{"start", func(l *Load) { l.Start.Power.VAr = math.NaN() }},
		{"start", func(l *Load) { l.Start.Seconds = math.Inf(1) }},
		{"starting VA of all units", func(l *Load) { l.Start.PlainVA = 1e300 }},
		{"window {360 360}", func(l *Load) { l.Windows[0] = Window{360, 360} }},
		{"window {1440 60}", func(l *Load) { l.Windows[0] = Window{1440, 60} }},
		{"window {60 1441}", func(l *Load) { l.Windows[0] = Window{60, 1441} }},
		{"window {-1 60}", func(l *Load) { l.Windows[0] = Window{-1, 60} }},
		{"window {1199 20}, want no minute in two", func(l *Load) { l.Windows = append(l.Windows, Window{1199, 20}) }},
	} {
		l := good()
		tt.spoil(&l)
		err := l.Check(1)
		if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), `loads: "pump": `) {
			t.Errorf("error %v, want one with %q", err, tt.want)
		}
	}
	full := good()
	full.HoursPerDay = 7
	if err := full.Check(1); err != nil {
		t.Errorf("on all the time of its windows: %v", err)
	}
}

func TestProgrammersMistakesPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"power factor 0":   func() { FromPF(100, 0) },
		"power factor NaN": func() { FromPF(100, math.NaN()) },
		"month 13":         func() { MonthsOf(13) },
		"4 phases":         func() { NewSet(4, nil) },
		"a load unchecked": func() { NewSet(1, []Load{{RunningW: -1}}) },
		"a negative weight": func() {
			NewSet(1, []Load{steady("x", 1)}).ScheduledWith(
				func(Load) float64 { return -1 })
		},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}
