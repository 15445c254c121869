package paper

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/words"
)

// ease is how easily a text is read, by the formula of its language, from words a sentence (w) and syllables a word
// (s). en: Flesch 1948. de: Amstad 1978. es: Fernandez Huerta 1959. fr: Kandel and Moles 1958. The constants are quoted
// alike by the public code of a text-statistics library, the documentation of an R package and a linter's; the works
// themselves were not read.
func ease(lang string, w, s float64) float64 {
	switch lang {
	case "de":
		return 180 - w - 58.5*s
	case "es":
		return 206.84 - 1.02*w - 60*s
	case "fr":
		return 207 - 1.015*w - 73.6*s
	}
	return 206.835 - 1.015*w - 84.6*s
}

// What a page for anybody keeps to: 60 is where all four formulas begin to call a text easy enough for everyone (bands
// as above).
const (
	leastEase    = 60
	meanWords    = 15
	longestWords = 25
)

// vowels are the groups of letters that are one syllable: written as one sound in the language, longest first.
var vowels = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`[aeiouy]+`),
	"de": regexp.MustCompile(`äu|eu|au|ei|ai|ie|aa|ee|oo|[aeiouyäöü]`),
	"es": regexp.MustCompile(`[aeoáéó]?[iuüy](?:[aeoáéó])?[iuy]?|[aeoáéóíú][iuy]?|[íú]`),
	"fr": regexp.MustCompile(`[aeiouyàâéèêëîïôöûùüœæ]+`),
}

// silentEnd are endings that are not spoken: the mute e.
var silentEnd = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`([^aeiouyl]|[aeiou]l)e$|[^aeiouytd]ed$|[^aeiouyscgxz]es$`),
	"fr": regexp.MustCompile(`[^aeiouyéè](e|es|ent)$|[aeiouyé](e|es)$`),
}

// syllables counts those of a word, by its letters: an estimate that dictionaries of hyphenation would do a little
// better.
func syllables(lang, word string) int {
	word = strings.ToLower(word)
	n := len(vowels[lang].FindAllString(word, -1))
	if mute := silentEnd[lang]; mute != nil && n > 1 && mute.MatchString(word) {
		n--
	}
	return max(1, n)
}

// TestSyllables holds the count against words whose syllables any dictionary shows.
func TestSyllables(t *testing.T) {
	for lang, list := range map[string]string{
		"en": "the:1 grid:1 fails:1 battery:3 hour:1 everything:3 inverter:3 breaker:2 generator:4 time:1 charge:1 " +
			"switch:1 power:2 table:2 asked:1",
		"de": "Batterie:3 Strom:1 Netzausfall:3 Wechselrichter:4 Stunden:2 dunkel:2 Haus:1 Leitung:2 Geräte:3 " +
			"bleibt:1 neue:2 Feuer:2 schauen:2",
		"es": "batería:4 luz:1 red:1 inversor:3 horas:2 apague:3 cuadro:2 generador:4 tiene:2 siguiente:4 aire:2 " +
			"vieja:2 electricista:5",
		"fr": "batterie:3 heure:1 courant:2 réseau:2 onduleur:3 tableau:2 charge:1 marche:1 éteignez:3 voisins:2 " +
			"lampe:1 groupe:1 appareil:3",
	} {
		wrong := 0
		entries := strings.Fields(list)
		for _, e := range entries {
			word, n, _ := strings.Cut(e, ":")
			if got := syllables(lang, word); got != int(n[0]-'0') {
				wrong++
				t.Logf("%s: %q has %s syllables, counted %d", lang, word, n, got)
			}
		}
		if wrong > 1 {
			t.Errorf("%s: %d of %d words are counted wrongly", lang, wrong, len(entries))
		}
	}
}

// prose is what the owner's page says in sentences, without the user's names and the numbers of breakers.
func prose(p doc.Part, names []string) []string {
	var all strings.Builder
	add := func(texts ...string) { all.WriteString(strings.TrimSpace(strings.Join(texts, " ")) + "\n") }
	for _, s := range p.Sections {
		for _, b := range s.Blocks {
			switch {
			case b.Text != nil:
				add(b.Text.S)
			case b.List != nil:
				for _, it := range b.List.Items {
					add(it.Lead, it.Text.S)
				}
			case b.Box != nil:
				add(b.Box.Title)
				for _, x := range b.Box.Texts {
					add(x.S)
				}
				for _, it := range b.Box.Items {
					add(it.Lead, it.Text.S)
				}
			}
		}
	}
	text := all.String()
	for _, n := range names {
		if len(n) > 3 {
			text = strings.ReplaceAll(text, n, "")
		}
	}
	return regexp.MustCompile(`[.:!?;\n]+`).Split(text, -1)
}

// TestReadingEase: whoever lives in the house understands the page, in every language, if the plan holds or fails.
func TestReadingEase(t *testing.T) {
	for _, lang := range words.Languages() {
		for _, home := range []string{"clinic", "cottage", "drystone", "farmhouse", "overloaded", "split-phase",
			"town-flat"} {
			r := reportOn(t, home, lang)
			d, err := New(context.Background(), r.Plan, Options{Lang: lang, For: "owner"})
			if err != nil {
				t.Fatal(err)
			}
			sentences, count, sounds, longest := 0, 0, 0, ""
			for _, sentence := range prose(d.Parts[0], samplehome.Named(r.Plan)) {
				list := strings.FieldsFunc(sentence, func(c rune) bool { return !unicode.IsLetter(c) && c != '’' })
				if len(list) < 2 {
					continue // a lead, or what is left of a name
				}
				sentences++
				count += len(list)
				for _, w := range list {
					sounds += syllables(lang, w)
				}
				if len(list) > longestWords {
					longest = sentence
				}
			}
			w, s := float64(count)/float64(sentences), float64(sounds)/float64(count)
			got := ease(lang, w, s)
			t.Logf("%s in %s: ease %.0f, %.1f words a sentence, %.2f syllables a word, %d sentences", home, lang, got,
				w, s, sentences)
			if sentences < 15 || got < leastEase || w > meanWords || longest != "" {
				t.Errorf("%s in %s: ease %.0f, %.1f words a sentence, %d sentences, too long: %q", home, lang, got, w,
					sentences, longest)
			}
		}
	}
}
