package backup_test

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/generator"
	"outlast/backup/phrase"
	"outlast/backup/study"
)

// powered is the test house with a generator. The charger of the house, 40 A at 54 V and 80 %, takes 2700 W; its VA are
// reckoned with a power factor of 0.95.
func powered(text string) *house {
	return newHouse().put("generator", "rated_va = 8000; power_factor = 0.8; "+text)
}

// inFull is a home whose grid input is used to its rating: no breaker before it carries less.
func inFull(h *house) *house {
	return h.set("practice.continuous_factor", 1).set("inverter.ac_input_a", 63)
}

const (
	chargerW  = 40 * 54 / 0.8
	chargerVA = chargerW / 0.95
)

// TestGeneratorWithoutACharger: what the chargers take is not passed in silence where it is not known, and what the loads
// alone break stays a failure.
func TestGeneratorWithoutACharger(t *testing.T) {
	of := func(w string) *house { return powered("").drop("inverter.charger_a").load("A", "running_w = "+w) }
	const asks = "; give charger_a of the inverter to add the chargers, which are counted with nothing"
	checkFacts(t, "generator-running", "W", []fact{
		{"it carries the loads", of("3000"), "caution", 3000, 6400, 1 - 3000.0/6400, "the loads alone draw up to 3.00 kW, " +
			"and the derated output of the generator at this temperature and altitude is 6.40 kW" + asks},
		{"above 90 %", of("6000"), "caution", 6000, 6400, 400.0 / 6400, "90 % of it should not run for hours" + asks},
		{"the loads are too much", of("6401"), "fail", 6401, 6400, -1.0 / 6400, "the loads alone draw up to 6.401 kW, but"},
	})
	checkFacts(t, "generator-input", "A", []fact{
		{"the input takes the loads", inFull(of("3000")), "caution", 15, 63, 48.0 / 63,
			"the loads alone draw at most 15 A per phase through the inverter; its ac input is rated for 63 A" + asks},
		{"the loads are too much", of("3000").set("inverter.ac_input_a", 14), "fail", 15, 14, -1.0 / 14, "move a circuit"},
	})
}

