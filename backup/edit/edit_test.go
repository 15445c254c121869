package edit

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"outlast/backup/drawnhome"
)

// Each change, on a file with everything that a hand writes: what stands around the touched bytes stays.
func TestApply(t *testing.T) {
	const file = `# A home.

[outage]
autonomy_h = 24   # a day
  start = "worst"
month=7

[bank]
use = "lfp" # here
option.deep = 1

# Loads

[[load]]
name = "Fridge"
when = ["06:00-07:00", # early
  "18:00-19:00"]
cycle = { on_min = 10, off_min = 20 }
# a note inside
priority = 1 # first

[[load]]   # the kettle
name = 'Kettle'
circuit = "kitchen"

[load.motor]
kw = 1.5

# The end
[[load]]
use = "router"
`
	for _, tt := range []struct {
		what, change string
		from, to     string // of the file
	}{
		{"a number", `{"do": "set", "table": "outage", "key": "autonomy_h", "value": 36}`, "autonomy_h = 24   # a day",
			"autonomy_h = 36   # a day"},
		{"a text", `{"do": "set", "table": "outage", "key": "start", "value": "18:30"}`, `  start = "worst"`,
			`  start = "18:30"`},
		{"without blanks", `{"do": "set", "table": "outage", "key": "month", "value": 12}`, "month=7", "month=12"},
		{"a new key", `{"do": "set", "table": "outage", "key": "reserve", "value": 0.95}`, "month=7\n",
			"month=7\nreserve = 0.95\n"},
		{"a new key, dotted", `{"do": "set", "table": "bank", "key": "option.more", "value": true}`,
			"option.deep = 1\n", "option.deep = 1\noption.more = true\n"},
		{"a key in braces", `{"do": "set", "table": "load", "at": "Fridge", "key": "cycle.off_min", "value": 30}`,
			"off_min = 20 }", "off_min = 30 }"},
		{"a new key in braces", `{"do": "set", "table": "load", "at": "Fridge", "key": "cycle.x", "value": 1}`,
			"off_min = 20 }", "off_min = 20, x = 1 }"},
		{"a table in braces", `{"do": "set", "table": "load", "at": "Fridge", "key": "cycle", "value": {"on_min": 5}}`,
			"{ on_min = 10, off_min = 20 }", "{ on_min = 5 }"},
		{"a list", `{"do": "set", "table": "load", "at": "Fridge", "key": "when", "value": ["07:00-08:00"]}`,
			"[\"06:00-07:00\", # early\n  \"18:00-19:00\"]", `["07:00-08:00"]`},
		{"behind the last key", `{"do": "set", "table": "load", "at": "Fridge", "key": "held_off", "value": true}`,
			"priority = 1 # first\n", "priority = 1 # first\nheld_off = true\n"},
		{"not behind the table within",
			`{"do": "set", "table": "load", "at": "Kettle", "key": "held_off", "value": true}`,
			"circuit = \"kitchen\"\n", "circuit = \"kitchen\"\nheld_off = true\n"},
		{"in the table within", `{"do": "set", "table": "load", "at": "Kettle", "key": "motor.kw", "value": 2.2}`,
			"kw = 1.5", "kw = 2.2"},
		{"new in the table within", `{"do": "set", "table": "load", "at": "Kettle", "key": "motor.times", "value": 4}`,
			"kw = 1.5\n", "kw = 1.5\ntimes = 4\n"},
		{"by its place", `{"do": "set", "table": "load", "place": 3, "key": "quantity", "value": 2}`,
			"use = \"router\"\n", "use = \"router\"\nquantity = 2\n"},
		{"a table that is not there", `{"do": "set", "table": "practice", "key": "margin", "value": 0.2}`,
			"use = \"router\"\n", "use = \"router\"\n\n[practice]\nmargin = 0.2\n"},
		{"remove a key", `{"do": "remove", "table": "outage", "key": "start"}`, "  start = \"worst\"\n", ""},
		{"remove what is not there", `{"do": "remove", "table": "outage", "key": "reserve"}`, "", ""},
		{"remove in braces", `{"do": "remove", "table": "load", "at": "Fridge", "key": "cycle.on_min"}`,
			"on_min = 10, ", ""},
		{"remove the last in braces", `{"do": "remove", "table": "load", "at": "Fridge", "key": "cycle.off_min"}`,
			", off_min = 20", ""},
		{"remove a table within", `{"do": "remove", "table": "load", "at": "Kettle", "key": "motor"}`,
			"[load.motor]\nkw = 1.5\n\n", ""},
		{"add", `{"do": "add", "table": "load", "values": {"use": "fan", "quantity": 2}}`, "use = \"router\"\n",
			"use = \"router\"\n\n[[load]]\nuse = \"fan\"\nquantity = 2\n"},
		{"add beside its like", `{"do": "add", "table": "load", "values": {"use": "fan", "circuit": "kitchen"}}`,
			"kw = 1.5\n", "kw = 1.5\n\n[[load]]\nuse = \"fan\"\ncircuit = \"kitchen\"\n"},
		{"add to a list that is not there", `{"do": "add", "table": "circuit", "values": {"id": "a"}}`,
			"use = \"router\"\n", "use = \"router\"\n\n[[circuit]]\nid = \"a\"\n"},
		{"drop", `{"do": "drop", "table": "load", "at": "Kettle"}`,
			"[[load]]   # the kettle\nname = 'Kettle'\ncircuit = \"kitchen\"\n\n[load.motor]\nkw = 1.5\n\n", ""},
		{"drop a table", `{"do": "drop", "table": "bank"}`, "[bank]\nuse = \"lfp\" # here\noption.deep = 1\n\n", ""},
		{"move to the front", `{"do": "move", "table": "load", "place": 3, "before": 1}`, "", ""},
	} {
		got, err := Apply([]byte(file), changes(t, "["+tt.change+"]"))
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		want := strings.Replace(file, tt.from, tt.to, 1)
		if tt.what == "move to the front" {
			want = strings.Replace(file, "[[load]]\nuse = \"router\"\n", "", 1)
			want = strings.Replace(want, "[[load]]\nname = \"Fridge\"",
				"[[load]]\nuse = \"router\"\n\n[[load]]\nname = \"Fridge\"", 1)
		}
		if string(got) != want {
			t.Errorf("%s: got\n%s\nwant\n%s", tt.what, got, want)
		}
	}
}

