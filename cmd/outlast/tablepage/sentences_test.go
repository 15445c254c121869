package tablepage

import (
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

// What the engine in a page leaves out of the sentences no package in it says.
func TestEngineHasItsSentences(t *testing.T) {
	const folder = "../../../backup/sheet/paper/words/"
	src, err := os.ReadFile(folder + "files_js.go")
	if err != nil {
		t.Fatal(err)
	}
	carried := map[string]bool{}
	for _, pattern := range regexp.MustCompile(`sentences/\S+`).FindAllString(string(src), -1) {
		files, err := filepath.Glob(folder + pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", pattern, err)
		}
		for _, f := range files {
			carried[f] = true
		}
	}
	list := exec.Command("go", "list", "-deps", "-f", "{{if not .Standard}}{{.Dir}}{{end}}", "./engine")
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	dirs, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]string{}
	for _, dir := range strings.Fields(string(dirs)) {
		textsOf(t, dir, said)
	}
	if len(said) < 3000 {
		t.Fatalf("only %d texts are said: this test sees too few", len(said))
	}
	tables, err := filepath.Glob(folder + "sentences/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for _, table := range tables {
		if carried[table] {
			continue
		}
		left++
		var sentences map[string]any
		if _, err := toml.DecodeFile(table, &sentences); err != nil {
			t.Fatal(err)
		}
		for s := range sentences {
			if where, ok := said[s]; ok {
				t.Errorf("%s says %q, which stands in %s and is not carried", where, s, filepath.Base(table))
			}
		}
	}
	if left == 0 {
		t.Error("everything is carried: this test is of no use")
	}
}

// textsOf adds the texts in the sources of a package, with those that are put together of parts.
func textsOf(t *testing.T, dir string, said map[string]string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if e, ok := n.(ast.Expr); ok {
				if v := textOf(e); v != nil {
					said[constant.StringVal(v)] = name
				}
			}
			return true
		})
	}
}

// textOf is a text that is written as one or as a sum of parts; nil for everything else.
func textOf(e ast.Expr) constant.Value {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			return constant.MakeFromLiteral(e.Value, token.STRING, 0)
		}
	case *ast.ParenExpr:
		return textOf(e.X)
	case *ast.BinaryExpr:
		if x, y := textOf(e.X), textOf(e.Y); e.Op == token.ADD && x != nil && y != nil {
			return constant.BinaryOp(x, token.ADD, y)
		}
	}
	return nil
}
