package columns

import (
	"bytes"
	"slices"
	"strings"
	"unicode"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup/sheet/speech"
)

// Wrapped wraps a text to a width in columns; first and next are put before its first and its other lines.
func Wrapped(text string, width int, first, next string) []string {
	var b bytes.Buffer
	Paragraph(&b, text, width, first, next)
	return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
}

// Paragraph cleans a text and wraps it to the width; first and next are put before its first and its other lines.
func Paragraph(b *bytes.Buffer, text string, width int, first, next string) {
	for i, line := range wrap(speech.Clean(text), width-displaywidth.String(first), width-displaywidth.String(next)) {
		lead := next
		if i == 0 {
			lead = first
		}
		b.WriteString(lead + line + "\n")
	}
}

// Heading is a title with a line under it.
func Heading(b *bytes.Buffer, title string, width int) {
	b.WriteByte('\n')
	Paragraph(b, title, width, "", "  ")
	b.WriteString(strings.Repeat("-", min(width, displaywidth.String(speech.Clean(title)))) + "\n")
}

// wrap breaks a text at blanks into lines of at most first and then next columns; a word that is longer than a line is
// broken behind a hyphen, or anywhere.
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
			if at := strings.LastIndexByte(head, '-'); at > 0 { // a word of several, which stay whole
				head = head[:at+1]
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

// Loosened makes such blanks plain ones: a terminal breaks no lines of ours, and who searches a text types a plain
// blank.
func Loosened(text string) string { return loosened.Replace(text) }

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
