package backup_test

import (
	"testing"

	"outlast/backup/study"
)

// TestChargeTime: the rules of thumb, worked by hand. Lithium: 1.03 Ah for each Ah, full current to 95 %, then twice as
// long for the rest. Lead-acid (vented): 1.15 Ah for each Ah, full current to 80 %, then 0.42 Ah/A hours: the estimate
// of package battery, with its sources.
func TestChargeTime(t *testing.T) {
	for _, tt := range []struct {
		what             string
		house            *house
		amps, bulk, rest float64
	}{
		{"LFP", newHouse().set("bank.strings", 1), 40, 1.03 * 0.75 * 100 / 40, 2 * 1.03 * 0.05 * 100 / 40},
		{"more strings take longer", newHouse().set("bank.strings", 2), 40, 1.03 * 0.75 * 200 / 40,
			2 * 1.03 * 0.05 * 200 / 40},
		{"the bank takes no more", newHouse().set("bank.strings", 1).set("inverter.charger_a", 90), 50,
			1.03 * 0.75 * 100 / 50, 2 * 1.03 * 0.05 * 100 / 50},
		{"two inverters", newHouse().set("inverter.count", 2), 80, 1.03 * 0.75 * 400 / 80, 2 * 1.03 * 0.05 * 400 / 80},
		{"a smaller depth", newHouse().set("practice.max_dod", 0.5), 40, 1.03 * 0.45 * 400 / 40,
			2 * 1.03 * 0.05 * 400 / 40},
		{"vented lead-acid", lead(), 40, 1.15 * 0.3 * 400 / 40, 0.42 * 400 / 40},
	} {
		d := tt.house.plan(t).Details
		if len(d.Charges) != 1 || d.Charges[0].By != "grid" || !d.Charges[0].Problem.Empty() {
			t.Errorf("%s: %+v, want one time, from the grid", tt.what, d.Charges)
			continue
		}
		c := d.Charges[0]
		near(t, tt.what+": current", c.ChargeA, tt.amps)
		near(t, tt.what+": full current", c.BulkH, tt.bulk)
		near(t, tt.what+": constant voltage", c.AbsorptionH, tt.rest)
		near(t, tt.what+": all", c.Hours, tt.bulk+tt.rest)
		// Rules of thumb and state model are two ways to the same: they need not agree closer than the rules are meant.
		if !c.ModelOK || c.ModelH < 0.8*c.Hours || c.ModelH > 1.25*c.Hours {
			t.Errorf("%s: the state model takes %g h, the rules %g h", tt.what, c.ModelH, c.Hours)
		}
	}
	if d := newHouse().drop("inverter.charger_a").plan(t).Details; len(d.Charges) != 0 {
		t.Errorf("without charger_a: %+v, want no time", d.Charges)
	}
}

// TestChargeRange: C/20 to what the units bear for lead-acid, no least for lithium.
func TestChargeRange(t *testing.T) {
	c := lead().plan(t).Details.Charge
	near(t, "least", c.LeastA, 20)
	near(t, "most", c.MostA, 80)
	c = newHouse().plan(t).Details.Charge
	near(t, "least of lithium", c.LeastA, 0)
	near(t, "most of lithium", c.MostA, 200)
}

// TestChargeLimit: what to enter as the limit is the smaller of what the bank takes and what all its sources give
// together. The bank of the house takes 200 A, its charger gives 40 A, the inverter takes up to 100 A from all sources.
func TestChargeLimit(t *testing.T) {
	array := (*house).array
	for _, tt := range []struct {
		what         string
		house        *house
		sources, set float64
	}{
		{"the grid charger", newHouse(), 40, 40},
		{"two inverters", newHouse().set("inverter.count", 2), 80, 80},
		{"the bank takes less", newHouse().set("bank.strings", 1).set("bank.max_charge_a", 25), 40, 25},
		{"an array of 1920 W at 48 V", array(newHouse()), 80, 80},
		{"the inverter ends it", array(newHouse()).set("inverter.max_charge_a", 70), 70, 70},
		{"the charger is not known", newHouse().drop("inverter.charger_a"), 100, 100},
		{"the bank takes a part of an ampere more", newHouse().set("bank.strings", 1).set("bank.max_charge_a", 25.9), 40, 25},
		{"a small one, to tenths", newHouse().set("bank.strings", 1).set("bank.max_charge_a", 9.58), 40, 9.5},
		{"the chargers give a part of an ampere more", newHouse().set("inverter.charger_a", 40.7), 40.7, 40},
		{"less than can be entered", newHouse().set("inverter.charger_a", 0.07), 0.07, 0.07},
		{"nothing is known", newHouse().drop("inverter.charger_a", "inverter.max_charge_a"), 0, 200},
	} {
		c := tt.house.plan(t).Details.Charge
		near(t, tt.what+": sources", c.SourcesA, tt.sources)
		near(t, tt.what+": to enter", c.SetA, tt.set)
		if c.SourcesLess() != (tt.sources > 0 && tt.sources < c.MostA) {
			t.Errorf("%s: SourcesLess %v with %g of %g A", tt.what, c.SourcesLess(), c.SetA, c.MostA)
		}
	}
}

