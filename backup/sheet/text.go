package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup"
	"outlast/backup/account"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/speech"
	"outlast/backup/working"
	"outlast/catalog/strict"
)

// MinWidth is the least width of text, in columns: the table of circuits has nine.
const MinWidth = 72

// wideFrom is the width from which tables carry their reasons in a column of their own.
const wideFrom = 110

func writeText(w io.Writer, plans []*backup.Plan, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	var b bytes.Buffer
	for i, p := range plans {
		s, err := SpeakFor(p.Facts)(o)
		if err != nil {
			return err
		}
		if i > 0 {
			fmt.Fprintf(&b, "\n%s\n\n", strings.Repeat("=", o.Width))
		}
		if err := textPage(&b, p, s, o); err != nil {
			return err
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}

// textPage is the text of one plan.
func textPage(out *bytes.Buffer, p *backup.Plan, s *speech.Speaker, o Options) error {
	var b bytes.Buffer
	for _, line := range opened(p, s, o) {
		b.WriteString(line + "\n")
	}
	list := sections(p, s, o, o.Width >= wideFrom)
	if o.Working {
		list = append(list, questionSection(p))
	}
	for _, part := range list {
		if err := part.Text(&b, o.Width, s); err != nil {
			return err
		}
	}
	for _, line := range missing(p, o) {
		b.WriteByte('\n')
		columns.Paragraph(&b, s.Prose(line), o.Width, "", "  ")
	}
	if o.Working {
		textWorking(&b, p, s, o.Width)
	}
	text := b.String()
	if o.Colour {
		text = colour(text, s)
	}
	out.WriteString(text)
	return nil
}

// opened is what a text begins with: the first screen, or, where parts are asked for, as much of it as nobody may miss.
func opened(p *backup.Plan, s *speech.Speaker, o Options) []string {
	if len(o.Show) == 0 {
		return screen(p, s, o.Width)
	}
	var out []string
	for _, line := range headline(p) {
		out = append(out, columns.Wrapped(s.Prose(line), o.Width, "", "  ")...)
	}
	return out
}

// colour paints the words of the verdict. It works on the finished text, so that widths do not count the paint.
func colour(text string, s *speech.Speaker) string {
	paint := []struct {
		status, headline phrase.Phrase
		on               string
	}{
		{grid.StatusWord("pass"), phrase.Of("PASS, all %d checks pass", 0), "\x1b[32m"},
		{grid.StatusWord("caution"), phrase.Of("CAUTION, no check fails, %d of %d to be checked", 0, 0), "\x1b[33m"},
		{grid.StatusWord("fail"), phrase.Of("FAIL, %d of %d checks", 0, 0), "\x1b[31m"},
	}
	var b strings.Builder
	for line := range strings.Lines(text) {
		for _, p := range paint {
			word := s.Prose(p.status)
			if strings.HasPrefix(line, word+" ") {
				line = p.on + word + "\x1b[0m" + line[len(word):]
				break
			}
			up, _, _ := strings.Cut(s.Prose(p.headline), ",")
			if at := strings.Index(line, ": "+up+", "); at >= 0 {
				at += len(": ")
				line = line[:at] + "\x1b[1m" + p.on + up + "\x1b[0m" + line[at+len(up):]
				break
			}
		}
		b.WriteString(line)
	}
	return b.String()
}

func textWorking(b *bytes.Buffer, p *backup.Plan, s *speech.Speaker, width int) {
	columns.Heading(b, s.Prose(phrase.Of("Working")), width)
	columns.Paragraph(b, s.Prose(account.SourceNote()), width, "", "")
	for _, basis := range working.Bases() {
		columns.Paragraph(b, basisLine(s, basis), width, "  ", "    ")
	}
	for _, step := range p.Steps() {
		textStep(b, step, s, width)
	}
	columns.Heading(b, s.Prose(phrase.Of("Defaults used")), width)
	for _, d := range p.Site.Defaults {
		columns.Paragraph(b, defaultLine(s, d, p.Site.DefaultSource(d)), width, "- ", "  ")
	}
	if len(p.Site.Defaults) == 0 {
		b.WriteString(s.Prose(phrase.Of("none")) + "\n")
	}
}

// defaultLine is a key of the site file with the value that it has where the file is silent, in English as the file
// would give it, and what it rests on.
func defaultLine(s *speech.Speaker, d strict.Default, source working.Source) string {
	value := d.Value
	if s.Lang != "en" {
		value = s.DefaultValue(value)
	}
	line := phrase.Symbols("%s %s = %s", phrase.Name(d.Table), phrase.Name(d.Key), phrase.Name(value))
	if d.Class != "" {
		line = line.Then(phrase.Of(", typical of %s", phrase.Name(d.Class)))
	}
	if d.Count > 1 {
		line = line.Then(phrase.Of(" (%d times)", d.Count))
	}
	if text := source.Phrase(); !text.Empty() {
		line = phrase.Symbols("%s: %s", line, text)
	}
	return s.Prose(line)
}
