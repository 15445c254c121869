package backup_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/verdict"
	"outlast/battery"
)

// TestCutoffOfTheVilla: a home on which the cut-off to enter, 48.0 V, lay above the volts that the plan expected at
// its lowest charge, 47.3 V.
func TestCutoffOfTheVilla(t *testing.T) {
	p := triedPlan(t, "villa-three-phase")
	near(t, "cut-off", p.Bank.CutoffV, 48)
	near(t, "lowest charge", p.Bank.FloorSoC, 0.1)
	// Published advice for a floor of 10 %: 3.10 V a cell under C/5, 49.6 V, so the bank must still have more than
	// that there.
	if v := p.Details.LoadedV; !(v > 49.6) {
		t.Errorf("%.2f V at the lowest charge under everything that runs at once, want more than 49.6 V", v)
	}
	agree(t, "villa", p)
	bank, _ := decoded(t, p)["bank"].(map[string]any)
	if bank["cutoff_v"] != 48.0 || math.Abs(bank["floor_soc"].(float64)-0.1) > 1e-9 {
		t.Errorf("JSON has a cut-off of %v V and a lowest charge of %v", bank["cutoff_v"], bank["floor_soc"])
	}
}

// agree holds a plan to its own cut-off: at the lowest charge that the plan goes down to, everything that runs at
// once and each start that passes leave the bank above it.
func agree(t *testing.T, home string, p *backup.Plan) {
	t.Helper()
	b, d := p.Bank, p.Details
	switch {
	case b.CutoffV < b.MinV()*(1-1e-9) || b.CutoffV < p.Inverter.Unit.DCMinV*(1-1e-9):
		t.Errorf("%s: cut-off %g V below the %g V of the bank or the %g V of the inverter", home, b.CutoffV, b.MinV(),
			p.Inverter.Unit.DCMinV)
	case b.CutoffV > max(b.MinV(), p.Inverter.Unit.DCMinV)+0.1, math.Abs(b.CutoffV*10-math.Round(b.CutoffV*10)) > 1e-9:
		t.Errorf("%s: cut-off %g V, want the higher of %g and %g V in tenths", home, b.CutoffV, b.MinV(),
			p.Inverter.Unit.DCMinV)
	case b.FloorSoC < 1-b.DoD-1e-12:
		t.Errorf("%s: lowest charge %g, deeper than %g", home, b.FloorSoC, b.DoD)
	}
	cutoff := check(t, p, "dc-cutoff")
	if cutoff.HasLimit && cutoff.Limit != b.CutoffV {
		t.Errorf("%s: dc-cutoff compares with %g V, want %g V", home, cutoff.Limit, b.CutoffV)
	}
	if b.NeverAbove != (cutoff.Status == verdict.Fail) {
		t.Errorf("%s: dc-cutoff %s, not even a full bank stays above: %v", home, cutoff.Status, b.NeverAbove)
	}
	if b.NeverAbove {
		return
	}
	if d.HasLoaded && (!d.Carries || d.LoadedV < b.CutoffV*(1-1e-9)) {
		t.Errorf("%s: at %g everything at once leaves %g V (%v), below the cut-off of %g V", home, b.FloorSoC,
			d.LoadedV, d.Carries, b.CutoffV)
	}
	sag := check(t, p, "surge-sag")
	if sag.HasLimit && sag.Limit != b.CutoffV {
		t.Errorf("%s: surge-sag compares with %g V, want %g V", home, sag.Limit, b.CutoffV)
	}
	for i, st := range d.Starts {
		passes := st.FloorV >= b.CutoffV*(1-1e-9)
		if st.Known && passes && !(st.Works && st.SoC <= b.FloorSoC+0.001) {
			t.Errorf("%s: %q leaves %g V at %g, above the cut-off, but works down to %g only (%v)", home,
				p.Starts.All[i].Load, st.FloorV, b.FloorSoC, st.SoC, st.Works)
		}
		if st.Known && sag.Status == verdict.Pass && !passes {
			t.Errorf("%s: %q leaves %g V, below the cut-off, but surge-sag passes", home, p.Starts.All[i].Load,
				st.FloorV)
		}
	}
	if b.EndSoC < b.FloorSoC-1e-9 && !b.AutonomyCap && p.Site.Outage.Reserve > b.FloorSoC {
		t.Errorf("%s: the simulation goes down to %g, below the lowest charge of %g", home, b.EndSoC, b.FloorSoC)
	}
}

