package paper

import (
	"strings"
	"unicode"

	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
)

// prose writes a sentence of package backup in the language of the papers.
func (r *report) prose(p phrase.Phrase) string {
	if r.language == nil { // English needs no translation
		return clean(p.String())
	}
	return p.In(r.language)
}

// speak makes the language in which sentences of package backup are written; it stays nil for English, but for that of America.
func (r *report) speak() {
	sentences, ok := words.SentencesIn(r.lang)
	format := func(english string) (string, bool) { text, ok := sentences[english]; return text, ok }
	switch {
	case r.lang == "en" && r.us:
		format = func(english string) (string, bool) { return words.American(english), true }
	case !ok:
		return
	}
	r.language = &phrase.Language{
		Format: format,
		Missed: func(english string) { r.missed = append(r.missed, english) },
		Name:   func(s string) string { return name(r.called(s)) },
		Quote:  func(s string) string { return r.quoted(name(r.called(s))) },
		Number: r.local,
		Amount: r.amount,
		Measure: func(printed string) string {
			number, unit, found := strings.Cut(printed, " ")
			if !found {
				return r.local(number)
			}
			return r.local(number) + hard + r.unitName(unit)
		},
		Check: r.checkName,
		And:   r.and,
		Lower: r.lower,
	}
}

// quoted puts quotation marks around a name.
func (v voice) quoted(s string) string {
	switch v.lang {
	case "de":
		return "„" + s + "“"
	case "es":
		return "«" + s + "»"
	case "fr":
		return "«" + hard + s + hard + "»"
	}
	return "“" + s + "”"
}

// and joins the last of a list. Spanish writes "e" before the sound of its own "y".
func (v voice) and(before, last string) string {
	word := map[string]string{"en": "and", "de": "und", "es": "y", "fr": "et"}[v.lang]
	if v.lang == "es" {
		sound := strings.ToLower(strings.TrimLeftFunc(last, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }))
		if (strings.HasPrefix(sound, "i") || strings.HasPrefix(sound, "hi")) && !strings.HasPrefix(sound, "hie") {
			word = "e"
		}
	}
	return before + " " + word + " " + last
}

// lower gives a title a small letter as part of a longer one, where the language does so: German keeps its nouns, and nobody writes "aC".
func (v voice) lower(s string) string {
	runes := []rune(s)
	if v.lang == "de" || len(runes) < 2 || unicode.IsUpper(runes[1]) {
		return s
	}
	return string(unicode.ToLower(runes[0])) + string(runes[1:])
}
