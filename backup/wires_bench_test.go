package backup_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/catalog"
)

// bigSite is a site of so many circuits with three loads each, one of them a motor, and on demand a cable and its
// length.
func bigSite(circuits int, cables bool) string {
	var b strings.Builder
	b.WriteString(`[site]
name = "Farm"
nominal_v = 230
phases = 3
latitude = 50
[outage]
autonomy_h = 12
[inverter]
use = "three-15k-400"
[bank]
use = "lfp-102-50"
[wiring]
bank_m = 3
feeder_m = 12
input_m = 8
[generator]
use = "diesel-20k-3"
`)
	for i := range circuits {
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nphase = %d\nbreaker_a = 16\nboard = %q\n", i, i%4,
			[...]string{"backup", "main"}[i%2])
		if cables {
			fmt.Fprintf(&b, "cable_mm2 = 2.5\nlength_m = %d\n", 10+i)
		}
		fmt.Fprintf(&b,
			"[[load]]\nname = \"lamps %d\"\ncircuit = \"c%d\"\nquantity = 4\nrunning_w = 9\nhours_per_day = 4\n"+
				"when = [\"17:00-23:00\"]\n", i, i)
		fmt.Fprintf(&b,
			"[[load]]\nname = \"socket %d\"\ncircuit = \"c%d\"\nrunning_w = %d\nhours_per_day = 0.5\nwhen = [\"%02d:00-%02d:00\"]\n",
			i, i, 50+i, i%20, i%20+3)
		fmt.Fprintf(&b,
			"[[load]]\nname = \"motor %d\"\ncircuit = \"c%d\"\nrunning_w = 120\npower_factor = 0.8\n"+
				"starting_va = 600\nstarting_pf = 0.5\nhours_per_day = 8\n", i, i)
	}
	return b.String()
}

func BenchmarkNewPlan(b *testing.B) {
	cat, err := catalog.Generic()
	if err != nil {
		b.Fatal(err)
	}
	for _, circuits := range []int{4, 12, 60} {
		for _, cables := range []bool{false, true} {
			b.Run(fmt.Sprintf("circuits=%d/loads=%d/cables=%t", circuits, 3*circuits, cables), func(b *testing.B) {
				site, err := site.Read("farm.toml", []byte(bigSite(circuits, cables)), cat)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportAllocs()
				for b.Loop() {
					if _, err := backup.NewPlan(context.Background(), site); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
