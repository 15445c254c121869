package backup_test

import (
	"fmt"
	"strings"
	"testing"

	"outlast/loads"
)

func TestReadReferences(t *testing.T) {
	on := func(circuit string) string {
		return strings.Replace(loadTable, `"water"`, circuit, 1)
	}
	tellSite(t, []siteFact{
		{"no such circuit", wired + on(`"wather"`), []string{
			`15:1: circuit in [[load]]: found "wather", want the id of a [[circuit]] | did you mean "water"?`}},
		{"nothing near", wired + on(`"cellar"`),
			[]string{`15:1: circuit in [[load]]: found "cellar", want the id of a [[circuit]]`}},
		{"no circuits at all", equipped + on(`"water"`),
			[]string{`12:1: circuit in [[load]]: found "water", want the id of a [[circuit]]`}},
		{"ids differ by case", wired + on(`"Water"`), []string{
			`15:1: circuit in [[load]]: found "Water", want the id of a [[circuit]] | did you mean "water"?`}},
		{"an id twice", wired + circuitTable + loadTable,
			[]string{`14:1: id in [[circuit]]: found "water" a second time, want each id once`}},
		{"a name twice", ready + loadTable,
			[]string{`19:1: name in [[load]]: found "Pump" a second time, want each name once`}},
		{"names that differ in a blank are two", ready + strings.Replace(loadTable, "Pump", "Pump ", 1), nil},
		// Of a circuit whose id is wrong, the loads are not wrong as well.
		{"id misspelt beyond a guess", equipped + strings.Replace(circuitTable, "id =", "ident =", 1) + loadTable,
			[]string{
				`10:1: missing key "id" in [[circuit]]: want a text in quotes`,
				`11:1: unknown key "ident" in [[circuit]] | the keys of [[circuit]] are id, label, breaker_a, phase, ` +
					`cable_mm2, length_m, board`}},
		{"id nearly right", equipped + strings.Replace(circuitTable, "id =", "idd =", 1) + loadTable +
			strings.NewReplacer("Pump", "P", "water", "wine").Replace(loadTable), []string{
			`11:1: unknown key "idd" in [[circuit]] | did you mean "id"?`,
			`20:1: circuit in [[load]]: found "wine", want the id of a [[circuit]]`}},
		{"id too long", equipped + strings.Replace(circuitTable, "water", strings.Repeat("w", 201), 1) +
			on(`"`+strings.Repeat("w", 201)+`"`), []string{
			`11:1: id in [[circuit]]: found a text of 201 characters, want at most 200`,
			`15:1: circuit in [[load]]: found a text of 201 characters, want at most 200`}},
		{"id of the wrong type", equipped + strings.Replace(circuitTable, `"water"`, "7", 1) + on(`"7"`), []string{
			`11:1: id in [[circuit]]: found 7, want a text in quotes | put it into quotes`}},
	})
}

