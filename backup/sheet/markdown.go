package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
)

func writeMarkdown(w io.Writer, plans []*backup.Plan, o Options) error {
	var b bytes.Buffer
	o.Show = []string{All} // a document has everything
	for i, p := range plans {
		if i > 0 {
			b.WriteString("\n---\n\n")
		}
		list := sections(p, o, true)
		if o.Working {
			list = append(list, questionSection(p))
		}
		markdownPage(&b, speech.Clean(p.Site.Name), headline(p), list)
		if o.Working {
			markdownWorking(&b, p)
		}
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

// markdownPage is a title, a headline whose first line stands out, and sections.
func markdownPage(b *bytes.Buffer, title string, headline []string, list []section) {
	fmt.Fprintf(b, "# %s\n\n", inMarkdown(title))
	for i, line := range headline {
		line = inMarkdown(line)
		if i == 0 {
			line = "**" + line + "**"
		}
		b.WriteString(line + "\n\n")
	}
	for _, s := range list {
		fmt.Fprintf(b, "## %s\n\n", inMarkdown(s.title))
		if len(s.drawing) > 0 {
			b.WriteString("```\n" + strings.Join(record.CleanAll(s.drawing), "\n") + "\n```\n\n")
		}
		markdownTable(b, s.table)
		for _, line := range s.lines {
			if s.list {
				b.WriteString("- " + inMarkdown(line) + "\n")
			} else {
				b.WriteString(inMarkdown(line) + "\n\n")
			}
		}
		if s.list {
			b.WriteString("\n")
		}
	}
}

func markdownTable(b *bytes.Buffer, t table) {
	if len(t.rows) == 0 {
		return
	}
	row := func(cells []string) {
		for _, c := range cells {
			b.WriteString("| " + inMarkdown(c) + " ")
		}
		b.WriteString("|\n")
	}
	row(t.head)
	for _, right := range t.right {
		if right {
			b.WriteString("| ---: ")
		} else {
			b.WriteString("| --- ")
		}
	}
	b.WriteString("|\n")
	for _, cells := range t.rows {
		row(cells)
	}
	b.WriteString("\n")
}

func markdownWorking(b *bytes.Buffer, p *backup.Plan) {
	b.WriteString("## Working\n\n" + inMarkdown(facts.SourceNote().String()) + "\n\n")
	t := table{head: []string{"No", "Step", "Formula", "Numbers", "Result", "Unit", "Source"}, right: []bool{true, false, false, false, true, false, false}}
	for _, s := range p.Steps() {
		t.rows = append(t.rows, []string{fmt.Sprint(s.No), speech.Clean(s.Title.String()), speech.Clean(s.Formula.String()), speech.Clean(s.Numbers.String()), short(s.Value), s.Unit, s.Source.String()})
	}
	markdownTable(b, t)
	b.WriteString("## Defaults used\n\n")
	for _, d := range p.Site.Defaults {
		b.WriteString("- " + inMarkdown(defaultLine(d)) + "\n")
	}
}

// inMarkdown is a text of a sheet as it stands in Markdown. It is cleaned here too, whoever made it.
func inMarkdown(s string) string { return EscapeMarkdown(speech.Clean(s)) }

// EscapeMarkdown keeps a text from being read as Markdown or HTML, and a cell in its row.
func EscapeMarkdown(s string) string {
	return markdownEscaper.Replace(s)
}

var markdownEscaper = strings.NewReplacer(`\`, `\\`, "|", `\|`, "<", "&lt;", ">", "&gt;", "&", "&amp;", "*", `\*`, "_", `\_`,
	"`", "\\`", "[", `\[`, "]", `\]`, "#", `\#`, "\n", " ")
