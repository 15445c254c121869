package strict

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/pelletier/go-toml/v2"
)

// FuzzParse: any file ends in a table or in problems, the same each time, and every problem stands inside the file.
// What the tree says of a file is what the parser's own decoder says of it.
func FuzzParse(f *testing.F) {
	for _, src := range seeds(f) {
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		start := time.Now()
		root, err := Parse("f", src, &testKeys)
		if took := time.Since(start); took > time.Second {
			t.Errorf("took %v", took)
		}
		problems := problemsOf(t, root, err)
		checkPlaces(t, string(src), problems)
		again, err := Parse("f", src, &testKeys)
		if diff := cmp.Diff(problems, problemsOf(t, again, err)); diff != "" {
			t.Errorf("read twice (-first +second):\n%s", diff)
		}
		if root != nil && problems == nil {
			if site := root.Table("site"); site == nil || !site.Given("name") || site.Faulty() {
				t.Error("no problem, but no sound [site] either")
			}
		}
		compare(t, string(src))
	})
}

// problemsOf gives the problems of a file that has been parsed: either there is a root, or a reason why not.
func problemsOf(t *testing.T, root *Table, err error) Problems {
	t.Helper()
	if (root == nil) == (err == nil) {
		t.Fatalf("neither a table nor a reason, or both: %v, %v", root, err)
	}
	if err == nil {
		return root.Problems()
	}
	var problems Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("error %v, want problems", err)
	}
	return problems
}

// checkPlaces fails for a problem that stands outside the file, for one that is out of order, and for one that is said
// twice.
func checkPlaces(t *testing.T, src string, problems Problems) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(src, "\xef\xbb\xbf"), "\n")
	seen := map[Problem]bool{}
	for i, p := range problems {
		switch {
		case p.Line == 0 && p.Col == 0 && len(src) > MaxBytes:
		case p.Line < 1 || p.Line > len(lines):
			t.Errorf("%v: the file has %d lines", p, len(lines))
		case p.Col < 1 || p.Col > utf8.RuneCountInString(lines[p.Line-1])+1:
			t.Errorf("%v: the line has %d characters", p, utf8.RuneCountInString(lines[p.Line-1]))
		}
		if i > 0 && (Pos{p.Line, p.Col}).Before(Pos{problems[i-1].Line, problems[i-1].Col}) {
			t.Errorf("%v comes after %v", p, problems[i-1])
		}
		if seen[p] {
			t.Errorf("%v is said twice", p)
		}
		seen[p] = true
		if p.Msg == "" || strings.ContainsFunc(p.Msg+p.Hint, func(r rune) bool { return r < ' ' }) {
			t.Errorf("message %q, hint %q, want one line of plain text", p.Msg, p.Hint)
		}
	}
}

// compare holds the tree against the decoder of the same library, which knows the rules of TOML by itself.
func compare(t *testing.T, src string) {
	t.Helper()
	src = strings.ReplaceAll(strings.TrimPrefix(src, "\xef\xbb\xbf"), "\r\n", "\n")
	if len(src) > MaxBytes || !utf8.ValidString(src) || strings.Contains(src, "\x00") {
		return
	}
	text := []byte(src)
	l := &log{}
	root, err := build(text[:len(text):len(text)], newLines(text), l)
	var deep errDeep
	if errors.As(err, &deep) {
		return
	}
	theirs := map[string]any{}
	decodeErr := toml.Unmarshal(text, &theirs)
	if err != nil {
		if decodeErr == nil {
			t.Errorf("the tree cannot be built: %v; the decoder takes the file", err)
		}
		return
	}
	ours, clean, odd := plain(root)
	clean = clean && len(l.problems) == 0
	switch {
	case odd: // dates and numbers beyond a float64: the decoder looks at them more closely; to us they are wrong in any case
	case clean != (decodeErr == nil):
		t.Errorf("the tree is right: %v, problems %v; the decoder says %v", clean, l.problems, decodeErr)
	case clean:
		if diff := cmp.Diff(theirs, ours, cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("values (-decoder +tree):\n%s", diff)
		}
	}
}

