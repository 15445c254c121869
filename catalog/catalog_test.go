package catalog_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/catalog"
	"outlast/catalog/strict"
)

// problems gives all that is said of a catalog file: place and message, then " | " and the hint where there is one.
func problems(t *testing.T, src string) []string {
	t.Helper()
	c, err := catalog.Read("f", []byte(src))
	if (c == nil) == (err == nil) {
		t.Fatalf("neither a catalog nor a reason, or both: %v", err)
	}
	var ps strict.Problems
	if err != nil && (!errors.As(err, &ps) || len(ps) == 0) {
		t.Fatalf("error %v, want problems", err)
	}
	var out []string
	for _, p := range ps {
		line := strings.TrimPrefix(p.Error(), "f:")
		if p.Hint != "" {
			line += " | " + p.Hint
		}
		out = append(out, line)
	}
	return out
}

func read(t *testing.T, src string) *catalog.Catalog {
	t.Helper()
	c, err := catalog.Read("f", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

const (
	anInverter = "[[inverter]]\nid = \"inv\"\nrated_w = 4000\nrated_va = 5000\nnominal_dc_v = 48\ndc_min_v = 40\ndc_max_v = 60\n" +
		"max_discharge_a = 100\nidle_w = 30\nefficiency = 0.9\n"
	aBattery   = "[[battery]]\nid = \"bat\"\nchemistry = \"agm\"\nnominal_v = 12\nrated_ah = 100\n"
	aModule    = "[[module]]\nid = \"mod\"\nrated_w = 400\nvoc_v = 40\nisc_a = 13\nvmp_v = 33\nimp_a = 12.1\n"
	aGenerator = "[[generator]]\nid = \"gen\"\nrated_va = 6500\npower_factor = 0.8\n"
)

// A user's own file is read as strictly as a site file.
func TestReadProblems(t *testing.T) {
	for _, tt := range []struct {
		name, src string
		want      []string
	}{
		{"nothing wrong", anInverter + aBattery + aModule + aGenerator, nil},
		{"nothing at all", "", nil},
		{"no text", "\xff\xfe", []string{`1:1: is UTF-16 text, want UTF-8 | save it as UTF-8`}},
		{"a slip of grammar", anInverter + "idle_w 3",
			[]string{`11:8: not valid TOML: found '3', want = after the key`}},
		{"slips", anInverter + "idle = 3\ndc_mim_v = 5\n[[baterry]]\nid = \"x\"\nrated_w = 3", []string{
			`11:1: unknown key "idle" in [[inverter]] | did you mean "idle_w"?`,
			`12:1: unknown key "dc_mim_v" in [[inverter]] | did you mean "dc_min_v"?`,
			`13:1: unknown key "baterry" | did you mean "battery"?`,
			`13:1: missing key "chemistry" in [[battery]]: want "flooded", "agm", "gel", "lfp" or "nmc"`,
			`13:1: missing key "nominal_v" in [[battery]]: want a number from 1 to 1500 V`,
			`13:1: missing key "rated_ah" in [[battery]]: want a number from 0.1 to 100000 Ah`,
			`15:1: unknown key "rated_w" in [[battery]] | did you mean "rated_h"?`}},
		{"keys of a site file", anInverter + "use = \"hybrid-5k-48\"\ncount = 2\n[site]\nname = \"x\"", []string{
			`11:1: unknown key "use" in [[inverter]] | the keys of [[inverter]] are id, basis, label, rated_w, ` +
				`rated_va, overload, phases, output_v, ` +
				`nominal_dc_v, pass_through_a, ac_input_a, charger_a, dc_min_v, dc_max_v, max_charge_a, ` +
				`max_discharge_a, idle_w, efficiency, ` +
				`efficiency_curve, derate_from_c, derate_per_c, derate_from_m, derate_per_100m, transfer_ms, ` +
				`chemistries, equalises, input, price, mass_kg`,
			`12:1: unknown key "count" in [[inverter]] | the keys of [[inverter]] are id, basis, label, rated_w, ` +
				`rated_va, overload, phases, output_v, ` +
				`nominal_dc_v, pass_through_a, ac_input_a, charger_a, dc_min_v, dc_max_v, max_charge_a, ` +
				`max_discharge_a, idle_w, efficiency, ` +
				`efficiency_curve, derate_from_c, derate_per_c, derate_from_m, derate_per_100m, transfer_ms, ` +
				`chemistries, equalises, input, price, mass_kg`,
			`13:1: unknown key "site" | the tables of the file are inverter, battery, module, generator, appliance`}},
		{"no id", strings.Replace(aModule, "id = \"mod\"\n", "", 1),
			[]string{`1:1: missing key "id" in [[module]]: want a text in quotes`}},
		{"an id twice, of two kinds", anInverter + strings.Replace(aBattery, `"bat"`, `"inv"`, 1), []string{
			`12:1: id in [[battery]]: found "inv" a second time, want each id once`}},
		{"one table", strings.Replace(aGenerator, "[[generator]]", "[generator]", 1) + "phases = 5", []string{
			`1:1: [[generator]]: found [generator], want [[generator]]`,
			`5:1: phases in [[generator]]: found 5, want a whole number from 1 to 3`}},
		{"a table and an exponent",
			aBattery + "capacity = [{ hours = 10, ah = 92 }, { hours = 20, ah = 100 }]\npeukert = 1.1", []string{
				`7:1: peukert in [[battery]]: excludes capacity of line 6: give only one`}},
		{"a table that contradicts itself, and a slip",
			aBattery + "capacity = [{ hours = 20, ah = 100 }, { hours = 10, ah = 92 }]\nmass = 4", []string{
				`6:1: capacity in [[battery]]: found 10 h after 20 h, want hours to rise`,
				`7:1: unknown key "mass" in [[battery]] | did you mean "mass_kg"?`}},
		{"a table with a slip in it is not judged",
			aBattery + "capacity = [{ hours = 20, ah = 100 }, { hour = 10, ah = 92 }]", []string{
				`6:41: unknown key "hour" in capacity | did you mean "hours"?`}},
		{"volts that do not go together", aBattery + "charge_v = 14.4\nfloat_v = 15", []string{
			`7:1: float_v in [[battery]]: found 15 V, want at most charge_v, 14.4 V`}},
		{"volts are not judged without the chemistry", strings.Replace(aBattery, `"agm"`, `"lead"`, 1) +
			"charge_v = 14.4\nmin_v = 13", []string{
			`3:1: chemistry in [[battery]]: found the text "lead", want "flooded", "agm", "gel", "lfp" or "nmc"`}},
		{"an entry that is wrong in several ways",
			"[[inverter]]\nid = \"i\"\nrated_w = 6000\nrated_va = 5000\nnominal_dc_v = 70\ndc_min_v = 40\ndc_max_v = 60\n" +
				"max_discharge_a = 0\nefficiency = 90\n", []string{
				`1:1: missing key "idle_w" in [[inverter]]: want a number from 0 to 100000 W`,
				`4:1: rated_va in [[inverter]]: found 5000 W, want at least rated_w, 6000`,
				`7:1: dc_max_v in [[inverter]]: found 60 V, want at least nominal_dc_v, 70`,
				`8:1: max_discharge_a in [[inverter]]: found 0, want a number above 0, at most 100000 A`,
				`9:1: efficiency in [[inverter]]: found 90, want a number from 0.1 to 1 | write 0.9: a share of 1, not per cent`}},
		{"a tracker upside down", anInverter + "input = [\n  { max_v = 500, track_min_v = 400, track_max_v = 120 },\n]",
			[]string{
				`12:37: track_max_v in input: found 120 V, want more than track_min_v, 400`}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, problems(t, tt.src)); diff != "" {
				t.Errorf("of the file\n%s\n(-want +got):\n%s", tt.src, diff)
			}
		})
	}
}

