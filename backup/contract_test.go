package backup_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/samplehome"
	"outlast/backup/sheet"
	"outlast/backup/site"
)

// The shape of a plan as JSON: what programs may rely on. Keys may be added, none of these may go or change its type.
// A text with bars is one of its words; "number?" may be null, where the data sheet gives no limit.
var (
	planShape = map[string]any{
		"site": "text", "verdict": "pass|caution|fail",
		"demand": map[string]any{
			"connected_w": "number", "connected_va": "number", "scheduled_w": "number", "scheduled_va": "number",
			"scheduled_at": "time",
			"probable_w":   "number", "energy_wh_per_day": "number", "hourly_w": "24 numbers",
		},
		"surge": map[string]any{
			"load": "text", "at": "time", "w": "number", "va": "number", "seconds": "number", "restart_va": "number",
			"restart_order": []any{"text"},
		},
		"pass_through": map[string]any{"a": "number", "limit_a": "number?"},
		"inverter": map[string]any{
			"id": "text", "count": "whole", "rated_w": "number", "rated_va": "number", "derated_w": "number",
			"derated_va": "number",
		},
		"bank": map[string]any{
			"chemistry": "flooded|agm|gel|lfp|nmc", "nominal_v": "number", "unit": "text", "series": "whole",
			"strings": "whole", "units": "whole",
			"required_ah": "number", "installed_ah": "number", "energy_ac_wh": "number", "energy_dc_wh": "number",
			"dod":           "number",
			"k_temperature": "number", "k_rate": "number", "autonomy_h": "number",
		},
		"circuits": []any{map[string]any{
			"id": "text", "label": "text", "board": "backup|main", "phase": "whole", "breaker_a": "number",
			"running_w": "number", "starting_va": "number",
			"energy_wh_per_day": "number", "priority": "whole", "reason": "text",
		}},
		"checks": []any{map[string]any{
			"id": "text", "status": "pass|caution|fail", "demand": "number", "limit": "number?", "unit": "any text",
			"margin": "number?", "reason": "text",
		}},
		"cautions": []any{"text"},
	}
	checkIDs = []string{"inverter-continuous", "inverter-continuous-w", "inverter-surge", "inverter-restart",
		"pass-through", "ac-input",
		"phase-balance", "dc-current", "dc-surge-current", "dc-window-high", "dc-window-low", "surge-sag",
		"bank-capacity", "autonomy",
		"bank-charge-rate", "bank-chemistry", "bank-parallel", "bank-temperature", "ventilation", "transfer-time",
		"board-ways", "circuit-breaker"}
)

// checkShape compares a decoded value with its shape.
func checkShape(t *testing.T, where string, got, shape any) {
	t.Helper()
	switch shape := shape.(type) {
	case map[string]any:
		object, ok := got.(map[string]any)
		if !ok {
			t.Errorf("%s is %T, want an object", where, got)
			return
		}
		for key, s := range shape {
			v, there := object[key]
			if !there {
				t.Errorf("%s has no key %q", where, key)
				continue
			}
			if where+"."+key == "plan.surge" && v == nil {
				continue // nothing starts
			}
			checkShape(t, where+"."+key, v, s)
		}
	case []any:
		list, ok := got.([]any)
		if !ok {
			t.Errorf("%s is %T, want a list, also if it is empty", where, got)
			return
		}
		for i, v := range list {
			checkShape(t, fmt.Sprintf("%s[%d]", where, i), v, shape[0])
		}
	case string:
		if !isLike(got, shape) {
			t.Errorf("%s is %v, want: %s", where, got, shape)
		}
	}
}

