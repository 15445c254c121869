// Package edit changes a TOML file in place: its comments, its order and its spacing stay, and only the touched bytes
// change.
//
// [Apply] takes the text of a file and a list of [Change]; a [File] takes them one by one. The package knows TOML and
// nothing of what the keys mean: whoever calls it reads the result again and decides whether to take it.
//
// What stands on the line of a value, such as its comment, stays when the value changes and goes when the key goes. A
// table that is dropped or moved takes along what stands between its header and its last key. Comments above a header
// stay where they are.
package edit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"
)

// A Change is one change to a file.
type Change struct {
	// Do is "set" (a key gets a value), "remove" (a key goes, and its default holds), "add" (one more table of a list),
	// "drop" (a table goes) or "move" (a table of a list goes to another place).
	Do string `json:"do"`
	// Table is the table: "outage", "circuit", "load".
	Table string `json:"table"`
	// At tells which table of a list: the id of a circuit, the name of a load or option. Where a table has no name,
	// Place counts, from 1, in the file as it is when the change comes to it.
	At    string `json:"at,omitempty"`
	Place int    `json:"place,omitempty"`
	// Key is what is set or removed; dots part the keys of tables within: "motor.kw".
	Key string `json:"key,omitempty"`
	// Value is a text, a number, true or false, a list of them, or a table (as in a decoded JSON).
	Value any `json:"value,omitempty"`
	// Values are the keys of a table that is added.
	Values map[string]any `json:"values,omitempty"`
	// Before is the place, from 1, of the table before which a moved one comes to stand; 0: behind the last.
	Before int `json:"before,omitempty"`
}

// names are the keys by which tables of lists are told apart.
var names = map[string]string{"circuit": "id", "load": "name", "option": "name"}

// A Refusal is a change that cannot be made: the place of it in the list, from 0, and why.
type Refusal struct {
	Change int
	Why    string
}

func (r *Refusal) Error() string { return fmt.Sprintf("change %d: %s", r.Change+1, r.Why) }

// Apply makes changes to a file, one after the other, and gives the new text; src stays as it is. src must be valid
// TOML. The error is a [*Refusal].
func Apply(src []byte, changes []Change) ([]byte, error) {
	f := Open(src)
	for i, c := range changes {
		next, err := f.Change(c)
		if err != nil {
			return nil, &Refusal{i, err.Error()}
		}
		f = next
	}
	return f.Text, nil
}

// A File is a text that can be changed. Where everything stands in it is found once: by [File.Look], or else by the
// first change. It may be used by several goroutines.
type File struct {
	Text  []byte
	found func() (*document, error)
}

// Open takes a text, which must be valid TOML and stay as it is.
func Open(text []byte) *File {
	return &File{text, sync.OnceValues(func() (*document, error) { return scan(text) })}
}

// Look finds where everything stands, so that the first change need not.
func (f *File) Look() { _, _ = f.found() } // what is wrong the change tells

// Change makes a change and gives the file that comes of it; f stays as it is.
func (f *File) Change(c Change) (*File, error) {
	d, err := f.found()
	if err != nil {
		return nil, err
	}
	text, err := d.change(c)
	if err != nil {
		return nil, err
	}
	return Open(text), nil
}

func (d *document) change(c Change) ([]byte, error) {
	if c.Table == "" {
		return nil, fmt.Errorf("no table is named")
	}
	if !utf8.ValidString(c.Table) || !utf8.ValidString(c.Key) {
		return nil, fmt.Errorf("a name is not UTF-8")
	}
	table := strings.Split(c.Table, ".")
	if c.Do == "add" {
		return d.add(table, c.Values)
	}
	base, err := d.find(table, c)
	if err != nil {
		return nil, err
	}
	switch c.Do {
	case "set", "remove":
		if c.Key == "" {
			return nil, fmt.Errorf("no key is named")
		}
		key := strings.Split(c.Key, ".")
		if slices.Contains(key, "") {
			return nil, fmt.Errorf("the key %q has an empty part", c.Key)
		}
		if c.Do == "remove" {
			return d.remove(slices.Concat(base, key))
		}
		literal, err := literalOf(c.Value, 0)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Key, err)
		}
		return d.set(base, key, literal)
	case "drop":
		return d.remove(base)
	case "move":
		return d.move(base, c.Before)
	}
	return nil, fmt.Errorf("%q is unknown, want set, remove, add, drop or move", c.Do)
}

// find gives the path of the table that a change is about. One that is no list need not be there.
func (d *document) find(table []string, c Change) (path, error) {
	if c.At == "" && c.Place == 0 {
		if d.length(table) > 0 {
			return nil, fmt.Errorf("%s is a list: say which", c.Table)
		}
		return table, nil
	}
	n := d.length(table)
	if c.At == "" {
		if c.Place < 1 || c.Place > n {
			return nil, fmt.Errorf("there is no %s %d, the file has %d", c.Table, c.Place, n)
		}
		return append(slices.Clone(table), item(c.Place)), nil
	}
	key, named := names[c.Table]
	if !named {
		return nil, fmt.Errorf("the tables of %s have no names", c.Table)
	}
	for i := 1; i <= n; i++ {
		at := append(slices.Clone(table), item(i))
		if e := d.entry(append(slices.Clone(at), key)); e != nil && d.text(e.value) == c.At {
			return at, nil
		}
	}
	return nil, fmt.Errorf("there is no %s %q", c.Table, c.At)
}

// A splice puts text in the place of some bytes.
type splice struct {
	from, to int
	text     string
}

