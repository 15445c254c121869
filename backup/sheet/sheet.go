// Package sheet puts a plan on paper: text tables, Markdown, CSV and JSON.
//
// [Write] does it for one plan or several. Text is one screen (screen.go) unless parts are asked for. What they hold is collected once, as
// sections of tables and lines (parts.go); text and Markdown differ only in how they are drawn. JSON carries the figures unrounded, CSV with six digits.
package sheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"outlast/backup"
	"outlast/backup/sheet/speech"
)

// Options say how a plan is written. The zero value is plain text, 80 columns wide, one screen of it.
type Options struct {
	Format  string // "text", "markdown", "csv" or "json"; "" is text
	Width   int    // columns of the text; 0 is 80
	Colour  bool   // of the text, for terminals
	Working bool   // the numbered calculation sheet as well

	Show []string // the parts of the text, see [Parts]; none: the first screen

	HoursWished float64 // tell what to switch off to last so long; 0: only where the plan does not reach its autonomy
	Sensitivity bool    // tell what the plan depends on

	Spreadsheet bool // CSV begins with a byte order mark, for a file that a spreadsheet opens
}

// formats are those that [Write] knows.
var formats = []string{"text", "markdown", "csv", "json"}

// Formats lists the formats that [Write] knows.
func Formats() []string { return append([]string(nil), formats...) }

// Write writes plans to w, in their order. An unknown format or an error of w is the error.
func Write(w io.Writer, plans []*backup.Plan, o Options) error {
	switch o.Format {
	case "", "text":
		return writeText(w, plans, o)
	case "markdown":
		return writeMarkdown(w, plans, o)
	case "csv":
		return writeCSV(w, plans, o)
	case "json":
		return writeJSON(w, plans, o)
	}
	return fmt.Errorf("format %q, want one of %s", o.Format, strings.Join(formats, ", "))
}

// encodeJSON writes a value as indented JSON.
func encodeJSON(w io.Writer, v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(escaped(b.Bytes()))
	return err
}

// escaped is JSON in which signs that nobody sees stand as \u202e and the like: a program reads the same text, and a terminal shows it as it
// is.
func escaped(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for _, r := range string(text) { // such signs stand in strings only: blanks and line ends are the others
		switch {
		case r == '\n' || !speech.Hidden(r):
			out = utf8.AppendRune(out, r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
	}
	return out
}

func cleanAll(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = speech.Clean(l)
	}
	return out
}

// names lists what people named, in quotation marks: names hold commas too.
func names(list []string) string {
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(quoted(list), ", ")
}

func quoted(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = strconv.Quote(speech.Clean(s))
	}
	return out
}
