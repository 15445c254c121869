package allocate

import (
	"fmt"
	"math"
	"slices"
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
	check("and if that is too large, the largest that fits", "a c", pumps, lock, func(l *Limits) { l.ContinuousVA = 299 })
	check("a part of the item may be outside the interlock", "a c", pumps,
		[]Interlock{{Items: []int{0, 2}, DemandVA: []float64{60, 100}}}, func(l *Limits) { l.ContinuousVA = 240 })

	on := func(phases ...int) func(*Item) { return func(it *Item) { it.Phases = phases } }
	split := []Item{item("a", 100, on(1)), item("b", 100, on(2))}
	pair := []Interlock{{Items: []int{0, 1}}}
	check("an interlock over two phases counts once in all", "a b", split, pair, func(l *Limits) { l.ContinuousVA = 100 })
	check("but on each phase by itself", "a", split, pair, func(l *Limits) { l.ContinuousVA, l.PhaseVA = 100, []float64{100, 99} })
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
	uses := []Use{{Limit: "continuous", Unit: "VA", Used: 800, Of: 1000}, {Limit: "surge", Unit: "VA", Used: 800, Of: math.Inf(1)},
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
	check("the check refuses what must be in", []Excess{{Limit: "restart", Unit: "VA", By: 3}}, Options{Check: refuse}, p)
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

// TestCheck counts what the kinds of verdict cost, and that a verdict is believed.
func TestCheck(t *testing.T) {
	p := Problem{Limits: Unlimited()}
	for i := range 12 {
		p.Items = append(p.Items, item(string(rune('a'+i)), float64(10+i), func(it *Item) { it.Values[0] = float64(20 + i%5) }))
	}
	// d and h never run on the same board; the check says so more or less clearly.
	for name, verdict := range map[string]Verdict{
		"blames both":    {Items: []int{3, 7}},
		"says nothing":   {},
		"gives a row":    {Row: &Row{Limit: 1, Amount: []float64{3: 1, 7: 1, 11: 0}}},
		"gives any row":  {Row: &Row{Limit: 1, Amount: make([]float64, 12)}}, // not broken: of no use, so it is set aside
		"not monotone":   {Exact: true},
		"on all phases":  {AnyPhase: true, Items: []int{3, 7}},
		"blames it all":  {Items: []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}},
		"infinite limit": {Row: &Row{Limit: math.Inf(1), Amount: make([]float64, 12)}},
	} {
		calls := 0
		res, err := Solve(p, Options{Check: func(c Choice) Verdict {
			calls++
			if name == "blames it all" && slices.Contains(c.Selected, false) {
				return Verdict{OK: true} // a check that blames all items when all are chosen can't refuse fewer
			}
			if c.Selected[3] && c.Selected[7] {
				return verdict
			}
			return Verdict{OK: true}
		}})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := "a b c d e f g i j k l" // d is worth 23, h 22
		if name == "blames it all" {
			want = "a b c d e f g h i j l" // k is worth 20, as a and f are, and has the largest id of them
		}
		if got := ids(&p, res); got != want || res.Status != Optimal || res.Checks != calls {
			t.Errorf("%s: %v, %q after %d calls (%d counted), want %q", name, res.Status, got, calls, res.Checks, want)
		}
		if calls > 60 {
			t.Errorf("%s: %d calls", name, calls)
		}
	}
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

func TestErrors(t *testing.T) {
	good := func() Problem {
		return Problem{Limits: Unlimited(), Items: []Item{item("a", 1), item("b", 2)}, Interlocks: []Interlock{{Items: []int{0, 1}}}}
	}
	for want, spoil := range map[string]func(p *Problem){
		`demand of item 1: -3 VA, want a finite number of at least 0`: func(p *Problem) { p.Items[1].DemandVA = -3 },
		`demand of item 0: NaN VA`:                                    func(p *Problem) { p.Items[0].DemandVA = math.NaN() },
		`surge extra of item 0: +Inf VA`:                              func(p *Problem) { p.Items[0].SurgeExtraVA = math.Inf(1) },
		`energy of item: 4.1e+12 Wh in total, want at most 4e+12`:     func(p *Problem) { p.Items[0].EnergyWhPerDay = 4.1e12 },
		`value 2 of item 1: -1`:                                       func(p *Problem) { p.Items[1].Values = []float64{1, -1} },
		`ways of item 0: -1`:                                          func(p *Problem) { p.Items[0].Ways = -1 },
		`item 1: id "a" is taken`:                                     func(p *Problem) { p.Items[1].ID = "a" },
		`item 0 has no id`:                                            func(p *Problem) { p.Items[0].ID = "" },
		`item "a": unknown rule 9`:                                    func(p *Problem) { p.Items[0].Rule = 9 },
		`item "a": phase 3, want 0 to 2`:                              func(p *Problem) { p.Items[0].Phases = []int{3}; p.Limits.PhaseVA = []float64{1, 1} },
		`item "a": phase 1 is listed twice`:                           func(p *Problem) { p.Items[0].Phases = []int{1, 1} },
		`continuous limit -1 VA, want at least 0`:                     func(p *Problem) { p.Limits.ContinuousVA = -1 },
		`ways NaN`:               func(p *Problem) { p.Limits.Ways = math.NaN() },
		`limit of phase 2 -5 VA`: func(p *Problem) { p.Limits.PhaseVA = []float64{1, -5} },
		`2 phases with a demand limit, 1 with a pass-through limit`: func(p *Problem) { p.Limits.PhaseVA, p.Limits.PassA = []float64{1, 2}, []float64{1} },
		`days, number 0: -1`:      func(p *Problem) { p.Limits.Days = -1 },
		`interlock 0 has 1 items`: func(p *Problem) { p.Interlocks[0].Items = []int{0} },
		`interlock 0: item 5 is out of range or stands in it twice`:          func(p *Problem) { p.Interlocks[0].Items[1] = 5 },
		`interlock 0: item 0 is out of range or stands in it twice`:          func(p *Problem) { p.Interlocks[0].Items[1] = 0 },
		`interlock 0: want one part for each of its 2 items`:                 func(p *Problem) { p.Interlocks[0].PassA = []float64{0} },
		`item "a": interlocks hold 2 of its demand, which is 1`:              func(p *Problem) { p.Interlocks[0].DemandVA = []float64{2, 0} },
		`row "x": want one amount and extra for each of 2 items`:             func(p *Problem) { p.Rows = []Row{{Name: "x", Amount: []float64{1}}} },
		`amount in row x of item 1: -1`:                                      func(p *Problem) { p.Rows = []Row{{Name: "x", Amount: []float64{1, -1}}} },
		`limit of row x -2`:                                                  func(p *Problem) { p.Rows = []Row{{Name: "x", Amount: []float64{1, 1}, Limit: -2}} },
		`row "x": 1 parts for interlock 0, want 2`:                           func(p *Problem) { p.Rows = []Row{{Name: "x", Amount: []float64{1, 1}, Parts: [][]float64{{1}}}} },
		`energy over all days of item: 5e+12 Wh in total, want at most 4e+1`: func(p *Problem) { p.Limits.UsableWh, p.Limits.Days, p.Items[0].EnergyWhPerDay = 1, 5, 1e12 },
	} {
		p := good()
		spoil(&p)
		if _, err := Solve(p, Options{}); err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "allocate: ") {
			t.Errorf("%v, want %q", err, want)
		}
	}
	for want, verdict := range map[string]Verdict{
		`the check blames item 7, which is not chosen`: {Items: []int{7}},
		`amount in row y of item 0: -1`:                {Row: &Row{Name: "y", Amount: []float64{-1, 0}}},
	} {
		check := func(c Choice) Verdict {
			v := verdict
			v.OK = !c.Selected[0]
			return v
		}
		if _, err := Solve(good(), Options{Check: check}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
