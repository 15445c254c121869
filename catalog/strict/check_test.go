package strict

import (
	"strings"
	"testing"
)

func TestUnknownKeys(t *testing.T) {
	tell(t, []fact{
		{"nothing wrong", home, nil},
		{"a slip", home + "[[load]]\nruning_w = 900", []string{
			`5:1: unknown key "runing_w" in [[load]] | did you mean "running_w"?`}},
		{"another unit", home + "[[load]]\nrunning_kw = 2", []string{
			`5:1: unknown key "running_kw" in [[load]] | did you mean "running_w"? it is in W: 2 kW are 2000`}},
		{"another unit, and no number", home + "[[load]]\nrunning_kw = \"2\"", []string{
			`5:1: unknown key "running_kw" in [[load]] | did you mean "running_w"? it is in W, not kW`}},
		{"another unit of time", home + "[[load]]\ncycle = { on_h = 0.5, off_min = 2 }", []string{
			`5:11: unknown key "on_h" in cycle | did you mean "on_min"? it is in min: 0.5 h are 30`}},
		{"a unit of something else", home + "[[load]]\nrunning_a = 2", []string{
			`5:1: unknown key "running_a" in [[load]] | did you mean "running_w"?`}},
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
			`3:1: unknown key "` + strings.Repeat("k", 39) +
				`…" in [site] | the keys of [site] are name, phases, volts, start`}},
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

const allLoadKeys = "the keys of [[load]] are name, running_w, power_factor, board, interlock, held_off, when, " +
	"kinds, months, monthly, " +
	"cycle, overload, starting_va, starting_w, motor"

// A misspelt key counts as given, and a misspelt table is read as the one that it means: one slip is one message.
func TestMisspeltIsNotMissing(t *testing.T) {
	tell(t, []fact{
		{"required key", "[site]\nnam = \"x\"", []string{`2:1: unknown key "nam" in [site] | did you mean "name"?`}},
		{"required key is there as well", "[site]\nnam = \"x\"\nname = \"y\"",
			[]string{`2:1: unknown key "nam" in [site] | did you mean "name"?`}},
		{"one of several", home + "[[load]]\nmotor = { cod = \"G\" }",
			[]string{`5:11: unknown key "cod" in motor | did you mean "code"?`}},
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
