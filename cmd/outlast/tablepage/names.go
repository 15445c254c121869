package tablepage

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode"
)

// longestName is how long the name of a file may be: what every file system takes, with room for the ending of a copy.
const longestName = 120

// badName says why a file cannot be saved under a name, in a word for the page and in English; "" where it can.
func badName(name string) (code, why string) {
	switch {
	case !strings.HasSuffix(name, ".toml") || len(name) == len(".toml"):
		return "ending", "want a name that ends in .toml"
	case len(name) > longestName:
		return "long", fmt.Sprintf("want at most %d bytes", longestName)
	case strings.HasPrefix(name, "."):
		return "point", "want a name that does not begin with a point"
	case strings.ContainsAny(name, `/\:*?"<>|`) || !filepath.IsLocal(name):
		return "folder", "want a name without a folder, and without / \\ : * ? \" < > |"
	case strings.ContainsFunc(name, func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar
	}):
		return "signs", "want letters, digits and signs that can be seen"
	case strings.TrimSpace(name) != name || strings.HasSuffix(strings.TrimSuffix(name, ".toml"), " "):
		return "blanks", "want a name without blanks at its ends"
	}
	return "", ""
}
