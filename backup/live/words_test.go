package live

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/sheet/paper/words"
)

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
