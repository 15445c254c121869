package strict

import (
	"fmt"
	"iter"
)

// Has says whether the file gives the key, rightly, wrongly or misspelt.
func (t *Table) Has(name string) bool {
	return t.values[name] != nil || t.misspelt[name] != nil
}

// Given says whether the file gives the key with a valid value.
func (t *Table) Given(name string) bool { return t.values[name] != nil && !t.bad[name] }

// Sound says whether nothing has been reported at any of the keys, given or not. What compares several keys asks
// first: an error in one must not be followed by another that only comes of it.
func (t *Table) Sound(names ...string) bool {
	for _, name := range names {
		if t.bad[name] {
			return false
		}
	}
	return true
}

// Knows says whether the table may hold the key at all.
func (t *Table) Knows(name string) bool { return t.keys.find(name) != nil }

// Here is the place of the table's header.
func (t *Table) Here() Pos { return t.pos }

// Pos is the place of a key, or of the table's header where the key is missing.
func (t *Table) Pos(name string) Pos {
	if n := t.values[name]; n != nil {
		return n.pos
	}
	if n := t.misspelt[name]; n != nil {
		return n.pos
	}
	return t.pos
}

// Report adds a problem at a key, or at the header when the key is missing. The message starts with the key's name.
func (t *Table) Report(name, hint, format string, args ...any) {
	t.say(&Key{Name: name}, t.Pos(name), complaint{fmt.Sprintf(format, args...), hint})
}

// ReportItem adds a problem at an item, from 0, of a key's list.
func (t *Table) ReportItem(name string, item int, hint, format string, args ...any) {
	at := t.Pos(name)
	if n := t.values[name]; n != nil && item < len(n.items) {
		at = n.items[item].pos
	}
	t.say(&Key{Name: name}, at, complaint{fmt.Sprintf(format, args...), hint})
}

// Problems is all that is wrong with the file so far, in the order of the file; nil when nothing is.
func (t *Table) Problems() Problems {
	if len(t.log.problems) == 0 {
		return nil
	}
	return t.log.sorted()
}

// lookup gives a valid value, or the default as a node of its own. It panics for a key that the table does not know: a
// slip of the programmer's, not of the user's.
func (t *Table) lookup(name string) (*node, bool) {
	k := t.keys.find(name)
	switch {
	case k == nil:
		panic(fmt.Sprintf("strict: key %q is not in %s", name, t.keys.Name))
	case t.bad[name]:
		return nil, false
	case t.values[name] != nil:
		return t.values[name], true
	case k.Default == nil:
		return nil, false
	}
	t.NoteDefault(name, k.defaultText())
	switch v := k.Default.(type) {
	case float64:
		return &node{form: formFraction, num: v}, true
	case int:
		return &node{form: formWhole, num: float64(v)}, true
	case string:
		return &node{form: formText, text: v}, true
	case bool:
		return &node{form: formSwitch, on: v}, true
	}
	panic(fmt.Sprintf("strict: the default of %q in %s is a %T", name, t.keys.Name, k.Default))
}

// Number gives a Number or Whole as a float64; not one for which the file gives a word, see [Table.Word].
func (t *Table) Number(name string) (float64, bool) {
	n, ok := t.lookup(name)
	if !ok || n.form == formText {
		return 0, false
	}
	return n.number(), true
}

// Word gives the word that stands in the place of a Number or Whole.
func (t *Table) Word(name string) (string, bool) {
	n, ok := t.lookup(name)
	if !ok || n.form != formText {
		return "", false
	}
	return n.text, true
}

// number has no negative zero: nobody means it, and it would show.
func (n *node) number() float64 {
	if n.num == 0 {
		return 0
	}
	return n.num
}

// Whole gives a Whole.
func (t *Table) Whole(name string) (int, bool) {
	x, ok := t.Number(name)
	return int(x), ok
}

// Text gives a Text.
func (t *Table) Text(name string) (string, bool) {
	n, ok := t.lookup(name)
	if !ok {
		return "", false
	}
	return n.text, true
}

