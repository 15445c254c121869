package strict

import (
	"fmt"
	"slices"
)

// Has says whether the file gives the key, rightly or wrongly.
func (t *Table) Has(name string) bool { _, ok := t.values[name]; return ok }

// Given says whether the file gives the key with a valid value.
func (t *Table) Given(name string) bool { return t.Has(name) && !t.bad[name] }

// Here is the place of the table's header.
func (t *Table) Here() Pos { return t.where.pos }

// Pos is the place of a key, or of the table's header where the key is missing.
func (t *Table) Pos(name string) Pos {
	if p := t.where.child(name); p != nil {
		return p.pos
	}
	return t.Here()
}

// Report adds a problem at a key, or at the header when the key is missing. The message starts with the key's name.
func (t *Table) Report(name, hint, format string, args ...any) {
	t.bad[name] = true
	t.log.report(t.Pos(name), hint, "%s%s: %s", name, t.in(), fmt.Sprintf(format, args...))
}

// Problems is all that is wrong with the file so far, in the order of the file; nil when nothing is.
func (t *Table) Problems() Problems {
	if len(t.log.problems) == 0 {
		return nil
	}
	return t.log.sorted()
}

// Defaults lists the defaults that getters gave out, in the order of their first use.
func (t *Table) Defaults() []Default { return t.log.defaults }

// NoteDefault adds a default that was not the table's own: one by chemistry, say.
func (t *Table) NoteDefault(key, value string) { t.log.defaulted(t.keys.Name, key, value) }

// lookup gives a valid value or the default. It panics for a key that the table does not know: a slip of the
// programmer's, not of the user's.
func (t *Table) lookup(name string) (v any, fromFile, ok bool) {
	k := t.keys.find(name)
	if k == nil {
		panic(fmt.Sprintf("strict: key %q is not in %s", name, t.keys.Name))
	}
	if t.Has(name) {
		return t.values[name], true, !t.bad[name]
	}
	if k.Default == nil {
		return nil, false, false
	}
	t.log.defaulted(t.keys.Name, name, k.defaultText())
	return k.Default, false, true
}

// Number gives a Number or Whole as a float64.
func (t *Table) Number(name string) (float64, bool) {
	v, _, ok := t.lookup(name)
	if !ok {
		return 0, false
	}
	switch v := v.(type) {
	case int64:
		return float64(v), true
	case int:
		return float64(v), true
	}
	x, ok := v.(float64)
	return x, ok
}

// Whole gives a Whole.
func (t *Table) Whole(name string) (int, bool) {
	x, ok := t.Number(name)
	return int(x), ok
}

// Text gives a Text.
func (t *Table) Text(name string) (string, bool) {
	v, _, ok := t.lookup(name)
	if !ok {
		return "", false
	}
	s, ok := v.(string)
	return s, ok
}

// Switch gives a Switch.
func (t *Table) Switch(name string) (bool, bool) {
	v, _, ok := t.lookup(name)
	if !ok {
		return false, false
	}
	b, ok := v.(bool)
	return b, ok
}

// Texts gives a list of texts.
func (t *Table) Texts(name string) ([]string, bool) {
	v, _, ok := t.lookup(name)
	if !ok {
		return nil, false
	}
	list, _ := v.([]any)
	out := make([]string, len(list))
	for i, item := range list {
		out[i], _ = item.(string)
	}
	return out, true
}

// Numbers gives a list of numbers.
func (t *Table) Numbers(name string) ([]float64, bool) {
	v, _, ok := t.lookup(name)
	if !ok {
		return nil, false
	}
	list, _ := v.([]any)
	out := make([]float64, len(list))
	for i, item := range list {
		out[i], _, _ = asNumber(item)
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
	if subs := t.Tables(name); len(subs) == 1 {
		return subs[0]
	}
	return nil
}

// Knows says whether the table may hold the key at all.
func (t *Table) Knows(name string) bool { return t.keys.find(name) != nil }

// Require reports those of the keys that are missing, and says whether all are there and valid.
func (t *Table) Require(names ...string) bool {
	ok := true
	for _, name := range names {
		if !t.Has(name) {
			t.missing(t.keys.find(name))
		}
		ok = ok && t.Given(name)
	}
	return ok
}

// Faulty says whether the value of a key of this table, or of one below it, has been reported.
func (t *Table) Faulty() bool {
	if len(t.bad) > 0 {
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

// Over lays the values of t over those of base, which holds the same keys: where both give a key, t's value and place
// count. Keys of base named in drop are left out. Both tables have been checked already.
func (t *Table) Over(base *Table, drop ...string) *Table {
	m := &Table{log: t.log, keys: t.keys, where: &place{pos: t.Here(), keys: map[string]*place{}},
		values: map[string]any{}, bad: map[string]bool{}, subs: map[string][]*Table{}}
	for _, from := range []*Table{base, t} {
		for name, value := range from.values {
			if from == base && slices.Contains(drop, name) {
				continue
			}
			m.values[name], m.bad[name], m.subs[name] = value, from.bad[name], from.subs[name]
			m.where.keys[name] = &place{pos: from.Pos(name)}
			if !m.bad[name] {
				delete(m.bad, name)
			}
		}
	}
	return m
}

// Only is the table with no other keys than the named ones.
func (t *Table) Only(names ...string) *Table {
	var drop []string
	for name := range t.values {
		if !slices.Contains(names, name) {
			drop = append(drop, name)
		}
	}
	return Empty(t.keys).Over(t, drop...)
}

// Empty is a table that gives nothing but defaults, for a table that a file leaves out.
func Empty(keys *Keys) *Table {
	return &Table{log: &log{}, keys: keys, where: &place{}, values: map[string]any{}, bad: map[string]bool{}, subs: map[string][]*Table{}}
}
