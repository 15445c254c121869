package backup_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/backup/wiring"
)

func TestReadWiring(t *testing.T) {
	wires := func(lines string) string { return equipped + "[wiring]\n" + lines }
	cable := func(lines string) string { return equipped + circuitTable + lines }
	us := strings.Replace(inverterTable, "hybrid-5k-48", "hybrid-5k-48\"\noutput_v = 120\nlabel = \"made for 120 V", 1)
	const at120 = "[site]\nname = \"Fernhollow\"\nnominal_v = 120\n"
	tellSite(t, []siteFact{
		{"everything",
			wires("tables = \"iec\"\nmethod = \"C\"\nambient_c = 40\ngrouped = 3\nbank_m = 2\nbank_mm2 = 70\n" +
				"bank_device = \"breaker\"\nbank_device_a = 125\n" +
				"bank_device_v = 60\nbank_device_breaking_a = 10000\nfeeder_m = 4\nfeeder_mm2 = 6\n" +
				"feeder_breaker_a = 32\ninput_m = 9\ninput_mm2 = 16\ninput_breaker_a = 63\n" +
				"array_m = 20\narray_mm2 = 4\narray_isolator_a = 32\narray_isolator_v = 600"), nil},
		{"nothing", wires(""), nil},
		{"misspelt", wires("feder_m = 4"),
			[]string{`11:1: unknown key "feder_m" in [wiring] | did you mean "feeder_m"?`}},
		{"words", wires("tables = \"own\"\nmethod = \"D\"\nbank_device = \"switch\""), []string{
			`11:1: tables in [wiring]: found the text "own", want "iec" or "us"`,
			`12:1: method in [wiring]: found the text "D", want "B1", "B2" or "C"`,
			`13:1: bank_device in [wiring]: found the text "switch", want "fuse" or "breaker"`}},
		{"ranges", wires("ambient_c = 61\ngrouped = 21\nbank_m = 0\ninput_m = 10001\nbank_device_v = 0.5"), []string{
			`11:1: ambient_c in [wiring]: found 61, want a number from -60 to 60 C`,
			`12:1: grouped in [wiring]: found 21, want a whole number from 1 to 20`,
			`13:1: bank_m in [wiring]: found 0, want a number above 0, at most 1000 m`,
			`14:1: input_m in [wiring]: found 10001, want a number above 0, at most 10000 m`,
			`15:1: bank_device_v in [wiring]: found 0.5, want a number from 1 to 10000 V`}},
		{"no size of the iec tables", wires("bank_mm2 = 55\nfeeder_mm2 = 6.1"), []string{
			`11:1: bank_mm2 in [wiring]: found 55 mm2, want a standard size of the iec tables | the nearest is 50`}},
		{"no size, in a circuit", cable("cable_mm2 = 3"), []string{
			`13:1: cable_mm2 in [[circuit]]: found 3 mm2, want a standard size of the iec tables | the nearest is 2.5`}},
		{"far from all sizes", cable("cable_mm2 = 0.001"), []string{
			`13:1: cable_mm2 in [[circuit]]: found 0.001 mm2, want a standard size of the iec tables`}},
		{"no size of the us tables, as the voltage tells", at120 + outageTable + us + bankTable + circuitTable +
			"cable_mm2 = 2.5", []string{
			`15:1: cable_mm2 in [[circuit]]: found 2.5 mm2, want a standard size of the us tables | the nearest is 2.08, 14 AWG`}},
		{"a size of the us tables", at120 + outageTable + us + bankTable + circuitTable + "cable_mm2 = 3.3", nil},
		{"us tables at 230 V, where they are asked for", wires("tables = \"us\"\nbank_mm2 = 53.5"), nil},
		{"the us tables know no methods", wires("tables = \"us\"\nmethod = \"C\""), []string{
			`12:1: method in [wiring]: the us tables know one way of laying only | leave it out, or take the iec tables`}},
		{"wrong tables are compared with nothing", wires("tables = \"own\"\nbank_mm2 = 55"), []string{
			`11:1: tables in [wiring]: found the text "own", want "iec" or "us"`}},
		{"a drop is told in per cent from 1 on", equipped + "[practice]\ndc_drop = 1.5", []string{
			`11:1: dc_drop in [practice]: found 1.5, want a number from 0.0001 to 0.5 | write 0.015: a share of 1, not per cent`}},
		{"practice",
			equipped +
				"[practice]\ndc_drop = 2\ncontinuous_factor = 0.8\nunfused_strings = 0\ngenerator_rule = \"thum\"\n" +
				"next_size_up = 1", []string{
				`11:1: dc_drop in [practice]: found 2, want a number from 0.0001 to 0.5 | write 0.02: a share of 1, not per cent`,
				`12:1: continuous_factor in [practice]: found 0.8, want a number from 1 to 2`,
				`13:1: unfused_strings in [practice]: found 0, want a whole number from 1 to 100`,
				`14:1: generator_rule in [practice]: found the text "thum", want "alternator", "portable", "engine", ` +
					`"diesel", "turbo" or "thumb" | did you mean "thumb"?`,
				`15:1: next_size_up in [practice]: found 1, want true or false | write true`}},
	})
}

