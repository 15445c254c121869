package strict

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// A Table is one checked table of a file. The getters give the value of a key that is present and valid, or its
// default, which is then noted for [Table.Defaults]; ok is false when there is neither.
type Table struct {
	log    *log
	keys   *Keys
	where  *place
	values map[string]any
	bad    map[string]bool // keys whose value has been reported
	subs   map[string][]*Table
}

// check reports unknown keys, wrong types and ranges, missing keys and keys that exclude each other, also below.
func (t *Table) check() {
	t.bad = map[string]bool{}
	t.subs = map[string][]*Table{}
	for name, value := range t.values {
		k := t.keys.find(name)
		if k == nil {
			t.bad[name] = true
			t.log.report(t.Pos(name), t.suggest(name), "unknown key %s%s", Quote(name), t.in())
			continue
		}
		if msg := t.checkValue(k, value); msg != "" {
			t.bad[name] = true
			t.log.report(t.Pos(name), "", "%s%s: %s", name, t.in(), msg)
		}
	}
	for i := range t.keys.List {
		if k := &t.keys.List[i]; k.Required && !t.Has(k.Name) {
			t.missing(k)
		}
	}
	for _, group := range t.keys.AtMostOne {
		t.exclude(group)
	}
	for _, group := range t.keys.OneOf {
		if given := t.exclude(group); given == 0 {
			t.log.report(t.Here(), "", "missing key%s: one of %s is wanted", t.in(), quoteAll(group))
		}
	}
}

func (t *Table) missing(k *Key) {
	switch k.Kind {
	case Group, Groups:
		t.log.report(t.Here(), "", "missing table %s", k.Keys.Name)
	default:
		t.log.report(t.Here(), "", "missing key %q%s: want %s", k.Name, t.in(), k.Wants())
	}
}

// exclude reports all but the earliest of the given keys of a group, and counts the given ones.
func (t *Table) exclude(group []string) int {
	var given []string
	for _, name := range group {
		if t.Has(name) {
			given = append(given, name)
		}
	}
	slices.SortStableFunc(given, func(a, b string) int {
		pa, pb := t.Pos(a), t.Pos(b)
		if pa.Line != pb.Line {
			return pa.Line - pb.Line
		}
		return pa.Col - pb.Col
	})
	for i := 1; i < len(given); i++ {
		t.bad[given[i]] = true
		t.log.report(t.Pos(given[i]), "", "%s%s: excludes %s, which stands before it; give one of them", given[i], t.in(), given[0])
	}
	return len(given)
}

// checkValue returns what is wrong with a value, or "". Problems inside tables are reported at their own places.
func (t *Table) checkValue(k *Key, value any) string {
	wrong := func() string { return fmt.Sprintf("found %s, want %s", found(value), k.Wants()) }
	switch k.Kind {
	case Text:
		s, ok := value.(string)
		if !ok {
			return wrong()
		}
		return checkText(k, s)
	case Number, Whole:
		v, whole, ok := asNumber(value)
		if !ok || (k.Kind == Whole && !whole) || !k.holds(v) {
			return wrong()
		}
	case Switch:
		if _, ok := value.(bool); !ok {
			return wrong()
		}
	case Texts, Numbers:
		list, ok := value.([]any)
		if !ok {
			return wrong()
		}
		if msg := k.checkLen(len(list)); msg != "" {
			return msg
		}
		for i, item := range list {
			if msg := checkItem(k, item); msg != "" {
				return fmt.Sprintf("item %d: %s", i+1, msg)
			}
		}
	case Group:
		m, ok := value.(map[string]any)
		if !ok {
			return wrong()
		}
		t.sub(k, m, t.where.child(k.Name))
	case Groups:
		list, ok := asTables(value)
		if !ok {
			return wrong()
		}
		if msg := k.checkLen(len(list)); msg != "" {
			return msg
		}
		for i, m := range list {
			t.sub(k, m, t.where.child(k.Name).item(i))
		}
	}
	return ""
}

