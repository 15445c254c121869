package battery

import (
	"math"
	"testing"
)

func mV(v float64) *float64 { return &v }

// Charge voltage compensation of -3 mV per cell and C: 2.30 V at 25 C, 2.27 at 35, 2.33 at 15; public battery texts,
// SEEN. AGM data sheet, SEEN: cycle use -30 mV/C and float -20 mV/C for 12 V.
func TestStageV(t *testing.T) {
	cell := Bank{Unit: Unit{Chemistry: AGM, NominalV: 2, FloatV: 2.30, ChargeMVPerCellC: mV(-3)}, Series: 1, Strings: 1}
	for _, tt := range []struct{ tempC, want float64 }{{25, 2.30}, {35, 2.27}, {15, 2.33}} {
		if v := cell.StageV(Float, tt.tempC); !near(v, tt.want, 0.005) {
			t.Errorf("float at %g C: %.4f V, want %.2f", tt.tempC, v, tt.want)
		}
	}
	block := Bank{Unit: agmBlock(1), Series: 1, Strings: 1}
	if d := block.StageV(Absorption, 24) - block.StageV(Absorption, 25); !near(d, 0.030, 1e-9) {
		t.Errorf("AGM absorption: %.4f V per C, want 0.030", d)
	}
	block.Unit.ChargeMVPerCellC = mV(20. / 6)
	if d := block.StageV(Float, 24) - block.StageV(Float, 25); !near(d, 0.020, 1e-9) {
		t.Errorf("AGM float at 3.3 mV: %.4f V per C, want 0.020", d)
	}
	// Maker's data sheet, flooded deep-cycle, SEEN: 59.2, 52.8 and 62.0 V for 48 V at 25 C; one decimal.
	flooded := Bank{Unit: floodedUnit(), Series: 8, Strings: 2}
	for _, tt := range []struct {
		stage Stage
		want  float64
	}{{Absorption, 59.2}, {Float, 52.8}, {Equalise, 62.0}} {
		if v := flooded.StageV(tt.stage, 25); !near(v, tt.want, 0.05) {
			t.Errorf("stage %d: %.3f V, want %.1f", tt.stage, v, tt.want)
		}
	}
	if v := block.StageV(Equalise, 0); v != 0 {
		t.Errorf("equalise of AGM: %g V, want 0", v)
	}
}

func TestChargeRange(t *testing.T) {
	for _, tt := range []struct {
		why         string
		u           Unit
		least, most float64
	}{
		{"AGM 55 Ah: 0.30 C is 16.5 A, maker's data sheet, SEEN", Unit{Chemistry: AGM, RatedAh: 55}, 2.75, 16.5},
		{"LFP 100 Ah: 0.3 C, data sheet, SEEN", Unit{Chemistry: LFP, RatedAh: 100}, 0, 30},
		{"the unit's own limit", Unit{Chemistry: LFP, RatedAh: 125, MaxChargeA: 125}, 0, 125},
		{"gel 0.20 C, common practice", Unit{Chemistry: Gel, RatedAh: 100}, 5, 20},
		{"flooded 0.13 C, common practice", Unit{Chemistry: Flooded, RatedAh: 100}, 5, 13},
	} {
		least, most, source := Bank{Unit: tt.u, Series: 4, Strings: 2}.ChargeRange()
		if !near(least, 2*tt.least, 1e-9) || !near(most, 2*tt.most, 1e-9) || source.String() == "" {
			t.Errorf("%s: %g to %g A from %q, want %g to %g", tt.why, least, most, source, 2*tt.least, 2*tt.most)
		}
	}
}

