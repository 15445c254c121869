package inverter_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"

	"outlast/backup/inverter"
	"outlast/catalog"
)

// unit is a single-phase inverter of round numbers, with the usual derating.
func unit() catalog.Inverter {
	return catalog.Inverter{
		RatedW: 4000, RatedVA: 5000, Phases: 1, NominalDCV: 48, DCMinV: 40, DCMaxV: 64, MaxDischargeA: 100, IdleW: 50,
		Efficiency:  0.8,
		DerateFromC: 45, DeratePerC: 0.02, DerateFromM: 1000, DeratePer100M: 0.01,
	}
}

func group(t testing.TB, inv catalog.Inverter, count, phases int, hottestC, altitudeM float64) inverter.Group {
	t.Helper()
	g, err := inverter.New(inv, count, phases, hottestC, altitudeM)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !scalar.EqualWithinAbs(got, want, within) {
		t.Errorf("%s %.9g, want %.9g", what, got, want)
	}
}

// TestDeratingRules: published rules of the same shape, so much per kelvin and per metre above a threshold. Their
// tables print two decimals, so half of the last one is allowed; products of them are derived.
func TestDeratingRules(t *testing.T) {
	// 3 % per 500 m above 1000 m, 3 % per 5 C above 40 C: two generator manuals and an alternator training sheet, SEEN.
	generator := unit()
	generator.DerateFromC, generator.DeratePerC, generator.DerateFromM, generator.DeratePer100M = 40, 0.03/5, 1000,
		0.03/5
	// 2.5 % per kelvin above 40 C: industrial drive manual, SEEN.
	drive := unit()
	drive.DerateFromC, drive.DeratePerC = 40, 0.025
	// 3.5 % per 1000 ft above sea level, 1 % per 10 F above 77 F: standby generator installation manual, SEEN.
	engine := unit()
	engine.DerateFromC, engine.DeratePerC, engine.DerateFromM, engine.DeratePer100M = 25, 0.01*1.8/10, 0, 0.035/3.048
	for _, tt := range []struct {
		what             string
		inv              catalog.Inverter
		hottestC, altM   float64
		want, tolerance  float64
		heat, altitude   float64
		factorsTolerance float64
	}{
		{"generator, cool and low", generator, 40, 1000, 1, 0, 1, 1, 0},
		{"generator, 45 C", generator, 45, 0, 0.97, 0.005, 0.97, 1, 0.005},
		{"generator, 50 C", generator, 50, 0, 0.94, 0.005, 0.94, 1, 0.005},
		{"generator, 55 C", generator, 55, 0, 0.91, 0.005, 0.91, 1, 0.005},
		{"generator, 60 C", generator, 60, 0, 0.88, 0.005, 0.88, 1, 0.005},
		{"generator, 1500 m", generator, 20, 1500, 0.97, 0.005, 1, 0.97, 0.005},
		{"generator, 2000 m", generator, 20, 2000, 0.94, 0.005, 1, 0.94, 0.005},
		{"generator, 2500 m", generator, 20, 2500, 0.91, 0.005, 1, 0.91, 0.005},
		{"generator, 3000 m", generator, 20, 3000, 0.88, 0.005, 1, 0.88, 0.005},
		{"generator, 3500 m", generator, 20, 3500, 0.85, 0.005, 1, 0.85, 0.005},
		{"generator, 4000 m", generator, 20, 4000, 0.82, 0.005, 1, 0.82, 0.005},
		// The factors multiply: 0.91 * 0.94 and 0.97 * 0.97, derived.
		{"generator, 2500 m and 50 C", generator, 50, 2500, 0.8554, 0.00005, 0.94, 0.91, 0.005},
		{"generator, 1500 m and 45 C", generator, 45, 1500, 0.9409, 0.00005, 0.97, 0.97, 0.005},
		{"drive, 50 C", drive, 50, 0, 0.75, 0.005, 0.75, 1, 0.005},
		// 5000 ft and 97 F: 17.5 % and 2 % are lost, 0.825 * 0.98, derived.
		{"engine, 5000 ft and 97 F", engine, (97.0 - 32) / 1.8, 5000 * 0.3048, 0.8085, 0.00005, 0.98, 0.825, 0.0005},
		{"all of it is lost", drive, 80, 0, 0, 0, 0, 1, 0},
		{"more than all of it", drive, 120, 0, 0, 0, 0, 1, 0},
	} {
		t.Run(tt.what, func(t *testing.T) {
			g := group(t, tt.inv, 1, 1, tt.hottestC, tt.altM)
			near(t, "derating", g.Derating, tt.want, tt.tolerance+1e-12)
			near(t, "derating by heat", g.DeratingHeat, tt.heat, tt.factorsTolerance+1e-12)
			near(t, "derating by altitude", g.DeratingAltitude, tt.altitude, tt.factorsTolerance+1e-12)
			near(t, "W", g.DeratedW(), 4000*g.Derating, 1e-9)
			near(t, "VA", g.DeratedVA(), 5000*g.Derating, 1e-9)
			near(t, "VA for a while", g.RatingVA(1), 5000*g.Derating, 1e-9)
		})
	}
}

