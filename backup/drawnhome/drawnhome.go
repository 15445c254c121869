// Package drawnhome draws site files of invented homes, for tests that must hold for every home.
//
// Equal seeds give equal files. The files are valid as far as that depends on single keys and references; whether a
// bank can be sized for a home, say, is for the tests to find out. All figures are invented.
package drawnhome

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Draw returns the text of a site file.
func Draw(seed uint64) []byte {
	d := drawer{Rand: rand.New(rand.NewPCG(seed, 0x5eed)), modest: seed%2 == 0}
	d.home()
	d.outage()
	d.equipment()
	d.circuits()
	d.recharge()
	if d.one(0.3) {
		d.options()
	}
	return []byte(d.out.String())
}

type drawer struct {
	*rand.Rand
	out    strings.Builder
	grid   grid
	dcV    int
	inputs int
	phases int
	south  bool // of the equator
	modest bool // half of the homes: little is asked of the equipment, so that most of their checks pass
}

// A grid is a supply with the equipment classes that suit it.
type grid struct {
	nominalV, phases int
	inverters        []string
}

var grids = []grid{
	{230, 1, []string{"inverter-3k-24 24 0", "hybrid-3k-24 24 1", "inverter-3k-48 48 0", "hybrid-3k6-48 48 2",
		"hybrid-5k-48 48 2",
		"inverter-5k-48 48 0", "hybrid-8k-48 48 2", "inverter-10k-48 48 0", "inverter-15k-48 48 0",
		"hybrid-6k-400 400 2", "inverter-1k-12 12 0"}},
	{120, 1, []string{"inverter-2k5-24-120 24 0"}},
	{120, 2, []string{"split-6k-48 48 2", "split-12k-48 48 2"}},
	{230, 3, []string{"three-8k-48 48 2", "three-12k-48 48 2", "three-10k-400 400 2", "three-15k-400 400 2"}},
}

var units = map[int][]string{
	12: {"lfp-12-100", "lfp-12-200", "agm-12-100", "agm-12-200", "gel-12-100", "flooded-12-150", "flooded-6-225"},
	24: {"lfp-25-100", "lfp-25-200", "agm-12-150", "agm-6-220", "gel-12-200", "flooded-6-225", "flooded-2-500"},
	48: {"lfp-51-50", "lfp-51-100", "lfp-51-100-heated", "lfp-51-200", "nmc-51-65", "agm-12-200", "agm-2-600",
		"gel-6-180", "flooded-2-1000", "flooded-6-400"},
	400: {"lfp-102-50", "lfp-204-50-heated", "nmc-102-60"},
}

// bold is a chance that only homes have which are not modest.
func (d *drawer) bold(chance float64) float64 {
	if d.modest {
		return 0
	}
	return chance
}

func (d *drawer) one(chance float64) bool { return d.Float64() < chance }

func pick[T any](d *drawer, list ...T) T { return list[d.IntN(len(list))] }

func (d *drawer) line(format string, args ...any) { fmt.Fprintf(&d.out, format+"\n", args...) }

// perhaps writes a line in a share of the homes.
func (d *drawer) perhaps(chance float64, format string, args ...any) {
	if d.one(chance) {
		d.line(format, args...)
	}
}

func (d *drawer) home() {
	d.grid = pick(d, grids[0], grids[0], grids[0], grids[1], grids[2], grids[3])
	d.phases = d.grid.phases
	d.line("[site]\nname = \"Drawn home\"\nnominal_v = %d\nphases = %d", d.grid.nominalV, d.phases)
	coldest := d.IntN(30) - 8
	d.line("coldest_c = %d\nhottest_c = %d", coldest, max(coldest+5, 25+d.IntN(22)))
	if coldest%2 == 0 { // of the others nobody tells how cold it gets outdoors
		d.line("coldest_air_c = %d", coldest-6)
	}
	latitude := 100*d.Float64() - 50
	d.south = latitude < 0
	d.line("latitude = %.1f\nlongitude = %.1f\nutc_offset_h = %d", latitude, 40*d.Float64()-20, d.IntN(3)-1)
	d.perhaps(0.3, "altitude_m = %d", d.IntN(2500))
	d.perhaps(0.2, "units = \"us\"")
}

