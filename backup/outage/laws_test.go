package outage

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"outlast/battery"
	"outlast/loads"
)

var loadGen = rapid.Custom(func(t *rapid.T) loads.Load {
	l := loads.Load{
		CircuitID: rapid.SampledFrom([]string{"kitchen", "water", "light"}).Draw(t, "circuit"),
		Quantity:  rapid.IntRange(1, 4).Draw(t, "quantity"),
		RunningW:  rapid.Float64Range(1, 700).Draw(t, "running"),
		HeldOff:   rapid.IntRange(0, 9).Draw(t, "held off") == 0,
		Medical:   rapid.IntRange(0, 9).Draw(t, "medical") == 0,
		Interlock: rapid.SampledFrom([]string{"", "", "pump"}).Draw(t, "interlock"),
	}
	switch rapid.IntRange(0, 2).Draw(t, "windows") {
	case 1:
		l.Windows = []loads.Window{{StartMin: 360, EndMin: 540}, {StartMin: 960, EndMin: 1200}}
	case 2:
		l.Windows = []loads.Window{{StartMin: 1320, EndMin: 90}}
	}
	l.HoursPerDay = rapid.Float64Range(0, 1).Draw(t, "share") * l.WindowHours()
	if rapid.Bool().Draw(t, "rhythm") {
		l.Cycle = &loads.Cycle{OnMin: rapid.SampledFrom([]float64{0.2, 0.5, 7, 10, 45.5}).Draw(t, "on"), OffMin: 20}
	}
	return l
})

// scenarioGen draws scenarios without a bank. With drops, some loads are dropped by state of charge.
func scenarioGen(drops bool) *rapid.Generator[Scenario] {
	return rapid.Custom(func(t *rapid.T) Scenario {
		s := Scenario{
			StartMin:   rapid.IntRange(0, 3000).Draw(t, "start"),
			Loads:      rapid.SliceOfN(loadGen, 1, 6).Draw(t, "loads"),
			EvenSpread: rapid.IntRange(0, 3).Draw(t, "even") == 0,
			Seed:       rapid.Uint64Range(0, 99).Draw(t, "seed"),
			Inverter: Inverter{
				IdleW:      rapid.Float64Range(0, 60).Draw(t, "own use"),
				Efficiency: rapid.Float64Range(0.8, 1).Draw(t, "efficiency"),
				LimitW:     rapid.SampledFrom([]float64{0, 0, 5000}).Draw(t, "limit"),
			},
			ChargeLimitW: rapid.SampledFrom([]float64{0, 900}).Draw(t, "charge limit"),
			StartSoC:     rapid.Float64Range(0.3, 1).Draw(t, "soc"),
			RestartSoC:   rapid.SampledFrom([]float64{0, 0.3, 0.6}).Draw(t, "restart"),
		}
		if rapid.Bool().Draw(t, "curve") {
			s.Inverter.Curve = []EfficiencyPoint{{0, 0.7}, {400, 0.9}, {3000, 0.95}, {5000, 0.93}}
		}
		for i := range s.Loads {
			s.Loads[i].Name = fmt.Sprintf("load %d", i)
			if drops {
				s.Loads[i].DropBelow = rapid.SampledFrom([]float64{0, 0.3, 0.55, 0.8}).Draw(t, "drop")
			}
		}
		return s
	})
}

// drawSun gives a scenario an array, or none. It stands apart from the scenario so that a failure does not print its
// minutes.
func drawSun(t *rapid.T, s *Scenario) {
	peakW := rapid.SampledFrom([]float64{0, 600, 3000}).Draw(t, "array")
	if peakW == 0 {
		return
	}
	s.PVW = make([]float64, minutesPerDay)
	for m := range s.PVW {
		s.PVW[m] = peakW * max(0, math.Sin(math.Pi*float64(m-360)/720))
	}
}

