package backup_test

import (
	"strings"
	"testing"

	"outlast/backup/verdict"
	"outlast/battery"
)

// TestHeadroom: a share of the inverter's ratings is kept free: of the continuous rating, of the overload and of the
// battery current. The house has 4000 W, 5000 VA, 10 kVA for 5 s and 120 A.
func TestHeadroom(t *testing.T) {
	free := func(load string) *house { return newHouse().set("practice.headroom", 0.25).load("A", load) }
	const says = "25 % of the rating is kept free"
	checkFacts(t, "inverter-continuous-w", "W", []fact{
		{"in full", free("running_w = 3000"), "pass", 3000, 3000, 0, says},
		{"just above", free("running_w = 3001"), "fail", 3001, 3000, -1.0 / 3000, says},
		{"without", newHouse().load("A", "running_w = 3001"), "pass", 3001, 4000, 999.0 / 4000,
			"the inverter is rated for"},
	})
	checkFacts(t, "inverter-continuous", "VA", []fact{
		{"in full", free("running_w = 1875; power_factor = 0.5"), "pass", 3750, 3750, 0, says},
		{"just above", free("running_w = 1876; power_factor = 0.5"), "fail", 3752, 3750, -2.0 / 3750, says},
	})
	checkFacts(t, "inverter-surge", "VA", []fact{
		{"in full", free("running_w = 100; starting_va = 7500; starting_s = 5"), "pass", 7500, 7500, 0, says},
		{"just above", free("running_w = 100; starting_va = 7501; starting_s = 5"), "fail", 7501, 7500, -1.0 / 7500,
			says},
	})
	checkFacts(t, "inverter-restart", "VA", []fact{
		{"in full", free("running_w = 100; starting_va = 7500; starting_s = 5"), "pass", 7500, 7500, 0, says},
	})
	// 50 W standby consumption and 3190/0.8 W from 45 V: 89.7 A of 90 A. What the bank gives is no rating of the
	// inverter: 400 A.
	checkFacts(t, "dc-current", "A", []fact{
		{"below", free("running_w = 3190"), "pass", (50 + 3190/0.8) / 45, 90, 1 - (50+3190/0.8)/45/90, says},
		{"above", free("running_w = 3210"), "fail", (50 + 3210/0.8) / 45, 90, 1 - (50+3210/0.8)/45/90, says},
		{"the bank's own limit", free("running_w = 3000").set("bank.strings", 1).set("bank.max_discharge_a",
			85).set("bank.pulse_a", 85),
			"pass", 3800 / 45.0, 85, 1 - 3800/45.0/85, "the bank"},
	})
	// Whoever switches on what is held off may use what was kept free for it.
	p := free("running_w = 2900").load("B", "running_w = 1000; held_off = true").plan(t)
	if c := check(t, p, "slip-B"); c.Status != verdict.Pass {
		t.Errorf("a slip within the whole rating: %s, %s", c.Status, c.Reason)
	}
	// The rating itself is told in full.
	if g := p.Inverter; g.DeratedW() != 4000 || g.LimitW() != 3000 || g.RatingVA(5) != 10000 ||
		g.StartLimitVA(5) != 7500 {
		t.Errorf("ratings %g W and %g VA, limits %g W and %g VA", g.DeratedW(), g.RatingVA(5), g.LimitW(),
			g.StartLimitVA(5))
	}
}

// TestHeadroomDecides: the split of the circuits and the size of the inverter keep it too. A circuit of 1500 W beside
// 2000 W fits into 4000 W, not into the 3200 W that a headroom of 0.2 leaves.
func TestHeadroomDecides(t *testing.T) {
	home := func() *house {
		return newHouse().set("outage.autonomy_h", 1).load("A", "running_w = 2000").circuit("b",
			`breaker_a = 50; board = "either"`).load("B", `running_w = 1500; circuit = "b"`)
	}
	on := func(h *house) bool {
		p := h.plan(t)
		for _, c := range p.Circuits {
			if c.ID == "b" {
				return c.OnBackup
			}
		}
		t.Fatal("circuit b is gone")
		return false
	}
	if !on(home()) {
		t.Error("without headroom the circuit is left out")
	}
	h := home().set("practice.headroom", 0.2)
	if on(h) {
		t.Error("with a headroom of 0.2 the circuit is let in")
	}
	if left := h.plan(t).Allocation.LeftOutOf("b"); !strings.HasPrefix(left.Check, "inverter-continuous") {
		t.Errorf("left out by %+v, want by what the inverter carries", left)
	}
}

