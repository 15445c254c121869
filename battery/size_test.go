package battery

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// need is a Need that asks for nothing beyond the energy.
func need(wh, hours float64) Need {
	return Need{EnergyDCWh: wh, Hours: hours, Reserve: 1, MaxDoD: 1, EndOfLife: 1, TemperatureC: 25}
}

func TestSizeByHand(t *testing.T) {
	// 4800 Wh over 24 h from 48 V lithium: 100 Ah go out; 20 % growth, 10 % margin, 80 % depth and end of life: 206.25
	// Ah.
	u, _ := Unit{Chemistry: LFP, NominalV: 12, RatedAh: 100}.WithDefaults()
	n := Need{EnergyDCWh: 4800, Hours: 24, Growth: 0.2, Margin: 0.1, Reserve: 1, MaxDoD: 0.8, EndOfLife: 0.8,
		TemperatureC: 25}
	s, err := Size(u, 4, n)
	if err != nil {
		t.Fatal(err)
	}
	if !near(s.RequiredAh, 206.25, 1e-9) || s.Strings != 3 || s.KRate != 1 || s.KTemperature != 1 ||
		!near(s.MeanCurrentA, 5, 1e-12) || len(s.Cautions) > 0 {
		t.Errorf("Size = %+v, want 206.25 Ah, 3 strings, factors 1, 5 A, no cautions", s)
	}
	// Half of it gone when the need comes: usable is 0.3 instead of 0.8.
	n.Reserve = 0.5
	if s, err = Size(u, 4, n); err != nil || !near(s.RequiredAh, 550, 1e-9) || !near(s.UsableFraction, 0.3, 1e-12) {
		t.Errorf("with reserve 0.5: %+v, %v, want 550 Ah of a usable 0.3", s, err)
	}
}

// The discharge tables turned round: a need of just the tabulated current for its hours asks for just the rated
// capacity, at the points slower than the rated one too: a table is credited as far as it goes. Maker's data sheets of
// an AGM block and of a flooded unit, SEEN.
func TestSizeReturnsRatedCapacityAtEachTabulatedRate(t *testing.T) {
	for _, u := range []Unit{agmBlock(0), floodedUnit()} {
		for _, p := range u.Capacity {
			s, err := Size(u, 2, need(p.Ah*2*u.NominalV, p.Hours))
			if err != nil {
				t.Fatal(err)
			}
			if !near(s.RequiredAh/u.RatedAh, 1, 1e-12) || s.Strings != 1 {
				t.Errorf("%s, %g Ah in %g h: %.6f Ah, %d strings, want %g Ah, 1", u.Chemistry, p.Ah, p.Hours,
					s.RequiredAh, s.Strings, u.RatedAh)
			}
		}
	}
}

func TestSizeOneWattHourMoreTakesAnotherString(t *testing.T) {
	u, _ := Unit{Chemistry: LFP, NominalV: 51.2, RatedAh: 100}.WithDefaults()
	for _, tt := range []struct {
		wh   float64
		want int
	}{{0, 1}, {1, 1}, {51.2 * 300, 3}, {51.2*300 + 1, 4}, {51.2*300 - 1, 3}} {
		s, err := Size(u, 1, need(tt.wh, 24))
		if err != nil || s.Strings != tt.want {
			t.Errorf("%g Wh: %d strings, %v, want %d", tt.wh, s.Strings, err, tt.want)
		}
	}
}

func TestSizeRefuses(t *testing.T) {
	good, u := need(1000, 10), plain(AGM, 100, 1.15)
	for _, tt := range []struct {
		change func(*Need, *Unit)
		want   string
	}{
		{func(n *Need, _ *Unit) { n.EnergyDCWh = -3 }, "energy -3 Wh"},
		{func(n *Need, _ *Unit) { n.EnergyDCWh = math.NaN() }, "energy NaN Wh"},
		{func(n *Need, _ *Unit) { n.Hours = 0 }, "autonomy 0 h"},
		{func(n *Need, _ *Unit) { n.Growth = -1 }, "growth -1"},
		{func(n *Need, _ *Unit) { n.Margin = math.Inf(1) }, "margin +Inf"},
		{func(n *Need, _ *Unit) { n.MaxDoD = 1.01 }, "max_dod 1.01"},
		{func(n *Need, _ *Unit) { n.EndOfLife = 0 }, "end_of_life 0"},
		{func(n *Need, _ *Unit) { n.Reserve, n.MaxDoD = 0.5, 0.5 }, "leaves nothing to use"},
		{func(n *Need, _ *Unit) { n.TemperatureC = math.Inf(-1) }, "temperature -Inf"},
		{func(_ *Need, u *Unit) { u.Chemistry = "lead" }, `chemistry: "lead"`},
		{func(_ *Need, u *Unit) { u.RatedAh = 0 }, "rated capacity 0 Ah"},
		{func(_ *Need, u *Unit) { u.Capacity = []RatePoint{{10, 90}, {5, 80}} }, "want hours to rise"},
		{func(n *Need, _ *Unit) { n.EnergyDCWh = 1e300 }, "want at most 1e+06 strings"},
	} {
		n, u := good, u
		tt.change(&n, &u)
		if _, err := Size(u, 4, n); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("error %v, want one with %q", err, tt.want)
		}
	}
	if _, err := Size(u, 0, good); err == nil {
		t.Error("no units in series: no error")
	}
}

