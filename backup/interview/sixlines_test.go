package interview

import (
	"math"
	"os"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/backup/verdict"
)

// TestSixLines works the plan of six lines of appliances by hand, and asks for the same home in an interview.
//
// The home: Larch End (testdata/sites/six-lines.toml), 230 V, 24 h, the battery at 10 C. Its classes, with the figures
// of the catalog, which lie within what is published of each (catalog/published_test.go tells where):
//
//	class           W    pf    VA at start  pf    h    windows
//	fridge-freezer  150  0.70  1300         0.75  8    any
//	chest-freezer   110  0.70   950         0.75  8    any
//	well-pump-370w  750  0.75  5000         0.75  1.5  any
//	gas-boiler      120  0.75   500         0.70  10   any
//	led-home        120  0.80  -            -     5    05:30-08:30, 16:30-24:00
//	router           15  0.55  -            -     24   any
func TestSixLines(t *testing.T) {
	src, err := os.ReadFile("../../testdata/sites/six-lines.toml")
	if err != nil {
		t.Fatal(err)
	}
	asked := told(t, "name: Larch End", "supply: 230", "altitude: 0", "hours: 24", "coldest: 10", "hottest: 30",
		"inverter: hybrid-5k-48", "battery: lfp-51-100",
		"stays-on: fridge-freezer, chest-freezer, well pump 0.37 kW, gas boiler, LED lights, router")
	for name, text := range map[string]string{"six-lines.toml": string(src), "the interview": text(t, asked)} {
		t.Run(name, func(t *testing.T) { sixLines(t, asked, text) })
	}
}

func sixLines(t *testing.T, in *Interview, text string) {
	s, err := site.Read("home.toml", []byte(text), in.cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if math.Abs(got-want) > tolerance {
			t.Errorf("%s: %.4f, by hand %.4f", what, got, want)
		}
	}
	// Energy of a day: 150*8 + 110*8 + 750*1.5 + 120*10 + 120*5 + 15*24 = 1200 + 880 + 1125 + 1200 + 600 + 360 = 5365
	// Wh.
	near("energy", p.Demand.EnergyWhPerDay, 5365, 1e-9)
	// Together while the lights are on, from 05:30: 150 + 110 + 750 + 120 + 120 + 15 = 1265 W. Reactive power W *
	// tan(acos pf): 150*1.02020 + 110*1.02020 + 750*0.88192 + 120*0.88192 + 120*0.75 + 15*1.51846 = 153.03 + 112.22 +
	// 661.44 + 105.83 + 90 + 22.78 = 1145.30 var; VA = sqrt(1265^2 + 1145.30^2) = 1706.44.
	near("demand", p.Demand.Scheduled.W, 1265, 1e-9)
	near("demand", p.Demand.Scheduled.VA, 1706.44, 0.02)
	if p.Demand.Scheduled.AtMin != 5*60+30 {
		t.Errorf("peak minute %d", p.Demand.Scheduled.AtMin)
	}
	// The largest start is the pump's: 5000 VA at 0.75 are 3750 W and 5000*sqrt(1 - 0.5625) = 3307.19 var; beside it
	// run 515 W and 1145.30 - 661.44 = 483.86 var: sqrt(4265^2 + 3791.05^2) = 5706.34 VA. The inverter gives 10,000 VA
	// for 5 s.
	worst := p.Starts.All[p.Starts.Worst]
	if worst.Load != "Well pump 0.37 kW (0.5 hp)" {
		t.Errorf("hardest start %+v", worst)
	}
	near("start", worst.DemandVA, 5706.34, 0.05)
	// The lights make 600 Wh / 10.5 h = 57.14 W while they are on; the rest is (5365 - 600) / 24 = 198.54 W at all
	// hours. hybrid-5k-48 converts with 0.87 up to 250 W, and 0.91 at 500 W: at 255.68 W with 0.87 + 0.04 * 5.68/250 =
	// 0.87091. It takes 50 W itself. So the bank gives 198.54/0.87 + 50 = 278.21 W for 13.5 h and 255.68/0.87091 + 50 =
	// 343.58 W for 10.5 h: 3755.8 + 3607.6 = 7363.4 Wh.
	near("energy from the bank", p.Bank.EnergyDCWh, 7363.4, 0.5)
	// Margin 0.10, depth 0.80, age 0.80; at 10 C lithium has 0.85 + 0.15 * 10/25 = 0.91 (0.85 at 0 C, the low end of
	// data sheets): 7363.4 * 1.1 / (51.2 * 0.8 * 0.8 * 0.91) = 271.6 Ah, so three packs of 100 Ah.
	near("capacity", p.Bank.Sizing.RequiredAh, 271.6, 0.1)
	if p.Bank.Strings != 3 || p.Bank.Series != 1 {
		t.Errorf("%d strings of %d", p.Bank.Strings, p.Bank.Series)
	}
	// Three old ones hold 3 * 5120 * 0.8 * 0.91 * 0.8 = 8945.7 Wh in the cold. From 16:30, when the lights go on, the
	// first day takes the 7363.4 Wh, and the rest lasts (8945.7 - 7363.4) / 343.58 = 4.6 h more: 28.6 h.
	least, from, err := p.LeastAutonomy()
	if err != nil || from != 16*60+30 {
		t.Errorf("least from minute %g, %v", from, err)
	}
	near("autonomy", least, 28.6, 0.1)
	if p.Verdict() != verdict.Pass {
		t.Errorf("%v: %v", p.Verdict(), append(p.With(verdict.Fail), p.With(verdict.Caution)...))
	}
}
