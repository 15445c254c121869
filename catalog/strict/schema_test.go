package strict

import (
	"encoding/json"
	"fmt"
	"testing"

	"outlast/catalog/strict/schematest"
)

// asJSON is a TOML file as an editor hands it to a schema.
func asJSON(t *testing.T, src string) any {
	t.Helper()
	doc, ok := schematest.FromTOML([]byte(src))
	if !ok {
		t.Fatalf("no TOML that JSON has:\n%s", src)
	}
	return doc
}

// TestSchema: the schema takes what the reader takes, and refuses what it refuses, at each limit and beside it.
func TestSchema(t *testing.T) {
	point := &Keys{Name: "points", List: []Key{Needed(NumberKey("h", 0, 10, "h", "hours"))}}
	pick := &Keys{Name: "pick", List: []Key{TextKey("a", "one"), TextKey("b", "other"), TextKey("c", "third")},
		AtMostOne: [][]string{{"a", "b"}}, OneOf: [][]string{{"b", "c"}}}
	keys := &Keys{List: []Key{{Name: "x", Kind: Group, Required: true, Doc: "a table",
		Keys: &Keys{Name: "[x]", List: []Key{
			NumberKey("number", -1, 2.5, "W", "a number").Eg("0.5"),
			AboveKey("above", 0, 3, "", "above"),
			WholeKey("whole", 1, 12, "whole"),
			{Name: "word", Kind: Whole, Min: 0, Max: 3, Words: []string{"any"}, Doc: "or a word"},
			TextKey("text", "text"),
			{Name: "none", Kind: Text, MayBeNone: true, Doc: "may be empty"},
			ChoiceKey("choice", "choice", "us", "iec"),
			SwitchKey("switch", "switch"),
			{Name: "texts", Kind: Texts, MinLen: 1, MaxLen: 2, Choices: []string{"a", "b", "c"}, Doc: "texts"},
			{Name: "wholes", Kind: Wholes, Min: 1, Max: 12, MinLen: 1, MaxLen: 3, Distinct: true, Doc: "wholes"},
			{Name: "numbers", Kind: Numbers, Max: 9, MinLen: 2, MaxLen: 2, Doc: "numbers"},
			{Name: "points", Kind: Groups, Keys: point, MinLen: 1, MaxLen: 2, Doc: "points"},
			{Name: "pick", Kind: Group, Keys: pick, Doc: "pick"},
		}}}, {Name: "y", Kind: Groups, Keys: &Keys{Name: "[[y]]", List: []Key{TextKey("use", "begin"),
		NeededAlone(TextKey("id", "id")),
		{Name: "by", Kind: Text, Alone: true, Unless: "curve", Doc: "by"}, TextKey("curve", "curve")}}, MaxLen: 2,
		Doc: "list"}}}
	schema := schematest.Compiled(t, keys.Schema("urn:outlast:test", "a test"))
	both := func(accepted bool, src string) {
		t.Helper()
		root, err := Parse("f", []byte(src), keys)
		if err == nil {
			for _, y := range root.Tables("y") { // what a table of equipment asks for when it begins from none
				if !y.Has("use") {
					y.RequireAlone("")
				}
			}
			if ps := root.Problems(); ps != nil {
				err = ps
			}
		}
		if (err == nil) != accepted {
			t.Errorf("the reader: %v, want accepted %v:\n%s", err, accepted, src)
		}
		if err := schema.Validate(asJSON(t, src)); (err == nil) != accepted {
			t.Errorf("the schema: %v, want accepted %v:\n%s", err, accepted, src)
		}
	}
	for _, line := range []string{"", "number = -1", "number = 2.5", "number = 1", "above = 3", "above = 1e-9",
		"whole = 1", "whole = 12", `word = "any"`, "word = 3",
		`text = "ä b"`, `none = ""`, `none = "a"`, `choice = "us"`, "switch = false", `texts = ["a", "c"]`,
		"wholes = [12, 1]", "numbers = [0, 9]", "points = [{ h = 10 }]",
		`pick = { b = "x" }`, `pick = { a = "x", c = "y" }`, `text = "` + fmt.Sprintf("%0200d", 1) + `"`} {
		both(true, "[x]\n"+line)
	}
	for _, line := range []string{"number = -1.0001", "number = 2.50001", `number = "1"`, "above = 0", "above = 3.1",
		"whole = 0", "whole = 13", "whole = 1.5", `word = "some"`, "word = 4",
		`text = ""`, `text = "  "`, `text = "a\nb"`, `text = "a\u0007"`, "text = 1", `none = " "`, `choice = "uk"`,
		`choice = ""`, "switch = 0", `switch = "true"`, "texts = []",
		`texts = ["a", "b", "c"]`, `texts = ["d"]`, `texts = "a"`, "wholes = [1, 1]", "wholes = [0]",
		"wholes = [1, 2, 3, 4]", "numbers = [1]", "numbers = [1, 10]", "points = []",
		"points = [{}]", "points = [{ h = 11 }]", "points = [{ h = 1, m = 2 }]", "points = { h = 1 }",
		"points = [{ h = 1 }, { h = 2 }, { h = 3 }]", `pick = {}`, `pick = { a = "x" }`,
		`pick = { a = "x", b = "y" }`, `pick = { b = "x", c = "y" }`, "pick = 1", "Number = 1", "numbr = 1",
		`text = "` + fmt.Sprintf("%0201d", 1) + `"`} {
		both(false, "[x]\n"+line)
	}
	both(false, "")
	for entry, accepted := range map[string]bool{`use = "a"`: true, `id = "a"`: false, "": false,
		`id = "a"` + "\n" + `by = "b"`: true, `id = "a"` + "\n" + `curve = "c"`: true, `by = "b"`: false} {
		both(accepted, "[x]\n[[y]]\n"+entry)
	}
	both(false, "[x]\n[[y]]\nuse = \"a\"\n[[y]]\nuse = \"a\"\n[[y]]\nuse = \"a\"")

	// Only the reader tells these apart.
	if err := schema.Validate(asJSON(t, "[x]\nwhole = 2.0")); err != nil {
		t.Errorf("a whole number with a decimal point: %v; then say so in the help of schema", err)
	}
}

// TestSchemaTells: what stands in the table stands in the schema.
func TestSchemaTells(t *testing.T) {
	keys := &Keys{List: []Key{Or(NumberKey("hours", 0, 24, "h", "on a day, with `use` that of the class"), 3.0).Eg("2"),
		NumberKey("mass", 0, 1, "", "mass").Else("not known")}}
	got, err := json.Marshal(keys.Schema("urn:outlast:test", "a test")["properties"])
	const want = `{"hours":{"default":3,"description":"On a day, with use that of the class. Unit: h. Default: ` +
		`3 h.","examples":[2],"maximum":24,"minimum":0,"type":"number"},` +
		`"mass":{"description":"Mass. Default: not known.","maximum":1,"minimum":0,"type":"number"}}`
	if err != nil || string(got) != want {
		t.Errorf("got\n%s\nwant\n%s\n(%v)", got, want, err)
	}
}
