package strict

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// form is what a value of a file is.
type form int

const (
	formText form = iota
	formWhole
	formFraction // a number with a point or an exponent, inf, nan
	formSwitch
	formDate // dates and times: no key takes one
	formList
	formTable
)

// how a table or list came about decides what may still be added to it.
type how int

const (
	closed  how = iota // { … } or [ … ]: complete where it stands
	implied            // by a longer header: [x.y] implies x, and [x] may still follow
	headed             // by a header of its own: [x], or [[x]] for a list
	dotted             // by a dotted key: x.y = 1 implies x
)

// A node is one value of a file, with its place.
type node struct {
	pos  Pos  // of the key, the header's bracket or the list item: where what is wrong with it is reported
	lies Pos  // where it stands in its file, where that is another place than pos
	far  bool // it stands in another file
	form form
	how  how

	text string  // a text, without quotes; a number, as written
	num  float64 // ±Inf or NaN where the file says so, or says more than a float64 holds
	on   bool

	items []*node // of a list
	wrong bool    // of an item: reported
	keys  map[string]*node
	order []string // the keys as they stand in the file

	// again are headers of the same name that may not stand beside this one. What follows them is read all the same.
	again []*node
}

func (n *node) put(name string, child *node) *node {
	if n.keys == nil {
		n.keys = make(map[string]*node)
	}
	n.keys[name] = child
	n.order = append(n.order, name)
	return child
}

// tables says whether n is a list that [[x]] has made and may make longer.
func (n *node) tables() bool { return n.form == formList && n.how == headed }

// maxNesting is how many tables and lists may stand inside one another. The design of the file needs four.
const maxNesting = 32

// errDeep stops the walk of a file that nests too deep.
type errDeep struct{ at Pos }

func (e errDeep) Error() string { return "nested too deep" }

// builder grows the tree of a file from what the parser finds.
//
// It goes on where the grammar is kept and only the meaning is wrong (a key given twice, a table beside a list of the
// same name): those are problems like any other, and the rest of the file still deserves its own.
type builder struct {
	parser unstable.Parser
	lines  *lines
	log    *log
	root   *node
	depth  int // of the table in which keys now stand
}

// build reads src. Its errors are an errDeep, or the parser's own.
func build(src []byte, ls *lines, l *log) (*node, error) {
	b := &builder{lines: ls, log: l, root: &node{pos: Pos{1, 1}, form: formTable, how: headed}}
	b.parser.Reset(src)
	table := b.root
	for b.parser.NextExpression() {
		e := b.parser.Expression()
		var err error
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table, err = b.header(e)
		case unstable.KeyValue:
			err = b.keyValue(table, e, b.depth)
		}
		if err != nil {
			return nil, err
		}
	}
	return b.root, b.parser.Error()
}

// header gives the table that a header opens.
func (b *builder) header(e *unstable.Node) (*node, error) {
	table := b.root
	at := Pos{}
	b.depth = 0
	for it := e.Key(); it.Next(); {
		if b.depth++; b.depth > maxNesting {
			return nil, errDeep{b.at(it.Node())}
		}
		if b.depth == 1 {
			at = b.lines.bracket(int(it.Node().Raw.Offset))
		}
		name := string(it.Node().Data)
		switch {
		case !it.IsLast():
			table = b.parent(table, name, at)
		case e.Kind == unstable.Table:
			table = openTable(table, name, at)
		default:
			table = openItem(table, name, at)
		}
	}
	return table, nil
}

// parent steps into a table that a header names on its way.
func (b *builder) parent(table *node, name string, at Pos) *node {
	child := table.keys[name]
	switch {
	case child == nil:
		return table.put(name, &node{pos: at, form: formTable, how: implied})
	case child.form == formTable && child.how != closed:
		return child
	case child.tables():
		return child.items[len(child.items)-1]
	}
	b.log.report(at, "", "header adds to %s, which is complete at line %d", Quote(name), child.pos.Line)
	return &node{form: formTable} // what follows has no place in the tree
}

func openTable(table *node, name string, at Pos) *node {
	fresh := &node{pos: at, form: formTable, how: headed}
	child := table.keys[name]
	switch {
	case child == nil:
		table.put(name, fresh)
	case child.form == formTable && child.how == implied:
		child.pos, child.how = at, headed
		return child
	default:
		child.again = append(child.again, fresh)
	}
	return fresh
}

