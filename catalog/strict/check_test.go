package strict

import (
	"fmt"
	"strings"
	"testing"
)

func TestUnknownKeys(t *testing.T) {
	tell(t, []fact{
		{"nothing wrong", home, nil},
		{"a slip", home + "[[load]]\nruning_w = 900", []string{
			`5:1: unknown key "runing_w" in [[load]] | did you mean "running_w"?`}},
		{"another case is another key", home + "[[load]]\nRunning_W = 900", []string{
			`5:1: unknown key "Running_W" in [[load]] | did you mean "running_w"?`}},
		{"a beginning", home + "[[load]]\npower = 1", []string{
			`5:1: unknown key "power" in [[load]] | did you mean "power_factor"?`}},
		{"near nothing", "[site]\nname = \"x\"\nzebra = 1", []string{
			`3:1: unknown key "zebra" in [site] | the keys of [site] are name, phases, volts, start`}},
		{"of another table", "[site]\nname = \"x\"\nrunning_w = 1", []string{
			`3:1: unknown key "running_w" in [site] | running_w is a key of [[load]]`}},
		{"before any header", "name = 1\n" + home, []string{
			`1:1: unknown key "name" | name is a key of [site], [[load]]`}},
		{"no such table", home + "[garden]\nroses = 3", []string{
			`4:1: unknown key "garden" | the tables of the file are site, load`}},
		{"quoted, with a dot", "[site]\nname = \"x\"\n\"volts.x\" = 1", []string{
			`3:1: unknown key "volts.x" in [site] | did you mean "volts"?`}},
		{"quoted, and right", "[\"site\"]\n\"name\" = \"x\"\n'volts' = 1", nil},
		{"a control character in a key comes out escaped", "[site]\nname = \"x\"\n\"a\\u001b[31m\" = 1", []string{
			`3:1: unknown key "a\x1b[31m" in [site] | the keys of [site] are name, phases, volts, start`}},
		{"very long", "[site]\nname = \"x\"\n" + strings.Repeat("k", 5000) + " = 1", []string{
			`3:1: unknown key "` + strings.Repeat("k", 39) + `…" in [site] | the keys of [site] are name, phases, volts, start`}},
		{"in an inline table", home + "[[load]]\ncycle = { on_min = 1, of_min = 2 }", []string{
			`5:23: unknown key "of_min" in cycle | did you mean "off_min"?`}},
		{"dotted", home + "[[load]]\ncycle.on_min = 1\ncycle.of_min = 2", []string{
			`6:7: unknown key "of_min" in cycle | did you mean "off_min"?`}},
		{"in a table with a header of its own", home + "[[load]]\n[load.cycle]\non_min = 1\nof_min = 2", []string{
			`7:1: unknown key "of_min" in cycle | did you mean "off_min"?`}},
		{"twice, in two tables", home + "[[load]]\nwatts = 1\n[[load]]\nwatts = 1", []string{
			`5:1: unknown key "watts" in [[load]] | ` + allLoadKeys,
			`7:1: unknown key "watts" in [[load]] | ` + allLoadKeys}},
	})
}

const allLoadKeys = "the keys of [[load]] are name, running_w, power_factor, board, interlock, held_off, when, kinds, months, monthly, " +
	"cycle, overload, starting_va, starting_w, motor"

