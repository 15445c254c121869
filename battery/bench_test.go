package battery

import (
	"fmt"
	"testing"
)

// minuteLoad is a day of minutes that charges and discharges.
func minuteLoad() []float64 {
	w := make([]float64, 1440)
	for i := range w {
		w[i] = 300 + 200*float64(i%7)
		if i > 600 && i < 900 {
			w[i] = -1500 - 10*float64(i%11)
		}
	}
	return w
}

func modelBank(c Chemistry) Bank {
	u, _ := Unit{Chemistry: c, NominalV: c.CellV() * 4, RatedAh: 200, ResistanceMohm: 2}.WithDefaults()
	return Bank{Unit: u, Series: 4, Strings: 4}
}

// BenchmarkStep runs one day of minutes from full; ns/step is the figure to look at.
func BenchmarkStep(b *testing.B) {
	load := minuteLoad()
	kinetic, err := modelBank(AGM).Kinetic(ModelOptions{TemperatureC: 25})
	if err != nil {
		b.Fatal(err)
	}
	lithium, err := modelBank(LFP).Lithium(ModelOptions{TemperatureC: 25})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("model=kinetic", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			kinetic.Reset(1)
			for _, w := range load {
				kinetic.Step(w, 1./60)
			}
		}
		perStep(b, len(load))
	})
	b.Run("model=lithium", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			lithium.Reset(1)
			for _, w := range load {
				lithium.Step(w, 1./60)
			}
		}
		perStep(b, len(load))
	})
	for _, c := range []Chemistry{AGM, LFP} {
		for _, cutoffV := range []float64{0, 40} {
			s, err := modelBank(c).Model(ModelOptions{TemperatureC: 25, CutoffV: cutoffV * c.CellV() / 3.2})
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("model=interface-%s/cutoff=%t", c, cutoffV > 0), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					s.Reset(1)
					for _, w := range load {
						s.Step(w, 1./60)
					}
				}
				perStep(b, len(load))
			})
		}
	}
}

func perStep(b *testing.B, steps int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(steps), "ns/step")
}

func BenchmarkWellFit(b *testing.B) {
	u := agmBlock(0)
	for b.Loop() {
		if _, err := u.Wells(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSize(b *testing.B) {
	u, n := agmBlock(0), need(6000, 24)
	for b.Loop() {
		if _, err := Size(u, 4, n); err != nil {
			b.Fatal(err)
		}
	}
}
