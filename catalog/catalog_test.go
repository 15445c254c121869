package catalog_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/battery"
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
		{"a slip of grammar", anInverter + "idle_w 3", []string{`11:8: not valid TOML: found '3', want = after the key`}},
		{"slips", anInverter + "idle = 3\ndc_mim_v = 5\n[[baterry]]\nid = \"x\"\nrated_w = 3", []string{
			`11:1: unknown key "idle" in [[inverter]] | did you mean "idle_w"?`,
			`12:1: unknown key "dc_mim_v" in [[inverter]] | did you mean "dc_min_v"?`,
			`13:1: unknown key "baterry" | did you mean "battery"?`,
			`13:1: missing key "chemistry" in [[battery]]: want "flooded", "agm", "gel", "lfp" or "nmc"`,
			`13:1: missing key "nominal_v" in [[battery]]: want a number from 1 to 1500 V`,
			`13:1: missing key "rated_ah" in [[battery]]: want a number from 0.1 to 100000 Ah`,
			`15:1: unknown key "rated_w" in [[battery]] | did you mean "rated_h"?`}},
		{"keys of a site file", anInverter + "use = \"hybrid-5k-48\"\ncount = 2\n[site]\nname = \"x\"", []string{
			`11:1: unknown key "use" in [[inverter]] | the keys of [[inverter]] are id, basis, label, rated_w, rated_va, overload, phases, output_v, ` +
				`nominal_dc_v, pass_through_a, ac_input_a, charger_a, dc_min_v, dc_max_v, max_charge_a, max_discharge_a, idle_w, efficiency, ` +
				`efficiency_curve, derate_from_c, derate_per_c, derate_from_m, derate_per_100m, transfer_ms, chemistries, equalises, input, price, mass_kg`,
			`12:1: unknown key "count" in [[inverter]] | the keys of [[inverter]] are id, basis, label, rated_w, rated_va, overload, phases, output_v, ` +
				`nominal_dc_v, pass_through_a, ac_input_a, charger_a, dc_min_v, dc_max_v, max_charge_a, max_discharge_a, idle_w, efficiency, ` +
				`efficiency_curve, derate_from_c, derate_per_c, derate_from_m, derate_per_100m, transfer_ms, chemistries, equalises, input, price, mass_kg`,
			`13:1: unknown key "site" | the tables of the file are inverter, battery, module, generator`}},
		{"no id", strings.Replace(aModule, "id = \"mod\"\n", "", 1), []string{`1:1: missing key "id" in [[module]]: want a text in quotes`}},
		{"an id twice, of two kinds", anInverter + strings.Replace(aBattery, `"bat"`, `"inv"`, 1), []string{
			`12:1: id in [[battery]]: found "inv" a second time, want each id once`}},
		{"one table", strings.Replace(aGenerator, "[[generator]]", "[generator]", 1) + "phases = 5", []string{
			`1:1: [[generator]]: found [generator], want [[generator]]`,
			`5:1: phases in [[generator]]: found 5, want a whole number from 1 to 3`}},
		{"a table and an exponent", aBattery + "capacity = [{ hours = 10, ah = 92 }, { hours = 20, ah = 100 }]\npeukert = 1.1", []string{
			`7:1: peukert in [[battery]]: excludes capacity of line 6: give only one`}},
		{"a table that contradicts itself, and a slip", aBattery + "capacity = [{ hours = 20, ah = 100 }, { hours = 10, ah = 92 }]\nmass = 4", []string{
			`6:1: capacity in [[battery]]: found 10 h after 20 h, want hours to rise`,
			`7:1: unknown key "mass" in [[battery]] | did you mean "mass_kg"?`}},
		{"a table with a slip in it is not judged", aBattery + "capacity = [{ hours = 20, ah = 100 }, { hour = 10, ah = 92 }]", []string{
			`6:41: unknown key "hour" in capacity | did you mean "hours"?`}},
		{"volts that do not go together", aBattery + "charge_v = 14.4\nfloat_v = 15", []string{
			`7:1: float_v in [[battery]]: found 15 V, want at most charge_v, 14.4 V`}},
		{"volts are not judged without the chemistry", strings.Replace(aBattery, `"agm"`, `"lead"`, 1) + "charge_v = 14.4\nmin_v = 13", []string{
			`3:1: chemistry in [[battery]]: found the text "lead", want "flooded", "agm", "gel", "lfp" or "nmc"`}},
		{"an entry that is wrong in several ways", "[[inverter]]\nid = \"i\"\nrated_w = 6000\nrated_va = 5000\nnominal_dc_v = 70\ndc_min_v = 40\ndc_max_v = 60\n" +
			"max_discharge_a = 0\nefficiency = 90\n", []string{
			`1:1: missing key "idle_w" in [[inverter]]: want a number from 0 to 100000 W`,
			`4:1: rated_va in [[inverter]]: found 5000 W, want at least rated_w, 6000`,
			`7:1: dc_max_v in [[inverter]]: found 60 V, want at least nominal_dc_v, 70`,
			`8:1: max_discharge_a in [[inverter]]: found 0, want a number above 0, at most 100000 A`,
			`9:1: efficiency in [[inverter]]: found 90, want a number from 0.1 to 1`}},
		{"a tracker upside down", anInverter + "input = [\n  { max_v = 500, track_min_v = 400, track_max_v = 120 },\n]", []string{
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
	if len(c.Inverters) != len(before.Inverters) || c.Basis("hybrid-5k-48") != "" || !strings.HasPrefix(c.TOML("hybrid-5k-48"), "[[inverter]]\nid = \"hybrid-5k-48\"\nrated_w = 4000\n") {
		t.Errorf("%d inverters (before: %d), basis %q, text\n%s", len(c.Inverters), len(before.Inverters), c.Basis("hybrid-5k-48"), c.TOML("hybrid-5k-48"))
	}
	for i, v := range c.Inverters {
		if v.ID != before.Inverters[i].ID {
			t.Errorf("inverter %d is %s, was %s", i, v.ID, before.Inverters[i].ID)
		} else if v.ID != "hybrid-5k-48" && !cmp.Equal(v, before.Inverters[i]) {
			t.Errorf("%s has changed", v.ID)
		}
	}
	if u, err := c.Battery("bat"); err != nil || u.RatedAh != 100 || len(c.Batteries) != len(before.Batteries)+1 {
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
	same("inverters", len(again.Inverters), len(c.Inverters))
	same("batteries", len(again.Batteries), len(c.Batteries))
	same("modules", len(again.Modules), len(c.Modules))
	same("generators", len(again.Generators), len(c.Generators))
	for _, want := range c.Inverters {
		got, err := again.Inverter(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Batteries {
		got, err := again.Battery(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Modules {
		got, err := again.Module(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
	for _, want := range c.Generators {
		got, err := again.Generator(want.ID)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", want.ID, err, diff)
		}
	}
}

// Every key does what it says: read into a field of its own, in the unit of its name.
func TestEveryKey(t *testing.T) {
	c := read(t, `
[[inverter]]
id = "i"
basis = "a data sheet"
label = "L"
rated_w = 1
rated_va = 2
overload = [{ seconds = 20, va = 4 }, { seconds = 10, va = 5 }]
phases = 2
output_v = 120
nominal_dc_v = 48
pass_through_a = 6
ac_input_a = 7
charger_a = 8
dc_min_v = 40
dc_max_v = 60
max_charge_a = 9
max_discharge_a = 10
idle_w = 11
efficiency_curve = [{ load = 0.5, efficiency = 0.9 }, { load = 1, efficiency = 0.8 }]
derate_from_c = 40
derate_per_c = 0.01
derate_from_m = 2000
derate_per_100m = 0.03
transfer_ms = 0
chemistries = ["lfp", "agm"]
equalises = true
input = [{ max_v = 500, start_v = 120, track_min_v = 100, track_max_v = 450, max_a = 14, max_short_circuit_a = 18, max_w = 6000 }]
price = 0
mass_kg = 12

[[battery]]
id = "b"
label = "M"
chemistry = "lfp"
nominal_v = 12.8
rated_ah = 100
rated_h = 5
peukert = 1.05
max_charge_a = 1
max_discharge_a = 2
pulse_a = 3
pulse_s = 4
charge_v = 14.4
float_v = 13.6
equalise_v = 14.8
min_v = 12
charge_mv_per_cell_c = -5
resistance_mohm = 6
max_parallel = 7
cycles = [{ dod = 0.5, cycles = 4000 }, { dod = 0.8, cycles = 3000 }]
charge_min_c = 0
charge_max_c = 45
discharge_min_c = -20
max_dod = 0.9
round_trip = 0.95
price = 8
mass_kg = 9

[[module]]
id = "m"
label = "N"
rated_w = 440
voc_v = 39
isc_a = 14
vmp_v = 33
imp_a = 13.3
voc_pct_per_c = -0.27
pmax_pct_per_c = -0.35
isc_pct_per_c = 0.05
noct_c = 45
length_mm = 1760
width_mm = 1130
price = 10
mass_kg = 21

[[generator]]
id = "g"
label = "O"
rated_va = 6500
power_factor = 0.8
phases = 3
output_v = 230
fuel = "diesel"
fuel_l_per_h = [{ load = 0.5, l_per_h = 1.2 }, { load = 1, l_per_h = 2 }]
fuel_l = 40
price = 11
mass_kg = 90
`)
	number := func(v float64) *float64 { return &v }
	want := &catalog.Catalog{
		Inverters: []catalog.Inverter{{
			ID: "i", Label: "L", RatedW: 1, RatedVA: 2, Overload: []catalog.OverloadPoint{{Seconds: 10, VA: 5}, {Seconds: 20, VA: 4}},
			Phases: 2, OutputV: 120, NominalDCV: 48, PassThroughA: 6, ACInputA: 7, ChargerA: 8, DCMinV: 40, DCMaxV: 60, MaxChargeA: 9,
			MaxDischargeA: 10, IdleW: 11, Efficiency: 0.9, EfficiencyCurve: []catalog.EfficiencyPoint{{Load: 0.5, Efficiency: 0.9}, {Load: 1, Efficiency: 0.8}},
			DerateFromC: 40, DeratePerC: 0.01, DerateFromM: 2000, DeratePer100M: 0.03, TransferMs: number(0),
			Chemistries: []battery.Chemistry{battery.LFP, battery.AGM}, Equalises: true,
			Inputs: []catalog.TrackerInput{{MaxV: 500, StartV: 120, TrackMinV: 100, TrackMaxV: 450, MaxA: 14, MaxShortCircuitA: 18, MaxW: 6000}},
			Price:  number(0), MassKg: 12,
		}},
		Batteries: []battery.Unit{{
			ID: "b", Label: "M", Chemistry: battery.LFP, NominalV: 12.8, RatedAh: 100, RatedH: 5, Peukert: 1.05, MaxChargeA: 1, MaxDischargeA: 2,
			PulseA: 3, PulseS: 4, ChargeV: 14.4, FloatV: 13.6, EqualiseV: 14.8, MinV: 12, ChargeMVPerCellC: -5, ResistanceMohm: 6, MaxParallel: 7,
			Cycles:     []battery.CyclePoint{{DoD: 0.5, Cycles: 4000}, {DoD: 0.8, Cycles: 3000}},
			ChargeMinC: number(0), ChargeMaxC: number(45), DischargeMinC: number(-20), MaxDoD: 0.9, RoundTrip: 0.95, Price: number(8), MassKg: 9,
		}},
		Modules: []catalog.Module{{
			ID: "m", Label: "N", RatedW: 440, VocV: 39, IscA: 14, VmpV: 33, ImpA: 13.3, VocPctPerC: -0.27, PmaxPctPerC: -0.35, IscPctPerC: 0.05,
			NOCTC: 45, LengthMm: 1760, WidthMm: 1130, Price: number(10), MassKg: 21,
		}},
		Generators: []catalog.Generator{{
			ID: "g", Label: "O", RatedVA: 6500, PowerFactor: 0.8, Phases: 3, OutputV: 230, Fuel: "diesel",
			FuelLPerH: []catalog.FuelPoint{{Load: 0.5, LPerH: 1.2}, {Load: 1, LPerH: 2}}, FuelL: 40, Price: number(11), MassKg: 90,
		}},
	}
	if diff := cmp.Diff(want.Inverters, c.Inverters); diff != "" {
		t.Errorf("inverter (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Batteries, c.Batteries); diff != "" {
		t.Errorf("battery (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Modules, c.Modules); diff != "" {
		t.Errorf("module (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Generators, c.Generators); diff != "" {
		t.Errorf("generator (-want +got):\n%s", diff)
	}
	if got := c.Basis("i"); got != "a data sheet" {
		t.Errorf("basis %q", got)
	}
}

// What an inverter's sheet leaves out has a default, and is said to have one: phases and derating, by common practice.
func TestInverterDefaults(t *testing.T) {
	v := read(t, anInverter+"derate_from_c = 40\n").Inverters[0]
	want := []catalog.Default{
		{Key: "phases", Value: 1, Source: "common practice"},
		{Key: "derate_per_c", Value: 0.02, Unit: "per K", Source: "common practice"},
		{Key: "derate_from_m", Value: 1000, Unit: "m", Source: "common practice"},
		{Key: "derate_per_100m", Value: 0.01, Unit: "per 100 m", Source: "common practice"},
	}
	if diff := cmp.Diff(want, v.Defaults); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if v.Phases != 1 || v.DerateFromC != 40 || v.DeratePerC != 0.02 || v.DerateFromM != 1000 || v.DeratePer100M != 0.01 {
		t.Errorf("%+v", v)
	}
}

func BenchmarkGeneric(b *testing.B) {
	for b.Loop() {
		if _, err := catalog.Generic(); err != nil {
			b.Fatal(err)
		}
	}
}
