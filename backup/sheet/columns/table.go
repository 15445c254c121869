package columns

import (
	"bytes"
	"strings"

	"github.com/clipperhouse/displaywidth"
	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"outlast/backup/sheet/speech"
)

// A Table is the cells of a table as they are written: a head and rows of the same length. Columns that hold numbers
// are set to the right.
type Table struct {
	Head  []string
	Right []bool
	Rows  [][]string
}

// Write draws a table without lines, at most width columns wide where its cells can be wrapped.
func (t Table) Write(b *bytes.Buffer, width int) error {
	align := make([]tw.Align, len(t.Right))
	for i, right := range t.Right {
		align[i] = tw.AlignLeft
		if right {
			align[i] = tw.AlignRight
		}
	}
	per := tw.CellAlignment{PerColumn: align}
	var raw bytes.Buffer
	out := tablewriter.NewTable(&raw,
		tablewriter.WithRenderer(renderer.NewBlueprint(tw.Rendition{
			Borders:  tw.BorderNone,
			Symbols:  tw.NewSymbols(tw.StyleNone),
			Settings: tw.Settings{Lines: tw.LinesNone, Separators: tw.SeparatorsNone},
		})),
		tablewriter.WithHeaderAutoFormat(tw.Off),
		tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithHeaderAlignmentConfig(per),
		tablewriter.WithRowAlignmentConfig(per),
	)
	t = fit(t, width)
	out.Header(t.Head)
	if err := out.Bulk(t.Rows); err != nil {
		return err
	}
	if err := out.Render(); err != nil {
		return err
	}
	for line := range strings.Lines(raw.String()) {
		// The renderer frames each line with a blank.
		b.WriteString(strings.TrimRight(strings.TrimPrefix(line, " "), " \n") + "\n")
	}
	return nil
}

// narrowest is how far a column of words is squeezed before the table is left too wide.
const narrowest = 12

// fit wraps the cells of the widest word columns until the table is width columns wide. The table library could do it,
// but shares the width out evenly: it wraps words while columns of figures stand half empty.
func fit(t Table, width int) Table {
	const gap = 2
	rows := make([][]string, 0, len(t.Rows)+1)
	for _, row := range append([][]string{t.Head}, t.Rows...) {
		rows = append(rows, speech.CleanAll(row))
	}
	widths := make([]int, len(t.Head))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], displaywidth.String(cell))
		}
	}
	if !squeeze(widths, t.Right, longestWords(rows), width, gap) &&
		!squeeze(widths, t.Right, make([]int, len(widths)), width, gap) {
		wrapHeads(widths, t)
	}
	fitted := Table{Right: t.Right}
	for n, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = strings.Join(wrap(cell, widths[i], widths[i]), "\n")
		}
		if n == 0 {
			fitted.Head = cells
		} else {
			fitted.Rows = append(fitted.Rows, cells)
		}
	}
	return fitted
}

// wrapHeads makes columns of figures as narrow as their figures and the words of their heads.
func wrapHeads(widths []int, t Table) {
	for i, word := range longestWords([][]string{t.Head}) {
		if t.Right[i] {
			widths[i] = word
			for _, row := range t.Rows {
				widths[i] = max(widths[i], displaywidth.String(row[i]))
			}
		}
	}
}

// longestWord is the longest word that a column is kept wide enough for, as long as there is room.
const longestWord = 24

// longestWords gives the width of the longest word of each column.
func longestWords(rows [][]string) []int {
	out := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			for _, word := range blanks(cell) {
				out[i] = max(out[i], min(longestWord, displaywidth.String(word)))
			}
		}
	}
	return out
}

// squeeze makes the widest word columns narrower, but none narrower than its least, until the table is width columns
// wide. It says whether that was enough.
func squeeze(widths []int, right []bool, least []int, width, gap int) bool {
	for {
		total, widest := -gap, -1
		for i, n := range widths {
			total += n + gap
			if !right[i] && n > max(narrowest, least[i]) && (widest < 0 || n > widths[widest]) {
				widest = i
			}
		}
		if total <= width || widest < 0 {
			return total <= width
		}
		widths[widest] = max(narrowest, least[widest], widths[widest]-(total-width), second(widths, right, widest))
	}
}

// second is the next smaller width of a word column, or one less than the widest where several are as wide: the squeeze
// takes them in turn.
func second(widths []int, right []bool, widest int) int {
	next := narrowest
	for i, n := range widths {
		if i != widest && !right[i] && n < widths[widest] {
			next = max(next, n)
		}
		if i != widest && !right[i] && n == widths[widest] {
			return n - 1
		}
	}
	return next
}

// Figures writes rows of numbers, the first of them the heads, each column but the last to the right, behind what each
// line begins with; where they are wider than the text, row by row with the heads beside the figures.
func Figures(b *bytes.Buffer, signs Signs, lead string, rows [][]string, width int) {
	last := len(rows[0]) - 1
	widths := make([]int, last)
	words, total := 0, displaywidth.String(lead)
	for _, row := range rows {
		for i := range widths {
			widths[i] = max(widths[i], displaywidth.String(row[i]))
		}
		words = max(words, displaywidth.String(row[last]))
	}
	for _, w := range widths {
		total += 2 + w
	}
	if total+2+words > width {
		for _, row := range rows[1:] {
			Paragraph(b, Beside(signs, rows[0], row), width, lead+" ", lead+"   ")
		}
		return
	}
	for _, row := range rows {
		line := lead
		for i, w := range widths {
			line += "  " + strings.Repeat(" ", w-displaywidth.String(row[i])) + row[i]
		}
		if row[last] != "" {
			line += "  " + row[last]
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// Signs put texts together in the manner of a language: with the blanks that it has before a colon and a semicolon.
type Signs interface {
	Headed(about, text string) string
	InTurn(texts ...string) string
}

// Beside writes a row in one line, each figure behind the head of its column, and the words of the last column before
// them.
func Beside(signs Signs, heads, row []string) string {
	last := len(heads) - 1
	var cells []string
	for i, head := range heads[:last] {
		cells = append(cells, head+" = "+row[i])
	}
	text := signs.InTurn(cells...)
	if row[last] != "" {
		text = signs.Headed(row[last], text)
	}
	return text
}
