package speech

import (
	"strings"
	"unicode"
)

// Clean makes a user's text safe on a terminal and in a document: marks that change the direction of writing or that nobody
// sees could make a line say something else than it does, and the separators of lines and paragraphs (U+2028, U+2029) would begin a
// new row where there is none.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.In(r, unicode.Zl, unicode.Zp):
			return ' '
		case Hidden(r):
			return -1
		}
		return r
	}, s)
}

// Hidden says whether nobody sees a sign, but a terminal or a reader may act on it.
func Hidden(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) }

// Name is a user's text inside a sentence of ours: cleaned, and isolated where it is written from right to left, so that it does
// not draw the words beside it along.
func Name(s string) string {
	s = Clean(s)
	if strings.ContainsFunc(s, func(r rune) bool {
		return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko)
	}) {
		return "\u2068" + s + "\u2069"
	}
	return s
}
