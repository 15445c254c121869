package battery

import (
	"fmt"
	"math"
	"testing"
)

func TestAutonomyMethodPublished(t *testing.T) {
	for _, tt := range []struct {
		id       string
		c        AutonomyCase
		daily    float64 // Ah; 0: not printed
		required float64
		tol      float64
		source   string
	}{
		// 6500 Wh of storage; the Ah is cut off in print after its first digit, 5.
		{"B-1", AutonomyCase{DailyWh: 1000, BankV: 12, Days: 2.5, MaxDoD: 0.5, Multiplier: 1.30}, 0, 6500. / 12, 0.005,
			"stand-alone PV worksheet, SEEN"},
		// Printed with 15750/48 rounded to 328 Ah before doubling: 754.4. Unrounded it is 754.69.
		{"B-2", AutonomyCase{DailyWh: 15750, BankV: 48, Days: 1, MaxDoD: 0.5, Allowance: 0.15}, 328, 754.69, 0.005,
			"installer's page, SEEN"},
		{"B-3", AutonomyCase{DailyWh: 20*12 + 16*5, BankV: 12, Days: 3, MaxDoD: 1, Allowance: 0.1}, 26.7, 88, 0.005,
			"dealer's page, SEEN"},
		{"B-4", AutonomyCase{DailyWh: 24000, Efficiency: 0.85, BankV: 50, Days: 1, MaxDoD: 1}, 0, 565, 0.5,
			"solar forum, SEEN"},
		{"B-5a", AutonomyCase{DailyWh: 1000, Efficiency: 0.9, BankV: 48, Days: 1, MaxDoD: 1}, 23.148, 23.148, 0.0005,
			"solar forum, SEEN"},
		{"B-5b", AutonomyCase{DailyWh: 2000, Efficiency: 0.9, BankV: 48, Days: 1, MaxDoD: 1}, 46.296, 46.296, 0.0005,
			"solar forum, SEEN"},
		{"B-5c", AutonomyCase{DailyWh: 3000, Efficiency: 0.9, BankV: 48, Days: 1, MaxDoD: 1}, 69.444, 69.444, 0.0005,
			"solar forum, SEEN"},
		// Lamps, fridge at a quarter of the time, 25 times 15 s of a drill, a sump pump half the time. The items SEEN,
		// their sum own.
		{"B-7", AutonomyCase{DailyWh: 2*60*4 + 200*24*0.25 + 120*5*25*15/3600. + 120*10*24*0.5, BankV: 120, Days: 1,
			MaxDoD: 1}, 134.52, 134.52, 0.005, "car and deep-cycle battery FAQ, SEEN, sum own"},
		{"B-8", AutonomyCase{DailyWh: 205, BankV: 1, Days: 2, MaxDoD: 1}, 205, 410, 1e-9,
			"open-source solar text, SEEN"},
		{"B-9", AutonomyCase{DailyWh: 6000, BankV: 1, Days: 3, MaxDoD: 1}, 0, 18000, 1e-9,
			"deep-cycle bank example, SEEN"},
	} {
		s, err := AutonomyMethod(tt.c)
		if err != nil {
			t.Fatal(err)
		}
		// Daily charge is printed with three to five digits.
		if !near(s.RequiredAh, tt.required, tt.tol) || tt.daily > 0 && !near(s.DailyAh/tt.daily, 1, 0.002) {
			t.Errorf("%s: %.4f Ah a day, %.4f Ah, want %g and %g (%s)", tt.id, s.DailyAh, s.RequiredAh, tt.daily,
				tt.required, tt.source)
		}
	}
	// B-1 in energy: 2500, 5000, 6500 Wh. B-2 with its rounding.
	if s, _ := AutonomyMethod(AutonomyCase{DailyWh: 1000, BankV: 12, Days: 2.5, MaxDoD: 0.5,
		Multiplier: 1.30}); !near(12*s.StoredAh, 2500, 1e-9) || !near(12*s.RequiredAh, 6500, 1e-9) {
		t.Errorf("B-1: %g Wh stored, %g Wh of bank, want 2500 and 6500", 12*s.StoredAh, 12*s.RequiredAh)
	}
	if s, _ := AutonomyMethod(AutonomyCase{DailyWh: 328 * 48, BankV: 48, Days: 1, MaxDoD: 0.5,
		Allowance: 0.15}); !near(s.RequiredAh, 754.4, 0.05) {
		t.Errorf("B-2 with 328 Ah a day: %.3f, want 754.4", s.RequiredAh)
	}
}

// The multiplier of B-1 is the one for 40 F of the table that Size uses.
func TestAutonomyMethodAgreesWithSize(t *testing.T) {
	u := plain(Gel, 100, 1)
	k, _ := TemperatureFactor(Gel, fromF(40))
	a, err := AutonomyMethod(AutonomyCase{DailyWh: 1000, BankV: 12, Days: 2.5, MaxDoD: 0.5, Multiplier: 1 / k,
		UnitAh: 100})
	if err != nil {
		t.Fatal(err)
	}
	s, err := Size(u, 1, Need{EnergyDCWh: 2500, Hours: 60, Reserve: 1, MaxDoD: 0.5, EndOfLife: 1,
		TemperatureC: fromF(40)})
	if err != nil || !near(s.RequiredAh/a.RequiredAh, 1, 1e-12) || s.Strings != a.Strings {
		t.Errorf("Size %+v, %v, worksheet %+v", s, err, a)
	}
}

func TestAutonomyMethodRefuses(t *testing.T) {
	good := AutonomyCase{DailyWh: 1000, BankV: 48, Days: 2, MaxDoD: 0.5}
	for i, change := range []func(*AutonomyCase){
		func(c *AutonomyCase) { c.DailyWh = -1 },
		func(c *AutonomyCase) { c.BankV = 0 },
		func(c *AutonomyCase) { c.Days = math.NaN() },
		func(c *AutonomyCase) { c.MaxDoD = 0 },
		func(c *AutonomyCase) { c.Efficiency = 1.01 },
		func(c *AutonomyCase) { c.Multiplier = 0.9 },
		func(c *AutonomyCase) { c.Allowance = -0.1 },
		func(c *AutonomyCase) { c.UnitAh = math.Inf(1) },
		func(c *AutonomyCase) { c.DailyWh, c.UnitAh = 1e300, 1 },
		func(c *AutonomyCase) { c.DailyWh, c.Days = 1e300, 1e300 },
	} {
		c := good
		change(&c)
		if s, err := AutonomyMethod(c); err == nil {
			t.Errorf("case %d: %+v, want an error", i, s)
		}
	}
}

func ExampleAutonomyMethod() {
	// A published worksheet example: 1000 Wh a day from 12 V, 2.5 days, half of the bank, 40 F.
	s, err := AutonomyMethod(AutonomyCase{DailyWh: 1000, BankV: 12, Days: 2.5, MaxDoD: 0.5, Multiplier: 1.30})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f Wh, %.0f Ah\n", 12*s.RequiredAh, s.RequiredAh)
	// Output: 6500 Wh, 542 Ah
}
