package loads

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

func TestSurge(t *testing.T) {
	pump := on(starting("pump", 0, 1100), 360, 540)
	pump.PowerFactor, pump.Quantity = 0.8, 2
	pump.Start = &Start{Power: FromPF(5200*0.45, 0.45), Seconds: 1.5}
	drill := steady("drill", 500)
	drill.Start = &Start{PlainVA: 900, Seconds: 2}
	got := NewSet(1, []Load{pump, on(steady("kettle", 2000), 480, 550), drill}).Surges()

	run := FromPF(1100, 0.8)
	pumpStart := pump.Start.Power.Add(run).Add(Power{W: 2500})
	drillStart := run.Scale(2).Add(Power{W: 2000})
	want := []Surge{
		{Load: "pump", Index: 0, AtMin: 480, W: pumpStart.W, VA: pumpStart.VA(), Seconds: 1.5, MaxW: pumpStart.W,
			MaxWAtMin: 480},
		// The angle of its start is not known: 900 VA on top of the vector of the rest, and 900 W.
		{Load: "drill", Index: 2, AtMin: 480, W: drillStart.W + 900, VA: drillStart.VA() + 900, Seconds: 2,
			MaxW: drillStart.W + 900, MaxWAtMin: 480},
	}
	for i := range want {
		want[i].BalancedVA = want[i].VA
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Errorf("surges (-want +got):\n%s", diff)
	}
}

func TestSurgeOfAPhase(t *testing.T) {
	phase := func(l Load, phase int) Load { l.Phase = phase; return l }
	s := NewSet(3, []Load{
		phase(starting("pump", 3000, 500), 2), phase(steady("stove", 1000), 2), phase(steady("light", 100), 1),
		starting("compressor", 6000, 1500),
	})
	got := s.Surges()
	want := []Surge{
		// Phase 2 carries 3000 + 1000 + 500 W: three times that is more than the total.
		{Load: "pump", AtMin: 0, W: 5600, VA: 5600, Seconds: 3, BalancedVA: 13500, Phase: 2, PhaseVA: 4500, MaxW: 5600},
		{Load: "compressor", Index: 3, W: 7600, VA: 7600, Seconds: 3, BalancedVA: 10500, Phase: 2, PhaseVA: 3500,
			MaxW: 7600},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("surges (-want +got):\n%s", diff)
	}
	// Spread evenly, the total governs, whatever a third of it rounds to.
	for _, s := range NewSet(3, []Load{starting("a", 1000.1, 100)}).Surges() {
		if s.Phase != 0 || s.BalancedVA != 1000.1 {
			t.Errorf("an even start: %+v, want the total of 1000.1 VA to govern", s)
		}
	}
}

func TestSurgeWorstMinutes(t *testing.T) {
	// At 06:00 the most VA, at 12:00 the most watts.
	motor := on(steady("motor", 1000), 360, 420)
	motor.PowerFactor = 0.3
	s := NewSet(1, []Load{starting("pump", 2000, 500), motor, on(steady("oven", 1800), 720, 780)}).Surges()[0]
	if s.AtMin != 360 || s.W != 3000 || s.MaxW != 3800 || s.MaxWAtMin != 720 {
		t.Errorf("%+v, want 3000 W at 360 and at most 3800 W at 720", s)
	}
}

func TestSurgeOfFewWatts(t *testing.T) {
	// A start of 1200 VA of which 480 W are real, of a motor that then takes 1000 W: the bank gives 1000 W.
	motor := steady("motor", 1000)
	motor.Start = &Start{Power: FromPF(480, 0.4), Seconds: 3}
	lamp := steady("lamp", 100)
	for _, lock := range []string{"", "x"} {
		motor.Interlock = lock
		s := NewSet(1, []Load{motor, lamp}).Surges()[0]
		if want := math.Hypot(580, motor.Start.Power.VAr); !near(s.W, 580) || !near(s.VA, want) || !near(s.MaxW, 1100) {
			t.Errorf("interlock %q: %+v, want 580 W, %.1f VA and at most 1100 W", lock, s, want)
		}
		motor.Quantity = 2
		if s := NewSet(1, []Load{motor, lamp}).Surges()[0]; !near(s.W, 1580) || !near(s.MaxW, 2100) {
			t.Errorf("interlock %q: %+v, want 1580 W and at most 2100 W", lock, s)
		}
		motor.Quantity = 1
	}
}

// TestSurgeChoosesForEachFigure has an interlock of one member with more watts and one with more VA.
func TestSurgeChoosesForEachFigure(t *testing.T) {
	lock := func(l Load) Load { l.Interlock = "x"; return l }
	s := NewSet(1, []Load{starting("pump", 2000, 500), lock(steady("heater", 900)),
		lock(reactive("coil", 3000))}).Surges()[0]
	if s.W != 2900 || s.VA < 3600 {
		t.Errorf("%+v, want 2900 W beside the heater, and the VA beside the coil", s)
	}
}

