package battery

import (
	"math"
	"testing"
)

// FuzzUnit asks everything of a bank made of arbitrary numbers. A unit that Check lets pass must give numbers; one that
// it does not must be refused or give numbers all the same, and nothing may panic.
func FuzzUnit(f *testing.F) {
	f.Add(uint8(0), 12.0, 100.0, 20.0, 1.25, 5.0, 60.0, 20.0, 0.5, 0.8, 25.0, 5000.0, 24.0)
	f.Add(uint8(1), 12.0, 56.0, 20.0, 0.0, 1.0, 28.9, 7.5, 0.5, 0.8, -15.0, 300.0, 0.5)
	f.Add(uint8(3), 51.2, 100.0, 5.0, 1.0, 0.0, 0.0, 0.0, 0.9, 0.95, -20.0, 1e9, 1e-3)
	f.Add(uint8(4), 1e-9, 1e9, 1e-9, 2.0, 1e-9, 1e-9, 1e9, 0.01, 0.01, 1e308, 1e308, 1e308)
	f.Add(uint8(2), 1e9, 1e-9, 1e9, 1.0, 1e9, 1e-9, 1e-9, 1.0, 1.0, -1e308, -1e308, 1e-308)
	f.Add(uint8(5), math.NaN(), math.Inf(1), -1.0, 0.0, math.Inf(-1), 0.0, -1.0, 2.0, 0.0, math.NaN(), math.NaN(), -1.0)
	f.Fuzz(func(t *testing.T, chemistry uint8, nominalV, ratedAh, ratedH, peukert, fastH, fastAh, mohm, dod, roundTrip,
		tempC, powerW, hours float64) {
		list := append(Chemistries(), "other")
		u := Unit{
			Chemistry: list[int(chemistry)%len(list)], NominalV: nominalV, RatedAh: ratedAh, RatedH: ratedH,
			Peukert:        peukert,
			ResistanceMohm: mohm, MaxDoD: dod, RoundTrip: roundTrip, MaxChargeA: ratedAh / 5,
			Cycles: []CyclePoint{{dod, 1000}},
		}
		if fastH != 0 || fastAh != 0 {
			u.Capacity = []RatePoint{{fastH, fastAh}, {ratedH, ratedAh}}
		}
		u, _ = u.WithDefaults()
		sound := len(u.Check()) == 0 && nominalV > 0 && ratedAh > 0
		number := func(what string, xs ...float64) {
			for _, x := range xs {
				if sound && finite(tempC) && finite(powerW) && finite(hours) && !finite(x) {
					t.Errorf("%s: %g from %+v at %g C, %g W, %g h", what, x, u, tempC, powerW, hours)
				}
			}
		}
		if n := u.Cells(); n < 1 || n > maxCells {
			t.Errorf("%d cells", n)
		}
		series, _, err := Series(u, 48, 40, 60, tempC, true)
		if err != nil {
			series = 1
		}
		b := Bank{Unit: u, Series: series, Strings: 2}
		k, in := TemperatureFactor(u.Chemistry, tempC)
		if !(k >= capacityFloor && k <= 1) {
			t.Errorf("temperature factor %g (%v) at %g C", k, in, tempC)
		}
		rate, _ := b.RateFactor(math.Abs(powerW))
		if !(rate >= 0) || math.IsInf(rate, 1) {
			t.Errorf("rate factor %g at %g A of %+v", rate, powerW, u)
		}
		number("bank", b.NominalV(), b.CapacityAh(), b.MinV(), b.MassKg(), b.ResistanceOhm(),
			b.HighestChargeV(tempC, true), b.StageV(Float, tempC))
		number("volts", b.SourceV(dod, tempC), b.ResistanceOhmAt(dod, tempC))
		if v, _ := b.StartV(powerW/2, powerW, dod, tempC); powerW >= 0 {
			loaded, _ := b.PowerV(powerW, dod, tempC)
			number("start", v, loaded)
		}
		soc, _ := b.LowestStartSoC(0, math.Abs(powerW), b.MinV(), tempC)
		frozen, _ := LeastSoCInCold(tempC)
		number("soc", soc, frozen, FreezingC(dod))
		short, _ := b.ShortCircuit()
		number("short circuit", short.NominalA, short.FullA)
		cycles, _, _ := u.CycleLife(dod)
		number("life", cycles)
		if float, boost, err := b.Ventilation(ChargingCase{CurrentA: math.Abs(powerW), Equalises: true, HottestC: tempC,
			Australian: true}); err == nil {
			number("ventilation", float.FlowM3PerH, boost.OpeningCM2, boost.DistanceMM)
		}
		if r, err := b.Recharge(dod/2, math.Abs(powerW)); err == nil {
			number("recharge", r.Hours, r.InAh)
		}
		if s, err := Size(u, series, Need{EnergyDCWh: powerW, Hours: hours, Reserve: 1, MaxDoD: dod, EndOfLife: 0.8,
			TemperatureC: tempC}); err == nil {
			for _, x := range []float64{s.RequiredAh, s.KRate, s.KTemperature, s.MeanCurrentA, s.UsableFraction} {
				if !finite(x) || x < 0 {
					t.Errorf("sizing %+v of %+v", s, u)
				}
			}
			if s.Strings < 1 || s.KRate > 1 && !u.hasTable() {
				t.Errorf("sizing %+v", s)
			}
		}
		if d, err := u.DutyCycle(DutyCycle{Periods: []Period{{powerW, hours}, {1, 60}}, TemperatureC: tempC,
			EndOfLife: 0.8}); err == nil {
			if !finite(d.RequiredAh) || d.Strings < 1 {
				t.Errorf("duty cycle %g Ah, %d strings of %+v", d.RequiredAh, d.Strings, u)
			}
		}
		m, err := b.Model(ModelOptions{TemperatureC: tempC, CutoffV: math.Abs(nominalV) / 2})
		if err != nil {
			return
		}
		scale := b.NominalV() * b.CapacityAh()
		for _, step := range []struct{ w, h float64 }{{powerW, hours}, {-powerW, hours}, {powerW, minuteH}, {0, 1},
			{-scale, 1}, {scale, 0.1}} {
			done := m.Step(step.w, step.h)
			l := m.Ledger()
			if !finite(done) || !(m.SoC() >= 0 && m.SoC() <= 1) || !finite(m.DischargeLimitW(1)) || !finite(l.LostWh) {
				t.Fatalf("Step(%g, %g) = %g, state of charge %g, ledger %+v of %+v", step.w, step.h, done,
					m.SoC(), l, u)
			}
			if math.Abs(l.ErrorWh()) > 1e-9*(scale+l.InWh+l.OutWh) {
				t.Fatalf("the account is off by %g Wh of %g", l.ErrorWh(), scale)
			}
		}
	})
}
