package strict

import (
	"bytes"
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Pos is a place in a file: line and column from 1, the column in characters.
type Pos struct{ Line, Col int }

// A place mirrors the shape of a TOML document: where each key, table and list item stands.
type place struct {
	pos   Pos
	keys  map[string]*place
	items []*place
}

func (p *place) child(name string) *place {
	if p == nil {
		return nil
	}
	return p.keys[name]
}

func (p *place) item(i int) *place {
	if p == nil || i >= len(p.items) {
		return nil
	}
	return p.items[i]
}

// key finds or makes the place of a key; of a key given twice the first place stays.
func (p *place) key(name string, pos Pos) *place {
	if c := p.keys[name]; c != nil {
		return c
	}
	if p.keys == nil {
		p.keys = make(map[string]*place)
	}
	c := &place{pos: pos}
	p.keys[name] = c
	return c
}

// last is where the keys under a [[table]] header go: its latest item.
func (p *place) last() *place {
	if n := len(p.items); n > 0 {
		return p.items[n-1]
	}
	return p
}

// maxNesting is how deep a file may nest. The design of the file needs four.
const maxNesting = 32

// errDeep stops the walk of a file that nests too deep.
type errDeep struct{ at Pos }

func (e errDeep) Error() string { return "nested too deep" }

// errSyntax is a place where the text is no TOML.
type errSyntax struct {
	at  Pos
	msg string
}

func (e errSyntax) Error() string { return e.msg }

// surveyor turns byte offsets into lines and columns; the parser's own way scans from the start for each key.
type surveyor struct {
	src    []byte
	starts []int // offset of each line
	parser unstable.Parser
}

// survey finds the place of every key of src. It tolerates what is only wrong in meaning (a key given twice): the
// value reader judges that. Its errors are an errSyntax or an errDeep.
func survey(src []byte) (*place, error) {
	s := &surveyor{src: src, starts: []int{0}}
	for i, b := range src {
		if b == '\n' {
			s.starts = append(s.starts, i+1)
		}
	}
	root := &place{pos: Pos{1, 1}}
	table := root
	s.parser.Reset(src)
	for s.parser.NextExpression() {
		e := s.parser.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = root
			depth := 0
			for it := e.Key(); it.Next(); {
				if depth++; depth > maxNesting {
					return nil, errDeep{s.at(it.Node().Raw)}
				}
				at := s.header(it.Node().Raw)
				table = table.key(string(it.Node().Data), at)
				if e.Kind == unstable.ArrayTable && it.IsLast() {
					table.items = append(table.items, &place{pos: at})
				}
				table = table.last()
			}
		case unstable.KeyValue:
			if err := s.keyValue(table, e, 1); err != nil {
				return nil, err
			}
		}
	}
	if err := s.parser.Error(); err != nil {
		return nil, s.syntax(err)
	}
	return root, nil
}

func (s *surveyor) keyValue(table *place, kv *unstable.Node, depth int) error {
	for it := kv.Key(); it.Next(); {
		if depth++; depth > maxNesting {
			return errDeep{s.at(it.Node().Raw)}
		}
		table = table.key(string(it.Node().Data), s.at(it.Node().Raw))
	}
	return s.value(table, kv.Value(), depth)
}

func (s *surveyor) value(at *place, v *unstable.Node, depth int) error {
	if v.Kind != unstable.InlineTable && v.Kind != unstable.Array {
		return nil
	}
	if depth++; depth > maxNesting {
		return errDeep{at.pos}
	}
	for it := v.Children(); it.Next(); {
		switch {
		case v.Kind == unstable.InlineTable:
			if err := s.keyValue(at, it.Node(), depth); err != nil {
				return err
			}
		case it.Node().Kind != unstable.Comment:
			item := &place{pos: at.pos}
			at.items = append(at.items, item)
			if err := s.value(item, it.Node(), depth); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *surveyor) at(r unstable.Range) Pos { return s.pos(int(r.Offset)) }

// header is the place of the bracket that opens the header in which a key stands.
func (s *surveyor) header(r unstable.Range) Pos {
	line := bytes.LastIndexByte(s.src[:r.Offset], '\n') + 1
	if i := bytes.IndexByte(s.src[line:r.Offset], '['); i >= 0 {
		return s.pos(line + i)
	}
	return s.at(r)
}

func (s *surveyor) pos(offset int) Pos {
	lo, hi := 0, len(s.starts)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; s.starts[mid] <= offset {
			lo = mid
		} else {
			hi = mid
		}
	}
	return Pos{Line: lo + 1, Col: utf8.RuneCount(s.src[s.starts[lo]:offset]) + 1}
}

func (s *surveyor) syntax(err error) error {
	var pe *unstable.ParserError
	if !errors.As(err, &pe) {
		return errSyntax{Pos{1, 1}, err.Error()}
	}
	// A highlight is a part of the text; its place follows from what the slice can still grow to.
	offset := cap(s.src) - cap(pe.Highlight)
	if offset < 0 || offset > len(s.src) {
		offset = len(s.src)
	}
	return errSyntax{s.pos(offset), fmt.Sprintf("not valid TOML: %s", pe.Message)}
}