// Line ends stay what they are, and a file without one at its end gets it only where something follows.
func TestLineEnds(t *testing.T) {
	for _, tt := range []struct{ file, change, want string }{
		{"[a]\r\nx = 1\r\n", `{"do": "set", "table": "a", "key": "y", "value": 2}`, "[a]\r\nx = 1\r\ny = 2\r\n"},
		{"[a]\nx = 1", `{"do": "set", "table": "a", "key": "x", "value": 2}`, "[a]\nx = 2"},
		{"[a]\nx = 1", `{"do": "set", "table": "a", "key": "y", "value": 2}`, "[a]\nx = 1\ny = 2\n"},
		{"\xef\xbb\xbf[a]\nx = 1", `{"do": "set", "table": "b", "key": "y", "value": 2}`,
			"\xef\xbb\xbf[a]\nx = 1\n\n[b]\ny = 2\n"},
		{"", `{"do": "set", "table": "b", "key": "y", "value": 2}`, "[b]\ny = 2\n"},
		{"a = {x = 1}\n", `{"do": "set", "table": "a", "key": "y", "value": 2}`, "a = {x = 1, y = 2}\n"},
		{"a.x = 1\n[b]\n", `{"do": "set", "table": "a", "key": "y", "value": 2}`, "a.x = 1\na.y = 2\n[b]\n"},
		{"load = [ { name = \"A\" }, ]\n", `{"do": "add", "table": "load", "values": {"name": "B"}}`,
			"load = [ { name = \"A\" }, { name = \"B\" }, ]\n"},
		{"load = [ { name = \"A\" }, { name = \"B\" } ]\n", `{"do": "drop", "table": "load", "at": "A"}`,
			"load = [ { name = \"B\" } ]\n"},
	} {
		got, err := Apply([]byte(tt.file), changes(t, "["+tt.change+"]"))
		if err != nil || string(got) != tt.want {
			t.Errorf("%q with %s: got %q, %v, want %q", tt.file, tt.change, got, err, tt.want)
		}
	}
}

