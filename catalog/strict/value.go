package strict

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// checkValue reports what is wrong with the value of a key, and with the tables in it, each at its own place.
func (t *Table) checkValue(k *Key, n *node) {
	switch k.Kind {
	case Group:
		t.checkGroup(k, n)
		return
	case Groups:
		t.checkGroups(k, n)
		return
	case Texts, Numbers, Wholes:
		t.checkList(k, n)
	default:
		t.say(k, n.pos, k.fault(n))
	}
	for _, more := range n.again {
		t.second(k, n.pos, more)
	}
}

// A complaint is what is wrong with one value; its zero is nothing.
type complaint struct{ msg, hint string }

func (t *Table) say(k *Key, at Pos, c complaint) {
	if c.msg == "" {
		return
	}
	t.bad[k.Name] = true
	what := k.Name + t.in()
	if k.Keys != nil && k.ofRoot() {
		what = k.Keys.Name
	}
	t.log.report(at, c.hint, "%s: %s", what, c.msg)
}

// checkGroup takes the first table where there are several.
func (t *Table) checkGroup(k *Key, n *node) {
	switch {
	case n.tables():
		t.say(k, n.pos, complaint{msg: fmt.Sprintf("found [[%s]], want %s", k.Name, k.Wants())})
		for _, item := range n.items[1:] {
			t.second(k, n.pos, item)
		}
		t.sub(k, n.items[0])
	case n.form == formTable:
		t.sub(k, n)
	default:
		t.say(k, n.pos, complaint{msg: fmt.Sprintf("found %s, want %s", n.found(), k.Wants())})
	}
	for _, more := range n.again {
		t.second(k, n.pos, more)
	}
}

// second reports a key or table that is there already. What stands in it is checked all the same, for what it holds but
// not for what it lacks.
func (t *Table) second(k *Key, first Pos, n *node) {
	c := complaint{msg: fmt.Sprintf("given a second time, first at line %d", first.Line)}
	if k.Kind == Group {
		c.hint = "put its keys under the first header"
		part := n
		if n.tables() {
			part = n.items[0]
		}
		s := newTable(t.log, k.Keys, part)
		s.partial = true
		s.check()
	}
	t.say(k, n.pos, c)
}

func (t *Table) checkGroups(k *Key, n *node) {
	single := func(one *node) {
		msg := fmt.Sprintf("found one table, want %s", k.Wants())
		if one.how == headed {
			msg = fmt.Sprintf("found [%s], want [[%s]]", k.Name, k.Name)
		}
		t.say(k, one.pos, complaint{msg: msg})
	}
	var tables []*node
	for _, part := range append([]*node{n}, n.again...) {
		switch {
		case part.form == formTable:
			single(part)
			tables = append(tables, part)
		case part.form != formList:
			t.say(k, part.pos, complaint{msg: fmt.Sprintf("found %s, want %s", part.found(), k.Wants())})
		default:
			for _, item := range part.items {
				if item.form != formTable {
					t.say(k, item.pos, complaint{msg: fmt.Sprintf("found %s, want a table { … }", item.found())})
					continue
				}
				tables = append(tables, item)
			}
		}
	}
	slices.SortStableFunc(tables, func(a, b *node) int {
		if b.pos.Before(a.pos) {
			return 1
		}
		return -1
	})
	if k.MaxLen > 0 && len(tables) > k.MaxLen {
		t.say(k, tables[k.MaxLen].pos, k.checkLen(len(tables)))
		tables = tables[:k.MaxLen] // the rest is too much; to go through it would only make a long list longer
	}
	if n.form == formList && len(n.items) == 0 {
		t.say(k, n.pos, k.checkLen(0))
	}
	for _, table := range tables {
		t.sub(k, table)
	}
}

func (t *Table) sub(k *Key, n *node) {
	s := newTable(t.log, k.Keys, n)
	s.check()
	t.subs[k.Name] = append(t.subs[k.Name], s)
}

func (t *Table) checkList(k *Key, n *node) {
	if n.form != formList {
		c := complaint{msg: fmt.Sprintf("found %s, want %s", n.found(), k.Wants())}
		if n.form != formTable {
			c.hint = "put it into brackets: [ … ]"
			if n.form == formText && k.Spelled != nil {
				c.hint = "put numbers into brackets: [1, 2]"
			}
		}
		t.say(k, n.pos, c)
		return
	}
	t.say(k, n.pos, k.checkLen(len(n.items)))
	items := n.items
	if k.MaxLen > 0 && len(items) > k.MaxLen {
		for _, tooMuch := range items[k.MaxLen:] {
			tooMuch.wrong = true
		}
		items = items[:k.MaxLen]
	}
	for i, item := range items {
		c := k.fault(item)
		if c.msg == "" && k.Distinct && slices.ContainsFunc(items[:i],
			func(other *node) bool { return !other.wrong && other.same(item) }) {
			c.msg = fmt.Sprintf("found %s a second time, want each once", item.found())
		}
		item.wrong = c.msg != ""
		t.say(k, item.pos, c)
	}
}

