package loads

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// dayFits tells whether an order of steps holds at every minute; slack widens the rating to allow for rounding.
func dayFits(steps [][]string, ls []Load, phases int, rating func(float64) float64, slack float64) bool {
	for minute := 0; minute < minutesPerDay; minute += 60 { // windows begin and end on the hour
		left := bruteEntries(ls, minute)
		var running []bruteEntry
		for _, step := range steps {
			k := slices.IndexFunc(left, func(e bruteEntry) bool {
				return slices.ContainsFunc(e, func(l Load) bool { return slices.Contains(step, l.Name) })
			})
			if k < 0 {
				continue // not scheduled now
			}
			if !fitsOn(left[k], running, phases, rating, slack) {
				return false
			}
			running = append(running, left[k])
			left = slices.Delete(left, k, k+1)
		}
		if len(left) > 0 {
			return false
		}
	}
	return true
}

// permutations calls do with every order of steps until it says that it has enough.
func permutations(steps [][]string, do func([][]string) (enough bool)) bool {
	var place func(k int) bool
	place = func(k int) bool {
		if k == len(steps) {
			return do(steps)
		}
		for i := k; i < len(steps); i++ {
			steps[k], steps[i] = steps[i], steps[k]
			if place(k + 1) {
				return true
			}
			steps[k], steps[i] = steps[i], steps[k]
		}
		return false
	}
	return place(0)
}

// TestRestartDay: the order of a day holds at every minute and forgets nothing; what may follow in any order fits on top of everything, and
// nothing that does stands before it; and there is an order if and only if any does, of all that there are.
func TestRestartDay(t *testing.T) {
	found, none, ordered, free := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		phases := rapid.IntRange(1, 3).Draw(t, "phases")
		ls := genLoads(phases, 3, 6).Draw(t, "loads")
		s := NewSet(phases, ls)
		running, atOnce := s.Scheduled(), s.Restart(constant(1))
		balanced := max(running.VA, float64(phases)*slices.Max(running.PhaseVA))
		continuous := 1 + balanced*rapid.Float64Range(0.9, 1.5).Draw(t, "continuous")
		surge := max(continuous, atOnce.DemandVA/atOnce.LimitVA*rapid.Float64Range(0.4, 1).Draw(t, "surge"))
		rating := twoStep(surge, continuous)
		day := s.RestartDay(rating)

		// Every load by itself, and every interlock.
		var steps [][]string
		of := map[string]int{}
		for _, l := range ls {
			if at, known := of[l.Interlock]; known && l.Interlock != "" {
				steps[at] = append(steps[at], l.Name)
				continue
			}
			of[l.Interlock] = len(steps)
			steps = append(steps, []string{l.Name})
		}
		must := permutations(slices.Clone(steps), func(o [][]string) bool { return dayFits(o, ls, phases, rating, -1e-9) })
		may := must || permutations(slices.Clone(steps), func(o [][]string) bool { return dayFits(o, ls, phases, rating, 1e-9) })
		if has := day.Steps != nil; has && !may || !has && must {
			t.Fatalf("order %q; any order: %t", day.Steps, may)
		}
		if day.Steps == nil {
			none++
			return
		}
		found++
		if !dayFits(day.Steps, ls, phases, rating, 1e-9) {
			t.Fatalf("the order %q does not hold", day.Steps)
		}
		var named []string
		for _, step := range day.Steps {
			named = append(named, step...)
		}
		slices.Sort(named)
		if len(named) != len(ls) || len(slices.Compact(named)) != len(ls) {
			t.Fatalf("the order %q holds not each of %d loads once", day.Steps, len(ls))
		}
		ordered, free = ordered+day.First, free+len(day.Steps)-day.First
		for i, step := range day.Steps {
			alone := func(slack float64) bool {
				for minute := 0; minute < minutesPerDay; minute += 60 {
					left := bruteEntries(ls, minute)
					k := slices.IndexFunc(left, func(e bruteEntry) bool {
						return slices.ContainsFunc(e, func(l Load) bool { return slices.Contains(step, l.Name) })
					})
					if k >= 0 && !fitsOn(left[k], slices.Delete(slices.Clone(left), k, k+1), phases, rating, slack) {
						return false
					}
				}
				return true
			}
			if i >= day.First && !alone(1e-9) || i < day.First && alone(-1e-9) {
				t.Fatalf("of %q the first %d keep their order, but %q on top of everything: %t", day.Steps, day.First, step, alone(0))
			}
		}
	})
	if !testing.Short() && (found == 0 || none == 0 || ordered == 0 || free == 0) {
		t.Errorf("%d orders, %d without, %d steps in order, %d in any: one of these was never met", found, none, ordered, free)
	}
}

// TestRestartDayHoldsWhatIsOffAtTheTightMinute: the order of the tightest minute leaves out what is not scheduled then, that of the day does not.
func TestRestartDayHoldsWhatIsOffAtTheTightMinute(t *testing.T) {
	pump := steady("pump", 1000)
	pump.Start = &Start{Power: Power{W: 3500}, Seconds: 1}
	ls := []Load{pump, steady("lamps", 900), on(steady("kettle", 500), 600, 660), on(steady("saw", 400), 1200, 1260)}
	rating := constant(3900)
	set := NewSet(1, ls)
	if r := set.Restart(rating); len(r.Order) != 3 {
		t.Fatalf("the order of the tightest minute is %q, want three loads", r.Order)
	}
	day := set.RestartDay(rating)
	// The pump starts on at most 400 W, and while the saw, but not the lamps, is on. The others follow in any order.
	if len(day.Steps) != 4 || day.First != 1 || day.Steps[0][0] != "pump" {
		t.Errorf("the order of the day is %q, the first %d in their order; want the pump, and then the others in any order", day.Steps, day.First)
	}
	if day := NewSet(1, ls).RestartDay(constant(3499)); day.Steps != nil {
		t.Errorf("%q, though the pump cannot start at all", day.Steps)
	}
	if day := NewSet(1, nil).RestartDay(rating); len(day.Steps) != 0 || day.First != 0 {
		t.Errorf("nothing to switch on: %+v", day)
	}
}
