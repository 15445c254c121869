package outage

import (
	"fmt"
	"math"
	"testing"

	"outlast/loads"
)

// BenchmarkSurvive times the reference case A3 (full) and A5 (half full), 336 h, from net powers in memory: the sums
// and the answer.
func BenchmarkSurvive(b *testing.B) {
	for _, step := range steps {
		for _, c := range referenceCases[1:3] {
			y := referenceYear(b, step.min, c.kWp)
			b.Run(fmt.Sprintf("step=%s/soc=%g", step.name, c.soc), func(b *testing.B) {
				for b.Loop() {
					study, err := NewStudy(y, c.path, referenceMaxH)
					if err != nil {
						b.Fatal(err)
					}
					if _, err := study.Survive(c.usableWh, c.soc); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkStudy times the questions to a study that is there.
func BenchmarkStudy(b *testing.B) {
	study, err := NewStudy(referenceYear(b, 60, 4), referenceCases[1].path, referenceMaxH)
	if err != nil {
		b.Fatal(err)
	}
	for name, ask := range map[string]func() error{
		"survive full": func() error { _, err := study.Survive(15000, 1); return err },
		"survive half": func() error { _, err := study.Survive(15000, 0.5); return err },
		"bank":         func() error { _, _, err := study.SmallestBank(72, 0.5, 0.95); return err },
		"reserves":     func() error { _, err := study.Reserves(15000, 72, 0.95); return err },
	} {
		b.Run("ask="+name, func(b *testing.B) {
			for b.Loop() {
				if err := ask(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkSurviveStepping times the plain way on case A3.
func BenchmarkSurviveStepping(b *testing.B) {
	c := referenceCases[1]
	for _, step := range steps {
		y := referenceYear(b, step.min, c.kWp)
		b.Run("step="+step.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := SurviveStepping(b.Context(), y, func() Bank { return newPlainStore(c.path, c.usableWh) },
					c.soc, referenceMaxH, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// threeDays is a home of 40 loads, 24 of them with a rhythm, with an array, a generator and a lithium bank.
func threeDays(tb testing.TB) Scenario {
	tb.Helper()
	s := Scenario{
		StartMin: 1080, Seed: 7, PVW: make([]float64, minutesPerDay),
		Inverter: Inverter{IdleW: 40, Curve: []EfficiencyPoint{{100, 0.85}, {500, 0.92}, {2000, 0.95}, {5000, 0.93}},
			LimitW: 5000},
		Generator: &Generator{RatedW: 4000, Derating: 0.95, StartSoC: 0.3, StopSoC: 0.8, ChargerEfficiency: 0.92,
			FuelL: 20},
		Bank: lithium(tb, 3), StartSoC: 1, RestartSoC: 0.3,
	}
	for m := range s.PVW {
		s.PVW[m] = 2500 * max(0, math.Sin(math.Pi*float64(m-360)/720))
	}
	for i := range 40 {
		l := loads.Load{Name: fmt.Sprintf("load %d", i), CircuitID: fmt.Sprintf("circuit %d", i/4), Quantity: 1 + i%3,
			RunningW: 20 + 7*float64(i), HoursPerDay: 0.5 + float64(i%5)}
		if i%5 < 3 {
			l.Cycle = &loads.Cycle{OnMin: float64(5 + i%7), OffMin: 20}
		}
		if i%4 == 1 {
			l.Windows = []loads.Window{{StartMin: 360, EndMin: 600}, {StartMin: 960, EndMin: 1320}}
		}
		if i%6 == 0 {
			l.DropBelow = 0.4
		}
		s.Loads = append(s.Loads, l)
	}
	return s
}

// BenchmarkRun times an outage of three days in minutes.
func BenchmarkRun(b *testing.B) {
	s := threeDays(b)
	b.Run("loads=40/minutes=4320", func(b *testing.B) {
		for b.Loop() {
			if _, err := run(s, 3*minutesPerDay); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkSurviveSteppingLeadAcid times the two-well model by the minute for every start: a bank that lasts for days,
// and one with so much array that nearly every start is followed for all 336 h.
func BenchmarkSurviveSteppingLeadAcid(b *testing.B) {
	for _, kWp := range []float64{4, 40} {
		y := referenceYear(b, 1, kWp)
		b.Run(fmt.Sprintf("step=minute/kWp=%g", kWp), func(b *testing.B) {
			mean := 0.0
			for b.Loop() {
				starts, err := SurviveStepping(b.Context(), y, func() Bank { return leadAcid(b, 6) }, 1,
					referenceMaxH, nil)
				if err != nil {
					b.Fatal(err)
				}
				mean = starts.MeanH()
			}
			b.ReportMetric(mean, "mean-h")
		})
	}
}
