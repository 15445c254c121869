package wiring

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFuelChart(t *testing.T) {
	const gallon = 3.78541
	for _, tt := range []struct {
		ratedKW, outputKW float64
		want, tol         float64
		source            string
	}{
		// 20 kW at half load: 0.9 US gal/h = 3.4 L/h. One decimal is printed.
		{20, 10, 3.4, 0.05, "published chart in its metric reprint (SEEN-S)"},
		{20, 10, 0.9 * gallon, 0.05 * gallon, "the same chart in US gallons (SEEN-S)"},
		{20, 5, 2.3, 0, "published chart (SEEN); a second copy prints 2.7"},
		{40, 40, 15.1, 1e-12, "published chart (SEEN)"},
		{100, 75, 22.0, 1e-12, "published chart (SEEN)"},
		{100, 75, 5.8 * gallon, 0.05 * gallon, "the same chart in US gallons (SEEN-S)"},
		{60, 30, 2.9 * gallon, 1e-9, "published chart in US gallons (SEEN-S)"},
		{8, 4, 1.48, 0, "published chart (SEEN)"},
		// Between columns and rows, derived: halfway between 3.4 and 4.9; between 1.48 and 2.005 L/h, below the first
		// column.
		{20, 12.5, 4.15, 1e-9, "published chart (SEEN), between two loads"},
		{50, 25, (8.7 + 2.9*gallon) / 2, 1e-9, "published charts, between two ratings"},
		{8, 1, 1.48, 0, "held below the first load (own)"},
		{20, 0, 2.3, 0, "held below the first load (own)"},
		{4, 2, 0.74, 1e-12, "flow per kW of the smallest set (own)"},
		{200, 200, 56, 1e-12, "flow per kW of the largest set (own)"},
	} {
		got, err := FuelChart(tt.ratedKW, tt.outputKW)
		if err != nil {
			t.Fatal(err)
		}
		near(t, num(tt.ratedKW)+" kW at "+num(tt.outputKW)+" kW, "+tt.source, got, tt.want, tt.tol)
	}
}

// The chart's litres per kWh, three decimals (SEEN, derived). The litres have two or three digits: the tolerance is
// half of the last one.
func TestFuelPerKWh(t *testing.T) {
	for _, row := range []struct {
		kW   float64
		want [4]float64
	}{
		{20, [4]float64{0.460, 0.340, 0.327, 0.305}}, {30, [4]float64{0.653, 0.453, 0.404, 0.367}},
		{40, [4]float64{0.610, 0.435, 0.403, 0.378}},
		{75, [4]float64{0.485, 0.344, 0.309, 0.308}}, {100, [4]float64{0.392, 0.310, 0.293, 0.280}},
	} {
		for i, want := range row.want {
			kW := row.kW * float64(i+1) / 4
			lph, err := FuelChart(row.kW, kW)
			if err != nil {
				t.Fatal(err)
			}
			near(t, num(row.kW)+" kW, L/kWh", lph/kW, want, 0.00051)
		}
	}
}

// The straight line through the 20 kW row: 0.27 L/kWh between half and full load, 0.70 L/h = 0.035 per rated kW at the
// intercept (derived); the fit over all four points, 0.0473 and 0.2574, stays within 0.2 L/h of the row.
func TestFuelLine(t *testing.T) {
	half, err := FuelChart(20, 10)
	if err != nil {
		t.Fatal(err)
	}
	full, err := FuelChart(20, 20)
	if err != nil {
		t.Fatal(err)
	}
	slope := (full - half) / 10
	near(t, "slope, L/kWh", slope, 0.27, 1e-9)
	near(t, "intercept, L/h", half-10*slope, 0.70, 1e-9)
	for i, want := range []float64{2.3, 3.4, 4.9, 6.1} {
		got, err := FuelLine(20, 5*float64(i+1))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "straight line, L/h", got, want, 0.2)
	}
}

// 8 h at half load of the 20 kW set: 27.3 L from the chart in gallons (computed), 27.2 from the one in litres.
func TestTankH(t *testing.T) {
	lph, err := FuelChart(20, 10)
	if err != nil {
		t.Fatal(err)
	}
	h, err := TankH(27.3, lph)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "hours", h, 8, 8*0.05/3.4)
	if _, err := TankH(10, 0); err == nil || !strings.Contains(err.Error(), "flow 0 L/h") {
		t.Errorf("no flow: error %v", err)
	}
}

func TestMoreLoadNeverBurnsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rated := rapid.Float64Range(0.1, 300).Draw(t, "rated")
		out := rapid.Float64Range(0, rated).Draw(t, "out")
		a, err := FuelChart(rated, out)
		if err != nil {
			t.Fatal(err)
		}
		b, err := FuelChart(rated, rapid.Float64Range(out, rated).Draw(t, "more"))
		if err != nil {
			t.Fatal(err)
		}
		if !(a > 0 && b >= a*(1-1e-12)) {
			t.Fatalf("%g L/h at %g kW, then %g", a, out, b)
		}
	})
}

func TestFuelErrors(t *testing.T) {
	if _, err := FuelChart(20, 21); err == nil || !strings.Contains(err.Error(), "output 21 kW, want 0 to 20 kW") {
		t.Errorf("overload: error %v", err)
	}
	if _, err := FuelLine(0, 0); err == nil || !strings.Contains(err.Error(), "rated power 0 kW") {
		t.Errorf("no rating: error %v", err)
	}
}