func openItem(table *node, name string, at Pos) *node {
	item := &node{pos: at, form: formTable, how: headed}
	list := &node{pos: at, form: formList, how: headed, items: []*node{item}}
	child := table.keys[name]
	switch {
	case child == nil:
		table.put(name, list)
	case child.tables():
		child.items = append(child.items, item)
	default:
		child.again = append(child.again, list)
	}
	return item
}

// keyValue puts a key, which may be a dotted one, and its value into table. depth is that of table.
func (b *builder) keyValue(table *node, kv *unstable.Node, depth int) error {
	for it := kv.Key(); it.Next(); {
		name, at := string(it.Node().Data), b.at(it.Node())
		child := table.keys[name]
		if it.IsLast() {
			value, err := b.value(kv.Value(), at, depth)
			if err != nil {
				return err
			}
			if child != nil {
				b.log.report(at, "", "key %s given a second time, first at line %d", Quote(name), child.pos.Line)
				return nil
			}
			table.put(name, value)
			return nil
		}
		if depth++; depth > maxNesting {
			return errDeep{at}
		}
		switch {
		case child == nil:
			table = table.put(name, &node{pos: at, form: formTable, how: dotted})
		case child.form == formTable && child.how == dotted:
			table = child
		default:
			b.log.report(at, "", "dotted key adds to %s, which is complete at line %d", Quote(name), child.pos.Line)
			return nil
		}
	}
	return nil
}

// value gives the value at pos. depth is that of the table or list in which it stands.
func (b *builder) value(v *unstable.Node, pos Pos, depth int) (*node, error) {
	n := &node{pos: pos}
	switch v.Kind {
	case unstable.String:
		n.form, n.text = formText, string(v.Data)
	case unstable.Bool:
		n.form, n.on = formSwitch, string(v.Data) == "true"
	case unstable.Integer:
		n.form, n.text = formWhole, string(v.Data)
		n.num = wholeNumber(n.text)
	case unstable.Float:
		n.form, n.text = formFraction, string(v.Data)
		n.num = fraction(n.text)
	case unstable.Array, unstable.InlineTable:
		return b.compound(n, v, depth+1)
	default:
		n.form, n.text = formDate, string(v.Data)
	}
	return n, nil
}

func (b *builder) compound(n *node, v *unstable.Node, depth int) (*node, error) {
	if depth > maxNesting {
		return nil, errDeep{n.pos}
	}
	n.form = formTable
	if v.Kind == unstable.Array {
		n.form = formList
	}
	for it := v.Children(); it.Next(); {
		if v.Kind == unstable.InlineTable {
			if err := b.keyValue(n, it.Node(), depth); err != nil {
				return nil, err
			}
			continue
		}
		at := n.pos
		if it.Node().Raw.Length > 0 { // lists inside lists have no place of their own
			at = b.at(it.Node())
		}
		item, err := b.value(it.Node(), at, depth)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, item)
	}
	return n, nil
}

func (b *builder) at(n *unstable.Node) Pos { return b.lines.pos(int(n.Raw.Offset)) }

// wholeNumber reads what the parser has found to be a whole number, in any of its notations.
func wholeNumber(text string) float64 {
	digits := strings.ReplaceAll(text, "_", "")
	if i, err := strconv.ParseInt(digits, 0, 64); err == nil {
		return float64(i)
	}
	// Beyond int64, and so beyond every range of ours: how far does not matter.
	if strings.HasPrefix(digits, "-") {
		return math.Inf(-1)
	}
	return math.Inf(1)
}

func fraction(text string) float64 {
	digits := strings.ReplaceAll(text, "_", "")
	if strings.HasSuffix(digits, "nan") { // ParseFloat knows no sign before it
		return math.NaN()
	}
	v, _ := strconv.ParseFloat(digits, 64) // out of range gives ±Inf, which no range holds
	return v
}

// found says what a value is, short enough for one line.
func (n *node) found() string {
	switch n.form {
	case formText:
		return "the text " + Quote(n.text)
	case formWhole, formFraction:
		return Clip(n.text)
	case formSwitch:
		return fmt.Sprint(n.on)
	case formDate:
		return "the date or time " + Clip(n.text)
	case formList:
		return "a list"
	default:
		return "a table"
	}
}