var generatorGen = rapid.Custom(func(t *rapid.T) *Generator {
	g := &Generator{
		RatedW:   rapid.Float64Range(300, 5000).Draw(t, "rated"),
		Derating: rapid.Float64Range(0.8, 1).Draw(t, "derating"),
		StartSoC: rapid.Float64Range(0.1, 0.7).Draw(t, "starts"), StopSoC: rapid.Float64Range(0.71, 1).Draw(t, "stops"),
		ChargerW:          rapid.SampledFrom([]float64{0, 700}).Draw(t, "charger"),
		ChargerEfficiency: rapid.Float64Range(0.7, 1).Draw(t, "charger efficiency"),
		FuelL:             rapid.Float64Range(0, 8).Draw(t, "fuel"),
		ChargingShare:     rapid.SampledFrom([]float64{0, 0.5, 0.9, 1}).Draw(t, "charging share"),
	}
	if rapid.Bool().Draw(t, "limited in VA") {
		g.RatedVA = g.RatedW / rapid.Float64Range(0.6, 1).Draw(t, "power factor")
		g.Input.LoadsPF, g.Input.ChargerPF = rapid.Float64Range(0.3, 1).Draw(t, "loads pf"), 0.95
	}
	return g
})

// bankOf returns a lithium or lead-acid bank, or the plain store.
func bankOf(t testing.TB, kind string, size int) Bank {
	switch kind {
	case "lithium":
		return lithium(t, size)
	case "lead-acid":
		return leadAcid(t, size)
	}
	return newPlainStore(Path{ChargeEfficiency: 0.95, DischargeEfficiency: 0.95, ChargeLimitW: 1500},
		2500*float64(size))
}

var bankKinds = []string{"lithium", "lead-acid", "store"}

// In every minute what comes in goes out, to 1e-9 of it; and the sums agree with each other and with the bank's own
// ledger.
func TestEnergyBalance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(true).Draw(rt, "scenario")
		drawSun(rt, &s)
		if rapid.Bool().Draw(rt, "generator") {
			s.Generator = generatorGen.Draw(rt, "set")
		}
		bank := bankOf(t, rapid.SampledFrom(bankKinds[:2]).Draw(rt, "bank"), 1).(battery.State)
		s.Bank = bank
		sim := must(NewSim(s))
		for range 2 * minutesPerDay {
			f := sim.step()
			in, out := f.pvW+f.generatorW+f.outW, f.servedW+f.inW+f.lossW
			if math.Abs(in-out) > 1e-9*max(in, out) {
				rt.Fatalf("minute %d: %g W in, %g W out: %+v", sim.minute-1, in, out, f)
			}
			if least := min(f.servedW, f.pvW, f.curtailedW, f.generatorW, f.inW, f.outW, f.lossW); least < -1e-9*max(in,
				out) {
				rt.Fatalf("minute %d: %+v, want no power below 0", sim.minute-1, f)
			}
		}
		r := sim.Result()
		e, ledger := r.Energy, bank.Ledger()
		var demand, unserved, asked, served, dropped float64
		for _, c := range r.Circuits {
			demand += c.DemandWh
			unserved += c.UnservedWh
			asked += c.AskedWh()
			served += c.ServedWh()
			dropped += c.DroppedWh
			if sum := c.ServedWh() + c.UnservedWh + c.DroppedWh; math.Abs(sum-c.AskedWh()) > 1e-9*(c.AskedWh()+1) {
				rt.Fatalf("circuit %s: %g Wh served, not served and switched off, %g asked", c.ID, sum, c.AskedWh())
			}
		}
		for _, pair := range []struct {
			what string
			a, b float64
		}{
			{"demand of the circuits", demand, e.DemandWh}, {"unserved in the circuits", unserved,
				e.UnservedWh()},
			{"asked by the circuits", asked, e.AskedWh()}, {"served in the circuits", served, e.ServedWh},
			{"switched off in the circuits", dropped, e.DroppedWh},
			{"served, not served and switched off", e.ServedWh + e.UnservedWh() + e.DroppedWh, e.AskedWh()},
			{"into the bank", ledger.InWh, e.BankInWh}, {"out of the bank", ledger.OutWh, e.BankOutWh},
		} {
			if math.Abs(pair.a-pair.b) > 1e-9*(e.DemandWh+e.BankInWh+1) {
				rt.Fatalf("%s: %g and %g Wh", pair.what, pair.a, pair.b)
			}
		}
		if r.DarkMin == 0 && unserved > 1e-9*demand || r.FuelL > 0 && s.Generator.FuelL > 0 &&
			r.FuelL > s.Generator.FuelL {
			rt.Fatalf("%d dark minutes with %g Wh unserved, %g l burnt", r.DarkMin, unserved, r.FuelL)
		}
	})
}

