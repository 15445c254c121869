package edit

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// append puts one more item or key at the end of an array or inline table.
func (e *entry) append(d *document, text string) splice {
	if len(e.items) > 0 {
		last := e.items[len(e.items)-1]
		return splice{last.value.to, last.value.to, ", " + text}
	}
	if e.kind == inlineTable {
		text = " " + text + " "
	}
	return splice{e.value.from + 1, e.value.from + 1, text}
}

// out takes an entry out: its lines, or itself with a comma.
func (e *entry) out(d *document) splice {
	if e.owner == nil {
		return splice{e.whole.from, e.whole.to, ""}
	}
	items := e.owner.items
	i := slices.Index(items, e)
	switch {
	case i+1 < len(items):
		return splice{e.key, items[i+1].key, ""}
	case i > 0:
		return splice{items[i-1].value.to, e.value.to, ""}
	}
	to := e.value.to // with a comma behind the last item
	if rest := bytes.TrimLeft(d.src[to:], " \t"); len(rest) > 0 && rest[0] == ',' {
		to = len(d.src) - len(rest) + 1
	}
	return splice{e.key, to, ""}
}

// line puts a key behind the first n keys of a header, indented like its neighbours.
func (d *document) line(h *header, n int, text string) splice {
	at, indent := h.head, ""
	if n > 0 {
		e := h.entries[n-1]
		at, indent = e.whole.to, string(d.src[e.whole.from:e.key])
	} else if len(h.path) > 0 {
		line := d.src[h.from:h.head]
		indent = string(line[:len(line)-len(bytes.TrimLeft(line, " \t"))])
	}
	return splice{at, at, d.open(at) + indent + text + d.nl}
}

// open is the line end that a text at the end of the file still lacks.
func (d *document) open(at int) string {
	if at > 0 && d.src[at-1] != '\n' && !bytes.Equal(d.src[:at], []byte("\xef\xbb\xbf")) {
		return d.nl
	}
	return ""
}

// atEnd puts a table at the end of the file, behind a blank line.
func (d *document) atEnd(text string) splice {
	end := len(d.src)
	before := d.open(end)
	if rest := bytes.TrimRight(d.src, " \t\r\n"); len(rest) > 0 && bytes.Count(d.src[len(rest):], []byte("\n")) < 2 {
		before += d.nl
	}
	return splice{end, end, before + text}
}

// below puts a table behind another one, which ends at end: behind the comments that follow it without a blank line,
// unless they lead over to what comes next.
func (d *document) below(end int, text string) splice {
	at := end
	for next := at; ; {
		line, _, found := bytes.Cut(d.src[next:], []byte("\n"))
		trimmed := bytes.TrimLeft(line, " \t")
		if len(bytes.TrimRight(trimmed, "\r")) == 0 {
			at = next
			break
		}
		if trimmed[0] != '#' {
			break
		}
		if next += len(line) + 1; !found {
			at = len(d.src)
			break
		}
	}
	return splice{at, at, d.open(at) + d.nl + text}
}

// withoutBlanks takes lines out, and the blank ones behind them where there are blank ones before.
func (d *document) withoutBlanks(from, to int) splice {
	before := bytes.TrimRight(d.src[:from], " \t\r\n")
	if len(before) > 0 && bytes.Count(d.src[len(before):from], []byte("\n")) < 2 {
		return splice{from, to, ""}
	}
	for to < len(d.src) {
		line, _, found := bytes.Cut(d.src[to:], []byte("\n"))
		if len(bytes.TrimSpace(line)) > 0 {
			break
		}
		if to += len(line); found {
			to++
		}
	}
	return splice{from, to, ""}
}

// keyText writes a key with its dots.
func keyText(keys []string) string {
	out := make([]string, len(keys))
	for i, key := range keys {
		if out[i] = key; key == "" || strings.ContainsFunc(key,
			func(r rune) bool { return r > 127 || !bare(byte(r)) }) {
			out[i] = textLiteral(key)
		}
	}
	return strings.Join(out, ".")
}

// textLiteral writes a text in quotes.
func textLiteral(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// literalOf writes a value.
func literalOf(v any, depth int) (string, error) {
	if depth > 8 {
		return "", fmt.Errorf("a value is nested too deep")
	}
	switch v := v.(type) {
	case string:
		if !utf8.ValidString(v) {
			return "", fmt.Errorf("a text is not UTF-8")
		}
		return textLiteral(v), nil
	case bool:
		return strconv.FormatBool(v), nil
	case int:
		return strconv.Itoa(v), nil
	case float64:
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			return "", fmt.Errorf("%g is no number for a file", v)
		case v == math.Trunc(v) && math.Abs(v) < 1e15:
			return strconv.FormatFloat(v, 'f', 0, 64), nil
		case math.Abs(v) < 1e-6 || math.Abs(v) >= 1e15:
			return strconv.FormatFloat(v, 'e', -1, 64), nil
		}
		return strconv.FormatFloat(v, 'f', -1, 64), nil
	case []any:
		items := make([]string, len(v))
		for i, one := range v {
			literal, err := literalOf(one, depth+1)
			if err != nil {
				return "", err
			}
			items[i] = literal
		}
		return "[" + strings.Join(items, ", ") + "]", nil
	case map[string]any:
		keys := make([]string, 0, len(v))
		for key := range v {
			keys = append(keys, key)
		}
		slices.Sort(keys)
		for i, key := range keys {
			if !utf8.ValidString(key) {
				return "", fmt.Errorf("a key is not UTF-8")
			}
			literal, err := literalOf(v[key], depth+1)
			if err != nil {
				return "", err
			}
			keys[i] = keyText([]string{key}) + " = " + literal
		}
		if len(keys) == 0 {
			return "{}", nil
		}
		return "{ " + strings.Join(keys, ", ") + " }", nil
	}
	return "", fmt.Errorf("a value is missing, or of a kind that no file has")
}
