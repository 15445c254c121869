package sheet

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/sheet/record"
	"outlast/catalog"
	"outlast/catalog/strict/schematest"
)

// TestPlanSchema: what is written as JSON is what the schema tells, of the sample homes and of drawn ones, alone and in
// a list, with all that may be asked for.
func TestPlanSchema(t *testing.T) {
	schema := schematest.Closed(t, record.PlanSchema("urn:outlast:test", "a test"))
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	write := func(plans []*backup.Plan, o Options) any {
		t.Helper()
		o.Format = "json"
		var b bytes.Buffer
		if err := Write(&b, plans, o); err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(&b)
		if err != nil {
			t.Fatal(err)
		}
		return doc
	}
	files, err := filepath.Glob("../../testdata/*/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	sources := map[string][]byte{}
	for _, file := range files {
		if filepath.Base(filepath.Dir(file)) != "broken" {
			if sources[file], err = os.ReadFile(file); err != nil {
				t.Fatal(err)
			}
		}
	}
	drawn := uint64(40)
	if testing.Short() {
		drawn = 10
	}
	for seed := range drawn {
		sources[fmt.Sprint("drawn home ", seed)] = drawnhome.Draw(seed)
	}
	var all []*backup.Plan
	for _, name := range slices.Sorted(maps.Keys(sources)) {
		p := planned(t, cat, name, sources[name])
		all = append(all, p)
		for _, o := range []Options{{}, {Working: true, HoursWished: 500, Sensitivity: len(all)%8 == 0}} {
			if err := schema.Validate(write([]*backup.Plan{p}, o)); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if len(all) < 20 {
		t.Errorf("only %d homes", len(all))
	}
	ofHome := schematest.Closed(t, record.RecordSchema("urn:outlast:test", "a test"))
	for _, p := range all {
		line, err := record.Record(p)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(line))
		if err != nil {
			t.Fatal(err)
		}
		if err := ofHome.Validate(doc); err != nil {
			t.Errorf("%s as a record: %v", p.Site.File, err)
		}
	}
	list := write(all[:3], Options{})
	if err := schema.Validate(list); err != nil {
		t.Errorf("a list: %v", err)
	}

	// What the schema tells is a promise: these break it.
	for what, breaks := range map[string]func(plan map[string]any){
		"a figure as text": func(p map[string]any) { p["bank"].(map[string]any)["autonomy_h"] = "12" },
		"another verdict":  func(p map[string]any) { p["verdict"] = "good" },
		"an hour too few": func(p map[string]any) {
			d := p["demand"].(map[string]any)
			d["hourly_w"] = d["hourly_w"].([]any)[1:]
		},
		"no checks":          func(p map[string]any) { delete(p, "checks") },
		"a list that is not": func(p map[string]any) { p["cautions"] = nil },
	} {
		doc := write(all[:1], Options{})
		breaks(doc.(map[string]any))
		if schema.Validate(doc) == nil {
			t.Errorf("%s passes", what)
		}
	}
}

// TestPlanSchemaTells: every key of the plan itself, of its demand, bank, inverter and checks has words or a unit.
func TestPlanSchemaTells(t *testing.T) {
	plainKeys := []string{"reason", "questions", "wiring", "wiring_notes"}
	defs := record.PlanSchema("urn:outlast:test", "a test")["$defs"].(map[string]any)
	for _, name := range []string{"plan", "demand", "surge", "inv", "check"} {
		for key, p := range defs[name].(map[string]any)["properties"].(map[string]any) {
			p := p.(map[string]any)
			if p["description"] == nil && p["enum"] == nil && p["$ref"] == nil && !slices.Contains(plainKeys, key) {
				t.Errorf("%s of %s is not told", key, name)
			}
		}
	}
	bank := defs["bankSpread"].(map[string]any)["properties"].(map[string]any)
	for key, want := range map[string]string{
		"autonomy_h": "At the end of the bank's life. Unit: h.",
		"floor_soc":  "Lowest charge of the plan. Unit: state of charge, 0 to 1.", "energy_ac_wh": "Unit: Wh.",
		"nominal_v": "Unit: V.",
	} {
		if got := bank[key].(map[string]any)["description"]; got != want {
			t.Errorf("%s: got %q, want %q", key, got, want)
		}
	}
}
