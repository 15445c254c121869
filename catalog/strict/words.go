package strict

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// Nearest is the candidate that a misspelt word most likely means, or "" when none is near. Of equally near ones the one that
// begins alike longest is taken, as people get the beginnings of words right; then the earlier.
//
// A third of the letters may be wrong, or two of a short word; or the word is the beginning of one candidate only. A name whose
// unit is left out ("mass" for "mass_kg") goes before other words with two wrong letters.
func Nearest(word string, candidates []string) string {
	n := utf8.RuneCountInString(word)
	if n == 0 || n > 60 {
		return ""
	}
	most := max(2, n/3)
	if n < 3 {
		most = n - 1 // "x" is near nothing, "ud" is near "id" but not near "hp"
	}
	lower := strings.ToLower(word)
	best, bestDistance, bestAlike := "", most+1, 0
	for _, c := range candidates {
		other := strings.ToLower(c)
		d, alike := levenshtein.ComputeDistance(lower, other), commonPrefix(lower, other)
		if d >= utf8.RuneCountInString(other) {
			continue
		}
		if d < bestDistance || d == bestDistance && best != "" && alike > bestAlike {
			best, bestDistance, bestAlike = c, d, alike
		}
	}
	if bestDistance <= 1 || n < 3 {
		return best
	}
	for _, beginning := range []string{lower + "_", lower + "-"} {
		if c := only(candidates, beginning); c != "" {
			return c
		}
	}
	if best == "" {
		return only(candidates, lower)
	}
	return best
}

// only is the one candidate that begins so, or "" when there is none or more than one.
func only(candidates []string, beginning string) string {
	found := ""
	for _, c := range candidates {
		if !strings.HasPrefix(strings.ToLower(c), beginning) {
			continue
		}
		if found != "" {
			return ""
		}
		found = c
	}
	return found
}

func commonPrefix(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// Quote quotes a text of the user's for a message, cut at 40 characters; control characters come out escaped.
func Quote(s string) string { return fmt.Sprintf("%q", clip(s)) }

func clip(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		s = string([]rune(s)[:39]) + "…"
	}
	return s
}