// An entry of the user's with an id of the generic set takes its place; the others stay as they are.
func TestAdd(t *testing.T) {
	c, before := generic(t), generic(t)
	c.Add(read(t, strings.Replace(anInverter, `"inv"`, `"hybrid-5k-48"`, 1)+aBattery))
	v, err := c.Inverter("hybrid-5k-48")
	if err != nil || v.RatedW != 4000 || v.Label != "" || v.ChargerA != 0 {
		t.Errorf("inverter %+v, %v: want the user's, and nothing of the generic one", v, err)
	}
	if len(c.Inverters()) != len(before.Inverters()) || basisOf(c, "hybrid-5k-48") != "" ||
		!strings.HasPrefix(c.TOML("hybrid-5k-48"), "[[inverter]]\nid = \"hybrid-5k-48\"\nrated_w = 4000\n") {
		t.Errorf("%d inverters (before: %d), basis %q, text\n%s", len(c.Inverters()), len(before.Inverters()),
			basisOf(c, "hybrid-5k-48"), c.TOML("hybrid-5k-48"))
	}
	for i, v := range c.Inverters() {
		if v.ID != before.Inverters()[i].ID {
			t.Errorf("inverter %d is %s, was %s", i, v.ID, before.Inverters()[i].ID)
		} else if v.ID != "hybrid-5k-48" && !cmp.Equal(v, before.Inverters()[i]) {
			t.Errorf("%s has changed", v.ID)
		}
	}
	if u, err := c.Battery("bat"); err != nil || u.RatedAh != 100 || len(c.Batteries()) != len(before.Batteries())+1 {
		t.Errorf("battery %+v, %v", u, err)
	}
}

