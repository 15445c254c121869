package outage

import (
	"fmt"
	"testing"
)

// BenchmarkSurvive times the reference case A3 (full) and A5 (half full), 336 h, from net powers in memory: the sums and
// the answer.
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
		"needs":        func() error { _, err := study.Needs(72); return err },
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
				if _, err := SurviveStepping(y, func() Bank { return newPlainStore(c.path, c.usableWh) }, c.soc, referenceMaxH); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
