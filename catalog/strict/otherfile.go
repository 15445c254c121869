package strict

import (
	"bytes"
	"strings"
)

// wantTOML tells what is wanted in place of another kind of file.
const wantTOML = "the file is read as TOML: lines such as running_w = 150 under headers such as [[load]]; " +
	"outlast init writes one to begin from"

// otherFile says what a file that is not valid TOML is instead, where that can be told from its beginning; "" where
// not.
func otherFile(src []byte) string {
	text := strings.TrimLeft(string(src[:min(len(src), 4096)]), " \t\r\n")
	switch {
	case strings.HasPrefix(text, "PK\x03\x04"):
		return "is a packed file, such as a spreadsheet, want a text file in TOML"
	case bytes.HasPrefix(src, []byte("%PDF")):
		return "is a PDF, want a text file in TOML"
	case strings.HasPrefix(text, "{"):
		return "is JSON, want TOML"
	case strings.HasPrefix(text, "["):
		// A header begins so too, but goes on with a name.
		if inner := strings.TrimLeft(text[1:], " \t\r\n"); strings.HasPrefix(inner, "{") {
			return "is JSON, want TOML"
		}
		return ""
	case strings.HasPrefix(text, "<"):
		return "is XML or HTML, want TOML"
	case strings.HasPrefix(text, "sep="):
		return "is a table in CSV, want TOML"
	}
	first, rest, _ := strings.Cut(text, "\n")
	second, _, _ := strings.Cut(rest, "\n")
	for _, mark := range []string{",", ";", "\t"} {
		n := strings.Count(first, mark)
		if n > 0 && strings.Count(second, mark) >= n && !strings.Contains(first, "=") {
			return "is a table in CSV, want TOML"
		}
	}
	return ""
}
