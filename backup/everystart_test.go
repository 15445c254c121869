package backup_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// helpedHome is a home with a generator whose tank is small, two loads that are dropped in winter and one more in
// summer.
func helpedHome(bank string, fuelL float64) *house {
	h := newHouse().set("outage.month", 1).set("outage.autonomy_h", 10).set("site.coldest_c",
		15).set("practice.growth", 0.1)
	h.replace("bank", bank)
	h.put("generator", fmt.Sprintf("rated_va = 4000; power_factor = 0.9; start_soc = 0.45; stop_soc = 0.7; fuel_l = %g",
		fuelL))
	return h.load("Light", `running_w = 150; hours_per_day = 5; when = ["16:00-23:30"]`).
		load("Fridge", "running_w = 120; hours_per_day = 10; cycle = { on_min = 10, off_min = 14 }").
		load("Heater", `running_w = 500; hours_per_day = 6; when = ["05:00-09:00", "18:00-22:00"]; drop_below = 0.6`).
		load("Set", `running_w = 90; hours_per_day = 4; when = ["17:00-23:00"]; drop_below = 0.5`).
		load("Breathing aid", "running_w = 60; hours_per_day = 24; medical = true").
		load("Fan", "running_w = 40; hours_per_day = 24; months = [6, 7, 8]; drop_below = 0.3")
}

// bankKinds are a lithium and a lead-acid bank of about as much.
var bankKinds = map[string]string{
	"lithium":   `use = "lfp-51-100"; strings = 1`,
	"lead-acid": `use = "agm-12-200"; strings = 1`,
}

// Outages from every start and the one that is followed with all its accounts are of one model: from each hour of a day
// they last as long, generator, fuel and drops included.
func TestEveryStartIsEveryOutage(t *testing.T) {
	for kind, bank := range bankKinds {
		for _, fuelL := range []float64{map[string]float64{"lithium": 3, "lead-acid": 5}[kind]} {
			p := helpedHome(bank, fuelL).plan(t)
			const longest = 60
			e, err := study.FromEveryStart(t.Context(), p.Facts,
				study.EveryStartOptions{MaxH: longest, TargetH: 10, Chance: 0.9, StepMin: 1})
			if err != nil {
				t.Fatal(err)
			}
			if want := []string{"Fan", "Heater", "Set"}; !e.Counted.Generator || e.Counted.FuelL != fuelL ||
				e.Counted.Array || !slices.Equal(e.Counted.Dropped, want) {
				t.Errorf("%s: counted %+v", kind, e.Counted)
			}
			differ := map[int]bool{}
			for hour := 0; hour < 24; hour += 3 {
				start := hour * 60
				r, err := study.RunOutage(context.Background(), p.Facts,
					study.OutageOptions{Hours: longest, EvenSpread: true, Start: &start})
				if err != nil {
					t.Fatal(err)
				}
				until, dark := r.HoursUntilDark()
				if !dark {
					t.Errorf("%s, %g l: from %d:00 nothing goes dark in %d h: the home does not tell", kind, fuelL,
						hour, longest)
				}
				if int(until) != e.Hours[hour] {
					t.Errorf("%s, %g l: from %d:00 %d h of every start, but the outage lasts %.2f h", kind, fuelL, hour,
						e.Hours[hour], until)
				}
				differ[e.Hours[hour]] = true
			}
			if len(differ) < 3 {
				t.Errorf("%s, %g l: all starts last alike: the home does not tell", kind, fuelL)
			}
		}
	}
}

// Generator and drops each count, and each can be left out; what helps is told.
func TestEveryStartCounts(t *testing.T) {
	for kind, bank := range bankKinds {
		helped := helpedHome(bank, 9).plan(t)
		mean := func(p *backup.Plan, generator, drops bool) float64 {
			e, err := study.FromEveryStart(t.Context(), p.Facts,
				study.EveryStartOptions{MaxH: 60, TargetH: 10, Chance: 0.9, StepMin: 15, NoGenerator: !generator})
			if err != nil {
				t.Fatal(err)
			}
			text := e.Counted.Text().String()
			if strings.Contains(text, "the generator with 9 l of fuel") != generator ||
				strings.Contains(text, `load shedding of "Fan", "Heater" and "Set"`) != drops {
				t.Errorf("%s, generator %t, drops %t: %q", kind, generator, drops, text)
			}
			return e.MeanH()
		}
		both, noDrops := mean(helped, true, true), mean(neverDropping(helped), true, false)
		noGenerator, neither := mean(helped, false, true), mean(neverDropping(helped), false, false)
		if !(both > noDrops && noDrops > neither && both > noGenerator && noGenerator > neither) {
			t.Errorf("%s: mean hours %.1f, without drops %.1f, without generator %.1f, without both %.1f", kind, both,
				noDrops, noGenerator, neither)
		}
	}
}

