package backup_test

import (
	"slices"
	"testing"

	"outlast/backup/study"
)

// TestSensitivity: one input at a time, by hand. The house's bank gives 15 360 Wh, see hoursAt.
func TestSensitivity(t *testing.T) {
	p := newHouse().set("outage.autonomy_h", 8).set("practice.end_of_life", 0.9).load("Lamp",
		"running_w = 800; hours_per_day = 24").
		load("Fan", `running_w = 200; hours_per_day = 22; starting_va = 3000; starting_pf = 0.5`).
		load("Held", "running_w = 100; held_off = true").plan(t)
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		t.Fatal(err)
	}
	// 800 W and 200*22/24 W on average, a bank at 0.9 of its age.
	const fan = 200 * 22. / 24
	hours := func(w, idle, share float64) float64 { return 15360 * 0.9 * share / (idle + w/0.8) }
	now := hours(800+fan, 50, 1)
	byInput := map[string]study.Influence{}
	for _, f := range list {
		byInput[f.Input.String()] = f
	}
	for _, tt := range []struct {
		input, step string
		was, is     float64
		hours       float64
	}{
		{"practice.growth", "+0.1", 0, 0.1, now / 1.1},
		{"practice.margin", "+0.1", 0, 0.1, now},
		{"practice.end_of_life", "-10 %", 0.9, 0.81, 0.9 * now},
		{"practice.max_dod", "-10 %", 0.8, 0.72, 0.9 * now},
		{"outage.reserve", "-10 %", 1, 0.9, now * 0.7 / 0.8},
		{"inverter.idle_w", "+10 %", 50, 55, hours(800+fan, 55, 1)},
		{"site.hottest_c", "+5 K", 25, 30, now},
		{"Lamp: running_w", "+10 %", 800, 880, hours(880+fan, 50, 1)},
		{"Fan: running_w", "+10 %", 200, 220, hours(800+1.1*fan, 50, 1)},
		{"Fan: hours_per_day", "+9.1 %", 22, 24, hours(1000, 50, 1)},
	} {
		f, ok := byInput[tt.input]
		if !ok {
			t.Errorf("%s is not in the list", tt.input)
			continue
		}
		if f.Step.String() != tt.step {
			t.Errorf("%s: step %q, want %q", tt.input, f.Step, tt.step)
		}
		near(t, tt.input+": was", f.Was, tt.was)
		near(t, tt.input+": is", f.Is, tt.is)
		roundly(t, tt.input+": hours", f.AutonomyH, tt.hours)
		if got, want := f.ChangeH, tt.hours-now; got-want > 1e-5 || want-got > 1e-5 {
			t.Errorf("%s: change %g h, want %g", tt.input, got, want)
		}
		if len(f.Fails) > 0 {
			t.Errorf("%s makes %v fail", tt.input, f.Fails)
		}
	}
	for _, input := range []string{"Lamp: hours_per_day", "Held: running_w"} { // it runs all day already; it is held off
		if _, ok := byInput[input]; ok {
			t.Errorf("%s is in the list", input)
		}
	}
	// The margin of the continuous watts: 1000 of 4000, and 1080 of them.
	if f := byInput["Lamp: running_w"]; f.Check == "" {
		t.Error("no margin moves with the lamp's power")
	}
	plain := newHouse().set("bank.strings", 40).load("Lamp", "running_w = 800").plan(t)
	if list, err = study.Sensitivity(plain.Facts); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(list, func(f study.Influence) bool { return f.Input.String() == "Lamp: running_w" })
	if f := list[i]; f.Check == "autonomy" || f.MarginIs >= f.MarginWas {
		t.Errorf("with an ample bank: %+v", f)
	}
}

// TestSensitivityRanks: what makes a check fail stands first, then what moves most.
func TestSensitivityRanks(t *testing.T) {
	list, err := study.Sensitivity(newHouse().set("bank.strings", 40).load("Oven",
		`running_w = 3700; hours_per_day = 1; when = ["12:00-13:00"]`).load("Lamp", "running_w = 100").plan(t).Facts)
	if err != nil {
		t.Fatal(err)
	}
	if f := list[0]; f.Input.String() != "Oven: running_w" || !slices.Equal(f.Fails,
		[]string{"inverter-continuous-w"}) {
		t.Errorf("first %s with %v, want the oven's power, which the inverter does not carry", f.Input, f.Fails)
	}
	for _, f := range list[1:] {
		if len(f.Fails) > 0 && f.Input.String() != "Lamp: running_w" {
			t.Errorf("%s makes %v fail", f.Input, f.Fails)
		}
	}
	// The planner's own bank stays as it is: a larger load does not buy one.
	sized := newHouse().set("bank.strings", 0).load("Lamp", "running_w = 800").plan(t)
	if list, err = study.Sensitivity(sized.Facts); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(list, func(f study.Influence) bool { return f.Input.String() == "Lamp: running_w" })
	roundly(t, "with the planned bank", list[i].AutonomyH, 15360./4*float64(sized.Bank.Strings)/(50+880/0.8))
}
