package battery

import (
	"testing"

	"pgregory.net/rapid"
)

// TestColdChargeA: how cold a bank may be charged and with how much. Lead-acid from -20 C on, below 0 C with at most
// 0.3C: Battery University BU-410, table 1, SEEN; sealed from -15 C on: care pages of two makers, SEEN; the 0.1C
// below 0 C is half of what is usual for gel, own, inside it. LFP not below 0 C, 0.1C up to 5 C, then 0.1C to 0.2C:
// operation manual of a 48 V 50 Ah LFP pack, table 4.3, and up to 15 C 0.2C: a cell maker's sheet, both SEEN. NMC not
// below 0 C: BU-410, SEEN.
func TestColdChargeA(t *testing.T) {
	at := func(c float64) *float64 { return &c }
	for _, tt := range []struct {
		what    string
		u       Unit
		tempC   float64
		a       float64 // of two strings of 100 Ah
		limited bool
	}{
		{"flooded, warm", Unit{Chemistry: Flooded}, 0, 0, false},
		{"flooded below 0 C", Unit{Chemistry: Flooded}, -0.1, 20, true},
		{"flooded at its coldest", Unit{Chemistry: Flooded}, -20, 20, true},
		{"flooded, too cold", Unit{Chemistry: Flooded}, -20.1, 0, true},
		{"AGM at -8 C", Unit{Chemistry: AGM}, -8, 20, true},
		{"AGM, too cold", Unit{Chemistry: AGM}, -15.1, 0, true},
		{"gel at -15 C", Unit{Chemistry: Gel}, -15, 20, true},
		{"a stricter maker", Unit{Chemistry: AGM, ChargeMinC: at(0)}, -0.1, 0, true},
		{"a maker who allows more cold", Unit{Chemistry: AGM, ChargeMinC: at(-30)}, -25, 20, true},
		{"a unit that bears less anyway", Unit{Chemistry: Flooded, MaxChargeA: 8}, -5, 0, false},
		{"LFP, warm", Unit{Chemistry: LFP, MaxChargeA: 100}, 15, 0, false},
		{"LFP, cool", Unit{Chemistry: LFP, MaxChargeA: 100}, 14.9, 40, true},
		{"LFP at 5 C", Unit{Chemistry: LFP, MaxChargeA: 100}, 5, 40, true},
		{"LFP below 5 C", Unit{Chemistry: LFP, MaxChargeA: 100}, 4.9, 20, true},
		{"LFP at 0 C", Unit{Chemistry: LFP, MaxChargeA: 100}, 0, 20, true},
		{"LFP below 0 C", Unit{Chemistry: LFP, MaxChargeA: 100}, -0.1, 0, true},
		{"LFP that heats itself counts as 5 C", Unit{Chemistry: LFP, MaxChargeA: 100, ChargeMinC: at(-20)}, -10, 40,
			true},
		{"NMC below 0 C", Unit{Chemistry: NMC}, -1, 0, true},
	} {
		tt.u.NominalV, tt.u.RatedAh = tt.u.Chemistry.CellV(), 100
		b := Bank{Unit: tt.u, Series: 1, Strings: 2}
		a, source, limited := b.ColdChargeA(tt.tempC)
		if !near(a, tt.a, 1e-9) || limited != tt.limited || limited && source.String() == "" {
			t.Errorf("%s: %g A, %v (%s), want %g A, %v", tt.what, a, limited, source, tt.a, tt.limited)
		}
	}
	if _, _, limited := (Bank{Unit: Unit{Chemistry: "nicd", RatedAh: 100}, Series: 1,
		Strings: 1}).ColdChargeA(-30); limited {
		t.Error("an unknown chemistry has a limit")
	}
}

// Colder never means more, and a bank that is simulated takes no more than that.
func TestColdChargeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bankGen.Draw(t, "bank")
		if !b.Unit.Chemistry.LeadAcid() && rapid.Bool().Draw(t, "heated") {
			b.Unit.ChargeMinC = new(float64)
			*b.Unit.ChargeMinC = -20
		}
		most := func(tempC float64) float64 {
			a, _, limited := b.ColdChargeA(tempC)
			if !limited {
				_, a, _ = b.ChargeRange()
			}
			return a
		}
		warm := rapid.Float64Range(-40, 40).Draw(t, "warm")
		cold := rapid.Float64Range(-45, warm).Draw(t, "cold")
		if most(cold) > most(warm)*(1+1e-12) {
			t.Fatalf("%g A at %g C, but %g A at %g C", most(cold), cold, most(warm), warm)
		}
		if a, _, limited := b.ColdChargeA(cold); limited {
			m := modelOf(t, b, ModelOptions{TemperatureC: cold})
			m.Reset(0.3)
			if took := -m.Step(-1e9, minuteH); took > a*b.NominalV()*(1+1e-9) {
				t.Fatalf("takes %g W at %g C, the cold leaves %g A at %g V", took, cold, a, b.NominalV())
			}
		}
	})
}
