package strict

import (
	"fmt"
	"strconv"
	"strings"
)

// TOML writes the table as it may stand in a file: its header, then the keys that it gives, in the order of its key
// list.
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
	var items []string
	switch k.Kind {
	case Group, Groups:
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
	case Texts, Numbers, Wholes:
		for _, item := range t.values[k.Name].items {
			items = append(items, item.scalar())
		}
	default:
		return t.values[k.Name].scalar()
	}
	return "[" + strings.Join(items, ", ") + "]"
}

// scalar writes a value that has been checked: its texts hold no control characters, its numbers stand as the user
// wrote them.
func (n *node) scalar() string {
	switch n.form {
	case formText:
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(n.text) + `"`
	case formSwitch:
		return strconv.FormatBool(n.on)
	}
	return n.text
}
