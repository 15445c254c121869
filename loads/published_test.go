package loads

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

func TestVectorSums(t *testing.T) {
	const pumps = "two pump makers' manuals, ratings of generators: kVA beside kW, SEEN"
	var facts []fact
	// Printed to a tenth, halves up.
	for _, p := range []struct{ kw, kva float64 }{
		{1.5, 1.9}, {1.75, 2.2}, {2, 2.5}, {2.5, 3.1}, {3, 3.8}, {3.2, 4}, {3.5, 4.4}, {4, 5}, {5, 6.3}, {6, 7.5},
		{7.5, 9.4}, {10, 12.5}, {15, 18.8},
	} {
		facts = append(facts, fact{fmt.Sprintf("%g kW at 0.8", p.kw), pumps, FromPF(p.kw, 0.8).VA(), p.kva, 0.0501})
	}
	// 10, 8 and 6 A at 120 degrees, the neutral current. Code forum, SEEN, printed answer wrong: 15.1 A
	// adds two products that are to be subtracted; sqrt(200 - 188) is right.
	neutral := Power{}
	for k, a := range []float64{10, 8, 6} {
		sin, cos := math.Sincos(float64(k) * 2 * math.Pi / 3)
		neutral = neutral.Add(Power{a * cos, a * sin})
	}
	facts = append(facts, fact{"neutral of 10, 8, 6 A", "code forum, SEEN, printed answer wrong", neutral.VA(), 3.464,
		0.0005})
	check(t, facts)
	if p := FromPF(1234.5, 1); p.VAr != 0 || p.W != 1234.5 {
		t.Errorf("at power factor 1: %+v, want no VAr", p)
	}
}

func TestEnergyExamples(t *testing.T) {
	const doe = "US Department of Energy method, as reproduced by City of Livonia, SEEN"
	const third = "DOE compressor rule, plugged-in time / 3, SEEN; 725 W SEEN, product derived"
	energy := func(w, hours float64) float64 {
		l := steady("x", w)
		l.HoursPerDay = hours
		return NewSet(1, []Load{l}).EnergyWhPerDay()
	}
	fridge := likely("refrigerator", 725, 1.0/3)
	check(t, []fact{
		{"computer and monitor, kWh a year", doe, (energy(120, 4) + energy(150, 4)) * 365 / 1000, 394, 0.5},
		{"window fan, kWh in 120 days", doe, energy(200, 4) * 120 / 1000, 96, 0.5},
		{"refrigerator, Wh a day", third, energy(725, 24.0/3), 5800, 1e-9},
		{"refrigerator, share", third, fridge.Share(), 1.0 / 3, 1e-15},
		{"breathing aid, 40 W for 8 h, kWh", "user measurement, second page, SEEN", energy(40, 8) / 1000, 0.32, 1e-12},
	})
}

func TestUtilityLists(t *testing.T) {
	const hydro = "Manitoba Hydro, Standby electric generators, SEEN"
	const staggered = hydro + "; sequence derived"
	// Starting and running watts as listed; the steady loads of the same page follow.
	motors := []Load{
		starting("refrigerator", 2500, 800), starting("well pump", 2000, 750),
		starting("furnace fan", 1400, 700), starting("sump pump", 1400, 750),
	}
	all := append(slices.Clone(motors), steady("radio", 100), steady("microwave", 750), steady("coffee maker", 850))
	s := NewSet(1, all)
	first := s.Surges()[0]
	check(t, []fact{
		{"list total, W", hydro, s.Connected().W, 4700, 0},
		{"list total, scheduled", hydro, s.Scheduled().W, 4700, 0},
		{"all at once, W", staggered, s.Restart(constant(1e6)).VA, 9000, 0},
		{"largest motor last", staggered, first.W, 6400, 0},
		{"largest motor last, VA", staggered, first.VA, 6400, 0},
	})

	// Each motor on top of what runs already, largest first.
	want := []float64{2500, 2800, 2950, 3650, 4700}
	order := s.Restart(constant(4700)).Order
	if len(order) != len(all) || order[0] != "refrigerator" || order[1] != "well pump" {
		t.Fatalf("order %q, want all %d loads, the refrigerator and then the well pump first", order, len(all))
	}
	running, peak := 0.0, 0.0
	var peaks []float64
	for _, name := range order {
		l := all[slices.IndexFunc(all, func(l Load) bool { return l.Name == name })]
		if l.Start == nil {
			running += l.RunningW
			peak = max(peak, running)
			continue
		}
		peak = max(peak, running+l.Start.Watts())
		peaks = append(peaks, running+l.Start.Watts())
		running += l.RunningW
	}
	peaks = append(peaks, running)
	if !slices.Equal(peaks, want) {
		t.Errorf("peaks %v, want %v (%s)", peaks, want, staggered)
	}
	check(t, []fact{{"largest-first peak", staggered, peak, 4700, 0}})
	if r := s.Restart(constant(math.Nextafter(4700, 0))); r.Order != nil || r.Blocked == "" {
		t.Errorf("below 4700 W: order %q, want none", r.Order)
	}
	if r := s.Restart(constant(math.Nextafter(9000, 0))); r.FitsAtOnce {
		t.Error("below 9000 W everything starts at once")
	}
	if r := s.Restart(constant(9000)); !r.FitsAtOnce || r.Order != nil {
		t.Error("at 9000 W not everything starts at once")
	}
}

