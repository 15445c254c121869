package manual

import (
	"io"
	"strings"
	"testing"
)

// TestHelpKeys: every key stands on the pages, with its example, and alone where it alone is asked for.
func TestHelpKeys(t *testing.T) {
	told := func(write func(w io.Writer) error) string {
		t.Helper()
		var b strings.Builder
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	helped := func(asked string) string {
		t.Helper()
		return told(func(w io.Writer) error { return WriteKeys(w, asked, 80) })
	}
	whole := helped("") + helped("catalog")
	paper := told(func(w io.Writer) error { return WriteKeysMarkdown(w, "") })
	for _, table := range allTables() {
		part := helped(table.name)
		if !strings.Contains(whole, part) {
			t.Errorf("help keys %s is no part of help keys", table.name)
		}
		for i := range table.keys.List {
			k := &table.keys.List[i]
			one := helped(table.name + "." + k.Name)
			text := strings.Join(strings.Fields(one), " ")
			if !strings.Contains(text, k.Name+" = "+k.Example) ||
				!strings.Contains(text, strings.Join(strings.Fields(keyWords(k)), " ")) {
				t.Errorf("%s of %s: help tells\n%s", k.Name, table.keys.Name, one)
			}
			if _, below, _ := strings.Cut(one, "-\n"); !strings.Contains(part, below) {
				t.Errorf("%s is no part of help keys %s", k.Name, table.name)
			}
			if !strings.Contains(paper, "\n| `"+k.Name+"` | "+k.Doc) {
				t.Errorf("%s of %s is not on the page in Markdown", k.Name, table.keys.Name)
			}
		}
	}
	if both := helped("strings"); !strings.Contains(both, "[bank]") || !strings.Contains(both, "[[array]]") {
		t.Errorf("help keys strings: want the key of both tables, got\n%s", both)
	}
}
