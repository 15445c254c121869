package backup_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"outlast/backup/phrase"
)

// steady is a house with 800 W all day: with 50 W standby consumption and an efficiency of 0.8 the bank gives 1050 W,
// in 10 h 10 500 Wh.
func steady() *house { return newHouse().load("Lamp", "running_w = 800") }

// TestBankEnergy: the largest window of the profile or the one from a given start; losses and standby consumption on
// top.
func TestBankEnergy(t *testing.T) {
	evening := func() *house {
		return newHouse().load("A", `running_w = 1000; hours_per_day = 2; when = ["18:00-20:00"]`)
	}
	for _, tt := range []struct {
		what           string
		house          *house
		wantAC, wantDC float64
		startMin       float64
	}{
		{"steady", steady(), 8000, 10500, 0},
		// 4 h hold both hours of the evening; the first start that does so is 16:00.
		{"worst start", evening().set("outage.autonomy_h", 4), 2000, 2700, 16 * 60},
		{"given start, all of it", evening().set("outage.autonomy_h", 4).set("outage.start", `"16:00"`), 2000, 2700,
			16 * 60},
		{"given start, the second hour", evening().set("outage.autonomy_h", 4).set("outage.start", `"19:00"`), 1000,
			1450, 19 * 60},
		{"given start, nothing", evening().set("outage.autonomy_h", 4).set("outage.start", `"20:00"`), 0, 200, 20 * 60},
		{"a part of an hour", evening().set("outage.autonomy_h", 0.5).set("outage.start", `"19:45"`), 250, 337.5,
			19*60 + 45},
		// A day and 6 h: both evenings, 4000 Wh, from 14:00 on.
		{"more than a day", evening().set("outage.autonomy_h", 30), 4000, 6500, 14 * 60},
		{"a week", evening().set("outage.autonomy_h", 168), 14000, 17500 + 50*168, 0},
		// Half of the time within 22:00-02:00: 500 W on average. From 23:00 3 h of it and 1 h of nothing.
		{"over midnight", newHouse().load("A", `running_w = 1000; hours_per_day = 2; when = ["22:00-02:00"]`).
			set("outage.autonomy_h", 4).set("outage.start", `"23:00"`), 1500, 2075, 23 * 60},
		{"over midnight, worst", newHouse().load("A", `running_w = 1000; hours_per_day = 2; when = ["22:00-02:00"]`).
			set("outage.autonomy_h", 4), 2000, 2700, 22 * 60},
		{"two inverters", steady().set("inverter.count", 2), 8000, 11000, 0},
		// The curve by the share of rated_w (4000 W): 800 W are 0.2 of it, between 0.1 (0.8) and 0.3 (0.9): 0.85.
		{"efficiency curve", steady().set("inverter.efficiency_curve",
			"[{ load = 0.1, efficiency = 0.8 }, { load = 0.3, efficiency = 0.9 }]"),
			8000, 8000/0.85 + 500, 0},
		{"below the curve", steady().set("inverter.efficiency_curve",
			"[{ load = 0.25, efficiency = 0.8 }, { load = 0.5, efficiency = 0.9 }]"), 8000, 10500, 0},
		{"above the curve", steady().set("inverter.efficiency_curve",
			"[{ load = 0.05, efficiency = 0.5 }, { load = 0.1, efficiency = 0.8 }]"), 8000, 10500, 0},
		// The share is of all inverters: 0.1 of 8000 W.
		{"curve of two inverters", steady().set("inverter.count", 2).
			set("inverter.efficiency_curve", "[{ load = 0.1, efficiency = 0.8 }, { load = 0.3, efficiency = 0.9 }]"),
			8000, 11000, 0},
		// Two levels, each with its own efficiency: 4 h at 400 W (0.1: 0.8) and 6 h at 1200 W (0.3: 0.9).
		{"curve, step by step", newHouse().load("A", "running_w = 400").
			load("B", `running_w = 800; hours_per_day = 6; when = ["12:00-18:00"]`).set("outage.start", `"08:00"`).
			set("inverter.efficiency_curve", "[{ load = 0.1, efficiency = 0.8 }, { load = 0.3, efficiency = 0.9 }]"),
			8800, 1600/0.8 + 7200/0.9 + 500, 8 * 60},
	} {
		t.Run(tt.what, func(t *testing.T) {
			b := tt.house.plan(t).Bank
			near(t, "AC energy", b.EnergyACWh, tt.wantAC)
			near(t, "DC energy", b.EnergyDCWh, tt.wantDC)
			near(t, "start", b.StartMin, tt.startMin)
		})
	}
}

