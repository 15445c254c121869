package strict

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// schemaDraft is the edition of JSON Schema in which the keys of a file are told.
const schemaDraft = "https://json-schema.org/draft/2020-12/schema"

// plainText is one line with something to read on it, as a text must be. The escapes are those that JavaScript and Go
// share.
const plainText = `^[^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f][^\x00-\x1f\x7f-\x9f]*$`

// Schema is the JSON Schema of a file with these keys, for editors and other programs: kinds, ranges, words, lengths,
// what must be given and what excludes what. What hangs on more than that, on another key's value, say, only the reader
// knows.
func (ks *Keys) Schema(id, title string) map[string]any {
	s := ks.schema()
	s["$schema"], s["$id"], s["title"] = schemaDraft, id, title
	return s
}

func (ks *Keys) schema() map[string]any {
	properties := map[string]any{}
	var needed, alone []string
	var rules []any
	for i := range ks.List {
		k := &ks.List[i]
		properties[k.Name] = k.schema()
		switch {
		case k.Required:
			needed = append(needed, k.Name)
		case k.Alone && k.Unless == "":
			alone = append(alone, k.Name)
		}
	}
	begins := ks.find("use") != nil
	if !begins {
		needed, alone = append(needed, alone...), nil
	} else if alone != nil {
		rules = append(rules, given("use").orElse(map[string]any{"required": alone}))
	}
	for i := range ks.List {
		if k := &ks.List[i]; k.Alone && k.Unless != "" {
			either := []any{given(k.Name), given(k.Unless)}
			if begins {
				either = append(either, given("use"))
			}
			rules = append(rules, map[string]any{"anyOf": either})
		}
	}
	for _, group := range slices.Concat(ks.AtMostOne, ks.OneOf) {
		for i := range group {
			for _, other := range group[i+1:] {
				rules = append(rules, map[string]any{"not": given(group[i], other)})
			}
		}
	}
	for _, group := range ks.OneOf {
		var one []any
		for _, name := range group {
			one = append(one, given(name))
		}
		rules = append(rules, map[string]any{"anyOf": one})
	}
	s := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if needed != nil {
		s["required"] = needed
	}
	if rules != nil {
		s["allOf"] = rules
	}
	return s
}

// A condition is a schema that asks for keys.
type condition map[string]any

func given(names ...string) condition { return condition{"required": names} }

// orElse wants what another schema says where the condition is not met.
func (c condition) orElse(other map[string]any) map[string]any {
	return map[string]any{"if": c, "else": other}
}

func (k *Key) schema() map[string]any {
	s := k.valueSchema()
	s["description"] = k.description()
	if k.Default != nil {
		s["default"] = k.Default
	}
	if k.Example != "" {
		s["examples"] = []any{k.exampleValue()}
	}
	return s
}

// exampleValue panics for an example that is none: a slip of the programmer's.
func (k *Key) exampleValue() any {
	var v map[string]any
	if _, err := toml.Decode("x = "+k.Example, &v); err != nil {
		panic(fmt.Sprintf("strict: the example of %s: %v", k.Name, err))
	}
	return v["x"]
}

func (k *Key) valueSchema() map[string]any {
	switch k.Kind {
	case Group:
		return k.Keys.schema()
	case Groups:
		return k.listOf(k.Keys.schema())
	case Texts, Numbers, Wholes:
		return k.listOf(k.itemSchema())
	}
	return k.itemSchema()
}

func (k *Key) listOf(items map[string]any) map[string]any {
	s := map[string]any{"type": "array", "items": items}
	if k.MinLen > 0 {
		s["minItems"] = k.MinLen
	}
	if k.MaxLen > 0 {
		s["maxItems"] = k.MaxLen
	}
	if k.Distinct {
		s["uniqueItems"] = true
	}
	return s
}

// itemSchema is that of a value, or of each in a list.
func (k *Key) itemSchema() map[string]any {
	switch k.Kind {
	case Switch:
		return map[string]any{"type": "boolean"}
	case Text, Texts:
		switch {
		case len(k.Choices) > 0:
			return map[string]any{"enum": k.Choices}
		case k.MayBeNone:
			return map[string]any{"anyOf": []any{textSchema(), map[string]any{"const": ""}}}
		}
		return textSchema()
	}
	s := map[string]any{"type": "number", "maximum": k.Max}
	if k.Kind == Whole || k.Kind == Wholes {
		s["type"] = "integer"
	}
	if k.Above {
		s["exclusiveMinimum"] = k.Min
	} else {
		s["minimum"] = k.Min
	}
	if len(k.Words) > 0 {
		return map[string]any{"anyOf": []any{s, map[string]any{"enum": k.Words}}}
	}
	return s
}

func textSchema() map[string]any {
	return map[string]any{"type": "string", "pattern": plainText, "maxLength": MaxText}
}

// description is what a key means, its unit, and what holds where it is not given.
func (k *Key) description() string {
	text := sentence(k.Doc)
	if k.Unit != "" {
		text += " Unit: " + k.Unit + "."
	}
	switch without := k.Without(); {
	case without == "" || k.Required:
	case k.Alone:
		text += " " + sentence(without)
	default:
		text += " Default: " + without + "."
	}
	return text
}

// sentence begins with a capital and ends with a full stop, and is without the signs of Markdown.
func sentence(words string) string {
	r, n := utf8.DecodeRuneInString(words)
	return strings.ReplaceAll(string(unicode.ToUpper(r))+words[n:], "`", "") + "."
}
