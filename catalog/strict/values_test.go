package strict

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// read parses a file that must be sound.
func read(t *testing.T, src string) *Table {
	t.Helper()
	root, err := Parse("f", []byte(src), &testKeys)
	if err != nil {
		t.Fatal(err)
	}
	if ps := root.Problems(); ps != nil {
		t.Fatal(ps)
	}
	return root
}

const full = `[site]
name = "Fern \"hollow\""
volts = 2.3e2
[[load]]
name = 'A\B'
running_w = 1_100
power_factor = -0
board = "main"
held_off = true
when = ["06:00-09:00", "16:00-20:00"]
monthly = [1, 2.0]
months = [1, 2, 0x0c]
cycle.on_min = 10
cycle.off_min = 20
overload = [{ seconds = 1, va = 2 }, { seconds = 3, va = 4.5 }]
[[load]]
`

func TestGetters(t *testing.T) {
	root := read(t,
		"[site]\nname = \"x\"\nvolts = 230\n[[load]]\nrunning_w = 1_100\npower_factor = 0.5\nheld_off = true\n"+
			"when = [\"a\", \"b\"]\nmonths = [1, 2, 0x0c]\n[load.cycle]\non_min = 10\noff_min = -0.0\n[[load]]\nname = \"second\"\n")
	site, loads := root.Table("site"), root.Tables("load")
	if len(loads) != 2 {
		t.Fatalf("%d loads, want 2", len(loads))
	}
	equal := func(what string, got, want any) {
		t.Helper()
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", what, diff)
		}
	}
	text := func(t *Table, key string) any { v, ok := t.Text(key); return []any{v, ok} }
	number := func(t *Table, key string) any { v, ok := t.Number(key); return []any{v, ok} }
	equal("a text", text(site, "name"), []any{"x", true})
	equal("a whole number, read as any", number(site, "volts"), []any{230.0, true})
	equal("underscores", number(loads[0], "running_w"), []any{1100.0, true})
	equal("missing, without a default", number(loads[1], "running_w"), []any{0.0, false})
	equal("missing, with a default", number(loads[1], "power_factor"), []any{1.0, true})
	equal("a default text", text(site, "start"), []any{"worst", true})
	equal("missing text", text(loads[0], "name"), []any{"", false})
	phases, ok := site.Whole("phases")
	equal("a default whole number", []any{phases, ok}, []any{1, true})
	on, ok := loads[0].Switch("held_off")
	equal("a switch", []any{on, ok}, []any{true, true})
	on, ok = loads[1].Switch("held_off")
	equal("a default switch", []any{on, ok}, []any{false, true})
	when, _ := loads[0].Texts("when")
	equal("texts", when, []string{"a", "b"})
	months, _ := loads[0].Numbers("months")
	equal("numbers, in three notations", months, []float64{1, 2, 12})
	var texts []string
	for i, s := range loads[0].EachText("when") {
		texts = append(texts, fmt.Sprint(i, s))
	}
	equal("texts one by one", texts, []string{"0a", "1b"})
	_, ok = loads[1].Numbers("months")
	equal("missing numbers", ok, false)
	off, _ := loads[0].Table("cycle").Number("off_min")
	equal("no minus before a zero", 1/off > 0, true)
	equal("a missing table", loads[1].Table("cycle"), (*Table)(nil))
	equal("the place of a key", loads[0].Pos("when"), Pos{8, 1})
	equal("the place of a missing key is the header's", loads[1].Pos("when"), Pos{13, 1})
	equal("a header's place", loads[0].Table("cycle").Here(), Pos{10, 1})
	equal("given", []bool{site.Given("name"), site.Given("phases"), site.Has("phases"), site.Knows("phases"),
		site.Knows("x")},
		[]bool{true, false, false, true, false})
}

// A key that the table does not know is a slip of the programmer's.
func TestUnknownToTheProgrammer(t *testing.T) {
	root := read(t, home)
	for what, get := range map[string]func(){
		"value": func() { root.Table("site").Number("fases") },
		"table": func() { root.Table("sites") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", what)
				}
			}()
			get()
		}()
	}
}

func TestWrongValuesAreNotGivenOut(t *testing.T) {
	root, err := Parse("f", []byte("[site]\nname = 7\nphases = 9\nvolt = 230\n"), &testKeys)
	if err != nil {
		t.Fatal(err)
	}
	site := root.Table("site")
	if v, ok := site.Text("name"); ok || v != "" {
		t.Errorf("a name of the wrong type: %q, %v", v, ok)
	}
	if v, ok := site.Whole("phases"); ok || v != 0 {
		t.Errorf("a number out of range, although there is a default: %v, %v", v, ok)
	}
	if v, ok := site.Number("volts"); ok || v != 0 || !site.Has("volts") || site.Given("volts") {
		t.Errorf("a misspelt key: %v, %v, there %v, given %v", v, ok, site.Has("volts"), site.Given("volts"))
	}
	if site.Sound("name") || site.Sound("phases", "start") || site.Sound("volts") || !site.Sound("start") ||
		!site.Faulty() {
		t.Error("sound and faulty do not tell what has been reported")
	}
	if site.Pos("volts") != (Pos{4, 1}) {
		t.Errorf("the misspelt key stands at %v", site.Pos("volts"))
	}
	if v, ok := site.AsWritten("name"); ok {
		t.Errorf("as written: %q, want nothing: it is no text", v)
	}
	if len(Defaults(root)) != 0 {
		t.Errorf("defaults %v, want none", Defaults(root))
	}
}