// TestBankCapacity: C = E_dc*(1+growth)*(1+margin) / (V*(reserve-(1-max_dod))*end_of_life*k_temperature*k_rate), with
// k_rate of a bank of just C. The house has 48 V and usable 0.8; 10 500 Wh are 273.4375 Ah.
func TestBankCapacity(t *testing.T) {
	const base = 10500 / (48 * 0.8)
	// lead is a bank of the same volts whose depth of 0.5 makes 437.5 Ah of 10 500 Wh.
	lead := func(more string) *house {
		return steady().set("inverter.dc_max_v", 66).replace("bank", flooded).put("bank", more)
	}
	for _, tt := range []struct {
		what    string
		house   *house
		want    float64
		kT, kR  float64
		strings int // that give it
		caution string
	}{
		{"plain", steady(), base, 1, 1, 3, ""},
		{"margin", steady().set("practice.margin", 0.2), base * 1.2, 1, 1, 4, ""},
		{"growth", steady().set("practice.growth", 0.1), base * 1.1, 1, 1, 4, ""},
		{"growth and margin", steady().put("practice", "growth = 0.1; margin = 0.2"), base * 1.32, 1, 1, 4, ""},
		{"the default margin", steady().drop("practice.margin"), base * 1.1, 1, 1, 4, ""},
		{"end of life", steady().set("practice.end_of_life", 0.5), base * 2, 1, 1, 6, ""},
		{"the default end of life", steady().drop("practice.end_of_life"), base / 0.8, 1, 1, 4, ""},
		// usable 0.9 - 0.2 = 0.7.
		{"reserve", steady().set("outage.reserve", 0.9), 312.5, 1, 1, 4, ""},
		{"a smaller depth", steady().set("practice.max_dod", 0.5), 437.5, 1, 1, 5, ""},
		{"depth and reserve", steady().set("practice.max_dod", 0.5).set("outage.reserve", 0.75), 875, 1, 1, 9, ""},
		{"never deeper than the unit", steady().set("practice.max_dod", 0.9), base, 1, 1, 3, "deeper discharge"},
		{"depth by chemistry, LFP 0.80", steady().drop("bank.max_dod"), base, 1, 1, 3, ""},
		{"a deeper one where the unit sets no limit of its own",
			steady().drop("bank.max_dod").set("practice.max_dod", 0.5), 437.5, 1, 1, 5, ""},
		// Just 300 Ah: 881.6 W are 11 520 Wh. The next watt asks for a string more.
		{"strings in full", newHouse().load("A", "running_w = 881.6"), 300, 1, 1, 3, ""},
		{"strings, just above", newHouse().load("A", "running_w = 881.7"), (8817/0.8 + 500) / (48 * 0.8), 1, 1, 4, ""},
		{"at least one string", newHouse().load("A", "running_w = 1").set("outage.autonomy_h", 0.01),
			0.01 * 51.25 / 38.4, 1, 1, 1, ""},
		// AGM gives 86 % of its capacity at 0 C and 65 % at -15 C: data sheet of a 12 V 55 Ah AGM block, SEEN.
		{"cold AGM", lead(`chemistry = "agm"`).drop("bank.equalise_v").set("site.coldest_c", 0), 437.5 / 0.86, 0.86, 1,
			6, ""},
		{"colder AGM", lead(`chemistry = "agm"`).drop("bank.equalise_v").set("inverter.dc_max_v",
			80).set("site.coldest_c", -15), 437.5 / 0.65, 0.65, 1, 7, ""},
		{"warm AGM earns nothing", lead(`chemistry = "agm"`).drop("bank.equalise_v").set("site.coldest_c", 40), 437.5,
			1, 1, 5, ""},
		// The mean current of 21.875 A would empty 437.5 Ah in the 20 h of the rating: k = 1 whatever the exponent.
		{"Peukert at the rated hours", lead("peukert = 1.25"), 437.5, 1, 1, 5, ""},
		// In 5 h A = 218.75 Ah must come out at the same current: C^1.25 = A*(I*H)^0.25 with I*H = 437.5, so that C =
		// A*2^0.2.
		{"Peukert, faster", lead("peukert = 1.25").set("outage.autonomy_h", 5), 218.75 * math.Pow(2, 0.2), 1,
			math.Pow(2, -0.2), 3, ""},
		// In 20 h the same rule would give more than rated: no credit.
		{"Peukert, slower", lead("peukert = 1.25").set("outage.autonomy_h", 20), 875, 1, 1, 9, ""},
		{"Peukert by chemistry, flooded 1.25", lead("").drop("bank.peukert").set("outage.autonomy_h", 5),
			218.75 * math.Pow(2, 0.2), 1, math.Pow(2, -0.2), 3, ""},
		// Emptied in 10 h, twice the 5 h of the autonomy, since half is used: the point of the table.
		{"a table, at a point", lead(table).drop("bank.peukert").set("outage.autonomy_h", 5), 218.75 / 0.9, 1, 0.9,
			3, ""},
		// In sqrt(5*10) h: on log-log paper the mean of 80 and 90 Ah is sqrt(80*90).
		{"a table, between points", lead(table).drop("bank.peukert").set("outage.autonomy_h", math.Sqrt(50)/2),
			437.5 * math.Sqrt(50) / 20 / math.Sqrt(0.72), 1, math.Sqrt(0.72), 2, ""},
		// Half as long as the first point: the first segment goes on, 80*80/90 = 71.11 Ah, with a caution.
		{"a table, faster", lead(table).drop("bank.peukert").set("outage.autonomy_h", 1.25), 437.5 / 8 / (64.0 / 90), 1,
			64.0 / 90, 1, "extrapolated"},
		// In 40 h the table gives 110 Ah: that much is credited, and no more however slow the discharge is.
		{"a table, slower", lead(slowTable).drop("bank.peukert").set("outage.autonomy_h", 20), 875 / 1.1, 1, 1.1,
			8, ""},
		{"a table, slower than it goes", lead(slowTable).drop("bank.peukert").set("outage.autonomy_h", 40), 1750 / 1.1,
			1, 1.1, 16, ""},
		{"a table that ends at the rated hours", lead(table).drop("bank.peukert").set("outage.autonomy_h", 20), 875, 1,
			1, 9, ""},
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := tt.house.set("bank.strings", 0).plan(t)
			z := p.Bank.Sizing
			near(t, "capacity", z.RequiredAh, tt.want)
			near(t, "k_temperature", z.KTemperature, tt.kT)
			near(t, "k_rate", z.KRate, tt.kR)
			if p.Bank.Strings != tt.strings {
				t.Errorf("%d strings, want %d", p.Bank.Strings, tt.strings)
			}
			c := check(t, p, "bank-capacity")
			near(t, "demand of the check", c.Demand, tt.want)
			near(t, "limit of the check", c.Limit, 100*float64(tt.strings))
			if c.Status != "pass" {
				t.Errorf("a sized bank is too small: %s", c.Reason)
			}
			text := strings.Join(phrase.Strings(p.Cautions), "\n")
			if tt.caution != "" && !strings.Contains(text, tt.caution) {
				t.Errorf("no caution says %q:\n%s", tt.caution, text)
			}
			if tt.caution == "" && strings.Contains(text, "Bank: ") {
				t.Errorf("a caution about the bank:\n%s", text)
			}
		})
	}
	checkFacts(t, "bank-capacity", "Ah", []fact{
		{"given, in full", newHouse().load("A", "running_w = 881.6").set("bank.strings", 3), "pass", 300, 300, 0, ""},
		{"given, just not", newHouse().load("A", "running_w = 882.4").set("bank.strings", 3), "fail", 11530 / 38.4, 300,
			1 - 11530/11520.0, "4 strings"},
	})
}