// What cannot be done is refused, with the number of the change, and nothing else happens.
func TestRefused(t *testing.T) {
	file := []byte("[outage]\nautonomy_h = 24\n\n[[load]]\nname = \"A\"\n")
	for _, change := range []string{
		`{"do": "fly", "table": "outage"}`, `{"do": "set", "table": "", "key": "x", "value": 1}`,
		`{"do": "set", "table": "outage", "key": "", "value": 1}`,
		`{"do": "set", "table": "outage", "key": "a..b", "value": 1}`, `{"do": "set", "table": "outage", "key": "x"}`,
		`{"do": "set", "table": "load", "key": "x", "value": 1}`,
		`{"do": "set", "table": "load", "at": "B", "key": "x", "value": 1}`,
		`{"do": "set", "table": "load", "place": 2, "key": "x", "value": 1}`,
		`{"do": "set", "table": "outage", "key": "autonomy_h.deep", "value": 1}`,
		`{"do": "add", "table": "outage", "values": {"x": 1}}`,
		`{"do": "move", "table": "load", "at": "A", "before": 7}`, `{"do": "move", "table": "outage"}`,
		`{"do": "set", "table": "outage", "at": "x", "key": "x", "value": 1}`,
	} {
		got, err := Apply(file,
			changes(t, `[{"do": "set", "table": "outage", "key": "autonomy_h", "value": 25}, `+change+`]`))
		refusal, ok := err.(*Refusal)
		if !ok || refusal.Change != 1 || got != nil {
			t.Errorf("%s: got %q, %v, want a refusal of change 1", change, got, err)
		}
	}
	for _, v := range []any{math.NaN(), math.Inf(1), nil, struct{}{}, "\xff", []any{[]any{math.NaN()}}} {
		if got, err := Apply(file, []Change{{Do: "set", Table: "outage", Key: "x", Value: v}}); err == nil {
			t.Errorf("%v was written: %s", v, got)
		}
	}
}

