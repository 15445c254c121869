package backup_test

import (
	"math"
	"slices"
	"testing"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/samplehome"
	"outlast/backup/study"
)

// An outage of which nobody says when it begins is the one that plan and papers promise: it begins at the worst moment,
// also where the file gives a start, and the bank alone lasts as long as they say.
func TestOutageFollowsTheWorstStart(t *testing.T) {
	homes := map[string]*backup.Plan{"mill-lane-passes": triedPlan(t, "mill-lane-passes")}
	for _, name := range []string{"clinic", "cottage", "farmhouse", "split-phase", "town-flat"} {
		homes[name] = samplehome.Plan(t, name)
	}
	for name, p := range homes {
		for i := range p.Site.Loads {
			p.Site.Loads[i].DropBelow = 0 // the promise counts on nobody switching off
		}
		fresh, err := backup.NewPlan(t.Context(), p.Site)
		if err != nil {
			t.Fatal(err)
		}
		least, start, err := fresh.LeastAutonomy()
		if err != nil {
			t.Fatal(err)
		}
		alone := study.OutageOptions{Hours: int(least) + 2, EvenSpread: true, NoArray: true, NoGenerator: true}
		run, err := study.RunOutage(t.Context(), fresh.Facts, alone)
		if err != nil {
			t.Fatal(err)
		}
		hours, dark := run.HoursUntilDark()
		if run.StartMin != int(start+1e-6) || !dark || hours > least+1.0/60 || hours < least-2.0/60 {
			t.Errorf("%s: the outage begins at %s and lasts %.3f h (%t); promised are %.3f h from %s", name,
				calendar.Clock(run.StartMin), hours, dark, least, calendar.Moment(start))
		}
		for _, other := range []int{0, 377, 700, 1110, 1439} {
			alone.Start = &other
			given, err := study.RunOutage(t.Context(), fresh.Facts, alone)
			if err != nil {
				t.Fatal(err)
			}
			if h, _ := given.HoursUntilDark(); given.StartMin != other || h < hours-1.0/60 {
				t.Errorf("%s: from %s on it lasts %.3f h, less than from the worst moment, %.3f h", name,
					calendar.Clock(other), h, hours)
			}
		}
	}
}

// An outage in another month is that of a plan of that month with the same equipment.
func TestOutageInAnotherMonth(t *testing.T) {
	p := triedPlan(t, "line-end-generator-below-floor") // the stove burns from October to April
	other := *p.Site
	other.Outage.Month, other.Strings = 7, p.Bank.Strings
	july, err := backup.NewPlan(t.Context(), &other)
	if err != nil {
		t.Fatal(err)
	}
	o := study.OutageOptions{Hours: 48, Seed: 3}
	want, err := study.RunOutage(t.Context(), july.Facts, o)
	if err != nil {
		t.Fatal(err)
	}
	o.Month = 7
	got, err := study.RunOutage(t.Context(), p.Facts, o)
	if err != nil {
		t.Fatal(err)
	}
	if got.StartMin != want.StartMin || got.Month != 7 || got.Energy != want.Energy ||
		!slices.Equal(got.SoC, want.SoC) {
		t.Errorf("from %d: %+v, the plan of July from %d: %+v", got.StartMin, got.Energy, want.StartMin, want.Energy)
	}
	o.Month = 1
	january, err := study.RunOutage(t.Context(), p.Facts, o)
	if err != nil {
		t.Fatal(err)
	}
	if january.Energy.DemandWh <= got.Energy.DemandWh {
		t.Errorf("January asks for %g Wh, July for %g Wh", january.Energy.DemandWh, got.Energy.DemandWh)
	}
	for _, bad := range []int{-1, 13} {
		if _, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 1, Month: bad}); err == nil {
			t.Errorf("month %d is followed", bad)
		}
	}
}

