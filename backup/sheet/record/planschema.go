package record

import (
	"encoding"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"outlast/backup/verdict"
)

// PlanSchema is the JSON Schema (draft 2020-12) of what plan writes as JSON: one plan, or a list of them. It is made
// from the types that are written: what each key holds stands in a doc tag, and its unit in its name. Later versions
// may add keys, so others are not refused.
func PlanSchema(id, title string) map[string]any {
	w := schemaWalk{map[string]any{}}
	plan := w.of(reflect.TypeFor[planJSON]())
	return w.schema(id, title, map[string]any{"anyOf": []any{plan, map[string]any{"type": "array", "items": plan}}})
}

// RecordSchema is that of one line of many homes, see [Record].
func RecordSchema(id, title string) map[string]any { return schemaOf[recordJSON](id, title) }

// schemaOf is the schema of what is written of a type.
func schemaOf[T any](id, title string) map[string]any {
	w := schemaWalk{map[string]any{}}
	return w.schema(id, title, w.of(reflect.TypeFor[T]()))
}

func (w schemaWalk) schema(id, title string, s map[string]any) map[string]any {
	s["$schema"], s["$id"], s["title"], s["$defs"] = "https://json-schema.org/draft/2020-12/schema", id, title, w.defs
	return s
}

// A schemaWalk goes through types that are written as JSON. Structs that have a name stand once, among the definitions.
type schemaWalk struct{ defs map[string]any }

func (w schemaWalk) of(t reflect.Type) map[string]any {
	switch {
	case t.Implements(reflect.TypeFor[encoding.TextMarshaler]()):
		return map[string]any{"type": "string"}
	case t.Kind() == reflect.Pointer:
		return orNull(w.of(t.Elem()))
	case t.Kind() == reflect.Slice:
		return map[string]any{"type": "array", "items": w.of(t.Elem())}
	case t.Kind() == reflect.Array:
		return map[string]any{"type": "array", "items": w.of(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case t.Kind() == reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": w.of(t.Elem())}
	case t.Kind() == reflect.Struct && t.Name() != "":
		name := strings.TrimSuffix(t.Name(), "JSON")
		if w.defs[name] == nil {
			w.defs[name] = true // a plan holds plans
			w.defs[name] = w.object(t)
		}
		return map[string]any{"$ref": "#/$defs/" + name}
	case t.Kind() == reflect.Struct:
		return w.object(t)
	case t.Kind() == reflect.String:
		return map[string]any{"type": "string"}
	case t.Kind() == reflect.Bool:
		return map[string]any{"type": "boolean"}
	case t.Kind() == reflect.Int:
		return map[string]any{"type": "integer"}
	case t.Kind() == reflect.Float64:
		return map[string]any{"type": "number"}
	}
	panic("sheet: no schema for " + t.String()) // a slip of the programmer's
}

func orNull(s map[string]any) map[string]any {
	if name, plain := s["type"].(string); plain && len(s) == 1 {
		return map[string]any{"type": []any{name, "null"}}
	}
	return map[string]any{"anyOf": []any{s, map[string]any{"type": "null"}}}
}

func (w schemaWalk) object(t reflect.Type) map[string]any {
	properties := map[string]any{}
	needed := w.fields(t, properties, nil)
	return map[string]any{"type": "object", "properties": properties, "required": needed}
}

// fields adds the keys of a struct, those of an embedded one among them, and lists the ones that are always there.
func (w schemaWalk) fields(t reflect.Type, properties map[string]any, needed []any) []any {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			needed = w.fields(f.Type, properties, needed)
			continue
		}
		name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
		if rest != "omitempty" {
			needed = append(needed, name)
		}
		s := w.of(f.Type)
		if words, ok := schemaWords[name]; ok && f.Type.Kind() == reflect.String {
			s = map[string]any{"enum": words}
		}
		if text := keyText(f, name); text != "" {
			s["description"] = text
		}
		properties[name] = s
	}
	return needed
}

// schemaWords are the words of keys that take no others.
var schemaWords = map[string][]string{
	"verdict": {string(verdict.Pass), string(verdict.Caution), string(verdict.Fail)},
	"status":  {string(verdict.Pass), string(verdict.Caution), string(verdict.Fail)},
	"board":   {"backup", "main"},
}

// keyText is what a key holds, and its unit where its name ends in one.
func keyText(f reflect.StructField, name string) string {
	text := ""
	if doc := f.Tag.Get("doc"); doc != "" {
		r, n := utf8.DecodeRuneInString(doc)
		text = string(unicode.ToUpper(r)) + doc[n:] + "."
	}
	if unit := unitOf(f.Type, name); unit != "" {
		text = strings.TrimSpace(text + " Unit: " + unit + ".")
	}
	return text
}

// schemaUnits are the last words of names that tell a unit, longer ends before shorter ones.
var schemaUnits = []struct{ end, unit string }{
	{"wh_per_day", "Wh a day"}, {"hours_per_day", "h a day"}, {"l_per_h", "l/h"}, {"rate_per_h", "1/h"},
	{"m3_h", "m3/h"},
	{"soc_at_coldest", "state of charge, 0 to 1"}, {"soc", "state of charge, 0 to 1"},
	{"w", "W"}, {"va", "VA"}, {"wh", "Wh"}, {"ah", "Ah"}, {"v", "V"}, {"a", "A"}, {"h", "h"}, {"hours", "h"},
	{"days", "days"}, {"seconds", "s"},
	{"c", "C"}, {"l", "l"}, {"kg", "kg"}, {"ohm", "ohm"}, {"m", "m"}, {"m3", "m3"}, {"cm2", "cm2"}, {"mm2", "mm2"},
}

func unitOf(t reflect.Type, name string) string {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Array {
		t = t.Elem()
	}
	for _, u := range schemaUnits {
		if t.Kind() == reflect.Float64 && strings.HasSuffix("_"+name, "_"+u.end) {
			return u.unit
		}
	}
	return ""
}