func TestAsWritten(t *testing.T) {
	root, err := Parse("f", []byte("[site]\nnam = \"x\"\n[[load]]\nboard = \"attic\"\n"), &testKeys)
	if err != nil {
		t.Fatal(err)
	}
	if v, ok := root.Table("site").AsWritten("name"); !ok || v != "x" {
		t.Errorf("of a misspelt key: %q, %v", v, ok)
	}
	if v, ok := root.Tables("load")[0].AsWritten("board"); !ok || v != "attic" {
		t.Errorf("of a wrong word: %q, %v", v, ok)
	}
	if v, ok := root.Tables("load")[0].AsWritten("name"); ok {
		t.Errorf("of a missing key: %q", v)
	}
}

// The right items of a list can still be looked at when others are wrong.
func TestEachText(t *testing.T) {
	root, err := Parse("f", []byte(home+"[[load]]\nwhen = [\"a\", 2, \"\", \"d\"]\n[[load]]\nwhen = 5\n[[load]]"),
		&testKeys)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for n, load := range root.Tables("load") {
		for i, s := range load.EachText("when") {
			got = append(got, fmt.Sprint(n, i, s))
		}
	}
	if want := []string{"0 0a"}; !cmp.Equal(got, want) {
		t.Errorf("got %q, want %q; the fourth is one too many", got, want)
	}
}

func TestReport(t *testing.T) {
	root := read(t, home+"[[load]]\nwhen = [\"a\",\n  \"b\"]\n")
	site, load := root.Table("site"), root.Tables("load")[0]
	load.ReportItem("when", 1, "", "found %q", "b")
	load.ReportItem("when", 7, "", "an item that is not there stands at the key")
	load.ReportItem("months", 0, "", "and one of a missing key at the header")
	load.Report("name", "say it", "wanted for some reason")
	site.Report("name", "", "found something else")
	site.Report("name", "", "found something else")
	site.Missing("volts", "a number, as there is a load")
	want := []string{
		`1:1: missing key "volts" in [site]: want a number, as there is a load`,
		`2:1: name in [site]: found something else`,
		`4:1: months in [[load]]: and one of a missing key at the header`,
		`4:1: name in [[load]]: wanted for some reason | say it`,
		`5:1: when in [[load]]: an item that is not there stands at the key`,
		`6:3: when in [[load]]: found "b"`,
	}
	if diff := cmp.Diff(want, lined(root.Problems())); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got := root.Problems()[:2].Error(); got != "f:1:1: missing key \"volts\" in [site]: want a number, "+
		"as there is a load\nf:2:1: name in [site]: found something else" {
		t.Errorf("as one error: %s", got)
	}
	if site.Given("name") {
		t.Error("a reported key still counts as given")
	}
}

func TestDefaults(t *testing.T) {
	root := read(t, home+"[[load]]\npower_factor = 0.9\n[[load]]\n[[load]]\n")
	site := root.Table("site")
	site.Whole("phases")
	site.Whole("phases") // asked twice, left out once
	site.Text("name")    // given
	site.Number("volts") // no default
	site.NoteDefault("month", "July")
	for _, load := range root.Tables("load") {
		load.Number("power_factor")
		load.Text("interlock")
	}
	want := []Default{
		{"[site]", "phases", "1", 1, ""},
		{"[site]", "month", "July", 1, ""},
		{"[[load]]", "interlock", "none", 3, ""},
		{"[[load]]", "power_factor", "1", 2, ""},
	}
	if diff := cmp.Diff(want, Defaults(nil, root)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	empty := Empty(testKeys.find("site").Keys)
	empty.Text("start")
	if diff := cmp.Diff([]Default{{"[site]", "start", "worst", 1, ""}}, Defaults(empty)); diff != "" {
		t.Errorf("of a table that is not there (-want +got):\n%s", diff)
	}
}

// What a table writes reads back as the same.
func TestTOML(t *testing.T) {
	root, err := Parse("f", []byte(full), &testKeys)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := root.Table("site").TOML(), "[site]\nname = \"Fern \\\"hollow\\\"\"\nvolts = 2.3e2\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	// power_factor is out of range, so it is not written.
	want := `[[load]]
name = "A\\B"
running_w = 1_100
board = "main"
held_off = true
when = ["06:00-09:00", "16:00-20:00"]
months = [1, 2, 0x0c]
monthly = [1, 2.0]
cycle = { on_min = 10, off_min = 20 }
overload = [{ seconds = 1, va = 2 }, { seconds = 3, va = 4.5 }]
`
	got := root.Tables("load")[0].TOML()
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if again := read(t, home+got).Tables("load")[0].TOML(); again != got {
		t.Errorf("read back and written again:\n%s", again)
	}
}
