package speech

import (
	"regexp"
	"slices"
	"strings"
	"sync"
)

// signed is an English format with the signs of papers for units that it has in plain letters itself: "%g C", "2.5 mm2".
func signed(format string) string {
	if !strings.Contains(format, " C") && !strings.ContainsAny(format, "23") && !strings.Contains(format, "ohm") {
		return format // as nearly all are
	}
	return plainUnit().ReplaceAllStringFunc(format, func(found string) string {
		at := strings.LastIndex(found, " ") + 1
		return found[:at] + symbols[found[at:]]
	})
}

// plainUnit finds a unit that has a symbol behind a number or the place of one.
var plainUnit = sync.OnceValue(func() *regexp.Regexp {
	var units []string
	for unit := range symbols {
		units = append(units, regexp.QuoteMeta(unit))
	}
	slices.SortFunc(units, func(a, b string) int { return len(b) - len(a) }) // "m3/h" before "m3"
	return regexp.MustCompile(`(?:%(?:\[\d\])?[-+.\d]*[gfds]|\d) (?:` + strings.Join(units, "|") + `)\b`)
})
