package backup_test

import (
	"math"
	"strings"
	"testing"

	"outlast/backup/facts"
	"outlast/backup/verdict"
)

// lead is the house with a bank of 24 lead-acid cells, 4 strings of 100 Ah, and an inverter that is stated to charge
// it.
func lead() *house {
	return newHouse().replace("bank", flooded).set("inverter.dc_max_v", 66).set("inverter.chemistries",
		`["flooded", "agm", "gel"]`)
}

// TestBankChemistry: whether the inverter is stated to charge the bank.
func TestBankChemistry(t *testing.T) {
	for _, tt := range []struct {
		what   string
		house  *house
		status verdict.Status
		says   string
	}{
		{"listed", newHouse(), verdict.Pass, "stated to charge lfp"},
		{"listed among others", lead(), verdict.Pass, "flooded"},
		{"not listed", newHouse().set("inverter.chemistries", `["agm", "gel"]`), verdict.Fail, "agm, gel, not lfp"},
		{"no list", newHouse().drop("inverter.chemistries"), verdict.Caution, "chemistries"},
	} {
		c := check(t, tt.house.plan(t), "bank-chemistry")
		if c.Status != tt.status || c.HasLimit || !strings.Contains(c.Reason.String(), tt.says) {
			t.Errorf("%s: %s, %q, limit %v; want %s without a limit, and %q", tt.what, c.Status, c.Reason, c.HasLimit,
				tt.status, tt.says)
		}
	}
}

// TestEqualisingIsNamed: where the equalising voltage is the highest, the check says so.
func TestEqualisingIsNamed(t *testing.T) {
	for _, tt := range []struct {
		house *house
		says  string
	}{
		{lead(), "charging at 25 C raises the bank to up to 57.6 V"},
		{lead().set("inverter.equalises", true), "equalising at 25 C raises the bank to up to 62.0 V"},
		{lead().set("inverter.equalises", true).set("inverter.dc_max_v", 61), "lower the equalising voltage"},
	} {
		if c := check(t, tt.house.plan(t), "dc-window-high"); !strings.Contains(c.Reason.String(), tt.says) {
			t.Errorf("%q, want %q in it", c.Reason, tt.says)
		}
	}
}

// TestVentilation: Q = 0.05 n Igas Crt / 1000 and 28 cm2 for each m3/h, IEC 62485-2, SEEN. 24 vented cells of 400 Ah in
// all give off 20 mA/Ah on boost: 9.60 m3/h, 268.8 cm2 (own). 24 valve-regulated cells of 200 Ah, 8 mA/Ah: 1.92 m3/h,
// 53.76 cm2 (own).
func TestVentilation(t *testing.T) {
	sealed := func() *house { return lead().put("bank", `chemistry = "agm"; strings = 2`).drop("bank.equalise_v") }
	checkFacts(t, "ventilation", "cm2", []fact{
		{"vented, in full", lead().set("bank.vent_cm2", 268.8), "pass", 268.8, 268.8, 0, "9.6 m3/h"},
		{"vented, just not", lead().set("bank.vent_cm2", 268.7), "fail", 268.8, 268.7, -0.1 / 268.7, "can explode"},
		{"valve-regulated", sealed().set("bank.vent_cm2", 60), "pass", 53.76, 60, 1 - 53.76/60, "1.9 m3/h"},
		{"gel", sealed().set("bank.chemistry", `"gel"`).set("bank.vent_cm2", 50), "fail", 53.76, 50, 1 - 53.76/50, ""},
	})
	// Without vent_cm2 the figures are said, with the key that would compare them.
	c := check(t, lead().plan(t), "ventilation")
	near(t, "opening", c.Demand, 268.8)
	for _, says := range []string{"9.6 m3/h", "269 cm2", "on float 2.4 m3/h, 68 cm2", "vent_cm2"} {
		if c.Status != verdict.Caution || c.HasLimit || !strings.Contains(c.Reason.String(), says) {
			t.Errorf("without vent_cm2: %s, %q; want a caution that says %q", c.Status, c.Reason, says)
		}
	}
	// Lithium asks for none, whatever there is.
	for _, h := range []*house{newHouse(), newHouse().set("bank.vent_cm2", 1)} {
		if c := check(t, h.plan(t), "ventilation"); c.Status != verdict.Pass || c.Demand != 0 {
			t.Errorf("lithium: %s with a demand of %g cm2: %s", c.Status, c.Demand, c.Reason)
		}
	}
}

