package backup_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
)

// A generated is what makes a generated site hard: how rarely a load is held off, and whether its watts are any number.
type generated struct {
	oneHeldOffIn int
	anyWatts     bool
}

// generatedSite is a site of so many circuits and loads from the catalog's equipment: the same for the same numbers.
func generatedSite(circuits, count, phases int, g generated) string {
	r := rand.New(rand.NewPCG(uint64(circuits), uint64(count)))
	h := &house{tables: map[string]map[string]string{}}
	h.put("site", fmt.Sprintf(`name = "Generated"; nominal_v = 230; phases = %d; coldest_c = 10`, phases))
	h.put("outage", "autonomy_h = 24")
	if phases == 3 {
		h.put("inverter", `use = "three-15k-400"`).put("bank", `use = "lfp-102-50"`)
	} else {
		h.put("inverter", `use = "hybrid-5k-48"`).put("bank", `use = "lfp-51-100"`)
	}
	for i := range circuits {
		h.circuit(fmt.Sprintf("c%d", i), fmt.Sprintf("breaker_a = 16; phase = %d", (i+1)%(phases+1)))
	}
	for i := range count {
		units, watts := 1+r.IntN(3), float64(5+r.IntN(300))
		if g.anyWatts {
			watts += float64(r.IntN(100)) / 100
		}
		text := fmt.Sprintf(
			`circuit = "c%d"; quantity = %d; running_w = %g; power_factor = %g; hours_per_day = %g; priority = %d`,
			i%circuits, units, watts, 0.7+0.05*float64(r.IntN(7)), 0.25*float64(1+r.IntN(8)), 1+r.IntN(5))
		if r.IntN(3) > 0 {
			start, long := r.IntN(1380), 150+r.IntN(600)
			end := (start + long) % 1440
			text += fmt.Sprintf(`; when = ["%02d:%02d-%02d:%02d"]`, start/60, start%60, end/60, end%60)
		}
		if r.IntN(3) == 0 {
			text += fmt.Sprintf("; starting_va = %d; starting_s = %d", 1000+r.IntN(2000), 1+r.IntN(4))
		}
		if r.IntN(10) == 0 {
			text += fmt.Sprintf(`; interlock = "i%d"`, r.IntN(4))
		}
		if r.IntN(g.oneHeldOffIn) == 0 {
			text += "; held_off = true"
		}
		h.load(fmt.Sprintf("load %d", i), text)
	}
	return h.text()
}

// BenchmarkPlan works out a plan from a site that is in memory.
func BenchmarkPlan(b *testing.B) {
	cat, err := generic()
	if err != nil {
		b.Fatal(err)
	}
	for _, bb := range []struct {
		name                    string
		circuits, loads, phases int
		generated
	}{
		{"loads=12", 6, 12, 1, generated{20, false}},
		{"loads=300", 60, 300, 3, generated{20, false}},
		{"loads=300/heldoff=many", 60, 300, 3, generated{3, false}},
		{"loads=300/watts=any", 60, 300, 3, generated{20, true}},
	} {
		text := []byte(generatedSite(bb.circuits, bb.loads, bb.phases, bb.generated))
		b.Run(bb.name, func(b *testing.B) {
			site, err := site.Read("generated.toml", text, cat)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := backup.NewPlan(context.Background(), site); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(bb.name+"/reading=too", func(b *testing.B) {
			for b.Loop() {
				site, err := site.Read("generated.toml", text, cat)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := backup.NewPlan(context.Background(), site); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestGeneratedSite: the sites of the benchmark are sound ones, with the numbers that they are called by.
func TestGeneratedSite(t *testing.T) {
	p, err := planOf(generatedSite(60, 300, 3, generated{20, false}))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Circuits) != 60 || len(p.Site.Loads) != 300 || len(p.Starts.All) < 50 {
		t.Errorf("%d circuits, %d loads, %d starts", len(p.Circuits), len(p.Site.Loads), len(p.Starts.All))
	}
}
