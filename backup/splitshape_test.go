package backup_test

import (
	"bytes"
	"context"
	"encoding/json"
	"testing"

	"outlast/backup"
	"outlast/backup/sheet"
	"outlast/backup/sheet/record"
	"outlast/backup/sizing"
)

// What programs may rely on in the parts of the JSON that tell of the split; see planShape.
var splitShape = map[string]any{
	"circuits": []any{map[string]any{"way": "number?", "any_phase": "switch", "share_of_day": "number?",
		"moved_h": "number?", "moved_at_least": "switch", "loads": []any{"text"}}},
	"allocation": map[string]any{
		"proven": "switch", "checked": "whole", "served": []any{"whole"}, "of": []any{"whole"},
		"phases_picked": []any{"text"},
		"left_out": []any{map[string]any{"id": "text", "why": "never fits|displaces|no gain|unproven",
			"check": "any text", "by": "number", "unit": "any text",
			"in_place_of": []any{"text"}, "helps": []any{"text"}}},
	},
	"balancing": map[string]any{"before": "number", "after": "number", "best": "switch",
		"moves": []any{map[string]any{"id": "text", "from": "whole", "to": "whole"}}},
	"stays_on": []any{map[string]any{"up_to_priority": "whole", "loads": "whole", "energy_wh_per_day": "number",
		"hours": "number", "at_least": "switch", "from": "time"}},
	"shedding": map[string]any{"wished_h": "number", "now_h": "number", "reached": "switch",
		"drops": []any{map[string]any{"load": "text", "circuit": "text", "priority": "whole",
			"energy_wh_per_day": "number", "hours": "number", "at_least": "switch"}}},
	"sensitivity": []any{map[string]any{"input": "text", "step": "text", "was": "number", "is": "number",
		"unit": "any text", "autonomy_h": "number", "change_h": "number",
		"at_least": "switch", "check": "any text", "margin_was": "number?", "margin_is": "number?",
		"fails": []any{"text"}}},
}

// A combination of the JSON of size, and all of it.
var (
	fitShape = map[string]any{"inverter": "text", "count": "whole", "battery": "text", "series": "whole",
		"strings": "whole", "units": "whole", "price": "number?",
		"mass_kg": "number?", "energy_wh": "number", "autonomy_h": "number", "at_least": "switch",
		"cautions": []any{"text"}, "tightest": "any text", "margin": "number?"}
	missShape = map[string]any{"inverter": "text", "count": "whole", "series": "whole", "strings": "whole",
		"failing": []any{map[string]any{"id": "text", "demand": "number", "limit": "number?", "unit": "any text",
			"reason": "any text"}}}
	sizeShape = map[string]any{"site": "text", "carried": []any{"text"}, "left_on_main": []any{"text"},
		"targets": []any{map[string]any{
			"autonomy_h": "number", "pairs": "whole", "worked": "whole", "passing_count": "whole",
			"passing": []any{fitShape}, "front": []any{fitShape}, "misses": []any{missShape}, "own": missShape,
		}}}
)

// TestSplitShape: a plan with everything in it that the split has to tell.
func TestSplitShape(t *testing.T) {
	h := threePhases().set("bank.strings", 10).load("A", "running_w = 600; priority = 2").circuit("y", "").load("Y",
		`circuit = "y"; running_w = 600; priority = 2`).circuit("x", `phase = "any"`).load("X",
		`circuit = "x"; running_w = 100; priority = 1`).
		either("b", "running_w = 9000").either("c", "running_w = 10; held_off = true")
	var b bytes.Buffer
	if err := sheet.Write(&b, []*backup.Plan{h.plan(t)}, sheet.Options{Format: "json", HoursWished: 200,
		Sensitivity: true}); err != nil {
		t.Fatal(err)
	}
	v := object(t, b.Bytes())
	for _, key := range []string{"allocation", "shedding"} {
		if v[key] == nil {
			t.Fatalf("%s is null", key)
		}
	}
	if v["balancing"] == nil {
		delete(v, "balancing")
		t.Error("no suggestion for the phases, though all is on one")
	}
	checkShape(t, "plan", v, splitShape)
	plain := object(t, written(t, sheet.Options{Format: "json"}, newHouse().load("A", "running_w = 10").plan(t)))
	for _, key := range []string{"allocation", "balancing", "shedding"} {
		if v, there := plain[key]; !there || v != nil {
			t.Errorf("%s is %v where there is nothing to tell, want null", key, v)
		}
	}
	if _, there := plain["sensitivity"]; there {
		t.Error("the sensitivity stands in a plan that nobody asked it of")
	}
}

// TestSizeShape: names and types of the JSON of size.
func TestSizeShape(t *testing.T) {
	s := newHouse().set("site.nominal_v", 230).load("A", "running_w = 300").either("b", "running_w = 10").plan(t).Site
	cat := readCatalog(t, smallCatalog)
	sizes := record.Sizing{Site: s}
	for _, hours := range []float64{4, 500} {
		z, err := backup.Size(context.Background(), s, cat, sizing.Options{AutonomyH: hours})
		if err != nil {
			t.Fatal(err)
		}
		sizes.Targets = append(sizes.Targets, z)
	}
	var b bytes.Buffer
	if err := sheet.WriteSizing(&b, sizes, 0, sheet.Options{Format: "json"}); err != nil {
		t.Fatal(err)
	}
	checkShape(t, "size", object(t, b.Bytes()), sizeShape)
	for _, format := range sheet.Formats() {
		b.Reset()
		if err := sheet.WriteSizing(&b, sizes, 2, sheet.Options{Format: format}); err != nil || b.Len() == 0 {
			t.Errorf("%s: %d bytes, %v", format, b.Len(), err)
		}
	}
	if err := sheet.WriteSizing(&b, sizes, 0, sheet.Options{Format: "html"}); err == nil {
		t.Error("an unknown format is taken")
	}
}

func object(t testing.TB, text []byte) map[string]any {
	t.Helper()
	var v map[string]any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}
