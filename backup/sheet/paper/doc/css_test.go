package doc

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever a text holds, it stays one string of the style sheet.
func TestCSSString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := cssString(rapid.String().Draw(t, "text"))
		inner := strings.TrimSuffix(strings.TrimPrefix(s, `"`), `"`)
		if len(s) < 2 || strings.ContainsAny(inner, "\"<>{};\n\r()/*") {
			t.Fatalf("%q", s)
		}
	})
	if got, want := cssString(`a"b</style>`), `"a\000022 b\00003c \00002f style\00003e "`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
