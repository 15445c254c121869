package grid

import (
	"bytes"
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/markdown"
	"outlast/backup/sheet/speech"
)

// A Section is one part of a sheet: a title, then a table, then lines. Any of them may be empty.
type Section struct {
	Title   phrase.Phrase
	Drawing []string // in characters: stands before the table as it is, not wrapped
	Table   Table
	Lines   []phrase.Phrase // paragraphs
	List    bool            // lines are items of a list
}

// A Table is a head and rows of the same length. Columns that hold numbers are set to the right.
type Table struct {
	Head  []phrase.Phrase
	Right []bool
	Rows  [][]phrase.Phrase
}

// Values is the head of a table of what, its value, its unit and a remark.
func Values(what phrase.Phrase, rows [][]phrase.Phrase) Table {
	return Table{Head: []phrase.Phrase{what, phrase.Of("Value"), {}, {}}, Right: []bool{false, true, false, false},
		Rows: rows}
}

// Text writes the section, width columns wide where its cells can be wrapped.
func (s Section) Text(b *bytes.Buffer, width int, speaker *speech.Speaker) error {
	columns.Heading(b, speaker.Prose(s.Title), width)
	for _, line := range s.Drawing {
		b.WriteString(speech.Clean(line) + "\n")
	}
	if len(s.Drawing) > 0 && len(s.Table.Rows) > 0 {
		b.WriteByte('\n')
	}
	if len(s.Table.Rows) > 0 {
		if err := s.Table.In(speaker).Write(b, width); err != nil {
			return err
		}
	}
	for _, line := range s.Lines {
		first, next := "", ""
		if s.List {
			first, next = "- ", "  "
		}
		columns.Paragraph(b, speaker.Prose(line), width, first, next)
	}
	return nil
}

// In writes the cells of a table in a language.
func (t Table) In(s *speech.Speaker) columns.Table {
	row := func(cells []phrase.Phrase) []string {
		out := make([]string, len(cells))
		for i, c := range cells {
			out[i] = speech.Clean(s.Prose(c))
		}
		return out
	}
	g := columns.Table{Head: row(t.Head), Right: t.Right}
	for _, cells := range t.Rows {
		g.Rows = append(g.Rows, row(cells))
	}
	return g
}

// MarkdownPage is a title, a headline whose first line stands out, and sections.
func MarkdownPage(b *bytes.Buffer, title phrase.Phrase, headline []phrase.Phrase, list []Section,
	speaker *speech.Speaker) {
	fmt.Fprintf(b, "# %s\n\n", InMarkdown(speaker.Prose(title)))
	for i, said := range headline {
		line := InMarkdown(speaker.Prose(said))
		if i == 0 {
			line = "**" + line + "**"
		}
		b.WriteString(line + "\n\n")
	}
	for _, s := range list {
		fmt.Fprintf(b, "## %s\n\n", InMarkdown(speaker.Prose(s.Title)))
		if len(s.Drawing) > 0 {
			b.WriteString("```\n" + strings.Join(s.Drawing, "\n") + "\n```\n\n")
		}
		markdown.Table(b, s.Table.In(speaker))
		for _, said := range s.Lines {
			line := speaker.Prose(said)
			if s.List {
				b.WriteString("- " + InMarkdown(line) + "\n")
			} else {
				b.WriteString(InMarkdown(line) + "\n\n")
			}
		}
		if s.List {
			b.WriteString("\n")
		}
	}
}

// InMarkdown is a text of a sheet as it stands in Markdown. It is cleaned here too, whoever made it.
func InMarkdown(s string) string { return markdown.Escape(speech.Clean(s)) }