func changes(t testing.TB, list string) (out []Change) {
	t.Helper()
	if err := json.Unmarshal([]byte(list), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// read is what a file says.
func read(src []byte) (m map[string]any, err error) {
	defer func() { // its decoder stumbles over some files that its parser takes
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	err = toml.Unmarshal(src, &m)
	return m, err
}

// comments are those of a file, in order; inside are those that stand within values.
func comments(src []byte) (all []string, inside int) {
	p := unstable.Parser{KeepComments: true}
	p.Reset(src)
	var within func(n *unstable.Node)
	within = func(n *unstable.Node) {
		for it := n.Children(); it.Next(); {
			if c := it.Node(); c.Kind == unstable.Comment {
				all, inside = append(all, string(c.Data)), inside+1
			} else {
				within(c)
			}
		}
	}
	for p.NextExpression() {
		if e := p.Expression(); e.Kind == unstable.Comment {
			all = append(all, string(e.Data))
		} else {
			within(e)
		}
	}
	return all, inside
}

// model makes a change to what a file says, in the plainest way. ok is false for what only the file can tell.
func model(m map[string]any, c Change) bool {
	var table any = m
	path := strings.Split(c.Table, ".")
	for i, key := range path {
		in, isTable := table.(map[string]any)
		if !isTable {
			return false
		}
		next, there := in[key]
		if !there && c.Do == "set" {
			next = map[string]any{}
			in[key] = next
		}
		last := i == len(path)-1
		if last && c.Do == "add" {
			list, _ := next.([]any)
			values := c.Values
			if values == nil {
				values = map[string]any{}
			}
			at := len(list)
			if circuit, ok := values["circuit"].(string); ok {
				for n := len(list) - 1; n >= 0; n-- {
					if one, ok := list[n].(map[string]any); ok && one["circuit"] == circuit {
						at = n + 1
						break
					}
				}
			}
			in[key] = slices.Insert(slices.Clone(list), at, any(plain(values)))
			return true
		}
		if last && c.Do == "drop" && c.At == "" && c.Place == 0 {
			delete(in, key)
			return true
		}
		if list, ok := next.([]any); ok && last {
			n := c.Place - 1
			if c.At != "" {
				n = slices.IndexFunc(list, func(v any) bool {
					one, ok := v.(map[string]any)
					return ok &&
						one[names[c.Table]] == c.At
				})
			}
			if n < 0 || n >= len(list) {
				return false
			}
			switch c.Do {
			case "drop":
				if list = slices.Delete(slices.Clone(list), n, n+1); len(list) == 0 {
					delete(in, key)
				} else {
					in[key] = list
				}
				return true
			case "move":
				one, to := list[n], c.Before-1
				if c.Before == 0 {
					to = len(list)
				}
				if to > n {
					to--
				}
				in[key] = slices.Insert(slices.Delete(slices.Clone(list), n, n+1), to, one)
				return true
			}
			next = list[n]
		}
		table = next
	}
	keys := strings.Split(c.Key, ".")
	for _, key := range keys[:len(keys)-1] {
		in, ok := table.(map[string]any)
		if !ok {
			return false
		}
		next, there := in[key]
		if !there {
			if c.Do == "remove" {
				return true
			}
			next = map[string]any{}
			in[key] = next
		}
		table = next
	}
	in, ok := table.(map[string]any)
	if !ok {
		return c.Do == "remove" && table == nil
	}
	if c.Do == "remove" {
		delete(in, keys[len(keys)-1])
	} else {
		in[keys[len(keys)-1]] = plain(c.Value)
	}
	return true
}

// plain is a value of JSON as a file says it.
func plain(v any) any {
	switch v := v.(type) {
	case float64:
		if v == math.Trunc(v) && math.Abs(v) < 1e15 {
			return int64(v)
		}
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = plain(v[i])
		}
		return out
	case map[string]any:
		out := map[string]any{}
		for key := range v {
			out[key] = plain(v[key])
		}
		return out
	}
	return v
}

// empty drops what a file may say or not: tables without a key and lists without an item.
func empty(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for key, one := range v {
			if one = empty(one); one != nil {
				out[key] = one
			}
		}
		if len(out) == 0 {
			return nil
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i := range v {
			if out[i] = empty(v[i]); out[i] == nil {
				out[i] = map[string]any{}
			}
		}
		if len(out) == 0 {
			return nil
		}
		return out
	}
	return v
}

// holds checks what must hold of a change to a valid file.
func holds(t *testing.T, src []byte, c Change) {
	t.Helper()
	want, err := read(src)
	if err != nil {
		return // not valid
	}
	got, err := Apply(src, []Change{c})
	if err != nil {
		return
	}
	is, err := read(got)
	if err != nil {
		t.Fatalf("%+v makes a file that is not valid: %v\nfrom\n%s\nto\n%s", c, err, src, got)
	}
	if !model(want, c) {
		return
	}
	if a, b := empty(any(is)), empty(any(want)); !reflect.DeepEqual(a, b) && !hasNaN(src) {
		t.Fatalf("%+v: the file says\n%v\nwant\n%v\nfrom\n%s\nto\n%s", c, a, b, src, got)
	}
	before, inside := comments(src)
	after, _ := comments(got)
	switch c.Do {
	case "set", "add":
		if inside == 0 && !slices.Equal(before, after) {
			t.Fatalf("%+v: the comments are %q, were %q\nfrom\n%s\nto\n%s", c, after, before, src, got)
		}
	case "move":
		slices.Sort(before)
		slices.Sort(after)
		if !slices.Equal(before, after) {
			t.Fatalf("%+v: the comments are %q, were %q", c, after, before)
		}
	}
}

func hasNaN(src []byte) bool { return strings.Contains(string(src), "nan") }

// A file that was changed stays as it is, and can be changed in another way, whether somebody has looked at it or not.
func TestFileStays(t *testing.T) {
	const src = "[outage]\nautonomy_h = 8 # as asked\n\n[[load]]\nname = \"Pump\"\n"
	f := Open([]byte(src))
	for i, c := range []struct {
		change Change
		want   string
	}{
		{Change{Do: "set", Table: "outage", Key: "autonomy_h", Value: 12}, strings.Replace(src, "= 8", "= 12", 1)},
		{Change{Do: "remove", Table: "outage", Key: "autonomy_h"}, strings.Replace(src, "autonomy_h = 8 # as asked\n", "", 1)},
		{Change{Do: "set", Table: "load", At: "Pump", Key: "quantity", Value: 2}, src + "quantity = 2\n"},
	} {
		if i == 1 {
			f.Look()
		}
		got, err := f.Change(c.change)
		if err != nil || string(got.Text) != c.want || string(f.Text) != src {
			t.Errorf("%+v gives %q, %v, want %q; it was %q", c.change, got.Text, err, c.want, f.Text)
		}
	}
	if _, err := Open([]byte("[outage")).Change(Change{Do: "drop", Table: "outage"}); err == nil {
		t.Error("what is no valid file was changed")
	}
}

// Every change to every home gives a file that says just that, and keeps what else it says.
func TestChangesOfHomes(t *testing.T) {
	var homes [][]byte
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "*", "*.toml"))
	if err != nil || len(paths) < 8 {
		t.Fatalf("%d homes, %v", len(paths), err)
	}
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		homes = append(homes, src)
	}
	for seed := range uint64(6) {
		homes = append(homes, drawnhome.Draw(seed))
	}
	made := 0
	for _, src := range homes {
		m, err := read(src)
		if err != nil {
			continue
		}
		for table, v := range m {
			switch v := v.(type) {
			case map[string]any:
				made += changesOf(t, src, Change{Table: table}, v)
			case []any:
				for i, one := range v {
					if one, ok := one.(map[string]any); ok && i < 2 {
						made += changesOf(t, src, Change{Table: table, Place: i + 1}, one)
						holds(t, src, Change{Do: "move", Table: table, Place: i + 1, Before: (i * 3) % len(v)})
						if name, ok := one[names[table]].(string); ok {
							holds(t, src, Change{Do: "set", Table: table, At: name, Key: "priority", Value: 4.0})
						}
					}
				}
				holds(t, src, Change{Do: "add", Table: table, Values: map[string]any{"name": "x", "circuit": "kitchen",
					"n": 1.5}})
			}
		}
	}
	if made < 1500 {
		t.Errorf("%d changes were made: this test sees too few", made)
	}
}