func TestGeneratorRunning(t *testing.T) {
	one := func(w string) *house { return powered("").load("A", "running_w = "+w) }
	// 8000 VA and 6400 W; a caution above 0.90 of it (Twin Valleys Public Power District sizing sheet, SEEN).
	checkFacts(t, "generator-running", "W", []fact{
		{"it carries both", one("3000"), "pass", 3000 + chargerW, 6400, 1 - (3000+chargerW)/6400, ""},
		{"at 90 %", one("3060"), "pass", 5760, 6400, 0.1, ""},
		{"above 90 %", one("3061"), "caution", 5761, 6400, 639.0 / 6400,
			"90 % of it should not run for hours; at full simultaneous load, charge with at most 39 A"},
		{"another share", one("3061").set("practice.generator_share", 1), "pass", 5761, 6400, 639.0 / 6400, ""},
		{"in full", one("3700"), "caution", 6400, 6400, 0, "90 %"},
		// 90 % of 6400 W less 4400 W leave 1360 W, 1360/2700 of 40 A; with so much the check is content.
		{"the charger is too much", one("4400"), "caution", 7100, 6400, -700.0 / 6400, "charge with at most 20 A"},
		{"it is set as advised", one("4400").set("inverter.charger_a", 20), "pass", 4400 + 20.0/40*chargerW, 6400,
			1 - (4400+20.0/40*chargerW)/6400, ""},
		// 5000 W leave 760 W or 11 A, less than a twentieth of 400 Ah.
		{"what is left is next to nothing", one("5000"), "caution", 7700, 6400, -1300.0 / 6400, ": charge while fewer loads run"},
		{"the loads in full", one("6400"), "caution", 9100, 6400, -2700.0 / 6400, ": charge while fewer loads run"},
		// 90 % of 2000 W beside 1900 W leave nothing; at rest 1800/2700 of 40 A.
		{"nothing is left", one("1900").set("generator.rated_va", 2500), "caution", 1900 + chargerW, 2000,
			1 - (1900+chargerW)/2000, ": charge while fewer loads run, with at most 26 A even when none does"},
		{"the loads alone are too much", one("6401"), "fail", 6401, 6400, -1.0 / 6400,
			"the loads alone draw up to 6.401 kW, but the derated output of the generator at this temperature and altitude " +
				"is 6.400 kW"},
	})
	checkFacts(t, "generator-running", "VA", []fact{
		{"VA", powered("").load("A", "running_w = 2000; power_factor = 0.5"), "pass", 4000 + chargerVA, 8000,
			1 - (4000+chargerVA)/8000, ""},
		// 3 % for each 500 m above 1000 m and each 5 C above 40 C, factors multiply: 1500 m and 45 C leave 0.97 x 0.97
		// of it. Published tables of an alternator maker's training sheet (SEEN-P); the pair is constructed from them.
		// The inverter is kept out of it.
		{"height and heat", powered("").set("site.altitude_m", 1500).set("site.hottest_c",
			45).set("practice.generator_rule", `"alternator"`).put("inverter", "derate_per_c = 0; derate_per_100m = 0").
			load("A", "running_w = 1500; power_factor = 0.3"), "caution", 5000 + chargerVA, 8000 * 0.97 * 0.97,
			1 - (5000+chargerVA)/(8000*0.97*0.97), ""},
		// The largest of three phases, three times.
		{"one phase of three", powered("phases = 3").set("site.phases", 3).set("inverter.phases", 3).load("A",
			"running_w = 600; power_factor = 0.5"),
			"pass", 3600 + chargerVA, 8000, 1 - (3600+chargerVA)/8000,
			fmt.Sprintf("draw up to %.2f kVA (3 times the phase with the most load), and", (3600+chargerVA)/1000)},
		// A winding of a three-phase set gives a third of it, and the loads fail by themselves.
		{"three phases on one", powered("phases = 3").load("A", "running_w = 1500; power_factor = 0.5"), "fail", 3000,
			8000.0 / 3, 1 - 3000/(8000.0/3), "the loads alone draw up to 3.00 kVA"},
		{"three phases on two", powered("phases = 3").set("site.phases", 2).set("inverter.phases", 2).load("A",
			"running_w = 400; power_factor = 0.2"), "caution", 4000 + chargerVA, 8000 * 2.0 / 3, 1 - (4000+chargerVA)/(8000*2.0/3), ""},
		// 8001 VA of loads are too much; that the watts of loads and charger are further beyond their limit must not
		// hide it.
		{"loads alone, in VA", powered("").set("generator.power_factor", 0.5).load("A",
			"running_w = 3999; power_factor = 0.4998"), "fail",
			3999 / 0.4998, 8000, 1 - 3999/0.4998/8000, "the loads alone draw up to 8.001 kVA"},
	})
}

// TestGeneratorDeratingByEngine: what altitude and heat leave follows the kind of engine, and the practice's rule where
// it names one; the rules themselves are held against their sources in package wiring. The check, the table of recharge
// and an outage through time take it from one place: a set at 3000 m does what one with the derated rating does at the
// sea. The house has no fuel table, and no inverter that is derated.
// TestGeneratorCountsAPhase: a figure that is the fullest phase times their number says so, and one that is the total does
// not.
func TestGeneratorCountsAPhase(t *testing.T) {
	for _, tt := range []struct {
		phase string
		times int
	}{{"0", 0}, {"1", 2}} {
		p := powered("phases = 2").set("site.phases", 2).set("inverter.phases", 2).circuit("b", "phase = "+tt.phase).
			load("B", `circuit = "b"; running_w = 1000; starting_va = 6000`).plan(t)
		if g := p.Generator; g.TimesW != tt.times || g.TimesVA != tt.times {
			t.Errorf("phase %s: W %d times, VA %d times, want %d", tt.phase, g.TimesW, g.TimesVA, tt.times)
		}
		by := p.ByID()
		for _, id := range []string{"generator-running", "generator-start"} {
			if reason := by[id].Reason.String(); strings.Contains(reason, "2 times the phase with the most load") != (tt.times > 0) {
				t.Errorf("phase %s, %s: %q", tt.phase, id, reason)
			}
		}
	}
}

