package edit

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A path leads from the top of the file to a value: keys, and items of lists as "#1", "#2".
type path []string

func (p path) is(q path) bool { return slices.Equal(p, q) }

func item(n int) string { return "#" + strconv.Itoa(n) }

// A span is a range of bytes.
type span struct{ from, to int }

type kind int

const (
	scalar kind = iota
	array
	inlineTable
)

// An entry is a value with its key, or an item of a list.
type entry struct {
	path  path
	key   int // where its key begins, or the item
	value span
	kind  kind

	whole span // its lines, of a key on lines of its own
	owner *entry
	items []*entry // of an array or an inline table
}

// A header is a table with a header, and the keys that stand below it; the first of a file has none and is its top.
type header struct {
	path       path
	from, head int // its line, to behind the line end
	entries    []*entry
}

// end is behind its last line.
func (h *header) end() int {
	if len(h.entries) == 0 {
		return h.head
	}
	return h.entries[len(h.entries)-1].whole.to
}

// A document is a file with the places of everything in it.
type document struct {
	src     []byte
	nl      string
	headers []*header
	all     map[string]*entry
	lists   map[string]int // how many tables a list of headers has, by its path
}

// id is a path as one text: no other path has it, whatever signs its keys hold.
func (p path) id() string {
	var b strings.Builder
	for _, key := range p {
		b.WriteString(strconv.Itoa(len(key)))
		b.WriteByte(':')
		b.WriteString(key)
	}
	return b.String()
}

// scan finds everything in a file. It takes for granted that the file is valid, and says so where it sees that it is
// not.
func scan(src []byte) (*document, error) {
	d := &document{src: src, nl: "\n", all: map[string]*entry{}, lists: map[string]int{}}
	if i := bytes.IndexByte(src, '\n'); i > 0 && src[i-1] == '\r' {
		d.nl = "\r\n"
	}
	top := &header{}
	if bytes.HasPrefix(src, []byte("\xef\xbb\xbf")) {
		top.from, top.head = 3, 3
	}
	d.headers = append(d.headers, top)
	s := &scanner{src: src, at: top.head, d: d}
	for {
		line := s.at
		s.blanks()
		switch c := s.peek(); {
		case c == 0 && s.at >= len(src):
			return d, nil
		case c == '\r' || c == '\n' || c == '#':
			if err := s.lineEnd(); err != nil {
				return nil, err
			}
		case c == '[':
			h, err := s.header(line)
			if err != nil {
				return nil, err
			}
			d.headers = append(d.headers, h)
		default:
			h := d.headers[len(d.headers)-1]
			e, err := s.keyValue(h.path, nil)
			if err != nil {
				return nil, err
			}
			if err := s.lineEnd(); err != nil {
				return nil, err
			}
			e.whole = span{line, s.at}
			h.entries = append(h.entries, e)
		}
	}
}

type scanner struct {
	src []byte
	at  int
	d   *document
	in  int // how deep values are nested
}

// mostNested is how deep values may be nested: more than any reader of ours takes.
const mostNested = 64

func (s *scanner) peek() byte {
	if s.at >= len(s.src) {
		return 0
	}
	return s.src[s.at]
}

func (s *scanner) fault(want string) error {
	return fmt.Errorf("no valid file: line %d: want %s", 1+bytes.Count(s.src[:min(s.at, len(s.src))],
		[]byte("\n")), want)
}

func (s *scanner) blanks() {
	for s.peek() == ' ' || s.peek() == '\t' {
		s.at++
	}
}

// space skips blanks, line ends and comments.
func (s *scanner) space() {
	for {
		switch s.peek() {
		case ' ', '\t', '\r', '\n':
			s.at++
		case '#':
			s.comment()
		default:
			return
		}
	}
}

func (s *scanner) comment() {
	for s.at < len(s.src) && s.src[s.at] != '\n' {
		s.at++
	}
}

// lineEnd skips the rest of a line, of which only a comment may be left.
func (s *scanner) lineEnd() error {
	s.blanks()
	if s.peek() == '#' {
		s.comment()
	}
	if s.peek() == '\r' {
		s.at++
	}
	switch {
	case s.at >= len(s.src):
		return nil
	case s.peek() != '\n':
		return s.fault("the end of the line")
	}
	s.at++
	return nil
}

// header reads [x.y] or [[x.y]].
func (s *scanner) header(line int) (*header, error) {
	s.at++
	list := s.peek() == '['
	if list {
		s.at++
	}
	s.blanks()
	keys, err := s.key()
	if err != nil {
		return nil, err
	}
	s.blanks()
	for range 1 + map[bool]int{true: 1}[list] {
		if s.peek() != ']' {
			return nil, s.fault("]")
		}
		s.at++
	}
	if err := s.lineEnd(); err != nil {
		return nil, err
	}
	var p path
	for i, key := range keys {
		p = append(p, key)
		switch n := s.d.lists[p.id()]; {
		case list && i == len(keys)-1:
			s.d.lists[p.id()]++
			p = append(p, item(n+1))
		case n > 0: // what follows is of the last table of the list
			p = append(p, item(n))
		}
	}
	return &header{path: p, from: line, head: s.at}, nil
}

// key reads a key with its dots.
func (s *scanner) key() ([]string, error) {
	var out []string
	for {
		switch c := s.peek(); {
		case c == '"' || c == '\'':
			from := s.at
			if err := s.quoted(); err != nil {
				return nil, err
			}
			out = append(out, unquote(string(s.src[from:s.at])))
		default:
			from := s.at
			for bare(s.peek()) {
				s.at++
			}
			if s.at == from {
				return nil, s.fault("a key")
			}
			out = append(out, string(s.src[from:s.at]))
		}
		after := s.at
		s.blanks()
		if s.peek() != '.' {
			s.at = after
			return out, nil
		}
		s.at++
		s.blanks()
	}
}

