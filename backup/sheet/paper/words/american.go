package words

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// The trade of homes with units = "us" has words of its own. They stand once, as pairs, and are put into the English
// texts before anything of the user's is: a name is never changed.

// american finds the English words that have an American one, and gives it.
var american = sync.OnceValue(func() (find struct {
	*regexp.Regexp
	word map[string]string
}) {
	var all []string
	find.word = map[string]string{}
	for _, r := range rows("american") {
		find.word[r.key] = r.in["us"]
		all = append(all, regexp.QuoteMeta(r.key))
	}
	slices.SortStableFunc(all, func(a, b string) int { return len(b) - len(a) }) // "backup board" before "board"
	find.Regexp = regexp.MustCompile(`(?i)\b(?:` + strings.Join(all, "|") + `)\b`)
	return find
})

// American gives an English text the words of the American trade.
func American(text string) string {
	find := american()
	return find.ReplaceAllStringFunc(text, func(english string) string {
		us, ok := find.word[english]
		if !ok {
			us = find.word[strings.ToLower(english)]
		}
		switch {
		case us == "": // written as no row has it
			return english
		case unicode.IsUpper(rune(english[0])) && !unicode.IsUpper(rune(us[0])):
			return strings.ToUpper(us[:1]) + us[1:]
		}
		return us
	})
}

// inAmerican is the English table in the words of the American trade.
var inAmerican = sync.OnceValue(func() map[string]string {
	english, _ := In("en")
	out := make(map[string]string, len(english))
	for id, text := range english {
		out[id] = American(text)
	}
	return out
})

// InAmerican gives the English table in the words of the American trade. The table must not be changed.
func InAmerican() map[string]string { return inAmerican() }
