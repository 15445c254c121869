package doc

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup/sheet"
)

// writeMarkdown writes the papers as a text document. Drawings are told in words there.
func writeMarkdown(w io.Writer, d *Document) error {
	var b bytes.Buffer
	esc := sheet.EscapeMarkdown
	fmt.Fprintf(&b, "# %s\n\n%s", esc(d.Title), esc(d.Kicker))
	for _, s := range append([]string{d.Date}, d.Stamp...) {
		if s != "" {
			fmt.Fprintf(&b, " · %s", esc(s))
		}
	}
	b.WriteString("\n\n")
	for _, p := range d.Parts {
		fmt.Fprintf(&b, "## %s\n\n%s\n\n", esc(p.Title), esc(p.Lead))
		for _, s := range p.Sections {
			if s.Title != "" {
				fmt.Fprintf(&b, "### %s\n\n", esc(s.Title))
			}
			for _, block := range s.Blocks {
				markdownBlock(&b, block)
			}
		}
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

func markdownBlock(b *bytes.Buffer, block Block) {
	esc := sheet.EscapeMarkdown
	switch {
	case block.Head != "":
		b.WriteString("#### " + esc(block.Head) + "\n\n")
	case block.Text != nil:
		b.WriteString(esc(block.Text.S) + "\n\n")
	case block.List != nil:
		for i, it := range block.List.Items {
			switch {
			case block.List.Ordered:
				fmt.Fprintf(b, "%d. ", i+1)
			case block.List.Tick:
				b.WriteString("- [ ] ")
			default:
				b.WriteString("- ")
			}
			b.WriteString(markdownItem(it) + "\n")
		}
		b.WriteString("\n")
	case block.Box != nil:
		fmt.Fprintf(b, "> **%s**\n", esc(block.Box.Title))
		for _, t := range block.Box.Texts {
			b.WriteString(">\n> " + esc(t.S) + "\n")
		}
		for i, it := range block.Box.Items {
			if i == 0 {
				b.WriteString(">\n")
			}
			b.WriteString("> - " + markdownItem(it) + "\n")
		}
		b.WriteString("\n")
	case block.Fields != nil:
		for _, it := range block.Fields.Rows {
			b.WriteString("- " + markdownItem(it) + " \\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\n")
		}
		b.WriteString("\n")
	case block.Figure != nil:
		fmt.Fprintf(b, "**%s** %s\n\n", esc(block.Figure.Caption), esc(block.Figure.Describe))
	case block.Table != nil && block.Table.Steps:
		markdownSteps(b, block.Table)
	case block.Table != nil:
		markdownTable(b, block.Table)
	}
}

func markdownItem(it Item) string {
	text := sheet.EscapeMarkdown(it.Text.S)
	if it.Lead == "" {
		return text
	}
	return strings.TrimRight("**"+sheet.EscapeMarkdown(it.Lead)+"** "+text, " ")
}

func markdownTable(b *bytes.Buffer, t *Table) {
	esc := sheet.EscapeMarkdown
	fmt.Fprintf(b, "**%s**\n\n", esc(t.Caption))
	if len(t.Rows) > 0 {
		for _, c := range t.Columns {
			b.WriteString("| " + esc(c.title()) + " ")
		}
		b.WriteString("|\n")
		for _, c := range t.Columns {
			if c.Right {
				b.WriteString("| ---: ")
			} else {
				b.WriteString("| --- ")
			}
		}
		b.WriteString("|\n")
		for _, row := range t.Rows {
			if row.DataOnly {
				continue
			}
			if row.Group != "" {
				b.WriteString("| **" + esc(row.Group) + "** " + strings.Repeat("| ", len(t.Columns)-1) + "|\n")
			}
			for _, c := range row.Cells {
				b.WriteString("| " + esc(c.S) + " ")
			}
			b.WriteString("|\n")
		}
		b.WriteString("\n")
	}
	if t.Note != "" {
		b.WriteString(esc(t.Note) + "\n\n")
	}
}

// markdownSteps writes the steps of a calculation: formula, numbers and source on lines of their own.
func markdownSteps(b *bytes.Buffer, t *Table) {
	esc := sheet.EscapeMarkdown
	fmt.Fprintf(b, "**%s**\n\n", esc(t.Caption))
	for _, row := range t.Rows {
		if row.DataOnly {
			continue
		}
		s := row.Step()
		fmt.Fprintf(b, "%s. **%s** = %s\n", s.No, esc(s.Title), esc(s.Result))
		indent := strings.Repeat(" ", len(s.No)+2)
		line := func(text string) {
			if text != "" {
				b.WriteString(indent + "- " + text + "\n")
			}
		}
		line(esc(s.Formula))
		if s.Expr != "" {
			line("`" + s.Expr + "`")
		}
		for _, i := range s.Inputs {
			line(esc(i.Text + ", " + i.From.Text))
		}
		line(esc(s.Numbers))
		for _, c := range s.Columns {
			line(esc(c))
		}
		line(esc(s.Source))
		if len(s.Rows) == 0 {
			continue
		}
		b.WriteByte('\n')
		for i, row := range s.Rows {
			b.WriteString(indent)
			for _, cell := range row {
				b.WriteString("| " + esc(cell) + " ")
			}
			b.WriteString("|\n")
			if i == 0 {
				b.WriteString(indent + strings.Repeat("| ---: ", len(row)-1) + "| --- |\n")
			}
		}
		b.WriteByte('\n')
	}
	b.WriteString("\n")
}

// title is the head of a column with its unit.
func (c Column) title() string {
	if c.Unit == "" {
		return c.Head
	}
	return c.Head + ", " + c.Unit
}
