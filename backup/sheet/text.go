package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/speech"
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
		s, err := speakFor(p.Facts)(o)
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
		if err := textSection(&b, part, o.Width, s); err != nil {
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

func textSection(b *bytes.Buffer, s section, width int, speaker *speech.Speaker) error {
	columns.Heading(b, speaker.Prose(s.title), width)
	for _, line := range s.drawing {
		b.WriteString(speech.Clean(line) + "\n")
	}
	if len(s.drawing) > 0 && len(s.table.rows) > 0 {
		b.WriteByte('\n')
	}
	if len(s.table.rows) > 0 {
		if err := s.table.in(speaker).Write(b, width); err != nil {
			return err
		}
	}
	for _, line := range s.lines {
		first, next := "", ""
		if s.list {
			first, next = "- ", "  "
		}
		columns.Paragraph(b, speaker.Prose(line), width, first, next)
	}
	return nil
}

// in writes the cells of a table in a language.
func (t table) in(s *speech.Speaker) columns.Table {
	row := func(cells []phrase.Phrase) []string {
		out := make([]string, len(cells))
		for i, c := range cells {
			out[i] = speech.Clean(s.Prose(c))
		}
		return out
	}
	g := columns.Table{Head: row(t.head), Right: t.right}
	for _, cells := range t.rows {
		g.Rows = append(g.Rows, row(cells))
	}
	return g
}

// colour paints the words of the verdict. It works on the finished text, so that widths do not count the paint.
func colour(text string, s *speech.Speaker) string {
	paint := []struct {
		status, headline phrase.Phrase
		on               string
	}{
		{statusWord("pass"), phrase.Of("PASS, all %d checks pass", 0), "\x1b[32m"},
		{statusWord("caution"), phrase.Of("CAUTION, no check fails, %d of %d to be checked", 0, 0), "\x1b[33m"},
		{statusWord("fail"), phrase.Of("FAIL, %d of %d checks fail", 0, 0), "\x1b[31m"},
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
	columns.Paragraph(b, s.Prose(facts.SourceNote()), width, "", "")
	for _, step := range p.Steps() {
		textStep(b, step, s, width)
	}
	columns.Heading(b, s.Prose(phrase.Of("Defaults used")), width)
	for _, d := range p.Site.Defaults {
		columns.Paragraph(b, defaultLine(s, d), width, "- ", "  ")
	}
	if len(p.Site.Defaults) == 0 {
		b.WriteString(s.Prose(phrase.Of("none")) + "\n")
	}
}

// defaultLine is a key of the site file with the value that it has where the file is silent, in English as the file
// would give it.
func defaultLine(s *speech.Speaker, d strict.Default) string {
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
	return s.Prose(line)
}
