package backup_test

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/catalog"
)

// A house is a site text in the making. Tests put keys in and take keys out by "table.key"; values are written as in
// the file.
type house struct {
	tables          map[string]map[string]string
	circuits, loads []string
}

// newHouse is a home of round numbers, in which every check that needs a key has it: 200 V single phase; 4000 W and
// 5000 VA, 10 kVA for 5 s and 7 kVA for 60 s; 48 V LFP units of 100 Ah at 25 C, where neither cold nor heat count; no
// margin, no growth, no ageing; long-running loads count 125 %. It has the circuit "a" on the backup board, and no
// loads.
func newHouse() *house {
	h := &house{tables: map[string]map[string]string{}}
	h.put("site", `name = "Test house"; nominal_v = 200; coldest_c = 25; hottest_c = 25`)
	h.put("outage", "autonomy_h = 10")
	h.put("practice", "margin = 0; growth = 0; end_of_life = 1; confidence = 0.999; continuous_factor = 1.25")
	h.put("inverter", `rated_w = 4000; rated_va = 5000
		overload = [{ seconds = 5, va = 10000 }, { seconds = 60, va = 7000 }]
		nominal_dc_v = 48; dc_min_v = 40; dc_max_v = 64; max_discharge_a = 120; max_charge_a = 100
		pass_through_a = 40; ac_input_a = 60; charger_a = 40; idle_w = 50; efficiency = 0.8
		transfer_ms = 10; chemistries = ["lfp"]`)
	h.put("bank", `chemistry = "lfp"; nominal_v = 48; rated_ah = 100; rated_h = 5; strings = 4
		max_charge_a = 50; max_discharge_a = 100; pulse_a = 200; pulse_s = 10
		charge_v = 54; float_v = 52; min_v = 45; resistance_mohm = 10; max_parallel = 4; max_dod = 0.8
		charge_min_c = 0; charge_max_c = 45; discharge_min_c = -20`)
	return h.circuit("a", "breaker_a = 50; length_m = 1; cable_mm2 = 50")
}

// put adds the lines of a text, separated by semicolons or line ends, to a table.
func (h *house) put(table, text string) *house {
	if h.tables[table] == nil {
		h.tables[table] = map[string]string{}
	}
	for line := range strings.SplitSeq(strings.ReplaceAll(text, "\n", ";"), ";") {
		if key, value, ok := strings.Cut(line, "="); ok {
			h.tables[table][strings.TrimSpace(key)] = strings.TrimSpace(value)
		}
	}
	return h
}

// set gives a key another value.
func (h *house) set(path string, value any) *house {
	table, key, _ := strings.Cut(path, ".")
	return h.put(table, fmt.Sprintf("%s = %v", key, value))
}

// drop takes keys out.
func (h *house) drop(paths ...string) *house {
	for _, path := range paths {
		table, key, _ := strings.Cut(path, ".")
		delete(h.tables[table], key)
	}
	return h
}

// replace takes a table's place.
func (h *house) replace(table, text string) *house {
	delete(h.tables, table)
	return h.put(table, text)
}

// circuit adds a circuit; it is on the backup board unless the text says otherwise.
func (h *house) circuit(id, text string) *house {
	if !strings.Contains(text, "board") {
		text += `; board = "backup"`
	}
	h.circuits = append(h.circuits, fmt.Sprintf("id = %q; %s", id, text))
	return h
}

// load adds a load; it is on circuit "a", all day, unless the text says otherwise.
func (h *house) load(name, text string) *house {
	if !strings.Contains(text, "circuit =") {
		text += `; circuit = "a"`
	}
	if !strings.Contains(text, "hours_per_day") {
		text += "; hours_per_day = 24"
	}
	h.loads = append(h.loads, fmt.Sprintf("name = %q; %s", name, text))
	return h
}

// text is the site file.
func (h *house) text() string {
	var b strings.Builder
	for _, table := range slices.Sorted(maps.Keys(h.tables)) {
		fmt.Fprintf(&b, "[%s]\n", table)
		for _, key := range slices.Sorted(maps.Keys(h.tables[table])) {
			fmt.Fprintf(&b, "%s = %s\n", key, h.tables[table][key])
		}
	}
	for _, list := range []struct {
		head  string
		texts []string
	}{{"[[circuit]]", h.circuits}, {"[[load]]", h.loads}} {
		for _, text := range list.texts {
			fmt.Fprintln(&b, list.head)
			for line := range strings.SplitSeq(text, ";") {
				if line = strings.TrimSpace(line); line != "" {
					fmt.Fprintln(&b, line)
				}
			}
		}
	}
	return b.String()
}

// plan reads the text and works the plan out.
func (h *house) plan(t testing.TB) *backup.Plan {
	t.Helper()
	p, err := planOf(h.text())
	if err != nil {
		t.Fatalf("%v\n%s", err, h.text())
	}
	return p
}

// generic is the catalog, read once.
var generic = sync.OnceValues(catalog.Generic)

func planOf(text string) (*backup.Plan, error) {
	cat, err := generic()
	if err != nil {
		return nil, err
	}
	site, err := site.Read("test.toml", []byte(text), cat)
	if err != nil {
		return nil, err
	}
	return backup.NewPlan(context.Background(), site)
}

// check finds a check of a plan.
func check(t testing.TB, p *backup.Plan, id string) verdict.Check {
	t.Helper()
	for _, c := range p.Checks {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("the plan has no check %q", id)
	return verdict.Check{}
}

// A fact is what one check of a house must say. demand, limit and margin are worked by hand; margin is (limit -
// demand)/limit, or the other way round where the demand must reach the limit.
type fact struct {
	what   string
	house  *house
	status verdict.Status
	demand float64
	limit  float64
	margin float64
	says   string // part of the reason; "" if anything will do
}

// checkFacts holds one check of many houses to what is expected. The numbers follow from the rules in exact arithmetic,
// so nothing but rounding is forgiven.
func checkFacts(t *testing.T, id, unit string, facts []fact) {
	t.Helper()
	for _, f := range facts {
		t.Run(f.what, func(t *testing.T) {
			c := check(t, f.house.plan(t), id)
			if c.Status != f.status {
				t.Errorf("status %s, want %s: %s", c.Status, f.status, c.Reason)
			}
			if !c.HasLimit {
				t.Errorf("nothing was compared: %s", c.Reason)
			}
			for _, v := range []struct {
				name      string
				got, want float64
			}{{"demand", c.Demand, f.demand}, {"limit", c.Limit, f.limit}, {"margin", c.Margin, f.margin}} {
				near(t, v.name, v.got, v.want)
			}
			if c.Unit != unit {
				t.Errorf("unit %q, want %q", c.Unit, unit)
			}
			if !strings.Contains(c.Reason.String(), f.says) {
				t.Errorf("reason %q, want %q in it", c.Reason, f.says)
			}
		})
	}
}

// array gives the house an array of 1920 W.
func (h *house) array() *house {
	return h.set("site.latitude", -37).put("[array]",
		"rated_w = 480; voc_v = 50; isc_a = 13; vmp_v = 40; imp_a = 12; modules_per_string = 4; tilt_deg = 30; azimuth_deg = 0")
}

// near compares two numbers that exact arithmetic makes equal.
func near(t testing.TB, what string, got, want float64) {
	t.Helper()
	if !scalar.EqualWithinAbsOrRel(got, want, 1e-9, 1e-9) {
		t.Errorf("%s %.12g, want %.12g", what, got, want)
	}
}