// AsWritten gives a text even where it has been found wrong: what other tables say about it is not wrong for that.
func (t *Table) AsWritten(name string) (string, bool) {
	n := t.values[name]
	if n == nil {
		n = t.misspelt[name]
	}
	if n == nil || n.form != formText {
		return "", false
	}
	return n.text, true
}

// Switch gives a Switch.
func (t *Table) Switch(name string) (bool, bool) {
	n, ok := t.lookup(name)
	if !ok {
		return false, false
	}
	return n.on, true
}

// Texts gives a list of texts.
func (t *Table) Texts(name string) ([]string, bool) {
	n, ok := t.lookup(name)
	if !ok {
		return nil, false
	}
	out := make([]string, len(n.items))
	for i, item := range n.items {
		out[i] = item.text
	}
	return out, true
}

// EachText gives those items of a list of texts that are valid, with their place in the list from 0, whatever the
// others are.
func (t *Table) EachText(name string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		n := t.values[name]
		if n == nil {
			return
		}
		for i, item := range n.items {
			if item.form == formText && !item.wrong && !yield(i, item.text) {
				return
			}
		}
	}
}

// Numbers gives a list of numbers.
func (t *Table) Numbers(name string) ([]float64, bool) {
	n, ok := t.lookup(name)
	if !ok {
		return nil, false
	}
	out := make([]float64, len(n.items))
	for i, item := range n.items {
		out[i] = item.number()
	}
	return out, true
}

// Tables gives the tables of a Groups key, or the one of a Group, in the order of the file.
func (t *Table) Tables(name string) []*Table {
	if t.keys.find(name) == nil {
		panic(fmt.Sprintf("strict: key %q is not in %s", name, t.keys.Name))
	}
	return t.subs[name]
}

// Table gives the table of a Group key, or nil.
func (t *Table) Table(name string) *Table {
	if subs := t.Tables(name); len(subs) > 0 {
		return subs[0]
	}
	return nil
}

// Missing reports a key that is wanted for reasons of the caller's; wants says what it may hold.
func (t *Table) Missing(name, wants string) { t.missingOr(name, wants, "") }

func (t *Table) missingOr(name, wants, hint string) {
	if t.bad[name] {
		return // said of this table, or of the one below it
	}
	t.bad[name] = true
	t.log.report(t.pos, hint, "missing key %q%s: want %s", name, t.in(), wants)
}

// RequireAlone reports those keys that are missing from a table that begins from no entry of a catalog, with a hint at
// the last; ok is false if there are any, or wrong ones among them.
func (t *Table) RequireAlone(hint string) (ok bool) {
	var names []string
	for i := range t.keys.List {
		if k := &t.keys.List[i]; k.Alone && (k.Unless == "" || !t.Has(k.Unless)) {
			names = append(names, k.Name)
		}
	}
	return t.requireOr(hint, names...)
}

// Require reports those of the keys that are missing, and says whether all are there and valid.
func (t *Table) Require(names ...string) bool { return t.requireOr("", names...) }

// requireOr is Require with a hint, which is said once, with the last key that is missing.
func (t *Table) requireOr(hint string, names ...string) bool {
	ok, last := true, ""
	for _, name := range names {
		if !t.Has(name) && !t.bad[name] {
			last = name
		}
	}
	for _, name := range names {
		k, say := t.keys.find(name), ""
		if name == last {
			say = hint
		}
		switch {
		case t.Has(name):
		case k.Kind == Group || k.Kind == Groups:
			t.missing(k)
		default:
			t.missingOr(name, k.Wants(), say)
		}
		ok = ok && t.Given(name)
	}
	return ok
}

// Faulty says whether the value of a key that the table knows, or of one below it, has been reported.
func (t *Table) Faulty() bool {
	if !t.Sound(t.keys.names()...) {
		return true
	}
	for _, subs := range t.subs {
		for _, s := range subs {
			if s.Faulty() {
				return true
			}
		}
	}
	return false
}
