package backup_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/catalog"
)

// benchSite is a home of many circuits, seeded.
func benchSite(circuits, open, phases int, lead, anyPhase bool, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	inv, bank := "hybrid-8k-48", "lfp-51-100"
	strs := 4
	if lead {
		bank, strs = "flooded-2-1000", 1
	}
	if phases == 3 {
		inv, bank, strs = "three-15k-400", "lfp-102-50", 4
	}
	fmt.Fprintf(&b,
		"[site]\nname = \"Bench\"\nnominal_v = 230\nphases = %d\ncoldest_c = 10\n[outage]\nautonomy_h = 14\n"+
			"[inverter]\nuse = %q\n[bank]\nuse = %q\nstrings = %d\n[board]\nways = %d\n",
		phases, inv, bank, strs, circuits-open/3)
	for i := range circuits {
		board := "backup"
		if i >= circuits-open {
			board = "either"
		}
		phase := "1"
		if phases > 1 {
			phase = fmt.Sprint(r.IntN(phases + 1))
		}
		if anyPhase && r.IntN(2) == 0 {
			phase = `"any"`
		}
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nbreaker_a = 20\nphase = %s\nboard = %q\n", i, phase, board)
		scale := 1.0
		if board == "backup" {
			scale = 6 / float64(circuits-open)
		}
		for j := range 1 + r.IntN(3) {
			from := r.IntN(20)
			hours := 1 + r.IntN(4)
			fmt.Fprintf(&b,
				"[[load]]\nname = \"l%d-%d\"\ncircuit = \"c%d\"\nrunning_w = %d\npower_factor = %.2f\n"+
					"hours_per_day = %.1f\nwhen = [\"%02d:00-%02d:00\"]\npriority = %d\n",
				i, j, i, int(scale*float64(50+r.IntN(1200))), 0.7+0.3*r.Float64(), float64(hours)*0.7, from, from+hours,
				1+r.IntN(5))
			if r.IntN(3) == 0 {
				fmt.Fprintf(&b, "starting_va = %d\nstarting_pf = 0.5\nstarting_s = %d\n", 2000+r.IntN(3000),
					1+r.IntN(3))
			}
		}
	}
	return b.String()
}

func BenchmarkDecide(b *testing.B) {
	for _, c := range []struct {
		name                   string
		circuits, open, phases int
		lead, anyPhase         bool
	}{
		{"bank=lithium/circuits=20/open=12", 20, 12, 1, false, false},
		{"bank=lead/circuits=20/open=12", 20, 12, 1, true, false},
		{"phases=given/circuits=60/open=20", 60, 20, 3, false, false},
		{"phases=any/circuits=60/open=20", 60, 20, 3, false, true},
	} {
		for seed := range uint64(4) {
			b.Run(fmt.Sprintf("%s/seed=%d", c.name, seed), func(b *testing.B) {
				cat, err := catalog.Generic()
				if err != nil {
					b.Fatal(err)
				}
				site, err := site.Read("bench.toml",
					[]byte(benchSite(c.circuits, c.open, c.phases, c.lead, c.anyPhase, seed)), cat)
				if err != nil {
					b.Fatal(err)
				}
				checked := 0
				for b.Loop() {
					p, err := backup.NewPlan(context.Background(), site)
					if err != nil {
						b.Fatal(err)
					}
					checked = p.Allocation.Checked
				}
				b.ReportMetric(float64(checked), "checked")
			})
		}
	}
}