// Rated energy and power of two LFP packs, makers' data sheets, SEEN: 12.8 V at 30 A is 384 W, 51.2 V and 125 Ah are
// 6400 Wh.
func TestLFPPackRatings(t *testing.T) {
	small := Bank{Unit: Unit{Chemistry: LFP, NominalV: 12.8, RatedAh: 100, RatedH: 5, MaxDischargeA: 30}, Series: 1,
		Strings: 1}
	s, err := small.Lithium(ModelOptions{TemperatureC: 25, MaxDoD: 1})
	if err != nil || !near(s.DischargeLimitW(minuteH), 384, 1e-9) {
		t.Errorf("12.8 V, 30 A: %g W, %v, want 384", s.DischargeLimitW(minuteH), err)
	}
	large := Bank{Unit: Unit{Chemistry: LFP, NominalV: 51.2, RatedAh: 125, RatedH: 5, MaxDischargeA: 125}, Series: 1,
		Strings: 1}
	l, err := large.Lithium(ModelOptions{TemperatureC: 25, MaxDoD: 1})
	if err != nil {
		t.Fatal(err)
	}
	for l.Step(1000, minuteH) == 1000 {
	}
	if out := l.Ledger().OutWh; !near(out, 6400, 1e-6) {
		t.Errorf("51.2 V, 125 Ah: gave %g Wh, want 6400", out)
	}
}

func TestRechargeFactorAgreesWithChargeEfficiency(t *testing.T) {
	// 85 % of the charge comes back, text on photovoltaics, SEEN: 1/0.85 = 1.18.
	if low, high := Flooded.RechargeFactor(); 1/0.85 < low || 1/0.85 > high {
		t.Errorf("flooded %g to %g, want 1.18 inside", low, high)
	}
	for _, c := range Chemistries() {
		if low, high := c.RechargeFactor(); !(1 < low && low < high) {
			t.Errorf("%s: %g to %g", c, low, high)
		}
	}
}

func TestRecharge(t *testing.T) {
	b := Bank{Unit: plain(Flooded, 100, 1.25), Series: 4, Strings: 4}
	r, err := b.Recharge(0.5, 40)
	if err != nil {
		t.Fatal(err)
	}
	// 400 Ah, 40 A, factor 1.15: bulk 1.15*0.3*400/40, absorption 0.42*400/40 (inverter-charger practice, memory).
	if !near(r.BulkH, 3.45, 1e-9) || !near(r.AbsorptionH, 4.2, 1e-9) || !near(r.Hours, 7.65, 1e-9) ||
		!near(r.InAh, 230, 1e-9) || r.ChargeA != 40 {
		t.Errorf("%+v, want 3.45 + 4.2 h, 230 Ah at 40 A", r)
	}
	if r, _ := b.Recharge(0.5, 1000); !near(r.ChargeA, 52, 1e-9) {
		t.Errorf("a large charger: %g A, want the bank's 0.13 C, 52 A", r.ChargeA)
	}
	if r, _ := b.Recharge(1, 40); r.Hours != 0 || r.InAh != 0 {
		t.Errorf("a full bank: %+v", r)
	}
	near100, _ := b.Recharge(0.9, 40)
	if near100.BulkH != 0 || !near(near100.AbsorptionH, 2.1, 1e-9) {
		t.Errorf("from 0.9: %+v, want half of the absorption", near100)
	}
	for _, bad := range []struct{ soc, amps float64 }{{-0.1, 10}, {1.1, 10}, {0.5, 0}, {0.5, math.NaN()},
		{math.NaN(), 10}} {
		if _, err := b.Recharge(bad.soc, bad.amps); err == nil {
			t.Errorf("Recharge(%g, %g): no error", bad.soc, bad.amps)
		}
	}
	if _, err := (Bank{Unit: b.Unit, Series: 4}).Recharge(0.5, 10); err == nil {
		t.Error("no strings: no error")
	}
}

// The estimate and the model are two views of one thing: within a factor of two for all chemistries, to 98 %.
func TestRechargeAgainstModel(t *testing.T) {
	for _, c := range Chemistries() {
		b := modelBank(c)
		amps := 0.1 * b.CapacityAh()
		r, err := b.Recharge(0.4, amps)
		if err != nil {
			t.Fatal(err)
		}
		s := modelOf(t, b, ModelOptions{TemperatureC: 25})
		s.Reset(0.4)
		h, ok := RechargeH(s, amps*b.NominalV(), 0.98)
		if !ok || h < r.Hours/2 || h > r.Hours*2 {
			t.Errorf("%s: model %.1f h (%v), estimate %+v", c, h, ok, r)
		}
	}
	s := modelOf(t, modelBank(LFP), ModelOptions{TemperatureC: 25})
	s.Reset(0.5)
	if h, ok := RechargeH(s, 1e-6, 0.9); ok || h != longestRechargeH {
		t.Errorf("next to no power: %g h, %v", h, ok)
	}
}
