package sheet

import (
	"bytes"
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/markdown"
	"outlast/backup/sheet/speech"
	"outlast/backup/working"
)

// result is what a step comes to.
func result(step working.Step) phrase.Phrase {
	return grid.Quantity(working.Digits(step.Value), step.Unit)
}

// inputLine is what goes into a step: name, value, unit, and where it comes from.
func inputLine(s *speech.Speaker, i working.Input) string {
	head, from := inputParts(s, i)
	return head + gap + from
}

// gap stands between a figure and where it comes from.
const gap = "   "

func inputParts(s *speech.Speaker, i working.Input) (head, from string) {
	return i.Name + " = " + s.Prose(grid.Quantity(working.InputDigits(i.Value), i.Unit)) + s.Customary(i.Value, i.Unit),
		s.Prose(i.From.Words())
}

// stepGrid is the cells of a step's table: numbers first, in a column of its own what the row is of.
func stepGrid(s *speech.Speaker, t *working.Table) [][]string {
	head := make([]string, 0, len(t.Columns)+1)
	for _, c := range t.Columns {
		head = append(head, c.Name)
	}
	out := [][]string{append(head, "")}
	for _, r := range t.Rows {
		cells := make([]string, 0, len(r.Values)+1)
		for _, v := range r.Values {
			cells = append(cells, s.Prose(grid.Num(working.InputDigits(v))))
		}
		out = append(out, append(cells, speech.Clean(s.Prose(r.Label))))
	}
	return out
}

// textStep writes a step: what is worked out, the formula, a line for each figure that goes into it, the rows that it
// goes through, and what it comes to.
func textStep(b *bytes.Buffer, step working.Step, s *speech.Speaker, width int) {
	const indent, more = "     ", "       "
	columns.Paragraph(b, s.Prose(step.Title), width, fmt.Sprintf("%3d  ", step.No), indent)
	if !step.Formula.Empty() {
		columns.Paragraph(b, s.Prose(step.Formula), width, indent, indent)
	}
	if step.Expr != "" {
		columns.Paragraph(b, "= "+step.Expr, width, indent, more)
	}
	for _, i := range step.Inputs {
		head, from := inputParts(s, i)
		columns.Paragraph(b, from, width, more+head+gap, more+"  ")
	}
	if step.Table != nil {
		for _, line := range s.Columns(step.Table) {
			columns.Paragraph(b, line, width, more+"- ", more+"  ")
		}
		columns.Figures(b, s, more+"|", stepGrid(s, step.Table), width)
	}
	comes := indent + "= " + s.Prose(result(step)) + s.Customary(step.Value, step.Unit)
	if source := step.Cited(); !source.Empty() {
		columns.Paragraph(b, "["+s.Prose(source)+"]", width, comes+" ", more)
		return
	}
	b.WriteString(comes + "\n")
}

// markdownStep writes a step as an item of a list, its table below it.
func markdownStep(b *bytes.Buffer, step working.Step, s *speech.Speaker) {
	line := func(text string) {
		if text != "" {
			b.WriteString("    - " + grid.InMarkdown(text) + "\n")
		}
	}
	fmt.Fprintf(b, "%d. **%s** = %s%s\n", step.No, grid.InMarkdown(s.Prose(step.Title)),
		grid.InMarkdown(s.Prose(result(step))),
		grid.InMarkdown(s.Customary(step.Value, step.Unit)))
	line(s.Prose(step.Formula))
	if step.Expr != "" {
		b.WriteString("    - `" + step.Expr + "`\n")
	}
	for _, i := range step.Inputs {
		line(inputLine(s, i))
	}
	line(s.Prose(step.Cited()))
	if step.Table == nil {
		return
	}
	for _, c := range s.Columns(step.Table) {
		line(c)
	}
	b.WriteByte('\n')
	markdown.Figures(b, "    ", stepGrid(s, step.Table))
	b.WriteByte('\n')
}

// basisLine explains the word that stands behind a source.
func basisLine(s *speech.Speaker, b working.Basis) string {
	return "[" + s.Prose(b.Word()) + "] " + s.Prose(b.Means())
}
