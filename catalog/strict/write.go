package strict

import (
	"fmt"
	"strconv"
	"strings"
)

// TOML writes the table as it may stand in a file: its header, then the keys that it gives, in the order of its key list.
func (t *Table) TOML() string {
	var b strings.Builder
	b.WriteString(t.keys.Name + "\n")
	for i := range t.keys.List {
		k := &t.keys.List[i]
		if t.Given(k.Name) {
			fmt.Fprintf(&b, "%s = %s\n", k.Name, t.inline(k))
		}
	}
	return b.String()
}

func (t *Table) inline(k *Key) string {
	switch k.Kind {
	case Group, Groups:
		var items []string
		for _, s := range t.subs[k.Name] {
			var pairs []string
			for i := range s.keys.List {
				if sk := &s.keys.List[i]; s.Given(sk.Name) {
					pairs = append(pairs, sk.Name+" = "+s.inline(sk))
				}
			}
			items = append(items, "{ "+strings.Join(pairs, ", ")+" }")
		}
		if k.Kind == Group {
			return strings.Join(items, "")
		}
		return "[" + strings.Join(items, ", ") + "]"
	case Texts, Numbers:
		list, _ := t.values[k.Name].([]any)
		items := make([]string, len(list))
		for i, v := range list {
			items[i] = scalar(v)
		}
		return "[" + strings.Join(items, ", ") + "]"
	}
	return scalar(t.values[k.Name])
}

// scalar writes a value that has been checked: its texts hold no control characters.
func scalar(v any) string {
	switch v := v.(type) {
	case string:
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(v) + `"`
	case float64:
		s := strconv.FormatFloat(v, 'f', -1, 64)
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		return s
	}
	return fmt.Sprint(v)
}
