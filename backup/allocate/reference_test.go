package allocate

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
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

type optimum struct {
	Status       string
	Value        *float64
	OneSelection []string `json:"one_selection"`
}

func BenchmarkSolve(b *testing.B) {
	for _, name := range instanceNames(b) {
		var in instance
		readJSON(b, name, &in)
		p := in.problem()
		b.Run("instance="+name, func(b *testing.B) {
			var nodes int
			for b.Loop() {
				res, err := Solve(p, Options{})
				if err != nil {
					b.Fatal(err)
				}
				nodes = res.Nodes
			}
			b.ReportMetric(float64(nodes), "nodes")
		})
	}
}

func TestReference(t *testing.T) {
	optima := map[string]optimum{}
	readJSON(t, "optima", &optima)
	for _, name := range instanceNames(t) {
		t.Run(name, func(t *testing.T) {
			var in instance
			readJSON(t, name, &in)
			want := optima[name]
			res, err := Solve(in.problem(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if res.Status.String() != want.Status {
				t.Fatalf("status %v, want %s", res.Status, want.Status)
			}
			if want.Status != "optimal" {
				return
			}
			if res.Value[0] != *want.Value {
				t.Errorf("value %g, want %g", res.Value[0], *want.Value)
			}
			t.Logf("nodes %d", res.Nodes)
		})
	}
}