func changesOf(t *testing.T, src []byte, at Change, table map[string]any) (made int) {
	t.Helper()
	try := func(c Change) {
		made++
		holds(t, src, c)
	}
	for key := range table {
		for _, value := range []any{7.0, 0.125, "a \"b\" \\ c", true, []any{1.0, "x"}, map[string]any{"a": 1.0}} {
			c := at
			c.Do, c.Key, c.Value = "set", key, value
			try(c)
		}
		c := at
		c.Do, c.Key = "remove", key
		try(c)
	}
	for _, key := range []string{"quite_new", "cycle.on_min", "motor.kw", "bank.strings"} {
		c := at
		c.Do, c.Key, c.Value = "set", key, 3.0
		try(c)
	}
	c := at
	c.Do = "drop"
	try(c)
	return made
}

// Any valid file with any change gives a valid file that says just that.
func FuzzApply(f *testing.F) {
	for _, src := range []string{
		"[outage]\nautonomy_h = 24 # x\n[[load]]\nname = \"A\"\n[load.motor]\nkw = 1\n[[load]]\n",
		"load = [{name = 'A', b = [1, 2,]}, {}]\na.b.c = 1\n[a.d]\n",
		"x = \"\"\"a\n\"\"quoted\"\"\"\"\"\ny = '''z'''\n\"a b\" = 1979-05-27 07:32:00Z\n[\"q.r\"]\n",
		"[[a.b]]\nc = 1\n[[a.b.d]]\ne = 2\n[[a.b]]\n",
	} {
		f.Add([]byte(src), "set", "load", "A", 0, "motor.kw", `2.5`)
		f.Add([]byte(src), "remove", "a", "", 0, "b", `null`)
		f.Add([]byte(src), "add", "load", "", 0, "", `{"name": "B"}`)
		f.Add([]byte(src), "move", "load", "", 2, "", `1`)
		f.Add([]byte(src), "drop", "load", "", 1, "", `null`)
	}
	f.Fuzz(func(t *testing.T, src []byte, do, table, at string, place int, key, value string) {
		c := Change{Do: do, Table: table, At: at, Place: place, Key: key}
		if err := json.Unmarshal([]byte(value), &c.Value); err != nil {
			return
		}
		if values, ok := c.Value.(map[string]any); ok && do == "add" {
			c.Values = values
		}
		if n, ok := c.Value.(float64); ok && do == "move" {
			c.Before = int(n)
		}
		holds(t, src, c)
	})
}
