package outage

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/battery"
	"outlast/loads"
)

// perfect is an inverter without losses.
var perfect = Inverter{Efficiency: 1}

func constant(name string, w float64) loads.Load {
	return loads.Load{Name: name, CircuitID: name, Quantity: 1, RunningW: w, HoursPerDay: 24}
}

func mustRun(t *testing.T, s Scenario, minutes int) Result {
	t.Helper()
	r, err := run(s, minutes)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// By hand: 1,000 Wh carry 120 W for 8 h 20 min, and with 15 W standby consumption and 90 % efficiency 148.3 W for
// 404.49 minutes.
func TestHoursUntilDark(t *testing.T) {
	for _, tt := range []struct {
		name     string
		inverter Inverter
		usableWh float64
		wantMin  int
	}{
		{"just enough", perfect, 1000.0001, 500},
		{"just short of it", perfect, 999.9999, 499},
		{"losses", Inverter{IdleW: 15, Efficiency: 0.9}, 1000, 404},
		{"curve", Inverter{IdleW: 15, Curve: []EfficiencyPoint{{100, 0.85}, {200, 1}}}, 1000, 396}, // 0.88 at 120 W: 151.36 W
	} {
		s := Scenario{Loads: []loads.Load{constant("fridge", 120)}, Inverter: tt.inverter,
			Bank: newPlainStore(lossless, tt.usableWh), StartSoC: 1}
		r := mustRun(t, s, 1000)
		hours, dark := r.HoursUntilDark()
		if !dark || hours != float64(tt.wantMin)/60 {
			t.Errorf("%s: %g h, %t, want minute %d", tt.name, hours, dark, tt.wantMin)
		}
		// the minute in which it ran out is served in part, what follows is not
		served := tt.usableWh * 120 / tt.inverter.dcW(120)
		near(t, tt.name+": served", r.Energy.ServedWh, served, 1e-6)
		near(t, tt.name+": unserved", r.Circuits[0].UnservedWh, 1000*120/60.0-served, 1e-6)
	}
	s := Scenario{Loads: []loads.Load{constant("fridge", 120)}, Inverter: perfect, Bank: newPlainStore(lossless, 1e6),
		StartSoC: 1}
	r := mustRun(t, s, 90)
	if hours, dark := r.HoursUntilDark(); dark || hours != 1.5 || len(r.Events) != 0 || len(r.SoC) != 91 {
		t.Errorf("an outage of 90 min: %g h, %t, %v, %d states", hours, dark, r.Events, len(r.SoC))
	}
}

// A freezer (never dropped), a lamp dropped below 0.50 and a medical device that says 0.50 too: 1,000 Wh (and a little,
// against a tie at 0.5) from full at 200 W. Dropped at 0.4967 after 151 minutes, then 150 W. From minute 301 on 450 W
// of array: 300 W come in, until 0.55.
func TestDropAndReturn(t *testing.T) {
	const usableWh = 1000.001
	lamp := constant("lamp", 50)
	lamp.DropBelow = 0.5
	device := constant("device", 50)
	device.DropBelow, device.Medical = 0.5, true
	pv := make([]float64, minutesPerDay)
	for m := 301; m < len(pv); m++ {
		pv[m] = 450
	}
	s := Scenario{
		Loads: []loads.Load{constant("freezer", 100), lamp, device}, PVW: pv, Inverter: perfect,
		Bank: newPlainStore(lossless, usableWh), StartSoC: 1,
	}
	r := mustRun(t, s, 600)
	lowest := 1 - (151*200+150*150)/60.0/usableWh
	back := 301 + int(math.Ceil((0.55-lowest)*usableWh/(300/60.0)))
	want := []Event{
		{151, EventDropped, "lamp", "lamp"},
		{back, EventRestored, "lamp", "lamp"},
	}
	if diff := cmp.Diff(want, r.Events); diff != "" {
		t.Errorf("events (-want +got):\n%s", diff)
	}
	near(t, "dropped", r.Circuits[1].DroppedWh, float64(back-151)*50/60, 1e-9)
	near(t, "lowest state of charge", slices.Min(r.SoC), lowest, 1e-9)
	if r.DarkMin != 0 || r.Circuits[2].DroppedWh != 0 {
		t.Errorf("%d dark minutes, medical device dropped for %g Wh", r.DarkMin, r.Circuits[2].DroppedWh)
	}
}

// A bank that ran out waits for RestartSoC: 100 Wh carry 100 W for an hour; then the array gives 150 W, all of it to
// the bank until 40 Wh are there, after 16 minutes.
func TestRestart(t *testing.T) {
	pv := make([]float64, minutesPerDay)
	for m := 120; m < len(pv); m++ {
		pv[m] = 150
	}
	s := Scenario{
		Loads: []loads.Load{constant("a", 60), constant("b", 40)}, PVW: pv, Inverter: perfect,
		Bank: newPlainStore(lossless, 100.0001), StartSoC: 1, RestartSoC: 0.4,
	}
	r := mustRun(t, s, 200)
	back := 120 + 16 + 1 // 40 Wh of 100.0001 are a hair below 0.4
	want := []Event{
		{60, EventDark, "a", ""}, {60, EventDark, "b", ""}, {back, EventReturn, "a", ""}, {back, EventReturn, "b", ""},
	}
	if diff := cmp.Diff(want, r.Events); diff != "" {
		t.Errorf("events (-want +got):\n%s", diff)
	}
	if r.DarkMin != back-60 || r.FirstDarkMin != 60 {
		t.Errorf("dark for %d minutes from %d, want %d from 60", r.DarkMin, r.FirstDarkMin, back-60)
	}
	near(t, "unserved in a", r.Circuits[0].UnservedWh, float64(back-60)*60/60, 1e-3)
	near(t, "unserved in b", r.Circuits[1].UnservedWh, float64(back-60)*40/60, 1e-3)
}

// What is more than inverter, charge limit or bank can do.
func TestLimits(t *testing.T) {
	s := Scenario{
		Loads: []loads.Load{constant("a", 900), constant("b", 300)}, Inverter: Inverter{Efficiency: 0.8, LimitW: 1000},
		Bank: newPlainStore(lossless, 1e5), StartSoC: 1,
	}
	r := mustRun(t, s, 60)
	near(t, "over the inverter's limit: served", r.Energy.ServedWh, 1000, 1e-9)
	near(t, "over the inverter's limit: unserved in b", r.Circuits[1].UnservedWh, 50, 1e-9)
	near(t, "over the inverter's limit: given by the bank", r.Energy.BankOutWh, 1250, 1e-9)
	if r.DarkMin != 60 {
		t.Errorf("over the inverter's limit: %d dark minutes, want 60", r.DarkMin)
	}

	s = Scenario{PVW: slices.Repeat([]float64{1000}, minutesPerDay), Inverter: Inverter{IdleW: 100, Efficiency: 1},
		ChargeLimitW: 600,
		Bank:         newPlainStore(lossless, 1000), StartSoC: 0}
	r = mustRun(t, s, 120)
	near(t, "charge limit: into the bank", r.Energy.BankInWh, 1000, 1e-9) // 600 W until it is full after 100 min
	near(t, "charge limit: used", r.Energy.PVUsedWh, 1000+200, 1e-9)
	near(t, "charge limit: curtailed", r.Energy.PVCurtailedWh, 2000-1200, 1e-9)
	if r.DarkMin != 0 {
		t.Errorf("charge limit: %d dark minutes", r.DarkMin)
	}
}

func TestHeldOffStaysOff(t *testing.T) {
	heater := constant("heater", 2000)
	heater.HeldOff = true
	s := Scenario{Loads: []loads.Load{heater, constant("lamp", 10)}, Inverter: perfect,
		Bank: newPlainStore(lossless, 1000), StartSoC: 1}
	r := mustRun(t, s, 60)
	want := []CircuitResult{{ID: "heater"}, {ID: "lamp", DemandWh: 10}}
	if diff := cmp.Diff(want, r.Circuits,
		cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })); diff != "" {
		t.Errorf("circuits (-want +got):\n%s", diff)
	}
}