// Two halves make a whole, and the common part of a longer outage is the same: nothing looks ahead.
func TestHalvesMakeAWhole(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(true).Draw(rt, "scenario")
		drawSun(rt, &s)
		if rapid.Bool().Draw(rt, "generator") {
			s.Generator = generatorGen.Draw(rt, "set")
		}
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		n := rapid.IntRange(0, 2000).Draw(rt, "first")
		more := rapid.IntRange(0, 1000).Draw(rt, "then")
		start := func() *Sim {
			s.Bank = bankOf(t, kind, 1)
			return must(NewSim(s))
		}
		run := func(sim *Sim, minutes int) Result {
			if err := sim.Run(minutes); err != nil {
				rt.Fatal(err)
			}
			return sim.Result()
		}
		pieces := start()
		first := run(pieces, n)
		both, whole := run(pieces, more), run(start(), n+more)
		if diff := cmp.Diff(whole, both); diff != "" {
			rt.Fatalf("%d and %d minutes (-at once +in pieces):\n%s", n, more, diff)
		}
		if !slices.Equal(first.SoC, whole.SoC[:n+1]) || !slices.Equal(first.Events, whole.Events[:len(first.Events)]) ||
			first.Energy.ServedWh > whole.Energy.ServedWh || first.DarkMin > 0 &&
			first.FirstDarkMin != whole.FirstDarkMin {
			rt.Fatalf("the first %d minutes are not those of %d", n, n+more)
		}
	})
}

// Minutes that ask the same are not summed up anew; where they are, what comes out is the same to the last digit.
func TestEvenMinutesAreThoseSummedUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(rapid.Bool().Draw(rt, "drops")).Draw(rt, "scenario")
		s.EvenSpread = rapid.IntRange(0, 3).Draw(rt, "spread") > 0
		drawSun(rt, &s)
		if rapid.Bool().Draw(rt, "base") {
			s.BaseID, s.BaseW = "standby", make([]float64, minutesPerDay)
			for m := range s.BaseW {
				s.BaseW[m] = float64(20 * (m / 360 % 3))
			}
		}
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		s.Bank = bankOf(t, kind, 1)
		got := must(run(s, 3*minutesPerDay))
		s.Bank = bankOf(t, kind, 1)
		sim := must(NewSim(s))
		for range 3 * minutesPerDay {
			sim.held = held{}
			sim.step()
		}
		if diff := cmp.Diff(sim.Result(), got); diff != "" {
			rt.Fatalf("-each minute summed up +as it is:\n%s", diff)
		}
	})
}

// untilDark is the time to the first dark minute within three days.
func untilDark(t *rapid.T, s Scenario) int {
	r := must(run(s, 3*minutesPerDay))
	if r.DarkMin == 0 {
		return 3 * minutesPerDay
	}
	return r.FirstDarkMin
}

