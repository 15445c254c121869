package backup_test

import (
	"fmt"
	"strings"
	"testing"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
)

// TestShortestMonth: heat on winter evenings takes less in a day than cooling all day in summer, and takes it faster. By hand:
// 800 W for 24 h are 19.2 kWh, 3000 W for 4 h are 12; the bank lasts longer in June by far.
func TestShortestMonth(t *testing.T) {
	home := func() *house {
		return newHouse().set("outage.autonomy_h", 4).
			load("Cooling", "running_w = 800; hours_per_day = 24; months = [6, 7, 8]").
			load("Heat", `running_w = 3000; hours_per_day = 4; when = ["18:00-22:00"]; months = [11, 12, 1, 2]`)
	}
	june := home().plan(t)
	month, hours, err := june.ShortestMonth()
	least, _, _ := june.LeastAutonomy()
	if err != nil || june.Month != 6 || month != 1 || hours <= 0 || hours > least {
		t.Fatalf("month %d lasts %g h, shortest month %d with %g h, %v; want January, less than June", june.Month,
			least, month, hours, err)
	}
	// The same as a plan for January says.
	least6 := least
	january := home().set("outage.month", 1).plan(t)
	least, _, _ = january.LeastAutonomy()
	near(t, "January", hours, least)
	if month, _, _ := january.ShortestMonth(); month != 0 {
		t.Errorf("January: month %d is shorter", month)
	}

	// Asked for less than June gives and more than January does, a plan that leaves the month open is to be checked.
	between := (hours + least6) / 2
	told := func(p []phrase.Phrase) bool {
		return strings.Contains(strings.Join(phrase.Strings(p), "\n"), "In an outage in January the bank lasts")
	}
	open := home().set("outage.autonomy_h", between).plan(t)
	if c := open.ByID()["autonomy"]; c.Status != verdict.Caution || !strings.Contains(c.Reason.String(), "in January only") ||
		!told(open.Cautions) {
		t.Errorf("month left open: %s, %q", c.Status, c.Reason)
	}
	chosen := home().set("outage.autonomy_h", between).set("outage.month", 6).plan(t)
	if c := chosen.ByID()["autonomy"]; c.Status != verdict.Pass || !told(chosen.Cautions) {
		t.Errorf("June was asked for: %s, %q, told of January %t", c.Status, c.Reason, told(chosen.Cautions))
	}
	enough := home().set("outage.autonomy_h", hours/2).plan(t)
	if c := enough.ByID()["autonomy"]; c.Status != verdict.Pass || told(enough.Cautions) {
		t.Errorf("less is asked for than January gives: %s, %q", c.Status, c.Reason)
	}

	// More than the inverter carries lasts for no time.
	weak := home().set("inverter.rated_w", 1000).set("inverter.rated_va", 1000).plan(t)
	if month, hours, err := weak.ShortestMonth(); err != nil || month != 1 || hours != 0 {
		t.Errorf("too much for the inverter in January: month %d, %g h, %v, want January and none", month, hours, err)
	}
}

// TestStartOfOtherMonth: what starts in winter only is above what the inverter gives, and the plan is for summer, in which
// more energy is used. A plan that leaves the month open is to be checked; one for summer says it in a caution, and one
// for winter fails.
func TestStartOfOtherMonth(t *testing.T) {
	home := func(va float64) *house {
		return newHouse().
			load("Cooling", "running_w = 800; hours_per_day = 24; months = [6, 7, 8]").
			load("Heat", fmt.Sprintf("running_w = 500; starting_va = %g; starting_s = 1; hours_per_day = 4; months = [1, 2, 12]", va))
	}
	limitVA := home(600).set("outage.month", 1).plan(t).Starts.All[0].LimitVA
	told := func(p []phrase.Phrase) bool {
		return strings.Contains(strings.Join(phrase.Strings(p), "\n"), `In an outage in January "Heat" starts with`)
	}
	for _, tt := range []struct {
		va     float64
		month  int
		status verdict.Status
		told   bool
	}{
		{limitVA - 1, 0, verdict.Pass, false},
		{limitVA + 1, 0, verdict.Caution, true},
		{limitVA + 1, 6, verdict.Pass, true},
		{limitVA + 1, 1, verdict.Fail, false},
	} {
		h := home(tt.va)
		if tt.month > 0 {
			h.set("outage.month", tt.month)
		}
		p := h.plan(t)
		c := p.ByID()["inverter-surge"]
		if c.Status != tt.status || told(p.Cautions) != tt.told {
			t.Errorf("%g VA, month %d: %s, want %s; told of January %t, want %t: %s", tt.va, tt.month, c.Status, tt.status,
				told(p.Cautions), tt.told, c.Reason)
		}
		if says := strings.Contains(c.Reason.String(), `in January "Heat" starts with`); says != (c.Status == verdict.Caution) {
			t.Errorf("%g VA, month %d: %q", tt.va, tt.month, c.Reason)
		}
	}
}

// TestAcceptedLimitsArePlanned: what a site file may say at the ends of its ranges is planned with. Less energy than today lasts
// longer, in proportion where nothing but energy ends it: 1 / 0.9.
func TestAcceptedLimitsArePlanned(t *testing.T) {
	steady := func(growth float64) *house {
		return newHouse().set("practice.growth", growth).load("A", "running_w = 500")
	}
	near(t, "hours with a tenth less", steady(-0.1).plan(t).Bank.AutonomyH, steady(0).plan(t).Bank.AutonomyH/0.9)
	if h := steady(-0.9).plan(t).Bank.AutonomyH; !(h > 5*steady(0).plan(t).Bank.AutonomyH) {
		t.Errorf("a tenth of the energy lasts %g h", h)
	}
}
