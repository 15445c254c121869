package words

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// made are the formats that the source hands to package phrase, with the place of each: those that need a translation,
// and those that are the same in every language.
func made(t *testing.T) (translated, symbols map[string]string) {
	t.Helper()
	translated, symbols = map[string]string{}, map[string]string{}
	eachSource(t, func(path string, fset *token.FileSet, f *ast.File) {
		if !slices.ContainsFunc(f.Imports, func(s *ast.ImportSpec) bool {
			return s.Path.Value == `"outlast/backup/phrase"`
		}) {
			return
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			maker := ""
			if fun, ok := call.Fun.(*ast.SelectorExpr); ok {
				if pkg, ok := fun.X.(*ast.Ident); ok && pkg.Name == "phrase" {
					maker = fun.Sel.Name
				}
			}
			into, args := translated, []ast.Expr(nil)
			switch maker {
			case "Of":
				args = call.Args[:1]
			case "Count":
				args = call.Args[1:3]
			case "Symbols":
				into, args = symbols, call.Args[:1]
			case "Separated":
				into, args = symbols, call.Args[1:]
			}
			for _, arg := range args {
				where := fset.Position(arg.Pos()).String()
				text, ok := literal(arg)
				if !ok {
					t.Errorf("%s: phrase.%s takes a literal, so that the languages can be held against it", where,
						maker)
					continue
				}
				into[text] = where
			}
			return true
		})
	})
	return translated, symbols
}

// literal is the text of a literal, or of several that are added up over the lines of the source.
func literal(e ast.Expr) (text string, ok bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		return text, e.Kind == token.STRING && err == nil
	case *ast.BinaryExpr:
		left, ok := literal(e.X)
		right, also := literal(e.Y)
		return left + right, e.Op == token.ADD && ok && also
	}
	return "", false
}

// eachLiteral visits every text in a file, those over several lines as a whole.
func eachLiteral(f *ast.File, visit func(at token.Pos, text string)) {
	ast.Inspect(f, func(n ast.Node) bool {
		e, ok := n.(ast.Expr)
		if !ok {
			return true
		}
		text, ok := literal(e)
		if ok {
			visit(e.Pos(), text)
		}
		return !ok
	})
}

