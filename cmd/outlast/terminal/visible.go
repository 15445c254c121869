package terminal

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Visible writes what somebody else named, such as a file, so that it shows on a terminal and does nothing there: signs
// that move the cursor, paint, begin a line or turn the direction of writing stand as \x1b, \n or \u202e.
func Visible(s string) string {
	if strings.IndexFunc(s, func(r rune) bool { return !strconv.IsPrint(r) || r == utf8.RuneError }) < 0 {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)):
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case strconv.IsPrint(r):
			b.WriteRune(r)
		default:
			quoted := strconv.QuoteRune(r)
			b.WriteString(quoted[1 : len(quoted)-1])
		}
	}
	return b.String()
}
