package live

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
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

// What a hand can set wrongly is refused in the language of the page, with what may be; and the change that did it is
// named.
func TestRefusedInTheLanguageOfThePage(t *testing.T) {
	for _, tt := range []struct{ home, lang, table, at, key, value, want string }{
		{"cottage", "en", "load", "Laptop", "hours_per_day", "30",
			"Hours a day: 30\u00a0h, where 0\u00a0h to 24\u00a0h is possible."},
		{"cottage", "de", "load", "Laptop", "hours_per_day", "-0.5",
			"Stunden am Tag: −0,5\u00a0h, möglich ist 0\u00a0h bis 24\u00a0h."},
		{"cottage", "fr", "outage", "", "reserve", "0.1",
			"Tant que le réseau est là, la batterie doit garder plus de 50\u00a0%, car elle n’est jamais vidée au-dessous."},
		{"cottage", "es", "outage", "", "reserve", "0",
			"Carga guardada mientras hay red (%): hace falta más de 0\u00a0%, y como máximo 100\u00a0%."},
		{"cottage", "es", "outage", "", "autonomy_h", "10000", "Horas pedidas: 10\u202f000\u00a0h"},
		{"cottage", "de", "load", "Chest freezer", "starting_va", "1",
			"Ein Anlauf braucht nicht weniger als der Betrieb danach: "},
		{"cottage", "fr", "bank", "", "strings", "1.5", "Avec cela le fichier se contredit"},
		{"cottage", "de", "load", "Nobody", "quantity", "2",
			"Das lässt sich nicht in die Datei schreiben: „there is no load \"Nobody\"“."},
	} {
		got := ask[Answer](t, tableOf(t, tt.home), "answer", fmt.Sprintf(
			`{"lang": %q, "changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": 12}, {"do": "set", "table": %q, "at": %q, "key": %q, "value": %s}]}`,
			tt.lang, tt.table, tt.at, tt.key, tt.value))
		if len(got.Problems) != 1 || !strings.HasPrefix(got.Problems[0].Text, tt.want) || got.Problems[0].Change != 1 {
			t.Errorf("%s = %s in %s: %+v, want %q of change 1", tt.key, tt.value, tt.lang, got.Problems, tt.want)
		}
	}
}

func idsOf(checks []Check) (out []string) {
	for _, c := range checks {
		out = append(out, c.ID)
	}
	return out
}

// A circuit that the planner assumed can be written into the file as it is, and then put on the other board: nothing
// else of the plan changes by the writing but what is said of it.
func TestAssumedCircuitIsWritten(t *testing.T) {
	for _, home := range []string{"six-lines", "drystone"} {
		table := tableOf(t, home)
		before := ask[Answer](t, table, "answer", `{}`)
		for _, c := range before.Circuits {
			if !c.Assumed {
				continue
			}
			write, err := json.Marshal(c.Write)
			if err != nil || len(c.Write) < 2 {
				t.Fatalf("%s: %s is assumed, and written by %s, %v", home, c.ID, write, err)
			}
			list := strings.TrimSuffix(string(write), "]")
			same := ask[Answer](t, table, "answer", fmt.Sprintf(`{"changes": %s]}`, list))
			// Only its breaker is not assumed any more: that is a point to clear up.
			points := without(idsOf(same.Checks), idsOf(before.Checks))
			if same.Problems != nil || !slices.Equal(points, []string{"circuit-breaker"}) ||
				(same.Promise == nil) != (before.Promise == nil) ||
				same.Promise != nil && same.Promise.Hours != before.Promise.Hours {
				t.Errorf("%s: %s as written changes the plan: %+v, %q", home, c.ID, same.Verdict, points)
			}
			main := ask[Answer](t, table, "answer", fmt.Sprintf(
				`{"changes": %s, {"do": "set", "table": "circuit", "at": %q, "key": "board", "value": "main"}]}`, list,
				c.ID))
			i := slices.IndexFunc(main.Circuits, func(now Circuit) bool { return now.ID == c.ID })
			if main.Problems != nil || i < 0 || main.Circuits[i].Board != "main" || main.Circuits[i].Assumed ||
				main.Circuits[i].Label != c.Label {
				t.Errorf("%s: %s on the main board: %+v", home, c.ID, main.Problems)
			}
		}
	}
}