func TestReadWindows(t *testing.T) {
	when := func(hours, list string) string {
		return strings.Replace(ready, "= 2\n", "= "+hours+"\n", 1) + "when = " + list
	}
	tellSite(t, []siteFact{
		{"two that meet", when("7", `["06:00-09:00", "09:00-13:00"]`), nil},
		{"round midnight", when("8", `["22:00-06:00"]`), nil},
		{"to the end of the day", when("1", `["23:00-24:00"]`), nil},
		{"all day", when("24", `["00:00-24:00"]`), nil},
		{"start = end", when("2", `["06:00-06:00"]`), []string{
			"18:9: when in [[load]]: found \"06:00-06:00\", want an end that differs from the start; leave `when` out for any time"}},
		{"24:00 is only an end", when("1", `["24:00-01:00"]`), []string{
			`18:9: when in [[load]]: found "24:00-01:00", want a start from "00:00" to "23:59"; "24:00" is only an end`}},
		{"overlapping", when("2", `["06:00-09:00", "08:59-10:00"]`), []string{
			`18:24: when in [[load]]: found "08:59-10:00", which overlaps another window of this load at 08:59`}},
		{"overlapping round midnight", when("2", `["05:00-07:00", "22:00-05:01"]`), []string{
			`18:24: when in [[load]]: found "22:00-05:01", which overlaps another window of this load at 05:00`}},
		{"the same twice", when("2", `["06:00-09:00", "06:00-09:00"]`), []string{
			`18:24: when in [[load]]: found "06:00-09:00", which overlaps another window of this load at 06:00`}},
		{"every one that is wrong, but not the hours",
			when("24", "[\n  \"6-9\", # no\n  \"07:00-09:00\",\n  \"25:00-26:00\",\n  \"08:00-10:00\",\n  8,\n]"),
			[]string{
				`19:3: when in [[load]]: found "6-9", want a window such as "06:00-09:00" | write "06:00-09:00"`,
				`21:3: when in [[load]]: found "25:00-26:00", want times from "00:00" to "24:00"`,
				`22:3: when in [[load]]: found "08:00-10:00", which overlaps another window of this load at 08:00`,
				`23:3: when in [[load]]: found 8, want a text in quotes | put it into quotes`}},
		{"other dashes and letters", when("2", `["06:00–09:00", "0a:00-09:00", "-6:00-09:00", "06:0٣-09:00"]`),
			[]string{
				`18:9: when in [[load]]: found "06:00–09:00", want a window such as "06:00-09:00" | write "06:00-09:00"`,
				`18:24: when in [[load]]: found "0a:00-09:00", want times from "00:00" to "24:00"`,
				`18:39: when in [[load]]: found "-6:00-09:00", want times from "00:00" to "24:00"`,
				`18:54: when in [[load]]: found "06:0٣-09:00", want a window such as "06:00-09:00"`}},
		{"hours as many as the windows", when("3", `["06:00-09:00"]`), nil},
		{"a third of an hour is not exact in binary", when("0.3333333333333333", `["06:00-06:20"]`), nil},
		{"more hours than the windows", when("3.1", `["06:00-09:00"]`), []string{
			`17:1: hours_per_day in [[load]]: found 3.1 h, want at most the 3 h of its windows`}},
		{"more than a day", when("25", `["06:00-09:00"]`), []string{
			`17:1: hours_per_day in [[load]]: found 25, want a number from 0 to 24 h`}},
		{"months", ready + "months = [1, 2.5, 13, 1]", []string{
			`18:14: months in [[load]]: found 2.5, want a whole number from 1 to 12`,
			`18:19: months in [[load]]: found 13, want a whole number from 1 to 12`,
			`18:23: months in [[load]]: found 1 a second time, want each once`}},
		{"a cycle", ready + "cycle = { on_min = 0, of_min = 5 }", []string{
			`18:11: on_min in cycle: found 0, want a number from 0.1 to 1440 min`,
			`18:23: unknown key "of_min" in cycle | did you mean "off_min"?`}},
	})
}

