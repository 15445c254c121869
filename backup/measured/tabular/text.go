package tabular

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"outlast/catalog/strict"
)

// The encodings as they are called in words.
const (
	inUTF8        = "UTF-8"
	inUTF16       = "UTF-16"
	inWindows1252 = "Windows-1252"
)

var errTooLarge = fmt.Errorf("is larger than %d MiB", MaxBytes>>20)

// bounded is a reader that ends with an error where a file is larger than any table.
type bounded struct {
	r    io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.r.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return 0, errTooLarge
	}
	return n, err
}

// openText finds out how a text is written. sample gives the rows of its beginning, as far as they are whole.
func openText(t *Table, r io.Reader, o Options) (src, sample *text, err error) {
	in := bufio.NewReaderSize(&bounded{r, MaxBytes}, sampleSize)
	head, err := in.Peek(4096)
	if err != nil && err != io.EOF && !errors.Is(err, bufio.ErrBufferFull) {
		return nil, nil, unreadable(t.File, err)
	}
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) {
		return nil, nil, strict.Problems{{File: t.File, Msg: "is a workbook or another archive, want a table as text",
			Hint: "save it as .csv"}}
	}
	if e, ok := utf16Of(head); ok {
		t.Encoding = inUTF16
		dec := unicode.UTF16(e, unicode.UseBOM).NewDecoder()
		in = bufio.NewReaderSize(transform.NewReader(in, dec), sampleSize)
	}
	head, err = in.Peek(sampleSize)
	if err != nil && err != io.EOF {
		return nil, nil, unreadable(t.File, err)
	}
	whole := err == io.EOF
	if bytes.HasPrefix(head, []byte("\ufeff")) {
		if t.Encoding == "" {
			t.Encoding = inUTF8
		}
		if _, err := in.Discard(3); err != nil {
			return nil, nil, unreadable(t.File, err)
		}
		head = head[3:]
	}
	if !whole { // the last line may be cut
		head = head[:bytes.LastIndexAny(head, "\r\n")+1]
	}
	if len(bytes.TrimSpace(head)) == 0 && whole {
		return nil, nil, strict.Problems{{File: t.File, Msg: "is empty, want a table"}}
	}
	delimiter, skip := delimiterOf(t, head)
	if o.Delimiter != 0 {
		delimiter = o.Delimiter
	}
	t.comma = delimiter == ','
	sampled := &Table{File: t.File, Encoding: t.Encoding}
	sample = newText(sampled, bytes.NewReader(head), delimiter)
	src = newText(t, in, delimiter)
	if skip {
		for _, x := range []*text{sample, src} {
			if _, err := x.physical(); err != nil {
				return nil, nil, err
			}
		}
	}
	return src, sample, nil
}

func unreadable(file string, err error) error {
	if err == errTooLarge {
		return strict.Problems{{File: file, Msg: err.Error()}}
	}
	return strict.Problems{{File: file, Msg: "cannot be read: " + err.Error()}}
}

// utf16Of tells UTF-16 by its byte order mark, or by the zeros that every second byte of plain letters and figures is.
func utf16Of(head []byte) (unicode.Endianness, bool) {
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return unicode.LittleEndian, true
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return unicode.BigEndian, true
	}
	var zeros [2]int
	n := min(len(head), 512) &^ 1
	for i, b := range head[:n] {
		if b == 0 {
			zeros[i%2]++
		}
	}
	switch {
	case n >= 4 && zeros[1] > n*2/5 && zeros[0] == 0:
		return unicode.LittleEndian, true
	case n >= 4 && zeros[0] > n*2/5 && zeros[1] == 0:
		return unicode.BigEndian, true
	}
	return unicode.LittleEndian, false
}

// delimiters are those that are looked for. Of two that divide a table equally well the first is taken: a comma may be
// decimal, or stand between words.
const delimiters = "\t;|,"

// delimiterOf finds the delimiter: the one that parts most rows into equally many cells, then the one that parts most
// rows. skip says whether the first line names it.
func delimiterOf(t *Table, head []byte) (delimiter rune, skip bool) {
	first, _, _ := bytes.Cut(head, []byte("\n"))
	first, _, _ = bytes.Cut(first, []byte("\r"))
	if name, ok := strings.CutPrefix(strings.ToLower(strings.Trim(string(first), "\"")), "sep="); ok {
		if r, n := utf8.DecodeRuneInString(name); n == len(name) && r != utf8.RuneError && r != '"' {
			return r, true
		}
	}
	const rows = 200
	best := 0
	delimiter = ','
	for _, d := range delimiters {
		x := newText(&Table{File: t.File, Encoding: t.Encoding}, bytes.NewReader(head), d)
		counts := map[int]int{}
		most, more := 0, 0
		for range rows {
			_, cells, err := x.next()
			if err != nil {
				break
			}
			if n := len(cells); n > 1 && !blank(cells) {
				counts[n]++
				most, more = max(most, counts[n]), more+1
			}
		}
		score := most*(rows+1) + more
		if score > best {
			best, delimiter = score, d
		}
	}
	return delimiter, false
}

// A text is a source of rows with delimiters.
type text struct {
	t         *Table
	in        *bufio.Reader
	delimiter string
	line      int    // that was read last
	long      []byte // a line that is longer than the buffer
	cells     []Cell
	afterCR   bool // the last line ended with CR: an LF belongs to it
}

func newText(t *Table, r io.Reader, delimiter rune) *text {
	return &text{t: t, in: bufio.NewReaderSize(r, maxRow/2), delimiter: string(delimiter)}
}

func (x *text) fail(line, col int, hint, format string, args ...any) error {
	return strict.Problems{{File: x.t.File, Line: line, Col: col, Msg: fmt.Sprintf(format, args...), Hint: hint}}
}