func TestSurgeExcludesItsInterlock(t *testing.T) {
	lock := func(l Load, name string) Load { l.Interlock = name; return l }
	pump := lock(starting("pump", 3000, 500), "water")
	pump.Quantity = 2
	s := NewSet(1, []Load{pump, lock(steady("irrigation", 2500), "water"),
		lock(steady("oven", 2000), "kitchen"), lock(steady("hob", 1800), "kitchen")}).Surges()
	if len(s) != 1 || s[0].W != 3000+500+2000 {
		t.Errorf("%+v, want 5500 W: the start, the other pump and the oven", s)
	}
}

func TestNoSurges(t *testing.T) {
	none := starting("none", 500, 100)
	none.Quantity = 0
	if s := NewSet(1, []Load{steady("lamp", 100), none}).Surges(); s != nil {
		t.Errorf("%+v, want no start", s)
	}
	zero := starting("zero", 0, 0)
	if s := NewSet(1, []Load{zero}).Surges(); len(s) != 1 || s[0].VA != 0 || s[0].Load != "zero" {
		t.Errorf("%+v, want a start of 0 VA", s)
	}
}

func TestSurgesEqualEveryMinute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 0, 8).Draw(t, "loads")
		surges := NewSet(phases, ls).Surges()
		next := 0
		for i, l := range ls {
			if l.Start == nil {
				continue
			}
			var want Surge
			var watts worst
			for minute := 0; minute < minutesPerDay; minute += 60 { // windows begin and end on the hour
				if !l.ActiveAt(minute) {
					continue
				}
				w, va, byPhase := bruteStart(phases, ls, i, minute)
				balanced := max(va, float64(phases)*slices.Max(byPhase))
				if !watts.any || balanced > want.BalancedVA*(1+1e-11) || balanced > want.BalancedVA*(1-1e-11) &&
					va > want.VA*(1+1e-11) {
					want = Surge{AtMin: minute, W: w, VA: va, BalancedVA: balanced}
				}
				watts.offer(w, float64(minute))
			}
			got := surges[next]
			next++
			if got.Index != i || got.AtMin != want.AtMin || !near(got.W, want.W) || !near(got.VA, want.VA) ||
				!near(got.BalancedVA, want.BalancedVA) || !near(got.MaxW, watts.value) ||
				got.MaxWAtMin != int(watts.at) {
				t.Fatalf("%+v, want %+v and at most %+v W", got, want, watts)
			}
			if got.Phase > 0 && !near(got.PhaseVA*float64(phases), got.BalancedVA) || got.Phase == 0 &&
				got.BalancedVA != got.VA {
				t.Fatalf("%+v contradicts itself", got)
			}
		}
		if next != len(surges) {
			t.Fatalf("%d surges, want %d", len(surges), next)
		}
	})
}

// bruteStart tries every choice of the interlocks while one unit of ls[i] starts: largest watts and VA in
// total, and VA by phase.
func bruteStart(phases int, ls []Load, i, minute int) (w, va float64, byPhase []float64) {
	of := map[string]int{}
	var groups [][]int
	var rest []int
	for k, l := range ls {
		switch at, known := of[l.Interlock]; {
		case k == i || !l.ActiveAt(minute) || l.Interlock != "" && l.Interlock == ls[i].Interlock:
		case l.Interlock == "":
			rest = append(rest, k)
		case known:
			groups[at] = append(groups[at], k)
		default:
			of[l.Interlock] = len(groups)
			groups = append(groups, []int{k})
		}
	}
	share := func(l Load, lane int, p Power) Power { return part(l, lane, phases, draw{Power: p}).Power }
	byPhase = make([]float64, phases)
	var try func(g int, chosen []int)
	try = func(g int, chosen []int) {
		if g < len(groups) {
			for _, k := range groups[g] {
				try(g+1, append(slices.Clone(chosen), k))
			}
			return
		}
		for lane := range phases + 1 {
			l := ls[i]
			sum := share(l, lane, l.Start.Power.Add(l.Running().Scale(float64(l.Quantity-1))))
			plain := share(l, lane, Power{W: l.Start.PlainVA}).W
			for _, k := range chosen {
				sum = sum.Add(share(ls[k], lane, ls[k].RunningAll()))
			}
			if lane == 0 {
				w, va = max(w, sum.W+plain), max(va, sum.VA()+plain)
			}
			if lane > 0 {
				byPhase[lane-1] = max(byPhase[lane-1], sum.VA()+plain)
			}
			if phases == 1 {
				byPhase[0] = max(byPhase[0], sum.VA()+plain)
			}
		}
	}
	try(0, rest)
	return w, va, byPhase
}

func TestStart(t *testing.T) {
	known := Start{Power: FromPF(3000, 0.6)}
	plain := Start{PlainVA: 5200}
	check(t, []fact{
		{"VA", "own, by hand", known.VA(), 5000, 1e-9},
		{"watts", "own, by hand", known.Watts(), 3000, 0},
		{"plain VA", "own, by hand", plain.VA(), 5200, 0},
		{"all of it watts", "own, by hand", plain.Watts(), 5200, 0},
	})
	if math.IsNaN((Start{}).VA()) {
		t.Error("no start is no number")
	}
}