func TestSizeCautions(t *testing.T) {
	n := need(100, 0.2)
	n.TemperatureC = -30
	s, err := Size(agmBlock(1), 1, n)
	if err != nil || len(s.Cautions) != 2 {
		t.Errorf("cold and fast: %q, %v, want two cautions", s.Cautions, err)
	}
}

var needGen = rapid.Custom(func(t *rapid.T) Need {
	dod := rapid.Float64Range(0.2, 1).Draw(t, "max_dod")
	return Need{
		EnergyDCWh:   rapid.Float64Range(1, 1e5).Draw(t, "wh"),
		Hours:        rapid.Float64Range(0.1, 200).Draw(t, "hours"),
		Growth:       rapid.Float64Range(0, 1).Draw(t, "growth"),
		Margin:       rapid.Float64Range(0, 0.5).Draw(t, "margin"),
		Reserve:      rapid.Float64Range(1-dod+0.1, 1).Draw(t, "reserve"),
		MaxDoD:       dod,
		EndOfLife:    rapid.Float64Range(0.5, 1).Draw(t, "end_of_life"),
		TemperatureC: rapid.Float64Range(-25, 40).Draw(t, "temp"),
	}
})

// The answer must satisfy the equation that it was solved from: the rate factor of a bank of just C at the mean
// current, read against current (Size reads the curve against hours), and the balance of charge.
func TestSizeSolvesItsOwnEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, n := unitGen.Draw(t, "unit"), needGen.Draw(t, "need")
		series := rapid.IntRange(1, 24).Draw(t, "series")
		s, err := Size(u, series, n)
		if err != nil {
			t.Skip(err)
		}
		ah, _ := u.ahAtCurrent(s.MeanCurrentA * u.RatedAh / s.RequiredAh)
		if k := min(1, ah/u.RatedAh); !near(k/s.KRate, 1, 1e-9) {
			t.Fatalf("k_rate %g, but the curve gives %g at %g A of %g Ah", s.KRate, k, s.MeanCurrentA, s.RequiredAh)
		}
		out := n.EnergyDCWh * (1 + n.Growth) * (1 + n.Margin) / (float64(series) * u.NominalV)
		if back := s.RequiredAh * s.UsableFraction * n.EndOfLife * s.KTemperature * s.KRate; !near(back/out, 1, 1e-9) {
			t.Fatalf("the bank gives %g Ah, wanted %g", back, out)
		}
		if float64(s.Strings)*u.RatedAh < s.RequiredAh*(1-1e-8) || float64(s.Strings-1)*u.RatedAh >= s.RequiredAh &&
			s.Strings > 1 {
			t.Fatalf("%d strings of %g Ah for %g Ah", s.Strings, u.RatedAh, s.RequiredAh)
		}
	})
}

func TestSizeNeverFallsWhenTheNeedIsHarder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, easy := unitGen.Draw(t, "unit"), needGen.Draw(t, "need")
		hard := easy
		d := rapid.Float64Range(0, 1).Draw(t, "step")
		switch rapid.SampledFrom([]string{"energy", "growth", "margin", "reserve", "depth", "age", "cold"}).Draw(t,
			"what") {
		case "energy":
			hard.EnergyDCWh *= 1 + d
		case "growth":
			hard.Growth += d
		case "margin":
			hard.Margin += d
		case "reserve":
			hard.Reserve -= 0.09 * d
		case "depth":
			hard.MaxDoD -= 0.09 * d
		case "age":
			hard.EndOfLife *= 1 - d/2
		case "cold":
			hard.TemperatureC -= 20 * d
		}
		a, errA := Size(u, 1, easy)
		b, errB := Size(u, 1, hard)
		if errA != nil || errB != nil {
			t.Skip(errA, errB)
		}
		if b.RequiredAh < a.RequiredAh*(1-1e-12) {
			t.Fatalf("harder need asks for less: %g Ah, then %g Ah", a.RequiredAh, b.RequiredAh)
		}
	})
}

func ExampleSize() {
	unit, _ := Unit{Chemistry: AGM, NominalV: 12, RatedAh: 200}.WithDefaults()
	need := Need{EnergyDCWh: 6000, Hours: 24, Margin: 0.10, Reserve: 1, MaxDoD: 0.5, EndOfLife: 0.8, TemperatureC: 10}
	s, err := Size(unit, 4, need)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f Ah, %d strings of 4\n", s.RequiredAh, s.Strings)
	// Output: 375 Ah, 2 strings of 4
}