// FuzzEvident: of a file that is evident the value reader finds just what the tree has.
func FuzzEvident(f *testing.F) {
	for _, src := range seeds(f) {
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) { checkEvident(t, src) })
}

// checkEvident says whether a file is evident, and holds the tree of one that is against the value reader.
func checkEvident(t *testing.T, src []byte) bool {
	t.Helper()
	src = src[:len(src):len(src)]
	if !utf8.Valid(src) {
		return false
	}
	tree := func() (*node, bool) {
		l := &log{}
		root, err := build(src, newLines(src), l)
		return root, err == nil && len(l.problems) == 0
	}
	root, ok := tree()
	if !ok || !evident(src, root) {
		return false
	}
	adopted, _ := tree()
	if at, msg := adopt(adopted, src); msg != "" {
		t.Fatalf("taken for evident, but at %v: %s\n%s", at, msg, src)
	}
	if diff := cmp.Diff(adopted, root, cmp.AllowUnexported(node{})); diff != "" {
		t.Fatalf("values (-value reader +tree):\n%s", diff)
	}
	return true
}

// What leaves no doubt, and what does.
func TestEvident(t *testing.T) {
	for src, want := range map[string]bool{
		"": true, "a = 1": true, "a = -0.5 # it's cold\n": true, "a = \"it's\"": true, "a = \"\"": true,
		"[a]\nb = true\n[[c]]\nd = [\"06:00-09:00\",\n  \"x\",]\n[[c]]\n": true, "a = { b = 1, c = 0.25 }": true,
		"a = [ { b = 1 },\n { b = 2 } ]": true, "[[a]]\n[a.b]\nc = 1\n": true, "a = \"\u00e9\"": true,
		"a = 'x'": false, "a = \"\\t\"": false, "a = \"\"\"x\"\"\"": false, "a = \"\"\"\nx\"\"\"": false,
		"a = 1_0": false, "a = +1": false,
		"a = 1e3": false, "a = 0x1": false, "a = inf": false, "a = 2020-01-01": false, "a.b = 1\na.c.d = 2": true,
		"[a]\nb.c = 1\n[a.b]": false, "[a]\nb.c = 1\n[a.b.d]": false, "[a]\nb.c = 1\n[[a.b.d]]": false, "[a.b]": false,
		"[a]\n[a]": false, "a = { b = 1, }": false, "a = {\nb = 1 }": false, "a = { b = 1 # c\n}": false,
		"\"a b\" = 1": false, "\"\" = 1": false, "a = 1234567890123456789": false, "a = 0.12345678901234567": false, "a = 1\f": false,
		"a = \"\x7f\"": false, "# \x01": false, "a = [ { b = 1, } ]": false,
	} {
		if got := checkEvident(t, []byte(src)); got != want {
			t.Errorf("%q is evident: %t, want %t", src, got, want)
		}
	}
	for _, name := range []string{"clinic", "cottage", "farmhouse", "town-flat"} {
		src, err := os.ReadFile("../../testdata/sites/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		if !checkEvident(t, src) {
			t.Errorf("%s.toml is read twice", name)
		}
	}
}

// plain turns a tree into what the decoder makes of a file. clean: no header stands where it may not; odd: there is a
// value that the decoder judges and the tree does not.
func plain(n *node) (v any, clean, odd bool) {
	clean = len(n.again) == 0
	add := func(child *node) any {
		v, c, o := plain(child)
		clean, odd = clean && c, odd || o
		return v
	}
	switch n.form {
	case formText:
		return n.text, clean, false
	case formSwitch:
		return n.on, clean, false
	case formWhole:
		if math.IsInf(n.num, 0) || math.Abs(n.num) > 1<<53 {
			return nil, clean, true
		}
		return int64(n.num), clean, false
	case formFraction:
		return n.num, clean, math.IsInf(n.num, 0)
	case formDate:
		return nil, clean, true
	case formList:
		list := []any{}
		for _, item := range n.items {
			list = append(list, add(item))
		}
		return list, clean, odd
	}
	m := map[string]any{}
	for name, child := range n.keys {
		m[name] = add(child)
	}
	return m, clean, odd
}

