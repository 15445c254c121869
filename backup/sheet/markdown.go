package sheet

import (
	"bytes"
	"io"
	"strings"

	"outlast/backup"
	"outlast/backup/account"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/speech"
	"outlast/backup/working"
)

func writeMarkdown(w io.Writer, plans []*backup.Plan, o Options) error {
	var b bytes.Buffer
	o.Show = []string{All} // a document has everything
	for i, p := range plans {
		if i > 0 {
			b.WriteString("\n---\n\n")
		}
		s, err := SpeakFor(p.Facts)(o)
		if err != nil {
			return err
		}
		list := sections(p, s, o, true)
		if o.Working {
			list = append(list, questionSection(p))
		}
		grid.MarkdownPage(&b, phrase.Name(p.Site.Name), headline(p), list, s)
		if o.Working {
			markdownWorking(&b, p, s)
		}
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

func markdownWorking(b *bytes.Buffer, p *backup.Plan, s *speech.Speaker) {
	b.WriteString("## " + grid.InMarkdown(s.Prose(phrase.Of("Working"))) + "\n\n" +
		grid.InMarkdown(s.Prose(account.SourceNote())) +
		"\n\n")
	for _, basis := range working.Bases() {
		b.WriteString("- " + grid.InMarkdown(basisLine(s, basis)) + "\n")
	}
	b.WriteByte('\n')
	for _, step := range p.Steps() {
		markdownStep(b, step, s)
	}
	b.WriteByte('\n')
	b.WriteString("## " + grid.InMarkdown(s.Prose(phrase.Of("Defaults used"))) + "\n\n")
	for _, d := range p.Site.Defaults {
		b.WriteString("- " + grid.InMarkdown(defaultLine(s, d, p.Site.DefaultSource(d))) + "\n")
	}
}
