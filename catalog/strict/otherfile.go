package strict

import (
	"bytes"
	"slices"
	"strings"
)

// What to do with another kind of file, or with one that holds nothing.
const (
	wantTOML = "the file is read as TOML: lines such as running_w = 150 under headers such as [[load]]; " +
		"outlast init writes one to begin from"
	wantImport = "outlast import loads makes a site file of a list of appliances, outlast import trace a load of a log " +
		"of its power"
	wantAny = "the file holds nothing yet: outlast init writes one to begin from"
)

// otherFile says what a file that is not valid TOML is instead, where that can be told from its beginning, and what to
// do with it; "" where not.
func otherFile(src []byte) (what, hint string) {
	text := strings.TrimLeft(string(src[:min(len(src), 4096)]), " \t\r\n")
	switch {
	case strings.HasPrefix(text, "PK\x03\x04"):
		return "is a packed file, such as a spreadsheet, want a text file in TOML", wantImport
	case bytes.HasPrefix(src, []byte("%PDF")):
		return "is a PDF, want a text file in TOML", wantTOML
	case strings.HasPrefix(text, "{"):
		return "is JSON, want TOML", wantTOML
	case strings.HasPrefix(text, "["):
		// A header begins so too, but goes on with a name.
		if inner := strings.TrimLeft(text[1:], " \t\r\n"); strings.HasPrefix(inner, "{") {
			return "is JSON, want TOML", wantTOML
		}
		return "", ""
	case strings.HasPrefix(text, "<"):
		return "is XML or HTML, want TOML", wantTOML
	case strings.HasPrefix(text, "sep="):
		return "is a table in CSV, want TOML", wantImport
	}
	if isTable(text) {
		return "is a table in CSV, want TOML", wantImport
	}
	return "", ""
}

// isTable tells whether the first two lines that are no comments have columns. Keys and headers of TOML have none: a
// slip further down is told where it stands.
func isTable(text string) bool {
	var head []string
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == '#':
		case line[0] == '[' || strings.Contains(line, "="):
			return false
		default:
			head = append(head, line)
		}
		if len(head) == 2 {
			break
		}
	}
	return len(head) == 2 && slices.ContainsFunc([]string{",", ";", "\t"}, func(mark string) bool {
		n := strings.Count(head[0], mark)
		return n > 0 && strings.Count(head[1], mark) >= n
	})
}