// The page goes through circuits and through the loads of each: where there are none, a list is empty and not null.
func TestNothingIsAnEmptyList(t *testing.T) {
	const bare = "[site]\nname = \"Bare\"\nnominal_v = 230\n[outage]\nautonomy_h = 12\n" +
		"[inverter]\nuse = \"inverter-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\n"
	const way = "[[circuit]]\nid = \"way\"\nbreaker_a = 16\nboard = \"backup\"\n"
	const lamp = "[[load]]\nname = \"Lamp\"\ncircuit = \"way\"\nrunning_w = 9\nhours_per_day = 5\n"
	const away = `{"changes": [{"do": "drop", "table": "load", "at": "Lamp"}]}`
	for _, tt := range []struct{ name, text, question, want string }{
		{"a home without circuits", bare, `{}`, `"circuits":[]`},
		{"a spare way", bare + way, `{}`, `"loads":[]`},
		{"the last load is taken away", bare + way + lamp, away, `"loads":[]`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := tableWith(t, "home.toml", []byte(tt.text)).Do(context.Background(), "answer", []byte(tt.question))
			if !bytes.Contains(got, []byte(tt.want)) || bytes.Contains(got, []byte(`"loads":null`)) {
				t.Errorf("the answer has no %s: %.300s", tt.want, got)
			}
		})
	}
}

// What is shown adds up: hours that fall short, and by how much, are what was asked for.
func TestMissingHoursAddUp(t *testing.T) {
	minutes := func(text string) (sum int) {
		for _, part := range regexp.MustCompile(`(\d+)\D*?(days|h|min)`).FindAllStringSubmatch(text, -1) {
			n, err := strconv.Atoi(part[1])
			if err != nil {
				t.Fatal(err)
			}
			sum += n * map[string]int{"days": 24 * 60, "h": 60, "min": 1}[part[2]]
		}
		return sum
	}
	short := 0
	for _, home := range homes {
		for _, hours := range []float64{7.5, 15, 18.9, 20, 23.7, 29, 33.6, 36, 47, 54, 100} {
			got := ask[Answer](t, tableOf(t, home), "answer", fmt.Sprintf(
				`{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": %g}], "view": {"start_min": 1125}}`,
				hours))
			for _, h := range []*Hours{got.Promise, got.Outage.Promise, &got.Outage.Hours} {
				switch {
				case h == nil:
				case (h.Missing == "") != (h.MissingH == 0):
					t.Errorf("%s, %g h: %g h are missing, in words %q", home, hours, h.MissingH, h.Missing)
				case h.Missing != "":
					short++
					if minutes(h.Text)+minutes(h.Missing) != minutes(got.Required) {
						t.Errorf("%s: %s and %s more are not %s", home, h.Text, h.Missing, got.Required)
					}
				}
			}
		}
	}
	if short < 10 {
		t.Errorf("only %d figures fall short", short)
	}
}

// A plan that does not fail does not say that it meets what was asked for where it does so at one start or in one month
// only, or supplies nothing at all; and a month that is shorter is named.
func TestWhatTheVerdictLeavesOpen(t *testing.T) {
	home := func(outage, load string) []byte {
		return []byte("[site]\nname = \"Home\"\nnominal_v = 230\n[outage]\n" + outage +
			"[inverter]\nuse = \"inverter-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\nstrings = 2\n" +
			"[[circuit]]\nid = \"way\"\nbreaker_a = 20\nboard = \"backup\"\n" + load)
	}
	const lamp = "[[load]]\nname = \"Lamp\"\ncircuit = \"way\"\nrunning_w = 100\nhours_per_day = 24\n"
	const evening = "[[load]]\nname = \"Oven\"\ncircuit = \"way\"\nrunning_w = 3000\nhours_per_day = 2\nwhen = [\"18:00-20:00\"]\n"
	const summer = "[[load]]\nname = \"Fan\"\ncircuit = \"way\"\nrunning_w = 200\nhours_per_day = 24\nmonths = [7]\n"
	const winter = "[[load]]\nname = \"Heater\"\ncircuit = \"way\"\nrunning_w = 2300\nhours_per_day = 2\nwhen = [\"18:00-20:00\"]\nmonths = [1]\n"
	for _, tt := range []struct {
		name        string
		text        []byte
		title, note string
	}{
		{"whenever", home("autonomy_h = 12\n", lamp), "This plan meets what you asked for.", ""},
		{"nothing", home("autonomy_h = 12\nmonth = 3\n", ""), "This plan supplies nothing in a power cut in March.",
			"In March nothing on the backup board is used in a power cut."},
		{"one start", home("autonomy_h = 21\nstart = \"20:00\"\n", lamp+evening),
			"This plan meets what you asked for if the power fails at 20:00, but not at every hour.", ""},
		{"a shorter month", home("autonomy_h = 8\n", lamp+summer+winter), "This plan meets what you asked for.",
			"In January the battery lasts only "},
		{"one month", home("autonomy_h = 12\nmonth = 7\n", lamp+summer+winter),
			"This plan meets what you asked for in July, but not in January.", "In January the battery lasts only "},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := ask[Answer](t, tableWith(t, "home.toml", tt.text), "answer", `{}`)
			if v := got.Verdict; !strings.HasPrefix(v.Title, tt.title) || !strings.HasPrefix(v.Note, tt.note) ||
				(v.Note == "") != (tt.note == "") || !strings.HasSuffix(v.Sentence, v.Note) {
				t.Errorf("%+v, promised %+v", v, got.Promise)
			}
		})
	}
}

