package paper

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/sheet/paper/words"
)

// ids reads the ids of texts out of the source of the papers and of the voice that speaks for them: those that are
// asked for by name, and the beginnings of those that are put together.
func ids(t *testing.T) (whole, heads map[string]bool) {
	t.Helper()
	whole, heads = map[string]bool{}, map[string]bool{}
	var paths []string
	for _, folder := range []string{".", "drawing", "findings", "doc", "../speech"} {
		found, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil || len(found) == 0 {
			t.Fatalf("%s: %d files, %v", folder, len(found), err)
		}
		paths = append(paths, found...)
	}
	looksLikeID := regexp.MustCompile(`^[a-z]+\.[A-Za-z0-9.#-]*$`)
	for _, path := range append(paths, "../summary.go", "words/checks.go") {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			text, err := strconv.Unquote(lit.Value)
			if err != nil || !looksLikeID.MatchString(text) && text != "title" && text != "page" &&
				text != "contents" && text != "yes" && text != "no" {
				return true
			}
			if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "-") {
				heads[text] = true
			} else {
				whole[text] = true
			}
			return true
		})
	}
	return whole, heads
}

// Every text that the source asks for is in the table, and every text of the table is asked for.
func TestWordsAreUsed(t *testing.T) {
	table, _ := words.In("en")
	whole, heads := ids(t)
	if len(whole) < 200 || len(heads) < 8 {
		t.Fatalf("found %d ids and %d beginnings in the source: this test sees too few", len(whole), len(heads))
	}
	inTable := func(id string) bool {
		for _, end := range []string{"", ".one", ".many"} {
			if _, ok := table[id+end]; ok {
				return true
			}
		}
		return false
	}
	for id := range whole {
		if !inTable(id) && !strings.HasSuffix(id, ".html") && !strings.HasSuffix(id, ".css") &&
			!strings.HasSuffix(id, ".csv") && !strings.HasPrefix(id, "month.") {
			t.Errorf("the source asks for %q, which no table has", id)
		}
	}
	// Marks of switches, steps of the lists, phases and months are put together from a list in the source.
	for id := range table {
		base := strings.TrimSuffix(strings.TrimSuffix(id, ".one"), ".many")
		composed := slices.ContainsFunc(slices.Collect(maps.Keys(heads)),
			func(h string) bool { return strings.HasPrefix(id, h) })
		if strings.HasPrefix(id, "live.") || strings.HasPrefix(id, "page.") { // what the page at the kitchen table says
			continue
		}
		if !whole[base] && !whole[id] && !composed && !strings.HasPrefix(id, "month.") {
			t.Errorf("nothing asks for %q: %q", id, table[id])
		}
	}
}

// Every check of the sample sites has a name of its own on paper, in every language: an id is no name.
func TestChecksHaveNames(t *testing.T) {
	for _, home := range []string{"clinic", "cottage", "farmhouse", "overloaded", "split-phase", "town-flat"} {
		for _, lang := range words.Languages() {
			r := reportOn(t, home, lang)
			for _, c := range r.Plan.Checks {
				if got := r.CheckName(c.ID); got == c.ID || strings.Contains(got, "%") {
					t.Errorf("%s in %s: the check %s is called %q", home, lang, c.ID, got)
				}
				if got := r.CheckTrouble(c); got == c.ID || !strings.HasSuffix(got, ".") {
					t.Errorf("%s in %s: that %s does not pass is told as %q", home, lang, c.ID, got)
				}
			}
		}
	}
}
