package paper

import (
	"bytes"
	"cmp"
	"context"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/site"
	"outlast/catalog"
)

var update = flag.Bool("update", false, "write the golden files anew")

// english finds words of the papers that only English has.
var english = samplehome.English()

// startRow finds that what follows is the value of the key start, in the table of defaults.
var startRow = regexp.MustCompile(`\[outage\\?\][\s|]+start[\s|]+[^|\n]*[\s|]+$`)

// markup finds what is not text.
var markup = regexp.MustCompile(`(?s)<style.*?</style>|<[^>]*>`)

// symbol finds the names of keys and of the figures in formulas, which are the same in every language.
var symbol = regexp.MustCompile(`[A-Za-z0-9]+(?:\\?_[A-Za-z0-9]+)+`)

// withoutCut leaves out the names that are cut in drawings, which end in an ellipsis.
func withoutCut(text string) string {
	pieces := strings.Split(text, "…")
	for i, piece := range pieces[:len(pieces)-1] {
		pieces[i] = piece[:max(0, len(piece)-40)]
	}
	return strings.Join(pieces, "")
}

// The papers of every sample site speak their language from the first word to the last: no sentence lacks a
// translation, nothing is marked as English, and no English word stands there but in names of the site file.
func TestPapersSpeakOneLanguage(t *testing.T) {
	paths := samplehome.Files(t)
	if testing.Short() {
		paths = paths[:2]
	}
	for _, path := range paths {
		home := samplehome.Name(path)
		for _, lang := range words.Languages() {
			r := reportOn(t, home, lang)
			d, err := New(context.Background(), r.Plan, Options{Lang: lang, Annex: true, Date: "2026-05-04",
				Source: home + ".toml"})
			if err != nil {
				t.Fatal(err)
			}
			if len(d.Untranslated) > 0 {
				t.Errorf("%s in %s: no words for %q", home, lang, d.Untranslated)
			}
			for _, format := range doc.Formats() {
				var b bytes.Buffer
				if err := d.Write(&b, format); err != nil {
					t.Fatal(err)
				}
				text := b.String()
				if i := strings.Index(text, "%!"); i >= 0 {
					t.Errorf("%s in %s, %s: words without what they take: %q", home, lang, format,
						text[i:min(len(text), i+60)])
				}
				if lang != "en" && strings.Contains(text, `lang="en"`) {
					t.Errorf("%s in %s: something is marked as English", home, lang)
				}
				if lang == "en" {
					continue
				}
				text = markup.ReplaceAllString(text, " ")
				for _, n := range samplehome.Named(r.Plan) {
					text = strings.ReplaceAll(text, n, "")
					text = strings.ReplaceAll(text, strings.ReplaceAll(n, "_", `\_`), "")
				}
				text = symbol.ReplaceAllString(withoutCut(text), "|")
				for _, at := range english.FindAllStringIndex(text, -1) {
					if strings.HasPrefix(text[at[0]:], "worst -") {
						continue // a value of the site file, as its change of an option
					}
					if text[at[0]:at[1]] == "worst" && startRow.MatchString(text[max(0, at[0]-100):at[0]]) {
						continue // the same, as a default
					}
					t.Errorf("%s in %s, %s: English: %q", home, lang, format,
						text[max(0, at[0]-60):min(len(text), at[1]+40)])
				}
			}
		}
	}
}

// spoken are all phrases of a plan that reach the papers.
func spoken(p *backup.Plan) []phrase.Phrase {
	out := slices.Concat(p.Cautions, p.WireNotes)
	for _, c := range p.Checks {
		out = append(out, c.Reason)
	}
	for _, c := range p.Circuits {
		out = append(out, c.Reason())
	}
	for _, r := range p.Runs {
		out = append(out, r.Label)
	}
	for _, s := range p.Steps() {
		out = append(out, s.Title, s.Formula, s.Cited())
	}
	for _, o := range p.Options {
		out = append(append(out, o.ChangeTexts()...), spoken(o.Plan)...)
	}
	return out
}

// A home that goes wrong is told of in its language as well: sample sites once more without each of their keys, and
// with each of their numbers far too small and far too large.
func TestBrokenHomesSpeakOneLanguage(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`(?m)^(\[.*\])$|^(\w+) = (.*)$`)
	planned, said, missed := 0, map[string]bool{}, map[string]bool{}
	try := func(src, what string) {
		s, err := site.Read("home.toml", []byte(src), cat)
		if err != nil {
			return // told as an error, in English, and there are no papers
		}
		p, err := backup.NewPlan(context.Background(), s)
		if err != nil {
			return
		}
		planned++
		for _, lang := range words.Languages()[1:] {
			r := findings.New(p, voiceOf(t, lang), nil)
			for _, ph := range spoken(p) {
				said[ph.String()] = true
				if text := r.Prose(ph); (text == "") != ph.Empty() || strings.Contains(text, "%!") {
					t.Errorf("%s, %s: %q is said as %q", what, lang, ph, text)
				}
			}
			for _, text := range r.Speaker.Missed {
				if !missed[lang+text] {
					t.Errorf("%s, %s: no words for %q", what, lang, text)
				}
				missed[lang+text] = true
			}
		}
	}
	paths := samplehome.Files(t)
	size := func(path string) int64 {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		return info.Size()
	}
	// most keys are in a small one, which is planned fast
	slices.SortFunc(paths, func(a, b string) int { return cmp.Compare(size(a), size(b)) })
	tried := map[string]bool{}
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		table := ""
		for _, at := range line.FindAllSubmatchIndex(src, -1) {
			part := func(n int) string {
				if at[2*n] < 0 {
					return ""
				}
				return string(src[at[2*n]:at[2*n+1]])
			}
			if part(1) != "" {
				table = part(1)
				continue
			}
			key := part(2)
			if tried[table+key] {
				continue
			}
			tried[table+key] = true
			for n, other := range []string{"", key + " = " + part(3) + "0", key + " = 0.1", key + " = 1"} {
				if testing.Short() && n > 1 {
					break
				}
				try(string(src[:at[0]])+other+string(src[at[1]:]), filepath.Base(path)+": "+other+" for "+part(0))
			}
		}
	}
	if planned < 60 || len(said) < 2000 {
		t.Errorf("planned %d homes that say %d different things: this test sees too few", planned, len(said))
	}
	t.Logf("%d homes planned, %d different things said", planned, len(said))
}

// What the papers say is read by eye in these files.
func TestGolden(t *testing.T) {
	for home, lang := range map[string]string{"farmhouse": "de", "cottage": "es", "clinic": "fr"} {
		d, err := New(context.Background(), reportOn(t, home, lang).Plan,
			Options{Lang: lang, Annex: true, Date: "2026-05-04", Source: home + ".toml"})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := d.Write(&b, "markdown"); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("testdata/golden", home+"-"+lang+".md")
		if *update {
			if err := os.MkdirAll("testdata/golden", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.Bytes(), want) {
			t.Errorf("%s differs from what the papers say now; look at it and run with -update", path)
		}
	}
}