// Where nothing is supplied there are no hours for which it is, whether the plan passes or fails, and none to gain or to
// lose.
func TestNothingSupplied(t *testing.T) {
	home := func(coldestC, board, months string) string {
		return "[site]\nname = \"Home\"\nnominal_v = 230\ncoldest_c = " + coldestC + "\n[outage]\nautonomy_h = 12\nmonth = 7\n" +
			"[inverter]\nuse = \"inverter-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\nstrings = 2\n" +
			"[[circuit]]\nid = \"way\"\nbreaker_a = 20\nboard = \"" + board + "\"\n" +
			"[[load]]\nname = \"Fan\"\ncircuit = \"way\"\nrunning_w = 200\nhours_per_day = 24\n" + months
	}
	for _, tt := range []struct {
		name, text, question string
		status               string
		idle                 bool
	}{
		{"an empty board", home("10", "main", ""), `{}`, "pass", true},
		{"an empty board that fails", home("-40", "main", ""), `{}`, "fail", true},
		{"a month without use", home("10", "backup", "months = [7]\n"), `{"view": {"month": 1}}`, "pass", true},
		{"a month with use", home("10", "backup", "months = [7]\n"), `{}`, "pass", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table := tableWith(t, "home.toml", []byte(tt.text))
			got := ask[Answer](t, table, "answer", tt.question)
			figures := []*Hours{&got.Outage.Hours}
			if tt.status == "pass" {
				figures = append(figures, got.Outage.Promise)
			}
			if got.Verdict.Status != tt.status {
				t.Errorf("%s, want %s", got.Verdict.Status, tt.status)
			}
			for _, h := range figures {
				if h.Idle != tt.idle || (h.Text == "nothing is supplied") != tt.idle || tt.idle && (h.Reached || h.Missing != "") {
					t.Errorf("%+v", *h)
				}
			}
			for _, w := range ask[Weights](t, table, "weigh", tt.question).Circuits {
				if tt.idle && (w.GainsH != nil || strings.Contains(w.Text, " h ")) {
					t.Errorf("%+v", w)
				}
			}
		})
	}
}

// A strip that ends at once says why: the cold, or too much.
func TestWhyAStripEndsAtOnce(t *testing.T) {
	home := func(coldestC, watts string) []byte {
		return []byte("[site]\nname = \"Home\"\nnominal_v = 230\ncoldest_c = " + coldestC + "\n[outage]\nautonomy_h = 12\n" +
			"[inverter]\nuse = \"inverter-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\nstrings = 2\n" +
			"[[circuit]]\nid = \"way\"\nbreaker_a = 20\nboard = \"backup\"\n" +
			"[[load]]\nname = \"Heater\"\ncircuit = \"way\"\nhours_per_day = 24\nrunning_w = " + watts + "\n")
	}
	for _, tt := range []struct{ coldestC, watts, word string }{
		{"-40", "100", "battery too cold"}, {"15", "9000", "too much at once"}, {"15", "1000", "battery empty"},
	} {
		got := ask[Answer](t, tableWith(t, "home.toml", home(tt.coldestC, tt.watts)), "answer", `{}`)
		if c := got.Circuits[0]; c.EndMin == nil || c.EndWord != tt.word {
			t.Errorf("%s W at %s C: %q, want %q", tt.watts, tt.coldestC, c.EndWord, tt.word)
		}
	}
}
