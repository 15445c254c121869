package outage

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/loads"
)

// Approximate diesel fuel consumption chart in US gal/h, 20 kW row. Mark: SEEN. Its metric reprint says 3.4 L/h at half
// load, and eight hours of it are 27.3 L (computed).
func TestFuelAtPartLoad(t *testing.T) {
	const litres = 3.78541 // in a US gallon
	e := newEngine(&Generator{RatedW: 20000, Derating: 1, Fuel: []FuelPoint{
		{0.25, 0.6 * litres}, {0.50, 0.9 * litres}, {0.75, 1.3 * litres}, {1, 1.6 * litres},
	}}, minuteH)
	near(t, "half load", e.lPerH(10000), 3.4, 0.05)
	used := 0.0
	for range 8 * 60 {
		used += e.burn(10000)
	}
	near(t, "eight hours", used, 27.3, 0.05)
	near(t, "between the points", e.lPerH(12500), 1.1*litres, 1e-12)
	near(t, "below the points", e.lPerH(0), 0.3*litres, 1e-12)

	// The same chart in litres: 20 kW at 25 % 2.3 L/h, beyond the points of the default that stand at 50, 75 and 100 %,
	// and 3.4, 4.9, 6.1. Small sets burn more for their size: the default may be a fifth above.
	e = newEngine(&Generator{RatedW: 20000, Derating: 1}, minuteH)
	for load, lPerH := range map[float64]float64{0.25: 2.3, 0.5: 3.4, 0.75: 4.9, 1: 6.1} {
		if got := e.lPerH(20000 * load); got < lPerH*0.95 || got > lPerH*1.2 {
			t.Errorf("default fuel of 20 kW at load %g: %.2f L/h, want %g to a fifth more", load, got, lPerH)
		}
	}
	if e := newEngine(&Generator{RatedW: 5000, Derating: 1, Fuel: []FuelPoint{{0.75, 1.5}}},
		minuteH); e.lPerH(10) != 1.5 {
		t.Errorf("one point: %g L/h, want 1.5", e.lPerH(10))
	}
}

// By hand: 1,000 Wh, 300 W, from full. At 0.3 (after 140 min; 0.3 itself starts it) the set of 1,000 W carries 300 W
// and charges 700 W x 0.9 until 0.8, after 500/10.5 = 47.6 minutes; then the bank goes on.
func TestGeneratorStartsAndStops(t *testing.T) {
	g := Generator{RatedW: 1250, Derating: 0.8, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 0.9,
		Fuel: []FuelPoint{{1, 0.6}}}
	s := Scenario{Loads: []loads.Load{constant("fridge", 300)}, Inverter: perfect, Generator: &g,
		Bank: newPlainStore(lossless, 999.999), StartSoC: 1}
	r := mustRun(t, s, 300)
	want := []Event{{140, EventGeneratorStarts, "", ""}, {188, EventGeneratorStops, "", ""},
		{289, EventGeneratorStarts, "", ""}}
	if diff := cmp.Diff(want, r.Events); diff != "" {
		t.Errorf("events (-want +got):\n%s", diff)
	}
	on := 188 - 140 + 300 - 289
	if r.GeneratorMin != on {
		t.Errorf("ran for %d minutes, want %d", r.GeneratorMin, on)
	}
	near(t, "generator", r.Energy.GeneratorWh, float64(on)*1000/60, 1e-9)
	near(t, "fuel", r.FuelL, float64(on)*0.6/60, 1e-9)
	near(t, "losses", r.Energy.LossWh, float64(on)*70/60, 1e-9)

	// A tank for 30.5 minutes gives 30; 700 x 0.9 x 0.5 h less 300 W thereafter.
	g.FuelL = 30.5 / 60 * 0.6
	s.Bank = newPlainStore(lossless, 999.999)
	r = mustRun(t, s, 1000)
	if r.GeneratorMin != 30 || r.DarkMin == 0 || r.FirstDarkMin != 140+30+122 {
		t.Errorf("a tank for 30 minutes: ran for %d, dark from %d, want 30 and 292", r.GeneratorMin, r.FirstDarkMin)
	}
}

// Where a bank stops giving above the generator's start, as one with a floor does, the first dark minute starts it.
func TestGeneratorStartsWhenTheBoardIsDark(t *testing.T) {
	s := Scenario{
		Loads: []loads.Load{constant("fridge", 300)}, Inverter: Inverter{IdleW: 20, Efficiency: 0.9},
		Bank: leadAcid(t, 1), StartSoC: 1, RestartSoC: 0.7,
		Generator: &Generator{RatedW: 3000, Derating: 1, StartSoC: 0.3, StopSoC: 0.9, ChargerEfficiency: 0.9,
			FuelL: 50},
	}
	r := mustRun(t, s, 3*minutesPerDay)
	starts := 0
	for i, e := range r.Events {
		if e.Kind == EventDark {
			starts++
			if next := r.Events[i+1]; next.Kind != EventGeneratorStarts || next.Min != e.Min+1 {
				t.Errorf("dark at %d, then %+v", e.Min, next)
			}
		}
	}
	if starts == 0 || r.DarkMin != starts {
		t.Errorf("%d dark minutes, dark %d times, want one minute each time", r.DarkMin, starts)
	}
}

