package loads

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

func on(l Load, start, end int) Load {
	l.Windows = []Window{{start, end}}
	return l
}

func TestScheduled(t *testing.T) {
	weak := on(steady("motor", 800), 420, 480)
	weak.PowerFactor = 0.5 // 1600 VA
	got := NewSet(1, []Load{
		on(steady("heater", 1000), 360, 480), on(steady("toaster", 300), 360, 420), weak,
		on(steady("night store", 1700), 1320, 360),
	}).Scheduled()
	// 06:00 1300 W; 07:00 1800 W with 1386 VAr; the night's 1700 W begin at 00:00 of the same day.
	want := Demand{W: 1800, AtMin: 420, VA: math.Hypot(1800, 800*math.Sqrt(3)), VAAtMin: 420}
	want.PhaseW, want.PhaseVA = []float64{want.W}, []float64{want.VA}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("scheduled (-want +got):\n%s", diff)
	}
}

func TestScheduledNamesTheFirstMinute(t *testing.T) {
	for _, tt := range []struct {
		name string
		ls   []Load
		want int
	}{
		{"nothing", nil, 0},
		{"a night from the evening on is worst at its first minute of the day",
			[]Load{on(steady("a", 1), 1320, 360)}, 0},
		{"until midnight", []Load{on(steady("a", 1), 1320, 1440)}, 1320},
		{"until midnight, as 0", []Load{on(steady("a", 1), 1320, 0)}, 1320},
		{"two equal peaks", []Load{on(steady("a", 1), 600, 660), on(steady("b", 1), 60, 120)}, 60},
		// 0.1 + 0.2 + 0.3 and 0.3 + 0.3 differ in the last bit only
		{"equal but for rounding", []Load{on(steady("a", 0.1), 60, 120), on(steady("b", 0.2), 60, 120),
			on(steady("c", 0.3), 60, 120), on(steady("d", 0.6000000000000001), 600, 660)}, 60},
	} {
		if got := NewSet(1, tt.ls).Scheduled(); got.AtMin != tt.want || got.VAAtMin != tt.want {
			t.Errorf("%s: W at %d, VA at %d, want %d", tt.name, got.AtMin, got.VAAtMin, tt.want)
		}
	}
}

func TestPhases(t *testing.T) {
	a, b, all := steady("a", 1000), steady("b", 600), steady("pump", 3000)
	a.Phase, b.Phase, all.PowerFactor = 1, 2, 0.6 // 4000 VAr
	got := NewSet(3, []Load{a, b, all}).Connected()
	want := Demand{
		W: 4600, VA: math.Hypot(4600, 4000),
		PhaseW:  []float64{2000, 1600, 1000},
		PhaseVA: []float64{math.Hypot(2000, 4000.0/3), math.Hypot(1600, 4000.0/3), math.Hypot(1000, 4000.0/3)},
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("three phases (-want +got):\n%s", diff)
	}
	split := NewSet(2, []Load{a, b}).Connected()
	if split.W != 1600 || split.VA != 1600 || !slices.Equal(split.PhaseW, []float64{1000, 600}) {
		t.Errorf("split-phase: %+v, want 1600 W, 1000 W and 600 W by phase", split)
	}
}

func TestInterlock(t *testing.T) {
	lock := func(l Load, pf float64, phase int) Load {
		l.Interlock, l.PowerFactor, l.Phase = "either", pf, phase
		return l
	}
	// The heater has more W, the welder more VA; on phase 2 only the welder counts.
	heater, welder := lock(steady("heater", 2000), 1, 1), lock(steady("welder", 1500), 0.5, 2)
	s := NewSet(2, []Load{heater, welder, steady("rest", 100)})
	got := s.Connected()
	want := Demand{W: 2100, VA: math.Hypot(1600, 1500*math.Sqrt(3)), PhaseW: []float64{2050, 1550},
		PhaseVA: []float64{2050, math.Hypot(1550, 1500*math.Sqrt(3))}}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("interlock (-want +got):\n%s", diff)
	}
	heater.HoursPerDay, welder.HoursPerDay = 3, 2
	if wh := NewSet(2, []Load{heater, welder}).EnergyWhPerDay(); wh != 9000 {
		t.Errorf("energy %g Wh, want 9000: both take turns", wh)
	}
}

