package strict

import (
	"maps"
	"slices"
)

// Filled gives t with the values of base for those keys that t knows and does not give itself, but for the ones named
// in drop: an entry of a catalog under a table of a site file that names it.
//
// base has been checked, and stays as it is. Its values stand in another file: what is reported of them is reported in
// the file of t, at the key `at`.
func (t *Table) Filled(base *Table, at string, drop ...string) *Table {
	place := t.Pos(at)
	m := t.Over(base.placed(t.log, t.keys, place), drop...)
	for name, below := range m.below {
		if below {
			m.values[name].pos = place
		}
	}
	return m
}

// placed is a copy of a table with all that stands in it at one place of another file. Keys that the new list does not
// know are left out.
func (t *Table) placed(l *log, keys *Keys, at Pos) *Table {
	c := &Table{log: l, keys: keys, name: keys.Name, pos: at, values: map[string]*node{}, bad: map[string]bool{},
		misspelt: map[string]*node{},
		subs:     map[string][]*Table{}}
	for _, name := range t.order {
		if keys.find(name) == nil || t.bad[name] {
			continue
		}
		c.order = append(c.order, name)
		c.values[name] = t.values[name].placed(at)
		for _, s := range t.subs[name] {
			c.subs[name] = append(c.subs[name], s.placed(l, s.keys, at))
		}
	}
	return c
}

func (n *node) placed(at Pos) *node {
	c := *n
	c.pos, c.again, c.far = at, nil, true
	c.items = nil
	for _, item := range n.items {
		c.items = append(c.items, item.placed(at))
	}
	c.keys = maps.Clone(n.keys)
	for name, below := range c.keys {
		c.keys[name] = below.placed(at)
	}
	return &c
}

// Line is the line of the file at which a key of the table stands, whatever the table was laid over; ok is false where
// the file does not give it.
func (t *Table) Line(name string) (line int, ok bool) {
	n := t.values[name]
	switch {
	case n == nil || n.far:
		return 0, false
	case n.lies != (Pos{}):
		return n.lies.Line, true
	}
	return n.pos.Line, true
}

// FromBase says whether the value of a key comes from the table under t, see [Table.Filled].
func (t *Table) FromBase(name string) bool { return t.below[name] }

// Filling lists the keys whose values come from the table under t, in the order of the key list.
func (t *Table) Filling() []string {
	return slices.DeleteFunc(t.keys.names(), func(name string) bool { return !t.below[name] })
}

// Written is the value of a key as a file would give it, with its unit; "" where the table does not give it.
func (t *Table) Written(name string) string {
	k := t.keys.find(name)
	if k == nil || !t.Given(name) {
		return ""
	}
	text := t.inline(k)
	if k.Unit != "" {
		text += " " + k.Unit
	}
	return text
}