// eachSource reads every Go file of the project but the tests.
func eachSource(t *testing.T, visit func(path string, fset *token.FileSet, f *ast.File)) {
	t.Helper()
	fset := token.NewFileSet()
	root := filepath.Join("..", "..", "..", "..")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && path != root && strings.HasPrefix(d.Name(), "."):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			return err
		}
		visit(path, fset, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// place finds what a format fills in, with its flags: "%.1f", "%[2]s". "%%" is a sign.
var place = regexp.MustCompile(`%([-+#0 ]*)(\d*)(\.\d+)?(?:\[(\d+)\])?([a-zA-Z%])`)

// places lists what a format fills in by the number of the argument: "1 s", "2 .1f".
func places(t *testing.T, format string) []string {
	var out []string
	next := 1
	for _, m := range place.FindAllStringSubmatch(format, -1) {
		if m[5] == "%" {
			continue
		}
		if m[4] != "" {
			n, err := strconv.Atoi(m[4])
			if err != nil {
				t.Fatal(err)
			}
			next = n
		}
		out = append(out, fmt.Sprintf("%d %s%s%s%s", next, m[1], m[2], m[3], m[5]))
		next++
	}
	slices.Sort(out)
	return out
}

// unwritten is a format without what it fills in.
func unwritten(format string) string { return place.ReplaceAllString(format, " ") }

// plain says whether a text has no words of a language: units, symbols of formulas, keys of the site file, numbers of
// standards.
func plain(text string) bool {
	known := strings.Fields("W V A Ah VA kW h s m min ms K C x a b k E R I P T H L X Q mA mV mm2 km ohm mohm sqrt " +
		"cos sin tan acos ln log t R1 R2 t2 PVC Wh c q w pf Kt t_p A_p " +
		"NEC IEC IEEE BS SANS AS NZS US Army TM OD Table Chapter Annex method note series strings efficiency count " +
		"growth margin reserve autonomy_h V_nominal va B B1 B2 n ac dc DC AC Ohm Z D G")
	for _, w := range regexp.MustCompile(`\pL[\pL\d_]*`).FindAllString(unwritten(text), -1) {
		if !slices.Contains(known, w) && !strings.Contains(w, "_") {
			return false
		}
	}
	return true
}

// Every sentence that the source makes has its words in every language, with the same places to fill in; and no
// language has words that nothing says.
func TestEverySentenceInEveryLanguage(t *testing.T) {
	translated, symbols := made(t)
	if len(translated) < 600 || len(symbols) < 30 { // formulas of the working are expressions, and no sentences
		t.Fatalf("found %d sentences and %d formulas in the source: this test sees too few", len(translated),
			len(symbols))
	}
	seen := map[string]bool{}
	for _, r := range rows("sentences") {
		seen[r.key] = true
		if translated[r.key] == "" && symbols[r.key] == "" {
			t.Errorf("%s: nothing in the source says %q", r.place(), r.key)
		}
		for lang, text := range r.in {
			if want, got := places(t, r.key), places(t, text); !slices.Equal(want, got) {
				t.Errorf("%s: %s: %q fills in %v, but in English %v: %q", r.place(), lang, text, got, want, r.key)
			}
		}
	}
	for text, where := range translated {
		if !seen[text] {
			t.Errorf("%s: no language has words for %q", where, text)
		}
	}
	for text, where := range symbols {
		if !plain(text) {
			t.Errorf("%s: %q has words, want phrase.Of", where, text)
		}
		if decimal.MatchString(standard.ReplaceAllString(unwritten(text), "")) {
			t.Errorf("%s: %q has a decimal point, want a phrase.Number", where, text)
		}
	}
	if _, ok := SentencesIn("en"); ok {
		t.Error("English has a table of sentences: it would be spoken in place of the source")
	}
	for _, lang := range Languages()[1:] {
		if table, ok := SentencesIn(lang); !ok || len(table) != len(seen) {
			t.Errorf("%s: %d sentences, want %d", lang, len(table), len(seen))
		}
	}
}

// spelledAlike are the words that a language shares with English.
var spelledAlike = map[string][]string{
	"de": {"April", "August", "September", "November", "Generator", "Definition", "Generator: %s.", "%.4g Ah in %.4g h",
		"%s in %s", "Jan", "Feb", "Apr", "Jun", "Jul", "Aug", "Sep", "Nov", "Absorption", "Minute", "Phase %d", "Ph",
		"Prio", "Diff."},
	"es": {"fusible", "no", "Probable", "Total VA", "Nominal", "Prio", "Conductor", "(base)"},
	"fr": {"%d phase", "%d phases", "%d circuit", "%d circuits", "%d module", "%d modules", "absorption",
		"%s, fraction", "altitude", "charge %.4g, %s", "Charge %%", "Probable",
		"Total VA", "garage", "%s, phase %d", "Absorption", "Cycles", "Circuits", "Circuit", "Ph", "Prio", "(base)", "Source",
		"Minute", "Minutes", "Phase %d", "Phases", "Site", "Diff."},
}

// A sentence speaks its language, and joins its neighbours as the English one does.
func TestSentencesAreTranslated(t *testing.T) {
	for _, r := range rows("sentences") {
		for lang, text := range r.in {
			if text == r.key && !plain(text) && !slices.Contains(spelledAlike[lang], text) {
				t.Errorf("%s: %s: %q is still English", r.place(), lang, text)
			}
			if strings.Contains(text, "  ") || strings.HasSuffix(text, " ") != strings.HasSuffix(r.key, " ") {
				t.Errorf("%s: %s: %q has a blank too many or too few", r.place(), lang, text)
			}
			joint := strings.HasPrefix(r.key, " ") || lang == "fr" && strings.HasPrefix(r.key, ";") // French leaves a blank before it
			if strings.HasPrefix(text, " ") != joint {
				t.Errorf("%s: %s: %q begins in another way than %q", r.place(), lang, text, r.key)
			}
			if strings.ContainsAny(strings.ReplaceAll(text, "k'", ""), "\"'") {
				t.Errorf("%s: %s: %q has a straight quote", r.place(), lang, text)
			}
			for _, mark := range []string{".", "?"} {
				abbreviated := len(text) < 4 // "Nr."
				if strings.HasSuffix(text, mark) != strings.HasSuffix(r.key, mark) && !abbreviated {
					t.Errorf("%s: %s: %q ends in another way than %q", r.place(), lang, text, r.key)
				}
			}
			if lang == "fr" && regexp.MustCompile(`[^ ][:;?!]( |$)`).MatchString(text) {
				t.Errorf("%s: fr: %q wants a blank before its marks", r.place(), text)
			}
			if decimal.MatchString(standard.ReplaceAllString(unwritten(text), "")) {
				t.Errorf("%s: %s: %q has a decimal point", r.place(), lang, text)
			}
		}
	}
}

var decimal = regexp.MustCompile(`\d\.\d`)

// standard finds the number of a clause or a table, whose point is no decimal one.
var standard = regexp.MustCompile(`\d{3}\.\d+|B\.\d+\.\d+|(Abschnitt|apartado|article) \d\.\d`)

// A number keeps its unit beside it.
func TestUnitsStayWithNumbers(t *testing.T) {
	got := withUnits(map[string]string{"a": "%s um %.1f A, 25 °C / %[2]g h; 5 mm", "b": "%d Ahnungen"})
	if want := "%s um %.1f\u00a0A, 25\u00a0°C / %[2]g\u00a0h; 5 mm"; got["a"] != want {
		t.Errorf("got %q, want %q", got["a"], want)
	}
	if want := "%d Ahnungen"; got["b"] != want {
		t.Errorf("got %q, want %q", got["b"], want)
	}
}

// The rest of a sentence, what follows from it or what to do, is the same in every language: behind the last colon or
// semicolon there stand the same arguments.
func TestSentencesHaveTheirRest(t *testing.T) {
	rest := func(format string) (fills []string, has bool) {
		at := max(strings.LastIndex(format, ": "), strings.LastIndex(format, "; "))
		if at < 0 {
			return nil, false
		}
		before := places(t, format[:at])
		return slices.DeleteFunc(places(t, format), func(p string) bool { return slices.Contains(before, p) }), true
	}
	for _, r := range rows("sentences") {
		want, has := rest(r.key)
		for lang, text := range r.in {
			if got, too := rest(text); has && (!too || !slices.Equal(want, got)) {
				t.Errorf("%s: %s: the rest of %q fills in %v, but in English %v: %q", r.place(), lang, text, got, want,
					r.key)
			}
		}
	}
}