// Below 150 V to neutral the US tables are taken, else IEC: decided here, for want of a published rule.
func TestTablesByVoltage(t *testing.T) {
	for volts, want := range map[string]wiring.Tables{"100": wiring.US, "120": wiring.US, "149.9": wiring.US,
		"150": wiring.IEC, "230": wiring.IEC} {
		src := strings.NewReplacer("nominal_v = 230", "nominal_v = "+volts, "hybrid-5k-48\"",
			"hybrid-5k-48\"\noutput_v = "+volts).Replace(equipped)
		if got := mustReadSite(t, src).Wiring.Tables; got != want {
			t.Errorf("%s V: tables %q, want %q", volts, got, want)
		}
	}
}

// A default is noted where the plan makes use of it, and only there.
func TestWiringDefaults(t *testing.T) {
	noted := func(src string) map[string]string {
		out := map[string]string{}
		for _, d := range mustReadSite(t, src).Defaults {
			if d.Table == "[wiring]" || d.Table == "[practice]" {
				out[d.Key] = d.Value
			}
		}
		return out
	}
	// The values of package wiring, where their sources stand.
	plain := map[string]string{"margin": "0.1", "growth": "0", "headroom": "0", "end_of_life": "0.8",
		"confidence":        "0.999",
		"continuous_factor": "1.25", "dc_fuse_factor": "1.25", "surge_rise_k": "10 K", "next_size_up": "false",
		"unfused_strings": "1",
		"tables":          "iec", "method": "B2, bank and array C", "ambient_c": "30 C", "grouped": "1"}
	plain["continuous_factor"] = "1" // with the IEC tables
	if diff := cmp.Diff(plain, noted(equipped)); diff != "" {
		t.Errorf("without lengths (-want +got):\n%s", diff)
	}
	more := noted(equipped + circuitTable +
		"length_m = 101\n[wiring]\nbank_m = 1\nfeeder_m = 1\n[generator]\nuse = \"petrol-6k5\"\n")
	for key, want := range map[string]string{"dc_drop": "0.02", "ac_drop": "0.03", "total_drop": "0.05",
		"start_drop": "0.15", "long_run_per_m": "0 per m",
		"generator_share": "0.9", "generator_start": "1.5", "generator_dip": "0.35", "generator_reactance": "0.25",
		"generator_rule": "engine, alternator"} {
		if more[key] != want {
			t.Errorf("with lengths and a generator %s = %q is noted, want %q", key, more[key], want)
		}
	}
	if more["pv_factor"] != "" || more["fault_a_per_ah"] != "" {
		t.Errorf("%v: notes a factor of arrays or of lead-acid, of which there are none", more)
	}
}

// What is usual of fuses and short circuits depends on the chemistry.
func TestDefaultsByChemistry(t *testing.T) {
	for _, tt := range []struct{ chemistry, unfused, perAh string }{
		{"flooded", "2", "15 A/Ah"}, {"gel", "2", "15 A/Ah"}, {"agm", "2", "30 A/Ah"}, {"lfp", "1", ""},
		{"nmc", "1", ""},
	} {
		h := newHouse().drop("bank.resistance_mohm").set("bank.chemistry", strconv.Quote(tt.chemistry))
		noted := map[string]string{}
		for _, d := range h.plan(t).Site.Defaults {
			noted[d.Key] = d.Value
		}
		if noted["unfused_strings"] != tt.unfused || noted["fault_a_per_ah"] != tt.perAh {
			t.Errorf("%s: unfused_strings %q, fault_a_per_ah %q; want %q, %q", tt.chemistry, noted["unfused_strings"],
				noted["fault_a_per_ah"], tt.unfused, tt.perAh)
		}
	}
	for perAh, ok := range map[float64]bool{35: true, 35.1: false} {
		if _, err := planOf(lead().set("practice.fault_a_per_ah", perAh).text()); (err == nil) != ok {
			t.Errorf("fault_a_per_ah = %g: %v", perAh, err)
		}
	}
}

// An option changes the factors like any other practice.
func TestOptionOfTheWiring(t *testing.T) {
	h := cabled("breaker_a = 20; length_m = 1", "running_w = 3700; hours_per_day = 4")
	text := h.text() + "[[option]]\nname = \"Factor 1\"\npractice.continuous_factor = 1\n"
	p, err := planOf(text)
	if err != nil {
		t.Fatal(err)
	}
	if got := check(t, p, "cable-a").Status; got != "fail" { // 1.25 x 18.5 A on 23 A
		t.Errorf("base: %s, want fail", got)
	}
	if got := check(t, p.Options[0].Plan, "cable-a").Status; got != "pass" {
		t.Errorf("option: %s, want pass", got)
	}
	if got := p.Options[0].ChangesText().String(); got != "practice.continuous_factor 1.25 -> 1" {
		t.Errorf("changes %q", got)
	}
}
