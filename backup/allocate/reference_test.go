package allocate

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
)

// An instance is a seeded, synthetic selection problem as stored in testdata.
type instance struct {
	Name        string
	Interlocks  [][]int
	MustInclude []int     `json:"must_include"`
	MustExclude []int     `json:"must_exclude"`
	Continuous  float64   `json:"continuous_limit_va"`
	Surge       float64   `json:"surge_limit_va"`
	Phase       []float64 `json:"phase_limit_va"`
	PassDA      []float64 `json:"pass_through_limit_da"` // tenths of an ampere
	Days        float64   `json:"autonomy_days"`
	Idle        float64   `json:"idle_wh_day"`
	Usable      float64   `json:"usable_energy_wh"`
	Ways        float64   `json:"ways_limit"`
	Items       []struct {
		ID     string
		Value  float64
		Demand float64 `json:"demand_va"`
		Extra  float64 `json:"surge_extra_va"`
		Energy float64 `json:"energy_wh_day"`
		Phase  int
		PassDA float64 `json:"pass_da"`
		Ways   int
	}
}

func readJSON(tb testing.TB, name string, to any) {
	tb.Helper()
	src, err := os.ReadFile(filepath.Join("testdata", name+".json"))
	if err != nil {
		tb.Fatal(err)
	}
	if err := json.Unmarshal(src, to); err != nil {
		tb.Fatalf("%s: %v", name, err)
	}
}

func instanceNames(tb testing.TB) []string {
	tb.Helper()
	files, err := filepath.Glob("testdata/*_*.json")
	if err != nil || len(files) != 28 {
		tb.Fatalf("%d instances, %v, want 28", len(files), err)
	}
	for i := range files {
		files[i] = strings.TrimSuffix(filepath.Base(files[i]), ".json")
	}
	return files
}

// problem gives the instance to the solver, in its units.
func (in *instance) problem() Problem {
	p := Problem{Limits: Limits{ContinuousVA: in.Continuous, SurgeVA: in.Surge, PhaseVA: in.Phase,
		UsableWh: in.Usable, Days: in.Days, IdleWhPerDay: in.Idle, Ways: in.Ways}}
	for _, da := range in.PassDA {
		p.Limits.PassA = append(p.Limits.PassA, da/10)
	}
	for i, it := range in.Items {
		item := Item{ID: it.ID, Values: []float64{it.Value}, DemandVA: it.Demand, SurgeExtraVA: it.Extra,
			EnergyWhPerDay: it.Energy, PassA: it.PassDA / 10, Ways: it.Ways, Phases: []int{it.Phase}}
		switch {
		case slices.Contains(in.MustInclude, i):
			item.Rule = Include
		case slices.Contains(in.MustExclude, i):
			item.Rule = Exclude
		}
		p.Items = append(p.Items, item)
	}
	for _, pair := range in.Interlocks {
		p.Interlocks = append(p.Interlocks, Interlock{Items: pair})
	}
	return p
}

// An optimum is what two general integer programming solvers agree on.
type optimum struct {
	Status       Status
	Value        *float64
	OneSelection []string `json:"one_selection"` // one of possibly several
}

// broken names the first rule that a selection breaks, "" if none. It follows the rules of the instances word by
// word and shares nothing with the solver; everything is in whole numbers.
func (in *instance) broken(selected []bool) string {
	for i := range in.Items {
		if slices.Contains(in.MustInclude, i) && !selected[i] || slices.Contains(in.MustExclude, i) && selected[i] {
			return "must"
		}
	}
	partner := map[int]int{}
	for _, pair := range in.Interlocks {
		partner[pair[0]], partner[pair[1]] = pair[1], pair[0]
	}
	// counts tells whether an item counts against its interlocked partner: only the larger does, if both are looked at.
	counts := func(i int, amount func(i int) float64, looked func(i int) bool) bool {
		j, paired := partner[i]
		if !paired || !selected[j] || !looked(j) {
			return true
		}
		return amount(i) > amount(j) || amount(i) == amount(j) && i < j
	}
	demand := func(i int) float64 { return in.Items[i].Demand }
	pass := func(i int) float64 { return in.Items[i].PassDA }
	var total, extra, energy, ways float64
	var onPhase, passOn [3]float64
	for i, it := range in.Items {
		if !selected[i] {
			continue
		}
		samePhase := func(j int) bool { return in.Items[j].Phase == it.Phase }
		if counts(i, demand, func(int) bool { return true }) {
			total += it.Demand
		}
		if counts(i, demand, samePhase) {
			onPhase[it.Phase-1] += it.Demand
		}
		if counts(i, pass, samePhase) {
			passOn[it.Phase-1] += it.PassDA
		}
		extra = max(extra, it.Extra)
		energy += it.Energy
		ways += float64(it.Ways)
	}
	switch {
	case total > in.Continuous:
		return "continuous"
	case total+extra > in.Surge:
		return "surge"
	case in.Days*(energy+in.Idle) > in.Usable:
		return "energy"
	case ways > in.Ways:
		return "ways"
	}
	for ph := range 3 {
		if onPhase[ph] > in.Phase[ph] {
			return "phase"
		}
		if passOn[ph] > in.PassDA[ph] {
			return "pass-through"
		}
	}
	return ""
}

