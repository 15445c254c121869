package strict

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// MaxBytes is how large a file may be: 1 MiB.
const MaxBytes = 1 << 20

// MaxText is how long a text of a file may be, in characters.
const MaxText = 200

// Read takes the text of a file from r, but never much more than MaxBytes of it.
func Read(file string, r io.Reader) ([]byte, error) {
	src, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, Problems{{File: file, Msg: "cannot be read: " + reason(err)}}
	}
	if len(src) > MaxBytes {
		return nil, Problems{{File: file, Msg: "is larger than 1 MiB, which no such file needs"}}
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
// It returns the root table in any case where the text is TOML, so that a caller can go on and report more; what is
// wrong is in [Table.Problems]. The error is of type Problems and means that nothing more can be said.
func Parse(file string, src []byte, keys *Keys) (*Table, error) {
	l := &log{file: file}
	fatal := func(at Pos, hint, format string, args ...any) (*Table, error) {
		l.report(at, hint, format, args...)
		return nil, Problems(l.problems)
	}
	if len(src) > MaxBytes {
		return fatal(Pos{}, "", "is larger than 1 MiB, which no such file needs")
	}
	if bytes.HasPrefix(src, []byte{0xFF, 0xFE}) || bytes.HasPrefix(src, []byte{0xFE, 0xFF}) {
		return fatal(Pos{}, "save it as UTF-8", "is UTF-16 text, want UTF-8")
	}
	src = bytes.TrimPrefix(src, []byte{0xEF, 0xBB, 0xBF})
	// The two parsers differ on a carriage return inside a multi-line text; neither needs it.
	src = bytes.ReplaceAll(src, []byte("\r\n"), []byte("\n"))
	src = src[:len(src):len(src)]
	if at, ok := firstBad(src); !ok {
		return fatal(at, "save it as UTF-8 text", "is not UTF-8 text: found a byte that no character has")
	}

	where, err := survey(src)
	var deep errDeep
	var syntax errSyntax
	switch {
	case errors.As(err, &deep):
		return fatal(deep.at, "", "nested deeper than %d levels", maxNesting)
	case errors.As(err, &syntax):
		return fatal(syntax.at, "", "%s", syntax.msg)
	}
	values := map[string]any{}
	if _, err := toml.Decode(string(src), &values); err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			return fatal(Pos{pe.Position.Line, max(pe.Position.Col, 1)}, "", "not valid TOML: %s", sentence(pe))
		}
		return fatal(Pos{}, "", "not valid TOML: %s", reason(err))
	}
	t := &Table{log: l, keys: keys, where: where, values: values}
	t.check()
	return t, nil
}

// sentence is the value reader's message in our style: lower case, one line.
func sentence(pe toml.ParseError) string {
	msg := pe.Message
	if msg == "" {
		msg = pe.Error()
	}
	msg, _, _ = strings.Cut(strings.TrimSpace(msg), "\n")
	if r, n := utf8.DecodeRuneInString(msg); n > 0 && len(msg) > n {
		msg = strings.ToLower(string(r)) + msg[n:]
	}
	return strings.TrimSuffix(msg, ".")
}

// firstBad finds the first byte that is not UTF-8.
func firstBad(src []byte) (Pos, bool) {
	if utf8.Valid(src) {
		return Pos{}, true
	}
	line, col := 1, 1
	for len(src) > 0 {
		r, n := utf8.DecodeRune(src)
		switch {
		case r == utf8.RuneError && n == 1:
			return Pos{line, col}, false
		case r == '\n':
			line, col = line+1, 1
		default:
			col++
		}
		src = src[n:]
	}
	return Pos{line, col}, false
}

// found says what a value is, short enough for one line.
func found(v any) string {
	switch v := v.(type) {
	case string:
		return fmt.Sprintf("the text %s", Quote(v))
	case bool:
		return fmt.Sprint(v)
	case int64:
		return fmt.Sprint(v)
	case float64:
		return num(v)
	case []any, []map[string]any:
		return "a list"
	case map[string]any:
		return "a table"
	default:
		return "a date or time"
	}
}

// Quote quotes a text of the user's for a message, cut at 40 characters; control characters come out escaped.
func Quote(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		s = string([]rune(s)[:39]) + "…"
	}
	return fmt.Sprintf("%q", s)
}