func TestGeneratorDeratingByEngine(t *testing.T) {
	at := func(altitudeM, ratedVA float64, text string) *house {
		return newHouse().put("inverter", "derate_per_c = 0; derate_per_100m = 0").set("site.altitude_m",
			altitudeM).set("site.hottest_c", 25).
			put("generator",
				fmt.Sprintf("rated_va = %.15g; power_factor = 1; start_soc = 0.5; stop_soc = 0.9; "+
					"fuel_l_per_h = [{ load = 0, l_per_h = 1 }, { load = 1, l_per_h = 1 }]; %s",
					ratedVA, text)).
			load("A", "running_w = 3000; hours_per_day = 24")
	}
	foot := 0.3048
	for _, tt := range []struct {
		what string
		text string
		rule string
		left float64
	}{
		{"nothing known of it", "", "", 1 - 0.035*3000/(1000*foot)},
		{"petrol", `fuel = "petrol"`, "", 1 - 0.035*3000/(1000*foot)},
		{"gas", `fuel = "gas"`, "", 1 - 0.035*3000/(1000*foot)},
		{"diesel", `fuel = "diesel"`, "", 1 - 0.01*27},
		{"turbocharged", `fuel = "diesel"; turbo = true`, "", 1 - 0.04*5},
		{"as the practice wants it", `fuel = "petrol"`, "alternator", 1 - 0.03*4},
	} {
		t.Run(tt.what, func(t *testing.T) {
			high, low := at(3000, 4000, tt.text), at(0, 4000*tt.left, tt.text)
			if tt.rule != "" {
				high.set("practice.generator_rule", strconv.Quote(tt.rule))
			}
			p, same := high.plan(t), low.plan(t)
			near(t, "left, VA", p.Generator.DeratedVA, 4000*tt.left)
			a, _, err := p.Recharge()
			if err != nil {
				t.Fatal(err)
			}
			b, _, err := same.Recharge()
			if err != nil {
				t.Fatal(err)
			}
			near(t, "hours a day in the table of recharge", a.Months[0].GeneratorH, b.Months[0].GeneratorH)
			run, err := study.RunOutage(context.Background(), p.Facts, study.OutageOptions{Hours: 48})
			if err != nil {
				t.Fatal(err)
			}
			other, err := study.RunOutage(context.Background(), same.Facts, study.OutageOptions{Hours: 48})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "minutes in an outage", float64(run.GeneratorMin), float64(other.GeneratorMin))
			near(t, "Wh in an outage", run.Energy.GeneratorWh, other.Energy.GeneratorWh)
			if run.GeneratorMin == 0 {
				t.Error("it never ran")
			}
		})
	}
	// At the sea nothing is lost, and the outage is another one.
	sea, err := study.RunOutage(context.Background(), at(0, 4000, "").plan(t).Facts, study.OutageOptions{Hours: 48})
	if err != nil {
		t.Fatal(err)
	}
	high, err := study.RunOutage(context.Background(), at(3000, 4000, "").plan(t).Facts, study.OutageOptions{Hours: 48})
	if err != nil {
		t.Fatal(err)
	}
	if sea.GeneratorMin >= high.GeneratorMin {
		t.Errorf("at the sea it runs for %d min, at 3000 m for %d: the derating is without effect", sea.GeneratorMin,
			high.GeneratorMin)
	}
}

