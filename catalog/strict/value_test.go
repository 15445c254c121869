package strict

import (
	"strings"
	"testing"
)

func TestWrongValues(t *testing.T) {
	load := func(lines string) string { return home + "[[load]]\n" + lines }
	tell(t, []fact{
		{"text for a number", load(`running_w = "900"`), []string{
			`5:1: running_w in [[load]]: found the text "900", want a number from 0 to 10000000 W | write it without quotes`}},
		{"words for a number", load(`running_w = "a lot"`), []string{
			`5:1: running_w in [[load]]: found the text "a lot", want a number from 0 to 10000000 W`}},
		{"a number with its unit", load(`running_w = "150W"`), []string{
			`5:1: running_w in [[load]]: found the text "150W", want a number from 0 to 10000000 W | write 150: ` +
				`numbers stand without quotes and without their unit`}},
		{"a number in another unit", load(`running_w = "1,5 kW"`), []string{
			`5:1: running_w in [[load]]: found the text "1,5 kW", want a number from 0 to 10000000 W | write 1500: running_w is in W`}},
		{"a number in a unit of something else", load(`running_w = "2 A"`), []string{
			`5:1: running_w in [[load]]: found the text "2 A", want a number from 0 to 10000000 W | ` +
				`running_w is in W; numbers stand without their unit`}},
		{"per cent", load(`power_factor = "80 %"`), []string{
			`5:1: power_factor in [[load]]: found the text "80 %", want a number from 0.01 to 1 | write 0.8: a share of 1, not per cent`}},
		{"a share in per cent", load(`power_factor = 80`), []string{
			`5:1: power_factor in [[load]]: found 80, want a number from 0.01 to 1 | write 0.8: a share of 1, not per cent`}},
		{"a point that may part thousands", load(`running_w = 2.000`), []string{
			`5:1: running_w in [[load]]: found 2.000, which may be meant for 2000 or for 2 | write 2000 for thousands, 2.0 for decimals`}},
		{"and one of other figures", load(`running_w = 1.250`), []string{
			`5:1: running_w in [[load]]: found 1.250, which may be meant for 1250 or for 1.25 | ` +
				`write 1250 for thousands, 1.25 for decimals`}},
		{"what the hints say is taken", load("running_w = 2.0\nstarting_va = 1.25"), nil},
		{"three decimals that say something are decimals", load("running_w = 2.125\nstarting_va = 12.001"), nil},
		{"decimals that part no thousands", load("running_w = 0.125\nstarting_va = 2.5\npower_factor = 0.850"), nil},
		{"a comma that may part thousands, in quotes", load(`running_w = "2,000"`), []string{
			`5:1: running_w in [[load]]: found the text "2,000", want a number from 0 to 10000000 W | ` +
				`write 2000 for thousands, 2.0 for decimals`}},
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
		{"more than an int64",
			load("running_w = 99999999999999999999\nstarting_va = -99999999999999999999\npower_factor = 0xffffffffffffffffffff"), []string{
				`5:1: running_w in [[load]]: found 99999999999999999999, want a number from 0 to 10000000 W`,
				`6:1: starting_va in [[load]]: found -99999999999999999999, want a number from 0 to 100000000 VA`,
				`7:1: power_factor in [[load]]: found 0xffffffffffffffffffff, want a number from 0.01 to 1`}},
		{"a number of a thousand digits", load("running_w = 1" + strings.Repeat("0", 1000)), []string{
			`5:1: running_w in [[load]]: found 1` + strings.Repeat("0", 38) + `…, want a number from 0 to 10000000 W`}},
		{"not a number, and infinities",
			load("running_w = nan\npower_factor = -nan\nstarting_w = inf\nmonths = [+nan, -inf]"), []string{
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
		{"a word for a switch", load(`held_off = "yes"`), []string{
			`5:1: held_off in [[load]]: found the text "yes", want true or false | write true`}},
		{"a number for a switch", load(`held_off = 1`), []string{
			`5:1: held_off in [[load]]: found 1, want true or false | write true`}},
		{"a text for a list", load(`when = "06:00-07:00"`), []string{
			`5:1: when in [[load]]: found the text "06:00-07:00", want a list of texts | put it into brackets: [ … ]`}},
		{"a table for a list", load(`when.start = "06:00"`), []string{
			`5:1: when in [[load]]: found a table, want a list of texts`}},
		{"an empty list", load(`when = []`), []string{`5:1: when in [[load]]: found 0 items, want at least 1`}},
		{"a long list", load(`when = ["a", "b", "c", "d"]`),
			[]string{`5:1: when in [[load]]: found 4 items, want at most 3`}},
		{"a list of the wrong length", load(`monthly = [1, 2, 3]`),
			[]string{`5:1: monthly in [[load]]: found 3 items, want 2`}},
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
