package live

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/sheet/paper/words"
)

// The engine in a page carries only some of the tables: all that the answers say is in them.
func TestEngineHasItsTexts(t *testing.T) {
	const folder = "../sheet/paper/words/"
	src, err := os.ReadFile(folder + "files_js.go")
	if err != nil {
		t.Fatal(err)
	}
	carried := map[string]bool{}
	for _, m := range regexp.MustCompile(`texts/[a-z]+\.toml`).FindAllString(string(src), -1) {
		text, err := os.ReadFile(folder + m)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^\["(.+)"\]$`).FindAllStringSubmatch(string(text), -1) {
			carried[m[1]] = true
		}
	}
	all, _ := words.In("en")
	asked := 0
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(files, "../sheet/speech/voice.go", "../sheet/speech/speaker.go") {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`"([a-z]+\.[a-z.-]*)"`).FindAllStringSubmatch(string(src), -1) {
			for id := range all { // "check." stands for all that begin so
				if id != m[1] && id != m[1]+".one" && id != m[1]+".many" &&
					!(strings.HasSuffix(m[1], ".") && strings.HasPrefix(id, m[1])) {
					continue
				}
				if asked++; !carried[id] {
					t.Errorf("%s asks for %q, which the engine in a page does not carry", f, id)
				}
			}
		}
	}
	if asked < 300 {
		t.Errorf("%d texts are asked for: this test sees too few", asked)
	}
}

// Every text that the answers ask for is in the table, and every text of the table for them is asked for.
func TestWordsAreUsed(t *testing.T) {
	table, _ := words.In("en")
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	asked := map[string]bool{}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`"(live\.[a-z.-]+)"`).FindAllStringSubmatch(string(src), -1) {
			asked[m[1]] = true
		}
	}
	if len(asked) < 30 {
		t.Fatalf("%d texts are asked for: this test sees too few", len(asked))
	}
	for id := range asked {
		if _, ok := table[id]; !ok && table[id+".many"] == "" && !strings.HasSuffix(id, ".") {
			t.Errorf("no table has %q", id)
		}
	}
	for id, text := range table {
		if !strings.HasPrefix(id, "live.") {
			continue
		}
		base := strings.TrimSuffix(strings.TrimSuffix(id, ".one"), ".many")
		head := id[:strings.LastIndexByte(id, '.')+1]
		if !asked[base] && !asked[id] && !(asked[head] && head != "live.") {
			t.Errorf("nothing asks for %q: %q", id, text)
		}
	}
}

// The page itself speaks the English of its home, as its answers do.
func TestPageSpeaksTheEnglishOfItsHome(t *testing.T) {
	for home, want := range map[string]string{"split-phase": "main panel", "cottage": "main board"} {
		table := tableOf(t, home)
		w, err := table.Words(Question{Lang: "en"})
		if err != nil {
			t.Fatal(err)
		}
		if got := w.Texts["main-board"]; got != want {
			t.Errorf("%s: the page calls the other board %q, want %q", home, got, want)
		}
		de, err := table.Words(Question{Lang: "de"})
		if err != nil || de.Texts["main-board"] != "Hauptverteiler" {
			t.Errorf("%s in German: %q, %v", home, de.Texts["main-board"], err)
		}
	}
}
