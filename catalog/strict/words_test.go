package strict

import (
	"strings"
	"testing"

	"github.com/agnivade/levenshtein"
	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	keys := []string{"id", "hp", "kw", "use", "when", "name", "label", "phase", "running_w", "starting_w",
		"starting_va", "starting_pf",
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
	if got := Nearest(strings.Repeat("x", 39)+"y", []string{strings.Repeat("x", 40)}); got == "" {
		t.Error("a word of 40 letters is not guessed at")
	}
	if got := Nearest(strings.Repeat("x", 40)+"y", []string{strings.Repeat("x", 41)}); got != "" {
		t.Error("a word of 41 letters is guessed at")
	}
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

// The short way of telling that two words are far apart must never rule out a near one.
func TestAtLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.SampledFrom([]rune("abcä€_-1")), 0, 12, -1)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if low, d := atLeast(a, b), levenshtein.ComputeDistance(a, b); low > d || low != atLeast(b, a) {
			t.Fatalf("%q and %q: at least %d or %d, but the distance is %d", a, b, low, atLeast(b, a), d)
		}
	})
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