// A misspelt key counts as given, and a misspelt table is read as the one that it means: one slip is one message.
func TestMisspeltIsNotMissing(t *testing.T) {
	tell(t, []fact{
		{"required key", "[site]\nnam = \"x\"", []string{`2:1: unknown key "nam" in [site] | did you mean "name"?`}},
		{"required key is there as well", "[site]\nnam = \"x\"\nname = \"y\"", []string{`2:1: unknown key "nam" in [site] | did you mean "name"?`}},
		{"one of several", home + "[[load]]\nmotor = { cod = \"G\" }", []string{`5:11: unknown key "cod" in motor | did you mean "code"?`}},
		{"required table, and a slip in it", "[Site]\nname = \"x\"\nfases = 3", []string{
			`1:1: unknown key "Site" | did you mean "site"?`,
			`3:1: unknown key "fases" in [site] | did you mean "phases"?`}},
		{"each header of a list", home + "[[loads]]\nheld_of = true\n[[loads]]\nboard = 1", []string{
			`4:1: unknown key "loads" | did you mean "load"?`,
			`5:1: unknown key "held_of" in [[load]] | did you mean "held_off"?`,
			`6:1: unknown key "loads" | did you mean "load"?`,
			`7:1: board in [[load]]: found 1, want "backup", "main" or "either" | put it into quotes`}},
		{"nothing near: it is missing", "[site]\nzebra = 1", []string{
			`1:1: missing key "name" in [site]: want a text in quotes`,
			`2:1: unknown key "zebra" in [site] | the keys of [site] are name, phases, volts, start`}},
	})
}