// TestChargeTimeAsEntered: no charge is counted with more than the limit that is entered, warm or cold: of 200 Ah of LFP
// below 5 C a tenth, and of a bank that bears 25.9 A 25 A.
func TestChargeTimeAsEntered(t *testing.T) {
	h := newHouse().load("A", "running_w = 100")
	h.replace("generator", "power_factor = 1; phases = 1").set("generator.rated_va", 6000)
	d := h.set("bank.strings", 1).set("bank.rated_ah", 129).set("bank.max_charge_a", 25.9).set("site.coldest_c",
		2).plan(t).Details
	if len(d.Charges) != 2 {
		t.Fatalf("%+v, want grid and generator", d.Charges)
	}
	near(t, "to enter", d.Charge.SetA, 25)
	near(t, "in the cold", d.Charge.ColdA, 12)
	for _, c := range d.Charges {
		near(t, c.By, c.ChargeA, 25)
		near(t, c.By+", in the cold", c.Cold.ChargeA, 12)
	}
}

// TestChargeFromGenerator: never more than the charger's 40 A, nor than the whole amperes that are entered for the
// generator. The charger takes 2700 W at 54 V, with a power factor of 0.95; entered is what 90 % of the generator leave
// of that beside everything that runs or, if that is nothing, without loads. Where those leave less at the time, that
// much goes through the charger (efficiency 0.8) into 48 V.
func TestChargeFromGenerator(t *testing.T) {
	with := func(ratedVA float64, load string) *house {
		h := newHouse().set("bank.strings", 2).load("A", "running_w = 1000; "+load)
		h.replace("generator", "power_factor = 1; phases = 1").set("generator.rated_va", ratedVA)
		return h
	}
	for _, tt := range []struct {
		what  string
		house *house
		amps  float64 // 0: none
	}{
		{"more than the charger takes", with(6000, ""), 40},
		{"as much as the charger takes", with(4270, ""), 40}, // (0.9 * 4270 - 1000) * 0.95 = 2701
		{"a little less", with(4267, ""), 39},
		{"less", with(2000, ""), 11}, // 800 VA left: 760 W, 11.3 A
		{"of all that it gives", with(2000, "").set("practice.generator_share", 1), 14},
		{"while the load is off too", with(2000, `when = ["00:00-12:00"]; hours_per_day = 12`), 11},
		{"nothing left", with(900, ""), 0},
		// 0.9 * 1111.2 = 1000.08 VA leave 0.076 W beside the load, and 950 W, 14.07 A, without it.
		{"hardly anything left", with(1111.2, ""), 0.076 * 0.8 / 48},
		{"hardly anything left, for half of the day", with(1111.2, `when = ["00:00-12:00"]; hours_per_day = 12`),
			(14 + 0.076*0.8/48) / 2},
		// An input of 10 A takes 2000 VA; beside 1000 VA the charger has 950 W, 14.07 A.
		{"through a small input", with(6000, "").set("inverter.ac_input_a", 10).set("practice.continuous_factor", 1), 14},
		{"the loads use the small input up", with(6000, "").set("inverter.ac_input_a", 4), 0},
	} {
		d := tt.house.plan(t).Details
		if len(d.Charges) != 2 || d.Charges[1].By != "generator" {
			t.Fatalf("%s: %+v, want grid and generator", tt.what, d.Charges)
		}
		c := d.Charges[1]
		near(t, tt.what+": offered", c.OfferedA, tt.amps)
		if (c.Problem.Empty()) != (tt.amps > 1) {
			t.Errorf("%s: problem %q at %g A", tt.what, c.Problem, c.OfferedA)
		}
		if tt.amps > 1 {
			near(t, tt.what+": hours", c.Hours, (1.03*0.75+2*1.03*0.05)*200/tt.amps)
		}
	}
}

// TestTooColdToCharge: what the owner is told where no charger helps.
func TestTooColdToCharge(t *testing.T) {
	if limit, is := newHouse().set("site.coldest_c", -1).plan(t).TooColdToCharge(); !is || limit != 0 {
		t.Errorf("at -1 C: below %g C, %v; want below 0 C", limit, is)
	}
	if _, is := newHouse().set("site.coldest_c", 0).plan(t).TooColdToCharge(); is {
		t.Error("too cold to charge at its limit")
	}
	// Without one it is what is usual for the chemistry: 0 C for LFP, -20 C for flooded lead-acid.
	if limit, is := newHouse().drop("bank.charge_min_c").set("site.coldest_c", -1).plan(t).TooColdToCharge(); !is ||
		limit != 0 {
		t.Errorf("LFP without charge_min_c at -1 C: below %g C, %v; want below 0 C", limit, is)
	}
	if limit, is := lead().drop("bank.charge_min_c").set("site.coldest_c", -19).plan(t).TooColdToCharge(); is {
		t.Errorf("flooded without charge_min_c at -19 C: below %g C", limit)
	}
}

