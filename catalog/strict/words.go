package strict

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// longestGuessed is how long a word may be for a guess at what it means. The work grows with the square of it, for each
// of a thousand ids that a file may have, at each of two thousand places where it may miss one.
const longestGuessed = 40

// Nearest is the candidate that a misspelt word most likely means, or "" when none is near. Of equally near ones the
// one that begins alike longest is taken, as people get the beginnings of words right; then the earlier.
//
// A third of the letters may be wrong, or two of a short word; or the word is the beginning of one candidate only. A
// name whose unit is left out ("mass" for "mass_kg") goes before other words with two wrong letters.
func Nearest(word string, candidates []string) string {
	n := utf8.RuneCountInString(word)
	if n == 0 || n > longestGuessed {
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
		if len(other) > 4*longestGuessed || atLeast(lower, other) > bestDistance {
			continue
		}
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

// atLeast is a number that the distance of two words is not below: each change of a letter mends one that one word has
// and the other lacks. It spares most of the long way of finding the distance. Letters of several bytes are left to
// that.
func atLeast(a, b string) int {
	var surplus [utf8.RuneSelf]int16
	for i := range len(a) {
		if a[i] < utf8.RuneSelf {
			surplus[a[i]]++
		}
	}
	for i := range len(b) {
		if b[i] < utf8.RuneSelf {
			surplus[b[i]]--
		}
	}
	var more, less int16
	for _, n := range surplus {
		more += max(0, n)
		less += max(0, -n)
	}
	return int(max(more, less))
}

func commonPrefix(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// Quote quotes a text of the user's for a message, cut at 40 characters; control characters come out escaped.
func Quote(s string) string { return fmt.Sprintf("%q", Clip(s)) }

// Clip cuts a text of the user's for a message at 40 characters.
func Clip(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		s = string([]rune(s)[:39]) + "…"
	}
	return s
}
