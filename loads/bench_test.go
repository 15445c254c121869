package loads

import (
	"fmt"
	"testing"
)

func BenchmarkProbable(b *testing.B) {
	for _, in := range instances(b) {
		s := in.set()
		b.Run(fmt.Sprintf("n=%d", len(in.Loads)), func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Probable(0.999); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkFarm is all that a plan asks of 60 circuits with 300 loads in some 430 intervals, on three
// phases; step is what the running powers are multiples of.
func BenchmarkFarm(b *testing.B) {
	for _, step := range []int{1, 10} {
		ls := farm(1, step)
		s := NewSet(3, ls)
		limit := s.Scheduled().VA
		for _, part := range []struct {
			name string
			do   func(s *Set)
		}{
			{"set", func(*Set) { NewSet(3, ls) }},
			{"connected", func(s *Set) { s.Connected() }},
			{"scheduled", func(s *Set) { s.Scheduled() }},
			{"probable", func(s *Set) { _, _ = s.Probable(0.999) }},
			{"surges", func(s *Set) { s.Surges() }},
			{"restart", func(s *Set) { s.Restart(constant(100 * limit)) }},
			{"order", func(s *Set) { s.Restart(twoStep(1.35*limit, 1.1*limit)) }},
			{"profile", func(s *Set) { s.Profile().WorstStart(30.5) }},
			{"all", func(*Set) {
				s := NewSet(3, ls)
				s.Connected()
				s.Scheduled()
				_, _ = s.Probable(0.999)
				s.Surges()
				s.Restart(constant(100 * limit))
				s.Profile().WorstStart(30.5)
			}},
		} {
			b.Run(fmt.Sprintf("step=%d/part=%s", step, part.name), func(b *testing.B) {
				for b.Loop() {
					part.do(s)
				}
			})
		}
	}
}
