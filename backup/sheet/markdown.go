package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/markdown"
	"outlast/backup/sheet/speech"
)

func writeMarkdown(w io.Writer, plans []*backup.Plan, o Options) error {
	var b bytes.Buffer
	o.Show = []string{All} // a document has everything
	for i, p := range plans {
		if i > 0 {
			b.WriteString("\n---\n\n")
		}
		s, err := speakFor(p.Facts)(o)
		if err != nil {
			return err
		}
		list := sections(p, s, o, true)
		if o.Working {
			list = append(list, questionSection(p))
		}
		markdownPage(&b, phrase.Name(p.Site.Name), headline(p), list, s)
		if o.Working {
			markdownWorking(&b, p, s)
		}
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

// markdownPage is a title, a headline whose first line stands out, and sections.
func markdownPage(b *bytes.Buffer, title phrase.Phrase, headline []phrase.Phrase, list []section,
	speaker *speech.Speaker) {
	fmt.Fprintf(b, "# %s\n\n", inMarkdown(speaker.Prose(title)))
	for i, said := range headline {
		line := inMarkdown(speaker.Prose(said))
		if i == 0 {
			line = "**" + line + "**"
		}
		b.WriteString(line + "\n\n")
	}
	for _, s := range list {
		fmt.Fprintf(b, "## %s\n\n", inMarkdown(speaker.Prose(s.title)))
		if len(s.drawing) > 0 {
			b.WriteString("```\n" + strings.Join(s.drawing, "\n") + "\n```\n\n")
		}
		markdown.Table(b, s.table.in(speaker))
		for _, said := range s.lines {
			line := speaker.Prose(said)
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

func markdownWorking(b *bytes.Buffer, p *backup.Plan, s *speech.Speaker) {
	b.WriteString("## " + inMarkdown(s.Prose(phrase.Of("Working"))) + "\n\n" + inMarkdown(s.Prose(facts.SourceNote())) +
		"\n\n")
	for _, step := range p.Steps() {
		markdownStep(b, step, s)
	}
	b.WriteByte('\n')
	b.WriteString("## " + inMarkdown(s.Prose(phrase.Of("Defaults used"))) + "\n\n")
	for _, d := range p.Site.Defaults {
		b.WriteString("- " + inMarkdown(defaultLine(s, d)) + "\n")
	}
}

// inMarkdown is a text of a sheet as it stands in Markdown. It is cleaned here too, whoever made it.
func inMarkdown(s string) string { return markdown.Escape(speech.Clean(s)) }
