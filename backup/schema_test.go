package backup_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"outlast/backup/drawnhome"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/catalog/strict/schematest"
)

func siteSchema(t *testing.T) *jsonschema.Schema {
	return schematest.Compiled(t, site.FileKeys().Schema("urn:outlast:test", "site"))
}

func catalogSchema(t *testing.T) *jsonschema.Schema {
	return schematest.Compiled(t, catalog.FileKeys().Schema("urn:outlast:test", "catalog"))
}

// TestSchemaTakesSites: what the reader takes, the schema takes: the sample files and homes of all kinds.
func TestSchemaTakesSites(t *testing.T) {
	schema, tried := siteSchema(t), 0
	valid := func(schema *jsonschema.Schema, name string, src []byte) {
		t.Helper()
		tried++
		doc, ok := schematest.FromTOML(src)
		if !ok {
			t.Fatalf("%s is no TOML", name)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, pattern := range []string{"../testdata/sites/*.toml", "../testdata/tried/*.toml",
		"testdata/seeds/every-key.toml", "testdata/homes/*.toml", "../cmd/outlast/starter.toml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no file %s (%v)", pattern, err)
		}
		for _, file := range files {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			valid(schema, file, src)
		}
	}
	for seed := range uint64(300) {
		valid(schema, "a drawn home", drawnhome.Draw(seed))
	}
	generic, every := catalogSchema(t), "../catalog/testdata/every-key.toml"
	for _, file := range []string{"../catalog/generic.toml", "../catalog/appliances.toml", every} {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		valid(generic, file, src)
	}
	if tried < 320 {
		t.Errorf("only %d files", tried)
	}
}

// TestSchemaRefusesMistakes: a mistake in one line that is of a kind, a range, a key or a word is one for the schema
// too.
func TestSchemaRefusesMistakes(t *testing.T) {
	sites, catalogs := siteSchema(t), catalogSchema(t)
	refused, leftOut := 0, map[string]int{}
	eachLine(t, func(t *testing.T, _ func(string) strict.Problems, lines []string, i int) (made int) {
		schema := sites
		if strings.Contains(t.Name(), "catalog/") {
			schema = catalogs
		}
		for _, m := range mistakes(lines[i]) {
			made++
			doc, ok := schematest.FromTOML([]byte(with(lines, i, m.line)))
			if !ok { // a key twice is no TOML, and nan is no JSON
				leftOut[m.name]++
				continue
			}
			err := schema.Validate(doc)
			switch {
			case err != nil:
				refused++
			case m.name == "a date": // which comes as a text to where any text may stand
				leftOut[m.name]++
			default:
				t.Errorf("%s passes the schema: %s", m.name, m.line)
			}
		}
		return made
	})
	if refused < 1500 && !testing.Short() {
		t.Errorf("only %d mistakes refused, left out %v", refused, leftOut)
	}
	t.Logf("%d refused, left out %v", refused, leftOut)
}

// TestSchemaExamples: the examples and defaults of the schemas are such as they take.
func TestSchemaExamples(t *testing.T) {
	tried := 0
	var walk func(name string, s map[string]any)
	walk = func(name string, s map[string]any) {
		values, _ := s["examples"].([]any)
		if v, has := s["default"]; has {
			values = append(values, v)
		}
		if len(values) > 0 {
			own := schematest.Compiled(t, s)
			for _, v := range values {
				text, err := json.Marshal(v)
				if err != nil {
					t.Fatal(err)
				}
				doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
				if err != nil {
					t.Fatal(err)
				}
				tried++
				if err := own.Validate(doc); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			}
		}
		if items, has := s["items"].(map[string]any); has {
			walk(name, items)
		}
		properties, _ := s["properties"].(map[string]any)
		for key, p := range properties {
			walk(name+"."+key, p.(map[string]any))
		}
	}
	walk("site", site.FileKeys().Schema("urn:outlast:test", "site"))
	walk("catalog", catalog.FileKeys().Schema("urn:outlast:test", "catalog"))
	if tried < 400 {
		t.Errorf("only %d examples and defaults", tried)
	}
}
