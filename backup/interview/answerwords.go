package interview

import (
	"slices"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
)

// Words of answers, in every language of the papers at once: whoever is asked in one may answer in another, and a file
// of answers is read the same whatever was asked in. They stand as [tabular.Plain] writes them.
var (
	unknownWords = []string{"don t know", "dont know", "do not know", "i don t know", "unknown", "no idea",
		"weiss nicht", "weiss ich nicht", "ich weiss nicht", "weiss ich nicht", "unbekannt", "keine ahnung",
		"no se", "no lo se", "desconocido", "ni idea",
		"je ne sais pas", "sais pas", "inconnu", "inconnue", "aucune idee"}
	noneWords = []string{"none", "no", "nobody", "nothing", "none yet", "not yet",
		"keine", "keiner", "keines", "keins", "kein", "nein", "niemand", "nichts", "noch keine", "noch nicht",
		"ninguno", "ninguna", "nadie", "nada", "todavia no", "aun no",
		"non", "aucun", "aucune", "personne", "rien", "pas encore"}
	// otherWords lead to a load that no class fits.
	otherWords = []string{"other", "andere", "anderer", "anderes", "sonstige", "otro", "otra", "autre"}
	// listWords lead to a word whose classes are to be shown.
	listWords = []string{"list", "liste", "lista"}
)

// fuels are what a generator burns, as the site file calls it, by the words of people; "gas" is another thing where it
// may mean petrol (see parseGenerator).
var fuels = map[string]string{"petrol": "petrol", "gasoline": "petrol", "benzin": "petrol", "gasolina": "petrol",
	"essence": "petrol", "diesel": "diesel", "gasoil": "diesel", "gasoleo": "diesel", "gazole": "diesel", "gas": "gas",
	"lpg": "gas", "propane": "gas", "propan": "gas", "propano": "gas", "gaz": "gas", "flussiggas": "gas", "glp": "gas",
	"gpl": "gas"}

// compass are the words for directions, clockwise from north, those of the languages beside each other. A letter alone
// stands for English: O is east to some and west to others.
var compass = [][]string{
	{"north", "n", "norden", "nord", "norte"},
	{"north-east", "ne", "northeast", "nordosten", "nordost", "noreste", "nordeste", "nordest"},
	{"east", "e", "osten", "ost", "este", "est"},
	{"south-east", "se", "southeast", "sudosten", "sudost", "sureste", "sudeste", "sudest"},
	{"south", "s", "suden", "sud", "sur"},
	{"south-west", "sw", "southwest", "sudwesten", "sudwest", "suroeste", "sudoeste", "sudouest"},
	{"west", "w", "westen", "oeste", "ouest"},
	{"north-west", "nw", "northwest", "nordwesten", "nordwest", "noroeste", "nordoeste", "nordouest"},
}

// direction finds a word of the compass, in degrees clockwise from north.
func direction(text string) (deg float64, ok bool) {
	word := strings.ReplaceAll(tabular.Plain(text), " ", "")
	for i, names := range compass {
		if slices.ContainsFunc(names, func(n string) bool { return strings.ReplaceAll(n, "-", "") == word }) {
			return 45 * float64(i), true
		}
	}
	return 0, false
}

// directionWords are those that a hint may name.
func directionWords() (out []string) {
	for _, names := range compass {
		for _, n := range names {
			if len(n) > 2 {
				out = append(out, n)
			}
		}
	}
	return out
}

// IsUnknown says whether an answer is that of who does not know; an empty one is.
func IsUnknown(text string) bool {
	text = strings.TrimRight(strings.TrimSpace(text), ".!")
	return text == "" || text == Unknown || slices.Contains(unknownWords, tabular.Plain(text))
}

// IsNone says whether an answer says that there is nothing of it.
func IsNone(text string) bool { return slices.Contains(noneWords, tabular.Plain(text)) }

// Listing is the word whose classes somebody wants to see, as in "list well"; ok is false for an answer.
func Listing(text string) (word string, ok bool) {
	for _, lead := range listWords {
		if strings.EqualFold(text, lead) {
			return "", true
		}
		if word, ok := cutWord(text, lead); ok {
			return word, true
		}
	}
	return "", false
}

// or joins phrases: "a, b or c".
func or(items []phrase.Phrase) phrase.Phrase {
	if last := len(items) - 1; last > 0 {
		return phrase.Of("%s or %s", phrase.Separated(items[:last], ", "), items[last])
	}
	return phrase.Separated(items, "")
}

// named are ids and figures as phrases.
func named(words []string) (out []phrase.Phrase) {
	for _, w := range words {
		out = append(out, phrase.Name(w))
	}
	return out
}