func (d *drawer) outage() {
	d.line("\n[outage]\nautonomy_h = %g", pick(d, 4.0, 8, 10.5, 12, 16, 24, 36, 72))
	d.perhaps(0.3, "start = \"%02d:%02d\"", d.IntN(24), d.IntN(60))
	d.perhaps(0.3, "month = %d", 1+d.IntN(12))
	d.perhaps(0.3, "reserve = %g", pick(d, 0.8, 0.9, 0.95))
	d.line("\n[practice]")
	d.perhaps(0.3, "margin = %g", pick(d, 0.0, 0.05, 0.25))
	d.perhaps(0.3, "growth = %g", pick(d, 0.1, 0.2))
	d.perhaps(0.3, "end_of_life = %g", pick(d, 0.7, 0.9))
	d.perhaps(0.2, "max_dod = %g", pick(d, 0.4, 0.5, 0.7))
}

func (d *drawer) equipment() {
	var id string
	inverter := pick(d, d.grid.inverters...)
	if _, err := fmt.Sscanf(inverter, "%s %d %d", &id, &d.dcV, &d.inputs); err != nil {
		panic(err) // the list above is ours
	}
	d.line("\n[inverter]\nuse = %q", id)
	d.perhaps(0.2, "count = 2")
	d.line("\n[bank]\nuse = %q", pick(d, units[d.dcV]...))
	d.perhaps(d.bold(0.6), "strings = %d", 1+d.IntN(5))
	d.perhaps(d.bold(0.5), "vent_cm2 = %d", 20+d.IntN(400))
	if d.one(0.6) {
		d.line("\n[board]\nways = %d", 2+d.IntN(9))
	}
	if d.one(0.6) {
		d.line("\n[wiring]\nbank_m = %.1f", 1+3*d.Float64())
		d.perhaps(0.6, "feeder_m = %d", 1+d.IntN(40))
		d.perhaps(0.6, "input_m = %d", 1+d.IntN(20))
		d.perhaps(0.5, "array_m = %d", 5+d.IntN(40))
		d.perhaps(d.bold(0.3), "feeder_breaker_a = %d", pick(d, 25, 32, 40, 63))
		if d.grid.nominalV >= 150 {
			d.perhaps(d.bold(0.3), "bank_mm2 = %d", pick(d, 35, 50, 70))
		}
	}
}

func (d *drawer) circuits() {
	interlock := 0
	n := 2 + d.IntN(7)
	for c := range n {
		board := pick(d, "backup", "backup", "either", "main")
		if c == 0 {
			board = "backup"
		}
		d.line("\n[[circuit]]\nid = \"c%d\"\nlabel = \"Circuit %d\"\nboard = %q", c, c+1, board)
		d.perhaps(0.9, "breaker_a = %d", pick(d, 16, 20, 32))
		if d.phases > 1 {
			phases := []string{"0", "1", "2", fmt.Sprint(d.phases)}
			if board != "main" { // the planner picks phases of the backup board only
				phases = append(phases, `"any"`)
			}
			d.line("phase = %s", pick(d, phases...))
		}
		if d.one(d.bold(0.8)) {
			sizes := []float64{1.5, 2.5, 4, 6}
			if d.grid.nominalV < 150 { // AWG 14, 12, 10, 8
				sizes = []float64{2.08, 3.31, 5.26, 8.37}
			}
			d.line("cable_mm2 = %g\nlength_m = %d", pick(d, sizes...), 5+d.IntN(60))
		}
		for l := range 1 + d.IntN(3) {
			d.load(fmt.Sprintf("Load %d.%d", c+1, l+1), c, &interlock)
		}
	}
}