func TestWrongValues(t *testing.T) {
	load := func(lines string) string { return home + "[[load]]\n" + lines }
	tell(t, []fact{
		{"text for a number", load(`running_w = "900"`), []string{
			`5:1: running_w in [[load]]: found the text "900", want a number from 0 to 10000000 W | write it without quotes`}},
		{"words for a number", load(`running_w = "a lot"`), []string{
			`5:1: running_w in [[load]]: found the text "a lot", want a number from 0 to 10000000 W`}},
		{"a switch for a number", load(`running_w = true`), []string{
			`5:1: running_w in [[load]]: found true, want a number from 0 to 10000000 W`}},
		{"a date for a number", load(`running_w = 2024-02-30`), []string{
			`5:1: running_w in [[load]]: found the date or time 2024-02-30, want a number from 0 to 10000000 W`}},
		{"a time for a text", "[site]\nname = 07:30:00", []string{
			`2:1: name in [site]: found the date or time 07:30:00, want a text in quotes | put it into quotes`}},
		{"a list for a number", load(`running_w = [1]`), []string{
			`5:1: running_w in [[load]]: found a list, want a number from 0 to 10000000 W`}},
		{"a table for a number", load(`running_w = { w = 1 }`), []string{
			`5:1: running_w in [[load]]: found a table, want a number from 0 to 10000000 W`}},
		{"too small", load(`running_w = -0.5`), []string{
			`5:1: running_w in [[load]]: found -0.5, want a number from 0 to 10000000 W`}},
		{"just the smallest", load(`running_w = 0`), nil},
		{"just the largest", load(`running_w = 1e7`), nil},
		{"just above the largest", load(`running_w = 10_000_001`), []string{
			`5:1: running_w in [[load]]: found 10_000_001, want a number from 0 to 10000000 W`}},
		{"the limit itself is not allowed", "[site]\nname = \"x\"\nvolts = 0.0", []string{
			`3:1: volts in [site]: found 0.0, want a number above 0, at most 1000 V`}},
		{"just above it", "[site]\nname = \"x\"\nvolts = 5e-324", nil},
		{"the largest float64 and more", load("running_w = 1e308\nstarting_va = 1e309\nmonths = [1e999]"), []string{
			`5:1: running_w in [[load]]: found 1e308, want a number from 0 to 10000000 W`,
			`6:1: starting_va in [[load]]: found 1e309, want a number from 0 to 100000000 VA`,
			`7:11: months in [[load]]: found 1e999, want a whole number from 1 to 12`}},
		{"more than an int64", load("running_w = 99999999999999999999\nstarting_va = -99999999999999999999\npower_factor = 0xffffffffffffffffffff"), []string{
			`5:1: running_w in [[load]]: found 99999999999999999999, want a number from 0 to 10000000 W`,
			`6:1: starting_va in [[load]]: found -99999999999999999999, want a number from 0 to 100000000 VA`,
			`7:1: power_factor in [[load]]: found 0xffffffffffffffffffff, want a number from 0.01 to 1`}},
		{"a number of a thousand digits", load("running_w = 1" + strings.Repeat("0", 1000)), []string{
			`5:1: running_w in [[load]]: found 1` + strings.Repeat("0", 38) + `…, want a number from 0 to 10000000 W`}},
		{"not a number, and infinities", load("running_w = nan\npower_factor = -nan\nstarting_w = inf\nmonths = [+nan, -inf]"), []string{
			`5:1: running_w in [[load]]: found nan, want a number from 0 to 10000000 W`,
			`6:1: power_factor in [[load]]: found -nan, want a number from 0.01 to 1`,
			`7:1: starting_w in [[load]]: found inf, want a number from 0 to 100000000 W`,
			`8:11: months in [[load]]: found +nan, want a whole number from 1 to 12`,
			`8:17: months in [[load]]: found -inf, want a whole number from 1 to 12`}},
		{"a fraction for a whole number", "[site]\nname = \"x\"\nphases = 2.0", []string{
			`3:1: phases in [site]: found 2.0, want a whole number from 1 to 3`}},
		{"other notations are numbers too", "[site]\nname = \"x\"\nphases = 0b11\nvolts = 2.3e2", nil},
		{"a number for a text", "[site]\nname = 5", []string{
			`2:1: name in [site]: found 5, want a text in quotes | put it into quotes`}},
		{"an empty text", "[site]\nname = \"\"", []string{`2:1: name in [site]: found an empty text, want some words`}},
		{"blanks", "[site]\nname = \" \u00a0\"", []string{`2:1: name in [site]: found only blanks, want some words`}},
		{"an empty text where it means none", load(`interlock = ""`), nil},
		{"200 characters", "[site]\nname = \"" + strings.Repeat("ü", 200) + "\"", nil},
		{"201 characters", "[site]\nname = \"" + strings.Repeat("ü", 201) + "\"", []string{
			`2:1: name in [site]: found a text of 201 characters, want at most 200`}},
		{"a control character", "[site]\nname = \"a\\u0007b\"", []string{
			`2:1: name in [site]: found the control character U+0007 in a text, want printable characters`}},
		{"a tab, which TOML allows", "[site]\nname = \"a\tb\"", []string{
			`2:1: name in [site]: found the control character U+0009 in a text, want printable characters`}},
		{"several lines", "[site]\nname = \"\"\"a\nb\"\"\"\nphases = 0", []string{
			`2:1: name in [site]: found a text of several lines, want one line`,
			`4:1: phases in [site]: found 0, want a whole number from 1 to 3`}},
		{"one of some words", load(`board = "Backup"`), []string{
			`5:1: board in [[load]]: found the text "Backup", want "backup", "main" or "either" | did you mean "backup"?`}},
		{"none of them", load(`board = "attic"`), []string{
			`5:1: board in [[load]]: found the text "attic", want "backup", "main" or "either"`}},
		{"a text for a switch", load(`held_off = "true"`), []string{
			`5:1: held_off in [[load]]: found the text "true", want true or false | write it without quotes`}},
		{"a number for a switch", load(`held_off = 1`), []string{
			`5:1: held_off in [[load]]: found 1, want true or false`}},
		{"a text for a list", load(`when = "06:00-07:00"`), []string{
			`5:1: when in [[load]]: found the text "06:00-07:00", want a list of texts | put it into brackets: [ … ]`}},
		{"a table for a list", load(`when.start = "06:00"`), []string{
			`5:1: when in [[load]]: found a table, want a list of texts`}},
		{"an empty list", load(`when = []`), []string{`5:1: when in [[load]]: found 0 items, want at least 1`}},
		{"a long list", load(`when = ["a", "b", "c", "d"]`), []string{`5:1: when in [[load]]: found 4 items, want at most 3`}},
		{"a list of the wrong length", load(`monthly = [1, 2, 3]`), []string{`5:1: monthly in [[load]]: found 3 items, want 2`}},
		{"every item that is wrong", load("kinds = [\"agn\", \"gel\", 7]\nwhen = [\"\", 6]"), []string{
			`5:10: kinds in [[load]]: found the text "agn", want "agm" or "gel" | did you mean "agm"?`,
			`5:24: kinds in [[load]]: found 7, want "agm" or "gel" | put it into quotes`,
			`6:9: when in [[load]]: found an empty text, want some words`,
			`6:13: when in [[load]]: found 6, want a text in quotes | put it into quotes`}},
		{"the same item twice, and others wrong", load(`months = [1, 2.0, 1, 0x1, 13, 13, 2]`), []string{
			`5:14: months in [[load]]: found 2.0, want a whole number from 1 to 12`,
			`5:19: months in [[load]]: found 1 a second time, want each once`,
			`5:22: months in [[load]]: found 0x1 a second time, want each once`,
			`5:27: months in [[load]]: found 13, want a whole number from 1 to 12`,
			`5:31: months in [[load]]: found 13, want a whole number from 1 to 12`}},
		// The parser does not tell where a list in a list begins: its problem stands at the key.
		{"a list in a list", load(`when = ["a", ["b"]]`), []string{
			`5:1: when in [[load]]: found a list, want a text in quotes`}},
	})
}