// A bank with as many Ah as the check of a smaller one asks for passes.
func TestRequiredCapacityPassesAsTold(t *testing.T) {
	for _, w := range []float64{882.4, 900, 903.3, 1000.1} {
		small := check(t, newHouse().load("A", fmt.Sprintf("running_w = %g", w)).set("bank.strings", 1).plan(t),
			"bank-capacity")
		var ah float64
		if _, err := fmt.Sscanf(small.Reason.String(), "%g Ah are required", &ah); err != nil || small.Status != "fail" {
			t.Fatalf("%g W: %s, %q, %v; want a failure with the capacity", w, small.Status, small.Reason, err)
		}
		c := check(t, newHouse().load("A", fmt.Sprintf("running_w = %g", w)).put("bank",
			fmt.Sprintf("strings = 1; rated_ah = %g", ah)).plan(t), "bank-capacity")
		want := fmt.Sprintf("%g Ah are required, design margin, cold and age included; the bank has %[1]g Ah", ah)
		if c.Status != "pass" || c.Reason.String() != want {
			t.Errorf("%g W: a bank of %g Ah: %s, %q, want %q", w, ah, c.Status, c.Reason, want)
		}
	}
}

// table is a discharge table of a unit of 100 Ah at 20 h.
const table = "capacity = [{ hours = 5, ah = 80 }, { hours = 10, ah = 90 }, { hours = 20, ah = 100 }]"

// slowTable is the same unit with a discharge slower than the rated one.
const slowTable = "capacity = [{ hours = 5, ah = 80 }, { hours = 10, ah = 90 }, { hours = 20, ah = 100 }, " +
	"{ hours = 40, ah = 110 }]"