func TestGreaterOfRule(t *testing.T) {
	// The greater of start and run for the one motor, run for the rest.
	s := NewSet(1, []Load{steady("lamp", 100), steady("cooker", 200), starting("refrigerator", 2900, 1200),
		steady("television", 750)})
	check(t, []fact{
		{"one motor starting", "rural electric co-operative, generator sizing chart, SEEN", s.Surges()[0].W, 3950, 0},
		{"television, 2.2 A at 120 V", "Tacoma Public Utilities, Estimating generator size, SEEN",
			FromPF(2.2*120, 1).VA(), 264, 1e-9},
	})
}

func TestListOfAHome(t *testing.T) {
	const own = "invented list, own"
	day := func(l Load, quantity int, hours float64) Load {
		l.Quantity, l.HoursPerDay = quantity, hours
		return l
	}
	s := NewSet(1, []Load{
		day(starting("Kitchen fridge", 900, 150), 1, 8), day(starting("Chest freezer", 800, 120), 1, 9.5),
		day(steady("LED lights", 9), 8, 5), day(starting("Well pump", 3300, 1100), 1, 0.75),
		day(steady("Router", 12), 1, 24),
	})
	worst := slices.MaxFunc(s.Surges(), func(a, b Surge) int { return int(a.VA - b.VA) })
	check(t, []fact{
		{"running, W", own, s.Scheduled().W, 1454, 0},
		{"energy, Wh a day", own, s.EnergyWhPerDay(), 3813, 1e-9},
		{"worst start, W", own, worst.W, 3654, 0},
	})
	if worst.Load != "Well pump" || worst.Index != 3 {
		t.Errorf("worst start %q at %d, want the well pump at 3", worst.Load, worst.Index)
	}
}

func TestContinuousLoads(t *testing.T) {
	const journal = "NEC 210.20(A), electrician's journal, SEEN"
	const pair = "NEC 220.60, public input on non-coincident loads, SEEN"
	continuous := func(Load) float64 { return 1.25 }
	amps := func(v float64, s *Set) float64 { return s.ScheduledWith(continuous).VA / v }
	heat, motor := steady("heat", 110*240), steady("motor", 100*240)
	heat.Interlock, motor.Interlock = "season", "season"
	// The whole feeder once for each alternative: the motor, smaller but counted at 125 %, governs.
	feeder := NewSet(1, []Load{heat, motor})
	governed := feeder.ScheduledWith(func(l Load) float64 {
		if l.Name == "motor" {
			return 1.25
		}
		return 1
	})
	check(t, []fact{
		{"16 A continuous needs", journal, amps(230, NewSet(1, []Load{steady("x", 16*230)})), 20, 1e-9},
		{"15 A at 120 V carries 1440 W continuously", journal, amps(120, NewSet(1, []Load{steady("x", 1440)})), 15,
			1e-9},
		{"non-coincident pair, A", pair, governed.VA / 240, 125, 1e-9},
		{"the same without 125 %", pair, feeder.Scheduled().VA / 240, 110, 1e-9},
		{"100 A at 240 V, W", "derived", NewSet(2, []Load{steady("x", 100*240)}).Connected().W, 24000, 0},
	})
}

func TestSimultaneity(t *testing.T) {
	const three = "DOE duty 1/3, SEEN; binomial, derived, exact"
	const count = "Poisson-binomial distribution, derived"
	const watts = "Poisson-binomial distribution in watts, derived"
	// quantiles are pairs of a cumulated probability and the sum that has it: at that confidence the sum is
	// the answer, just above it the next one.
	quantiles := func(name, source string, s *Set, pairs ...[2]float64) {
		t.Helper()
		for i, p := range pairs {
			facts := []fact{{fmt.Sprintf("%s, P = %.6f", name, p[0]), source, probable(t, s, p[0]), p[1], 0}}
			if i+1 < len(pairs) {
				facts = append(facts, fact{fmt.Sprintf("%s, just above P = %.6f", name, p[0]), source,
					probable(t, s, p[0]+1e-9), pairs[i+1][1], 0})
			}
			check(t, facts)
		}
	}
	compressors := likely("compressors", 1, 1.0/3)
	compressors.Quantity = 3
	quantiles("three compressors", three, NewSet(1, []Load{compressors}),
		[2]float64{8.0 / 27, 0}, [2]float64{20.0 / 27, 1}, [2]float64{26.0 / 27, 2}, [2]float64{1, 3})
	quantiles("three compressors, one by one", three,
		NewSet(1, []Load{likely("a", 1, 1.0/3), likely("b", 1, 1.0/3), likely("c", 1, 1.0/3)}),
		[2]float64{8.0 / 27, 0}, [2]float64{20.0 / 27, 1}, [2]float64{26.0 / 27, 2}, [2]float64{1, 3})
	quantiles("four loads", count, NewSet(1, []Load{likely("a", 1, 0.35), likely("b", 1, 0.40), likely("c", 1, 0.10),
		likely("d", 1, 0.50)}),
		[2]float64{0.1755, 0}, [2]float64{0.5820, 1}, [2]float64{0.8995, 2}, [2]float64{0.9930, 3}, [2]float64{1, 4})
	house := NewSet(1, []Load{
		likely("fridge", 150, 1.0/3), likely("freezer", 120, 0.40), likely("well pump", 1000, 0.10),
		likely("furnace fan", 500, 0.50),
	})
	check(t, []fact{
		{"house, P = 0.63", watts, probable(t, house, 0.63), 500, 0},
		{"house, P = 0.90", watts, probable(t, house, 0.90), 770, 0},
		{"house, P = 0.95", watts, probable(t, house, 0.95), 1270, 0},
		{"house, P = 0.993333", watts, probable(t, house, 1-0.1/15), 1650, 0},
		{"house, P = 1", watts, probable(t, house, 1), 1770, 0},
		{"house, sum", watts, house.Scheduled().W, 1770, 0},
	})
}
