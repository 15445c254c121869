package words

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// verb finds the places that the papers fill in; "%%" is a sign, not a place.
var verb = regexp.MustCompile(`%(\[\d+\])?([sd%])`)

// verbs lists the places of a text by their kind, in the order of the arguments.
func verbs(text string) []string {
	var out []string
	for _, m := range verb.FindAllStringSubmatch(text, -1) {
		if m[2] != "%" {
			out = append(out, m[1]+m[2])
		}
	}
	slices.Sort(out)
	return out
}

// Each text takes the same arguments in every language. That none is missing anywhere is what the reader sees to.
func TestEveryWordInEveryLanguage(t *testing.T) {
	if got := Languages(); !slices.Equal(got, []string{"en", "de", "es", "fr"}) {
		t.Errorf("the languages are %q", got)
	}
	if len(rows("texts")) < 500 {
		t.Fatalf("there are %d texts: this test sees too few", len(rows("texts")))
	}
	for _, lang := range Languages() {
		table, ok := In(lang)
		if !ok || len(table) != len(rows("texts")) {
			t.Errorf("%s: a table of %d texts, want %d", lang, len(table), len(rows("texts")))
		}
	}
	for _, r := range rows("texts") {
		for lang, text := range r.in {
			if want := r.in["en"]; !slices.Equal(verbs(want), verbs(text)) {
				t.Errorf("%s: %s: %q takes %v, but in English %v: %q", r.place(), lang, r.key, verbs(text),
					verbs(want), text)
			}
		}
	}
}

// A language speaks for itself: what is the same as in English is a short list of words that are spelt alike.
func TestTranslated(t *testing.T) {
	reference, _ := In("en")
	for _, lang := range Languages()[1:] {
		table, _ := In(lang)
		for id, text := range table {
			if text == reference[id] && strings.Count(text, " ") >= 2 && len(verb.ReplaceAllString(text, "")) > 12 {
				t.Errorf("%s: %q is still English: %q", lang, id, text)
			}
		}
	}
}

// Every text begins and ends like the English one: a sentence stays a sentence, a label a label; and no blank stands at
// an edge or doubled.
func TestManners(t *testing.T) {
	reference, _ := In("en")
	for _, lang := range Languages() {
		table, _ := In(lang)
		for id, text := range table {
			if strings.TrimSpace(text) != text || strings.Contains(text, "  ") {
				t.Errorf("%s: %q has a blank too many: %q", lang, id, text)
			}
			if strings.ContainsAny(text, "<>&\t\n\"") || strings.ContainsAny(text, "'") {
				t.Errorf("%s: %q has a straight quote or a mark of HTML: %q", lang, id, text)
			}
			if strings.Contains(text, " %%") {
				t.Errorf("%s: %q: the sign for per cent may stand alone on a line: %q", lang, id, text)
			}
			want := reference[id]
			for _, mark := range []string{".", ":"} {
				if strings.HasSuffix(text, mark) != strings.HasSuffix(want, mark) && !strings.HasSuffix(want, "No") &&
					id != "col.no" {
					t.Errorf("%s: %q ends in another way than English: %q, %q", lang, id, text, want)
				}
			}
		}
	}
}

// French leaves a blank before its double marks; it must not break there.
func TestBound(t *testing.T) {
	got := bound(map[string]string{"a": "Oubli : %s ; « %s » ?", "b": "%s %%"})
	if want := "Oubli\u00a0: %s\u00a0; «\u00a0%s\u00a0»\u00a0?"; got["a"] != want {
		t.Errorf("got %q, want %q", got["a"], want)
	}
	if want := "%s\u00a0%%"; got["b"] != want {
		t.Errorf("got %q, want %q", got["b"], want)
	}
}

func TestUnknownLanguage(t *testing.T) {
	for _, lang := range []string{"", "EN", "xx", "en-US"} {
		if table, ok := In(lang); ok || table != nil {
			t.Errorf("In(%q) knows the language", lang)
		}
	}
}