func TestScenarioErrors(t *testing.T) {
	nan := math.NaN()
	good := func() Scenario {
		return Scenario{Loads: []loads.Load{constant("lamp", 10)}, Inverter: perfect,
			Bank: newPlainStore(lossless, 100), StartSoC: 1,
			Generator: &Generator{RatedW: 1000, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 0.9}}
	}
	if _, err := NewSim(good()); err != nil {
		t.Fatalf("a good scenario: %v", err)
	}
	for name, spoil := range map[string]func(*Scenario){
		"no bank":              func(s *Scenario) { s.Bank = nil },
		"start":                func(s *Scenario) { s.StartMin = -1 },
		"load":                 func(s *Scenario) { s.Loads[0].RunningW = nan },
		"drop":                 func(s *Scenario) { s.Loads[0].DropBelow = 1.1 },
		"cycle":                func(s *Scenario) { s.Loads[0].Cycle = &loads.Cycle{OnMin: 0} },
		"quantity":             func(s *Scenario) { s.Loads[0].Quantity = 10001 },
		"array, half a day":    func(s *Scenario) { s.PVW = make([]float64, 720) },
		"array, NaN":           func(s *Scenario) { s.PVW = make([]float64, 1440); s.PVW[7] = nan },
		"array, negative":      func(s *Scenario) { s.PVW = make([]float64, 1440); s.PVW[7] = -1 },
		"inverter, efficiency": func(s *Scenario) { s.Inverter.Efficiency = 0 },
		"inverter, own use":    func(s *Scenario) { s.Inverter.IdleW = nan },
		"inverter, limit":      func(s *Scenario) { s.Inverter.LimitW = -1 },
		"curve, order":         func(s *Scenario) { s.Inverter.Curve = []EfficiencyPoint{{100, 0.9}, {100, 0.9}} },
		"curve, efficiency":    func(s *Scenario) { s.Inverter.Curve = []EfficiencyPoint{{100, 1.2}} },
		"curve, power":         func(s *Scenario) { s.Inverter.Curve = []EfficiencyPoint{{nan, 0.9}} },
		"charge limit":         func(s *Scenario) { s.ChargeLimitW = math.Inf(1) },
		"start state":          func(s *Scenario) { s.StartSoC = nan },
		"restart":              func(s *Scenario) { s.RestartSoC = 2 },
		"margin":               func(s *Scenario) { s.ReturnMargin = -0.1 },
		"generator, power":     func(s *Scenario) { s.Generator.RatedW = 0 },
		"generator, states":    func(s *Scenario) { s.Generator.StopSoC = 0.3 },
		"generator, fuel":      func(s *Scenario) { s.Generator.FuelL = nan },
		"fuel table, order":    func(s *Scenario) { s.Generator.Fuel = []FuelPoint{{1, 2}, {0.5, 1}} },
		"fuel table, NaN":      func(s *Scenario) { s.Generator.Fuel = []FuelPoint{{1, nan}} },
	} {
		s := good()
		spoil(&s)
		if _, err := run(s, 10); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for _, minutes := range []int{-1, maxMinutes + 1} {
		if _, err := run(good(), minutes); err == nil {
			t.Errorf("%d minutes: no error", minutes)
		}
	}
}

// lithium and leadAcid are banks of the battery package: 51 V units of 100 Ah, and 12 V blocks of 100 Ah.
func lithium(t testing.TB, strings int) battery.State {
	return bankModel(t, battery.Bank{Unit: battery.Unit{Chemistry: battery.LFP, NominalV: 51.2, RatedAh: 100,
		MaxChargeA: 50, MaxDischargeA: 100}, Series: 1, Strings: strings}, 15)
}

func leadAcid(t testing.TB, strings int) battery.State {
	return bankModel(t, battery.Bank{Unit: battery.Unit{Chemistry: battery.AGM, NominalV: 12, RatedAh: 100,
		MaxChargeA: 25}, Series: 4, Strings: strings}, 15)
}

func bankModel(t testing.TB, b battery.Bank, tempC float64) battery.State {
	t.Helper()
	b.Unit, _ = b.Unit.WithDefaults()
	m, err := b.Model(battery.ModelOptions{TemperatureC: tempC})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// A bank that is too cold to be charged lets the whole array be cut, and loses what it gives.
func TestColdBankTakesNothing(t *testing.T) {
	freezing := 0.0
	u := battery.Unit{Chemistry: battery.LFP, NominalV: 51.2, RatedAh: 100, ChargeMinC: &freezing}
	s := Scenario{
		Loads: []loads.Load{constant("lamp", 100)}, PVW: slices.Repeat([]float64{500}, minutesPerDay),
		Inverter: perfect, StartSoC: 0.5,
	}
	for tempC, charges := range map[float64]bool{-5: false, 5: true} {
		s.Bank = bankModel(t, battery.Bank{Unit: u, Series: 1, Strings: 1}, tempC)
		r := mustRun(t, s, 60)
		if got := r.Energy.BankInWh > 0; got != charges || r.SoC[60] > 0.5 != charges {
			t.Errorf("%g C: %g Wh went in, state of charge %g, want charging %t", tempC, r.Energy.BankInWh, r.SoC[60],
				charges)
		}
	}
}