// An id names one thing: the text of a battery must not be shown for the inverter of that name.
func TestAddOtherKind(t *testing.T) {
	c := generic(t)
	c.Add(read(t, strings.Replace(aBattery, `"bat"`, `"hybrid-5k-48"`, 1)))
	if _, err := c.Inverter("hybrid-5k-48"); err == nil {
		t.Error("the inverter is still there")
	}
	if _, err := c.Battery("hybrid-5k-48"); err != nil || !strings.HasPrefix(c.TOML("hybrid-5k-48"), "[[battery]]") {
		t.Errorf("%v, text\n%s", err, c.TOML("hybrid-5k-48"))
	}
}

func TestFind(t *testing.T) {
	c := generic(t)
	find := func(kind, id string) error {
		var err error
		switch kind {
		case "inverter":
			_, err = c.Inverter(id)
		case "battery":
			_, err = c.Battery(id)
		case "module":
			_, err = c.Module(id)
		case "generator":
			_, err = c.Generator(id)
		case "appliance":
			_, err = c.Appliance(id)
		}
		return err
	}
	for _, tt := range []struct{ kind, id, nearest string }{
		{"inverter", "hybrid-5k-84", "hybrid-5k-48"},
		{"inverter", "Hybrid-5K-48", "hybrid-5k-48"},
		{"inverter", "lfp-51-100", ""}, // there, but of another kind
		{"battery", "lfp-51-10", "lfp-51-100"},
		{"battery", "", ""},
		{"module", "momo-440", "mono-440"},
		{"generator", "petrol-6k", "petrol-6k5"},
		{"generator", strings.Repeat("x", 1000), ""},
		{"appliance", "chest-frezer", "chest-freezer"},
		{"appliance", "well-pump-750", "well-pump-750w"},
		{"appliance", "hybrid-5k-48", ""},
	} {
		var unknown *catalog.UnknownID
		if err := find(tt.kind, tt.id); !errors.As(err, &unknown) {
			t.Errorf("%s %q: error %v, want an UnknownID", tt.kind, tt.id, err)
		} else if unknown.Kind != tt.kind || unknown.ID != tt.id || unknown.Nearest != tt.nearest {
			t.Errorf("%s %q: %+v, want nearest %q", tt.kind, tt.id, unknown, tt.nearest)
		}
	}
	if got, want := find("battery", "x\ny").Error(), `no battery "x\ny" in the catalog`; got != want {
		t.Errorf("message %s, want %s", got, want)
	}
}

