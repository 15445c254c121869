package live

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// farm is a large farm on three phases: 60 circuits, 12 of them on the main board, and 300 loads, some with windows and
// starts, some held off.
func farm() []byte {
	r := rand.New(rand.NewPCG(60, 300))
	var b strings.Builder
	b.WriteString("# A farm of sixty circuits, drawn by a test.\n\n[site]\nname = \"Sixty circuits\"\nnominal_v = 230\nphases = 3\ncoldest_c = 10\nlatitude = 48.1\nlongitude = 11.5\nutc_offset_h = 1\n\n")
	b.WriteString("[outage]\nautonomy_h = 12\n\n[inverter]\nuse = \"three-15k-400\"\n\n[bank]\nuse = \"lfp-102-50\"\n\n")
	for i := range 60 {
		board := "backup"
		if i >= 48 {
			board = "main"
		}
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nlabel = \"Circuit %d\"\nbreaker_a = 16\nphase = %d\nboard = %q\n\n",
			i, i, i%3+1, board)
	}
	for i := range 300 {
		fmt.Fprintf(&b,
			"[[load]]\nname = \"Load %d\"\ncircuit = \"c%d\"\nrunning_w = %d\npower_factor = %g\nhours_per_day = %g\npriority = %d\n",
			i, i%60, 5+r.IntN(120),
			0.7+0.05*float64(r.IntN(7)), 0.25*float64(1+r.IntN(8)), 1+r.IntN(5))
		if r.IntN(3) > 0 {
			start := r.IntN(1380)
			end := (start + 150 + r.IntN(600)) % 1440
			fmt.Fprintf(&b, "when = [\"%02d:%02d-%02d:%02d\"]\n", start/60, start%60, end/60, end%60)
		}
		if r.IntN(4) == 0 {
			fmt.Fprintf(&b, "starting_va = %d\nstarting_s = %d\n", 400+r.IntN(800), 1+r.IntN(3))
		}
		if r.IntN(12) == 0 {
			b.WriteString("held_off = true\n")
		}
		b.WriteByte('\n')
	}
	b.WriteString("[[array]]\nuse = \"mono-440\"\nmodules_per_string = 16\nstrings = 1\ntilt_deg = 30\nazimuth_deg = 180\ninput = 1\nmonthly_kwh_m2_day = [1.0, 1.8, 3.0, 4.2, 5.1, 5.4, 5.5, 4.7, 3.5, 2.1, 1.2, 0.8]\n")
	return []byte(b.String())
}

// touches are what a hand does on the page, one after the other.
func touches() (out []string) {
	var changes []string
	for i := range 30 {
		switch i % 5 {
		case 0:
			changes = append(changes,
				fmt.Sprintf(`{"do": "set", "table": "load", "at": "Load %d", "key": "held_off", "value": true}`, i*7))
		case 1:
			changes = append(changes,
				fmt.Sprintf(`{"do": "set", "table": "load", "at": "Load %d", "key": "quantity", "value": 2}`, i*5))
		case 2:
			changes = append(changes,
				fmt.Sprintf(`{"do": "set", "table": "circuit", "at": "c%d", "key": "board", "value": "main"}`, i))
		case 3:
			changes = append(changes, fmt.Sprintf(`{"do": "set", "table": "outage", "key": "autonomy_h", "value": %d}`,
				10+i))
		}
		out = append(out, fmt.Sprintf(`{"changes": [%s], "view": {"start_min": %d, "month": %d}}`,
			strings.Join(changes, ","), i*40, i/10))
	}
	return out
}

// BenchmarkTouch answers the touches of a hand on a farm of sixty circuits.
func BenchmarkTouch(b *testing.B) {
	list := touches()
	var took []time.Duration
	for b.Loop() {
		table := tableWith(b, "farm.toml", farm())
		for _, q := range list {
			begin := time.Now()
			answer := table.Do(context.Background(), "answer", []byte(q))
			took = append(took, time.Since(begin))
			if strings.HasPrefix(string(answer), `{"error`) {
				b.Fatal(string(answer))
			}
		}
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "ms-p95")
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-p50")
}

// BenchmarkWeigh weighs all circuits of that farm.
func BenchmarkWeigh(b *testing.B) {
	table := tableWith(b, "farm.toml", farm())
	for b.Loop() {
		table.Do(context.Background(), "weigh", []byte(`{}`))
	}
}