// TestCutoffAgreesWithThePlan: whatever the home, cut-off, lowest charge, volts under load, starts and simulation go
// together.
func TestCutoffAgreesWithThePlan(t *testing.T) {
	homes, planned := uint64(150), 0
	if testing.Short() {
		homes = 40
	}
	for seed := range homes {
		p, err := planOf(string(drawnhome.Draw(seed)))
		if err != nil {
			continue // a bank that cannot be sized, say
		}
		planned++
		agree(t, fmt.Sprintf("home %d", seed), p)
		for _, o := range p.Options {
			agree(t, fmt.Sprintf("home %d, option %q", seed, o.Name), o.Plan)
		}
	}
	if planned < int(homes)/3 {
		t.Errorf("only %d of %d homes could be planned", planned, homes)
	}
}

// TestCutoffCheck: the volts that everything at once leaves at the planned depth, against the cut-off. 15 cells of
// LFP of 100 Ah; published cells fall by 0.047 and 0.110 V at 10 % under C/5 and C/2, from 3.19 V (see package
// battery).
func TestCutoffCheck(t *testing.T) {
	at := func(acW float64) *house {
		return newHouse().put("bank", "strings = 1; max_dod = 0.9; resistance_mohm = 1").set("inverter.idle_w",
			0).load("A", fmt.Sprintf("running_w = %v", acW))
	}
	half := 15 * (3.19 - 0.110) // 46.2 V under 50 A: 2310 W, 1848 W behind an efficiency of 0.8
	checkFacts(t, "dc-cutoff", "V", []fact{
		{"above", at(half * 50 * 0.8), "pass", half, 45, (half - 45) / 45, "above the low-voltage cut-off of 45.0 V"},
		{"in full", at(half*50*0.8).set("inverter.dc_min_v", 46.2), "pass", half, 46.2, 0, ""},
		{"just below", at(half*50*0.8).set("inverter.dc_min_v", 46.3), "caution", half, 46.3, -0.1 / 46.3,
			"the plan ends at 11 % instead"},
	})
	p := at(half*50*0.8).put("inverter", "dc_min_v = 47.99").put("bank", "resistance_mohm = 80; max_dod = 0.8").plan(t)
	if c := check(t, p, "dc-cutoff"); c.Status != verdict.Fail ||
		!strings.Contains(c.Reason.String(), "not even a full bank") || p.Bank.AutonomyH > 0.1 {
		t.Errorf("too much resistance for a cut-off of 48 V: %s, %g h, %q", c.Status, p.Bank.AutonomyH, c.Reason)
	}
	// Of lead-acid nothing is known without its resistance; the key is named.
	if c := check(t, lead().drop("bank.resistance_mohm").plan(t), "dc-cutoff"); c.Status != verdict.Caution ||
		c.HasLimit || !strings.Contains(c.Reason.String(), "resistance_mohm") {
		t.Errorf("lead-acid without resistance: %+v", c)
	}
	// More strings share the current, and the check says how many would do.
	near(t, "lowest charge with twice the strings", at(half*50*0.8).put("bank", "strings = 2").set("inverter.dc_min_v",
		46.3).plan(t).Bank.FloorSoC, 0.1)
}

// TestCutoffOfTheCatalog: every lithium battery of the generic catalog holds its own cut-off down to its own depth
// under half its capacity in amperes, at room temperature.
func TestCutoffOfTheCatalog(t *testing.T) {
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, u := range cat.Batteries() {
		if u, _ = u.WithDefaults(); u.Chemistry.LeadAcid() {
			continue
		}
		b := battery.Bank{Unit: u, Series: 1, Strings: 1}
		// At min_v that current is this power; where it leaves more, it takes less current.
		if v, ok := b.PowerV(0.5*u.RatedAh*u.MinV, 1-u.MaxDoD, 25); !ok || v < u.MinV {
			t.Errorf("%s: %.2f V at its depth of %g under C/2, below its min_v of %g V", u.ID, v, u.MaxDoD, u.MinV)
		}
	}
}
