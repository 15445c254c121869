package outage

import (
	"testing"

	"pgregory.net/rapid"

	"outlast/loads"
)

// By hand: 2,000 Wh carry 100 W (a fridge of 300 W for 8 h a day, evenly) and 100 W of lamp for 10 h. The array, the
// generator and the drop do not count.
func TestAutonomy(t *testing.T) {
	fridge := loads.Load{Name: "fridge", CircuitID: "k", Quantity: 1, RunningW: 300, HoursPerDay: 8}
	lamp := constant("lamp", 100)
	lamp.DropBelow = 0.9
	s := Scenario{
		Loads: []loads.Load{fridge, lamp}, PVW: make([]float64, minutesPerDay), Inverter: perfect,
		Generator: &Generator{RatedW: 1000, Derating: 1, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 1},
		Bank:      newPlainStore(lossless, 2000.0001), StartSoC: 1,
	}
	s.PVW[5] = 1000
	a, err := AutonomyOf(t.Context(), s, 100, 20)
	if err != nil {
		t.Fatal(err)
	}
	if a != (Autonomy{EvenH: 10, P10H: 10, P50H: 10, P90H: 10}) {
		t.Errorf("without a rhythm: %+v, want 10 h", a)
	}
	if s.Loads[1].DropBelow != 0.9 {
		t.Error("the caller's loads were changed")
	}

	// With a rhythm of 120 min on in every 360: depending on the phase the fridge is on for 120 to 240 min of the first
	// 600, and the bank lasts as long as 100 t + 300 (on until t) stays below 2,000 Wh: 9 h (240 min on) to 12.2 h or
	// so.
	s.Loads[0].Cycle = &loads.Cycle{OnMin: 120, OffMin: 240}
	a, err = AutonomyOf(t.Context(), s, 100, 200)
	if err != nil {
		t.Fatal(err)
	}
	if a.EvenH != 10 || a.P10H < 8 || a.P10H >= a.P50H || a.P50H >= a.P90H || a.P90H > 14 || a.Capped {
		t.Errorf("with a rhythm: %+v", a)
	}
	if again, _ := AutonomyOf(t.Context(), s, 100, 200); again != a {
		t.Errorf("again: %+v, want %+v", again, a)
	}
	// All phases alike: the share of the draws below t is the share of phases that empty the bank before it. On for all
	// of the first 120 min and again from 360 on: 100 x 8 h + 300 x 4 h = 2,000 Wh, the shortest. From the phase that
	// is just over: off 240, on 120, off 240 (1,000 + 600 Wh at 10 h), then 400 W for the last 400 Wh: 11 h, the
	// longest.
	near(t, "P10", a.P10H, 8, 0.6)
	near(t, "P90", a.P90H, 11, 0.6)

	if a, err := AutonomyOf(t.Context(), s, 5, 3); err != nil || a != (Autonomy{5, 5, 5, 5, true}) {
		t.Errorf("cut at 5 h: %+v, %v", a, err)
	}
	for _, bad := range [][2]int{{0, 1}, {MaxHours + 1, 1}, {1, 0}, {1, 10001}} {
		if _, err := AutonomyOf(t.Context(), s, bad[0], bad[1]); err == nil {
			t.Errorf("%v: no error", bad)
		}
	}
	s.Bank = nil
	if _, err := AutonomyOf(t.Context(), s, 1, 1); err == nil {
		t.Error("no bank: no error")
	}
}

// More draws of a realistic home: the even case lies within the spread, which does not depend on how the draws are cut.
func TestAutonomySpread(t *testing.T) {
	s := threeDays(t)
	a, err := AutonomyOf(t.Context(), s, 200, 50)
	if err != nil {
		t.Fatal(err)
	}
	if !(a.P10H <= a.P50H && a.P50H <= a.P90H) || a.EvenH < a.P10H-1 || a.EvenH > a.P90H+1 {
		t.Errorf("%+v: the even case lies an hour outside the spread", a)
	}
}

// The autonomy, of which no account is kept, ends with the first dark minute of the outage in full, draw by draw.
func TestAutonomyIsTheOutage(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := scenarioGen(false).Draw(rt, "scenario")
		s.Bank = bankOf(t, rapid.SampledFrom(bankKinds).Draw(rt, "bank"), 1)
		s.Inverter.LimitW = rapid.SampledFrom([]float64{0, 400, 3000}).Draw(rt, "limit")
		for i := range s.Loads {
			s.Loads[i].DropBelow = 0
		}
		plain := func(seed uint64, even bool) float64 {
			s := s
			s.Seed, s.EvenSpread = seed, even
			return float64(untilDark(rt, s)) / 60
		}
		const draws = 3
		want := Autonomy{EvenH: plain(s.Seed, true)}
		hours := []float64{plain(s.Seed, false), plain(s.Seed+1, false), plain(s.Seed+2, false)}
		want.P10H, want.P50H, want.P90H = quantile(hours, 0.1), quantile(hours, 0.5), quantile(hours, 0.9)
		got, err := AutonomyOf(t.Context(), s, 72, draws)
		if err != nil {
			rt.Fatal(err)
		}
		if got.Capped = false; got != want {
			rt.Fatalf("%+v, want %+v", got, want)
		}
	})
}
