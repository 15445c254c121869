package words

import (
	"io/fs"
	"maps"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/pelletier/go-toml/v2"
)

// A table that is not as it should be is refused at its line.
func TestReadTable(t *testing.T) {
	const sound = "# Greetings.\n\n[\"hi\"]\nen = \"Hello \\\"%s\\\"\"\nde = \"Guten Tag %s\"\n"
	all, err := readTable("a.toml", sound, []string{"en", "de"})
	if err != nil || len(all) != 1 {
		t.Fatalf("got %v, %v", all, err)
	}
	want := map[string]string{"en": `Hello "%s"`, "de": "Guten Tag %s"}
	if r := all[0]; r.key != "hi" || r.place() != "a.toml:3" || !maps.Equal(r.in, want) {
		t.Errorf("got %v, want hi at a.toml:3 with %v", r, want)
	}

	for _, tt := range []struct{ src, want string }{
		{"[\"a\"]\nen = \"x\"\n", "a.toml:2: the file ends in a row that lacks de"},
		{"[\"a\"]\nde = \"x\"\n", `a.toml:2: found "de = \"x\"", want the row's en = "…"`},
		{"[\"a\"]\nen = \"x\"\n\n[\"b\"]\n", `a.toml:3: found "", want the row's de = "…"`},
		{"[\"a\"]\nen = \"x\"\nde = \"y\"\nfr = \"z\"\n",
			`a.toml:4: found "fr = \"z\"", want a row's ["key"]; it gives en, de`},
		{"[\"a\"]\nen = \"\"\n", "a.toml:2: en: found no text between the quotes"},
		{"[\"a\"]\nen = 'x'\n", "a.toml:2: en: found 'x', want a text in straight quotes"},
		{"[\"a\"]\nen = \"x\" # why\n", "a.toml:2: en: found \"x\" # why, want a text in straight quotes"},
		{"[\"a\"]\nen = \"\\x41\"\n",
			`a.toml:2: en: found "\x41", want a quote inside it as \" and a backslash as \\, and no other escapes`},
		{"[a]\nen = \"x\"\n", "a.toml:1: found a, want a text in straight quotes"},
	} {
		if _, err := readTable("a.toml", tt.src, []string{"en", "de"}); err == nil || err.Error() != tt.want {
			t.Errorf("%q:\n got %v\nwant %s", tt.src, err, tt.want)
		}
	}
}

// What is said twice is refused, in two files too: one of the two would never be heard.
func TestReadFolder(t *testing.T) {
	row := &fstest.MapFile{Data: []byte("[\"a\"]\nen = \"x\"\n")}
	_, err := readFolder(fstest.MapFS{"t/a.toml": row, "t/b.toml": row}, "t", []string{"en"})
	if want := `t/b.toml:1: "a" stands at t/a.toml:1 too`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// The tables are TOML, as their names say: a reader of the whole language finds the same in them.
func TestTablesAreTOML(t *testing.T) {
	for _, folder := range []string{"texts", "sentences", "labels", "glossary"} {
		want := map[string]map[string]string{}
		paths, err := fs.Glob(files, folder+"/*")
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: files %q, %v", folder, paths, err)
		}
		for _, path := range paths {
			src, err := files.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			var table map[string]map[string]string
			if err := toml.Unmarshal(src, &table); err != nil || !strings.HasSuffix(path, ".toml") {
				t.Errorf("%s: %v", path, err)
			}
			maps.Copy(want, table)
		}
		all, err := readFolder(files, folder, columns(folder))
		if err != nil {
			t.Fatal(err)
		}
		if len(all) != len(want) {
			t.Errorf("%s: %d rows, want %d", folder, len(all), len(want))
		}
		for _, r := range all {
			if !maps.Equal(r.in, want[r.key]) {
				t.Errorf("%s: %q is %v, want %v", r.place(), r.key, r.in, want[r.key])
			}
		}
	}
}
