package backup_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// triedPlan plans a home on which something was found once.
func triedPlan(t *testing.T, name string) *backup.Plan {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "testdata", "tried", name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := planOf(string(src))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The bank of the test house goes down to 20 %: the generator starts at 25 % at least, and stops 5 % above that at
// least.
func TestGeneratorSoC(t *testing.T) {
	lead := func(text string) *house {
		return powered(text).put("inverter", `chemistries = ["flooded"]`).replace("bank",
			`chemistry = "flooded"; nominal_v = 12; rated_ah = 200; rated_h = 20; strings = 4; max_dod = 0.5`)
	}
	checkFacts(t, "generator-soc", "%", []fact{
		{"well above", powered("start_soc = 0.4; stop_soc = 0.9"), "pass", 40, 25, 15.0 / 25,
			"starts at 40 % and stops at 90 %"},
		{"at the limit", powered("start_soc = 0.25"), "pass", 25, 25, 0, "starts at 25 % and stops at 80 %"},
		{"not given", powered(""), "pass", 30, 25, 5.0 / 25, "starts at 30 % and stops at 80 %"},
		{"at the floor", powered("start_soc = 0.2"), "caution", 20, 25, -5.0 / 25,
			"would lose power before the generator starts; start it at 25 %"},
		{"below it", powered("start_soc = 0"), "caution", 0, 25, -1, "would lose power"},
		{"just above it", powered("start_soc = 0.21"), "caution", 21, 25, -4.0 / 25, "too little margin"},
		{"the stop comes too soon", powered("start_soc = 0.25; stop_soc = 0.26"), "caution", 25, 25, 0,
			"stop it at 30 %"},
		{"lead-acid, not given", lead(""), "pass", 55, 55, 0, "starts at 55 % and stops at 80 %"},
		{"lead-acid, what is usual for lithium", lead("start_soc = 0.3"), "caution", 30, 55, -25.0 / 55,
			"start it at 55 %"},
	})
	// Voltage ends this bank at 33 % (see TestVoltageEndsTheAutonomy): not the floor but that is where the circuits
	// lose power.
	p := steady().put("bank", "strings = 1; resistance_mohm = 50").set("inverter.dc_min_v", 48).put("generator",
		"rated_va = 8000; power_factor = 0.8; start_soc = 0.3").plan(t)
	if r := p.GeneratorRuns; math.Abs(r.DarkSoC-0.33) > 0.001 || r.StartSoC != 0.39 {
		t.Errorf("voltage ends it: %+v, want dark at 33 %% and a start at 39 %%", *r)
	}
}

// The house at the end of the line gives start_soc = 0.4 for a bank that ends at 50 %: the plan starts the generator
// before it is dark, and an outage follows that very rule.
func TestGeneratorStartsBeforeItIsDark(t *testing.T) {
	p := triedPlan(t, "line-end-generator-below-floor")
	if c := check(t, p, "generator-soc"); c.Status != verdict.Caution || p.GeneratorRuns.StartSoC != 0.55 {
		t.Errorf("%s, start at %g, want a caution and 0.55", c.Status, p.GeneratorRuns.StartSoC)
	}
	// Its tank ends within a seventh day.
	run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 144, NoArray: true, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if run.DarkMin > 0 {
		t.Errorf("dark for %d min", run.DarkMin)
	}
	starts := 0
	for _, e := range run.Events {
		switch soc := run.SoC[e.Min]; {
		case e.Kind == outage.EventGeneratorStarts && (soc > p.GeneratorRuns.StartSoC ||
			soc < p.GeneratorRuns.StartSoC-0.01):
			t.Errorf("it starts at %.3f", soc)
		case e.Kind == outage.EventGeneratorStops && (soc < p.GeneratorRuns.StopSoC ||
			soc > p.GeneratorRuns.StopSoC+0.01):
			t.Errorf("it stops at %.3f", soc)
		case e.Kind == outage.EventGeneratorStarts:
			starts++
		}
	}
	if starts < 3 {
		t.Errorf("it starts %d times in six days", starts)
	}
}

// With a generator that starts and stops as the plan says, no home whose checks pass loses power, whatever its bank.
func TestNoDrawnHomeIsDarkWithItsGenerator(t *testing.T) {
	seeds := uint64(400)
	if testing.Short() {
		seeds = 60
	}
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	followed := 0
	for seed := range seeds {
		site, err := site.Read("home.toml", drawnhome.Draw(seed), cat)
		if err != nil || site.Generator == nil {
			continue
		}
		site.Options, site.Generator.FuelL = nil, 0
		p, err := backup.NewPlan(t.Context(), site)
		if err != nil || p.Verdict() == verdict.Fail {
			continue
		}
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 120, NoArray: true,
			EvenSpread: true})
		if err != nil {
			t.Fatal(err)
		}
		followed++
		if run.DarkMin > 0 {
			t.Errorf("home %d: dark for %d min from minute %d on, start at %g, %+v", seed, run.DarkMin,
				run.FirstDarkMin, p.GeneratorRuns.StartSoC, p.Bank.EndsBy)
		}
	}
	if followed < int(seeds)/50 {
		t.Errorf("%d homes were followed", followed)
	}
	t.Logf("%d homes", followed)
}

// The table of fuel and an outage come from one model: in a bank that takes no charge in the cold the generator runs on
// and on, and what the table tells of a day is what an outage of weeks takes a day.
func TestFuelTableIsThatOfAnOutage(t *testing.T) {
	for _, tt := range []struct {
		home  string
		takes bool
	}{{"line-end-cold-agm", false}, {"line-end-generator-below-floor", true}} {
		p := triedPlan(t, tt.home)
		if !tt.takes { // a maker stricter than what is usual for AGM
			strict := 0.0
			p.Bank.Unit.ChargeMinC = &strict
		}
		p.Site.Generator.FuelL = 0
		p.Site.Arrays = nil // days are drawn: no two outages have the same
		r, ok, err := p.Recharge()
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		told := r.Months[p.Month-1]
		const days = 60
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: days * 24, EvenSpread: true})
		if err != nil {
			t.Fatal(err)
		}
		first := 0
		for _, e := range run.Events {
			if e.Kind == outage.EventGeneratorStarts {
				first = e.Min
				break
			}
		}
		rest := float64(run.Minutes-first) / 1440
		litres, hours := run.FuelL/rest, float64(run.GeneratorMin)/60/rest
		if math.Abs(told.GeneratorL-litres) > 0.02*litres || math.Abs(told.GeneratorH-hours) > 0.02*hours ||
			!told.GeneratorOK {
			t.Errorf("%s: the table tells %.2f l in %.2f h a day (%t), the outage takes %.2f l in %.2f h", tt.home,
				told.GeneratorL, told.GeneratorH, told.GeneratorOK, litres, hours)
		}
		if run.DarkMin > 0 {
			t.Errorf("%s: dark for %d min", tt.home, run.DarkMin)
		}
		if told.Carries || (hours > 23.9) == tt.takes {
			t.Errorf("%s: %.1f h a day", tt.home, hours)
		}
		said := strings.Contains(strings.Join(phrase.Strings(r.Cautions), " "), "takes no charge")
		if said == tt.takes {
			t.Errorf("%s: cautions %q", tt.home, r.Cautions)
		}
	}
}
