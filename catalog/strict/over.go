package strict

import (
	"maps"
	"slices"
)

// Over lays the values of t over those of base, which holds the same keys: where both give a key, t's counts. Keys of
// base named in drop are left out. Both tables have been checked already.
//
// What is reported of the outcome is reported in t: base is sound by itself, or has been reported itself.
func (t *Table) Over(base *Table, drop ...string) *Table {
	m := &Table{log: t.log, keys: base.keys, name: t.name, pos: t.pos, values: map[string]*node{},
		bad: map[string]bool{}, misspelt: map[string]*node{}, subs: map[string][]*Table{}, below: map[string]bool{}}
	for _, from := range []*Table{base, t} {
		for _, name := range from.order {
			if from == base && slices.Contains(drop, name) {
				continue
			}
			n := *from.values[name]
			if from == base {
				if n.lies == (Pos{}) {
					n.lies = n.pos
				}
				n.pos = t.pos
			}
			m.values[name], m.subs[name] = &n, from.subs[name]
			m.order = append(m.order, name)
			m.below[name] = from == base
			delete(m.bad, name)
		}
		for name := range from.bad {
			if from == t || !slices.Contains(drop, name) {
				m.bad[name] = true
			}
		}
		for name, meant := range from.misspelt {
			if from == t || !slices.Contains(drop, name) {
				m.misspelt[name] = meant
			}
		}
	}
	slices.Sort(m.order)
	m.order = slices.Compact(m.order)
	return m
}

// Gives says whether the file gives one of the keys in the table itself, and not only in one that it was laid over.
func (t *Table) Gives(names ...string) bool {
	return slices.ContainsFunc(names, func(name string) bool { return t.Has(name) && !t.below[name] })
}

// Only is the table with no other keys than the named ones.
func (t *Table) Only(names ...string) *Table {
	return Empty(t.keys).Over(t, slices.DeleteFunc(t.known(),
		func(name string) bool { return slices.Contains(names, name) })...)
}

// known are all keys that the table gives, reported, or should have been spelt.
func (t *Table) known() []string {
	all := maps.Clone(t.bad)
	for name := range t.values {
		all[name] = true
	}
	for name := range t.misspelt {
		all[name] = true
	}
	return slices.Sorted(maps.Keys(all))
}

// Empty is a table that gives nothing but defaults, for a table that a file leaves out.
func Empty(keys *Keys) *Table { return newTable(&log{}, keys, &node{}) }
