package columns

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/clipperhouse/displaywidth"
	"pgregory.net/rapid"

	"outlast/backup/sheet/speech"
)

func TestWrap(t *testing.T) {
	for _, tt := range []struct {
		text        string
		first, next int
		want        []string
	}{
		{"", 10, 10, []string{""}},
		{"one two three", 80, 80, []string{"one two three"}},
		{"one two three", 7, 7, []string{"one two", "three"}},
		{"one two three", 6, 6, []string{"one", "two", "three"}},
		{"one two three", 3, 9, []string{"one", "two three"}},
		{"  many   blanks  ", 80, 80, []string{"many blanks"}},
		{"a toolongword b", 5, 5, []string{"a", "toolo", "ngwor", "d b"}},
		{"toolongword", 3, 6, []string{"too", "longwo", "rd"}},
		{"冷蔵冷凍", 5, 5, []string{"冷蔵", "冷凍"}},
		{"takes 12 A, 3.5 kVA and 5 percent", 9, 9, []string{"takes", "12 A,", "3.5 kVA", "and 5", "percent"}},
		{"at 1000000 VA", 6, 6, []string{"at", "100000", "0 VA"}},
		{"冷a", 1, 1, []string{"冷", "a"}},      // wider than the line
		{"冷蔵 冷凍", 4, 4, []string{"冷蔵", "冷凍"}}, // each sign is two columns wide
	} {
		if got := wrap(tt.text, tt.first, tt.next); !slices.Equal(got, tt.want) {
			t.Errorf("wrap(%q, %d, %d) = %q, want %q", tt.text, tt.first, tt.next, got, tt.want)
		}
	}
}

var someWords = rapid.SliceOfN(rapid.StringMatching(`[a-zäß0-9冷.,-]{1,9}`), 1, 30)

// TestWrapLosesNothing: the words come back in their order, and no line is too wide.
func TestWrapLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(someWords.Draw(t, "words"), " ")
		width := rapid.IntRange(2, 60).Draw(t, "width")
		lines := wrap(text, width, width)
		signs := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if got := strings.Join(lines, " "); signs(got) != signs(text) || width >= 18 && got != text {
			t.Fatalf("%q became %q", text, got)
		}
		for _, line := range lines {
			if displaywidth.String(line) > width {
				t.Fatalf("%q is wider than %d", line, width)
			}
		}
	})
}

// TestTextTable: a table holds all words of its cells, none of its lines ends in blanks, it is as wide as asked where
// its words allow it, and every number ends where the head of its column ends.
func TestTextTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.IntRange(2, 5).Draw(t, "columns")
		tab := Table{Head: make([]string, columns), Right: make([]bool, columns)}
		for i := range columns {
			tab.Head[i] = rapid.StringMatching(`[A-Z][a-z]{0,7}`).Draw(t, "head")
			tab.Right[i] = i > 0 && rapid.Bool().Draw(t, "right")
		}
		for range rapid.IntRange(1, 5).Draw(t, "rows") {
			row := make([]string, columns)
			for i := range row {
				if tab.Right[i] {
					row[i] = rapid.StringMatching(`-?[0-9]{1,6}`).Draw(t, "number")
				} else {
					row[i] = strings.Join(someWords.Draw(t, "cell"), " ")
				}
			}
			tab.Rows = append(tab.Rows, row)
		}
		width := rapid.IntRange(100, 160).Draw(t, "width") // five columns of 12, or of numbers, fit
		var b bytes.Buffer
		if err := tab.Write(&b, width); err != nil {
			t.Fatal(err)
		}
		var want, got []string
		for _, row := range append([][]string{tab.Head}, tab.Rows...) {
			for _, cell := range row {
				want = append(want, strings.Fields(cell)...)
			}
		}
		for line := range strings.Lines(b.String()) {
			line = strings.TrimSuffix(line, "\n")
			got = append(got, strings.Fields(line)...)
			if displaywidth.String(line) > width || strings.TrimRight(line, " ") != line {
				t.Errorf("at %d columns: %q", width, line)
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) {
			t.Fatalf("the words %q became %q", want, got)
		}
	})
}

// TestHeadsAreWrapped: figures keep their column, heads of several words give way where the table is too wide.
func TestHeadsAreWrapped(t *testing.T) {
	tab := Table{Head: []string{"Stage", "Bank 25 C", "Unit 25 C"}, Right: []bool{false, true, true},
		Rows: [][]string{{"Float", "54.0", "2.25"}}}
	for _, tt := range []struct {
		width int
		want  string
	}{
		{27, "Stage  Bank 25 C  Unit 25 C\nFloat       54.0       2.25\n"},
		{26, "Stage  Bank  Unit\n       25 C  25 C\nFloat  54.0  2.25\n"},
	} {
		var b bytes.Buffer
		if err := tab.Write(&b, tt.width); err != nil || b.String() != tt.want {
			t.Errorf("at %d columns, %v:\n%s\nwant\n%s", tt.width, err, b.String(), tt.want)
		}
	}
}

func TestClean(t *testing.T) {
	for _, tt := range []struct{ in, want string }{
		{"plain", "plain"}, {"Küche 冷", "Küche 冷"}, {"a\x1b[31mb", "a[31mb"}, {"a\u202eb", "ab"}, {"a\u200bb", "ab"},
		{"a\tb\nc", "abc"}, {"\ufeffa", "a"}, {"a\u0085b", "ab"}, {"a\u2028b\u2029c", "a b c"},
		{"a\u2066b\u2069", "ab"},
	} {
		if got := speech.Clean(tt.in); got != tt.want {
			t.Errorf("speech.Clean(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}
