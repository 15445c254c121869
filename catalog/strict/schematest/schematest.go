// Package schematest is for tests only: JSON Schemas and TOML files as other programs read them.
package schematest

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Compiled is a schema as another program reads it.
func Compiled(t testing.TB, schema map[string]any) *jsonschema.Schema {
	t.Helper()
	src, err := json.Marshal(schema)
	if err != nil {
		t.Fatal(err)
	}
	return compiled(t, src)
}

// Closed is a schema that refuses keys it does not name, so that none is forgotten.
func Closed(t testing.TB, schema map[string]any) *jsonschema.Schema {
	t.Helper()
	src, err := json.Marshal(schema)
	if err != nil {
		t.Fatal(err)
	}
	var doc any
	if err := json.Unmarshal(src, &doc); err != nil {
		t.Fatal(err)
	}
	shut(doc)
	if src, err = json.Marshal(doc); err != nil {
		t.Fatal(err)
	}
	return compiled(t, src)
}

// shut lets every object that names its keys have no others.
func shut(part any) {
	switch part := part.(type) {
	case map[string]any:
		if part["type"] == "object" && part["properties"] != nil {
			part["additionalProperties"] = false
		}
		for _, inner := range part {
			shut(inner)
		}
	case []any:
		for _, inner := range part {
			shut(inner)
		}
	}
}

func compiled(t testing.TB, src []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	const id = "urn:outlast:test"
	c := jsonschema.NewCompiler()
	if err := c.AddResource(id, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// FromTOML is a TOML file as an editor hands it to a schema; ok is false for what is no TOML, and for numbers that JSON
// does not have.
func FromTOML(src []byte) (doc any, ok bool) {
	var v map[string]any
	if _, err := toml.Decode(string(src), &v); err != nil {
		return nil, false
	}
	text, err := json.Marshal(v)
	if err != nil {
		return nil, false
	}
	doc, err = jsonschema.UnmarshalJSON(bytes.NewReader(text))
	return doc, err == nil
}
