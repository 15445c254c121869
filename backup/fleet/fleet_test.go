package fleet

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"outlast/backup/verdict"
)

// A quantile is the value of a home: at least the share have no more, and fewer than the share have less. So it needs
// no convention of what lies between two homes.
func TestQuantile(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 1; n < 60; n++ {
		var s Spread
		var all []float64
		for range n {
			v := float64(r.IntN(20))
			all = append(all, v)
			s.add(v, false)
		}
		for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
			got := s.Quantile(share)
			upTo, below := 0, 0
			for _, v := range all {
				if v <= got {
					upTo++
				}
				if v < got {
					below++
				}
			}
			if !slices.Contains(all, got) || float64(upTo) < share*float64(n) || share > 0 &&
				float64(below) >= share*float64(n) || share == 0 && below > 0 {
				t.Errorf("of %d homes: quantile %g is %g; %d have no more, %d less", n, share, got, upTo, below)
			}
			if share == 0.5 && 2*(n-below) < n {
				t.Errorf("of %d homes fewer than half have the median %g or more", n, got)
			}
		}
		s.add(100, true) // and it is sorted anew
		if s.Quantile(1) != 100 || s.Ended() != 1 || s.Homes() != n+1 {
			t.Errorf("the most is %g, %d ended, of %d", s.Quantile(1), s.Ended(), s.Homes())
		}
	}
	var none Spread
	if !math.IsNaN(none.Quantile(0.5)) {
		t.Error("no homes have a median")
	}
}

// drawn is a home of few figures, so that many are equal.
func drawn(r *rand.Rand, n int) Home {
	h := Home{File: fmt.Sprint(n), Verdict: verdict.Pass, RequiredH: float64(1 + r.IntN(3)), Hours: float64(r.IntN(6))}
	for _, check := range []string{"autonomy", "slip", "cable-circuit", "inverter-surge"} {
		switch r.IntN(8) {
		case 0:
			h.Failing, h.Verdict = append(h.Failing, check), verdict.Fail
		case 1:
			h.Cautions, h.Verdict = append(h.Cautions, check), verdict.Worse(h.Verdict, verdict.Caution)
		}
	}
	return h
}

// TestCount: the counts are those of a plain count, and the worst are the first of a stable sort of all.
func TestCount(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{1, 5, 10, 11, 200} {
		var c Count
		var all []Home
		for i := range n {
			h := drawn(r, i)
			all = append(all, h)
			c.Add(h)
		}
		slices.SortStableFunc(all, worse)
		fails := map[string]int{}
		failing := 0
		for _, h := range all {
			for _, check := range h.Failing {
				fails[check]++
			}
			if !h.Passes() {
				failing++
			}
		}
		if c.Homes != n || c.Fail != failing || c.Pass+c.Caution != n-failing {
			t.Errorf("%d homes, %d failing: counted %+v", n, failing, c)
		}
		last := math.MaxInt
		for _, tally := range c.Tallies() {
			if tally.Fails != fails[tally.Check] || tally.Fails > last {
				t.Errorf("%s fails in %d homes, after %d; want %d", tally.Check, tally.Fails, last, fails[tally.Check])
			}
			last = tally.Fails
		}
		if len(c.Worst) != min(n, MostWorst) {
			t.Fatalf("%d of the worst, of %d homes", len(c.Worst), n)
		}
		for i, h := range c.Worst {
			if h.File != all[i].File {
				t.Errorf("of %d homes: the worst but %d is %s, want %s", n, i, h.File, all[i].File)
			}
		}
	}
}

func TestAddChanged(t *testing.T) {
	pass := func(h float64) Home { return Home{Verdict: verdict.Caution, RequiredH: 4, Hours: h} }
	fail := func(h float64) Home {
		return Home{Verdict: verdict.Fail, RequiredH: 4, Hours: h, Failing: []string{"autonomy"}}
	}
	var c Count
	first := errors.New("first")
	for _, x := range []struct {
		base, changed Home
		err           error
	}{{fail(2), pass(5), nil}, {fail(2), fail(3), nil}, {pass(6), fail(1), nil}, {pass(6), pass(6), nil},
		{fail(1), Home{}, first}, {pass(5), Home{}, errors.New("second")}} {
		c.Add(x.base)
		c.AddChanged(x.base, x.changed, x.err)
	}
	ch := c.Changed
	if ch.Homes != 4 || ch.Unsuited != 2 || !errors.Is(ch.Unsuiting, first) || ch.Passed != 2 || ch.Pass != 2 ||
		ch.Gained != 1 || ch.Lost != 1 {
		t.Errorf("%+v", ch)
	}
	if ch.Hours.Quantile(0) != -5 || ch.Hours.Quantile(0.5) != 0 || ch.Hours.Quantile(1) != 3 {
		t.Errorf("gains from %g over %g to %g", ch.Hours.Quantile(0), ch.Hours.Quantile(0.5), ch.Hours.Quantile(1))
	}
	if got := c.Tallies(); len(got) != 1 || got[0] != (Tally{"autonomy", 3, 0, 2}) {
		t.Errorf("tallies %+v", got)
	}
}