func (t *Table) sub(k *Key, values map[string]any, where *place) {
	if where == nil {
		where = &place{pos: t.Pos(k.Name)}
	}
	s := &Table{log: t.log, keys: k.Keys, where: where, values: values}
	s.check()
	t.subs[k.Name] = append(t.subs[k.Name], s)
}

func (k *Key) checkLen(n int) string {
	switch {
	case k.MinLen > 0 && k.MinLen == k.MaxLen && n != k.MinLen:
		return fmt.Sprintf("found %d items, want %d", n, k.MinLen)
	case n < k.MinLen:
		return fmt.Sprintf("found %d items, want at least %d", n, k.MinLen)
	case k.MaxLen > 0 && n > k.MaxLen:
		return fmt.Sprintf("found %d items, want at most %d", n, k.MaxLen)
	}
	return ""
}

func checkItem(k *Key, item any) string {
	if k.Kind == Texts {
		s, ok := item.(string)
		if !ok {
			return fmt.Sprintf("found %s, want a text", found(item))
		}
		return checkText(k, s)
	}
	v, _, ok := asNumber(item)
	if !ok || !k.holds(v) {
		return fmt.Sprintf("found %s, want a number %s", found(item), k.span())
	}
	return ""
}

func checkText(k *Key, s string) string {
	switch {
	case len(k.Choices) > 0 && !slices.Contains(k.Choices, s):
		msg := fmt.Sprintf("found %s, want %s", found(s), k.Wants())
		if near := Nearest(s, k.Choices); near != "" {
			msg += fmt.Sprintf("; did you mean %q?", near)
		}
		return msg
	case s == "" && !k.MayBeNone && len(k.Choices) == 0:
		return "found an empty text, want some words"
	case utf8.RuneCountInString(s) > MaxText:
		return fmt.Sprintf("found a text of %d characters, want at most %d", utf8.RuneCountInString(s), MaxText)
	}
	for _, r := range s {
		if unicode.IsControl(r) {
			return fmt.Sprintf("found the control character %U in a text, want printable characters", r)
		}
	}
	if strings.TrimSpace(s) == "" && s != "" {
		return "found only blanks, want some words"
	}
	return ""
}

func asNumber(v any) (x float64, whole, ok bool) {
	switch v := v.(type) {
	case int64:
		return float64(v), true, true
	case float64:
		return v, false, true
	}
	return 0, false, false
}

// asTables takes both shapes in which the value reader gives a list of tables.
func asTables(v any) ([]map[string]any, bool) {
	switch v := v.(type) {
	case []map[string]any:
		return v, true
	case []any:
		list := make([]map[string]any, len(v))
		for i, item := range v {
			m, ok := item.(map[string]any)
			if !ok {
				return nil, false
			}
			list[i] = m
		}
		return list, true
	}
	return nil, false
}

// in names the table for a message: the root has no name.
func (t *Table) in() string {
	if t.keys.Name == "" {
		return ""
	}
	return " in " + t.keys.Name
}

func (t *Table) suggest(name string) string {
	if near := Nearest(name, t.keys.names()); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	what := "the keys of " + t.keys.Name + " are"
	if t.keys.Name == "" {
		what = "the tables of the file are"
	}
	return what + " " + strings.Join(t.keys.names(), ", ")
}

// Nearest is the candidate that a misspelt word most likely means, or "" when none is near. Of equally near ones the one that
// begins alike longest is taken, as people get the beginnings of words right; then the earlier.
func Nearest(word string, candidates []string) string {
	if utf8.RuneCountInString(word) > 60 {
		return ""
	}
	lower := strings.ToLower(word)
	best, bestDistance, bestAlike := "", max(2, utf8.RuneCountInString(word)/3)+1, 0
	for _, c := range candidates {
		other := strings.ToLower(c)
		d, alike := levenshtein.ComputeDistance(lower, other), commonPrefix(lower, other)
		if d < bestDistance || (d == bestDistance && best != "" && alike > bestAlike) {
			best, bestDistance, bestAlike = c, d, alike
		}
	}
	return best
}

func commonPrefix(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}