// An overload is one line of a published table: so many per cent of the rating for so long.
type overload struct{ percent, seconds float64 }

// TestOverloadCurves: published overload tables, read as steps: a power is borne for the longest time that is given for
// it or for a higher one, and not a moment longer. Three tables of UPS manuals, SEEN (makers not named); 5 cycles are
// 0.1 s at 50 Hz.
func TestOverloadCurves(t *testing.T) {
	for _, tt := range []struct {
		what       string
		continuous float64 // per cent
		table      []overload
	}{
		{"first UPS manual, inverter", 100, []overload{{110, 120}, {125, 30}}},
		{"first UPS manual, bypass", 110, []overload{{125, 120}, {150, 10}, {700, 0.1}}},
		{"third UPS manual, inverter", 105, []overload{{125, 60}, {150, 30}}},
	} {
		t.Run(tt.what, func(t *testing.T) {
			const rated = 5000.0 // VA at 100 %
			inv := unit()
			inv.RatedVA = rated * tt.continuous / 100
			for _, o := range tt.table {
				inv.Overload = append([]catalog.OverloadPoint{{Seconds: o.seconds, VA: rated * o.percent / 100}},
					inv.Overload...)
			}
			g := group(t, inv, 1, 1, 25, 0)
			lower := overload{tt.continuous, math.Inf(1)}
			for _, o := range tt.table {
				near(t, fmt.Sprintf("VA for %g s", o.seconds), g.RatingVA(o.seconds), rated*o.percent/100, 1e-9)
				near(t, fmt.Sprintf("VA for just over %g s", o.seconds), g.RatingVA(math.Nextafter(o.seconds, 1e9)),
					rated*lower.percent/100, 1e-9)
				near(t, fmt.Sprintf("seconds at %g %%", o.percent), g.HoldsSeconds(rated*o.percent/100), o.seconds, 0)
				near(t, fmt.Sprintf("seconds just over %g %%", lower.percent),
					g.HoldsSeconds(rated*lower.percent/100*(1+1e-9)), o.seconds, 0)
				lower = o
			}
			if got := g.HoldsSeconds(rated * tt.continuous / 100); !math.IsInf(got, 1) {
				t.Errorf("%g %% are borne for %g s, want for ever", tt.continuous, got)
			}
			if got := g.HoldsSeconds(rated * lower.percent / 100 * (1 + 1e-9)); got != 0 {
				t.Errorf("more than %g %% is borne for %g s, want not at all", lower.percent, got)
			}
			near(t, "VA for ever", g.RatingVA(math.Inf(1)), rated*tt.continuous/100, 1e-9)
		})
	}
}

// TestEfficiencyModel: the three-parameter model, losses p0 + k*p^2 at the share p of the rated power, through 90 % at
// a tenth and 94 % at full power: p0 0.0105786, k 0.0532512. Formula from memory, values derived; they are printed with
// five decimals.
//
// Here p0 is the standby consumption and the curve holds what is left, 1/(1 + k*p).
func TestEfficiencyModel(t *testing.T) {
	const p0, k, rated = 0.0105786, 0.0532512, 5000.0
	points := []struct{ load, efficiency float64 }{{0.05, 0.82356}, {0.1, 0.90}, {0.2, 0.94025}, {0.3, 0.95126},
		{0.5, 0.95440}, {0.75, 0.94873}, {1, 0.94}}
	inv := unit()
	inv.RatedW, inv.RatedVA, inv.IdleW = rated, rated, p0*rated
	for _, p := range points {
		inv.EfficiencyCurve = append(inv.EfficiencyCurve, catalog.EfficiencyPoint{Load: p.load,
			Efficiency: 1 / (1 + k*p.load)})
	}
	g := group(t, inv, 1, 1, 25, 0)
	for _, p := range points {
		near(t, fmt.Sprintf("efficiency at %g", p.load), p.load*rated/g.DCPower(p.load*rated), p.efficiency, 0.000005)
	}
	// Between the points the curve is straight, the model is not: its peak, 0.954682 at 0.445707, is met within 0.0001.
	near(t, "efficiency at the peak", 0.445707*rated/g.DCPower(0.445707*rated), 0.954682, 0.0001)
	// For a 5 kW unit p0 is 52.9 W of standby consumption.
	near(t, "own use", g.DCPower(0), 52.9, 0.05)
}

