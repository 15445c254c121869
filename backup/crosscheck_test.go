package backup_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/calendar"
)

// TestDutyCycle: the method of the stationary-battery standard on hand-made cycles; IEEE 485, memory.
func TestDutyCycle(t *testing.T) {
	// 20 A for 5 h, then 10 A for 5 h: 960 and 480 W from the bank at an efficiency of 0.8 and 50 W standby consumption
	twoSteps := func() *house {
		return lead().put("bank", table).drop("bank.peukert").set("outage.start", `"00:00"`).
			load("A", "running_w = 344").load("B", `running_w = 384; when = ["00:00-05:00"]; hours_per_day = 5`)
	}
	for _, tt := range []struct {
		what    string
		house   *house
		want    float64
		periods int
	}{
		// With an exponent of 1 a rate costs nothing, so that Kt is the time: 1050 W are 21.875 A, for 10 h.
		{"no rate effect", lead().load("A", "running_w = 800"), 218.75, 1},
		{"margin and age", lead().put("practice", "margin = 0.2; end_of_life = 0.8").load("A", "running_w = 800"),
			218.75 * 1.2 / 0.8, 1},
		{"growth", lead().set("practice.growth", 0.1).load("A", "running_w = 800"), 218.75 * 1.1, 1},
		// 1.30 at 40 F.
		{"cold", lead().set("site.coldest_c", (40.0-32)/1.8).load("A", "running_w = 800"), 218.75 * 1.3, 1},
		// Kt(10 h) = 100/(90/10), Kt(5 h) = 100/(80/5): 20*100/9 - 10*100/16.
		{"two steps", twoSteps(), 2000/9.0 - 1000/16.0, 2},
		// One period for the first 6 h of 30, one for the day after.
		{"longer than a day", lead().set("outage.autonomy_h", 30).load("A", "running_w = 800"), 21.875 * 30, 2},
	} {
		c := tt.house.plan(t).Details.Cross
		if c == nil || !c.Problem.Empty() {
			t.Errorf("%s: no cross-check: %+v", tt.what, c)
			continue
		}
		near(t, tt.what, c.Duty.RequiredAh, tt.want)
		if c.DutyPeriods != tt.periods {
			t.Errorf("%s: %d periods, want %d", tt.what, c.DutyPeriods, tt.periods)
		}
	}
	if newHouse().plan(t).Details.Cross != nil {
		t.Error("lithium has a cross-check for lead-acid")
	}
}

// TestAutonomyMethod: the worksheet of stand-alone systems, SEEN, agrees with the plan where nothing counts that it
// leaves out, and differs by just those factors where something does.
func TestAutonomyMethod(t *testing.T) {
	for _, tt := range []struct {
		what  string
		house *house
		ratio float64 // over the plan's own
		why   string
	}{
		{"nothing left out", lead(), 1, "both agree"},
		{"cold is in both", lead().set("site.coldest_c", 5), 1, "both agree"},
		{"margin and growth are in both", lead().put("practice", "margin = 0.2; growth = 0.1"), 1, "both agree"},
		{"age", lead().set("practice.end_of_life", 0.8), 0.8, "age (end_of_life 0.8)"},
		{"reserve", lead().set("outage.reserve", 0.9), 0.8, "a reserve below full (0.9)"},
		{"rate", lead().put("bank", "peukert = 1.25").set("outage.autonomy_h", 5), math.Pow(2, -0.2),
			"the rate of discharge (0.871)"},
		{"all of them", lead().put("bank", "peukert = 1.25").put("outage",
			"autonomy_h = 4; reserve = 0.9").set("practice.end_of_life", 0.8), 0.8 * 0.8 * math.Pow(2, -0.2),
			"age (end_of_life 0.8), a reserve below full (0.9) and the rate of discharge"},
		{"days", lead().set("outage.autonomy_h", 72), 1, "both agree"},
	} {
		p := tt.house.load("A", "running_w = 800").plan(t)
		c := p.Details.Cross
		if tt.what == "all of them" {
			// The rate factor depends on the other two: it is taken from the plan.
			tt.ratio = 0.8 * 0.8 * p.Bank.Sizing.KRate
		}
		near(t, tt.what, c.Autonomy.RequiredAh/p.Bank.Sizing.RequiredAh, tt.ratio)
		if !strings.Contains(c.AutonomyWhy.String(), tt.why) {
			t.Errorf("%s: %q, want %q in it", tt.what, c.AutonomyWhy, tt.why)
		}
	}
}

