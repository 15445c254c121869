// Package draft writes a site file, or a part of one, with a comment beside each decision: what was answered, found in
// a list or measured, and what is assumed. Write into a [Writer] key by key; its text is what the reader of site files
// takes.
package draft

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A Writer writes TOML. Its zero value is empty.
type Writer struct {
	b     strings.Builder
	names map[string]int // that are taken
}

// column is where comments begin, unless a value is longer; widest is how long a line may get.
const column, widest = 26, 80

// Line writes a line as it is.
func (w *Writer) Line(format string, args ...any) { fmt.Fprintf(&w.b, format+"\n", args...) }

// Add writes text that has its line ends.
func (w *Writer) Add(text string) { w.b.WriteString(text) }

// Key writes one key with a comment, which may be empty: behind the key, or before it where it is too long for that.
func (w *Writer) Key(name, value, comment string) {
	text := name + " = " + value
	pad := strings.Repeat(" ", max(1, column-utf8.RuneCountInString(text)))
	switch {
	case comment == "":
		w.Line("%s", text)
	case utf8.RuneCountInString(text+pad+comment)+2 <= widest:
		w.Line("%s%s# %s", text, pad, comment)
	default:
		w.Comment(comment)
		w.Line("%s", text)
	}
}

// Comment writes a comment on lines of its own.
func (w *Writer) Comment(text string) {
	line := "#"
	for _, word := range strings.Fields(text) {
		if utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > widest && line != "#" {
			w.Line("%s", line)
			line = "#"
		}
		line += " " + word
	}
	w.Line("%s", line)
}

// Unique is a name that was not given before.
func (w *Writer) Unique(name, gap string) string {
	if w.names == nil {
		w.names = map[string]int{}
	}
	if w.names[name]++; w.names[name] == 1 {
		return name
	}
	return w.Unique(fmt.Sprintf("%s%s%d", name, gap, w.names[name]), gap)
}

// String is what was written.
func (w *Writer) String() string { return w.b.String() }

// Num writes a number as a site file has it.
func Num(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
