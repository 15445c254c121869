package outage

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"outlast/loads"
)

// demandOf is what each load asks in each minute from a midnight on.
func demandOf(s Scenario, minutes int) [][]float64 {
	d := newDemand(&s, map[string]int{})
	watts := make([][]float64, len(d.loads))
	for i := range watts {
		watts[i] = make([]float64, minutes)
	}
	for m := range minutes {
		now := d.stretches[d.at[m%minutesPerDay]]
		for i := range now {
			watts[now[i].load][m] = d.watts(&now[i])
		}
	}
	return watts
}

func sum(values []float64) (total float64) {
	for _, v := range values {
		total += v
	}
	return total
}

// A unit that is at position y of its period has been on for floor(y/period)*on + min(y mod period, on) minutes; what a
// minute counts is the difference. This holds for periods of less than a minute, too.
func TestRhythmIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		on := rapid.OneOf(rapid.Float64Range(0.1, 3), rapid.Float64Range(1, 60)).Draw(t, "on")
		share := rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(0.02, 1)).Draw(t, "share")
		period := on / share
		phase := rapid.Float64Range(0, 0.999).Draw(t, "phase") * period
		a := appliance{onMin: on, periodMin: period, at: []float64{phase}}
		onUntil := func(y float64) float64 {
			n := math.Floor(y / period)
			return n*on + min(y-n*period, on)
		}
		total := 0.0
		for m := range 500 {
			wants := a.wants()
			got := a.advance()
			total += got
			if !(got >= 0 && got <= 1+1e-9) || got > 1e-9 && !wants {
				t.Fatalf("minute %d: on for %g of it, wants %t", m, got, wants)
			}
			if want := onUntil(phase+float64(m+1)) - onUntil(phase); math.Abs(total-want) > 1e-6 {
				t.Fatalf("on for %g min after %d, want %g", total, m+1, want)
			}
		}
	})
}

// The hours a day rule the energy: exactly when spread evenly, and within one run of each unit's in its rhythm.
func TestDemandKeepsTheHours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := loadGen.Draw(t, "load")
		l.HeldOff, l.Interlock = false, ""
		const days = 5
		for _, even := range []bool{true, false} {
			got := sum(demandOf(Scenario{Loads: []loads.Load{l}, EvenSpread: even, Seed: 3},
				days*minutesPerDay)[0]) / 60
			want, slack := days*l.EnergyWhPerDay(), 1e-9*days*l.EnergyWhPerDay()
			if l.Cycle != nil && !even {
				slack += l.RunningW * float64(l.Quantity) * l.Cycle.OnMin / 60
			}
			if math.Abs(got-want) > slack {
				t.Fatalf("spread evenly %t: %g Wh in %d days, want %g within %g", even, got, days, want, slack)
			}
		}
	})
}

func TestDemandIsOfItsSeed(t *testing.T) {
	fridge := func(name string) loads.Load {
		return loads.Load{Name: name, CircuitID: "k", Quantity: 3, RunningW: 100, HoursPerDay: 8,
			Cycle: &loads.Cycle{OnMin: 10, OffMin: 20}}
	}
	s := Scenario{Loads: []loads.Load{fridge("a"), fridge("b")}, Seed: 1}
	first := demandOf(s, 300)
	if again := demandOf(s, 300); !slices.Equal(first[0], again[0]) || !slices.Equal(first[1], again[1]) {
		t.Error("the same seed gives another demand")
	}
	if slices.Equal(first[0], first[1]) {
		t.Error("two loads have the same phases")
	}
	held := s
	held.Loads = slices.Clone(s.Loads)
	held.Loads[0].HeldOff = true
	if without := demandOf(held, 300); !slices.Equal(without[0], first[1]) {
		t.Error("a load that is held off moves the others")
	}
	s.Seed = 2
	if other := demandOf(s, 300); slices.Equal(first[0], other[0]) {
		t.Error("another seed gives the same demand")
	}
}

// Of an interlock one load runs at a time, each in runs as long as its own, and none is kept from running by one whose
// window has closed.
func TestInterlock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ls := rapid.SliceOfN(loadGen, 2, 4).Draw(t, "loads")
		for i := range ls {
			l := &ls[i]
			l.Name, l.HeldOff, l.Interlock = fmt.Sprint(i), false, "pump"
			l.HoursPerDay = l.WindowHours() * (0.05 + rapid.Float64Range(0, 0.2).Draw(t, "share"))
			l.Cycle = &loads.Cycle{OnMin: rapid.SampledFrom([]float64{0.5, 7, 20}).Draw(t, "on")}
		}
		watts := demandOf(Scenario{Loads: ls}, 3*minutesPerDay)
		for m := range 3 * minutesPerDay {
			running := 0
			for i := range watts {
				if watts[i][m] > 0 {
					running++
				}
			}
			if running > 1 {
				t.Fatalf("minute %d: %d loads of the interlock run", m, running)
			}
		}
		for i := range watts {
			if sum(watts[i]) == 0 {
				t.Fatalf("load %d never runs in three days", i)
			}
		}
	})
}

// Each minute has the loads that its clock lets run, as asking each load in each minute finds them: with windows over
// midnight, until midnight, of a minute, side by side, and without.
func TestBusyLoadsOfEachMinute(t *testing.T) {
	var all []loads.Load
	for i, windows := range [][]loads.Window{nil, {{StartMin: 360, EndMin: 540}}, {{StartMin: 1320, EndMin: 300}},
		{{StartMin: 1200, EndMin: 1440}}, {{StartMin: 0, EndMin: 1}}, {{StartMin: 1439, EndMin: 1440}},
		{{StartMin: 540, EndMin: 600}, {StartMin: 600, EndMin: 660}}, {{StartMin: 300, EndMin: 301}, {StartMin: 720, EndMin: 0}}} {
		all = append(all, loads.Load{Name: fmt.Sprintf("load %d", i), Quantity: 1, RunningW: 10, HoursPerDay: 0.01,
			Windows: windows, CircuitID: "c"})
	}
	all = append(all, loads.Load{Name: "load 8", Quantity: 1, RunningW: 10, HoursPerDay: 1, CircuitID: "c",
		Windows: []loads.Window{{StartMin: 60, EndMin: 120}}, DropBelow: 0.5})
	d := newDemand(&Scenario{Loads: all, EvenSpread: true}, map[string]int{})
	for minute := range minutesPerDay {
		var want stretch
		for i, l := range all {
			if open := l.ActiveAt(minute); open || l.DropBelow > 0 {
				want = append(want, busyLoad{d.loads[i].evenW, int32(i), open, open && l.DropBelow == 0})
			}
		}
		if got := d.stretches[d.at[minute]]; !slices.Equal(got, want) {
			t.Fatalf("minute %d: loads %v are busy, want %v", minute, got, want)
		}
	}
}