// The strings to buy follow from the same model as the hours: as many as are named keep the wished chance, one less
// does not; and where the generator alone does, nothing is to be bought.
func TestWishedBankWithGeneratorAndDrops(t *testing.T) {
	for kind, bank := range bankKinds {
		for _, fuelL := range []float64{3, 1000} {
			p := helpedHome(bank, fuelL).plan(t)
			o := study.EveryStartOptions{MaxH: 40, TargetH: 40, Chance: 0.95, StepMin: 15}
			e, err := study.FromEveryStart(t.Context(), p.Facts, o)
			if err != nil {
				t.Fatal(err)
			}
			alone := o
			alone.NoGenerator = true
			bare, err := study.FromEveryStart(t.Context(), p.Facts, alone)
			if err != nil {
				t.Fatal(err)
			}
			if !e.Bank.Possible || !bare.Bank.Possible || e.Bank.Strings >= bare.Bank.Strings {
				t.Errorf("%s, %g l: %+v, without the generator %+v: it must spare strings", kind, fuelL, e.Bank,
					bare.Bank)
			}
			if endless := fuelL == 1000; endless != (e.Bank.Strings == 1) {
				t.Errorf("%s, %g l: %d strings", kind, fuelL, e.Bank.Strings)
			}
			for _, n := range []int{e.Bank.Strings, e.Bank.Strings - 1} {
				if n == 0 {
					continue
				}
				q := *p.Facts
				q.Bank.Strings = n
				f, err := study.FromEveryStart(t.Context(), &q, o)
				if err != nil {
					t.Fatal(err)
				}
				if chance, _ := f.Chance(40); (chance >= o.Chance) != (n == e.Bank.Strings) {
					t.Errorf("%s, %g l: %d strings outlast 40 h with a chance of %.4f, wished %g with %d", kind, fuelL,
						n, chance, o.Chance, e.Bank.Strings)
				}
			}
		}
	}
}

// Hours are not all that a number of strings decides: what a plan with the wished bank fails is told with it.
func TestWishedBankIsPlanned(t *testing.T) {
	for kind, bank := range bankKinds {
		h := helpedHome(bank, 1000)
		e, err := study.FromEveryStart(t.Context(), h.set("bank.strings", 4).plan(t).Facts,
			study.EveryStartOptions{MaxH: 40, TargetH: 40, Chance: 0.95, StepMin: 15})
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, c := range h.set("bank.strings", e.Bank.Strings).plan(t).Checks {
			if c.Status == verdict.Fail {
				want = append(want, c.ID)
			}
		}
		if e.Bank.Strings != 1 || len(want) == 0 || !slices.Equal(e.Bank.Fails, want) {
			t.Errorf("%s: %d strings fail %q, want 1 that fails %q", kind, e.Bank.Strings, e.Bank.Fails, want)
		}
	}
}

// A generator whose start_soc lies below the floor of the bank is counted with the charge at which it really starts:
// nothing loses power before it.
func TestEveryStartOfAGeneratorBelowTheFloor(t *testing.T) {
	p := helpedHome(bankKinds["lead-acid"], 1000).set("generator.start_soc", 0.3).plan(t)
	e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 60, TargetH: 60, Chance: 1})
	if err != nil {
		t.Fatal(err)
	}
	if least := slices.Min(e.Hours); least != 60 || e.Bank.Strings != 1 {
		t.Errorf("the worst start lasts %d h of 60, %d strings", least, e.Bank.Strings)
	}
}

// Where the voltage under load ends an outage before the charge does, sums of energies do not know it: no start lasts
// longer than the plan says of it.
func TestEveryStartKnowsTheVoltage(t *testing.T) {
	h := func(mohm float64) *backup.Plan {
		return newHouse().set("outage.month", 1).set("outage.start", `"00:00"`).set("inverter.dc_min_v",
			47).set("bank.strings", 2).set("bank.resistance_mohm", mohm).
			load("Heater", "running_w = 800").plan(t)
	}
	soft, stiff := h(200), h(1)
	if soft.Bank.EndsBy != facts.EndVoltage || stiff.Bank.EndsBy != facts.EndCharge ||
		soft.Bank.AutonomyH > stiff.Bank.AutonomyH-1 {
		t.Fatalf("ended by %s after %.2f h and by %s after %.2f h: the homes do not tell", soft.Bank.EndsBy,
			soft.Bank.AutonomyH, stiff.Bank.EndsBy, stiff.Bank.AutonomyH)
	}
	for _, p := range []*backup.Plan{soft, stiff} {
		e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 48, TargetH: 2, Chance: 1})
		if err != nil {
			t.Fatal(err)
		}
		if least, want := slices.Min(e.Hours), int(p.Bank.AutonomyH); least != want {
			t.Errorf("every start lasts at least %d h, the plan says %.2f h", least, p.Bank.AutonomyH)
		}
	}
}

