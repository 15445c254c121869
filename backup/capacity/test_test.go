package capacity_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"outlast/backup/capacity"
	"outlast/battery"
)

// TestTheTestTells: a bank as old as the plan counts with, tested as the sheet says and read at the times of its table,
// is read back as that, and within what the plan counts as told.
func TestTheTestTells(t *testing.T) {
	for c := range banks {
		p := planOf(t, c)
		x, ok := capacity.Test(p.Facts)
		if !ok {
			t.Fatalf("%s: no test", c)
		}
		full := p.Bank.CapacityAh() * p.Bank.NominalV()
		if h := full / x.BankW; h < 5 || h > 10.5 {
			t.Errorf("%s: a test of %.1f h, want a fifth to a tenth of the capacity an hour", c, h)
		}
		if x.LoadW > p.Inverter.DeratedW() || x.BankW > p.Inverter.MaxDischargeA()*p.Bank.NominalV() {
			t.Errorf("%s: %g W is more than the inverter gives", c, x.LoadW)
		}
		if !(x.PlannedH < x.NewH) || len(x.Rows) < 4 {
			t.Errorf("%s: %.2f h as planned, %.2f h new, %d rows", c, x.PlannedH, x.NewH, len(x.Rows))
		}
		var log strings.Builder
		log.WriteString("time h,battery W,battery V,soc %,temp C\n")
		last := 2.0
		v := math.NaN()
		for _, row := range x.Rows {
			if row.NewSoC >= last || row.PlannedSoC > row.NewSoC {
				t.Errorf("%s: %+v after a charge of %.3f", c, row, last)
			}
			last = row.NewSoC
			if row.PlannedSoC == row.PlannedSoC {
				v = row.PlannedV
				fmt.Fprintf(&log, "%.3f,%.1f,%.2f,%.1f,20\n", row.AtH, x.BankW, v, 100*row.PlannedSoC)
			}
		}
		if v < x.StopV {
			t.Errorf("%s: %.2f V are expected before the stop at %.2f V", c, v, x.StopV)
		}
		// The last reading is at the stop.
		fmt.Fprintf(&log, "%.3f,0,%.2f,%.1f,20\n", x.PlannedH, x.StopV+0.01, 100*x.StopSoC)
		r, err := capacity.Of(p.Facts, read(t, log.String()), capacity.Options{Emptied: c.LeadAcid()})
		if err != nil {
			t.Fatal(err)
		}
		want := p.Site.Practice.EndOfLife
		best, told := r.Best()
		t.Logf("%s: %.0f W, %.1f h: %.3f ± %.3f by %s", c, x.LoadW, x.PlannedH, best.Share, 2*best.Sigma*best.Share,
			best.Way)
		if !told || best.Low() > want || best.High() < want || math.Abs(best.Share-want) > 0.03 {
			t.Errorf("%s: %.3f (told: %v) by %s, want %.3f", c, best.Share, told, best.Way, want)
		}
	}
}

// TestStopOfTheTest: lead-acid stops at 1.75 V a cell (US Navy training text, SEEN) or where the inverter lets go
// before; lithium at the plan's lowest charge.
func TestStopOfTheTest(t *testing.T) {
	for c := range banks {
		p := planOf(t, c)
		x, _ := capacity.Test(p.Facts)
		if c.LeadAcid() && (x.StopV != max(1.75*24, p.Bank.CutoffV) || x.StopSoC != 0) {
			t.Errorf("%s: stop at %.2f V, %.2f", c, x.StopV, x.StopSoC)
		}
		if c == battery.LFP && (x.StopSoC != p.FloorSoC() || x.StopV < p.Bank.CutoffV || x.StopV > 51.2) {
			t.Errorf("%s: stop at %.2f V, %.2f", c, x.StopV, x.StopSoC)
		}
	}
}
