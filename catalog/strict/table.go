package strict

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Table is one checked table of a file. The getters give the value of a key that is present and valid, or its
// default, which is then noted for [Defaults]; ok is false when there is neither.
type Table struct {
	log      *log
	keys     *Keys
	name     string // for messages
	pos      Pos
	values   map[string]*node
	order    []string
	bad      map[string]bool     // keys that a problem has been reported at
	misspelt map[string]*node    // keys that are not there, but that an unknown one most likely means
	subs     map[string][]*Table // of Group and Groups keys
	defaults []Default
	partial  bool            // a second part of a table: what it lacks may stand in the first
	below    map[string]bool // keys that come from the table over which this one was laid
}

func newTable(l *log, keys *Keys, n *node) *Table {
	return &Table{log: l, keys: keys, name: keys.Name, pos: n.pos, values: n.keys, order: n.order,
		bad: map[string]bool{}, misspelt: map[string]*node{}, subs: map[string][]*Table{}}
}

// check reports unknown keys, wrong types and ranges, missing keys and keys that exclude each other, also below.
func (t *Table) check() {
	for _, name := range t.order {
		n := t.values[name]
		if k := t.keys.find(name); k != nil {
			t.checkValue(k, n)
		} else {
			t.unknown(name, n)
		}
	}
	for i := range t.keys.List {
		if k := &t.keys.List[i]; k.Required && !t.partial && !t.Has(k.Name) {
			t.missing(k)
		}
	}
	for _, group := range t.keys.AtMostOne {
		t.exclude(group)
	}
	for _, group := range t.keys.OneOf {
		t.exclude(group)
		if t.partial {
			continue
		}
		if !slices.ContainsFunc(group, t.Has) {
			t.log.report(t.pos, "", "missing key%s: want one of %s", t.in(), anyOf(group))
			t.bad[group[0]] = true
		}
	}
}

// unknown reports a key that the table does not know. The key that it most likely means counts as given: that it is
// missing, and all that is said for want of it, would be noise. A table is read as the one that it means.
func (t *Table) unknown(name string, n *node) {
	t.bad[name] = true
	near := Nearest(name, t.keys.names())
	hint := t.suggest(name, near)
	if k, from, to, ok := t.keys.otherUnit(name); ok {
		near, hint = k.Name, unitHint(k, from, to, n)
	}
	for _, at := range n.places() {
		t.log.report(at, hint, "unknown key %s%s", Quote(name), t.in())
	}
	if near == "" {
		return
	}
	k := t.keys.find(near)
	there := t.Has(near)
	if !there {
		t.misspelt[near] = n
		t.bad[near] = true
	}
	if (k.Kind == Groups || k.Kind == Group && !there) && (n.form == formTable || n.form == formList) {
		t.checkValue(k, n)
	}
}

// places are where the headers of a name stand, or the one place of a key.
func (n *node) places() []Pos {
	var at []Pos
	if n.tables() {
		for _, item := range n.items {
			at = append(at, item.pos)
		}
	} else {
		at = append(at, n.pos)
	}
	for _, more := range n.again {
		at = append(at, more.pos)
	}
	return at
}

func (t *Table) missing(k *Key) {
	switch k.Kind {
	case Group, Groups:
		t.log.report(t.pos, "", "missing table %s%s", k.Keys.Name, t.in())
	default:
		t.Missing(k.Name, k.Wants())
	}
}

// exclude reports all but the earliest of the given keys of a group.
func (t *Table) exclude(group []string) {
	var given []string
	for _, name := range group {
		if t.values[name] != nil {
			given = append(given, name)
		}
	}
	slices.SortStableFunc(given, func(a, b string) int {
		pa, pb := t.Pos(a), t.Pos(b)
		return cmp.Or(cmp.Compare(pa.Line, pb.Line), cmp.Compare(pa.Col, pb.Col))
	})
	for i := 1; i < len(given); i++ {
		t.Report(given[i], "", "excludes %s of line %d: give only one", given[0], t.Pos(given[0]).Line)
	}
}

// in names the table for a message: the root has no name.
func (t *Table) in() string {
	if t.name == "" {
		return ""
	}
	return " in " + t.name
}

// suggest says what an unknown key may mean.
func (t *Table) suggest(name, near string) string {
	if near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if homes := t.log.root.homes(name, nil); len(homes) > 0 {
		return fmt.Sprintf("%s is a key of %s", name, strings.Join(homes, ", "))
	}
	if t.name == "" {
		return "the tables of the file are " + strings.Join(t.keys.names(), ", ")
	}
	return "the keys of " + t.name + " are " + strings.Join(t.keys.names(), ", ")
}

// homes are the tables of ks, and below, that know a key.
func (ks *Keys) homes(name string, found []string) []string {
	for i := range ks.List {
		k := &ks.List[i]
		if k.Name == name && ks.Name != "" && !slices.Contains(found, ks.Name) {
			found = append(found, ks.Name)
		}
		if k.Keys != nil {
			found = k.Keys.homes(name, found)
		}
	}
	return found
}
