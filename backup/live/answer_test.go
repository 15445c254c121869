package live

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"outlast/catalog"
)

var update = flag.Bool("update", false, "write testdata again")

// homes are the invented homes.
var homes = []string{"clinic", "cottage", "farmhouse", "overloaded", "split-phase", "town-flat", "drystone",
	"six-lines"}

// tableOf puts one of the invented homes on the table.
func tableOf(t testing.TB, home string) *Table {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "sites", home+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	return tableWith(t, home+".toml", text)
}

func tableWith(t testing.TB, file string, text []byte) *Table {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	table, err := New(Home{File: file, Text: text, Catalog: cat})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// The samples in testdata are what the page is built against: they are the answers of today.
func TestSamples(t *testing.T) {
	for _, tt := range []struct{ file, home, kind, question string }{
		{"cottage-answer", "cottage", "answer", `{}`},
		{"cottage-answer-de", "cottage", "answer",
			`{"lang": "de", "view": {"start_min": 1110, "hours": 48, "month": 12, "sky": "dull"}}`},
		{"cottage-refused", "cottage", "answer",
			`{"changes": [{"do": "set", "table": "load", "at": "Laptop", "key": "hours_per_day", "value": 30}]}`},
		{"clinic-answer", "clinic", "answer", `{}`},
		{"overloaded-answer", "overloaded", "answer", `{}`},
		{"split-phase-answer", "split-phase", "answer", `{}`},
		{"six-lines-answer", "six-lines", "answer", `{}`},
		{"cottage-weigh", "cottage", "weigh", `{}`},
		{"cottage-weigh-short", "cottage", "weigh",
			`{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": 40}], "circuits": ["pantry", "aircon"]}`},
		{"cottage-try", "cottage", "try", `{"load": {"at": "Electric kettle"}}`},
		{"cottage-why", "cottage", "why", `{"numbers": ["promise", "at-once"], "lang": "fr"}`},
		{"town-flat-try", "town-flat", "try", `{"load": {"at": "Kettle"}, "lang": "es"}`},
		{"words-de", "cottage", "words", `{"lang": "de"}`}, {"classes-de", "cottage", "classes", `{"lang": "de"}`},
	} {
		got := tableOf(t, tt.home).Do(context.Background(), tt.kind, []byte(tt.question))
		var pretty bytes.Buffer
		if err := json.Indent(&pretty, got, "", "  "); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("testdata", tt.file+".json")
		if *update {
			if err := os.WriteFile(path, pretty.Bytes(), 0o666); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(pretty.Bytes(), want) {
			t.Errorf("%s is not what it was: look at the difference, then go test ./backup/live -update", path)
		}
	}
}
