package paper_test

import (
	"regexp"
	"strings"
	"testing"

	"outlast/backup/sheet/paper"
	"outlast/catalog"
)

// TestTypicalOnPapers: what rests on a class of appliances is marked wherever a paper lists it, and what the planner
// called by its class is called so in the language of the paper.
func TestTypicalOnPapers(t *testing.T) {
	p := planOf(t, "drystone")
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		lang, load, lamps, typical, owner, assumed, value string
	}{
		{"en", "Chest freezer", "8 × LED lamp", "typical of its class", "Some figures are typical ones.",
			"these are assumed", "110 W, typical of chest-freezer"},
		{"de", "Gefriertruhe", "8 × LED-Lampe", "typisch für seine Geräteart", "Einige Zahlen sind typische Werte.",
			"Diese sind angenommen", "110 W, typisch für chest-freezer"},
		{"es", "Arcón congelador", "8 × Lámpara LED", "típico de su clase", "Algunas cifras son típicas.",
			"estos se suponen", "110 W, típico de chest-freezer"},
		{"fr", "Congélateur coffre", "8 × Lampe à LED", "typique de sa classe", "Certains chiffres sont typiques.",
			"ceux-ci sont supposés", "110 W, typique de chest-freezer"},
	} {
		plain := func(o paper.Options) string {
			return strings.NewReplacer("\u00a0", " ", `\_`, "_").Replace(write(t, p, o))
		}
		text := plain(paper.Options{Lang: tt.lang, Annex: true, Format: "markdown"})
		for _, want := range []string{
			"| " + tt.load + " (" + tt.typical + ") |", // a start
			"| " + tt.load + " (" + tt.typical + ")",   // what a circuit supplies
			tt.lamps + " (" + tt.typical + ")",
			"| " + tt.load + " | chest-freezer | 110 (60–300) | 950 (200–1900) | 8 (6–12) |",
			tt.assumed, tt.value,
		} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the papers lack %q", tt.lang, want)
			}
		}
		if owner := plain(paper.Options{Lang: tt.lang, For: "owner", Format: "markdown"}); !strings.Contains(owner,
			tt.owner) || !strings.Contains(owner, tt.load) {
			t.Errorf("%s: the owner's page does not say that it rests on typical figures, or calls things otherwise:\n%s",
				tt.lang, owner)
		}
		if tt.lang == "en" {
			continue
		}
		for _, a := range cat.Appliances() {
			if words := strings.Fields(a.Label); len(words) > 1 && strings.Contains(text, a.Label) &&
				!regexp.MustCompile(`name \| [^|]+ \| `+regexp.QuoteMeta(a.Label)).MatchString(text) {
				t.Errorf("%s: %q is still English", tt.lang, a.Label)
			}
		}
	}
	// A home that tells its own figures has no such marks.
	if text := write(t, planOf(t, "town-flat"), paper.Options{Format: "markdown"}); strings.Contains(text,
		"typical of its class (") || strings.Contains(text, "figures are typical ones") {
		t.Error("the flat's own figures are called typical")
	}
}
