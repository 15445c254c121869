package speech

import (
	"strings"
	"unicode"
)

// Clean makes a user's text safe on a terminal and in a document: marks that change the direction of writing or that
// nobody sees could make a line say something else than it does, and the separators of lines and paragraphs (U+2028,
// U+2029) would begin a new row where there is none.
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

// CleanAll cleans each of a list.
func CleanAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = Clean(s)
	}
	return out
}

// Hidden says whether nobody sees a sign, but a terminal or a reader may act on it.
func Hidden(r rune) bool {
	if r < 0x7f {
		return r < ' '
	}
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r)
}

// plainBlanks makes blanks of the user's plain ones: that a line must not break there is said of our numbers alone.
var plainBlanks = strings.NewReplacer(Hard, " ", Thin, " ")

// Name is a user's text inside a sentence of ours: cleaned, and isolated where it is written from right to left, so
// that it does not draw the words beside it along.
func Name(s string) string {
	s = plainBlanks.Replace(Clean(s))
	if strings.ContainsFunc(s, func(r rune) bool {
		return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko)
	}) {
		return "\u2068" + s + "\u2069"
	}
	return s
}

// Unsigned takes the minus sign from what is printed as zero.
func Unsigned(s string) string {
	switch s {
	case "-0", "-0.0", "-0.00", "-0.000":
		return s[1:]
	}
	return s
}
