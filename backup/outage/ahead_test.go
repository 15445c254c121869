package outage

import (
	"context"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// stepwise is a bank that can do no more than one step at a time.
type stepwise struct{ Bank }

// Steps that are readied and run come to the same hours as one step after the other: of a year's balance, and of a
// home with a generator and drops, for both chemistries.
func TestReadiedStepsAreSteps(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		stepMin := rapid.SampledFrom([]int{5, 15, 60}).Draw(rt, "step")
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		power := func(name string, mostW float64) []float64 { // in stretches of equal steps
			w := make([]float64, readiedHours*60/stepMin)
			for i := range w {
				if i > 0 && rapid.IntRange(0, 3).Draw(rt, "as before") > 0 {
					w[i] = w[i-1]
				} else {
					w[i] = rapid.Float64Range(0, mostW).Draw(rt, name)
				}
			}
			return w
		}
		h := HomeYear{StepMin: stepMin, AskW: power("asked", 1500), Inverter: Inverter{IdleW: 20, Efficiency: 0.93}}
		for range readiedHours {
			h.PVW = append(h.PVW, max(0, rapid.Float64Range(-1000, 1500).Draw(rt, "sun")))
		}
		for _, below := range []float64{0.4, 0.6}[:rapid.IntRange(0, 2).Draw(rt, "drops")] {
			h.Dropped = append(h.Dropped, Dropped{below, below + 0.1, power("dropped", 500)})
		}
		if rapid.Bool().Draw(rt, "generator") {
			h.Generator = generatorGen.Draw(rt, "set")
		}
		soc := rapid.Float64Range(0, 1).Draw(rt, "soc")
		readiedHome(rt, h, func() Bank { return bankOf(t, kind, 1) }, soc)
	})
	// What no draw may leave out: homes that go dark from every start, and homes that never do.
	for _, kind := range bankKinds {
		for _, askW := range []float64{1500, 5} {
			h := HomeYear{StepMin: 15, Inverter: Inverter{IdleW: 20, Efficiency: 0.93}}
			for range readiedHours {
				h.AskW = append(h.AskW, askW, askW, askW, askW)
				h.PVW = append(h.PVW, 1500-askW)
			}
			for _, got := range readiedHome(t, h, func() Bank { return bankOf(t, kind, 1) }, 1) {
				if (got < readiedMostH) != (askW == 1500) {
					t.Errorf("%v: %g W last %d h", kind, askW, got)
				}
			}
		}
	}
}

const readiedHours, readiedMostH = 48, 60

// readiedHome follows a home both ways, and its balance without drops and generator too; it returns the home's hours.
func readiedHome(t interface{ Fatalf(string, ...any) }, h HomeYear, bank func() Bank, soc float64) []int {
	y := Year{StepMin: h.StepMin, NetW: make([]float64, len(h.AskW))}
	for i, w := range h.AskW {
		y.NetW[i] = h.PVW[i*h.StepMin/60] - w
	}
	var got [4][]int
	for i, newBank := range []func() Bank{bank, func() Bank { return stepwise{bank()} }} {
		home, err := h.Survive(context.Background(), newBank, soc, readiedMostH, nil)
		if err != nil {
			t.Fatalf("%v", err)
		}
		year, err := SurviveStepping(context.Background(), y, newBank, soc, readiedMostH, nil)
		if err != nil {
			t.Fatalf("%v", err)
		}
		got[i], got[2+i] = home.Hours, year.Hours
	}
	for i, what := range []string{"home", "year"} {
		if !slices.Equal(got[2*i], got[2*i+1]) {
			t.Fatalf("%s: %v, step by step %v", what, got[2*i], got[2*i+1])
		}
	}
	return got[0]
}

// A brief of a draw tells what the outage that is followed with all its accounts comes to, however the simulation was
// used before.
func TestBriefIsTheOutage(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(true).Draw(rt, "scenario")
		drawSun(rt, &s)
		if rapid.Bool().Draw(rt, "generator") {
			s.Generator = generatorGen.Draw(rt, "set")
		}
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		s.Bank = bankOf(t, kind, 1)
		sim, err := NewSim(s)
		if err != nil {
			rt.Fatal(err)
		}
		minutes := rapid.IntRange(0, 3000).Draw(rt, "minutes")
		for seed := range uint64(2) {
			d := Draw{Seed: seed, PVW: s.PVW}
			if seed == 1 {
				d.PVW = nil
			}
			got, err := sim.Brief(t.Context(), d, bankOf(t, kind, 1), minutes)
			if err != nil {
				rt.Fatal(err)
			}
			s.Seed, s.PVW, s.Bank = d.Seed, d.PVW, bankOf(t, kind, 1)
			r, err := run(s, minutes)
			if err != nil {
				rt.Fatal(err)
			}
			want := Brief{DarkMin: r.DarkMin, LowestSoC: slices.Min(r.SoC)}
			if want.UntilDarkH, want.Dark = r.HoursUntilDark(); got != want {
				rt.Fatalf("seed %d: %+v, want %+v", seed, got, want)
			}
		}
	})
}

// Sun by the hour is the sun of its minutes.
func TestSunByTheHour(t *testing.T) {
	s := threeDays(t)
	hourly := make([]float64, 48)
	for h := range hourly {
		hourly[h] = 2500 * max(0, math.Sin(math.Pi*float64(h%24-6)/12)) * float64(1+h/24)
	}
	s.PVW, s.PVMin, s.Bank = hourly, 60, lithium(t, 3)
	got, err := run(s, 3*minutesPerDay)
	if err != nil {
		t.Fatal(err)
	}
	s.PVW, s.PVMin = nil, 0
	for _, w := range hourly {
		s.PVW = append(s.PVW, slices.Repeat([]float64{w}, 60)...)
	}
	s.Bank = lithium(t, 3)
	want, err := run(s, 3*minutesPerDay)
	if err != nil {
		t.Fatal(err)
	}
	if got.Energy != want.Energy || !slices.Equal(got.SoC, want.SoC) || got.Energy.PVUsedWh == 0 {
		t.Errorf("by the hour %+v, by the minute %+v", got.Energy, want.Energy)
	}
	for _, bad := range []int{-1, 7, 120} {
		s.PVMin, s.Bank = bad, lithium(t, 3)
		if _, err := NewSim(s); err == nil {
			t.Errorf("powers of %d minutes: no error", bad)
		}
	}
}