// TestVentilationPreconditions: the row of 20 mA/Ah holds to 2.40 V per cell and 40 C. Above those volts all of the
// charging current may turn into gas: the hydrogen of 24 cells and 40 A at 25 C, diluted to 2 % (US UFC 3-520-01,
// 14-1.3.2.2); arrays count with the charger. The house's bank of 400 Ah is charged with 2.40 V and equalised with
// 2.583 V per cell.
func TestVentilationPreconditions(t *testing.T) {
	gas := func(a float64) float64 { return 28 * 0.42e-3 * 298.15 / 273.15 / 0.02 * 24 * a }
	hard := func() *house { return lead().set("inverter.equalises", true) }
	sun := func(h *house) *house {
		return h.set("site.latitude", -37).put("[array]",
			"rated_w = 480; voc_v = 50; isc_a = 13; vmp_v = 40; imp_a = 12; modules_per_string = 4; tilt_deg = 30; azimuth_deg = 0")
	}
	checkFacts(t, "ventilation", "cm2", []fact{
		{"not equalised", lead().set("bank.vent_cm2", 300), "pass", 268.8, 300, 1 - 268.8/300, ""},
		{"equalised by 40 A", hard().set("bank.vent_cm2", gas(40)), "pass", gas(40), gas(40), 0,
			"all of the charging current, 40 A"},
		{"equalised, just not", hard().set("bank.vent_cm2", gas(40)*0.999), "fail", gas(40), gas(40) * 0.999,
			1 - 1/0.999, "can explode"},
		{"two chargers", hard().set("inverter.count", 2).set("bank.vent_cm2", 2000), "pass", gas(80), 2000,
			1 - gas(80)/2000, ""},
		{"with 40 A of an array", sun(hard()).set("bank.vent_cm2", 2000), "pass", gas(80), 2000, 1 - gas(80)/2000, ""},
		{"the charger is not known", hard().drop("inverter.charger_a", "inverter.max_charge_a").set("bank.max_charge_a",
			25).set("bank.vent_cm2", 3000), "caution",
			gas(100), 3000, 1 - gas(100)/3000, "give charger_a"},
		{"as hot as the table goes", lead().set("site.hottest_c", 40).set("bank.vent_cm2", 300), "pass", 268.8, 300,
			1 - 268.8/300, ""},
		{"hotter", lead().set("site.hottest_c", 48).set("bank.vent_cm2", 600), "caution", 2 * 268.8, 600,
			1 - 2*268.8/600, "apply up to 40 C"},
		// AS 2676.1: 0.006 l/s for each cell and A, 100 cm2 for each l/s. The larger of the two rules holds.
		{"the Australian rule", lead().set("inverter.charger_a", 100).set("bank.vent_rule", `"au"`).set("bank.vent_cm2",
			2000), "pass",
			100 * 0.006 * 24 * 100, 2000, 1 - 1440.0/2000, "the Australian rule"},
		{"the Australian rule asks for less", lead().set("inverter.charger_a", 10).set("bank.vent_rule",
			`"au"`).set("bank.vent_cm2", 300), "pass", 268.8, 300, 1 - 268.8/300, ""},
	})
	// What is not rated in 10 h: rated_ah is of 5 h here, and the table has 500 Ah in 10 h.
	rated := lead().put("bank",
		"strings = 1; rated_ah = 400; rated_h = 5; capacity = [{ hours = 5, ah = 400 }, { hours = 10, ah = 500 }]; "+
			"vent_cm2 = 400").drop("bank.peukert")
	near(t, "air by the capacity in 10 h", check(t, rated.plan(t), "ventilation").Demand, 28*0.05*24*20*500/1000)
	// The distance of sparks is said: blocks of six cells, 28.8 (6 x 20 x 400)^(1/3) mm by EN 50272-2 (from memory).
	if c := check(t, lead().set("bank.vent_cm2", 300).plan(t), "ventilation"); !strings.Contains(c.Reason.String(),
		"no source of sparks within 1047 mm") {
		t.Errorf("%q, want the distance of sparks", c.Reason)
	}
}