// More array power or a larger bank never brings the dark earlier, whatever the rhythms, the losses and the limits:
// without drops and without a generator, and from above the floor of the bank (0.5 for the lead-acid, 0.2 for the
// lithium one).
func TestMoreNeverLastsLess(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(false).Draw(rt, "scenario")
		drawSun(rt, &s)
		s.StartSoC = max(s.StartSoC, 0.5)
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		s.Bank = bankOf(t, kind, 1)
		base := untilDark(rt, s)
		s.Bank = bankOf(t, kind, 2)
		if got := untilDark(rt, s); got < base {
			rt.Fatalf("%s: two strings last %d min, one %d", kind, got, base)
		}
		s.Bank = bankOf(t, kind, 1)
		extra := rapid.Float64Range(0, 20).Draw(rt, "more array")
		pv := make([]float64, minutesPerDay)
		for m := range pv {
			if len(s.PVW) > 0 {
				pv[m] = s.PVW[m]
			}
			if m%7 == 3 {
				pv[m] += extra * float64(m%50)
			}
		}
		s.PVW = pv
		if got := untilDark(rt, s); got < base {
			rt.Fatalf("%s: with more array %d min, without %d", kind, got, base)
		}
	})
}

// More fuel never brings the dark earlier, whatever the generator's rule: without drops. The larger tank makes no
// difference until the smaller one is empty, and from then on it only adds.
func TestMoreFuelNeverLastsLess(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(false).Draw(rt, "scenario")
		drawSun(rt, &s)
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		g := *generatorGen.Draw(rt, "set")
		g.FuelL = max(g.FuelL, 1e-6) // 0 would be a tank without end
		s.Generator = &g
		s.Bank = bankOf(t, kind, 1)
		base := untilDark(rt, s)
		g.FuelL += rapid.Float64Range(0, 10).Draw(rt, "more")
		s.Bank = bankOf(t, kind, 1)
		if got := untilDark(rt, s); got < base {
			rt.Fatalf("%s: with more fuel %d min, without %d", kind, got, base)
		}
	})
}

// Where the law ends, by hand: with a load that is dropped below 0.5, a watt of array in the first minute keeps it on
// for a second minute, which costs more than the watt gives.
func TestMoreMayLastLessWithDrops(t *testing.T) {
	lamp := constant("lamp", 400)
	lamp.DropBelow = 0.5
	s := Scenario{Loads: []loads.Load{constant("fridge", 100), lamp}, Inverter: perfect,
		StartSoC: 0.5 + 500/60.0/1000 - 1e-6}
	until := func() int {
		s.Bank = newPlainStore(lossless, 1000)
		return must(run(s, 600)).FirstDarkMin
	}
	without := until()
	s.PVW = make([]float64, minutesPerDay)
	s.PVW[0] = 1
	// Without: 499.999 Wh after a minute, then 299.99 minutes of 100 W. With: 491.68 Wh after two minutes, then 295.01.
	if with := until(); without != 300 || with != 297 {
		t.Errorf("dark after %d min with the array and %d without, want 297 and 300", with, without)
	}
}

// Where the law ends, by hand: an array that keeps the bank just above the generator's start until a load comes that is
// larger than the generator. Without it the bank has been charged before.
func TestMoreMayLastLessWithAGenerator(t *testing.T) {
	oven := loads.Load{Name: "oven", CircuitID: "oven", Quantity: 1, RunningW: 900, HoursPerDay: 4,
		Windows: []loads.Window{{StartMin: 600, EndMin: 840}}}
	s := Scenario{
		Loads: []loads.Load{constant("fridge", 100), oven}, Inverter: perfect, StartSoC: 1,
		Generator: &Generator{RatedW: 500, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 1},
	}
	until := func() int {
		s.Bank = newPlainStore(lossless, 1000)
		return must(run(s, minutesPerDay)).FirstDarkMin
	}
	without := until()
	s.PVW = make([]float64, minutesPerDay)
	for m := 410; m < 600; m++ {
		s.PVW[m] = 100
	}
	if with := until(); with < 600 || with >= without-10 {
		t.Errorf("dark after %d min with the array, %d without, want at least 10 less", with, without)
	}
}