// The rules of TOML on what may be given twice, added to or reopened.
func TestAgainstDecoder(t *testing.T) {
	for i, src := range []string{
		"", "a = 1\na = 2", "a.b = 1\na.c = 2", "a.b = 1\na.b.c = 2", "a.b.c = 1\na.b = 2",
		"[a]\n[a]", "[a.b]\n[a]", "[a]\n[a.b]", "[a.b]\n[a]\n[a]", "[a.b]\n[a.b]", "[a.b]\n[a.c]",
		"[a]\nb = 1\n[a.b]", "[a]\nb.c = 1\n[a.b]", "[a]\nb.c = 1\n[a.b.d]", "[a]\nb.c = 1\n[a.b.c]",
		"[a.b.c]\nz = 9\n[a]\nb.c.t = 1", "[a.b.c]\nz = 9\n[a]\nb.t = 1", "[a.b.c.d]\nz = 9\n[a]\nb.c.d.k.t = 1",
		"[[a]]\n[[a]]", "[a]\n[[a]]", "[[a]]\n[a]", "[[a]]\n[a.b]\n[[a]]\n[a.b]", "[[a]]\n[a.b]\n[a.b]",
		"[[a.b]]\n[a]", "[a]\n[[a.b]]", "[[a.b]]\n[a]\n[a]", "[[a]]\nb = 1\n[[a.b]]", "[[a.b]]\n[[a]]", "[a.b]\n[[a]]",
		"a = []\n[[a]]", "a = [{}]\n[[a]]", "a = [{b = 1}]\n[a.c]", "a = {}\n[a]", "a = {}\n[a.b]",
		"a = {b = 1}\na.c = 2",
		"a = {b.c = 1, b.d = 2}", "a = {b.c = 1, b = 2}", "a = {b = {c = 1}, b.d = 2}", "a = {b = 1, b = 2}",
		"a = {b.c = 1}\n[a.b]",
		"a = [{b = 1, b = 2}]", "[a]\n[a.b]\n[a]", "a = 1\n[a]", "a = 1\n[a.b]", "a = 1\n[[a]]", "a = 1\na.b = 2",
		"[a]\n\"a\".b = 1\na.\"c\" = 2",
		"\"\" = 1\n\"\".a = 2", "a = {,}", "a = {b = 1,}", "a = {\n b = 1, # c\n}", "a = [1,\n # c\n 2,]", "a = 0x_1",
		"a = +0b1", "a = 1e1_0",
		"a = \"\\e\\x41\"", "a = '''\n'a''''", "a = \"\"\"\\\n   x\"\"\"", "a = +inf\nb = -nan",
		"a = -0\nb = 0e0\nc = +0.0",
		"[[a.b.c]]\n[a.b.c.d]\n[a.b]\n[a]", "[a]\n[[a.b]]\n[a.b.c]\n[[a.b]]\n[a.b.c]\nx.y = 1\n[a.b.c.x.z]",
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			compare(t, src)
			if t.Failed() {
				t.Logf("the file is\n%s", src)
			}
		})
	}
}

// seeds are the files of the tables in these tests, the sample sites and testdata/seeds.
func seeds(tb testing.TB) [][]byte {
	tb.Helper()
	var out [][]byte
	for _, pattern := range []string{"testdata/seeds/*.toml", "../../testdata/*/*.toml"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			tb.Fatalf("no files at %s: %v", pattern, err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				tb.Fatal(err)
			}
			out = append(out, src)
		}
	}
	return append(out, []byte(full), []byte("\xef\xbb\xbf[site]\r\nname = \"x\"\r\n"), []byte("\xff\xfe["),
		[]byte("[site]\rx"))
}
