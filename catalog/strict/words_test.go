package strict

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	keys := []string{"id", "hp", "kw", "use", "when", "name", "label", "phase", "running_w", "starting_w", "starting_va", "starting_pf",
		"hours_per_day", "dc_min_v", "dc_max_v", "rated_ah", "rated_h", "basis", "mass_kg"}
	check := func(word, want string) {
		t.Helper()
		if got := Nearest(word, keys); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
	check("runing_w", "running_w")
	check("Running_W", "running_w")
	check("running", "running_w") // the unit left out
	check("running_kw", "running_w")
	check("mass", "mass_kg") // and not "basis", which is nearer by the letter
	check("wehn", "when")    // two letters changed places
	check("nme", "name")
	check("starting", "starting_w") // the nearest of three
	check("startng_va", "starting_va")
	check("hours", "hours_per_day") // far, but the beginning of one only
	check("start", "")              // the beginning of several
	check("dc_mx_v", "dc_max_v")    // as near as dc_min_v, but begins alike longer
	check("ID", "id")
	check("ud", "id")
	check("x", "") // two letters of "id" would be wrong, and that is all of it
	check("xy", "")
	check("zebra", "")
	check("", "")
	check(strings.Repeat("running_w", 10), "")
	if got := Nearest("hybrid-5k-84", []string{"hybrid-3k-24", "hybrid-5k-48"}); got != "hybrid-5k-48" {
		t.Errorf("two digits changed places: %q, want hybrid-5k-48", got)
	}
	if got := Nearest("x", nil); got != "" {
		t.Errorf("of nothing: %q", got)
	}
	if got := Nearest("grün", []string{"blau", "grun"}); got != "grun" {
		t.Errorf("with an umlaut: %q, want grun", got)
	}
}

func TestQuote(t *testing.T) {
	check := func(s, want string) {
		t.Helper()
		if got := Quote(s); got != want {
			t.Errorf("Quote(%q) = %s, want %s", s, got, want)
		}
	}
	check("", `""`)
	check(`say "so"`, `"say \"so\""`)
	check("a\x1b[31mb\n", `"a\x1b[31mb\n"`)
	check("a\u202eb", `"a\u202eb"`) // turns the direction of writing
	check(strings.Repeat("ü", 40), `"`+strings.Repeat("ü", 40)+`"`)
	check(strings.Repeat("ü", 41), `"`+strings.Repeat("ü", 39)+`…"`)
}
