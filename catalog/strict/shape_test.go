package strict

import (
	"fmt"
	"strings"
	"testing"
)

func TestMissingAndExcluding(t *testing.T) {
	load := func(lines string) string { return home + "[[load]]\n" + lines }
	tell(t, []fact{
		{"an empty file", "", []string{`1:1: missing table [site] | ` + wantAny}},
		{"only comments", "# nothing\n\n", []string{`1:1: missing table [site] | ` + wantAny}},
		{"a key, at the header", "\n [site]\nphases = 1",
			[]string{`2:2: missing key "name" in [site]: want a text in quotes`}},
		{"a key of an inline table, at its key", load(`cycle = { on_min = 5 }`), []string{
			`5:1: missing key "off_min" in cycle: want a number from 0 to 1440 min`}},
		{"a key of an item, at the item", load("overload = [\n  { seconds = 1, va = 2 },\n  { seconds = 3 },\n]"),
			[]string{
				`7:3: missing key "va" in overload: want a number from 0 to 100`}},
		{"a key of a dotted table, at its first mention", load("cycle.on_min = 1"), []string{
			`5:1: missing key "off_min" in cycle: want a number from 0 to 1440 min`}},
		{"the header that comes after a longer one", "[site.x]\n[site]\nphases = 1", []string{
			`1:1: unknown key "x" in [site] | the keys of [site] are name, phases, volts, start`,
			`2:1: missing key "name" in [site]: want a text in quotes`}},
		{"one of several", load("motor = {}"), []string{`5:1: missing key in motor: want one of "code" or "times"`}},
		{"two of several, at the later one", load("motor = { times = 6, code = \"G\" }"), []string{
			`5:22: code in motor: excludes times of line 5: give only one`}},
		{"three that exclude each other", load("motor = { times = 6 }\nstarting_w = 1\nstarting_va = 2"), []string{
			`6:1: starting_w in [[load]]: excludes motor of line 5: give only one`,
			`7:1: starting_va in [[load]]: excludes motor of line 5: give only one`}},
		{"excluded, and wrong", load("starting_w = 1\nstarting_va = -2"), []string{
			`6:1: starting_va in [[load]]: found -2, want a number from 0 to 100000000 VA`,
			`6:1: starting_va in [[load]]: excludes starting_w of line 5: give only one`}},
	})
}

func TestTablesAndLists(t *testing.T) {
	tell(t, []fact{
		{"a list of a table", "[[site]]\nname = \"x\"\nfases = 1", []string{
			`1:1: [site]: found [[site]], want a table headed [site]`,
			`3:1: unknown key "fases" in [site] | did you mean "phases"?`}},
		{"two of them", "[[site]]\nname = \"x\"\n[[site]]\nphases = 9", []string{
			`1:1: [site]: found [[site]], want a table headed [site]`,
			`3:1: [site]: given a second time, first at line 1 | put its keys under the first header`,
			`4:1: phases in [site]: found 9, want a whole number from 1 to 3`}},
		{"a table given twice", home + "[site]\nname = \"y\"\nphases = 9", []string{
			`4:1: [site]: given a second time, first at line 1 | put its keys under the first header`,
			`6:1: phases in [site]: found 9, want a whole number from 1 to 3`}},
		{"a table for a list", home + "[load]\nrunning_w = -1", []string{
			`4:1: [[load]]: found [load], want [[load]]`,
			`5:1: running_w in [[load]]: found -1, want a number from 0 to 10000000 W`}},
		{"tables for a list", home + "[load]\n[load]\nrunning_w = -1", []string{
			`4:1: [[load]]: found [load], want [[load]]`,
			`5:1: [[load]]: found [load], want [[load]]`,
			`6:1: running_w in [[load]]: found -1, want a number from 0 to 10000000 W`}},
		{"first a table, then a list", home + "[load]\n[[load]]\nrunning_w = -1\n[[load]]\nboard = 1", []string{
			`4:1: [[load]]: found [load], want [[load]]`,
			`6:1: running_w in [[load]]: found -1, want a number from 0 to 10000000 W`,
			`8:1: board in [[load]]: found 1, want "backup", "main" or "either" | put it into quotes`}},
		{"first a list, then a table", home + "[[load]]\n[load]\nrunning_w = -1", []string{
			`5:1: [[load]]: found [load], want [[load]]`,
			`6:1: running_w in [[load]]: found -1, want a number from 0 to 10000000 W`}},
		{"no tables at all", "site = 5\nload = \"x\"", []string{
			`1:1: [site]: found 5, want a table headed [site]`,
			`2:1: [[load]]: found the text "x", want a table headed [[load]] for each`}},
		{"inline, over several lines, with comments", `site = { name = "x", Phases = 3 }
load = [ { running_w = 1 }, # one
  # two
	{ name = "bü", running_w = "7",   # ü is one character, the tab another
	  months = [1, 13,
	    0] }, 7 ]`, []string{
			`1:22: unknown key "Phases" in [site] | did you mean "phases"?`,
			`4:17: running_w in [[load]]: found the text "7", want a number from 0 to 10000000 W | write it without quotes`,
			`5:17: months in [[load]]: found 13, want a whole number from 1 to 12`,
			`6:6: months in [[load]]: found 0, want a whole number from 1 to 12`,
			`6:12: [[load]]: found 7, want a table { … }`}},
		{"a table for a list of small ones", home + "[[load]]\noverload = { seconds = 1, va = 200 }", []string{
			`5:1: overload in [[load]]: found one table, want a list of tables { … } with seconds, va`,
			`5:27: va in overload: found 200, want a number from 0 to 100`}},
		{"a list for a small table", home + "[[load]]\ncycle = [ { on_min = 1, off_min = 2 } ]", []string{
			`5:1: cycle in [[load]]: found a list, want a table { … } with on_min, off_min`}},
		{"small tables with headers",
			home + "[[load]]\n[[load.overload]]\nseconds = 1\nva = 2\n[[load.overload]]\nseconds = 3\nvb = 4", []string{
				`10:1: unknown key "vb" in overload | did you mean "va"?`}},
		{"an empty list of small tables", home + "[[load]]\noverload = []", []string{
			`5:1: overload in [[load]]: found 0 items, want at least 1`}},
		{"more tables than allowed: the rest is not gone through", home + strings.Repeat("[[load]]\nx9 = 1\n", 7),
			func() []string {
				var want []string
				for i := range 5 {
					want = append(want, fmt.Sprintf(`%d:1: unknown key "x9" in [[load]] | %s`, 5+2*i, allLoadKeys))
				}
				return append(want, `14:1: [[load]]: found 7 items, want at most 5`)
			}()},
	})
}

