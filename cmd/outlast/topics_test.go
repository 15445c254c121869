package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/manual"
)

// helped is what help prints.
func helped(t *testing.T, args ...string) string {
	t.Helper()
	var out, errw bytes.Buffer
	if status := run(append([]string{"help"}, args...), strings.NewReader(""), &out, &errw); status != 0 ||
		errw.Len() > 0 {
		t.Fatalf("help %q: status %d, stderr %q", args, status, errw.String())
	}
	return out.String()
}

// asItStands is what is never wrapped: messages, and the lines of a file.
var asItStands = regexp.MustCompile(`^(outlast: |basis = )`)

// TestTopics: every topic has a page with a session that was run, on lines that a terminal of 80 columns holds, and
// every page is a topic.
func TestTopics(t *testing.T) {
	pages, err := filepath.Glob("manual/topics/*.md")
	if err != nil || len(pages) != len(manual.Topics) {
		t.Errorf("%d pages (%v), %d topics", len(pages), err, len(manual.Topics))
	}
	listed := helped(t)
	for _, name := range manual.Topics {
		t.Run(name, func(t *testing.T) {
			if !strings.Contains(listed, "  "+name+" ") || !strings.Contains(listed, manual.TopicTitle(name)) {
				t.Errorf("outlast help does not list %s", name)
			}
			for i, line := range strings.Split(helped(t, name), "\n") {
				if n := displaywidth.String(line); n > 80 && !asItStands.MatchString(line) ||
					strings.TrimRight(line, " ") != line {
					t.Errorf("line %d is %d columns wide: %q", i+1, n, line)
				}
			}
			for _, sign := range []string{"`", "##", "]("} {
				if text := helped(t, name); strings.Contains(text, sign) && name != "papers" { // which shows Markdown
					t.Errorf("Markdown is left on the page: %q in\n%s", sign, text)
				}
			}
			if n := runSessions(t, "cmd/outlast/manual/topics/"+name+".md"); n == 0 {
				t.Error("no session shows what is said")
			}
		})
	}
}

// eachKey visits every key of a site file and of a catalog, also those of the tables in them.
func eachKey(visit func(where string, k *strict.Key)) {
	var walk func(ks *strict.Keys)
	walk = func(ks *strict.Keys) {
		for i := range ks.List {
			k := &ks.List[i]
			visit(ks.Name, k)
			if k.Keys != nil {
				walk(k.Keys)
			}
		}
	}
	walk(site.FileKeys())
	walk(catalog.FileKeys())
}

// unitEnds are the ends of names that tell a unit, and how the table writes it.
var unitEnds = map[string]string{"w": "W", "va": "VA", "ah": "Ah", "a": "A", "v": "V", "h": "h", "c": "C", "m": "m",
	"s": "s", "ms": "ms", "kg": "kg", "mm": "mm",
	"min": "min", "deg": "degrees", "mohm": "mohm", "cm2": "cm2", "mm2": "mm2", "l": "l", "k": "K", "hz": "Hz",
	"hp": "hp", "kw": "kW", "hours": "h", "seconds": "s", "day": "kWh/m2"}

// TestKeyTable: every key that the readers take has an example, a unit where its name has one, a range or words, and a
// default, or must be given.
func TestKeyTable(t *testing.T) {
	count := 0
	eachKey(func(where string, k *strict.Key) {
		count++
		fail := func(what string) { t.Errorf("%s in %q: %s", k.Name, where, what) }
		if k.Doc == "" || k.Wants() == "" {
			fail("nothing tells what it means, or what it takes")
		}
		if where == "" {
			return // a table of the file: its keys tell
		}
		if k.Example == "" {
			fail("no example")
		}
		if k.Without() == "" {
			fail("nothing tells what holds without it")
		}
		if k.Required && (k.Default != nil || k.Otherwise != "") {
			fail("it must be given, and yet has a default")
		}
		if strings.Contains(k.Doc, "default") {
			fail("the default belongs into its own place")
		}
		words := strings.Split(k.Name, "_")
		if unit := unitEnds[words[len(words)-1]]; k.Kind == strict.Number && unit != "" && k.Unit != unit &&
			!strings.Contains(k.Name, "_per_") {
			fail("its name tells " + unit + ", the table " + strconv.Quote(k.Unit))
		}
	})
	if count < 330 {
		t.Errorf("only %d keys", count)
	}
}

// taking gives the keys of a table that may stand together: of those that exclude each other the first, or the other
// one that is asked for.
func taking(ks *strict.Keys, other string) []strict.Key {
	return slices.DeleteFunc(slices.Clone(ks.List), func(k strict.Key) bool {
		out := k.Name == "use" || k.Name == "weather"
		for _, group := range ks.AtMostOne {
			first := group[0]
			if slices.Contains(group, other) {
				first = other
			}
			out = out || slices.Contains(group, k.Name) && k.Name != first
		}
		return out && k.Name != other
	})
}

// TestKeyExamples: the readers take the examples of the table, all together, and each of those that exclude others in
// their place.
func TestKeyExamples(t *testing.T) {
	// What a home of these examples needs beside them; the first of the name stays as the table has it.
	const second = `
[[circuit]]
id = "stove"
board = "either"

[[load]]
name = "Stove"
circuit = "stove"
running_w = 2000
hours_per_day = 1
`
	accepts := func(name, text string, args ...string) {
		t.Helper()
		var out, errw bytes.Buffer
		if status := run(append(args, "-"), strings.NewReader(text), &out, &errw); status != 0 {
			t.Errorf("%s: the examples are refused: %s\n%s", name, errw.String(), text)
		}
	}
	// The meter file of the example.
	t.Chdir(t.TempDir())
	if err := os.WriteFile("meter.csv", []byte("time,energy kWh\n2025-01-01 00:00,0.2\n2025-01-01 01:00,0.3\n"),
		0o600); err != nil {
		t.Fatal(err)
	}
	tried := 0
	home := func(table, key string) string {
		var b strings.Builder
		for _, name := range site.FileKeys().List {
			fmt.Fprintf(&b, "%s\n", name.Keys.Name)
			other := ""
			if name.Name == table {
				other = key
			}
			for _, k := range taking(name.Keys, other) {
				fmt.Fprintf(&b, "%s = %s\n", k.Name, k.Example)
			}
		}
		return b.String() + second
	}
	accepts("all", home("", ""), "check")
	for _, table := range site.FileKeys().List {
		for _, key := range append(slices.Concat(table.Keys.AtMostOne...), "use") {
			has := slices.ContainsFunc(table.Keys.List, func(k strict.Key) bool { return k.Name == key })
			if has && key != "weather" { // the file would have to be there
				tried++
				accepts(key, home(table.Name, key), "check")
			}
		}
	}
	for _, k := range catalog.FileKeys().List {
		var b strings.Builder
		b.WriteString(k.Keys.Name + "\n")
		for _, k := range taking(k.Keys, "") {
			fmt.Fprintf(&b, "%s = %s\n", k.Name, k.Example)
		}
		tried++
		path := filepath.Join(t.TempDir(), "own.toml")
		if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		accepts(k.Name, home("", ""), "check", "--catalog", path)
	}
	if tried < 10 {
		t.Errorf("%d variants, want more", tried)
	}
}