// TestVentStaysWithTheShed: an option with another battery keeps the opening, which belongs to the space.
func TestVentStaysWithTheShed(t *testing.T) {
	text := lead().set("bank.vent_cm2", 300).text() + "[[option]]\nname = \"Gel\"\nbank.use = \"gel-12-100\"\n"
	p, err := planOf(text)
	if err != nil {
		t.Fatal(err)
	}
	if c := check(t, p.Options[0].Plan, "ventilation"); c.Limit != 300 || c.Status != verdict.Pass {
		t.Errorf("limit %g, %s; want the 300 cm2 of the site", c.Limit, c.Status)
	}
}

// TestFreezing: the electrolyte at the lowest charge that the plan allows, of the weaker acid of the published scales:
// 1.120 empty freezes at 13.4 F, 1.190 at half charge at -11.75 F (open data set of lead-acid batteries, freezing
// points of US Army OD 1002, TM 5-1185 and TM 10-6140-200-14, SEEN).
func TestFreezing(t *testing.T) {
	// At 60 % the scale of the charge reads 1.190 + 0.035*0.4 = 1.204, and the freezing point lies 0.2 of the way from
	// -16 to -31 F.
	const emptyC, halfC, sixtyC = (13.4 - 32) / 1.8, (-11.75 - 32) / 1.8, (-16 - 0.2*15 - 32) / 1.8
	shed := func(coldest float64) *house {
		return lead().put("bank", "discharge_min_c = -60; charge_min_c = -60").put("inverter",
			"dc_max_v = 90").set("site.coldest_c", coldest)
	}
	checkFacts(t, "bank-temperature", "C", []fact{
		{"emptied, just too cold", shed(-11).set("bank.max_dod", 1), "fail", -11, emptyC, -11 - emptyC,
			"freezes below a state of charge of 3 %"},
		{"emptied, warm enough to stay liquid", shed(-7).set("bank.max_dod", 1), "caution", -7, emptyC, -7 - emptyC,
			"require 60 %"},
		{"half emptied, in full", shed(-24.3), "caution", -24.3, halfC, -24.3 - halfC,
			"freezes below a state of charge of 50 %"},
		// -25 C are -13 F, 1.25 of 17 F on the way from 1.160 to 1.200 below the point of half charge: 1.193.
		{"half emptied, just too cold", shed(-25), "fail", -25, halfC, -25 - halfC,
			"it freezes below a state of charge of 52 %"},
		{"absorbed", shed(-25).put("bank", `chemistry = "agm"`).drop("bank.equalise_v"), "fail", -25, halfC,
			-25 - halfC, ""},
		// Between the two scales: the plan's acid is liquid, that of a temperate fill (1.170 at half charge, -3.25 F)
		// is not.
		{"weaker acid would freeze", shed(-20).set("practice.max_dod", 0.5), "caution", -20, halfC, -20 - halfC,
			"weaker acid, as in temperate climates, it would freeze at -19.6 C"},
		// Makers of flooded batteries want 60 % kept below 0 C: data sheet of a 6 V flooded deep-cycle unit, 2014,
		// SEEN.
		{"down to 50 % below 0 C", shed(-5), "caution", -5, halfC, -5 - halfC, "require 60 %"},
		{"down to 60 % below 0 C", shed(-5).set("practice.max_dod", 0.4), "pass", -5, sixtyC, -5 - sixtyC, ""},
		{"at 0 C", shed(0), "pass", 0, halfC, -halfC, ""},
		{"absorbed, down to 50 %", shed(-5).put("bank", `chemistry = "agm"`).drop("bank.equalise_v"), "pass", -5, halfC,
			-5 - halfC, ""},
		// The other limits still count, whichever is tightest.
		{"too cold to charge first", lead().set("site.coldest_c", -11), "fail", -11, -10, -1, "must not be charged"},
		{"gel does not tell", shed(-40).put("bank", `chemistry = "gel"`).drop("bank.equalise_v"), "pass", -40, -60,
			20, ""},
	})
	// Emptied it freezes before it is too cold to be charged, -20 C, which is usual for flooded batteries.
	c := check(t, lead().drop("bank.charge_min_c", "bank.discharge_min_c").set("bank.max_dod", 1).plan(t),
		"bank-temperature")
	if c.Status != verdict.Caution || math.Abs(c.Limit-emptyC) > 1e-9 ||
		!strings.Contains(c.Reason.String(), "-20 C is counted with for flooded") ||
		!strings.Contains(c.Reason.String(), "discharge_min_c and charge_min_c") {
		t.Errorf("without the unit's limits: %+v; want a caution that compares the freezing point and names both keys", c)
	}
}