func TestMissingAndExcluding(t *testing.T) {
	load := func(lines string) string { return home + "[[load]]\n" + lines }
	tell(t, []fact{
		{"an empty file", "", []string{`1:1: missing table [site]`}},
		{"only comments", "# nothing\n\n", []string{`1:1: missing table [site]`}},
		{"a key, at the header", "\n [site]\nphases = 1", []string{`2:2: missing key "name" in [site]: want a text in quotes`}},
		{"a key of an inline table, at its key", load(`cycle = { on_min = 5 }`), []string{
			`5:1: missing key "off_min" in cycle: want a number from 0 to 1440 min`}},
		{"a key of an item, at the item", load("overload = [\n  { seconds = 1, va = 2 },\n  { seconds = 3 },\n]"), []string{
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
		{"small tables with headers", home + "[[load]]\n[[load.overload]]\nseconds = 1\nva = 2\n[[load.overload]]\nseconds = 3\nvb = 4", []string{
			`10:1: unknown key "vb" in overload | did you mean "va"?`}},
		{"an empty list of small tables", home + "[[load]]\noverload = []", []string{
			`5:1: overload in [[load]]: found 0 items, want at least 1`}},
		{"more tables than allowed: the rest is not gone through", home + strings.Repeat("[[load]]\nx9 = 1\n", 7), func() []string {
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
		{"a key, and the rest of the file", "[site]\nname = \"x\"\nvolts = 1\nname = \"y\"\nname = 5\nfases = 2", []string{
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
		{"a dotted key into an inline table", home + "[[load]]\ncycle = { on_min = 1, off_min = 2 }\ncycle.on_min = 3", []string{
			`6:1: dotted key adds to "cycle", which is complete at line 5`}},
		{"a header into an inline table", home + "[[load]]\nmotor = { times = 2 }\n[load.motor.x]\ny = 1", []string{
			`6:1: header adds to "motor", which is complete at line 5`}},
		{"a header after dotted keys", home + "[[load]]\ncycle.on_min = 1\ncycle.off_min = 1\n[load.cycle]\non_min = 2000", []string{
			`7:1: cycle in [[load]]: given a second time, first at line 5 | put its keys under the first header`,
			`8:1: on_min in cycle: found 2000, want a number from 0 to 1440 min`}},
		{"a header where a number stands", home + "[[load]]\nrunning_w = 1\n[load.running_w]", []string{
			`6:1: running_w in [[load]]: given a second time, first at line 5`}},
	})
}

// All problems come in the order of the file, whatever finds them.
func TestOrder(t *testing.T) {
	src := "[[load]]\nrunning_w = -1\nzebra = 1\nmonths = [0, 1, 99]\n[site]\nvolts = 0\nvolts = 1\n[[load]]\nstarting_w = 1\nstarting_va = 1\n"
	var places []string
	for _, line := range said(src) {
		places = append(places, line[:strings.Index(line, ": ")])
	}
	if got, want := strings.Join(places, " "), "2:1 3:1 4:11 4:17 5:1 6:1 7:1 10:1"; got != want {
		t.Errorf("problems at %s, want at %s", got, want)
	}
}