func TestGivenTwice(t *testing.T) {
	tell(t, []fact{
		{"a key, and the rest of the file", "[site]\nname = \"x\"\nvolts = 1\nname = \"y\"\nname = 5\nfases = 2",
			[]string{
				`4:1: key "name" given a second time, first at line 2`,
				`5:1: key "name" given a second time, first at line 2`,
				`6:1: unknown key "fases" in [site] | did you mean "phases"?`}},
		{"the same key in two loads is right", home + "[[load]]\nname = \"a\"\n[[load]]\nname = \"a\"", nil},
		{"in an inline table", home + "[[load]]\ncycle = { on_min = 1, off_min = 2, on_min = 3 }", []string{
			`5:36: key "on_min" given a second time, first at line 5`}},
		{"quoted and bare", home + "[[load]]\nname = \"a\"\n\"name\" = \"b\"", []string{
			`6:1: key "name" given a second time, first at line 5`}},
		{"a dotted key into a text", "[site]\nname = \"x\"\nname.first = 2", []string{
			`3:1: dotted key adds to "name", which is complete at line 2`}},
		{"a dotted key into an inline table", home + "[[load]]\ncycle = { on_min = 1, off_min = 2 }\ncycle.on_min = 3",
			[]string{
				`6:1: dotted key adds to "cycle", which is complete at line 5`}},
		{"a header into an inline table", home + "[[load]]\nmotor = { times = 2 }\n[load.motor.x]\ny = 1", []string{
			`6:1: header adds to "motor", which is complete at line 5`}},
		{"a header after dotted keys",
			home + "[[load]]\ncycle.on_min = 1\ncycle.off_min = 1\n[load.cycle]\non_min = 2000", []string{
				`7:1: cycle in [[load]]: given a second time, first at line 5 | put its keys under the first header`,
				`8:1: on_min in cycle: found 2000, want a number from 0 to 1440 min`}},
		{"a header where a number stands", home + "[[load]]\nrunning_w = 1\n[load.running_w]", []string{
			`6:1: running_w in [[load]]: given a second time, first at line 5`}},
	})
}

// All problems come in the order of the file, whatever finds them.
func TestOrder(t *testing.T) {
	src := "[[load]]\nrunning_w = -1\nzebra = 1\nmonths = [0, 1, 99]\n[site]\nvolts = 0\nvolts = 1\n[[load]]\n" +
		"starting_w = 1\nstarting_va = 1\n"
	var places []string
	for _, line := range said(src) {
		places = append(places, line[:strings.Index(line, ": ")])
	}
	if got, want := strings.Join(places, " "), "2:1 3:1 4:11 4:17 5:1 6:1 7:1 10:1"; got != want {
		t.Errorf("problems at %s, want at %s", got, want)
	}
}
