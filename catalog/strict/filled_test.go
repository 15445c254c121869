package strict

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// fill lays the first load of a file over the first one of another file, as a load of a site is laid over its class in
// a catalog.
func fill(t *testing.T, own, base string, drop ...string) (filled, under, root *Table) {
	t.Helper()
	parse := func(file, src string) *Table {
		root, err := Parse(file, []byte(home+"[[load]]\n"+src), &testKeys)
		if err != nil {
			t.Fatal(err)
		}
		return root
	}
	root = parse("own", own)
	under = parse("base", strings.Repeat("\n", 40)+base).Tables("load")[0]
	return root.Tables("load")[0].Filled(under, "name", drop...), under, root
}

func TestFilled(t *testing.T) {
	const base = "running_w = 5\npower_factor = 0.5\nmonths = [1, 2]\ncycle = { on_min = 1, off_min = 2 }\n" +
		"board = \"main\"\nstarting_w = 9\n"
	filled, under, root := fill(t, "name = \"a\"\nrunning_w = 7\n", base, "starting_w")
	before := under.TOML()
	if w, _ := filled.Number("running_w"); w != 7 || filled.FromBase("running_w") || !filled.Gives("running_w") {
		t.Errorf("running_w %g, from the base: %v", w, filled.FromBase("running_w"))
	}
	if pf, _ := filled.Number("power_factor"); pf != 0.5 || !filled.FromBase("power_factor") ||
		filled.Gives("power_factor") {
		t.Errorf("power_factor %g, from the base: %v", pf, filled.FromBase("power_factor"))
	}
	if filled.Given("starting_w") {
		t.Error("the dropped key is there")
	}
	for key, want := range map[string]string{"running_w": "7 W", "power_factor": "0.5", "months": "[1, 2]",
		"cycle": "{ on_min = 1, off_min = 2 }", "board": `"main"`, "starting_va": "", "zebra": ""} {
		if got := filled.Written(key); got != want {
			t.Errorf("%s is written %q, want %q", key, got, want)
		}
	}
	if diff := cmp.Diff([]string{"power_factor", "board", "months", "cycle"}, filled.Filling()); diff != "" {
		t.Errorf("filled keys (-want +got):\n%s", diff)
	}
	// What is wrong with a value of the base, alone or below, is told in the file of the load, at the key that named
	// the base.
	filled.Report("power_factor", "", "found no good")
	filled.ReportItem("months", 1, "", "found no better")
	filled.Table("cycle").Report("on_min", "", "found the worst")
	filled.Table("cycle").Number("off_min")
	want := []string{"own:5:1: power_factor in [[load]]: found no good", "own:5:1: months in [[load]]: found no better",
		"own:5:1: on_min in cycle: found the worst"}
	var got []string
	for _, p := range root.Problems() {
		got = append(got, p.Error())
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("problems (-want +got):\n%s", diff)
	}
	if under.Problems() != nil || under.TOML() != before || !under.Sound("power_factor", "months") ||
		!under.Table("cycle").Sound("on_min") {
		t.Errorf("the base was touched: %v\n%s", under.Problems(), under.TOML())
	}
}

func TestTypicalDefaults(t *testing.T) {
	load := read(t, home+"[[load]]\n[[load]]\n")
	for i, l := range load.Tables("load") {
		l.NoteTypical("running_w", "5 W", "pump")
		l.NoteTypical("running_w", "6 W", "pump") // the first note stands
		if i == 1 {
			l.NoteTypical("power_factor", "0.5", "fan")
		}
	}
	want := []Default{{"[[load]]", "running_w", "5 W", 2, "pump"}, {"[[load]]", "power_factor", "0.5", 1, "fan"}}
	if diff := cmp.Diff(want, Defaults(load.Tables("load")...)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