// TestEfficiency: one number at every load, or a curve over the share of the data sheet's power: straight between
// points, held beyond them, and not moved by derating.
func TestEfficiency(t *testing.T) {
	near(t, "one number", group(t, unit(), 1, 1, 25, 0).EfficiencyAt(1234), 0.8, 0)
	inv := unit()
	inv.EfficiencyCurve = []catalog.EfficiencyPoint{{Load: 0.1, Efficiency: 0.8}, {Load: 0.5, Efficiency: 0.9},
		{Load: 1, Efficiency: 0.85}}
	for _, tt := range []struct{ acW, want float64 }{
		{0, 0.8}, {399, 0.8}, {400, 0.8}, {800, 0.825}, {1200, 0.85}, {2000, 0.9}, {3000, 0.875}, {4000, 0.85},
		{5000, 0.85},
	} {
		near(t, fmt.Sprintf("at %g W", tt.acW), group(t, inv, 1, 1, 25, 0).EfficiencyAt(tt.acW), tt.want, 1e-12)
		near(t, fmt.Sprintf("at %g W, hot", tt.acW), group(t, inv, 1, 1, 60, 3000).EfficiencyAt(tt.acW), tt.want, 1e-12)
		near(t, fmt.Sprintf("at twice %g W, two units", tt.acW), group(t, inv, 2, 1, 25, 0).EfficiencyAt(2*tt.acW),
			tt.want, 1e-12)
	}
	near(t, "draw", group(t, inv, 2, 1, 25, 0).DCPower(1600), 100+1600/0.825, 1e-9)
}

// TestGroup: what several units may do together, and what of it each phase of the site has.
func TestGroup(t *testing.T) {
	inv := unit()
	inv.PassThroughA, inv.ACInputA, inv.ChargerA = 40, 60, 30
	for _, tt := range []struct {
		unitPhases, count, sitePhases  int
		wantVA, wantPassA, wantACInput float64
	}{
		{1, 1, 1, 5000, 40, 60}, {1, 2, 1, 10000, 80, 120}, {1, 2, 2, 10000, 40, 60}, {1, 3, 3, 15000, 40, 60},
		{1, 6, 3, 30000, 80, 120},
		{2, 1, 2, 5000, 40, 60}, {2, 3, 2, 15000, 120, 180}, {3, 1, 3, 5000, 40, 60}, {3, 2, 3, 10000, 80, 120},
	} {
		inv.Phases = tt.unitPhases
		g := group(t, inv, tt.count, tt.sitePhases, 25, 0)
		what := fmt.Sprintf("%d units of %d phases for %d: ", tt.count, tt.unitPhases, tt.sitePhases)
		near(t, what+"VA", g.RatedVA(), tt.wantVA, 1e-9)
		near(t, what+"pass-through", g.PassThroughA(), tt.wantPassA, 1e-9)
		near(t, what+"input", g.ACInputA(), tt.wantACInput, 1e-9)
		near(t, what+"charger", g.ChargerA(), 30*float64(tt.count), 1e-9)
		near(t, what+"discharge", g.MaxDischargeA(), 100*float64(tt.count), 1e-9)
		near(t, what+"own use", g.IdleW(), 50*float64(tt.count), 1e-9)
		// 30 A a unit at 54 V through an efficiency of 0.8.
		near(t, what+"charger from the grid", g.ChargerInputW(54), 2025*float64(tt.count), 1e-9)
	}
	inv.Phases, inv.MaxChargeA = 1, 20
	near(t, "charger within max_charge_a", group(t, inv, 2, 1, 25, 0).ChargerA(), 40, 0)
	inv.MaxChargeA = 50
	near(t, "charger below max_charge_a", group(t, inv, 2, 1, 25, 0).ChargerA(), 60, 0)
	if g := group(t, unit(), 1, 1, 25, 0); g.PassThroughA() != 0 || g.ACInputA() != 0 || g.ChargerA() != 0 {
		t.Error("limits that the data sheet does not tell are not 0")
	}
}

