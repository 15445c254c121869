package words

import (
	"fmt"
	"strings"
	"sync"
)

// called are everyday names of classes of appliances, of all languages, by the pieces of their English labels.
var called = sync.OnceValue(func() map[string][]string {
	out := map[string][]string{}
	for _, r := range rows("called") {
		for _, lang := range languages {
			for name := range strings.SplitSeq(r.in[lang], ",") {
				out[r.key] = append(out[r.key], strings.TrimSpace(name))
			}
		}
	}
	return out
})

// Called are the names by which people know what has an English label: the label in other languages, its numbers as
// printed, and everyday names in all of them. A label with a percent sign is of the user's own and has none.
func Called(label string) (out []string) {
	if strings.Contains(label, "%") {
		return nil
	}
	printed := func(number string) string { return number }
	for _, lang := range languages[1:] {
		if text, ok := Equipment(lang, label, printed); ok {
			out = append(out, text)
		}
	}
	key, numbers := numbered(label, printed)
	for _, name := range called()[key] {
		out = append(out, fmt.Sprintf(name, numbers...))
	}
	return out
}