// An entry's text can be put into a catalog of one's own, and says the same there.
func TestTOMLReadsBack(t *testing.T) {
	c := generic(t)
	var all strings.Builder
	for _, id := range c.IDs() {
		all.WriteString(c.TOML(id))
	}
	again := read(t, all.String())
	same := func(kind string, got, want int) {
		t.Helper()
		if got != want {
			t.Errorf("%d %s, want %d", got, kind, want)
		}
	}
	same("inverters", len(again.Inverters()), len(c.Inverters()))
	same("batteries", len(again.Batteries()), len(c.Batteries()))
	same("modules", len(again.Modules()), len(c.Modules()))
	same("generators", len(again.Generators()), len(c.Generators()))
	same("appliances", len(again.Appliances()), len(c.Appliances()))
	for _, want := range c.Inverters() {
		got, err := again.Inverter(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Batteries() {
		got, err := again.Battery(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Modules() {
		got, err := again.Module(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Generators() {
		got, err := again.Generator(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
}

func TestApplianceProblems(t *testing.T) {
	const pump = "[[appliance]]\nid = \"pump\"\nbasis = \"a plate\"\nrunning_w = 800\npower_factor = 0.8\nhours_per_day = 2\n"
	for _, tt := range []struct {
		name, src string
		want      []string
	}{
		{"sound",
			pump +
				"starting_va = 4000\nwhen = [\"06:00-09:00\"]\nlow = { running_w = 600, starting_va = 1500 }\n" +
				"high = { running_w = 900, starting_va = 6000, hours_per_day = 3 }\n", nil},
		{"a motor, and no spread of its start",
			pump + "motor = { hp = 0.5, code = \"J\" }\nlow = { running_w = 600 }\n", nil},
		{"no more than its id", "[[appliance]]\nid = \"pump\"\n", []string{
			`1:1: missing key "basis" in [[appliance]]: want a text in quotes`,
			`1:1: missing key "running_w" in [[appliance]]: want a number from 0 to 10000000 W`,
			`1:1: missing key "hours_per_day" in [[appliance]]: want a number from 0 to 24 h`}},
		{"keys of a load that no class has", pump + "circuit = \"a\"\n",
			[]string{
				`7:1: unknown key "circuit" in [[appliance]] | the keys of [[appliance]] are id, basis, label, quantity, ` +
					`running_w, power_factor, starting_va, starting_w, starting_pf, starting_s, hours_per_day, when, ` +
					`cycle, priority, held_off, interlock, months, rides_through_ms, medical, drop_below, ` +
					`motor, low, high`}},
		{"two starts", pump + "starting_va = 4000\nstarting_w = 3000\n",
			[]string{`8:1: starting_w in [[appliance]]: excludes starting_va of line 7: give only one`}},
		{"starts below the running power", pump + "starting_va = 999\nlow = { running_w = 600, starting_va = 700 }\n",
			[]string{
				`7:1: starting_va in [[appliance]]: found a start of 999 VA, want at least the running 1000 VA`,
				`8:26: starting_va in low: found a start of 700 VA, want at least the running 750 VA`}},
		{"a start in watts below the running ones", pump + "starting_w = 700\n",
			[]string{`7:1: starting_w in [[appliance]]: found 700 W, want at least running_w, 800 W`}},
		{"ends on the wrong side",
			pump +
				"starting_va = 4000\nlow = { running_w = 900, starting_va = 5000, hours_per_day = 3 }\n" +
				"high = { running_w = 700, starting_va = 3000, hours_per_day = 1 }\n", []string{
				`8:9: running_w in low: found 900, want at most the typical 800`,
				`8:26: starting_va in low: found 5000, want at most the typical 4000`,
				`8:46: hours_per_day in low: found 3, want at most the typical 2`,
				`9:10: running_w in high: found 700, want at least the typical 800`,
				`9:27: starting_va in high: found 3000, want at least the typical 4000`,
				`9:47: hours_per_day in high: found 1, want at least the typical 2`}},
		{"an end without its power", pump + "high = { hours_per_day = 3 }\n",
			[]string{`7:1: missing key "running_w" in high: want a number from 0 to 10000000 W`}},
		{"windows", pump + "when = [\"06:00-07:00\", \"06:30-07:30\", \"7-8\"]\n", []string{
			`7:24: when in [[appliance]]: found "06:30-07:30", which overlaps another window of this load at 06:30`,
			`7:39: when in [[appliance]]: found "7-8", want a window such as "06:00-09:00" | write "07:00-08:00"`}},
		{"hours that its windows do not hold", pump + "when = [\"06:00-07:00\"]\n",
			[]string{`6:1: hours_per_day in [[appliance]]: found 2 h, want at most the 1 h of its windows`}},
		{"hours at the high end that its windows do not hold",
			pump + "when = [\"06:00-09:00\"]\nhigh = { running_w = 900, hours_per_day = 4 }\n", []string{
				`8:27: hours_per_day in high: found 4 h, want at most the 3 h of the windows`}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, problems(t, tt.src)); diff != "" {
				t.Errorf("of the file\n%s\n(-want +got):\n%s", tt.src, diff)
			}
		})
	}
}

func BenchmarkGeneric(b *testing.B) {
	for b.Loop() {
		if _, err := catalog.Generic(); err != nil {
			b.Fatal(err)
		}
	}
}
