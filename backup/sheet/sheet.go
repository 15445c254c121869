// Package sheet puts a plan on paper: text tables, Markdown, CSV and JSON.
//
// [Write] does it for one plan or several. What stands on a sheet is collected once, as sections of tables and lines
// (sections.go); text and Markdown differ only in how they are drawn. CSV and JSON carry the figures unrounded.
package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	"outlast/backup"
)

// Options say how a plan is written. The zero value is plain text, 80 columns wide, without the working.
type Options struct {
	Format  string // "text", "markdown", "csv" or "json"; "" is text
	Width   int    // columns of the text; 0 is 80
	Colour  bool   // of the text, for terminals
	Working bool   // the numbered calculation sheet as well

	HoursWished float64 // tell what to switch off to last so long; 0: only where the plan does not reach its autonomy
	Sensitivity bool    // tell what the plan hangs on
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

// Clean makes a user's text safe on a terminal and in a document: marks that change the direction of writing or that nobody
// sees could make a line say something else than it does.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, s)
}

func cleanAll(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = Clean(l)
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
		out[i] = strconv.Quote(Clean(s))
	}
	return out
}
