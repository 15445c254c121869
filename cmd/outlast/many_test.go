package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// TestRecordsAreOfThePlan: whatever a line for a home says, its plan says too, under the same name.
func TestRecordsAreOfThePlan(t *testing.T) {
	var out, errw bytes.Buffer
	if status := run([]string{"plan", "--format", "jsonl", "../../testdata/sites"}, strings.NewReader(""), &out,
		&errw); status != 1 || errw.Len() > 0 {
		t.Fatalf("status %d, %s", status, errw.String())
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != len(sampleHomes) {
		t.Fatalf("%d lines for %d homes", len(lines), len(sampleHomes))
	}
	for i, home := range sampleHomes { // both are by name
		var record, whole map[string]any
		if err := json.Unmarshal([]byte(lines[i]), &record); err != nil {
			t.Fatalf("%s: %v", home, err)
		}
		if err := json.Unmarshal([]byte(plan(t, home, "--format", "json")), &whole); err != nil {
			t.Fatalf("%s: %v", home, err)
		}
		if file := record["file"]; file != "../../testdata/sites/"+home+".toml" {
			t.Errorf("line %d is of %v, want %s", i+1, file, home)
		}
		delete(record, "file")
		for _, key := range []string{"site", "verdict", "demand", "surge", "pass_through", "inverter", "bank",
			"circuits", "checks", "cautions"} {
			if _, ok := record[key]; !ok {
				t.Errorf("%s: the record has no %s", home, key)
			}
		}
		if where := notIn(record, whole); where != "" {
			t.Errorf("%s: %s is not as in the plan", home, where)
		}
	}
}

// notIn finds a value of part that whole does not have in the same place; "" if there is none.
func notIn(part, whole any) string {
	switch p := part.(type) {
	case map[string]any:
		w, ok := whole.(map[string]any)
		if !ok {
			return "."
		}
		for key, v := range p {
			if at := notIn(v, w[key]); at != "" {
				return key + " " + at
			}
		}
		return ""
	case []any:
		w, ok := whole.([]any)
		if !ok || len(w) != len(p) {
			return "list"
		}
		for i := range p {
			if at := notIn(p[i], w[i]); at != "" {
				return at
			}
		}
		return ""
	}
	if !reflect.DeepEqual(part, whole) {
		return "value"
	}
	return ""
}

// TestRowsAreOfThePlan: the row of a home has the figures of its list of figures.
func TestRowsAreOfThePlan(t *testing.T) {
	var out, errw bytes.Buffer
	if status := run([]string{"plan", "--format", "csv", "../../testdata/sites"}, strings.NewReader(""), &out,
		&errw); status != 1 || errw.Len() > 0 {
		t.Fatalf("status %d, %s", status, errw.String())
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != len(sampleHomes)+1 {
		t.Fatalf("%d rows for %d homes and a head, %v", len(rows), len(sampleHomes), err)
	}
	same := map[string][2]string{ // column: section and name in the list
		"verdict": {"plan", "verdict"}, "autonomy_h": {"bank", "autonomy_h"},
		"autonomy_least_h": {"bank", "autonomy_least_h"}, "scheduled_w": {"demand", "scheduled_w"},
		"scheduled_va": {"demand", "scheduled_va"}, "connected_w": {"demand", "connected_w"},
		"probable_w": {"demand", "probable_w"}, "energy_wh_per_day": {"demand", "energy_wh_per_day"},
		"derated_w": {"inverter", "derated_w"}, "derated_va": {"inverter", "derated_va"}, "series": {"bank", "series"},
		"strings":     {"bank", "strings"},
		"required_ah": {"bank", "required_ah"}, "installed_ah": {"bank", "installed_ah"},
	}
	for i, home := range sampleHomes {
		list, err := csv.NewReader(strings.NewReader(plan(t, home, "--format", "csv"))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		figures := map[[2]string]string{}
		failing := 0
		for _, row := range list {
			figures[[2]string{row[1], row[3]}] = row[4]
			if row[1] == "check" && row[3] == "status" && row[4] == "fail" {
				failing++
			}
		}
		found := 0
		for c, name := range rows[0] {
			if key, ok := same[name]; ok {
				found++
				if got, want := rows[i+1][c], figures[key]; got != want {
					t.Errorf("%s: %s is %q, in the list of figures %q", home, name, got, want)
				}
			}
			if name == "failing" {
				if n := len(strings.FieldsFunc(rows[i+1][c], func(r rune) bool { return r == ';' })); n != failing {
					t.Errorf("%s: %d checks fail, %d are named", home, failing, n)
				}
			}
		}
		if found != len(same) {
			t.Errorf("%s: %d of %d columns found", home, found, len(same))
		}
	}
}
