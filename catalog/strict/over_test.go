package strict

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// twoLoads parses a file whose first load is laid over its second.
func twoLoads(t *testing.T, top, base string) (root, a, b *Table) {
	t.Helper()
	root, err := Parse("f", []byte(home+"[[load]]\n"+top+"\n[[load]]\n"+base), &testKeys)
	if err != nil {
		t.Fatal(err)
	}
	loads := root.Tables("load")
	return root, loads[0], loads[1]
}

func TestOver(t *testing.T) {
	_, top, base := twoLoads(t, "running_w = 5\ncycle = { on_min = 1, off_min = 1 }",
		"name = \"base\"\nrunning_w = 7\nstarting_w = 9\ncycle = { on_min = 2, off_min = 2 }\nheld_off = true")
	m := top.Over(base, "held_off")
	if got, want := m.TOML(),
		"[[load]]\nname = \"base\"\nrunning_w = 5\ncycle = { on_min = 1, off_min = 1 }\nstarting_w = 9\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if on, ok := m.Switch("held_off"); on || !ok {
		t.Errorf("what is dropped falls back to the default: %v, %v", on, ok)
	}
	// What the outcome is reported for is the upper table's business.
	m.Report("running_w", "", "of the upper table")
	m.Report("starting_w", "", "of the lower table")
	m.Report("board", "", "of neither")
	if got, want := base.Given("starting_w"), true; got != want {
		t.Error("a report at the outcome spoils the table below")
	}
	if diff := cmp.Diff([]string{
		"4:1: starting_w in [[load]]: of the lower table",
		"4:1: board in [[load]]: of neither",
		"5:1: running_w in [[load]]: of the upper table",
	}, lined(m.Problems())); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A value that has been reported in either table stays wrong, but not one that is covered or dropped.
func TestOverWrongValues(t *testing.T) {
	root, top, base := twoLoads(t, "running_w = -1\nstarting_w = 1",
		"running_w = 2\nstarting_w = -2\nboard = 3\nheld = true\nheld_off = 4")
	before := len(root.Problems())
	m := top.Over(base, "held_off")
	type state struct{ Has, Given, Sound bool }
	for key, want := range map[string]state{
		"running_w":  {true, false, false}, // wrong above
		"starting_w": {true, true, true},   // wrong below, covered
		"board":      {true, false, false}, // wrong below
		"held_off":   {false, false, true}, // wrong below, dropped
	} {
		if got := (state{m.Has(key), m.Given(key), m.Sound(key)}); got != want {
			t.Errorf("%s: %+v, want %+v", key, got, want)
		}
	}
	if after := len(root.Problems()); after != before {
		t.Errorf("laying over adds %d problems", after-before)
	}
}

func TestOnly(t *testing.T) {
	_, load, _ := twoLoads(t, "name = \"x\"\nrunning_w = 5\nboard = 3\nstarting_v = 2", "")
	only := load.Only("name")
	if got, want := only.TOML(), "[[load]]\nname = \"x\"\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if only.Has("board") || !only.Sound("board", "starting_va") || only.Faulty() {
		t.Error("wrong and misspelt keys are kept")
	}
}

// What the table below lacks has been said of it, and is not said of the outcome again.
func TestOverMissing(t *testing.T) {
	_, top, base := twoLoads(t, "running_w = 5", "")
	if base.Require("starting_w", "running_w") || top.Over(base).Require("starting_w", "running_w") {
		t.Error("starting_w is not missing")
	}
	if diff := cmp.Diff([]string{
		`6:1: missing key "running_w" in [[load]]: want a number from 0 to 10000000 W`,
		`6:1: missing key "starting_w" in [[load]]: want a number from 0 to 100000000 W`,
	}, sortedLines(base.Problems())); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func sortedLines(problems Problems) []string { return slices.Sorted(slices.Values(lined(problems))) }