// The dull days of a month bring less than any others of it, the sunny ones more.
func TestOutageUnderASky(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	given := func(sky study.Sky, seed uint64) float64 {
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 72, EvenSpread: true, Sky: sky,
			Seed: seed, NoGenerator: true})
		if err != nil {
			t.Fatal(err)
		}
		return run.Energy.PVUsedWh + run.Energy.PVCurtailedWh
	}
	strict := false
	for seed := range uint64(4) {
		dull, drawn, sunny := given(study.SkyDull, seed), given(study.SkyDrawn, seed), given(study.SkySunny, seed)
		if dull > drawn*(1+1e-9) || drawn > sunny*(1+1e-9) {
			t.Errorf("seed %d: dull %g Wh, as drawn %g Wh, sunny %g Wh", seed, dull, drawn, sunny)
		}
		strict = strict || dull < 0.7*drawn && sunny > 1.1*drawn
	}
	if !strict {
		t.Error("the skies make little difference")
	}
	for _, o := range []study.OutageOptions{{Hours: 5, Sky: study.SkyDull, NoArray: true}} {
		if _, err := study.RunOutage(t.Context(), p.Facts, o); err == nil {
			t.Error("a dull outage without an array is followed")
		}
	}
	if _, err := study.RunOutage(t.Context(), samplehome.Plan(t, "town-flat").Facts,
		study.OutageOptions{Hours: 5, Sky: study.SkySunny}); err == nil {
		t.Error("a sunny outage of a home without an array is followed")
	}
}

// What someone depends on is told when it loses power: with the board, at once where its circuit is on the main board
// or it is held off, and not while nobody wants it.
func TestMedicalLosses(t *testing.T) {
	// 3840 Wh carry 450/0.8 + 50 W for 6.27 h.
	home := func(text string) *house {
		return newHouse().set("bank.strings", 1).circuit("m", `label = "Main"; board = "main"`).
			load("Base", "running_w = 400").load("Machine", "running_w = 50; medical = true; "+text)
	}
	for _, tt := range []struct {
		what    string
		house   *house
		why     study.LossReason
		firstH  float64
		minutes int
	}{
		{"with the board", home(""), study.LossDark, 3840 / 612.5, 0},
		{"held off", home("held_off = true"), study.LossHeldOff, 0, 24 * 60},
		{"only by night, 20 h after the start", home(`when = ["20:00-22:00"]; hours_per_day = 2`), study.LossDark,
			20, 120},
	} {
		start := 0
		run, err := study.RunOutage(t.Context(), tt.house.plan(t).Facts, study.OutageOptions{Hours: 24, Start: &start})
		if err != nil {
			t.Fatal(err)
		}
		if len(run.Medical) != 1 || run.Medical[0].Load != "Machine" || run.Medical[0].Why != tt.why ||
			math.Abs(float64(run.Medical[0].FirstMin)/60-tt.firstH) > 1.0/60 {
			t.Errorf("%s: %+v, want a loss after %g h, %s", tt.what, run.Medical, tt.firstH, tt.why)
			continue
		}
		if tt.minutes > 0 && run.Medical[0].Minutes != tt.minutes {
			t.Errorf("%s: %d minutes, want %d", tt.what, run.Medical[0].Minutes, tt.minutes)
		}
	}
	start := 0
	run, err := study.RunOutage(t.Context(), home("").plan(t).Facts, study.OutageOptions{Hours: 4, Start: &start})
	if err != nil || len(run.Medical) > 0 {
		t.Errorf("within what the bank lasts: %+v, %v", run.Medical, err)
	}
	if run, err = study.RunOutage(t.Context(), home(`circuit = "m"`).plan(t).Facts,
		study.OutageOptions{Hours: 4, Start: &start}); err != nil || len(run.Medical) != 1 ||
		run.Medical[0].Why != study.LossMain {
		t.Errorf("on the main board: %+v, %v", run, err)
	}
}

// In the restart order of the mill lane the oxygen concentrator comes first: every start fits on top of it.
func TestMedicalFirstInTheRestartOrder(t *testing.T) {
	order := triedPlan(t, "mill-lane-passes").Starts.Restart.Order
	if len(order) < 5 || order[0] != "Oxygen concentrator" {
		t.Errorf("order %q", order)
	}
}
