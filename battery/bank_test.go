package battery

import (
	"testing"
)

func TestBankArithmetic(t *testing.T) {
	// Four 6 V 225 Ah units in series, three strings: 24 V, 675 Ah. Home power magazine's design article, SEEN.
	u, _ := Unit{Chemistry: Flooded, NominalV: 6, RatedAh: 225, MassKg: 28, ResistanceMohm: 3}.WithDefaults()
	b := Bank{Unit: u, Series: 4, Strings: 3}
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"NominalV", b.NominalV(), 24},
		{"CapacityAh", b.CapacityAh(), 675},
		{"Units", float64(b.Units()), 12},
		{"Cells", float64(b.Cells()), 12},
		{"MinV", b.MinV(), 21},
		{"MassKg", b.MassKg(), 336},
		{"ResistanceOhm", b.ResistanceOhm(), 0.004},
	} {
		if !near(tt.got, tt.want, 1e-12) {
			t.Errorf("%s = %g, want %g", tt.what, tt.got, tt.want)
		}
	}
}

// A 48 V bank of 24 flooded cells, 0.028 V per cell and 5.55 C: coefficients from the maker's data sheet of a flooded
// deep-cycle unit, SEEN; the case itself own, two decimals.
func TestHighestChargeVFloodedColdSpace(t *testing.T) {
	u, _ := Unit{Chemistry: Flooded, NominalV: 2, RatedAh: 400, ChargeV: 59.2 / 24, EqualiseV: 62.0 / 24}.WithDefaults()
	b := Bank{Unit: u, Series: 24, Strings: 1}
	if v := b.HighestChargeV(-5, true); !near(v, 65.63, 0.005) {
		t.Errorf("equalise at -5 C: %.3f V, want 65.63", v)
	}
	if v := b.HighestChargeV(5, false); !near(v, 61.62, 0.005) {
		t.Errorf("absorption at 5 C: %.3f V, want 61.62", v)
	}
	if v := b.HighestChargeV(45, false); !near(v, 59.2, 1e-9) {
		t.Errorf("absorption at 45 C: %.3f V, want 59.2: a charger without a probe stays there", v)
	}
	minus := u
	minus.ChargeMVPerCellC = mV(-u.CompensationMV())
	if v, w := b.HighestChargeV(0, true), (Bank{Unit: minus, Series: 24, Strings: 1}).HighestChargeV(0, true); v != w {
		t.Errorf("the sign of the compensation matters: %g and %g V", v, w)
	}
}

func TestSeries(t *testing.T) {
	unit := func(c Chemistry, v float64) Unit {
		u, _ := Unit{Chemistry: c, NominalV: v, RatedAh: 100}.WithDefaults()
		return u
	}
	for _, tt := range []struct {
		why                    string
		u                      Unit
		nominal, low, high, tC float64
		equalises              bool
		series                 int
		fits                   bool
		wantErr                bool
	}{
		{"plain", unit(AGM, 12), 48, 40, 60, 25, false, 4, true, false},
		{"12.8 V packs for 48 V: 51.2", unit(LFP, 12.8), 48, 42, 58.4, 25, false, 4, true, false},
		{"one 51.2 V pack", unit(LFP, 51.2), 48, 42, 60, 0, false, 1, true, false},
		{"no window given", unit(AGM, 12), 24, 0, 0, -10, true, 2, true, false},
		// 16 cells reach 57.6 V, above 57; 15 cells are the next nearest (48.0 is nearer than 51.2, so 15 come first
		// anyway).
		{"bare cells, nearest", unit(LFP, 3.2), 48, 42, 57, 25, false, 15, true, false},
		{"bare cells, nearest does not reach the low end", unit(LFP, 3.2), 48, 46, 58, 25, false, 16, true, false},
		{"bare cells, one step down for the high end", unit(LFP, 3.2), 51.2, 40, 55, 25, false, 15, true, false},
		{"tie: 4 V from either side, the lower", unit(AGM, 8), 20, 0, 0, 25, false, 2, true, false},
		{"none fits: the nearest", unit(AGM, 12), 48, 47, 60, 25, false, 4, false, false},
		{"cold raises 57.6 V by 3 V", unit(AGM, 12), 48, 40, 60, 0, false, 4, false, false},
		{"exactly at the high end", unit(AGM, 12), 48, 42, 57.6, 25, false, 4, true, false},
		{"25 % off", unit(AGM, 12), 15.9, 0, 0, 25, false, 0, false, true},
		{"20 % off is allowed", unit(AGM, 12), 15, 0, 0, 25, false, 1, true, false},
		{"unit larger than the system", unit(LFP, 51.2), 24, 0, 0, 25, false, 0, false, true},
		{"no volts", unit(AGM, 0), 48, 0, 0, 25, false, 0, false, true},
	} {
		n, fits, err := Series(tt.u, tt.nominal, tt.low, tt.high, tt.tC, tt.equalises)
		if n != tt.series || fits != tt.fits || (err != nil) != tt.wantErr {
			t.Errorf("%s: %d, %v, %v, want %d, %v, error %v", tt.why, n, fits, err, tt.series, tt.fits, tt.wantErr)
		}
	}
}
