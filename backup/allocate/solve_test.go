package allocate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
)

// item is worth 1 and named; change it where a test needs more.
func item(id string, demandVA float64, change ...func(it *Item)) Item {
	it := Item{ID: id, Values: []float64{1}, DemandVA: demandVA}
	for _, c := range change {
		c(&it)
	}
	return it
}

func must(it *Item) { it.Rule = Include }

// ids returns the ids of the chosen items.
func ids(p *Problem, res Result) string {
	var list []string
	for i, in := range res.Selected {
		if in {
			list = append(list, p.Items[i].ID)
		}
	}
	return strings.Join(list, " ")
}

func TestFacts(t *testing.T) {
	check := func(name, want string, items []Item, locks []Interlock, limits func(l *Limits)) {
		t.Helper()
		p := Problem{Items: items, Interlocks: locks, Limits: Unlimited()}
		limits(&p.Limits)
		res, err := Solve(p, Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := ids(&p, res); got != want || res.Status != Optimal {
			t.Errorf("%s: %v, %q, want %q", name, res.Status, got, want)
		}
	}
	one, tenths := []Item{item("a", 100)}, []Item{item("a", 0.1), item("b", 0.2), item("c", 0.3)}
	check("no items", "", nil, nil, func(l *Limits) {})
	check("exactly at the limit", "a", one, nil, func(l *Limits) { l.ContinuousVA = 100 })
	check("a millionth beyond", "", one, nil, func(l *Limits) { l.ContinuousVA = 100 - 1e-6 })
	check("a sum of tenths fits to the last digit", "a b c", tenths, nil, func(l *Limits) { l.ContinuousVA = 0.6 })
	check("no limit is infinite", "a b c", tenths, nil, func(l *Limits) { l.ContinuousVA = math.Inf(1) })

	starts := []Item{
		item("a", 100, func(it *Item) { it.SurgeExtraVA = 500 }),
		item("b", 100, func(it *Item) { it.SurgeExtraVA = 400 }),
		item("c", 100),
	}
	check("one start at a time, the largest", "a b c", starts, nil, func(l *Limits) { l.SurgeVA = 800 })
	check("the largest start does not fit beside all", "b c", starts, nil, func(l *Limits) { l.SurgeVA = 600 })

	pumps := []Item{item("a", 100), item("b", 300), item("c", 200)}
	lock := []Interlock{{Items: []int{0, 1, 2}}}
	check("of an interlock the largest counts", "a b c", pumps, lock, func(l *Limits) { l.ContinuousVA = 300 })
	check("and if that is too large, the largest that fits", "a c", pumps, lock,
		func(l *Limits) { l.ContinuousVA = 299 })
	check("a part of the item may be outside the interlock", "a c", pumps,
		[]Interlock{{Items: []int{0, 2}, DemandVA: []float64{60, 100}}}, func(l *Limits) { l.ContinuousVA = 240 })

	on := func(phases ...int) func(*Item) { return func(it *Item) { it.Phases = phases } }
	split := []Item{item("a", 100, on(1)), item("b", 100, on(2))}
	pair := []Interlock{{Items: []int{0, 1}}}
	check("an interlock over two phases counts once in all", "a b", split, pair,
		func(l *Limits) { l.ContinuousVA = 100 })
	check("but on each phase by itself", "a", split, pair, func(l *Limits) {
		l.ContinuousVA, l.PhaseVA = 100,
			[]float64{100, 99}
	})
	check("any phase: the search picks", "a b", []Item{item("a", 60, on(1, 2)), item("b", 70, on(1, 2))}, nil,
		func(l *Limits) { l.PhaseVA = []float64{65, 75} })
	check("all phases: a third on each", "a", []Item{item("a", 300, on(AllPhases))}, nil,
		func(l *Limits) { l.PhaseVA = []float64{100, 100, 100} })
	check("all phases: too much for one of them", "", []Item{item("a", 300, on(AllPhases))}, nil,
		func(l *Limits) { l.PhaseVA = []float64{100, 99, 100} })

	energy := func(wh float64) func(*Item) { return func(it *Item) { it.EnergyWhPerDay = wh } }
	hungry := []Item{item("a", 1, energy(300)), item("b", 1, energy(200)), item("c", 1, energy(200))}
	check("energy over all days, with the equipment's own use", "b c", hungry, nil,
		func(l *Limits) { l.UsableWh, l.Days, l.IdleWhPerDay = 1000, 2, 100 })
	check("equal value: less energy", "b", hungry, nil, func(l *Limits) { l.ContinuousVA = 1 })
	check("equal energy: smaller id", "b", hungry[1:], nil, func(l *Limits) { l.ContinuousVA = 1 })
	free := item("z", 1, energy(5), func(it *Item) { it.Values = nil })
	check("what is worth nothing is left out for its energy", "", []Item{free}, nil, func(l *Limits) {})
	free.EnergyWhPerDay = 0
	check("and put in if it costs nothing", "z", []Item{free}, nil, func(l *Limits) {})
}

// TestPriorities: one load of priority 1 outweighs any number of priority 2.
func TestPriorities(t *testing.T) {
	p := Problem{Limits: Unlimited(), Items: []Item{{ID: "pump", Values: []float64{1}, DemandVA: 1000}}}
	p.Limits.ContinuousVA = 1000
	for i := range 10 {
		p.Items = append(p.Items, Item{ID: fmt.Sprint("lights ", i), Values: []float64{0, 100}, DemandVA: 100})
	}
	res, err := Solve(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := gocmp.Diff([]float64{1, 0}, res.Value); diff != "" || ids(&p, res) != "pump" {
		t.Errorf("%q is chosen (-want +got):\n%s", ids(&p, res), diff)
	}
}

func TestExplanations(t *testing.T) {
	p := Problem{Limits: Unlimited(), Items: []Item{
		item("a", 500, must),
		item("b", 300, func(it *Item) { it.Values[0] = 5 }),
		item("c", 250),
		item("d", 501),
		item("e", 1, func(it *Item) { it.Rule = Exclude }),
		item("f", 10, func(it *Item) { it.Values[0] = 0; it.EnergyWhPerDay = 7 }),
		item("g", 10, func(it *Item) { it.Ways = 3 }),
	}}
	p.Limits.ContinuousVA, p.Limits.Ways = 1000, 2
	res, err := Solve(p, Options{Check: func(c Choice) Verdict {
		return Verdict{OK: !c.Selected[2], Limit: "dry run", Unit: "min", Excess: 4, Items: []int{2}}
	}})
	if err != nil {
		t.Fatal(err)
	}
	want := []LeftOut{
		{Item: 2, Reason: NeverFits, Broken: Excess{Limit: "dry run", Unit: "min", By: 4}},
		{Item: 3, Reason: NeverFits, Broken: Excess{Limit: "continuous", Unit: "VA", By: 1}},
		{Item: 4, Reason: Excluded},
		{Item: 5, Reason: NoGain},
		{Item: 6, Reason: NeverFits, Broken: Excess{Limit: "ways", By: 1}},
	}
	// c breaks the continuous limit beside a and b, but alone it is the check that never lets it in.
	if diff := gocmp.Diff(want, res.LeftOut); diff != "" || ids(&p, res) != "a b" {
		t.Errorf("%q is chosen (-want +got):\n%s", ids(&p, res), diff)
	}
	res, err = Solve(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	displaced := LeftOut{Item: 2, Reason: Displaces, Broken: Excess{Limit: "continuous", Unit: "VA", By: 50}}
	if diff := gocmp.Diff(displaced, res.LeftOut[0]); diff != "" {
		t.Errorf("without the check (-want +got):\n%s", diff)
	}
	uses := []Use{{Limit: "continuous", Unit: "VA", Used: 800, Of: 1000},
		{Limit: "surge", Unit: "VA", Used: 800, Of: math.Inf(1)},
		{Limit: "ways", Of: 2}, {Limit: "energy", Unit: "Wh", Of: math.Inf(1)}}
	if diff := gocmp.Diff(uses, res.Uses); diff != "" {
		t.Errorf("uses (-want +got):\n%s", diff)
	}
}

func TestInfeasible(t *testing.T) {
	check := func(name string, want []Excess, opts Options, p Problem) {
		t.Helper()
		res, err := Solve(p, opts)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if diff := gocmp.Diff(want, res.Broken); diff != "" || res.Status != Infeasible || res.Found {
			t.Errorf("%s: %v, found %v, broken (-want +got):\n%s", name, res.Status, res.Found, diff)
		}
	}
	p := Problem{Limits: Unlimited(), Items: []Item{item("a", 700, must), item("b", 500, must), item("c", 1)}}
	p.Limits.ContinuousVA = 1000
	check("what must be in is too much", []Excess{{Limit: "continuous", Unit: "VA", By: 200}}, Options{}, p)

	p.Limits.ContinuousVA = 2000
	refuse := func(Choice) Verdict { return Verdict{Limit: "restart", Unit: "VA", Excess: 3} }
	check("the check refuses what must be in", []Excess{{Limit: "restart", Unit: "VA", By: 3}},
		Options{Check: refuse}, p)
	never := func(Choice) Verdict { return Verdict{Exact: true} }
	check("a check that never passes", nil, Options{Check: never}, p)

	p.Limits.UsableWh, p.Limits.Days, p.Limits.IdleWhPerDay = 100, 2, 60
	check("own use alone empties the bank", []Excess{{Limit: "energy", Unit: "Wh", By: 20}}, Options{}, p)

	p = Problem{Limits: Unlimited(), Items: []Item{item("a", 700, must), item("b", 500, must), item("c", 500, must)}}
	for i := range p.Items {
		p.Items[i].Phases = []int{1, 2}
	}
	p.Limits.PhaseVA = []float64{999, 999}
	check("no phases for three that must be in", nil, Options{}, p)
}

// TestLowestPhase: e fits on every phase beside c, so phase 0 it is. A forbidden key column once stayed in the
// relaxation when its last partner left the basis, and phase 1 came out.
func TestLowestPhase(t *testing.T) {
	energy := func(wh float64) func(*Item) { return func(it *Item) { it.EnergyWhPerDay, it.Values = wh, nil } }
	p := Problem{Limits: Unlimited(), Items: []Item{
		item("a", 0, energy(24)), item("b", 0, energy(0), must), item("c", 0, energy(12)), item("d", 0, energy(12)),
		item("e", 0, energy(0), must, func(it *Item) { it.Phases = []int{0, 1, 2} }), item("f", 48, energy(0)),
	}}
	p.Limits.ContinuousVA, p.Limits.PhaseVA = 72, []float64{43, 54, 54}
	_, check := vectorCheck(4, []float64{4: 1, 5: 0}, []float64{2: 1, 4: 1, 5: 0}, 0)
	res, err := Solve(p, Options{Check: check})
	if err != nil {
		t.Fatal(err)
	}
	if ids(&p, res) != "b c e" || res.Phase[4] != 0 {
		t.Errorf("%q, e on phase %d, want b c e with e on phase 0", ids(&p, res), res.Phase[4])
	}
}