func isLike(got any, shape string) bool {
	number, isNumber := got.(float64)
	text, isText := got.(string)
	switch shape {
	case "switch":
		_, is := got.(bool)
		return is
	case "text":
		return isText && text != ""
	case "any text":
		return isText
	case "number":
		return isNumber
	case "number?":
		return isNumber || got == nil
	case "whole":
		return isNumber && number == float64(int(number))
	case "time":
		return isText && len(text) == 5 && text[2] == ':' && text >= "00:00" && text <= "23:59"
	case "24 numbers":
		list, _ := got.([]any)
		for _, v := range list {
			if _, ok := v.(float64); !ok {
				return false
			}
		}
		return len(list) == 24
	}
	for word := range strings.SplitSeq(shape, "|") {
		if text == word {
			return true
		}
	}
	return false
}

// written is a plan in one of the formats.
func written(t testing.TB, o sheet.Options, plans ...*backup.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sheet.Write(&b, plans, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func decoded(t testing.TB, p *backup.Plan) map[string]any {
	t.Helper()
	var v map[string]any
	if err := json.Unmarshal(written(t, sheet.Options{Format: "json"}, p), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// evening is a house with a given start. Without one the worst of all starts is looked for whenever a plan is written,
// and a bank with little to carry makes that long.
func evening() *house { return newHouse().set("outage.start", `"18:00"`) }

// samples are the invented homes and the corners of the house.
func samples(t testing.TB) map[string]*backup.Plan {
	t.Helper()
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	paths := samplehome.Files(t)
	plans := map[string]*backup.Plan{
		"empty":       evening().plan(t),
		"no circuits": func() *house { h := evening(); h.circuits = nil; return h }().plan(t),
		"few keys": evening().drop("inverter.pass_through_a", "inverter.transfer_ms", "bank.resistance_mohm",
			"bank.max_discharge_a").load("A", "running_w = 1; starting_va = 2").plan(t),
	}
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		site, err := site.Read(path, src, cat)
		if err != nil {
			t.Fatal(err)
		}
		if plans[filepath.Base(path)], err = backup.NewPlan(context.Background(), site); err != nil {
			t.Fatal(err)
		}
	}
	return plans
}

// TestJSONShape: names and types of the plan as JSON.
func TestJSONShape(t *testing.T) {
	for name, p := range samples(t) {
		t.Run(name, func(t *testing.T) {
			v := decoded(t, p)
			checkShape(t, "plan", v, planShape)
			ids := map[string]bool{}
			checks, _ := v["checks"].([]any)
			for _, c := range checks {
				c, _ := c.(map[string]any)
				id, _ := c["id"].(string)
				ids[id] = true
			}
			for _, id := range checkIDs {
				if !ids[id] {
					t.Errorf("no check %q", id)
				}
			}
			for _, l := range p.HeldOff {
				if !ids["slip-"+l.Name] {
					t.Errorf("no check %q", "slip-"+l.Name)
				}
			}
			if (v["surge"] == nil) != (len(p.Starts.All) == 0) {
				t.Errorf("surge is %v with %d starts", v["surge"], len(p.Starts.All))
			}
		})
	}
}

// TestJSONValues: what stands in the JSON is the plan's, unrounded; of a circuit, the loads that are not held off.
func TestJSONValues(t *testing.T) {
	h := evening().set("inverter.count", 2).set("bank.strings", 3).set("site.hottest_c", 55).circuit("m",
		`label = "Main < & >"; board = "main"; breaker_a = 16`).
		load("Pump",
			`quantity = 2; running_w = 800; power_factor = 0.8; starting_va = 5000; starting_pf = 0.6; `+
				`starting_s = 2; hours_per_day = 2; when = ["06:00-10:00"]; priority = 2`).
		load("Kettle", "running_w = 2000; held_off = true; hours_per_day = 1; starting_va = 9000").
		load("Oven", `running_w = 3000; circuit = "m"; hours_per_day = 1; priority = 5`)
	v := decoded(t, h.plan(t))
	at := func(path string) any {
		var now any = v
		for key := range strings.SplitSeq(path, ".") {
			if list, ok := now.([]any); ok {
				var i int
				if _, err := fmt.Sscan(key, &i); err != nil || i >= len(list) {
					t.Fatalf("%s: no item %s", path, key)
				}
				now = list[i]
				continue
			}
			object, _ := now.(map[string]any)
			now = object[key]
		}
		return now
	}
	for path, want := range map[string]any{
		"site":                     "Test house",
		"demand.connected_w":       1600.0,
		"demand.connected_va":      2000.0,
		"demand.scheduled_at":      "06:00",
		"demand.energy_wh_per_day": 3200.0,
		// 2 * 800 W in 2 of 4 h: 800 W on average.
		"demand.hourly_w.6":  800.0,
		"demand.hourly_w.10": 0.0,
		// The start of one pump (3000 W, 4000 VAr) on top of the other (800 W, 600 VAr).
		"surge.load":    "Pump",
		"surge.at":      "06:00",
		"surge.w":       3800.0,
		"surge.va":      5966.573556070519, // sqrt(3800^2 + 4600^2)
		"surge.seconds": 2.0,
		// Both pumps start.
		"surge.restart_va": 10000.0,
		// The pumps' 1600 W and 1200 VAr and the kettle's 2000 W: sqrt(3600^2 + 1200^2) VA at 200 V.
		"pass_through.a":       18.973665961010276,
		"pass_through.limit_a": 80.0,
		"inverter.id":          "own",
		"inverter.count":       2.0,
		"inverter.rated_w":     8000.0,
		"inverter.rated_va":    10000.0,
		"inverter.derated_w":   6400.0,
		"inverter.derated_va":  8000.0,
		"bank.chemistry":       "lfp",
		"bank.unit":            "own",
		"bank.nominal_v":       48.0,
		"bank.series":          1.0,
		"bank.strings":         3.0,
		"bank.units":           3.0,
		"bank.installed_ah":    300.0,
		"bank.dod":             0.8,
		// From 18:00 to 04:00 nothing runs but the inverters, 100 W.
		"bank.energy_ac_wh":            0.0,
		"bank.energy_dc_wh":            1000.0,
		"bank.required_ah":             1000 / 38.4,
		"bank.k_temperature":           1.0,
		"bank.k_rate":                  1.0,
		"circuits.0.id":                "a",
		"circuits.0.label":             "a",
		"circuits.0.board":             "backup",
		"circuits.0.phase":             1.0,
		"circuits.0.breaker_a":         50.0,
		"circuits.0.running_w":         1600.0,
		"circuits.0.starting_va":       5966.573556070519,
		"circuits.0.energy_wh_per_day": 3200.0,
		"circuits.0.priority":          2.0,
		"circuits.1.label":             "Main < & >",
		"circuits.1.board":             "main",
		"circuits.1.running_w":         3000.0,
		"circuits.1.starting_va":       0.0,
		"circuits.1.priority":          5.0,
		"checks.0.id":                  "inverter-continuous",
		"checks.0.unit":                "VA",
		"checks.0.demand":              2000.0,
		"checks.0.limit":               8000.0,
		"checks.0.margin":              0.75,
	} {
		got := at(path)
		if want, ok := want.(float64); ok {
			number, ok := got.(float64)
			if !ok {
				t.Errorf("%s is %v, want %v", path, got, want)
			}
			near(t, path, number, want)
			continue
		}
		if got != want {
			t.Errorf("%s is %v, want %v", path, got, want)
		}
	}
	if v := decoded(t, evening().load("A", "running_w = 1").plan(t)); v["surge"] != nil {
		t.Errorf("surge is %v where nothing starts, want null", v["surge"])
	}
	few := decoded(t, evening().drop("inverter.pass_through_a").plan(t))
	if pass, _ := few["pass_through"].(map[string]any); pass["limit_a"] != nil {
		t.Errorf("limit_a is %v without pass_through_a, want null", pass["limit_a"])
	}
}