// same compares two items that are right for one key.
func (n *node) same(other *node) bool {
	return n.text == other.text && n.num == other.num || n.num == other.num && n.form != formText
}

func (k *Key) checkLen(n int) complaint {
	switch {
	case k.MinLen > 0 && k.MinLen == k.MaxLen && n != k.MinLen:
		return complaint{msg: fmt.Sprintf("found %d items, want %d", n, k.MinLen)}
	case n < k.MinLen:
		return complaint{msg: fmt.Sprintf("found %d items, want at least %d", n, k.MinLen)}
	case k.MaxLen > 0 && n > k.MaxLen:
		return complaint{msg: fmt.Sprintf("found %d items, want at most %d", n, k.MaxLen)}
	}
	return complaint{}
}

// fault is what is wrong with a value that is neither a list nor a table, or with an item of a list.
func (k *Key) fault(n *node) complaint {
	switch k.Kind {
	case Text, Texts:
		if n.form == formText {
			return k.textFault(n)
		}
	case Switch:
		if n.form == formSwitch {
			return complaint{}
		}
	case Whole, Wholes:
		if n.form == formWhole && k.holds(n.num) {
			return complaint{}
		}
	default:
		if (n.form == formWhole || n.form == formFraction) && k.holds(n.num) {
			return k.thousands(n)
		}
	}
	if n.form != formText || len(k.Words) == 0 {
		return k.wrong(n, k.quotes(n))
	}
	return k.wordFault(n)
}

// wordFault is what is wrong with a text where a number or one of some words is wanted.
func (k *Key) wordFault(n *node) complaint {
	if slices.Contains(k.Words, n.text) {
		return complaint{}
	}
	if near := Nearest(n.text, k.Words); near != "" {
		return k.wrong(n, fmt.Sprintf("did you mean %q?", near))
	}
	return k.wrong(n, k.quotes(n))
}

// wrong says what was found and what is wanted, of an item in a list of its items.
func (k *Key) wrong(n *node, hint string) complaint {
	one := *k
	switch k.Kind {
	case Texts:
		one.Kind = Text
	case Numbers:
		one.Kind = Number
	case Wholes:
		one.Kind = Whole
	}
	return complaint{fmt.Sprintf("found %s, want %s", n.found(), one.Wants()), hint}
}

// quotes says how a value of another kind is written, or nothing.
func (k *Key) quotes(n *node) string {
	switch k.Kind {
	case Text, Texts:
		if n.form == formWhole || n.form == formFraction || n.form == formDate {
			return "put it into quotes"
		}
	case Switch:
		if n.form == formText && (n.text == "true" || n.text == "false") {
			return "write it without quotes"
		}
		return switchHint(n.text)
	default:
		if n.form == formText {
			return k.textHint(n.text)
		}
		if (n.form == formWhole || n.form == formFraction) && n.num == 0 && k.IfZero != "" {
			return k.IfZero
		}
		if (n.form == formWhole || n.form == formFraction) && k.ZeroMeans != "" {
			return k.ZeroMeans
		}
		return k.shareHint(n)
	}
	return ""
}

func (k *Key) textFault(n *node) complaint {
	s := n.text
	switch {
	case slices.Contains(k.Choices, s):
		return complaint{}
	case len(k.Choices) > 0:
		hint := ""
		if near := Nearest(s, k.Choices); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		return k.wrong(n, hint)
	case s == "" && !k.MayBeNone:
		return complaint{msg: "found an empty text, want some words"}
	case utf8.RuneCountInString(s) > MaxText:
		return complaint{msg: fmt.Sprintf("found a text of %d characters, want at most %d", utf8.RuneCountInString(s),
			MaxText)}
	}
	if strings.Contains(s, "\n") {
		return complaint{msg: "found a text of several lines, want one line"}
	}
	for _, r := range s {
		if unicode.IsControl(r) {
			return complaint{msg: fmt.Sprintf("found the control character %U in a text, want printable characters", r)}
		}
	}
	if s != "" && strings.TrimSpace(s) == "" {
		return complaint{msg: "found only blanks, want some words"}
	}
	return complaint{}
}
