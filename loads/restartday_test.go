package loads

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// switchedOn tells whether everything that is scheduled on a circuit at a minute can be switched on at once on top of
// the circuits that are on, whatever the interlocks choose, by trying it all; slack widens the rating to allow for
// rounding.
func switchedOn(ls []Load, circuit string, on map[string]bool, minute, phases int, rating func(float64) float64,
	slack float64) bool {
	var chosen []Load
	var choose func(left []bruteEntry) bool
	choose = func(left []bruteEntry) bool {
		if len(left) > 0 {
			for _, l := range left[0] {
				chosen = append(chosen, l)
				fits := choose(left[1:])
				chosen = chosen[:len(chosen)-1]
				if !fits {
					return false
				}
			}
			return true
		}
		limit, seconds, starts := rating(math.Inf(1)), 0.0, false
		for _, l := range chosen {
			if l.CircuitID != circuit {
				continue
			}
			starts = true
			if l.Start != nil && l.Start.Seconds > seconds {
				seconds = l.Start.Seconds
				limit = rating(seconds)
			}
		}
		if !starts { // the interlocks have chosen others: nothing is switched on
			return true
		}
		for lane := range phases + 1 {
			var sum draw
			for _, l := range chosen {
				d := draw{Power: l.RunningAll()}
				if l.CircuitID == circuit {
					d, _ = startOf(l, rating)
				}
				sum = sum.add(part(l, lane, phases, d))
			}
			lim := limit
			if lane > 0 {
				lim /= float64(phases)
			}
			if sum.va() > lim*(1+slack) {
				return false
			}
		}
		return true
	}
	var there []Load
	for _, l := range ls {
		if l.CircuitID == circuit || on[l.CircuitID] {
			there = append(there, l)
		}
	}
	return choose(bruteEntries(there, minute))
}

// dayHolds tells whether an order of circuits holds at every minute.
func dayHolds(order []string, ls []Load, phases int, rating func(float64) float64, slack float64) bool {
	for minute := 0; minute < minutesPerDay; minute += 60 { // windows begin and end on the hour
		on := map[string]bool{}
		for _, c := range order {
			if !switchedOn(ls, c, on, minute, phases, rating, slack) {
				return false
			}
			on[c] = true
		}
	}
	return true
}

// anyOrder tells whether any order of the circuits holds, by trying them all.
func anyOrder(circuits []string, holds func([]string) bool) bool {
	var place func(k int) bool
	place = func(k int) bool {
		if k == len(circuits) {
			return holds(circuits)
		}
		for i := k; i < len(circuits); i++ {
			circuits[k], circuits[i] = circuits[i], circuits[k]
			found := place(k + 1)
			circuits[k], circuits[i] = circuits[i], circuits[k]
			if found {
				return true
			}
		}
		return false
	}
	return place(0)
}