// The array goes first: while it carries the loads the generator only charges, and a full bank cuts the generator
// first.
func TestArrayBeforeGenerator(t *testing.T) {
	s := Scenario{
		Loads: []loads.Load{constant("fridge", 300)}, PVW: slices.Repeat([]float64{400}, minutesPerDay),
		Inverter: perfect,
		Bank:     newPlainStore(lossless, 1000), StartSoC: 0.1, ChargeLimitW: 250,
		Generator: &Generator{RatedW: 1000, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 0.5},
	}
	r := mustRun(t, s, 60)
	near(t, "array used", r.Energy.PVUsedWh, 400, 1e-9)
	near(t, "into the bank", r.Energy.BankInWh, 250, 1e-9)      // 100 W of array and 150 W of charger
	near(t, "generator", r.Energy.GeneratorWh, 150/0.5, 1e-9)   // all of it into the charger
	near(t, "served", r.Energy.ServedWh, 300, 1e-9)             // by the array
	near(t, "curtailed", r.Energy.PVCurtailedWh, 0, 1e-9)       // the generator was cut
	near(t, "losses", r.Energy.LossWh, 150/0.5-150, 1e-9)       // in the charger
	near(t, "unserved", r.Circuits[0].UnservedWh, 0, 0)         // nothing
	near(t, "state of charge", r.SoC[60], 0.1+250/1000.0, 1e-9) // and all of it is there
}

// Through an input of 1,000 VA 300 W with a power factor of 0.75 leave the charger 600 VA: 570 W at 0.95. Loads beyond
// the input are left to the inverter and its bank: 900 W of which the input takes 750.
func TestGeneratorThroughASmallInput(t *testing.T) {
	s := Scenario{
		Loads: []loads.Load{constant("fridge", 300)}, Inverter: perfect, Bank: newPlainStore(lossless, 1e6), StartSoC: 0.1,
		Generator: &Generator{RatedW: 5000, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 0.9,
			Input: Input{VA: 1000, LoadsPF: 0.75, ChargerPF: 0.95}},
	}
	r := mustRun(t, s, 60)
	near(t, "generator", r.Energy.GeneratorWh, 300+570, 1e-9)
	near(t, "into the bank", r.Energy.BankInWh, 570*0.9, 1e-9)
	s.Loads = []loads.Load{constant("oven", 900)}
	s.Bank = newPlainStore(lossless, 1e6)
	r = mustRun(t, s, 60)
	near(t, "generator under too many loads", r.Energy.GeneratorWh, 750, 1e-9)
	near(t, "out of the bank", r.Energy.BankOutWh, 150, 1e-9)
	near(t, "into the bank under too many loads", r.Energy.BankInWh, 0, 0)
}

// What the inverter cannot pass on from a large array, the generator carries beside it.
func TestGeneratorBesideALimitedInverter(t *testing.T) {
	s := Scenario{
		Loads: []loads.Load{constant("oven", 3000)}, PVW: slices.Repeat([]float64{5000}, minutesPerDay),
		Inverter: Inverter{Efficiency: 1, LimitW: 2000},
		Bank:     newPlainStore(lossless, 1e6), StartSoC: 0.1, ChargeLimitW: 3000,
		Generator: &Generator{RatedW: 2000, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 1},
	}
	r := mustRun(t, s, 60)
	near(t, "served", r.Energy.ServedWh, 3000, 1e-9)
	near(t, "generator", r.Energy.GeneratorWh, 1000, 1e-9)
	near(t, "array used", r.Energy.PVUsedWh, 5000, 1e-9)
	if r.DarkMin != 0 {
		t.Errorf("%d dark minutes", r.DarkMin)
	}
}

// What the charger takes beside the loads, by hand: 2,000 W and 2,500 VA at the rating, of which 0.8 are left, loads with
// a power factor of 0.5, a charger with 0.95.
func TestChargingW(t *testing.T) {
	set := func(change func(*Generator)) *Generator {
		g := &Generator{RatedW: 2000, Derating: 0.8}
		change(g)
		return g
	}
	pf := func(va float64) Input { return Input{VA: va, LoadsPF: 0.5, ChargerPF: 0.95} }
	for _, tt := range []struct {
		what          string
		g             *Generator
		loadsW, wantW float64
		mostW         float64 // for loads
	}{
		{"all that the loads leave", set(func(*Generator) {}), 300, 1300, 1600},
		{"a share of it", set(func(g *Generator) { g.ChargingShare = 0.9 }), 300, 0.9*1600 - 300, 1600},
		{"loads above the share", set(func(g *Generator) { g.ChargingShare = 0.9 }), 1500, 0, 1600},
		{"of its VA", set(func(g *Generator) { g.RatedVA, g.Input = 2500, pf(0) }), 500, (2000 - 1000) * 0.95, 1000},
		{"a share of its VA", set(func(g *Generator) { g.RatedVA, g.ChargingShare, g.Input = 2500, 0.9, pf(0) }), 500,
			(0.9*2000 - 1000) * 0.95, 1000},
		{"of its watts, with VA to spare", set(func(g *Generator) { g.RatedVA, g.ChargingShare, g.Input = 5000, 0.9, pf(0) }),
			300, 0.9*1600 - 300, 1600},
		{"through an input, of which no share is kept free", set(func(g *Generator) {
			g.RatedVA, g.ChargingShare, g.Input = 5000, 0.9, pf(1000)
		}), 300, (1000 - 600) * 0.95, 500},
		{"no more than the charger", set(func(g *Generator) { g.ChargingShare, g.ChargerW = 0.9, 200 }), 300, 200, 1600},
	} {
		near(t, tt.what, tt.g.ChargingW(tt.loadsW), tt.wantW, 1e-9)
		near(t, tt.what+": loads", tt.g.LoadsW(), tt.mostW, 1e-9)
	}
}
