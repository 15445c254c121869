package capacity

import (
	"math"

	"outlast/backup/facts"
	"outlast/battery"
)

// A TestPlan is a test of the bank's capacity with what the home has: an even load, and what is to be read when. It is
// followed with a new bank, and with one that has as much left as the plan counts with.
type TestPlan struct {
	LoadW    float64 // at the loads, on the backup board
	BankW    float64 // at the bank
	TempC    float64 // of the bank, for which the figures are
	StopV    float64 // under load
	StopSoC  float64 // lithium: by the monitor; lead-acid 0
	HasVolts bool    // it is known how far the voltage falls under load
	Limited  bool    // by the inverter: it takes longer than is usual
	// NewH and PlannedH are the hours until the stop.
	NewH, PlannedH float64
	Rows           []TestRow
}

// A TestRow is one moment at which something is read. What a bank does not reach any more is NaN.
type TestRow struct {
	AtH                  float64
	NewV, NewSoC         float64
	PlannedV, PlannedSoC float64
}

// How a test is laid out. Between a fifth and a tenth of the capacity an hour: practice of tests at home, own;
// lead-acid is rated so. 20 C: a living room.
const (
	testH        = 8.0 // a full bank at the test load
	testC        = 20.0
	inverterPart = 0.8 // of its continuous rating: the house has its own loads
	// spareV is V per cell by which the stop lies below the simulation: the state of charge governs, and a cold or aged
	// cell must not end the test early. Own, the same for the cut-offs of tables.
	spareV       = 0.04
	mostTestRows = 10
	mostTestH    = 100.0
)

// Test lays out a test for the bank of a plan; ok is false where it cannot be followed.
func Test(p *facts.Facts) (t TestPlan, ok bool) {
	b := p.Bank.Bank
	t = TestPlan{TempC: testC, HasVolts: p.Sags()}
	wish := b.CapacityAh() * b.NominalV() / testH
	limitA := p.Inverter.MaxDischargeA()
	if a := b.Unit.MaxDischargeA * float64(b.Strings); a > 0 && (limitA <= 0 || a < limitA) {
		limitA = a
	}
	if limitA > 0 {
		wish = min(wish, inverterPart*limitA*b.NominalV())
	}
	most := inverterPart * p.Inverter.DeratedW()
	lo, hi := 0.0, most
	for range 60 {
		if mid := (lo + hi) / 2; p.Inverter.DCPower(mid) < wish {
			lo = mid
		} else {
			hi = mid
		}
	}
	t.LoadW = evenW(lo)
	if t.LoadW <= 0 {
		return t, false
	}
	t.BankW = p.Inverter.DCPower(t.LoadW)
	t.Limited = b.CapacityAh()*b.NominalV()/t.BankW > 1.5*testH
	if b.Unit.Chemistry.LeadAcid() {
		t.StopV = max(EndV(b), p.Bank.CutoffV)
	} else {
		t.StopSoC = p.FloorSoC()
		t.StopV = max(EndV(b), p.Bank.CutoffV)
		if v, carries := b.PowerV(t.BankW, t.StopSoC, testC); carries {
			t.StopV = max(t.StopV, v-spareV*float64(b.Cells()))
		}
		t.StopV = math.Floor(t.StopV*10) / 10
	}
	news, ok := t.follow(p, 1)
	if !ok {
		return t, false
	}
	old, ok := t.follow(p, p.Site.Practice.EndOfLife)
	if !ok {
		return t, false
	}
	t.NewH, t.PlannedH = news.hours, old.hours
	step := evenH(t.NewH / (mostTestRows - 1))
	for k := range mostTestRows + 1 {
		at := float64(k) * step
		if at > t.NewH {
			break
		}
		row := TestRow{AtH: at}
		row.NewV, row.NewSoC = news.at(at)
		row.PlannedV, row.PlannedSoC = old.at(at)
		t.Rows = append(t.Rows, row)
	}
	return t, len(t.Rows) > 1
}

// evenW is a power that can be put together of appliances.
func evenW(w float64) float64 {
	step := 10.0
	if w >= 500 {
		step = 50
	}
	return math.Floor(w/step+1e-9) * step
}

// evenH is a span that is easily kept by a clock, not shorter than h.
func evenH(h float64) float64 {
	for _, even := range []float64{0.25, 0.5, 1, 1.5, 2, 3, 4, 6, 12} {
		if even >= h-1e-9 {
			return even
		}
	}
	return math.Ceil(h/24) * 24
}

// A discharge is followed minute by minute.
type discharge struct {
	hours  float64
	volts  []float64 // by minute; NaN: not known
	charge []float64
}

const minuteH = 1. / 60

func (d *discharge) at(h float64) (v, z float64) {
	i := int(h*60 + 0.5)
	if h > d.hours || i >= len(d.charge) {
		return math.NaN(), math.NaN()
	}
	return d.volts[i], d.charge[i]
}

// follow discharges a bank with a share of its capacity at the test's power until the stop.
func (t *TestPlan) follow(p *facts.Facts, share float64) (d discharge, ok bool) {
	b := p.Bank.Bank
	m, err := b.Model(battery.ModelOptions{TemperatureC: t.TempC, EndOfLife: share, MaxDoD: 1,
		RateCredit: b.RateCredit(t.BankW / b.NominalV()), Fit: p.Details.Kinetic})
	if err != nil {
		return d, false
	}
	for d.hours < mostTestH {
		z, v := m.SoC(), math.NaN()
		if t.HasVolts {
			v, _ = b.PowerV(t.BankW, z, t.TempC)
		}
		if len(d.charge) > 0 && (z <= t.StopSoC || v <= t.StopV) {
			break
		}
		d.volts, d.charge = append(d.volts, v), append(d.charge, z)
		if done := m.Step(t.BankW, minuteH); done < t.BankW*(1-1e-6) {
			break
		}
		d.hours += minuteH
	}
	return d, d.hours > 0
}