// TestRestartDay: an order of the circuits holds at every minute, whatever the interlocks choose, and forgets none;
// what may follow in any order fits on top of everything. Without interlocks there is an order if and only if any does,
// and what fits on top of everything never has to keep one.
func TestRestartDay(t *testing.T) {
	found, none, ordered, free := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 3, 7).Draw(t, "loads")
		locks := rapid.Bool().Draw(t, "interlocks")
		var circuits []string
		for i := range ls {
			ls[i].CircuitID = fmt.Sprint("c", rapid.IntRange(0, 4).Draw(t, "circuit"))
			if !locks {
				ls[i].Interlock = ""
			}
			if !slices.Contains(circuits, ls[i].CircuitID) {
				circuits = append(circuits, ls[i].CircuitID)
			}
		}
		s := NewSet(phases, ls)
		running, atOnce := s.Scheduled(), s.Restart(constant(1))
		balanced := max(running.VA, float64(phases)*slices.Max(running.PhaseVA))
		continuous := 1 + balanced*rapid.Float64Range(0.9, 1.5).Draw(t, "continuous")
		surge := max(continuous, atOnce.DemandVA/atOnce.LimitVA*rapid.Float64Range(0.4, 1).Draw(t, "surge"))
		rating := twoStep(surge, continuous)
		day := s.RestartDay(rating)
		if !locks {
			must := anyOrder(circuits, func(o []string) bool { return dayHolds(o, ls, phases, rating, -1e-9) })
			may := must || anyOrder(circuits, func(o []string) bool { return dayHolds(o, ls, phases, rating, 1e-9) })
			if has := day.Circuits != nil; has && !may || !has && must {
				t.Fatalf("order %q; any order: %t", day.Circuits, may)
			}
		}
		if day.Circuits == nil {
			none++
			return
		}
		found++
		if got := slices.Sorted(slices.Values(day.Circuits)); !slices.Equal(got,
			slices.Sorted(slices.Values(circuits))) {
			t.Fatalf("the order has %q of %q", got, circuits)
		}
		if !dayHolds(day.Circuits, ls, phases, rating, 1e-9) {
			t.Fatalf("the order %q does not hold", day.Circuits)
		}
		ordered, free = ordered+day.First, free+len(day.Circuits)-day.First
		for i, c := range day.Circuits {
			onTop := func(slack float64) bool {
				on := map[string]bool{}
				for _, o := range circuits {
					on[o] = o != c
				}
				for minute := 0; minute < minutesPerDay; minute += 60 {
					if !switchedOn(ls, c, on, minute, phases, rating, slack) {
						return false
					}
				}
				return true
			}
			medical := slices.ContainsFunc(ls, func(l Load) bool { return l.Medical && l.CircuitID == c })
			if i >= day.First && !onTop(1e-9) || !locks && i < day.First && !medical && onTop(-1e-9) {
				t.Fatalf("of %q the first %d keep their order, but %q on top of everything: %t", day.Circuits,
					day.First, c, onTop(0))
			}
		}
	})
	if !testing.Short() && (found == 0 || none == 0 || ordered == 0 || free == 0) {
		t.Errorf("%d orders, %d without, %d circuits in order, %d in any: one of these was never met", found, none,
			ordered, free)
	}
}

// at puts a load on a circuit.
func at(circuit string, l Load) Load {
	l.CircuitID = circuit
	return l
}

// TestRestartDayOfCircuits: what starts on a circuit starts together; what is off at the tightest minute is in the
// order too; and what someone depends on comes as early as it can. Own arithmetic: a start of 3500 W fits on top of as
// much as is left of the rating.
func TestRestartDayOfCircuits(t *testing.T) {
	pump := steady("pump", 1000)
	pump.Start = &Start{Power: Power{W: 3500}, Seconds: 1}
	twin := pump
	twin.Name = "twin"
	aid := steady("aid", 300)
	aid.Medical = true
	for _, tt := range []struct {
		name   string
		ls     []Load
		rating float64
		want   []string
		first  int
	}{
		{"the kettle is off at the tightest minute", []Load{at("p", pump),
			at("l", on(steady("lamps", 900), 1020, 1380)), at("k", on(steady("kettle", 500), 600, 660))}, 3900,
			[]string{"p", "l", "k"}, 1},
		{"two pumps on one circuit start together", []Load{at("p", pump), at("p", twin), at("l", steady("lamps", 100))},
			7000, []string{"p", "l"}, 1},
		{"and do not fit", []Load{at("p", pump), at("p", twin), at("l", steady("lamps", 100))}, 6999, nil, 0},
		{"by themselves they would", []Load{at("p", pump), at("q", twin), at("l", steady("lamps", 100))}, 4600,
			[]string{"q", "p", "l"}, 0},
		{"the aid may come at any place", []Load{at("l", steady("lamps", 900)), at("p", pump), at("a", aid)}, 5000,
			[]string{"a", "p", "l"}, 1},
		{"before the pump", []Load{at("l", steady("lamps", 900)), at("p", pump), at("a", aid)}, 3900,
			[]string{"a", "p", "l"}, 2},
		{"right behind it", []Load{at("l", steady("lamps", 900)), at("p", pump), at("a", aid)}, 3600,
			[]string{"p", "a", "l"}, 2},
		{"the pump cannot start at all", []Load{at("p", pump)}, 3499, nil, 0},
		{"nothing to switch on", nil, 3499, nil, 0},
	} {
		day := NewSet(1, tt.ls).RestartDay(constant(tt.rating))
		if tt.first == 0 && tt.want != nil {
			slices.Sort(day.Circuits)
			slices.Sort(tt.want)
		}
		if !slices.Equal(day.Circuits, tt.want) || day.First != tt.first {
			t.Errorf("%s: %q, the first %d in order; want %q, %d", tt.name, day.Circuits, day.First, tt.want, tt.first)
		}
	}
}
