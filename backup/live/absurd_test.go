package live

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"
)

// Whatever a page sets to whatever value, the answer is an answer, or says what is wrong with it: never a panic, never
// a number that is none, and never a wait.
func TestAbsurdChanges(t *testing.T) {
	values := []string{`-1`, `0`, `1e308`, `-1e308`, `1e-308`, `0.1`, `9007199254740993`, `""`, `"\u202e"`, `"24:00"`,
		`true`, `[]`, `[[[]]]`, `{}`, `{"a": {"b": []}}`, `["00:00-24:00", "x"]`}
	places := []string{
		`"table": "outage", "key": "autonomy_h"`, `"table": "outage", "key": "reserve"`,
		`"table": "outage", "key": "start"`, `"table": "outage", "key": "month"`,
		`"table": "bank", "key": "strings"`, `"table": "bank", "key": "use"`, `"table": "inverter", "key": "count"`,
		`"table": "practice", "key": "growth"`, `"table": "site", "key": "phases"`,
		`"table": "site", "key": "nominal_v"`, `"table": "circuit", "at": "pantry", "key": "board"`,
		`"table": "circuit", "at": "pantry", "key": "phase"`, `"table": "circuit", "at": "pantry", "key": "id"`,
		`"table": "load", "at": "Refrigerator", "key": "quantity"`,
		`"table": "load", "at": "Refrigerator", "key": "running_w"`,
		`"table": "load", "at": "Refrigerator", "key": "hours_per_day"`,
		`"table": "load", "at": "Refrigerator", "key": "when"`,
		`"table": "load", "at": "Refrigerator", "key": "priority"`, `"table": "load", "place": 1, "key": "starting_va"`,
		`"table": "load", "place": 1, "key": "motor.kw"`,
		`"table": "load", "place": -3, "key": "motor.kw"`, `"table": "load", "place": 99999999, "key": "x"`,
		`"table": "array", "place": 1, "key": "weather"`, `"table": "generator", "key": "fuel_l"`,
		`"table": "nonsense", "key": "a.b.c"`,
	}
	table := tableOf(t, "cottage")
	answered, refused := 0, 0
	for _, place := range places {
		for _, value := range values {
			question := `{"changes": [{"do": "set", ` + place + `, "value": ` + value + `}]}`
			begin := time.Now()
			ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
			got := table.Do(ctx, "answer", []byte(question))
			cancel()
			if took := time.Since(begin); took > 20*time.Second {
				t.Errorf("%s: it took %v", question, took)
			}
			var a struct {
				Error    string
				Problems []Problem
				Verdict  *Verdict
			}
			if err := json.Unmarshal(got, &a); err != nil || strings.Contains(a.Error, stumbled) ||
				strings.Contains(a.Error, "unsupported value") {
				t.Errorf("%s: %v: %.300s", question, err, got)
			}
			switch {
			case a.Verdict != nil:
				answered++
			case len(a.Problems) > 0:
				refused++
				if a.Problems[0].Change != 0 {
					t.Errorf("%s: the problem is of change %d", question, a.Problems[0].Change)
				}
			case a.Error == "":
				t.Errorf("%s: %.300s", question, got)
			}
		}
	}
	if answered < 10 || refused < 100 {
		t.Errorf("%d were answered, %d refused: this test sees too few of either", answered, refused)
	}
}

// Questions of all kinds that are no questions.
func FuzzDo(f *testing.F) {
	for _, q := range []string{`{}`,
		`{"changes": [{"do": "add", "table": "load", "values": {"use": "kettle"}}], "lang": "de"}`,
		`{"view": {"start_min": 5, "hours": 3, "sky": "dull"}}`, `{"load": {"place": 2}}`, `{"numbers": ["start"]}`} {
		for _, kind := range Kinds() {
			f.Add(kind, []byte(q))
		}
	}
	table := tableOf(f, "six-lines")
	f.Fuzz(func(t *testing.T, kind string, question []byte) {
		got := table.Do(context.Background(), kind, question)
		if !json.Valid(got) || strings.Contains(string(got), stumbled) {
			t.Errorf("%s %q: %.300s", kind, question, got)
		}
	})
}
