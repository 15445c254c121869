package outage

import (
	"math"
	"slices"
	"testing"
)

func TestStudyRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	day := Year{StepMin: 60, NetW: slices.Repeat([]float64{-1}, 24)}
	path := Path{ChargeEfficiency: 0.9, DischargeEfficiency: 0.9}
	for name, tt := range map[string]struct {
		y    Year
		p    Path
		maxH int
	}{
		"step 7 min":      {Year{7, day.NetW}, path, 24},
		"step 0":          {Year{0, day.NetW}, path, 24},
		"no steps":        {Year{60, nil}, path, 24},
		"half an hour":    {Year{30, []float64{1, 2, 3}}, path, 24},
		"NaN power":       {Year{60, []float64{1, nan}}, path, 24},
		"infinite power":  {Year{60, []float64{1, -inf}}, path, 24},
		"efficiency 0":    {day, Path{0, 0.9, 0, 0}, 24},
		"efficiency 1.01": {day, Path{0.9, 1.01, 0, 0}, 24},
		"NaN efficiency":  {day, Path{0.9, nan, 0, 0}, 24},
		"negative limit":  {day, Path{0.9, 0.9, -1, 0}, 24},
		"infinite limit":  {day, Path{0.9, 0.9, 0, inf}, 24},
		"0 h":             {day, path, 0},
		"over ten years":  {day, path, MaxHours + 1},
	} {
		if _, err := NewStudy(tt.y, tt.p, tt.maxH); err == nil {
			t.Errorf("%s: NewStudy takes it", name)
		}
		if tt.p == path {
			if _, err := SurviveStepping(t.Context(), tt.y, func() Bank { return newPlainStore(path, 1) }, 1, tt.maxH,
				nil); err == nil {
				t.Errorf("%s: SurviveStepping takes it", name)
			}
		}
	}
	study := mustStudy(t, day, path, 24)
	for name, call := range map[string]func() error{
		"negative bank":     func() error { _, err := study.Survive(-1, 1); return err },
		"NaN bank":          func() error { _, err := study.Survive(nan, 1); return err },
		"soc 1.1":           func() error { _, err := study.Survive(1, 1.1); return err },
		"soc NaN":           func() error { _, err := study.Survive(1, nan); return err },
		"bank for 25 h":     func() error { _, _, err := study.SmallestBank(25, 1, 1); return err },
		"bank from empty":   func() error { _, _, err := study.SmallestBank(24, 0, 1); return err },
		"bank for chance 0": func() error { _, _, err := study.SmallestBank(24, 1, 0); return err },
		"reserve of 0 Wh":   func() error { _, err := study.Reserves(0, 24, 1); return err },
		"reserve of a day":  func() error { _, err := study.Reserves(1, 24, 1); return err },
		"chance NaN":        func() error { _, err := study.Reserves(1, 24, nan); return err },
	} {
		if call() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The largest numbers that are taken neither overflow the sums nor change an answer that is plain to see.
func TestStudyOfExtremes(t *testing.T) {
	for _, w := range []float64{1e12, 1, 1e-6} {
		y := Year{StepMin: 1, NetW: slices.Concat(slices.Repeat([]float64{-w}, 600), slices.Repeat([]float64{w}, 840))}
		study := mustStudy(t, y, Path{ChargeEfficiency: 0.01, DischargeEfficiency: 0.01}, 8760)
		// From full the ten hours need 10 w h at 1 % efficiency. Then 14 w h at 1 % come back, far too little for the
		// next ten.
		got := mustSurvive(t, study, 1000*w*(1+1e-9), 1)
		if got.Hours[0] != 24 || got.Hours[10] != 38 {
			t.Errorf("%g W: %d h from 0 h and %d h from 10 h, want 24 and 38", w, got.Hours[0], got.Hours[10])
		}
		if got := mustSurvive(t, study, 0, 1); got.Hours[0] != 0 || got.Hours[10] != 14 {
			t.Errorf("%g W and no bank: %d h and %d h, want 0 and 14", w, got.Hours[0], got.Hours[10])
		}
	}
}