func bare(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-'
}

// keyValue reads a key and its value.
func (s *scanner) keyValue(table path, owner *entry) (*entry, error) {
	e := &entry{key: s.at, owner: owner}
	keys, err := s.key()
	if err != nil {
		return nil, err
	}
	e.path = slices.Concat(table, keys)
	s.blanks()
	if s.peek() != '=' {
		return nil, s.fault("=")
	}
	s.at++
	s.blanks()
	return e, s.value(e)
}

// value reads the value of an entry.
func (s *scanner) value(e *entry) error {
	if s.in++; s.in > mostNested {
		return s.fault("less nesting")
	}
	defer func() { s.in-- }()
	e.value.from = s.at
	var err error
	switch c := s.peek(); {
	case c == '"' || c == '\'':
		err = s.quoted()
	case c == '[':
		e.kind = array
		err = s.items(e, ']', func(n int) (*entry, error) {
			i := &entry{path: append(slices.Clone(e.path), item(n)), key: s.at, owner: e}
			return i, s.value(i)
		})
	case c == '{':
		e.kind = inlineTable
		err = s.items(e, '}', func(int) (*entry, error) { return s.keyValue(e.path, e) })
	default:
		for s.at < len(s.src) && !strings.ContainsRune(",]}#\r\n", rune(s.src[s.at])) {
			s.at++
		}
		for s.at > e.value.from && (s.src[s.at-1] == ' ' || s.src[s.at-1] == '\t') {
			s.at--
		}
		if s.at == e.value.from {
			err = s.fault("a value")
		}
	}
	if err != nil {
		return err
	}
	e.value.to = s.at
	s.d.all[e.path.id()] = e
	return nil
}

// items reads what stands between brackets.
func (s *scanner) items(e *entry, closing byte, one func(n int) (*entry, error)) error {
	s.at++
	for n := 1; ; n++ {
		s.space()
		if s.peek() == closing {
			s.at++
			return nil
		}
		i, err := one(n)
		if err != nil {
			return err
		}
		e.items = append(e.items, i)
		s.space()
		switch s.peek() {
		case ',':
			s.at++
		case closing:
		default:
			return s.fault("a comma or the closing bracket")
		}
	}
}

// quoted skips a text in quotes of any kind.
func (s *scanner) quoted() error {
	quote := s.src[s.at : s.at+1]
	if triple := bytes.Repeat(quote, 3); bytes.HasPrefix(s.src[s.at:], triple) {
		s.at += 3
		for ; s.at < len(s.src); s.at++ {
			if s.src[s.at] == '\\' && quote[0] == '"' {
				s.at++
				continue
			}
			if bytes.HasPrefix(s.src[s.at:], triple) {
				for s.at += 3; s.peek() == quote[0] && s.at < len(s.src); s.at++ { // up to two quotes stand before the closing three
					continue
				}
				return nil
			}
		}
		return s.fault("the closing quotes")
	}
	for s.at++; s.at < len(s.src) && s.src[s.at] != '\n'; s.at++ {
		switch {
		case s.src[s.at] == '\\' && quote[0] == '"':
			s.at++
		case s.src[s.at] == quote[0]:
			s.at++
			return nil
		}
	}
	return s.fault("the closing quote")
}

// unquote reads a text in single or double quotes, of one line.
func unquote(s string) string {
	if strings.HasPrefix(s, "'") {
		return strings.Trim(s, "'")
	}
	if text, err := strconv.Unquote(strings.ReplaceAll(s, `\e`, `\x1b`)); err == nil {
		return text
	}
	return s
}

// text is the text that a value is; "" for any other value.
func (d *document) text(v span) string {
	raw := string(d.src[v.from:v.to])
	for _, triple := range []string{`"""`, `'''`} {
		if strings.HasPrefix(raw, triple) && len(raw) >= 6 {
			return strings.TrimPrefix(strings.TrimPrefix(raw[3:len(raw)-3], "\r"), "\n")
		}
	}
	if strings.HasPrefix(raw, `"`) || strings.HasPrefix(raw, "'") {
		return unquote(raw)
	}
	return ""
}

// entry finds a value; nil: there is none, or it is a table that a header or dots made.
func (d *document) entry(p path) *entry { return d.all[p.id()] }

// header finds the table of a header.
func (d *document) header(p path) *header {
	for _, h := range d.headers {
		if len(h.path) > 0 && h.path.is(p) {
			return h
		}
	}
	return nil
}

// isTable says whether a path is a table made by headers or dots.
func (d *document) isTable(p path) bool {
	for _, h := range d.headers {
		if len(h.path) >= len(p) && h.path[:len(p)].is(p) {
			return true
		}
		for _, e := range h.entries {
			if len(e.path) > len(p) && e.path[:len(p)].is(p) {
				return true
			}
		}
	}
	return false
}

// length is how many tables a list has.
func (d *document) length(list []string) int {
	if e := d.entry(list); e != nil && e.kind == array {
		return len(e.items)
	}
	return d.lists[path(list).id()]
}

// block is where a table of a list stands, with the tables within it; from is -1 where they do not stand together.
func (d *document) block(p path) (from, to int) {
	from, to = -1, -1
	apart := false
	for i, h := range d.headers {
		if len(h.path) < len(p) || !h.path[:len(p)].is(p) {
			continue
		}
		if from < 0 {
			from = h.from
		} else if before := d.headers[i-1].path; len(before) < len(p) || !before[:len(p)].is(p) {
			apart = true
		}
		to = h.end()
	}
	if apart {
		from = -1
	}
	return from, to
}