func TestReadStarts(t *testing.T) {
	start := func(lines string) string { return ready + "power_factor = 0.8\n" + lines } // runs at 1100 W, 1375 VA
	tellSite(t, []siteFact{
		{"just the running power", start("starting_va = 1375"), nil},
		{"just below", start("starting_va = 1374.99"), []string{
			`19:1: starting_va in [[load]]: found a start of 1375 VA, want at least the running 1375 VA`}},
		{"fewer watts than running", start("starting_w = 1099"), []string{
			`19:1: starting_w in [[load]]: found 1099 W, want at least running_w, 1100 W`}},
		{"watts enough, but not VA", start("starting_w = 1200"), []string{
			`19:1: starting_w in [[load]]: found a start of 1200 VA, want at least the running 1375 VA`}},
		{"with its power factor it is enough", start("starting_w = 1200\nstarting_pf = 0.5"), nil},
		{"the power factor is wrong, and so the start is not judged", start("starting_w = 1200\nstarting_pf = 50"),
			[]string{
				`20:1: starting_pf in [[load]]: found 50, want a number from 0.01 to 1 | write 0.5: a share of 1, not per cent`}},
		{"above 1 by a little, it is no share in per cent", start("starting_w = 1200\nstarting_pf = 1.99"), []string{
			`20:1: starting_pf in [[load]]: found 1.99, want a number from 0.01 to 1`}},
		{"from 2 it may be one", start("starting_w = 1200\nstarting_pf = 2"), []string{
			`20:1: starting_pf in [[load]]: found 2, want a number from 0.01 to 1 | write 0.02: a share of 1, not per cent`}},
		{"figures of a start that is not there", start("starting_pf = 0.5\nstarting_s = 5"), []string{
			`19:1: starting_pf in [[load]]: found no start that it belongs to, want starting_va, starting_w or motor beside it`}},
		{"of one that is written wrongly", start("starting_va = -1\nstarting_s = 5"), []string{
			`19:1: starting_va in [[load]]: found -1, want a number above 0, at most 100000000 VA`}},
		{"of one that is misspelt", start("startin_va = 2000\nstarting_s = 5"), []string{
			`19:1: unknown key "startin_va" in [[load]] | did you mean "starting_va"?`}},
		{"of a motor", start("motor = { times = 6 }\nstarting_s = 5\nstarting_pf = 0.5"), nil},
		{"of the start of a class", wired + use("fridge") + "starting_pf = 0.5\nstarting_s = 5", nil},
		{"of a class without a start", wired + use("kettle") + "starting_s = 5", []string{
			`15:1: starting_s in [[load]]: found no start that it belongs to, want starting_va, starting_w or motor beside it`}},
		{"of a class that is not there", wired + use("frigde") + "starting_s = 5", []string{
			`14:1: use in [[load]]: found "frigde", want an id of the catalog | did you mean "fridge"?`}},
		{"nor beside a wrong running power", strings.Replace(start("starting_w = 1"), "1100", "-1100", 1), []string{
			`16:1: running_w in [[load]]: found -1100, want a number from 0 to 10000000 W`}},
		{"two ways to say it", start("starting_w = 2000\nmotor = { hp = 1, code = \"G\" }"), []string{
			`20:1: motor in [[load]]: excludes starting_w of line 19: give only one`}},

		{"a code letter", start(`motor = { hp = 1.5, code = "G" }`), nil},
		{"kilowatts", start(`motor = { kw = 1.1, times = 6, method = "soft" }`), nil},
		{"a letter without a power", start(`motor = { code = "G" }`), []string{
			`19:11: code in motor: found no power that the letter counts for, want hp or kw beside it`}},
		{"the power misspelt", start(`motor = { hpp = 1, code = "G" }`),
			[]string{`19:11: unknown key "hpp" in motor | did you mean "hp"?`}},
		{"no letter", start(`motor = { hp = 1.5, code = "I" }`), []string{
			`19:21: code in motor: found the text "I", want "A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", ` +
				`"M", "N", "P", "R", "S", "T", "U" or "V"`}},
		{"a letter without an upper end", start(`motor = { hp = 1.5, code = "V" }`), []string{
			`19:21: code in motor: found "V", a band without an upper end (22.4 kVA/hp and more), want A to U, ` +
				`or locked_rotor_a in its place`}},
		{"nothing about the start", start(`motor = { hp = 1.5 }`), []string{
			`19:1: missing key in motor: want one of "code", "locked_rotor_a" or "times"`}},
		{"two powers, two starts, no method",
			start(`motor = { hp = 1, kw = 1, code = "G", times = 3, method = "delta" }`), []string{
				`19:19: kw in motor: excludes hp of line 19: give only one`,
				`19:39: times in motor: excludes code of line 19: give only one`,
				`19:50: method in motor: found the text "delta", want "direct", "star-delta", "soft" or "drive"`}},
		{"less than once", start(`motor = { times = 0.9 }`),
			[]string{`19:11: times in motor: found 0.9, want a number from 1 to 20`}},
		{"a start below running", start(`motor = { locked_rotor_a = 5 }`), []string{
			`19:1: motor in [[load]]: found a start of 1150 VA, want at least the running 1375 VA`}},
		{"amperes say nothing without the site's voltage", strings.Replace(start(`motor = { locked_rotor_a = 5 }`),
			"= 230", "= 0", 1), []string{
			`3:1: nominal_v in [site]: found 0, want a number from 10 to 1000 V`}},
		{"a motor that draws nothing", strings.Replace(start(`motor = { hp = 1, code = "G" }`), "1100", "0", 1),
			[]string{
				`19:1: motor in [[load]]: found a motor whose running_w is 0, want more than 0`}},
		{"a motor beside a wrong running power", strings.Replace(start(`motor = { hp = 1, code = "G" }`), "1100",
			"\"1100\"", 1), []string{
			`16:1: running_w in [[load]]: found the text "1100", want a number from 0 to 10000000 W | write it without quotes`}},
		{"medical is never dropped", start("medical = true\ndrop_below = 0.1"), []string{
			`20:1: drop_below in [[load]]: found 0.1, want 0: a medical load is never dropped`}},
	})
}

// Every code letter that a file may give is one that the motor table knows, and the other way round.
func TestCodeLetters(t *testing.T) {
	for letter := 'A'; letter <= 'Z'; letter++ {
		_, problems := readSite(t, ready+fmt.Sprintf("motor = { hp = 20, code = \"%c\" }", letter))
		_, err := loads.Motor{HP: 20, Code: string(letter)}.StartingVA(1000, 230, 1)
		if (problems == nil) != (err == nil) {
			t.Errorf("%c: the file is refused with %v, the motor with %v", letter, problems, err)
		}
	}
}