// TestChargingInTheCold: AGM blocks at -8 C are charged, from -15 C on and with a tenth of their capacity (see package
// battery), where the plan said that they must not be.
func TestChargingInTheCold(t *testing.T) {
	p := triedPlan(t, "line-end-cold-agm")
	c := check(t, p, "bank-temperature")
	if c.Status == verdict.Fail || c.Limit != -15 {
		t.Errorf("%s against %g C: %s", c.Status, c.Limit, c.Reason)
	}
	if _, is := p.TooColdToCharge(); is {
		t.Error("too cold to charge")
	}
	near(t, "current in the cold", p.Details.Charge.ColdA, 0.1*p.Bank.CapacityAh())
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	if m := r.Months[p.Month-1]; !m.GeneratorOK || m.GeneratorH > 12 {
		t.Errorf("the generator runs for %g h a day (%v), want a bank that it fills", m.GeneratorH, m.GeneratorOK)
	}
	// The house: 0.2C below 15 C, 0.1C below 5 C, nothing below 0 C, of 400 Ah; the limit to set when warm is the
	// charger's.
	for coldest, want := range map[float64]float64{15: 0, 10: 80, 5: 80, 4: 40, 0: 40, -1: 0} {
		if got := newHouse().put("inverter", "charger_a = 100").set("site.coldest_c",
			coldest).plan(t).Details.Charge; got.ColdA != want || got.SetA != 100 {
			t.Errorf("%g C: %g A in the cold, %g A to set; want %g and 100", coldest, got.ColdA, got.SetA, want)
		}
	}
}

// TestRechargeInTheCold: the time to get full follows the current that the coldest battery space allows, beside the time of
// the current that is entered. LFP of 200 Ah from 20 %, a tenth of its Ah at 2 C and 60 A of the charger at 25 C: three
// times as long.
func TestRechargeInTheCold(t *testing.T) {
	at := func(coldest float64) facts.ChargeTime {
		h := newHouse().replace("bank", `chemistry = "lfp"; nominal_v = 51.2; rated_ah = 100; strings = 2`).
			set("inverter.charger_a", 60).set("site.coldest_c", coldest)
		return h.plan(t).Details.Charges[0]
	}
	cold, mild := at(2), at(20)
	near(t, "current in the cold", cold.Cold.ChargeA, 20)
	near(t, "hours at the current that is entered", cold.Hours, mild.Hours)
	near(t, "hours in the cold", cold.Cold.Hours, 3*cold.Hours)
	near(t, "hours to count with", cold.LongestH(), cold.Cold.Hours)
	if mild.Cold.Hours != 0 || mild.LongestH() != mild.Hours {
		t.Errorf("at 20 C: %g h in the cold, %g to count with; want 0 and %g", mild.Cold.Hours, mild.LongestH(), mild.Hours)
	}
}
