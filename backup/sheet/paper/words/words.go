// Package words holds every word of the papers, in every language that they speak.
//
// A word, a phrase or a sentence has an id, the same in all languages, and stands in one table for each language ([In]).
// %s and %d stand for what the papers put in: where the order differs between languages, %[2]s says which. English came first;
// the others say the same, in the words of their own trade.
package words

// English, German, Spanish, French.
var (
	languages = []string{"en", "de", "es", "fr"}
	tables    = map[string]map[string]string{"en": english}
)

// Languages lists the languages, the default first, by their two-letter codes.
func Languages() []string {
	var out []string
	for _, l := range languages {
		if tables[l] != nil {
			out = append(out, l)
		}
	}
	return out
}

// In gives the table of a language; ok is false for an unknown one. The table must not be changed.
func In(lang string) (table map[string]string, ok bool) {
	table, ok = tables[lang]
	return table, ok
}
