package doc

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup/sheet/markdown"
)

// writeMarkdown writes the papers as a text document. Drawings are told in words there.
func writeMarkdown(w io.Writer, d *Document) error {
	var b bytes.Buffer
	esc := markdown.Escape
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
	esc := markdown.Escape
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
	text := markdown.Escape(it.Text.S)
	if it.Lead == "" {
		return text
	}
	return strings.TrimRight("**"+markdown.Escape(it.Lead)+"** "+text, " ")
}

func markdownTable(b *bytes.Buffer, t *Table) {
	esc := markdown.Escape
	fmt.Fprintf(b, "**%s**\n\n", esc(t.Caption))
	if len(t.Rows) > 0 {
		var head []string
		var right []bool
		for _, c := range t.Columns {
			head, right = append(head, c.title()), append(right, c.Right)
		}
		markdown.Head(b, "", right, head...)
		for _, row := range t.Rows {
			if row.DataOnly {
				continue
			}
			if row.Group != "" {
				b.WriteString("| **" + esc(row.Group) + "** " + strings.Repeat("| ", len(t.Columns)-1) + "|\n")
			}
			var cells []string
			for _, c := range row.Cells {
				cells = append(cells, c.S)
			}
			markdown.Row(b, "", cells...)
		}
		b.WriteString("\n")
	}
	if t.Note != "" {
		b.WriteString(esc(t.Note) + "\n\n")
	}
}

// markdownSteps writes the steps of a calculation: formula, numbers and source on lines of their own.
func markdownSteps(b *bytes.Buffer, t *Table) {
	esc := markdown.Escape
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
		var inputs []string
		for _, i := range s.Inputs {
			inputs = append(inputs, i.Text+" ("+i.From.Text+")")
		}
		line(esc(strings.Join(inputs, s.Between)))
		line(esc(s.Numbers))
		for _, c := range s.Columns {
			line(esc(c))
		}
		for _, c := range s.Lines {
			line(esc(c))
		}
		line(esc(s.Source))
		if len(s.Rows) == 0 {
			continue
		}
		b.WriteByte('\n')
		markdown.Figures(b, indent, s.Rows)
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
