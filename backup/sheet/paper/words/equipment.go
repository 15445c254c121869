package words

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// equipment are the pieces of a language by their English ones: what stands between the commas of the generic catalog's
// labels, with %s for their numbers.
var equipment = map[string]func() map[string]string{
	"de": sync.OnceValue(func() map[string]string { return column("labels", "de") }),
	"es": sync.OnceValue(func() map[string]string { return column("labels", "es") }),
	"fr": sync.OnceValue(func() map[string]string { return column("labels", "fr") }),
}

var number = regexp.MustCompile(`\d+(\.\d+)?`)

// Equipment writes the label of a piece of equipment, or of a class of appliances, in a language, its numbers as local
// does. ok is false for labels in other words than those of the generic catalog, such as the user's own, and for
// English: they stay as they are.
func Equipment(lang, label string, local func(printed string) string) (text string, ok bool) {
	table, ok := equipment[lang]
	if !ok || strings.Contains(label, "%") {
		return "", false
	}
	parts := strings.Split(label, ", ")
	for i, part := range parts {
		english, numbers := numbered(part, local)
		translated, ok := table()[english]
		if !ok {
			return "", false
		}
		parts[i] = fmt.Sprintf(translated, numbers...)
	}
	return strings.Join(parts, ", "), true
}

// numbered is a label, or a piece of one, as the tables have it: with %s for its numbers, and those as local writes them.
func numbered(label string, local func(printed string) string) (key string, numbers []any) {
	key = number.ReplaceAllStringFunc(label, func(n string) string {
		numbers = append(numbers, local(n))
		return "%s"
	})
	return key, numbers
}