// TestDutyCycleHoldsTheEnergy: whatever the loads and the hours, without a rate effect and at 25 C the duty cycle asks
// for just the charge that the plan counts, to the last Ah: no step is lost, none counted twice. More steps than fit
// are put together, and few stay.
func TestDutyCycleHoldsTheEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := lead().set("outage.autonomy_h", round(rapid.Float64Range(0.1, 100).Draw(t, "autonomy_h")))
		h.set("outage.start", rapid.SampledFrom([]string{`"worst"`, `"00:00"`, `"07:10"`, `"23:59"`}).Draw(t, "start"))
		for range rapid.IntRange(0, 60).Draw(t, "loads") {
			from := rapid.IntRange(0, 1439).Draw(t, "from")
			minutes := rapid.IntRange(1, 600).Draw(t, "minutes")
			to := (from + minutes) % 1440
			h.load(fmt.Sprintf("load %d", len(h.loads)),
				fmt.Sprintf(`running_w = %v; when = ["%s-%s"]; hours_per_day = %v`,
					rapid.Float64Range(0, 500).Draw(t, "w"), calendar.Clock(from), calendar.Clock(to),
					float64(minutes)/60*rapid.Float64Range(0, 0.99).Draw(t, "share")))
		}
		p, err := planOf(h.text())
		if err != nil {
			t.Fatalf("%v\n%s", err, h.text())
		}
		c := p.Details.Cross
		if !c.Problem.Empty() {
			t.Fatal(c.Problem)
		}
		if c.DutyPeriods > 49 {
			t.Errorf("%d periods", c.DutyPeriods)
		}
		if want := p.Bank.EnergyDCWh / p.Bank.NominalV(); math.Abs(c.Duty.UncorrectedAh-want) > 1e-6*want {
			t.Errorf("%.9g Ah (%s), want %.9g", c.Duty.UncorrectedAh, c.DutyNote, want)
		}
	})
}

// TestPeukertExponentOfTheTable: 90 Ah in 10 h and 100 Ah in 20 h lie on k = ln(20/10) / ln(9/5) = 1.17925. It is shown
// for the rows around the current of a string, and not where there is no table, or the current is slower than it.
func TestPeukertExponentOfTheTable(t *testing.T) {
	exponent := func(h *house) (k float64, shown bool) {
		for _, s := range h.plan(t).Working() {
			if s.Title.String() == "Peukert exponent at the mean current" {
				return s.Value, true
			}
		}
		return 0, false
	}
	home := func(watts string) *house { return lead().load("Lamp", watts+"; hours_per_day = 24") }
	// 300 W of 48 V, and what the inverter takes, are between the 5 A of 20 h and the 9 A of 10 h.
	if k, shown := exponent(home("running_w = 300").put("bank", table).set("bank.strings",
		1).drop("bank.peukert")); !shown || math.Abs(k-1.17925) > 5e-6 {
		t.Errorf("k = %g, %v, want 1.17925", k, shown)
	}
	if k, shown := exponent(home("running_w = 20").put("bank", table).set("bank.strings",
		1).drop("bank.peukert")); shown {
		t.Errorf("k = %g of a current slower than the table", k)
	}
	if k, shown := exponent(home("running_w = 300")); shown {
		t.Errorf("k = %g without a table", k)
	}
}

// TestKineticModelIsShown: constants and residuals of the unit stand in the working; the rated point is met.
func TestKineticModelIsShown(t *testing.T) {
	p := lead().put("bank", table).drop("bank.peukert").plan(t)
	k := p.Details.Kinetic
	if k == nil || !(k.AvailableShare > 0 && k.AvailableShare <= 1) || !(k.RatePerH > 0) || k.FullAh < 100*(1-1e-3) {
		t.Fatalf("%+v, want a share, a rate and at least the rated 100 Ah", k)
	}
	if len(k.Residuals) != 3 || math.Abs(k.Residuals[2]) > 1e-3 {
		t.Errorf("residuals %v, want three, none at the rated 20 h", k.Residuals)
	}
	found := 0
	for _, s := range p.Working() {
		if strings.HasPrefix(s.Title.String(), "Kinetic model of a unit") {
			found++
		}
		if s.Title.String() == "Capacity factor of temperature" &&
			!strings.Contains(s.Cited().String(), "no credit at 25 C") {
			t.Errorf("the source of the temperature factor is %q", s.Cited())
		}
	}
	if found != 4 {
		t.Errorf("%d steps on the kinetic model, want 4", found)
	}
	cold := lead().set("site.coldest_c", 3).plan(t)
	for _, s := range cold.Working() {
		if s.Title.String() == "Capacity factor of temperature" &&
			!strings.Contains(s.Cited().String(), "stand-alone PV worksheet") {
			t.Errorf("the source of the temperature factor of flooded cells at 3 C is %q", s.Cited())
		}
	}
	if newHouse().plan(t).Details.Kinetic != nil {
		t.Error("lithium has a kinetic model")
	}
}