func TestVerticesEqualEveryCombination(t *testing.T) {
	number := rapid.OneOf(rapid.Float64Range(0, 1000), rapid.Map(rapid.IntRange(0, 5),
		func(n int) float64 { return float64(n) }))
	plain := rapid.OneOf(rapid.Just(0.0), number)
	gen := rapid.Custom(func(t *rapid.T) draw {
		return draw{Power{number.Draw(t, "w"), number.Draw(t, "var")}, plain.Draw(t, "plain")}
	})
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(rapid.SliceOfN(gen, 1, 5), 0, 5).Draw(t, "groups")
		base := gen.Draw(t, "base")
		if got, want := reach(base, vertices(groups)), bruteVA(base, groups); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%g VA, want %g", got, want)
		}
	})
}

// TestVerticesTurnBackwards has members whose reach is equal at an angle that comes out below -pi.
func TestVerticesTurnBackwards(t *testing.T) {
	groups := [][]draw{{{Power{5, 1}, 0}, {Power{1, 0}, 2.96875}}}
	base := draw{Power: Power{0, 4}}
	if got, want := reach(base, vertices(groups)), math.Hypot(1, 4)+2.96875; got != want {
		t.Errorf("%g VA, want %g", got, want)
	}
}

func TestVerticesStayFew(t *testing.T) {
	// 40 interlocks of 3 have 3^40 combinations, but turn at most 2 * 40 times.
	var groups [][]draw
	for g := range 40 {
		a, b := float64(g+1), float64(2*g+3)
		groups = append(groups, []draw{{Power{a, 0}, 0}, {Power{a * 0.8, b * 0.6}, 0}, {Power{0, b}, 0}})
	}
	if n := len(vertices(groups)); n > 81 {
		t.Errorf("%d vertices, want at most 81", n)
	}
}

func TestDemandLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 0, 14).Draw(t, "loads")
		s := NewSet(phases, ls)
		connected, scheduled := s.Connected(), s.Scheduled()
		w, err := s.Probable(0.99)
		if err != nil {
			t.Fatal(err)
		}
		if connected.W < scheduled.W || scheduled.W < w || connected.VA < scheduled.VA {
			t.Fatalf("connected %+v, scheduled %+v, probable %g W", connected, scheduled, w)
		}
		for k := range phases {
			if connected.PhaseW[k] < scheduled.PhaseW[k] || connected.PhaseVA[k] < scheduled.PhaseVA[k] {
				t.Fatalf("phase %d: connected %+v, scheduled %+v", k+1, connected, scheduled)
			}
		}

		// One more load never lowers anything. Of probability only outside interlocks: a member may take
		// another one's turn.
		more := genLoad(phases).Draw(t, "more")
		more.Name = "more"
		bigger := NewSet(phases, append(slices.Clone(ls), more))
		after := bigger.Scheduled()
		if after.W < scheduled.W || after.VA < scheduled.VA*(1-1e-12) || bigger.EnergyWhPerDay() < s.EnergyWhPerDay() {
			t.Fatalf("with one more load %+v, before %+v", after, scheduled)
		}
		if more.Interlock == "" {
			if after, _ := bigger.Probable(0.99); after < w {
				t.Fatalf("with one more load %g W are probable, before %g W", after, w)
			}
		}

		// Twice the power is twice the demand.
		double := slices.Clone(ls)
		for i := range double {
			double[i].RunningW *= 2
		}
		twice := NewSet(phases, double)
		if d := twice.Scheduled(); d.W != 2*scheduled.W || !near(d.VA, 2*scheduled.VA) {
			t.Fatalf("doubled %+v, single %+v", d, scheduled)
		}
		if d, _ := twice.Probable(0.99); d != 2*w {
			t.Fatalf("doubled %g W are probable, single %g W", d, w)
		}
		if d := s.ScheduledWith(func(Load) float64 { return 2 }); d.W != 2*scheduled.W || d.AtMin != scheduled.AtMin {
			t.Fatalf("weight 2: %+v, single %+v", d, scheduled)
		}
	})
}