// A bank that must not be discharged in its cold space gives nothing, whoever asks: the plan, the simulated outage or
// every start of a year.
func TestTooColdForAnyStart(t *testing.T) {
	for _, tt := range []struct {
		kind  string
		least string // of the battery, C
		hours float64
	}{{"lfp", "-20", 0}, {"lfp", "-30", 1}, {"lead-acid", "-20", 0}, {"lead-acid", "-30", 1}} {
		h := newHouse()
		if tt.kind == "lead-acid" {
			h = lead()
		}
		p := h.set("site.coldest_c", -25).set("bank.discharge_min_c", tt.least).load("Lamp", "running_w = 100").plan(t)
		e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 24, TargetH: 1, Chance: 1})
		if err != nil {
			t.Fatal(err)
		}
		most, dark := float64(slices.Max(e.Hours)), tt.hours == 0
		if (p.Bank.AutonomyH == 0) != dark || (most == 0) != dark || e.Bank.Possible == dark {
			t.Errorf("%s down to %s C: %g h in the plan, up to %g h from any start, wished %+v", tt.kind, tt.least,
				p.Bank.AutonomyH, most, e.Bank)
		}
		if (p.Bank.EndsBy == facts.EndCold) != dark {
			t.Errorf("%s down to %s C: ended by %q", tt.kind, tt.least, p.Bank.EndsBy)
		}
		said := strings.Contains(check(t, p, "bank-temperature").Reason.String(), "-20 C the bank must not be discharged")
		if said != dark {
			t.Errorf("%s down to %s C: %s", tt.kind, tt.least, check(t, p, "bank-temperature").Reason)
		}
	}
}

// What the inverters do not carry is dark from every start, with something that is dropped at a low charge or without.
func TestEveryStartKnowsTheInverter(t *testing.T) {
	for _, kind := range []string{"lfp", "lead-acid"} {
		var hours [2][]int
		for i, drop := range []string{"", "; drop_below = 0.81"} { // never reached: the floor is lower, and nothing else runs
			h := newHouse()
			if kind == "lead-acid" {
				h = lead()
			}
			p := h.set("outage.month", 7).load("Lamp", "running_w = 100").load("Heater", `running_w = 4200; hours_per_day = 2;
				when = ["18:00-20:00"]; months = [1]`).load("Clock", "running_w = 0.001"+drop).plan(t)
			e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 24, TargetH: 4, Chance: 1,
				StepMin: 1})
			if err != nil {
				t.Fatal(err)
			}
			hours[i] = e.Hours
			if dark := e.Hours[18]; dark != 0 || e.Hours[12] > 6 {
				t.Errorf("%s%s: 4200 W of 4000 W from 18:00 on 1 January: %d h, from 12:00 %d h", kind, drop, dark,
					e.Hours[12])
			}
		}
		if !slices.Equal(hours[0], hours[1]) {
			t.Errorf("%s: something that is dropped at a low charge makes another year of it", kind)
		}
	}
}

// Growth is of the energy: the limits of inverter and units hold for what flows today, in all that is followed.
func TestGrowthLeavesTheLimits(t *testing.T) {
	for _, watts := range []int{3000, 3999} {
		h := newHouse().set("bank.strings", 2).set("bank.max_discharge_a", 60).set("inverter.efficiency", 0.9).
			drop("bank.resistance_mohm").set("outage.autonomy_h", 1).load("Heater", fmt.Sprintf("running_w = %d", watts))
		now := h.plan(t)
		grown := h.set("practice.growth", 0.5).plan(t)
		if want := now.Bank.AutonomyH / 1.5; math.Abs(grown.Bank.AutonomyH-want) > 1e-6 || want == 0 {
			t.Errorf("%d W: %g h today, %g h with half as much energy again, want %g", watts, now.Bank.AutonomyH,
				grown.Bank.AutonomyH, want)
		}
		for _, drop := range []bool{false, true} {
			if drop {
				h.load("Clock", "running_w = 0.001; drop_below = 0.5")
			}
			p := h.plan(t)
			e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 24, TargetH: 1, Chance: 1,
				StepMin: 1})
			if err != nil {
				t.Fatal(err)
			}
			if got, want := slices.Min(e.Hours), int(p.Bank.AutonomyH); got != want {
				t.Errorf("%d W, dropped %v: %d h from every start, the plan says %g", watts, drop, got, p.Bank.AutonomyH)
			}
			sc, err := p.Scenario(1)
			if err != nil {
				t.Fatal(err)
			}
			run, err := outage.NewSim(sc)
			if err != nil {
				t.Fatal(err)
			}
			if err := run.Run(24 * 60); err != nil {
				t.Fatal(err)
			}
			if want := p.Bank.AutonomyH * 60; math.Abs(float64(run.Result().FirstDarkMin)-want) > 1 {
				t.Errorf("%d W, dropped %v: dark after %d min, the plan says %g", watts, drop, run.Result().FirstDarkMin, want)
			}
		}
	}
}
