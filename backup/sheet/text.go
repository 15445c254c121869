package sheet

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"github.com/clipperhouse/displaywidth"
	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
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
		paragraph(&b, s.Prose(line), o.Width, "", "  ")
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
		out = append(out, Wrapped(s.Prose(line), o.Width, "", "  ")...)
	}
	return out
}

func heading(b *bytes.Buffer, title string, width int) {
	b.WriteByte('\n')
	paragraph(b, title, width, "", "  ")
	b.WriteString(strings.Repeat("-", min(width, displaywidth.String(speech.Clean(title)))) + "\n")
}

func textSection(b *bytes.Buffer, s section, width int, speaker *speech.Speaker) error {
	heading(b, speaker.Prose(s.title), width)
	for _, line := range s.drawing {
		b.WriteString(speech.Clean(line) + "\n")
	}
	if len(s.drawing) > 0 && len(s.table.rows) > 0 {
		b.WriteByte('\n')
	}
	if len(s.table.rows) > 0 {
		if err := textTable(b, s.table.in(speaker), width); err != nil {
			return err
		}
	}
	for _, line := range s.lines {
		first, next := "", ""
		if s.list {
			first, next = "- ", "  "
		}
		paragraph(b, speaker.Prose(line), width, first, next)
	}
	return nil
}

// A grid is a table in a language.
type grid struct {
	head  []string
	right []bool
	rows  [][]string
}

// in writes the cells of a table in a language.
func (t table) in(s *speech.Speaker) grid {
	row := func(cells []phrase.Phrase) []string {
		out := make([]string, len(cells))
		for i, c := range cells {
			out[i] = s.Prose(c)
		}
		return out
	}
	g := grid{head: row(t.head), right: t.right}
	for _, cells := range t.rows {
		g.rows = append(g.rows, row(cells))
	}
	return g
}

// textTable draws a table without lines, at most width columns wide where its cells can be wrapped.
func textTable(b *bytes.Buffer, t grid, width int) error {
	align := make([]tw.Align, len(t.right))
	for i, right := range t.right {
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
	out.Header(t.head)
	if err := out.Bulk(t.rows); err != nil {
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
func fit(t grid, width int) grid {
	const gap = 2
	rows := make([][]string, 0, len(t.rows)+1)
	for _, row := range append([][]string{t.head}, t.rows...) {
		rows = append(rows, speech.CleanAll(row))
	}
	widths := make([]int, len(t.head))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], displaywidth.String(cell))
		}
	}
	if !squeeze(widths, t.right, longestWords(rows), width, gap) &&
		!squeeze(widths, t.right, make([]int, len(widths)), width, gap) {
		wrapHeads(widths, t)
	}
	fitted := grid{right: t.right}
	for n, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = strings.Join(wrap(cell, widths[i], widths[i]), "\n")
		}
		if n == 0 {
			fitted.head = cells
		} else {
			fitted.rows = append(fitted.rows, cells)
		}
	}
	return fitted
}

// wrapHeads makes columns of figures as narrow as their figures and the words of their heads.
func wrapHeads(widths []int, t grid) {
	for i, word := range longestWords([][]string{t.head}) {
		if t.right[i] {
			widths[i] = word
			for _, row := range t.rows {
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

// wrap breaks a text at blanks into lines of at most first and then next columns; a word that is longer than a line is
// broken anywhere.
func wrap(text string, first, next int) []string {
	var lines []string
	line, used, width := "", 0, first
	for _, word := range unbroken(blanks(text), next) {
		n := displaywidth.String(word)
		if line != "" && used+1+n > width {
			lines = append(lines, line)
			line, used, width = "", 0, next
		}
		if line != "" {
			line, used = line+" ", used+1
		}
		for used+n > width {
			head := leading(word, width-used)
			if len(head) == len(word) {
				break // one sign, wider than the line
			}
			lines = append(lines, line+head)
			word = word[len(head):]
			n = displaywidth.String(word)
			line, used, width = "", 0, next
		}
		line, used = line+word, used+n
	}
	lines = append(lines, line)
	for i := range lines {
		lines[i] = loosened.Replace(lines[i])
	}
	return lines
}

// blanks cuts a text at its blanks, but for those that hold a number and its unit together.
func blanks(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) &&
			!strings.ContainsRune(speech.Hard+speech.Thin, r)
	})
}

// loosened makes such blanks plain ones: a terminal breaks no lines of ours, and who searches a text types a plain
// blank.
var loosened = strings.NewReplacer(speech.Hard, " ", speech.Thin, " ")

// units stay in the line of their number.
var units = []string{"%", "A", "A/Ah", "Ah", "C", "K", "V", "VA", "W", "Wh", "cm2", "h", "kVA", "kW", "kWh", "kg", "l",
	"l/h", "m", "m3", "m3/h", "min", "milliohm", "mm2", "ms", "s"}

// unbroken puts each unit to its number, as one word, where both have room in a line.
func unbroken(words []string, width int) []string {
	var out []string
	for _, word := range words {
		if last := len(out) - 1; last >= 0 && slices.Contains(units, strings.TrimRight(word, ",.;:)")) {
			number := strings.TrimLeft(out[last], "-+(")
			if both := out[last] + " " + word; number != "" && number[0] >= '0' && number[0] <= '9' &&
				displaywidth.String(both) <= width {
				out[last] = both
				continue
			}
		}
		out = append(out, word)
	}
	return out
}

// leading is as much of the beginning of a word as width columns hold, but at least one sign.
func leading(word string, width int) string {
	head, used := "", 0
	for signs := displaywidth.StringGraphemes(word); signs.Next(); {
		if used += signs.Width(); used > width && head != "" {
			break
		}
		head += signs.Value()
	}
	return head
}

// paragraph cleans a text and wraps it to the width; first and next are put before its first and its other lines.
func paragraph(b *bytes.Buffer, text string, width int, first, next string) {
	for i, line := range wrap(speech.Clean(text), width-displaywidth.String(first), width-displaywidth.String(next)) {
		lead := next
		if i == 0 {
			lead = first
		}
		b.WriteString(lead + line + "\n")
	}
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
	heading(b, s.Prose(phrase.Of("Working")), width)
	paragraph(b, s.Prose(facts.SourceNote()), width, "", "")
	for _, step := range p.Steps() {
		textStep(b, step, s, width)
	}
	heading(b, s.Prose(phrase.Of("Defaults used")), width)
	for _, d := range p.Site.Defaults {
		paragraph(b, defaultLine(s, d), width, "- ", "  ")
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