// physical reads one line of the file, whatever it ends with. The bytes are good until the next call.
func (x *text) physical() ([]byte, error) {
	x.long = x.long[:0]
	for {
		if x.in.Buffered() == 0 {
			if _, err := x.in.Peek(1); err != nil {
				if err == io.EOF && len(x.long) > 0 {
					x.line++
					return x.checked(x.long)
				}
				if err == io.EOF {
					return nil, io.EOF
				}
				return nil, unreadable(x.t.File, err)
			}
		}
		buf, _ := x.in.Peek(x.in.Buffered())
		if x.afterCR {
			x.afterCR = false
			if buf[0] == '\n' {
				_, _ = x.in.Discard(1) // is there
				continue
			}
		}
		end := bytes.IndexByte(buf, '\n')
		if cr := bytes.IndexByte(buf[:cmpEnd(end, len(buf))], '\r'); cr >= 0 {
			end, x.afterCR = cr, true
		}
		if end < 0 {
			if len(x.long)+len(buf) > maxRow {
				return nil, x.tooLong(x.line + 1)
			}
			x.long = append(x.long, buf...)
			_, _ = x.in.Discard(len(buf)) // is there
			continue
		}
		x.line++
		if len(x.long)+end > maxRow {
			return nil, x.tooLong(x.line)
		}
		line := buf[:end]
		if len(x.long) > 0 {
			x.long = append(x.long, line...)
			line = x.long
		}
		_, _ = x.in.Discard(end + 1) // is there; the bytes stay until the next read
		return x.checked(line)
	}
}

func cmpEnd(end, n int) int {
	if end < 0 {
		return n
	}
	return end
}

func (x *text) tooLong(line int) error {
	return x.fail(line, 1, "a quotation mark that is not closed takes all lines that follow",
		"found a row of more than %d KiB", maxRow>>10)
}

// checked sees to it that a line is text, in UTF-8.
func (x *text) checked(line []byte) ([]byte, error) {
	high := false
	for i, b := range line {
		if b >= 0x80 {
			high = true
		} else if b < ' ' && b != '\t' || b == 0x7f {
			return nil, x.fail(x.line, 1, "", "found the byte %#02x at character %d, want text", b,
				1+utf8.RuneCount(line[:i]))
		}
	}
	if !high {
		return line, nil
	}
	if x.t.Encoding == "" {
		if x.t.Encoding = inUTF8; !utf8.Valid(line) {
			x.t.Encoding = inWindows1252
		}
	}
	if x.t.Encoding != inWindows1252 {
		if !utf8.Valid(line) {
			at := 0
			for at < len(line) {
				r, n := utf8.DecodeRune(line[at:])
				if r == utf8.RuneError && n == 1 {
					break
				}
				at += n
			}
			return nil, x.fail(x.line, 1, "save the file again, as UTF-8",
				"found the byte %#02x at character %d, which is no text in %s, as the lines before are", line[at],
				1+utf8.RuneCount(line[:at]), x.t.Encoding)
		}
		return line, nil
	}
	out := make([]byte, 0, len(line)*2)
	for i, b := range line {
		r := charmap.Windows1252.DecodeByte(b)
		if r == utf8.RuneError {
			return nil, x.fail(x.line, 1, "save the file again, as UTF-8",
				"found the byte %#02x at character %d, which is no text in UTF-8 and none in Windows-1252", b, 1+i)
		}
		out = utf8.AppendRune(out, r)
	}
	return out, nil
}

// next reads a row.
func (x *text) next() (int, []Cell, error) {
	raw, err := x.physical()
	if err != nil {
		return 0, nil, err
	}
	line := x.line
	x.cells = x.cells[:0]
	row := string(raw)
	for {
		cell, rest, more := row, "", false
		if strings.HasPrefix(strings.TrimLeft(row, " "), `"`) {
			if cell, rest, more, err = x.quoted(line, row); err != nil {
				return 0, nil, err
			}
		} else {
			cell, rest, more = strings.Cut(row, x.delimiter)
		}
		if len(x.cells) == maxColumns {
			return 0, nil, x.fail(line, 1, "", "found more than %d columns", maxColumns)
		}
		x.cells = append(x.cells, Cell{Text: trimmed(cell)})
		if !more {
			return line, x.cells, nil
		}
		row = rest
	}
}

// quoted reads a cell that begins with a quotation mark, on as many lines as it takes.
func (x *text) quoted(line int, row string) (cell, rest string, more bool, err error) {
	var b strings.Builder
	col := len(x.cells) + 1
	row = strings.TrimLeft(row, " ")[1:]
	for {
		part, after, closed := strings.Cut(row, `"`)
		b.WriteString(part)
		if !closed {
			if b.Len() > maxRow {
				return "", "", false, x.fail(line, col, "two of them within quotation marks stand for one",
					"found a quotation mark that is not closed within %d KiB", maxRow>>10)
			}
			raw, err := x.physical()
			if err == io.EOF {
				return "", "", false, x.fail(line, col, "two of them within quotation marks stand for one",
					"found a quotation mark that is not closed")
			}
			if err != nil {
				return "", "", false, err
			}
			b.WriteByte('\n')
			row = string(raw)
			continue
		}
		if strings.HasPrefix(after, `"`) {
			b.WriteByte('"')
			row = after[1:]
			continue
		}
		between, rest, more := strings.Cut(after, x.delimiter)
		if trimmed(between) != "" {
			return "", "", false, x.fail(line, col, "two of them within quotation marks stand for one",
				"found %s behind a quotation mark, want the end of the cell", strict.Quote(trimmed(between)))
		}
		return b.String(), rest, more, nil
	}
}
