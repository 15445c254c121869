package words

import (
	"regexp"
	"sync"
)

// formats are the sentences that package backup and the packages below it make. The English one, the key of its row, is
// the format in their source ([phrase.Of]); the others take the same arguments, each once, and with %[2]s in another
// order. A blank or a mark at the edge of the English one is for the joint with its neighbours and stands in all.
var formats = map[string]func() map[string]string{
	"de": sync.OnceValue(func() map[string]string { return withUnits(bound(column("sentences", "de"))) }),
	"es": sync.OnceValue(func() map[string]string { return withUnits(bound(column("sentences", "es"))) }),
	"fr": sync.OnceValue(func() map[string]string { return withUnits(bound(column("sentences", "fr"))) }),
}

// SentencesIn gives the sentences of package backup in a language, by their English formats; ok is false for English
// and for an unknown language. The table must not be changed.
func SentencesIn(lang string) (table map[string]string, ok bool) {
	whole, ok := formats[lang]
	if !ok {
		return nil, false
	}
	return whole(), true
}

// unitBehind finds a unit behind a number.
var unitBehind = regexp.MustCompile(
	`(%(?:\[\d\])?[-+.\d]*[gfds]|\d) (°C|W|V|A|Ah|VA|kW|Wh|kWh|kg|l|h|s|min|ms|m|K|mm²|m³/h|mΩ|Ω/km)([^\pL\d]|$)`)

// withUnits ties units to their numbers.
func withUnits(table map[string]string) map[string]string {
	for en, text := range table {
		table[en] = unitBehind.ReplaceAllString(text, "$1\u00a0$2$3")
	}
	return table
}
