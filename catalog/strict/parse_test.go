package strict

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// Files that are no text, or no TOML in our sense, get one message.
func TestWholeFile(t *testing.T) {
	tell(t, []fact{
		{"UTF-16, little end first", "\xff\xfe[\x00s\x00",
			[]string{`1:1: is UTF-16 text, want UTF-8 | save it as UTF-8`}},
		{"UTF-16, big end first", "\xfe\xff\x00[", []string{`1:1: is UTF-16 text, want UTF-8 | save it as UTF-8`}},
		{"UTF-16 without a mark", "[\x00s\x00",
			[]string{`1:2: is not a text: found a zero byte | save it as UTF-8 text`}},
		{"a picture", "\x89PNG\r\n\x1a\n\x00",
			[]string{`1:1: is not UTF-8 text: found a byte that no character has | save it as UTF-8 text`}},
		{"Latin-1, after umlauts and a tab", home + "# ä\n\t# ö \xe4", []string{
			`5:6: is not UTF-8 text: found a byte that no character has | save it as UTF-8 text`}},
		{"half a character at the end", home + "# \xc3", []string{
			`4:3: is not UTF-8 text: found a byte that no character has | save it as UTF-8 text`}},
		{"a surrogate", home + "# \xed\xa0\x80", []string{
			`4:3: is not UTF-8 text: found a byte that no character has | save it as UTF-8 text`}},
		{"the replacement character itself is one", home + "# \uFFFD", nil},
		{"a byte order mark counts for nothing", "\xef\xbb\xbf[site]\nfases = 1\nname = \"x\"", []string{
			`2:1: unknown key "fases" in [site] | did you mean "phases"?`}},
		{"only a byte order mark", "\xef\xbb\xbf", []string{`1:1: missing table [site] | ` + wantAny}},
		{"CRLF", "[site]\r\nname = \"x\"\r\nfases = 1\r\n", []string{
			`3:1: unknown key "fases" in [site] | did you mean "phases"?`}},
		{"CRLF inside a list", home + "[[load]]\r\nmonths = [\r\n  1,\r\n  13,\r\n]", []string{
			`7:3: months in [[load]]: found 13, want a whole number from 1 to 12`}},
		{"a lone CR", "[site]\nname = \"x\"\rphases = 1", []string{
			`2:11: not valid TOML: found a carriage return without a line feed | end lines with LF or CRLF`}},
		{"old line ends throughout", "[site]\rname = \"x\"\r", []string{
			`1:7: not valid TOML: found a carriage return without a line feed | end lines with LF or CRLF`}},
	})
}

func TestSize(t *testing.T) {
	fill := func(n int) string { return home + "#" + strings.Repeat("x", n-len(home)-1) }
	tell(t, []fact{
		{"1 MiB", fill(MaxBytes), nil},
		{"a byte more", fill(MaxBytes + 1), []string{" is larger than 1 MiB, which no such file needs"}},
	})
	for _, n := range []int{MaxBytes, MaxBytes + 1} {
		src, err := Read("f", strings.NewReader(fill(n)))
		if large := n > MaxBytes; large != (err != nil) || large != (src == nil) {
			t.Errorf("Read of %d bytes: %d bytes and error %v", n, len(src), err)
		}
	}
}

// Read stops early: a device that never ends must not fill the memory.
func TestReadEndless(t *testing.T) {
	endless := &countingReader{}
	_, err := Read("f", endless)
	if err == nil || err.Error() != "f: is larger than 1 MiB, which no such file needs" {
		t.Errorf("error %v", err)
	}
	if endless.n > 4*MaxBytes {
		t.Errorf("took %d bytes", endless.n)
	}
}

type countingReader struct{ n int }

func (r *countingReader) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '#'
	}
	r.n += len(p)
	return len(p), nil
}

func TestReadFails(t *testing.T) {
	_, err := Read("f", iotest.ErrReader(fmt.Errorf("read f: %w", io.ErrUnexpectedEOF)))
	var problems Problems
	if !errors.As(err, &problems) || err.Error() != "f: cannot be read: unexpected EOF" {
		t.Errorf("error %v, want a problem of the whole file", err)
	}
}

