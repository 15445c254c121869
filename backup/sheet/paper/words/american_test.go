package words

import (
	"maps"
	"regexp"
	"slices"
	"testing"
)

// American words take the place of English ones, longer ones first, with their capital; within other words nothing is
// changed.
func TestAmerican(t *testing.T) {
	for english, want := range map[string]string{
		"Backup board, earthing and labels":      "Backup panel, grounding and labels",
		"on the main board; overboard, boards":   "on the main panel; overboard, panels",
		"The circuit-breaker of the changeover.": "The circuit-breaker of the transfer.",
		"Earth":                                  "Ground",
		"The power cut; a few per cent":          "The power outage; a few percent",
		"unearthed %s":                           "unearthed %s",
		"Does it have an earth electrode?":       "Does it have a grounding electrode?",
		"Least favourable, by equalises":         "Least favorable, by equalises", // a key stays what it is
	} {
		if got := American(english); got != want {
			t.Errorf("%q is %q, want %q", english, got, want)
		}
	}
}

// No text in American words keeps a word that the table replaces, and each takes what the English one takes. Every pair
// is of use.
func TestNothingStaysEnglish(t *testing.T) {
	english, _ := In("en")
	us := InAmerican()
	if len(us) != len(english) {
		t.Fatalf("%d texts, want %d", len(us), len(english))
	}
	used := map[string]bool{}
	all := append(slices.Collect(maps.Values(english)), slices.Collect(maps.Keys(column("sentences", "de")))...)
	for _, text := range all {
		if got := American(text); !slices.Equal(verbs(text), verbs(got)) {
			t.Errorf("%q takes other things as %q", text, got)
		}
		for _, word := range american().FindAllString(text, -1) {
			used[word] = true
			used[lowerFirst(word)] = true
		}
		if got := American(text); regexp.MustCompile(
			`(?i)\b(earth|earthing|sockets?|boards?|changeover|isolators?|\w*(avour|eighbour|nergis|qualising|abell|litre)\w*|licence|programme|metres?|an ground\w*|per cents?|power cuts?|petrol sets?)\b`).MatchString(got) {
			t.Errorf("%q is still English: %q", text, got)
		}
	}
	for word := range american().word {
		if !used[word] {
			t.Errorf("no text has %q", word)
		}
	}
}

func lowerFirst(s string) string { return string(s[0]|0x20) + s[1:] }