func TestScheduledEqualsEveryMinute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 0, 9).Draw(t, "loads")
		got := NewSet(phases, ls).Scheduled()
		var w, va worst
		for minute := range minutesPerDay {
			if minute%60 > 1 { // windows begin and end on the hour
				continue
			}
			rest, groups := split(ls, minute)
			watts := rest.W
			for _, g := range groups {
				watts += slices.MaxFunc(g, func(a, b draw) int { return int(a.W - b.W) }).W
			}
			w.offer(watts, float64(minute))
			va.offer(bruteVA(rest, groups), float64(minute))
		}
		if !near(got.W, w.value) || got.AtMin != int(w.at) || !near(got.VA, va.value) || got.VAAtMin != int(va.at) {
			t.Fatalf("%+v, want %+v W and %+v VA", got, w, va)
		}
	})
}

// split returns the running power of the loads without interlock at a minute, and the choices of each
// interlock.
func split(ls []Load, minute int) (rest draw, groups [][]draw) {
	of := map[string]int{}
	for _, l := range ls {
		d := draw{Power: l.RunningAll()}
		switch at, known := of[l.Interlock]; {
		case !l.ActiveAt(minute):
		case l.Interlock == "":
			rest = rest.add(d)
		case known:
			groups[at] = append(groups[at], d)
		default:
			of[l.Interlock] = len(groups)
			groups = append(groups, []draw{d})
		}
	}
	return rest, groups
}

// TestOrderOfTheFile is the promise of equal bits whatever the order of the loads.
func TestOrderOfTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 0, 12).Draw(t, "loads")
		mixed := rapid.Permutation(ls).Draw(t, "mixed")
		type results struct {
			Connected, Scheduled Demand
			Probable, Energy     float64
			Profile              Profile
			Surges               []Surge
			Restart, Fits        Restart
		}
		all := func(ls []Load) results {
			s := NewSet(phases, ls)
			w, _ := s.Probable(0.97)
			limit := 0.7 * s.Restart(constant(1)).VA
			r := results{s.Connected(), s.Scheduled(), w, s.EnergyWhPerDay(), s.Profile(), s.Surges(),
				s.Restart(twoStep(limit, limit*0.8)), s.Restart(constant(2 * limit))}
			for i := range r.Surges {
				if r.Surges[i].Load != ls[r.Surges[i].Index].Name {
					t.Fatalf("surge of %q names load %d, which is %q", r.Surges[i].Load, r.Surges[i].Index,
						ls[r.Surges[i].Index].Name)
				}
				r.Surges[i].Index = 0
			}
			slices.SortFunc(r.Surges, func(a, b Surge) int { return slices.Compare([]byte(a.Load), []byte(b.Load)) })
			return r
		}
		if a, b := all(ls), all(mixed); !reflect.DeepEqual(a, b) {
			t.Fatalf("the order of the loads matters:\n%s", cmp.Diff(a, b))
		}
	})
}

func TestProfileOfASet(t *testing.T) {
	wrapped := on(steady("heater", 1000), 1380, 60) // 23:00 to 01:00, half of the time
	base := steady("fridge", 120)
	base.HoursPerDay = 8
	got := NewSet(1, []Load{wrapped, base}).Profile()
	want := Profile{{0, 60, 540}, {60, 1380, 40}, {1380, 1440, 540}}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("profile (-want +got):\n%s", diff)
	}
}