func (d *drawer) load(name string, circuit int, interlock *int) {
	watts := []float64{8, 40, 75, 130, 260, 700, 1250, 2000}
	if d.modest {
		watts = []float64{8, 20, 40, 75, 130, 200}
	}
	w := pick(d, watts...)
	d.line("\n[[load]]\nname = %q\ncircuit = \"c%d\"\nrunning_w = %g", name, circuit, w)
	d.perhaps(0.3, "quantity = %d", 1+d.IntN(6))
	d.line("power_factor = %g", pick(d, 1, 1, 0.95, 0.8, 0.7))
	switch d.IntN(5) {
	case 0:
		d.line("starting_va = %g\nstarting_s = %g", w*(2+4*d.Float64()), pick(d, 0.5, 1, 2, 5))
		d.perhaps(0.5, "starting_pf = %g", pick(d, 0.6, 0.7, 0.8))
	case 1:
		d.line("motor = { kw = %.2f, %s }\nstarting_s = %g", w/1300,
			pick(d, "code = \"G\"", "times = 6", "times = 6.5, method = \"soft\"", "times = 6, method = \"drive\""),
			pick(d, 1.0, 3))
	}
	d.perhaps(0.6, "priority = %d", pick(d, 1, 1, 2, 3, 4, 5))
	hours := 24.0
	if d.one(0.5) {
		from, long := d.IntN(24), 2+d.IntN(8)
		d.line("when = [\"%02d:00-%02d:30\"]", from, (from+long)%24)
		hours = float64(long) + 0.5
	}
	share := pick(d, 0.1, 0.3, 0.5, 1)
	d.line("hours_per_day = %g", hours*share)
	if share < 1 && d.one(0.5) {
		on := 5 + d.IntN(20)
		d.line("cycle = { on_min = %d, off_min = %g }", on, float64(on)*(1/share-1))
	}
	if d.one(0.15) {
		d.line("interlock = \"lock%d\"", *interlock/2)
		*interlock++
	}
	d.perhaps(0.1, "held_off = true")
	d.perhaps(1, "%s", pick(d, "", "", "", "", "", "medical = true", "drop_below = 0.4", "drop_below = 0.6"))
	d.perhaps(0.15, "rides_through_ms = %d", pick(d, 10, 20, 50))
	d.perhaps(0.1, "months = [1, 2, 3, 11, 12]")
}

func (d *drawer) recharge() {
	if d.inputs > 0 && d.one(0.6) {
		for input := range 1 + d.IntN(d.inputs) {
			modules := 4 + d.IntN(5)
			d.line("\n[[array]]\nuse = %q\nmodules_per_string = %d\ntilt_deg = %d\nazimuth_deg = %d\ninput = %d",
				pick(d, "mono-400", "mono-440", "poly-275"),
				modules, d.IntN(70), d.IntN(360), input+1)
			if d.south {
				d.line("monthly_kwh_m2_day = [5.2, 4.7, 3.9, 3.0, 2.2, 1.8, 2.1, 2.9, 3.6, 4.4, 5.0, 5.3]")
			} else {
				d.line("monthly_kwh_m2_day = [2.1, 2.9, 3.6, 4.4, 5.0, 5.3, 5.2, 4.7, 3.9, 3.0, 2.2, 1.8]")
			}
		}
	}
	if d.one(0.5) {
		ids := map[int][]string{1: {"petrol-2k2", "petrol-6k5", "diesel-10k", "gas-12k"}, 2: {"petrol-7k-split"},
			3: {"diesel-20k-3"}}
		d.line("\n[generator]\nuse = %q\noutput_v = %d", pick(d, ids[d.phases]...), d.grid.nominalV)
		if d.one(0.5) {
			start := 0.1 + 0.4*d.Float64()
			d.line("start_soc = %.2f\nstop_soc = %.2f", start, start+0.2+0.3*d.Float64())
		}
	}
}

func (d *drawer) options() {
	d.line("\n[[option]]\nname = \"One string\"\nbank.strings = 1")
	d.perhaps(0.5, "\n[[option]]\nname = \"Careful\"\npractice.margin = 0.3\noutage.autonomy_h = 20")
}