// TestTurboNeedsDiesel: a key that contradicts another is told at its place.
func TestTurboNeedsDiesel(t *testing.T) {
	for text, want := range map[string]string{
		"turbo = true":                     `found a turbocharged engine and no fuel, want fuel = "diesel" with turbo = true`,
		`turbo = true; fuel = "petrol"`:    `found a turbocharged engine and fuel = "petrol", want`,
		`turbo = "yes"; fuel = "petrol"`:   "turbo in [generator]: found the text",
		`turbo = false; fuel = "petrol"`:   "",
		`turbo = true; fuel = "diesel"`:    "",
		`turbo = true; fuel = "dieseloil"`: "fuel in [generator]",
	} {
		_, err := planOf(powered(text).text())
		switch {
		case want == "" && err != nil:
			t.Errorf("%s: %v, want it to be read", text, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n")):
			t.Errorf("%s: %v, want one problem with %q", text, err, want)
		}
	}
}

// The dip by x / (x + rating / start), x = 0.25, at most 35 %: so the largest start is 0.35/0.65/0.25 of the rating.
func TestGeneratorStart(t *testing.T) {
	start := func(va float64) *house {
		h := powered("").drop("inverter.charger_a").load("A", "running_w = 0; starting_pf = 1")
		h.loads[0] += "; starting_va = " + num(va)
		return h
	}
	most := 8000 * 0.35 / 0.65 / 0.25
	checkFacts(t, "generator-start", "%", []fact{
		{"dip, too deep", start(most + 1), "fail", 100 * (most + 1) / (most + 1 + 4*8000), 35,
			1 - (most+1)/(most+1+4*8000)/0.35, "lamps dim"},
		{"another limit", start(1000).set("practice.generator_dip", 1.0/33).set("inverter.charger_a", 40), "pass", 100.0 / 33,
			100.0 / 33, 0, "voltage dip at the largest start: 3.03 %"},
		{"the charger is not known", start(1000).set("practice.generator_dip", 1.0/33), "caution", 100.0 / 33, 100.0 / 33, 0,
			"permitted 3.03 %; give charger_a of the inverter to add the chargers, which are counted with nothing"},
	})
	checkFacts(t, "generator-start", "VA", []fact{
		{"1.5 times the rating, chargers not known", start(12000), "caution", 12000, 12000, 0, "with the running load the " +
			"largest start takes 12.0 kVA, and 1.5 times the rating is 12.0 kVA; give charger_a of the inverter"},
		{"above, without a charger", start(12001), "caution", 12001, 12000, -1.0 / 12000,
			"12.000 kVA: fit a soft starter, or start from the bank; give charger_a"},
		// With the chargers off it would do, and just not any more.
		{"the charger is too much", start(12000).set("inverter.charger_a", 40), "caution", 12000 + chargerVA, 12000,
			-chargerVA / 12000, "12.0 kVA: start it with the chargers off"},
		{"without the charger too much too", start(12001).set("inverter.charger_a", 40), "caution", 12001 + chargerVA,
			12000, -(1 + chargerVA) / 12000,
			"even with the chargers off it takes 12.001 kVA: fit a soft starter, or start from the bank"},
		// 1000 VA run beside it.
		{"only the loads beside it", start(12000).load("B", "running_w = 1000"), "caution", 13000, 12000, -1000.0 / 12000,
			"12.0 kVA: start it while nothing else runs"},
		{"the loads and the charger beside it", start(12000).load("B", "running_w = 1000").set("inverter.charger_a", 40),
			"caution", 13000 + chargerVA, 12000, -(1000 + chargerVA) / 12000,
			"even with the chargers off it takes 13.0 kVA: start it while nothing else runs"},
		// The charger takes what the loads leave of 8000 VA, and all it can where that is enough.
		{"the charger beside it", start(12000-chargerVA).set("inverter.charger_a", 40), "pass", 12000, 12000, 0, ""},
	})
	if c := check(t, powered("").load("A", "running_w = 100").plan(t), "generator-start"); c.Status != "pass" ||
		c.HasLimit {
		t.Errorf("nothing starts: %+v, want a pass without a limit", c)
	}
}

// A lead-acid bank of 600 Ah requires a twentieth of it, 30 A: less than that is no advice. Full current takes 2880 W:
// 57.6 V, 40 A and 80 %.
func TestGeneratorChargesTheBank(t *testing.T) {
	home := func(watts string) *house {
		return newHouse().replace("bank", `use = "agm-12-200"; charge_v = 14.4; strings = 3`).put("generator",
			"rated_va = 8000; power_factor = 0.8").load("A", "running_w = "+watts)
	}
	checkFacts(t, "generator-running", "W", []fact{
		{"as much as it requires", home("3600"), "caution", 6480, 6400, -80.0 / 6400,
			": at full simultaneous load, charge with at most 30 A"},
		{"less", home("3601"), "caution", 6481, 6400, -81.0 / 6400, ": charge while fewer loads run, with at least 30 A"},
		{"never", home("100").set("generator.rated_va", 2990), "caution", 2980, 2392, -588.0 / 2392,
			": take a larger generator, that charges with at least 30 A"},
	})
	for _, c := range []struct {
		watts, ratedVA string
		a              float64
		fewer, least   bool
	}{
		{"1000", "8000", 0, false, false}, // nothing to be turned down
		{"3600", "8000", 30, false, false},
		{"3601", "8000", 30, true, true},
		{"100", "2990", 0, false, false}, // no setting makes up for a larger generator
	} {
		g := home(c.watts).set("generator.rated_va", c.ratedVA).plan(t).Generator
		if got := g.ChargeSetting(); got.A != c.a || got.FewerLoads != c.fewer || got.Least != c.least {
			t.Errorf("loads of %s W on %s VA: charge current %+v is to be entered, want %g A (fewer loads %t, the least %t)",
				c.watts, c.ratedVA, got, c.a, c.fewer, c.least)
		}
	}
}

// A lithium bank of 300 Ah requires nothing, but with less than a twentieth of it, 15 A, a generator would charge for more
// than a day: then it is to charge while fewer loads run. Full current takes 2880 W: 57.6 V, 40 A and 80 %; 90 % of the
// generator may run for hours.
func TestGeneratorChargesWithinADay(t *testing.T) {
	for _, c := range []struct {
		watts, ratedVA string
		a              float64
		fewer          bool
	}{
		{"4680", "8000", 15, false},
		{"4681", "8000", 0, false}, // the generator bears full current while no load runs: none is entered
		{"1080", "3000", 15, false},
		{"1081", "3000", 30, true},
	} {
		p := newHouse().replace("bank", `use = "lfp-51-100"; charge_v = 57.6; strings = 3`).put("generator",
			"power_factor = 0.8; rated_va = "+c.ratedVA).load("A", "running_w = "+c.watts).plan(t)
		if got := p.Generator.ChargeSetting(); got.A != c.a || got.FewerLoads != c.fewer || got.Least {
			t.Errorf("loads of %s W on %s VA: charge current %+v is to be entered, want %g A (fewer loads %t)", c.watts, c.ratedVA,
				got, c.a, c.fewer)
		}
	}
}

func TestGeneratorInput(t *testing.T) {
	checkFacts(t, "generator-input", "A", []fact{
		{"loads and charger", inFull(powered("")).load("A", "running_w = 2000"), "pass", (2000 + chargerVA) / 200, 63,
			1 - (2000+chargerVA)/200/63, "its ac input is rated for 63 A"},
		{"the charger is too much", inFull(powered("")).set("inverter.ac_input_a", 20).load("A", "running_w = 2000"), "caution",
			(2000 + chargerVA) / 200, 20, 1 - (2000+chargerVA)/200/20,
			"at full simultaneous load, charge with at most "},
		{"the loads alone are", inFull(powered("")).set("inverter.ac_input_a", 9).load("A", "running_w = 2000"), "fail",
			10, 9, -1.0 / 9, "the loads alone draw up to 10 A"},
		{"the loads in full", inFull(powered("")).set("inverter.ac_input_a", 10).load("A", "running_w = 2000"), "caution",
			(2000 + chargerVA) / 200, 10, 1 - (2000+chargerVA)/200/10, ": charge while fewer loads run"},
	})
	// A breaker of 25 A before the inverter carries 20 A for hours: that is entered, and the generator stands at the same
	// input, which bears 60 A.
	entered := func(watts string) *house {
		return powered("").put("wiring", "input_breaker_a = 25").load("A", "running_w = "+watts)
	}
	checkFacts(t, "generator-input", "A", []fact{
		{"below the limit that is entered", entered("500"), "pass", (500 + chargerVA) / 200, 20,
			1 - (500+chargerVA)/200/20, "the limit entered for its ac input is 20 A"},
		{"the charger is too much for it", entered("2000"), "caution", (2000 + chargerVA) / 200, 20,
			1 - (2000+chargerVA)/200/20, "only 20 A: at full simultaneous load, charge with at most 28 A"},
		{"the loads alone are", entered("4001").set("inverter.rated_w", 5000), "caution", 4001.0 / 200, 20,
			1 - 4001.0/4000, "the bank must supply the rest, if the inverter can do that; if not, move a circuit"},
		{"without a charger", entered("2000").drop("inverter.charger_a"), "caution", 10, 20, 0.5,
			"the limit entered for its ac input is 20 A; give charger_a"},
		{"the loads alone are too much for the rating, too", entered("4001").set("inverter.rated_w", 5000).
			set("inverter.ac_input_a", 20), "fail", 4001.0 / 200, 20, 1 - 4001.0/4000, "rated for only"},
	})
	if set := entered("2000").plan(t).OutageGenerator(); set.Input.VA != 20*200 {
		t.Errorf("in an outage the input takes %g VA, want what is entered, 4000", set.Input.VA)
	}
	// An input of 20 A at 200 V leaves the charger what the loads do not take of 4000 VA; its current goes with its
	// power.
	g := inFull(powered("")).set("inverter.ac_input_a", 20).load("A", "running_w = 2000").plan(t).Generator
	full := inFull(powered("")).load("A", "running_w = 2000").plan(t)
	if want := math.Floor(full.Inverter.ChargerA() * (20*200 - 2000) / chargerVA); !g.ChargeLimited ||
		math.Abs(g.ChargeA-want) > 1e-9*want {
		t.Errorf("the input leaves %g A to charge with (%t), want %g A", g.ChargeA, g.ChargeLimited, want)
	}
	if g := full.Generator; g.ChargeLimited {
		t.Errorf("nothing limits the chargers, but the plan says %g A", g.ChargeA)
	}
	if c := check(t, powered("").drop("inverter.ac_input_a").plan(t), "generator-input"); c.Status != "caution" ||
		!strings.Contains(c.Reason.String(), "ac_input_a") {
		t.Errorf("no limit: %+v, want a caution that names ac_input_a", c)
	}
	for _, c := range newHouse().plan(t).Checks {
		if strings.HasPrefix(c.ID, "generator-") {
			t.Errorf("%s without a generator", c.ID)
		}
	}
}

func TestGeneratorFuel(t *testing.T) {
	// A 20 kW diesel set at half load: 3.4 L/h. Published diesel consumption charts in litres (SEEN); one decimal is
	// printed. Without a charger the mean load is that of the day.
	chart := powered("rated_va = 25000; fuel = \"diesel\"; fuel_l = 34").drop("inverter.charger_a").set(
		"inverter.rated_w", 10000).set("inverter.rated_va", 10000).
		load("A", "running_w = 10000").plan(t)
	if g := chart.Generator; math.Abs(g.FuelLPerH-3.4) > 0.05 || g.FuelFrom != generator.FuelOfChart || math.Abs(g.TankH-10) > 0.15 {
		t.Errorf("20 kW at half load: %+v, want 3.4 L/h of the chart and 10 h of 34 L", g)
	}
	// The data sheet is read in straight lines and held below its first load; beyond its last the line is drawn on.
	// 8000 VA x 0.8 = 6400 W.
	const sheet = "fuel = \"petrol\"; fuel_l_per_h = [{ load = 0.25, l_per_h = 1 }, { load = 0.75, l_per_h = 2 }]"
	for w, want := range map[string]float64{"640": 1, "1600": 1, "3200": 1.5, "4800": 2, "6000": 2.375} {
		p := powered(sheet).drop("inverter.charger_a").put("inverter", "rated_w = 9000; rated_va = 9000").load("A",
			"running_w = "+w).plan(t)
		if g := p.Generator; math.Abs(g.FuelLPerH-want) > 1e-9 || g.FuelFrom != generator.FuelOfSheet {
			t.Errorf("%s W: %g L/h, from %d, want %g of the data sheet", w, g.FuelLPerH, g.FuelFrom, want)
		}
		for _, c := range phrase.Strings(p.Cautions) {
			if strings.Contains(c, "chart") || strings.Contains(c, "typical") {
				t.Errorf("%s W: caution %q, but the data sheet tells the fuel", w, c)
			}
		}
	}
	// It gives no more than what heat leaves of it, and burns what that takes: at 60 C the alternator has lost 3 % for
	// each 5 C above 40 C, so 0.88 of 6400 W are given, at 1 + 2 * (0.88 - 0.25) l/h.
	hot := powered(sheet+"; fuel_l = 10").set("site.hottest_c", 60).set("practice.generator_rule", `"alternator"`).
		put("inverter", "derate_per_c = 0; rated_w = 9000; rated_va = 9000").load("A", "running_w = 6000").plan(t)
	g := hot.Generator
	near(t, "mean output at 60 C, W", g.MeanW, 0.88*6400)
	near(t, "fuel at 60 C, l/h", g.FuelLPerH, 1+2*(0.88-0.25))
	near(t, "hours of a tank at 60 C", g.TankH, 10/(1+2*(0.88-0.25)))
	if g.MeanW > g.DeratedW {
		t.Errorf("fuel at %g W, of which %g W are left", g.MeanW, g.DeratedW)
	}
	for fuel, want := range map[string]bool{"petrol": true, "diesel": false} {
		found := false
		for _, c := range phrase.Strings(powered("fuel = \""+fuel+"\"").load("A",
			"running_w = 3000").plan(t).Cautions) {
			found = found || strings.Contains(c, "typical of small petrol sets")
		}
		if found != want {
			t.Errorf("%s without a data sheet: caution of what is typical %t, want %t", fuel, found, want)
		}
	}
}

// TestNoChargingIsExplained: where the table of recharge has no hours of the generator, it says why, as checks and table
// of the generator do.
func TestNoChargingIsExplained(t *testing.T) {
	for _, tt := range []struct {
		what, why string // of NoCharging; "": it is empty
		house     *house
	}{
		{"it charges", "", powered("").load("A", "running_w = 1000")},
		{"the chargers are not known", "give charger_a of the inverter",
			powered("").drop("inverter.charger_a").load("A", "running_w = 1000")},
		{"it is too weak", "does not carry the loads and keep the bank charged",
			powered("").set("generator.rated_va", 1000).load("A", "running_w = 1000")},
	} {
		p := tt.house.plan(t)
		r, _, err := p.Recharge()
		if err != nil {
			t.Fatal(err)
		}
		if got := r.NoCharging.String(); (got == "") != (tt.why == "") || !strings.Contains(got, tt.why) {
			t.Errorf("%s: %q, want %q in it", tt.what, got, tt.why)
		}
		if r.Months[0].GeneratorOK != (tt.why == "") {
			t.Errorf("%s: hours are told: %v", tt.what, r.Months[0].GeneratorOK)
		}
		if unknown := p.Generator.ChargersUnknown(); unknown != strings.Contains(tt.why, "charger_a") {
			t.Errorf("%s: chargers unknown %v", tt.what, unknown)
		}
	}
}