func (in *instance) value(selected []bool) (v float64) {
	for i, it := range in.Items {
		if selected[i] {
			v += it.Value
		}
	}
	return v
}

// TestReference compares with optima that two general integer programming solvers have proven (own: the
// instances are seeded and synthetic). Ties exist, so values are compared, and each selection is checked on its own.
func TestReference(t *testing.T) {
	optima := map[string]optimum{}
	readJSON(t, "optima", &optima)
	for _, name := range instanceNames(t) {
		t.Run(name, func(t *testing.T) {
			var in instance
			readJSON(t, name, &in)
			want, ok := optima[name]
			if !ok {
				t.Fatal("no optimum")
			}
			got, err := Solve(in.problem(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got.Status != want.Status {
				t.Fatalf("status %v, want %s", got.Status, want.Status)
			}
			if want.Value == nil {
				if got.Found || len(got.Broken) == 0 {
					t.Errorf("found %v, broken %v, want a reason and no set", got.Found, got.Broken)
				}
				return
			}
			theirs := make([]bool, len(in.Items))
			for i, it := range in.Items {
				theirs[i] = slices.Contains(want.OneSelection, it.ID)
			}
			if b := in.broken(theirs); b != "" || in.value(theirs) != *want.Value {
				t.Errorf("the reference selection breaks %q, is worth %g of %g: the rules are misread", b,
					in.value(theirs), *want.Value)
			}
			if got.Value[0] != *want.Value || got.Bound[0] != *want.Value || in.value(got.Selected) != *want.Value {
				t.Errorf("value %g, bound %g, selection worth %g, want %g", got.Value[0], got.Bound[0],
					in.value(got.Selected), *want.Value)
			}
			if b := in.broken(got.Selected); b != "" {
				t.Errorf("the selection breaks %q", b)
			}
			for _, why := range got.LeftOut {
				added := slices.Clone(got.Selected)
				added[why.Item] = true
				if (why.Reason == Displaces || why.Reason == NeverFits) && in.broken(added) == "" {
					t.Errorf("%s: %v, but it fits", in.Items[why.Item].ID, why)
				}
			}
		})
	}
}

// TestReferenceInfeasible: the items that must be in are too much for the ways and for the surge limit.
func TestReferenceInfeasible(t *testing.T) {
	for name, limit := range map[string]string{"infeas_012_00": "ways", "infeas_040_02": "surge"} {
		var in instance
		readJSON(t, name, &in)
		got, err := Solve(in.problem(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(got.Broken, func(e Excess) bool { return e.Limit == limit && e.By > 0 }) {
			t.Errorf("%s: broken %v, want %s among them", name, got.Broken, limit)
		}
	}
}

// TestStopped: a search that is cut short holds a set that fits and bounds that enclose the optimum.
func TestStopped(t *testing.T) {
	var in instance
	readJSON(t, "hard_200_08", &in)
	p := in.problem()
	const optimum = 68405 // see TestReference
	last := math.Inf(1)
	for _, nodes := range []int{1, 10, 100, 1000} {
		got, err := Solve(p, Options{MaxNodes: nodes})
		if err != nil {
			t.Fatal(err)
		}
		if got.Status != Stopped || !got.Found || got.Nodes != nodes || in.broken(got.Selected) != "" {
			t.Fatalf("after %d nodes: %v, found %v, %d nodes, breaks %q", nodes, got.Status, got.Found, got.Nodes,
				in.broken(got.Selected))
		}
		if got.Value[0] > optimum || got.Bound[0] < optimum || got.Bound[0] > last {
			t.Errorf("after %d nodes: value %g, bound %g (before %g), want them around %d", nodes, got.Value[0],
				got.Bound[0], last, optimum)
		}
		if last = got.Bound[0]; nodes >= 10 && got.Bound[0]-got.Value[0] > 0.02*optimum {
			t.Errorf("after %d nodes: value %g, bound %g, want a gap below 2 %%", nodes, got.Value[0], got.Bound[0])
		}
		again, err := Solve(p, Options{MaxNodes: nodes})
		if err != nil {
			t.Fatal(err)
		}
		if diff := gocmp.Diff(got, again); diff != "" {
			t.Errorf("the same search again (-first +second):\n%s", diff)
		}
	}
	polls := 0
	got, err := Solve(p, Options{Stop: func() bool { polls++; return polls > 3 }})
	if err != nil {
		t.Fatal(err)
	}
	if got.Status != Stopped || polls != 4 || got.Nodes > 300 || in.broken(got.Selected) != "" {
		t.Errorf("%v after %d polls and %d nodes, breaks %q", got.Status, polls, got.Nodes, in.broken(got.Selected))
	}
}