// spliced makes splices that do not overlap.
func (d *document) spliced(list ...splice) []byte {
	slices.SortStableFunc(list, func(a, b splice) int { return cmp.Compare(a.from, b.from) })
	out := make([]byte, 0, len(d.src)+256)
	at := 0
	for _, s := range list {
		out = append(out, d.src[at:s.from]...)
		out = append(out, s.text...)
		at = s.to
	}
	return append(out, d.src[at:]...)
}

// set gives a key of a table a value, where it stands or, where it does not, behind the last key of its table.
func (d *document) set(base path, key []string, literal string) ([]byte, error) {
	full := slices.Concat(base, key)
	if e := d.entry(full); e != nil {
		return d.spliced(splice{e.value.from, e.value.to, literal}), nil
	}
	if d.isTable(full) {
		return nil, fmt.Errorf("%s is a table", strings.Join(key, "."))
	}
	for n := len(full) - 1; n >= 1; n-- {
		within, rest := full[:n], full[n:]
		if e := d.entry(within); e != nil {
			if e.kind != inlineTable {
				return nil, fmt.Errorf("%s is no table", strings.Join(within, "."))
			}
			return d.spliced(e.append(d, keyText(rest)+" = "+literal)), nil
		}
		if h := d.header(within); h != nil {
			return d.spliced(d.line(h, len(h.entries), keyText(rest)+" = "+literal)), nil
		}
		// Keys with dots in the table around it: another one behind them.
		for _, h := range d.headers {
			for i := len(h.entries) - 1; i >= 0; i-- {
				if e := h.entries[i]; len(e.path) > n && e.path[:n].is(within) {
					return d.spliced(d.line(h, i+1, keyText(full[len(h.path):])+" = "+literal)), nil
				}
			}
		}
	}
	return d.spliced(d.atEnd("[" + keyText(base) + "]" + d.nl + keyText(key) + " = " + literal + d.nl)), nil
}

// remove takes out a value or a whole table, in whatever way it is written. What is not there is no fault.
func (d *document) remove(full path) ([]byte, error) {
	if e := d.entry(full); e != nil {
		return d.spliced(e.out(d)), nil
	}
	var list []splice
	for _, h := range d.headers {
		if len(h.path) >= len(full) && h.path[:len(full)].is(full) {
			list = append(list, d.withoutBlanks(h.from, h.end()))
			continue
		}
		for _, e := range h.entries {
			if len(e.path) > len(full) && e.path[:len(full)].is(full) {
				list = append(list, e.out(d))
			}
		}
	}
	return d.spliced(list...), nil
}

// add puts one more table at the end of a list, a load behind the last of its circuit.
func (d *document) add(list []string, values map[string]any) ([]byte, error) {
	keys := make([]string, 0, len(values))
	for key := range values {
		if key == "" || !utf8.ValidString(key) {
			return nil, fmt.Errorf("a key is empty, or not UTF-8")
		}
		keys = append(keys, key)
	}
	first := []string{"id", "name", "use", "label", "circuit"}
	rank := func(key string) int {
		if i := slices.Index(first, key); i >= 0 {
			return i
		}
		return len(first)
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b)) })
	var lines []string
	for _, key := range keys {
		literal, err := literalOf(values[key], 0)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
		lines = append(lines, keyText([]string{key})+" = "+literal)
	}
	if e := d.entry(path(list)); e != nil {
		if e.kind != array {
			return nil, fmt.Errorf("%s is no list", strings.Join(list, "."))
		}
		return d.spliced(e.append(d, "{ "+strings.Join(lines, ", ")+" }")), nil
	}
	n := d.length(list)
	if n == 0 && d.isTable(list) {
		return nil, fmt.Errorf("%s is no list", strings.Join(list, "."))
	}
	block := "[[" + keyText(list) + "]]" + d.nl
	if len(lines) > 0 {
		block += strings.Join(lines, d.nl) + d.nl
	}
	if n == 0 {
		return d.spliced(d.atEnd(block)), nil
	}
	behind := n
	if circuit, ok := values["circuit"].(string); ok {
		for i := n; i >= 1; i-- {
			if e := d.entry(append(slices.Clone(path(list)), item(i), "circuit")); e != nil &&
				d.text(e.value) == circuit {
				behind = i
				break
			}
		}
	}
	_, end := d.block(append(slices.Clone(path(list)), item(behind)))
	return d.spliced(d.below(end, block)), nil
}

// move takes a table of a list out and puts it before another one, or behind the last.
func (d *document) move(table path, before int) ([]byte, error) {
	list := table[:len(table)-1]
	n := d.length(list)
	if n == 0 || d.entry(list) != nil {
		return nil, fmt.Errorf("only tables with a header of their own can be moved")
	}
	if before < 0 || before > n {
		return nil, fmt.Errorf("there is no place %d, the file has %d", before, n)
	}
	from, to := d.block(table)
	if from < 0 {
		return nil, fmt.Errorf("the parts of the table do not stand together")
	}
	target := append(slices.Clone(list), item(cmp.Or(before, n)))
	if target.is(table) {
		return slices.Clone(d.src), nil
	}
	start, end := d.block(target)
	if start < 0 {
		return nil, fmt.Errorf("the parts of the table at that place do not stand together")
	}
	text := string(d.src[from:to])
	if !strings.HasSuffix(text, "\n") {
		text += d.nl
	}
	cut := d.withoutBlanks(from, to)
	if before == 0 {
		return d.spliced(cut, d.below(end, text)), nil
	}
	return d.spliced(cut, splice{start, start, text + d.nl}), nil
}
