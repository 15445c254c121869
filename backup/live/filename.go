package live

import (
	"fmt"
	"strings"
	"unicode"
)

// longestName is how long the name of a file may be: what every file system takes, with room for the ending of a copy.
const longestName = 120

// A BadName is a name under which no file can be saved.
type BadName struct {
	Code string // for the page, which has words for it: "name-ending", "name-folder"
	name string
	want string // in English
}

func (b *BadName) Error() string { return fmt.Sprintf("%q: want %s", b.name, b.want) }

// CheckName says why a file cannot be saved under a name, with a [*BadName]. It is asked alike on every system: a file is
// carried from one to the other.
func CheckName(name string) error {
	bad := func(code, want string) error { return &BadName{"name-" + code, name, want} }
	switch {
	case !strings.HasSuffix(name, ".toml") || len(name) == len(".toml"):
		return bad("ending", "a name that ends in .toml")
	case len(name) > longestName:
		return bad("long", fmt.Sprintf("at most %d bytes", longestName))
	case strings.HasPrefix(name, "."):
		return bad("point", "a name that does not begin with a point")
	case strings.ContainsAny(name, `/\:*?"<>|`):
		return bad("folder", `a name without a folder, and without / \ : * ? " < > |`)
	case strings.ContainsFunc(name, func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar
	}):
		return bad("signs", "letters, digits and signs that can be seen")
	case strings.TrimSpace(name) != name || strings.HasSuffix(strings.TrimSuffix(name, ".toml"), " "):
		return bad("blanks", "a name without blanks at its ends")
	case isDevice(name):
		return bad("device", "another name: some systems keep this one for a device")
	}
	return nil
}

// isDevice says whether a name is one that some systems keep for a device, whatever ending it has: a file of that name
// cannot be made there, and what is written into it is lost.
func isDevice(name string) bool {
	first, _, _ := strings.Cut(name, ".")
	first = strings.ToUpper(strings.TrimRight(first, " "))
	switch first {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	for _, port := range []string{"COM", "LPT"} {
		if no, ok := strings.CutPrefix(first, port); ok && len([]rune(no)) == 1 && strings.ContainsAny(no, "0123456789¹²³") {
			return true
		}
	}
	return false
}
