package strict

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// syntax tells where the parser gave up, and why in words that fit our own.
func syntax(src []byte, ls *lines, err error, keys *Keys) (at Pos, c complaint) {
	var pe *unstable.ParserError
	if !errors.As(err, &pe) {
		return Pos{1, 1}, complaint{msg: err.Error()}
	}
	// The highlight is a part of src; it does not know where it begins, but how much could still follow it.
	offset := max(0, min(cap(src)-cap(pe.Highlight), len(src)))
	// At the end of the file the parser points at the last byte, which may be the last one of several of a character.
	for offset > 0 && offset < len(src) && !utf8.RuneStart(src[offset]) {
		offset--
	}
	return ls.pos(offset), reword(pe.Message, string(src[ls.starts[ls.line(offset)]:offset]),
		string(src[offset:]), keys)
}

// reword says the parser's message in words for people who write a site file; before is the line up to the place, after
// all of the rest. The parser names single bytes where letters have several. Only the wording depends on its text: a
// message that is not known here comes out as it is. keys are those of the file, for what a value should have been.
func reword(msg, before, after string, keys *Keys) complaint {
	here := character(after)
	line, _, _ := strings.Cut(after, "\n")
	next, _ := utf8.DecodeRuneInString(after)
	if strings.Contains(msg, "end of input") {
		here = character("") // the parser points at the last character then
	}
	value := strings.TrimRight(before, " \t")
	number := value != "" && isDigit(value[len(value)-1])
	is := func(start string) bool { return strings.HasPrefix(msg, start) }
	key := keys.named(keyBefore(before))
	switch {
	case next == '\r':
		return complaint{"found a carriage return without a line feed", "end lines with LF or CRLF"}
	case strings.ContainsRune("“”„‘’", next):
		return complaint{"found " + here, `plain quotes are wanted: "…"`}
	case is("expected newline") && next == ',' && number:
		return complaint{"found ',' in a number", numberHint(key, before, after, "write numbers with a decimal point")}
	case is("expected newline") && next == ':' && number:
		return complaint{"found ':' after a number",
			"times stand in quotes: \"17:00\"; hours as a number with a decimal point: 1.5"}
	case is("strings must be quoted"), is("expected newline") && number && !strings.Contains(line, "="):
		return complaint{"found " + here + " after a number", numberHint(key, before, after,
			"numbers stand without their unit, texts in quotes")}
	case is("expected newline") && strings.Contains(line, "="):
		return complaint{"found " + here + ", want the end of the line", "write each key on a line of its own"}
	case is("expected newline"):
		return complaint{"found " + here + ", want the end of the line", ""}
	case is("unexpected character") && (next == '.' || next == ','):
		return complaint{"found " + here + ", want a value", "write a digit before the decimal point"}
	case is("unexpected character") && unicode.IsLetter(next), is("expected keyword"):
		return complaint{"found " + here + ", want a value", wordHint(key, line)}
	case is("unexpected character"), is("expected value"):
		return complaint{"found " + here + ", want a value", ""}
	case is("invalid character at start of key"), is("expected key"):
		c := complaint{msg: "found " + here + ", want a key"}
		if next >= utf8.RuneSelf {
			c.hint = "a key of other letters than a to z stands in quotes"
		}
		return c
	case is("expected '=' after key") && next == ':':
		return complaint{"found ':', want = after the key",
			"write key = value; what belongs together stands under a header such as [site]"}
	case is("expected '=' after key"):
		return complaint{"found " + here + ", want = after the key", ""}
	case is("decimal point must be followed"):
		return complaint{"found a decimal point without a digit behind it", "write a digit behind the decimal point"}
	case is("integers cannot have leading zero"), is("number") && strings.Contains(msg, "leading zero"):
		return complaint{"found a number that begins with 0",
			"write it without the zeros; a text such as an id stands in quotes"}
	case is("expected ',' or ']'"), is("expected value but"):
		return complaint{"found " + here + " in a list, want its items parted by commas", ""}
	case is("expected ',' or '}'"), is("unexpected comma"):
		return complaint{"found " + here + " in a table { … }, want its keys parted by commas", ""}
	case is("array is incomplete"):
		return complaint{"found the end of the file inside a list", "close the list with a bracket"}
	case is("inline table is incomplete"):
		return complaint{"found the end of the file inside a table { … }", "close the table with a brace"}
	case is("basic strings cannot have new"), is("literal strings cannot have new"):
		return complaint{"found the end of the line inside a text", "close the text with a quote"}
	case strings.Contains(msg, "terminated"):
		return complaint{"found the end of the file inside a text", "close the text with a quote"}
	case is("invalid escape"), is("need a character"):
		return complaint{"found a backslash that means nothing in a text",
			`write \\ for a backslash, or put the text in single quotes`}
	}
	return complaint{msg: msg}
}

// numberHint tells how the number around a place is written.
func numberHint(key *Key, before, after, otherwise string) string {
	if s, ok := spell(besideMark(before, after)); ok {
		return s.hint(key)
	}
	return otherwise
}

// wordHint tells what to do with a word without quotes, with which a line goes on.
func wordHint(key *Key, line string) string {
	word := line
	if i := strings.IndexFunc(line, func(r rune) bool { return !unicode.IsLetter(r) }); i >= 0 {
		word = line[:i]
	}
	switch {
	case key != nil && key.Kind == Switch && switchHint(word) != "":
		return switchHint(word)
	case key != nil && key.Spelled != nil:
		if v, ok := key.Spelled(word); ok {
			return "write " + num(v)
		}
	}
	return "texts stand in quotes; true and false are written so"
}

// character names the first character of a text.
func character(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	switch {
	case n == 0:
		return "the end of the file"
	case r == '\n':
		return "the end of the line"
	}
	return fmt.Sprintf("%q", r)
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
