package strict

import (
	"errors"

	"github.com/BurntSushi/toml"
)

// adopt reads the values of src and puts them into the tree that knows their places. The value reader stops at the
// first thing that is wrong with the meaning of a file, a key given twice, say; the tree then keeps what the grammar
// gave, so that the rest can be checked all the same. at is where the value reader stopped; msg is empty when it did
// not.
func adopt(root *node, src []byte) (at Pos, msg string) {
	values := map[string]any{}
	if _, err := toml.Decode(string(src), &values); err != nil {
		var pe toml.ParseError
		if !errors.As(err, &pe) {
			return Pos{1, 1}, err.Error()
		}
		return Pos{max(pe.Position.Line, 1), max(pe.Position.Col, 1)}, pe.Message
	}
	root.take(values)
	return Pos{}, ""
}

// take gives a node, and what stands in it, the values that were read for it.
func (n *node) take(value any) {
	switch v := value.(type) {
	case string:
		n.text = v
	case bool:
		n.on = v
	case int64:
		n.num = float64(v)
	case float64:
		n.num = v
	case map[string]any:
		for name, inner := range v {
			if child := n.keys[name]; child != nil {
				child.take(inner)
			}
		}
	case []map[string]any:
		for i := range min(len(v), len(n.items)) {
			n.items[i].take(v[i])
		}
	case []any:
		for i := range min(len(v), len(n.items)) {
			n.items[i].take(v[i])
		}
	}
}
