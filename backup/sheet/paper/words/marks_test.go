package words

import (
	"go/ast"
	"go/token"
	"regexp"
	"testing"
)

// mark finds how workers note for themselves how sure they are of a figure. On paper a source is a document, or says in
// words what it rests on: "from memory", "common practice".
var mark = regexp.MustCompile(`\bSEEN\b|\bMEM\b|(?:, |: |\(|^)memory\b|\((?:own|derived)\)|^(?:own|derived)$`)

// marked are literals that look like a mark and are none: keys of JSON and of the catalog, and the word behind a source
// that a key explains to readers.
var marked = map[string]bool{"own": true, "memory": true}

// No literal of the program carries a mark, so that none can reach a paper, whoever prints it.
func TestNoPrivateMarkInTheSource(t *testing.T) {
	for text, want := range map[string]bool{
		"NEC 210.20(A) (SEEN-S)": true, "IEEE 485, memory": true, "generic text, SEEN; lithium: memory": true,
		"(MEM)": true, "own (own)": true,
		"derived": true, "IEEE 485, from memory": false, "to bound the memory": false, "common practice": false,
	} {
		if mark.MatchString(text) != want {
			t.Errorf("%q: a mark is %v, want %v", text, !want, want)
		}
	}
	literals := 0
	eachSource(t, func(path string, fset *token.FileSet, f *ast.File) {
		eachLiteral(f, func(at token.Pos, text string) {
			literals++
			if mark.MatchString(text) && !marked[text] {
				t.Errorf("%s: %q carries a private mark: name the document, or say in words what it rests on",
					fset.Position(at), text)
			}
		})
	})
	if literals < 5000 {
		t.Fatalf("%d literals: this test sees too few", literals)
	}
}
