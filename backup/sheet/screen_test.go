package sheet

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/clipperhouse/displaywidth"
	"github.com/google/go-cmp/cmp"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/catalog"
)

// shown is the first screen of a plan, by lines.
func shown(t *testing.T, p *backup.Plan, lang string, width int) []string {
	t.Helper()
	return strings.Split(strings.TrimSuffix(write(t, Options{Lang: lang, Width: width}, p), "\n"), "\n")
}

// speaks is the speaker of a plan in a language.
func speaks(t *testing.T, p *backup.Plan, lang string) *speech.Speaker {
	t.Helper()
	s, err := SpeakFor(p.Facts)(Options{Lang: lang})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// checkScreen holds a first screen against what it promises.
func checkScreen(t *testing.T, what string, p *backup.Plan, lang string, width int) {
	t.Helper()
	what += " in " + lang
	lines := shown(t, p, lang, width)
	speaker := speaks(t, p, lang)
	fails := p.With(verdict.Fail)
	most := ScreenLines
	if n := len(lines); n > ScreenLines {
		// What fails, each in a line or, with a long name, in two; beside it what no screen leaves out.
		const beside = 20
		most = beside + 2*len(fails)
	}
	if len(lines) > most {
		t.Errorf("%s, %d checks fail: %d lines at %d columns, want %d at most:\n%s", what, len(fails), len(lines),
			width, most, strings.Join(lines, "\n"))
	}
	for i, line := range lines {
		if n := displaywidth.String(line); n > width || strings.TrimRight(line, " ") != line {
			t.Errorf("%s: line %d is %d columns wide: %q", what, i+1, n, line)
		}
	}
	// All that fails is named before anything else is said, and all that calls for caution behind it.
	rest := strings.Join(strings.Fields(strings.Join(lines, " ")), " ")
	for _, stays := range []phrase.Phrase{phrase.Of("Stays on:"), phrase.Of("Meant to stay on:")} {
		if on := strings.Index(rest, columns.Loosened(speaker.Prose(stays))+" "); on >= 0 {
			rest = rest[:on]
		}
	}
	for _, c := range slices.Concat(fails, p.With(verdict.Caution)) {
		name := strings.Join(strings.Fields(speech.Clean(speaker.CheckName(c.ID))), " ")
		at := strings.Index(rest, name)
		if at < 0 {
			t.Errorf("%s at %d columns: %s, %q is not told in its place:\n%s", what, width, c.Status, name,
				strings.Join(lines, "\n"))
			continue
		}
		rest = rest[at:]
		if bare := bareFigures(speaker, c); bare != "" && strings.HasPrefix(rest, bare) && !strings.HasPrefix(rest, bare+":") {
			t.Errorf("%s at %d columns: a caution that keeps its limit stands as %q: who reads it takes it for one that passes",
				what, width, bare)
		}
	}
}

// bareFigures is a caution within its limit as what it compares, in English; "" of other checks.
func bareFigures(speaker *speech.Speaker, c verdict.Check) string {
	if !c.KeepsLimit() || c.ID == "autonomy" {
		return ""
	}
	than := "at most"
	if c.AtLeast {
		than = "at least"
	}
	of, limit, in := c.Shown()
	return strings.Join(strings.Fields(speech.Clean(fmt.Sprintf("%s: %s, %s %s", speaker.CheckName(c.ID),
		wording.AmountText(of, in), than, wording.AmountText(limit, in)))), " ")
}

// TestScreen: the first screens of the sample sites, and of homes on which something was found once.
func TestScreen(t *testing.T) {
	files, err := filepath.Glob("../../testdata/*/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, file := range files {
		if strings.Contains(file, "broken") {
			continue
		}
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		p := planned(t, cat, file, src)
		read++
		for _, width := range []int{MinWidth, 80, 100, 120, 1000} {
			checkScreen(t, file, p, "en", width)
		}
		for _, lang := range words.Languages()[1:] {
			checkScreen(t, file, p, lang, MinWidth)
			checkScreen(t, file, p, lang, 80)
		}
		oneAutonomy(t, file, p)
		if p.Verdict() != verdict.Fail {
			text := strings.Join(shown(t, p, "en", 80), "\n")
			// One line that is cut within its first sentence says nothing.
			if line := regexp.MustCompile(`(?m)^To settle first.*\n`).FindString(text + "\n"); strings.HasSuffix(line, " ...\n") &&
				!strings.HasSuffix(line, ". ...\n") {
				t.Errorf("%s: what is to be settled is cut within its first sentence: %s", file, line)
			}
			for _, want := range []string{"Stays on: ", "Tightest limits, with their margins", "To settle first",
				"More: outlast plan --show PART FILE"} {
				if !strings.Contains(text, want) {
					t.Errorf("%s: the first screen has no %q:\n%s", file, want, text)
				}
			}
		}
	}
	if read < 10 {
		t.Errorf("%d homes read, want more", read)
	}
}

// oneAutonomy: whoever reads the first screen reads one promise, and not the hours of another start or of a new bank.
func oneAutonomy(t *testing.T, file string, p *backup.Plan) {
	t.Helper()
	hours, _, err := p.LeastAutonomy()
	if err != nil {
		t.Fatal(err)
	}
	// What stays on longer with fewer loads is told in hours too, and may happen to be as much.
	text := strings.Join(slices.DeleteFunc(shown(t, p, "en", 80),
		func(line string) bool { return strings.HasPrefix(line, "  Only priority") }), "\n")
	for _, other := range []float64{p.Bank.AutonomyH, p.Bank.AutonomyNewH} {
		if figure := wording.AmountText(other, "h"); figure != wording.AmountText(hours, "h") &&
			strings.Contains(text, " "+figure) {
			t.Errorf("%s: the first screen tells %s beside the promise of %s:\n%s", file, figure,
				wording.AmountText(hours, "h"), text)
		}
	}
}

// TestScreenOfDrawnHomes: whatever a home is like, its first screen is one screen.
func TestScreenOfDrawnHomes(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	passing, failing := 0, 0
	for seed := range uint64(120) {
		p := planned(t, cat, fmt.Sprintf("home %d", seed), drawnhome.Draw(seed))
		if p.Verdict() == verdict.Fail {
			failing++
		} else {
			passing++
		}
		for _, lang := range words.Languages() {
			checkScreen(t, p.Site.File, p, lang, 80)
		}
	}
	if passing < 20 || failing < 20 {
		t.Errorf("%d homes pass and %d fail, want more of both", passing, failing)
	}
}

// TestScreenOfNastyNames: nor do names make it longer or wider.
func TestScreenOfNastyNames(t *testing.T) {
	for _, word := range append(slices.Clone(nastyNames), strings.Repeat("very long ", 19)) {
		p := planWith(t, word, word, word)
		for _, width := range []int{MinWidth, 80} {
			for _, lang := range words.Languages() {
				if lines := shown(t, p, lang, width); len(lines) > ScreenLines {
					t.Errorf("%q in %s at %d columns: %d lines:\n%s", word, lang, width, len(lines),
						strings.Join(lines, "\n"))
				}
			}
		}
	}
}

// TestScreenTellsWhatToDoOfACautionThatKeepsItsLimit: an opening that is large enough, in a heat for which the gassing
// figures do not hold.
func TestScreenTellsWhatToDoOfACautionThatKeepsItsLimit(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile("../../testdata/sites/cottage.toml")
	if err != nil {
		t.Fatal(err)
	}
	hot := strings.Replace(string(src), "\nhottest_c = 38", "\nhottest_c = 42", 1)
	text := strings.Join(strings.Fields(strings.Join(shown(t, planned(t, cat, "hot.toml", []byte(hot)), "en", 80), " ")), " ")
	if want := "1600 cm2 there: keep the battery cooler caution"; !strings.Contains(text, want) {
		t.Errorf("want %q in:\n%s", want, text)
	}
}

func planned(t *testing.T, cat *catalog.Catalog, name string, src []byte) *backup.Plan {
	t.Helper()
	site, err := site.Read(name, src, cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(t.Context(), site)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestParts: a part is shown by its name, and all of them are as much as the parts one by one.
func TestParts(t *testing.T) {
	for _, name := range []string{"town-flat", "farmhouse"} {
		p := samplehome.Plan(t, name)
		all := write(t, Options{Show: []string{All}}, p)
		for _, part := range Parts() {
			text := write(t, Options{Show: []string{part}}, p)
			if part != All && len(text) >= len(all) {
				t.Errorf("%s: --show %s is no part of everything", name, part)
			}
			for line := range strings.Lines(text) {
				if !strings.Contains(all, line) && len(missing(p, Options{Show: []string{part}})) == 0 {
					t.Errorf("%s: --show %s tells %q, which --show all does not", name, part, line)
				}
			}
		}
		if each := write(t, Options{Show: slices.DeleteFunc(partsOf(p), func(name string) bool { return name == All })},
			p); each != all {
			t.Errorf("%s: the parts by their names are not --show all:\n%s", name, cmp.Diff(all, each))
		}
	}
	p := samplehome.Plan(t, "town-flat")
	for part, want := range map[string]string{"options": "no [[option]]", "recharge": "no [[array]] and no\n"} {
		if text := write(t, Options{Show: []string{part}}, p); !strings.Contains(text, want) {
			t.Errorf("--show %s of a home without it: %q not in\n%s", part, want, text)
		}
		if slices.Contains(partsOf(p), part) {
			t.Errorf("the first screen offers %s to a home without it", part)
		}
	}
}

// TestStaysOnOrLeftOff: what must be left off is not among what stays on.
func TestStaysOnOrLeftOff(t *testing.T) {
	text := strings.Join(shown(t, samplehome.Plan(t, "clinic"), "en", 80), "\n")
	stays, rest, ok := strings.Cut(text, "Must be left off: ")
	if !ok || strings.Contains(stays, "Steam steriliser") || !strings.Contains(rest, "Steam steriliser") {
		t.Errorf("the steriliser, alone on its circuit and held off:\n%s", text)
	}
}

// TestBegun: a text that is too long ends after a sentence, or with a whole word.
func TestBegun(t *testing.T) {
	for _, tt := range []struct {
		lines       []string
		most, width int
		want        []string
	}{
		{[]string{"All of it."}, 1, 20, []string{"All of it."}},
		{[]string{"One two. Three four", "five. Six"}, 1, 20, []string{"One two. ..."}},
		{[]string{"One two. Three four", "five. Six", "seven"}, 2, 20, []string{"One two. Three four", "five. ..."}},
		{[]string{"One two three four.", "Five"}, 1, 20, []string{"One two three ..."}}, // no room behind the sentence
		{[]string{"One two three four", "five"}, 1, 20, []string{"One two three ..."}},
		{[]string{"One. Two three", "four five six", "seven"}, 2, 20, []string{"One. ..."}},
		{[]string{"Donaudampfschiff", "fahrt"}, 1, 16, []string{" ..."}},
	} {
		if got := begun(tt.lines, tt.most, tt.width); !slices.Equal(got, tt.want) {
			t.Errorf("begun(%q, %d, %d) = %q, want %q", tt.lines, tt.most, tt.width, got, tt.want)
		}
	}
}