// TestNewRefuses: what makes no group, and numbers that are none.
func TestNewRefuses(t *testing.T) {
	change := func(f func(*catalog.Inverter)) catalog.Inverter {
		inv := unit()
		f(&inv)
		return inv
	}
	for _, tt := range []struct {
		what          string
		inv           catalog.Inverter
		count, phases int
		hot, high     float64
	}{
		{"no unit", unit(), 0, 1, 25, 0},
		{"no phase", unit(), 1, 0, 25, 0},
		{"four phases", unit(), 4, 4, 25, 0},
		{"a unit without phases", change(func(v *catalog.Inverter) { v.Phases = 0 }), 1, 1, 25, 0},
		{"two units for three phases", unit(), 2, 3, 25, 0},
		// However the numbers divide, outputs of different phases are never joined.
		{"a three-phase unit for two", change(func(v *catalog.Inverter) { v.Phases = 3 }), 2, 2, 25, 0},
		{"a three-phase unit for one", change(func(v *catalog.Inverter) { v.Phases = 3 }), 1, 1, 25, 0},
		{"a split-phase unit for one", change(func(v *catalog.Inverter) { v.Phases = 2 }), 1, 1, 25, 0},
		{"three split-phase units for three", change(func(v *catalog.Inverter) { v.Phases = 2 }), 3, 3, 25, 0},
		{"no power", change(func(v *catalog.Inverter) { v.RatedW = 0 }), 1, 1, 25, 0},
		{"no apparent power", change(func(v *catalog.Inverter) { v.RatedVA = math.NaN() }), 1, 1, 25, 0},
		{"no efficiency", change(func(v *catalog.Inverter) { v.Efficiency = 0 }), 1, 1, 25, 0},
		{"more than all of it", change(func(v *catalog.Inverter) { v.Efficiency = 1.01 }), 1, 1, 25, 0},
		{"a curve through nothing",
			change(func(v *catalog.Inverter) {
				v.EfficiencyCurve = []catalog.EfficiencyPoint{{Load: 0.5,
					Efficiency: 0}}
			}), 1, 1, 25, 0},
		{"heat that is no number", unit(), 1, 1, math.NaN(), 0},
		{"endless altitude", unit(), 1, 1, 25, math.Inf(1)},
	} {
		if g, err := inverter.New(tt.inv, tt.count, tt.phases, tt.hot, tt.high); err == nil {
			t.Errorf("%s: %+v, want an error", tt.what, g)
		}
	}
}

// TestLaws: a longer time never has a higher rating; the two ways to ask about an overload agree; what is drawn from
// the bank is more than what is given.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inv := unit()
		seconds := 0.0
		for range rapid.IntRange(0, 4).Draw(t, "points") {
			seconds += rapid.Float64Range(0.1, 100).Draw(t, "seconds")
			inv.Overload = append(inv.Overload, catalog.OverloadPoint{Seconds: seconds,
				VA: rapid.Float64Range(1000, 20000).Draw(t, "va")})
		}
		g, err := inverter.New(inv, rapid.IntRange(1, 4).Draw(t, "units"), 1, rapid.Float64Range(0, 90).Draw(t, "heat"),
			rapid.Float64Range(0, 6000).Draw(t, "altitude"))
		if err != nil {
			t.Fatal(err)
		}
		if g.Derating < 0 || g.Derating > 1 {
			t.Fatalf("derating %g", g.Derating)
		}
		short := rapid.Float64Range(0, 500).Draw(t, "short")
		long := rapid.Float64Range(short, 1000).Draw(t, "long")
		if g.RatingVA(long) > g.RatingVA(short) || g.RatingVA(long) < g.DeratedVA() {
			t.Errorf("%g VA for %g s, %g VA for %g s, %g VA for ever", g.RatingVA(short), short, g.RatingVA(long), long,
				g.DeratedVA())
		}
		va := rapid.Float64Range(0, 80000).Draw(t, "asked")
		if holds := g.HoldsSeconds(va); (va <= g.RatingVA(short)) != (holds > 0 && holds >= short) {
			t.Errorf("%g VA are borne for %g s, but the rating for %g s is %g VA", va, holds, short, g.RatingVA(short))
		}
		if w := rapid.Float64Range(0, 20000).Draw(t, "given"); g.DCPower(w) < w+g.IdleW() {
			t.Errorf("%g W are given from %g W", w, g.DCPower(w))
		}
	})
}

func BenchmarkNew(b *testing.B) {
	inv := unit()
	for b.Loop() {
		if _, err := inverter.New(inv, 1, 1, 50, 2000); err != nil {
			b.Fatal(err)
		}
	}
}
