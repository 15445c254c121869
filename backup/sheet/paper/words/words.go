// Package words holds every word of the papers, in every language that they speak.
//
// They stand in files, by subject, one row for each thing that is said, its languages below each other: texts has what
// the papers say themselves, by ids ([In]); sentences what package backup and the packages below it say, by its English
// ([SentencesIn]); labels the pieces of the generic catalog's labels, by their English ([Equipment]). %s and %d stand
// for what is put in: where the order differs between languages, %[2]s says which. English came first; the others say
// the same, in the words of their own trade.
package words

import (
	"strings"
	"sync"
)

// languages are those of the papers, the default first.
var languages = []string{"en", "de", "es", "fr"}

// tables make the table of a language, words, phrases and sentences with an id, when it is first asked for.
var tables = map[string]func() map[string]string{
	"en": sync.OnceValue(func() map[string]string { return bound(column("texts", "en")) }),
	"de": sync.OnceValue(func() map[string]string { return bound(column("texts", "de")) }),
	"es": sync.OnceValue(func() map[string]string { return bound(column("texts", "es")) }),
	"fr": sync.OnceValue(func() map[string]string { return bound(column("texts", "fr")) }),
}

// Languages lists the languages, the default first, by their two-letter codes.
func Languages() []string { return append([]string(nil), languages...) }

// In gives the table of a language; ok is false for an unknown one. The table must not be changed.
func In(lang string) (table map[string]string, ok bool) {
	whole, ok := tables[lang]
	if !ok {
		return nil, false
	}
	return whole(), true
}

// bound ties to their neighbours what must not stand alone at the beginning or the end of a line: the sign for per
// cent, and the marks before which French leaves a blank. In the tables these blanks are ordinary ones, which can be
// seen.
func bound(table map[string]string) map[string]string {
	const hard = "\u00a0"
	tie := strings.NewReplacer(" %%", hard+"%%", " :", hard+":", " ;", hard+";", " ?", hard+"?", " !", hard+"!", " »",
		hard+"»", "« ", "«"+hard)
	out := make(map[string]string, len(table))
	for id, text := range table {
		out[id] = tie.Replace(text)
	}
	return out
}
