// Package sheet shows a plan: text and Markdown by package grid, CSV and JSON by package record.
//
// [Write] does it for one plan or several. Text is one screen (screen.go) unless parts are asked for. What they hold is
// collected once, as sections of tables and lines (parts.go); text and Markdown differ only in how they are drawn.
package sheet

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/record"
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

	Lang string // one of [words.Languages], of text and Markdown; "" is English

	Spreadsheet bool // CSV begins with a byte order mark, for a file that a spreadsheet opens
}

// Variants says whether the options of a home are shown beside it. A text does so only where it is asked to, and only
// then they need be planned.
func (o Options) Variants() bool {
	return o.Format != "" && o.Format != "text" || slices.Contains(o.Show, All) || slices.Contains(o.Show, optionsPart)
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
		return record.WriteCSV(w, plans, o.record())
	case "json":
		return record.WriteJSON(w, plans, o.record())
	}
	return fmt.Errorf("format %q, want one of %s", o.Format, strings.Join(formats, ", "))
}

// record are the options as far as data go.
func (o Options) record() record.Options {
	return record.Options{Working: o.Working, HoursWished: o.HoursWished, Sensitivity: o.Sensitivity,
		Spreadsheet: o.Spreadsheet}
}
