// Package markdown writes text and tables so that a Markdown document shows them as they are, whatever signs they hold.
package markdown

import (
	"bytes"
	"slices"
	"strings"

	"outlast/backup/sheet/columns"
)

// Escape keeps a text from being read as Markdown or HTML, and a cell in its row.
func Escape(s string) string { return escaper.Replace(s) }

var escaper = strings.NewReplacer(`\`, `\\`, "|", `\|`, "<", "&lt;", ">", "&gt;", "&", "&amp;", "*", `\*`,
	"_", `\_`,
	"`", "\\`", "[", `\[`, "]", `\]`, "#", `\#`, "\n", " ")

// Row writes the cells of a row, behind an indent.
func Row(b *bytes.Buffer, indent string, cells ...string) {
	b.WriteString(indent)
	for _, c := range cells {
		b.WriteString("| " + Escape(c) + " ")
	}
	b.WriteString("|\n")
}

// Head writes the head of a table and the line under it: columns of numbers are set to the right.
func Head(b *bytes.Buffer, indent string, right []bool, cells ...string) {
	Row(b, indent, cells...)
	b.WriteString(indent)
	for _, r := range right {
		if r {
			b.WriteString("| ---: ")
		} else {
			b.WriteString("| --- ")
		}
	}
	b.WriteString("|\n")
}

// Table writes a table and a blank line below it; nothing where it has no rows.
func Table(b *bytes.Buffer, t columns.Table) {
	if len(t.Rows) == 0 {
		return
	}
	Head(b, "", t.Right, t.Head...)
	for _, cells := range t.Rows {
		Row(b, "", cells...)
	}
	b.WriteByte('\n')
}

// Figures writes a table of numbers with words behind them: the first row is its head, and all columns but the last are
// set to the right.
func Figures(b *bytes.Buffer, indent string, rows [][]string) {
	for i, row := range rows {
		if i > 0 {
			Row(b, indent, row...)
			continue
		}
		right := slices.Repeat([]bool{true}, len(row))
		right[len(row)-1] = false
		Head(b, indent, right, row...)
	}
}
