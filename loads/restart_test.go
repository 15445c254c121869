package loads

import (
	"math"
	"slices"
	"testing"
)

func TestRestartAtOnce(t *testing.T) {
	pumps := starting("pump", 3000, 500)
	pumps.Quantity = 2
	s := NewSet(1, []Load{pumps, steady("lamp", 100), on(steady("oven", 2000), 1020, 1080)})
	for _, tt := range []struct {
		rating float64
		fits   bool
	}{{8100, true}, {math.Nextafter(8100, 0), false}} {
		r := s.Restart(constant(tt.rating))
		if r.VA != 8100 || r.AtMin != 1020 || r.DemandVA != 8100 || r.LimitVA != tt.rating || r.Phase != 0 ||
			r.Seconds != 3 || r.TightAtMin != 1020 || r.FitsAtOnce != tt.fits {
			t.Errorf("rated %g VA: %+v, want 8100 VA at 1020, fits: %t", tt.rating, r, tt.fits)
		}
	}
}

func TestRestartUsesTheRatingForItsTime(t *testing.T) {
	slow := on(starting("slow", 2000, 500), 600, 660)
	slow.Start.Seconds = 30
	s := NewSet(1, []Load{on(starting("quick", 3000, 500), 360, 420), slow, on(steady("oven", 1500), 1020, 1080)})
	// 3000 of 4000 VA, 2000 of 2500 VA for 30 s, 1500 of 1800 VA for ever: the last is the tightest.
	r := s.Restart(func(seconds float64) float64 {
		switch {
		case seconds <= 10:
			return 4000
		case seconds <= 60:
			return 2500
		}
		return 1800
	})
	if r.VA != 3000 || r.AtMin != 360 || r.DemandVA != 1500 || r.LimitVA != 1800 || r.TightAtMin != 1020 ||
		r.Seconds != 0 || !r.FitsAtOnce {
		t.Errorf("%+v, want 3000 VA at 360, but 1500 of 1800 VA at 1020 as the tightest", r)
	}
}

func TestRestartTimesEachChoice(t *testing.T) {
	lock := func(l Load, name string, seconds float64) Load {
		l.Interlock, l.Start.Seconds = name, seconds
		return l
	}
	rating := func(seconds float64) float64 {
		switch {
		case seconds <= 1:
			return 5000
		case seconds <= 30:
			return 3000
		}
		return 2000
	}
	// Either 4000 VA for 1 s or 2100 VA for 30 s: never 4000 VA for 30 s.
	s := NewSet(1, []Load{lock(starting("pump", 4000, 500), "x", 1), lock(starting("heater", 2100, 2000), "x", 30)})
	if r := s.Restart(rating); !r.FitsAtOnce || r.VA != 4000 || r.DemandVA != 4000 || r.LimitVA != 5000 ||
		r.Seconds != 1 {
		t.Errorf("%+v, want 4000 of 5000 VA for 1 s", r)
	}
	// A load without interlock that starts as slowly makes the pump count for 30 s too.
	slow := starting("slow", 100, 50)
	slow.Start.Seconds = 30
	s = NewSet(1, []Load{lock(starting("pump", 2850, 500), "x", 1), lock(starting("heater", 2100, 2000), "x", 30),
		slow})
	if r := s.Restart(rating); !r.FitsAtOnce || r.DemandVA != 2950 || r.LimitVA != 3000 || r.Seconds != 30 {
		t.Errorf("%+v, want 2950 of 3000 VA for 30 s", r)
	}
}

func TestRestartOnAPhase(t *testing.T) {
	a, b := starting("a", 3000, 500), starting("b", 2000, 400)
	a.Phase, b.Phase = 1, 2
	r := NewSet(3, []Load{a, b}).Restart(constant(8400))
	if r.VA != 5000 || r.Phase != 1 || r.DemandVA != 3000 || r.LimitVA != 2800 || r.FitsAtOnce || r.Order != nil ||
		r.Blocked != "a" {
		t.Errorf("%+v, want 3000 VA on phase 1 against 2800 VA, and a blocked", r)
	}
}

// reactive is a load that takes next to no watts.
func reactive(name string, va float64) Load {
	l := steady(name, va*0.001)
	l.PowerFactor = 0.001
	return l
}

func TestRestartOverByLessThanATie(t *testing.T) {
	over := math.Nextafter(1000, 2000)
	r := NewSet(1, []Load{on(steady("a", 1000), 60, 120), on(steady("b", over), 600, 660)}).Restart(constant(1000))
	if r.FitsAtOnce || r.DemandVA != over || r.TightAtMin != 600 || r.Blocked != "b" {
		t.Errorf("%+v, want the last bit above 1000 VA at 600 not to fit", r)
	}
}