// TestOutageChargesAsEntered: what charges the bank in an outage keeps to the charge current that is entered, whether the
// inverter's max_charge_a, the bank, or what is usual for it sets it, and in the cold to that of the cold.
func TestOutageChargesAsEntered(t *testing.T) {
	home := func() *house {
		return newHouse().put("generator", "rated_va = 20000; power_factor = 0.8").load("A", "running_w = 500").
			set("inverter.charger_a", 130).set("inverter.ac_input_a", 200)
	}
	flooded := func(h *house) *house {
		return h.replace("bank", `chemistry = "flooded"; nominal_v = 12; rated_ah = 200; strings = 3`)
	}
	for _, tt := range []struct {
		what  string
		house *house
		a     float64
	}{
		{"max_charge_a of the inverter", home(), 100},
		{"the chargers, without it", home().drop("inverter.max_charge_a").set("inverter.charger_a", 90.5), 90},
		{"the bank", home().set("bank.strings", 1).set("bank.max_charge_a", 25.9), 25},
		{"what is usual for the bank, without max_charge_a", flooded(home()).drop("inverter.max_charge_a"), 78},
		{"what is usual for the bank, with more of it", flooded(home()), 78},
		{"the cold", home().set("site.coldest_c", 2), 40},
	} {
		p := tt.house.plan(t)
		set := p.Details.Charge.SetA
		if cold := p.Details.Charge.ColdA; cold > 0 {
			set = cold
		}
		near(t, tt.what+": entered", set, tt.a)
		start := 0
		r, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 48, Start: &start})
		if err != nil {
			t.Fatal(err)
		}
		if r.GeneratorMin < 60 {
			t.Fatalf("%s: the generator runs for %d min: nothing is charged", tt.what, r.GeneratorMin)
		}
		if mean, most := 60*r.Energy.BankInWh/float64(r.GeneratorMin), tt.a*p.Bank.NominalV(); mean > most*(1+1e-9) {
			t.Errorf("%s: %.6g W into the bank on average, %g A at its nominal volts are %g W", tt.what, mean, tt.a, most)
		}
	}
}

// TestOutageKeepsToTheGenerator: while the generator runs, an outage charges with no more than the current that is
// entered for it, loads it beside its loads with no more than the share that is told, and keeps to both in another
// month, too, whose own loads would leave more.
func TestOutageKeepsToTheGenerator(t *testing.T) {
	home := func(ratedVA float64, load string) *house {
		h := newHouse().set("bank.strings", 2).load("A", "running_w = 400").load("B", "running_w = 600; "+load).
			set("outage.month", 1)
		h.replace("generator", "power_factor = 0.8; start_soc = 0.5").set("generator.rated_va", ratedVA)
		return h
	}
	for _, tt := range []struct {
		what     string
		house    *house
		a, mostW float64 // entered, 0: nothing; the most of the generator in W
	}{
		{"all of the chargers", home(8000, ""), 0, 0.9 * 6400},
		{"what runs leaves less", home(3000, ""), 17, 0.9 * 2400}, // 1160 W of 2700 for 40 A
		{"in January", home(3000, "months = [1]"), 17, 0.9 * 2400},
		{"another share", home(3000, "").set("practice.generator_share", 0.8), 13, 0.8 * 2400},
		{"what runs leaves nothing", home(1388, "hours_per_day = 12; when = [\"00:00-12:00\"]"), 14, 1000}, // 999 W at rest
	} {
		p := tt.house.plan(t)
		set := p.Generator.ChargeSetting()
		near(t, tt.what+": entered", set.A, tt.a)
		start := 0
		for _, month := range []int{0, 7} {
			r, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 48, Start: &start, Month: month})
			if err != nil {
				t.Fatal(err)
			}
			h := float64(r.GeneratorMin) / 60
			if h < 1 {
				t.Fatalf("%s: the generator runs for %g h", tt.what, h)
			}
			if a := r.Energy.BankInWh / h / p.Bank.NominalV(); tt.a > 0 && a > tt.a*(1+1e-9) {
				t.Errorf("%s, month %d: charged with %.6g A, entered are %g A", tt.what, month, a, tt.a)
			}
			if w := r.Energy.GeneratorWh / h; w > tt.mostW*(1+1e-9) {
				t.Errorf("%s, month %d: the generator gives %.6g W, told are %.6g W", tt.what, month, w, tt.mostW)
			}
		}
	}
}
