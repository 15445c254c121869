package strict

import (
	"bytes"
	"errors"
	"io"
	"strings"
)

// MaxBytes is how large a file may be: 1 MiB.
const MaxBytes = 1 << 20

// MaxText is how long a text of a file may be, in characters.
const MaxText = 200

const tooLarge = "is larger than 1 MiB, which no such file needs"

// Read takes the text of a file from r, but never much more than MaxBytes of it.
func Read(file string, r io.Reader) ([]byte, error) {
	src, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, Problems{{File: file, Msg: "cannot be read: " + reason(err)}}
	}
	if len(src) > MaxBytes {
		return nil, Problems{{File: file, Msg: tooLarge}}
	}
	return src, nil
}

// reason takes the file's name out of an error that repeats it.
func reason(err error) string {
	text := err.Error()
	if i := strings.LastIndex(text, ": "); i >= 0 {
		text = text[i+2:]
	}
	return text
}

// Parse reads src, which came from file, against keys.
//
// It returns the root table in any case where the text follows TOML's grammar, so that a caller can go on and report
// more; what is wrong is in [Table.Problems]. The error is of type Problems and means that nothing more can be said.
func Parse(file string, src []byte, keys *Keys) (*Table, error) {
	l := &log{file: file, root: keys}
	fatal := func(at Pos, hint, format string, args ...any) (*Table, error) {
		l.problems = nil // what follows a syntax error may be read wrongly, and so may what stands before it
		l.report(at, hint, format, args...)
		return nil, Problems(l.problems)
	}
	if len(src) > MaxBytes {
		return fatal(Pos{}, "", tooLarge)
	}
	if bytes.HasPrefix(src, []byte{0xFF, 0xFE}) || bytes.HasPrefix(src, []byte{0xFE, 0xFF}) {
		return fatal(Pos{1, 1}, "save it as UTF-8", "is UTF-16 text, want UTF-8")
	}
	src = bytes.TrimPrefix(src, []byte{0xEF, 0xBB, 0xBF})
	// In a text over several lines, CRLF would be a control character that the user has never typed.
	src = bytes.ReplaceAll(src, []byte("\r\n"), []byte("\n"))
	src = src[:len(src):len(src)] // see syntax: places are told by what a slice can still grow to
	ls := newLines(src)
	if what, hint := otherFile(src); what != "" && bytes.IndexByte(src, 0) >= 0 {
		return fatal(Pos{1, 1}, hint, "%s", what)
	}
	if at, isZero, ok := ls.firstBad(); !ok {
		if isZero {
			return fatal(at, "save it as UTF-8 text", "is not a text: found a zero byte")
		}
		return fatal(at, "save it as UTF-8 text", "is not UTF-8 text: found a byte that no character has")
	}
	root, err := build(src, ls, l)
	var deep errDeep
	switch {
	case errors.As(err, &deep):
		return fatal(deep.at, "", "nested deeper than %d levels", maxNesting)
	case err != nil:
		if what, hint := otherFile(src); what != "" {
			return fatal(Pos{1, 1}, hint, "%s", what)
		}
		at, c := syntax(src, ls, err, keys)
		return fatal(at, c.hint, "not valid TOML: %s", c.msg)
	}
	var at Pos
	var unread string
	if len(l.problems) > 0 || !evident(src, root) {
		at, unread = adopt(root, src)
	}
	t := newTable(l, keys, root)
	t.check()
	if n := len(l.problems); n > 0 && len(root.keys) == 0 {
		l.problems[n-1].Hint = wantAny
	}
	if unread != "" && len(l.problems) == 0 {
		return fatal(at, "", "not valid TOML: %s", unread)
	}
	return t, nil
}