func TestRestartOrder(t *testing.T) {
	lock := func(l Load, name string) Load { l.Interlock = name; return l }
	for _, tt := range []struct {
		name    string
		ls      []Load
		rating  func(float64) float64
		order   []string
		blocked string
		at      int
	}{
		{"largest first", []Load{starting("a", 1000, 100), starting("c", 3000, 100), starting("b", 2000, 100)},
			constant(3000), []string{"c", "b", "a"}, "", 0},
		{"equal starts by name", []Load{starting("b", 900, 100), starting("a", 900, 100), starting("c", 900, 100)},
			constant(1100), []string{"a", "b", "c"}, "", 0},
		{"the smaller start has to go first where it runs at little and the larger runs at much",
			[]Load{starting("heavy", 3000, 2900), starting("light", 2000, 100)},
			constant(3100), []string{"light", "heavy"}, "", 0},
		{"what does not start needs the continuous rating, so it comes before the overload",
			[]Load{starting("pump", 4000, 1500), starting("fan", 1000, 100), steady("oven", 2000)},
			twoStep(6500, 2500), []string{"oven", "pump", "fan"}, "", 0},
		{"too large alone", []Load{starting("pump", 4000, 500), steady("lamp", 10)}, constant(3999), nil, "pump", 0},
		{"none fits beside the other", []Load{starting("a", 3000, 2000), starting("b", 3500, 1500)}, constant(4000),
			nil, "b", 0},
		{"one of an interlock", []Load{lock(starting("a", 3000, 500), "x"), lock(starting("b", 2000, 900), "x"),
			starting("c", 2500, 100)},
			constant(3400), []string{"a", "c"}, "", 0},
		{"every member must be able to start", []Load{lock(starting("a", 3000, 500), "x"),
			lock(Load{Name: "b", Quantity: 1, RunningW: 2000}, "x"), starting("c", 2500, 100)},
			twoStep(4500, 1999), nil, "a", 0},
		{"an interlock is as bad as one member, not as the worst of each",
			// Beside b, 1000 W or 1000 VAr; both together would be too much.
			[]Load{lock(starting("hot", 1001, 1000), "x"), lock(reactive("coil", 1000), "x"), starting("a", 1000, 10),
				starting("b", 900, 10)},
			constant(2010), []string{"hot", "a", "b"}, "", 0},
		{"two of them, of which one makes room",
			[]Load{lock(starting("hot", 2100, 1000), "x"), lock(reactive("coil", 2000), "x"),
				lock(starting("warm", 1200, 990), "y"), lock(steady("tepid", 500), "y"), starting("a", 700, 5)},
			constant(2500), []string{"hot", "a", "warm"}, "", 0},
		{"the first minute without an order is named, though a later one is fuller",
			[]Load{starting("always", 900, 10), on(starting("early", 2100, 10), 60, 120),
				on(starting("late", 2200, 10), 600, 660),
				on(steady("more", 10), 600, 660), on(starting("tight", 2000, 10), 900, 960),
				on(starting("also", 2000, 10), 900, 960)},
			constant(2050), nil, "early", 60},
		{"another minute has no order", []Load{on(starting("a", 3000, 100), 60, 120),
			on(starting("b", 3900, 100), 60, 120),
			on(starting("c", 4001, 100), 600, 660)}, constant(4000), nil, "c", 600},
	} {
		r := NewSet(1, tt.ls).Restart(tt.rating)
		if r.FitsAtOnce || !slices.Equal(r.Order, tt.order) || r.Blocked != tt.blocked || r.BlockedAtMin != tt.at {
			t.Errorf("%s: order %q, blocked %q at %d, want %q, %q at %d", tt.name, r.Order, r.Blocked, r.BlockedAtMin,
				tt.order, tt.blocked, tt.at)
		}
	}
}

func TestRestartWithoutRating(t *testing.T) {
	r := NewSet(1, []Load{steady("a", 100)}).Restart(constant(0))
	if r.FitsAtOnce || r.Blocked != "a" || r.DemandVA != 100 || r.LimitVA != 0 {
		t.Errorf("rated 0: %+v, want nothing to fit", r)
	}
	if r := NewSet(1, nil).Restart(constant(0)); !r.FitsAtOnce || r.Blocked != "" {
		t.Errorf("nothing to start: %+v, want it to fit", r)
	}
}