// TestAutonomy: how long the installed bank lasts at the end of its life. With a steady demand of 1050 W the store of a
// lithium bank is emptied evenly: 48 V * Ah * usable / 1050 W.
func TestAutonomy(t *testing.T) {
	const perString = 48 * 100 * 0.8 / 1050.0 // h
	checkFacts(t, "autonomy", "h", []fact{
		{"as given", steady(), "pass", 10, 4 * perString, 1 - 10/(4*perString), ""},
		{"too short", steady().set("bank.strings", 2), "fail", 10, 2 * perString, 1 - 10/(2*perString),
			"not for the required 10 h"},
		{"aged", steady().set("practice.end_of_life", 0.5).set("bank.strings", 8), "pass", 10, 4 * perString,
			1 - 10/(4*perString), ""},
		{"growth", steady().set("practice.growth", 0.25).set("bank.strings", 5), "pass", 10, 4 * perString,
			1 - 10/(4*perString), ""},
		// Usable 0.6 - 0.2, half of what a full bank has.
		{"from the reserve", steady().set("outage.reserve", 0.6), "fail", 10, 2 * perString, 1 - 10/(2*perString), ""},
		{"to a smaller depth", steady().set("practice.max_dod", 0.4), "fail", 10, 2 * perString,
			1 - 10/(2*perString), ""},
	})
	// The heater takes 3000 W / 0.8 + 50 W from the bank: 3840 Wh last from 22:00 through 20 h of 50 W and 45 min of
	// 3800 W; from 18:00 through 61 min of it.
	short := newHouse().set("bank.strings", 1).set("outage.autonomy_h", 24).set("outage.start", `"22:00"`).
		load("Heater", `running_w = 3000; hours_per_day = 4; when = ["18:00-22:00"]`).plan(t)
	if c := check(t, short, "autonomy"); c.Status != "fail" ||
		!strings.HasSuffix(c.Reason.String(), "; from the least favourable start (18:00) only 1.0 h") {
		t.Errorf("an autonomy that is too short from its own start: %s %q", c.Status, c.Reason)
	}
	// Margin is no demand: it does not shorten what the bank really lasts.
	near(t, "with a margin", steady().set("practice.margin", 1).plan(t).Bank.AutonomyH, 4*perString)
	// Nothing but the standby consumption of the inverter: 50 W.
	near(t, "own use alone", newHouse().plan(t).Bank.AutonomyH, 4*perString*1050/50)
	// Nothing at all: the simulation ends after a year, and the check says so.
	p := newHouse().set("inverter.idle_w", 0).plan(t)
	if c := check(t, p, "autonomy"); c.Status != "pass" || c.Limit != 8760 ||
		!strings.Contains(c.Reason.String(), "at least 8760 h") {
		t.Errorf("an empty house without own use: %+v", c)
	}
	// A demand that the bank's current cannot carry ends it at once.
	if h := newHouse().set("bank.strings", 1).load("A", "running_w = 9000").plan(t).Bank.AutonomyH; h > 1.0/60 {
		t.Errorf("9000 W from a bank that gives 4800 W: %g h, want none", h)
	}
}

// TestAutonomyOfSized: a bank of the required capacity lasts the autonomy; of the strings before, it does not, when
// nothing but whole strings is added to the need.
func TestAutonomyOfSized(t *testing.T) {
	for _, hours := range []float64{1, 4, 10, 25, 60} {
		for _, chemistry := range []string{"lfp", "lfp by its table", "flooded", "flooded by its table"} {
			h := steady().set("outage.autonomy_h", hours).set("bank.strings", 0)
			if strings.HasPrefix(chemistry, "flooded") {
				h.set("inverter.dc_max_v", 66).replace("bank", flooded).set("bank.strings", 0)
			}
			// What sizing credits to a slow discharge the simulation gives too, and what it takes off a fast one. The wells
			// of lead-acid are fitted to a whole table: they take off by themselves, not to the last digit.
			if strings.HasSuffix(chemistry, "table") && (hours >= 10 || strings.HasPrefix(chemistry, "lfp")) {
				h.put("bank", slowTable+"; rated_h = 20").drop("bank.peukert")
			}
			p := h.plan(t)
			if p.Bank.AutonomyH < hours*(1-1e-9) {
				t.Errorf("%s, %g h: %d strings last %g h", chemistry, hours, p.Bank.Strings, p.Bank.AutonomyH)
			}
			if n := p.Bank.Strings; n > 1 {
				if got := h.set("bank.strings", fmt.Sprint(n-1)).plan(t).Bank.AutonomyH; got >= hours {
					t.Errorf("%s, %g h: %d strings last %g h already", chemistry, hours, n-1, got)
				}
			}
		}
	}
}