func TestNesting(t *testing.T) {
	brackets := func(n int) string { return home + "[[load]]\nx9 = " + strings.Repeat("[", n) + strings.Repeat("]", n) }
	braces := func(n int) string {
		return home + "[[load]]\nx9 = " + strings.Repeat("{a=", n) + "1" + strings.Repeat("}", n)
	}
	dots := func(n int) string { return home + "[[load]]\nx9" + strings.Repeat(".a", n) + " = 1" }
	header := func(n int) string { return home + "[x9" + strings.Repeat(".a", n) + "]" }
	unknown := `unknown key "x9" in [[load]] | ` + allLoadKeys
	// A value stands in 32 tables and lists at most; [[load]] is the first of them.
	tell(t, []fact{
		{"31 lists", brackets(31), []string{"5:1: " + unknown}},
		{"32 lists", brackets(32), []string{"5:1: nested deeper than 32 levels"}},
		{"31 tables", braces(31), []string{"5:1: " + unknown}},
		{"32 tables", braces(32), []string{"5:97: nested deeper than 32 levels"}},
		{"31 dots", dots(31), []string{"5:1: " + unknown}},
		{"32 dots", dots(32), []string{"5:64: nested deeper than 32 levels"}},
		{"32 parts of a header", header(31), []string{`4:1: unknown key "x9" | the tables of the file are site, load`}},
		{"33 parts of a header", header(32), []string{"4:67: nested deeper than 32 levels"}},
		{"a header and a dotted key together", home + "[x9" + strings.Repeat(".a", 30) + "]\nb.c.d = 1",
			[]string{"5:3: nested deeper than 32 levels"}},
		{"beyond what the parser takes", brackets(20000), []string{
			"5:10006: not valid TOML: arrays and inline tables are nested more than the maximum of 10000 levels deep"}},
	})
}

// The worst files that may come: each is read, or refused, in the time of a breath. The limit is loose, for slow
// machines with the race detector; what it must catch is work that grows with the square of the size, which takes
// minutes.
func TestWorstFiles(t *testing.T) {
	const quarter = MaxBytes / 4 // of files with a problem in each line, which are slow only for their number
	full := func(unit string, n int) string { return strings.Repeat(unit, min(n, MaxBytes/len(unit)-1)) }
	numbered := func(format string, size int) string {
		var b strings.Builder
		for i := 0; b.Len() < size-100; i++ {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for name, src := range map[string]string{
		"5 MB of brackets":         strings.Repeat("[", 5_000_000),
		"1 MiB of open brackets":   "a = " + full("[", MaxBytes-10),
		"1 MiB of open headers":    full("[", MaxBytes),
		"1 MiB of open braces":     "a = " + full("{a=", MaxBytes),
		"1 MiB of empty lists":     "a = [" + full("[],", MaxBytes-20) + "]",
		"1 MiB in one line":        "a = { " + numbered("k%d=1,", MaxBytes) + "z=1 }",
		"1 MiB of headers":         full("[[load]]\n", MaxBytes),
		"unknown keys":             "[site]\n" + numbered("k%d=1\n", quarter),
		"long unknown keys":        "[site]\n" + numbered(strings.Repeat("n", 50)+"%d=1\n", quarter),
		"unknown headers":          numbered("[t%d]\n", quarter),
		"the same unknown headers": strings.Repeat("[[lead]]\n", quarter/9),
		"the same key":             strings.Repeat("a=1\n", quarter/4),
		"the same header":          strings.Repeat("[site]\n", quarter/7),
		"1 MiB of dots":            full("a.", MaxBytes),
		"1 MiB of a number":        "a = 1" + full("0", MaxBytes-20),
		"1 MiB of numbers":         "a = [" + full("1,", MaxBytes-20) + "]",
		"1 MiB of a text":          "a = \"" + full("x", MaxBytes-20) + "\"",
		"1 MiB of escapes":         "a = \"" + full("\\u0041", MaxBytes-20) + "\"",
		"1 MiB of umlauts":         "# " + full("ä", MaxBytes-20),
		"1 MiB of line ends":       full("\r\n", MaxBytes),
		"1 MiB of zero bytes":      full("\x00", MaxBytes),
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			lines := said(src)
			if took := time.Since(start); took > 20*time.Second {
				t.Errorf("took %v", took)
			} else {
				t.Logf("%v, %d problems", took.Round(time.Millisecond), len(lines))
			}
			if len(lines) == 0 {
				t.Error("no problem found")
			}
		})
	}
}
