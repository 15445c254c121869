package outage

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"outlast/loads"
)

// daily is a home of 500 W all day with a generator, and a store of 10 kWh without losses.
func daily(usedW float64) Scenario {
	return Scenario{
		Loads: []loads.Load{{Name: "Base", CircuitID: "a", Quantity: 1, RunningW: usedW, PowerFactor: 1,
			HoursPerDay: 24}},
		Inverter: Inverter{Efficiency: 1},
		Generator: &Generator{RatedW: 2500, Derating: 1, StartSoC: 0.2, StopSoC: 0.6, ChargerEfficiency: 1,
			Fuel: []FuelPoint{{1, 2}}},
		Bank: newPlainStore(Path{ChargeEfficiency: 1, DischargeEfficiency: 1}, 10000), StartSoC: 0.6,
		EvenSpread: true,
	}
}

// 500 W for ever are 12 kWh a day; the generator gives 2500 W, so it runs 4.8 h a day: from 60 % down to 20 % in 8 h,
// up again in 2 h.
func TestDailyIsWhatTheBalanceAsks(t *testing.T) {
	day, err := Daily(daily(500))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(day.GeneratorH-4.8) > 0.05 || math.Abs(day.FuelL-9.6) > 0.1 || day.DarkMin != 0 || !day.Holds {
		t.Errorf("%+v, want 4.8 h and 9.6 l", day)
	}
	// Half of it by day from the sun, without a bound: 6 kWh are missing.
	s := daily(500)
	s.PVW = make([]float64, minutesPerDay)
	for m := 600; m < 960; m++ {
		s.PVW[m] = 1000
	}
	if day, err = Daily(s); err != nil || math.Abs(day.GeneratorH-2.4) > 0.1 || !day.Holds {
		t.Errorf("%+v, %v, want 2.4 h", day, err)
	}
	// The sun of four days, of which two are dark.
	s.PVW = append(append(append(append([]float64{}, s.PVW...), s.PVW...), make([]float64, minutesPerDay)...),
		make([]float64, minutesPerDay)...)
	if day, err = Daily(s); err != nil || math.Abs(day.GeneratorH-3.6) > 1 || !day.Holds {
		t.Errorf("%+v, %v, want about 3.6 h", day, err)
	}
}

// A generator that cannot carry the loads does not hold; one that only just does runs all day; one that is not wanted
// never does.
func TestDailyOfAGeneratorThatIsTooWeakOrNotWanted(t *testing.T) {
	if day, err := Daily(daily(2600)); err != nil || day.Holds && day.DarkMin == 0 || day.GeneratorH < 23 {
		t.Errorf("too weak: %+v, %v", day, err)
	}
	s := daily(2500)
	if day, err := Daily(s); err != nil || !day.Holds || day.DarkMin != 0 || math.Abs(day.GeneratorH-24) > 0.01 {
		t.Errorf("just enough: %+v, %v, want 24 h", day, err)
	}
	s = daily(500)
	s.PVW = make([]float64, minutesPerDay)
	for m := range s.PVW {
		s.PVW[m] = 600
	}
	if day, err := Daily(s); err != nil || !day.Holds || day.GeneratorH != 0 || day.FuelL != 0 {
		t.Errorf("not wanted: %+v, %v, want none", day, err)
	}
}

// What is asked for beside the loads is asked for like a load.
func TestBaseIsALoad(t *testing.T) {
	a, b := daily(500), daily(500)
	b.Loads, b.BaseW = nil, make([]float64, minutesPerDay)
	for m := range b.BaseW {
		b.BaseW[m] = 500
	}
	x, err := run(a, 3000)
	if err != nil {
		t.Fatal(err)
	}
	y, err := run(b, 3000)
	if err != nil {
		t.Fatal(err)
	}
	if x.Energy != y.Energy || x.FuelL != y.FuelL {
		t.Errorf("as a load %+v, beside them %+v", x.Energy, y.Energy)
	}
	for _, bad := range [][]float64{make([]float64, 10), append(make([]float64, minutesPerDay-1), -1)} {
		b.BaseW = bad
		if _, err := run(b, 1); err == nil {
			t.Errorf("%d values, the last %g: no error", len(bad), bad[len(bad)-1])
		}
	}
}

// stepped is a bank of which nothing more is known than that it can be stepped.
type stepped struct{ Bank }

// TestDailyGlidesAsItSteps: going through many minutes at once gives, bit for bit, the day of going through them one by
// one.
func TestDailyGlidesAsItSteps(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(true).Draw(rt, "scenario")
		s.StartMin, s.EvenSpread = rapid.SampledFrom([]int{0, 0, 777}).Draw(rt, "start"),
			rapid.IntRange(0, 5).Draw(rt, "even") > 0
		if rapid.Bool().Draw(rt, "base") {
			s.BaseW = make([]float64, minutesPerDay)
			for m := range s.BaseW {
				s.BaseW[m] = float64(200 + 300*(m/240%3))
			}
		}
		if rapid.Bool().Draw(rt, "generator") {
			s.Generator = generatorGen.Draw(rt, "set")
			s.Generator.FuelL *= rapid.SampledFrom([]float64{0, 0, 30}).Draw(rt, "fuel")
		}
		for range 24 * rapid.IntRange(0, 4).Draw(rt, "days of sun") {
			w := 4000 * max(0, rapid.Float64Range(-1, 1).Draw(rt, "sun"))
			for range 60 {
				s.PVW = append(s.PVW, w)
			}
		}
		newBank := func() Bank { return bankOf(t, "lithium", 3) }
		s.Bank = newBank()
		got, err := Daily(s)
		if err != nil {
			rt.Fatal(err)
		}
		s.Bank = stepped{newBank()}
		want, err := Daily(s)
		if err != nil {
			rt.Fatal(err)
		}
		if got != want {
			rt.Errorf("%+v, step by step %+v", got, want)
		}
	})
}

// BenchmarkDaily is a home of 500 W with a generator through two months of hours of sun.
func BenchmarkDaily(b *testing.B) {
	s := daily(500)
	for day := range 60 {
		for hour := range 24 {
			for range 60 {
				s.PVW = append(s.PVW, float64(day%5)*300*max(0, math.Sin(math.Pi*float64(hour-6)/12)))
			}
		}
	}
	for _, bank := range []struct {
		name string
		Bank
	}{{"lithium", lithium(b, 2)}, {"stepped", stepped{lithium(b, 2)}}} {
		b.Run("bank="+bank.name, func(b *testing.B) {
			s.Bank = bank.Bank
			for b.Loop() {
				if _, err := Daily(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