// TestMaxDoDOrder: a max_dod of the unit is a ceiling; without one the practice wins over what is usual for the
// chemistry, with a caution where it goes deeper.
func TestMaxDoDOrder(t *testing.T) {
	usual := func() *house { return newHouse().drop("bank.max_dod") }
	for _, tt := range []struct {
		what    string
		house   *house
		want    float64
		caution string
	}{
		{"the unit's", newHouse(), 0.8, ""},
		{"the unit's is a ceiling", newHouse().set("practice.max_dod", 0.9), 0.8, "the limit of the battery applies"},
		{"below the unit's", newHouse().set("practice.max_dod", 0.6), 0.6, ""},
		{"by chemistry", usual(), 0.8, ""},
		{"the practice before the chemistry", usual().set("practice.max_dod", 0.9), 0.9,
			"deeper discharge (0.9) than is usual for lfp (0.8)"},
		{"shallower than the chemistry", usual().set("practice.max_dod", 0.5), 0.5, ""},
		{"lead-acid", lead().drop("bank.max_dod").set("practice.max_dod", 0.7), 0.7, "than is usual for flooded (0.5)"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := tt.house.plan(t)
			if p.Bank.DoD != tt.want {
				t.Errorf("depth %g, want %g", p.Bank.DoD, tt.want)
			}
			said := false
			for _, c := range p.Cautions {
				said = said || tt.caution != "" && strings.Contains(c.String(), tt.caution)
				if tt.caution == "" && strings.Contains(c.String(), "deeper discharge") {
					t.Errorf("caution %q", c)
				}
			}
			if tt.caution != "" && !said {
				t.Errorf("no caution says %q", tt.caution)
			}
			for _, d := range p.Site.Defaults {
				if strings.HasSuffix(d.Key, "max_dod") && p.Site.Practice.MaxDoD > 0 {
					t.Errorf("a default that is not used is listed: %+v", d)
				}
			}
		})
	}
}

// TestCyclesInAnyOrder: the points of the cycle life are a set.
func TestCyclesInAnyOrder(t *testing.T) {
	for _, cycles := range []string{
		"[{ dod = 0.3, cycles = 3000 }, { dod = 0.5, cycles = 1500 }, { dod = 0.8, cycles = 600 }]",
		"[{ dod = 0.8, cycles = 600 }, { dod = 0.3, cycles = 3000 }, { dod = 0.5, cycles = 1500 }]",
	} {
		d := lead().set("bank.cycles", cycles).plan(t).Details
		if !d.HasCycles || d.CyclesBeyond {
			t.Errorf("%s: no cycles to the planned depth", cycles)
		}
		near(t, "cycles to 50 %", d.Cycles, 1500)
	}
	for cycles, says := range map[string]string{
		"[{ dod = 0.5, cycles = 600 }, { dod = 0.5, cycles = 500 }]":   "a depth of 0.5 twice",
		"[{ dod = 0.5, cycles = 600 }, { dod = 0.3, cycles = 500 }]":   "600 cycles to 0.5 but 500 to only 0.3",
		"[{ dod = 0.3, cycles = 1000 }, { dod = 0.8, cycles = 2000 }]": "2000 cycles to 0.8 but 1000 to only 0.3",
	} {
		if _, err := planOf(lead().set("bank.cycles", cycles).text()); err == nil ||
			!strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want an error that says %q", cycles, err, says)
		}
	}
	if battery.LFP.UsualDoD() != 0.8 || battery.AGM.UsualDoD() != 0.5 {
		t.Error("usual depths differ from the design")
	}
}

// TestGrowthIsOfTheEnergy: growth makes the bank larger and moves no power; a plan with growth and without headroom
// says so.
func TestGrowthIsOfTheEnergy(t *testing.T) {
	says := func(h *house) bool {
		p := h.plan(t)
		for _, c := range p.Cautions {
			if strings.Contains(c.String(), "growth of 25 % is of the energy") {
				return true
			}
		}
		return false
	}
	plain, grown := steady().plan(t), steady().set("practice.growth", 0.25).plan(t)
	near(t, "energy", grown.Bank.Sizing.RequiredAh, 1.25*plain.Bank.Sizing.RequiredAh)
	for _, id := range []string{"inverter-continuous", "inverter-continuous-w", "dc-current"} {
		near(t, id, check(t, grown, id).Demand, check(t, plain, id).Demand)
	}
	if !says(steady().set("practice.growth", 0.25)) {
		t.Error("growth without headroom: nothing says that it is of the energy")
	}
	if says(steady()) || says(steady().put("practice", "growth = 0.25; headroom = 0.2")) {
		t.Error("said without need")
	}
}
