package tablepage

import (
	"errors"
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/live"
)

// Every text that the page says is in the table, and every text of the page is said.
func TestPageTextsAreSaid(t *testing.T) {
	_, table := siteText(t, "six-lines")
	words, err := table.Words(live.Question{})
	if err != nil {
		t.Fatal(err)
	}
	var said strings.Builder
	for _, folder := range []fs.FS{files, scripts} {
		err := fs.WalkDir(folder, ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := fs.ReadFile(folder, path)
			said.Write(text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	all := said.String()
	asked := 0
	for _, m := range regexp.MustCompile(`(?:\bsay\(|data-say(?:="|": ))"?([a-z][a-z-]*)"`).FindAllStringSubmatch(
		all, -1) {
		asked++
		if words.Texts[m[1]] == "" {
			t.Errorf("the page says %q, and no table has it", m[1])
		}
	}
	if asked < 40 {
		t.Errorf("only %d texts are asked for: this test sees too few", asked)
	}
	for id := range words.Texts {
		head, last, parted := strings.Cut(id, ".")
		switch {
		case parted && head == "did" && strings.Contains(all, `"`+last+`"`):
		case parted && head == "error": // by faults of the server, below
		case !parted && strings.Contains(all, `"`+id+`"`):
		default:
			t.Errorf("nobody says %q", id)
		}
	}
	faults := map[string]bool{"papers": true, "unreachable": true, "engine": true, "not-read": true,
		"not-written": true,
		"not-valid":   true}
	for _, f := range []fault{faultGone, faultBusy, faultLost, faultLarge, faultThere} {
		faults[f.Code] = true
	}
	for _, name := range []string{"a", ".a.toml", "a/b.toml", "a\u200b.toml", " a.toml", "nul.toml",
		strings.Repeat("a", 200) + ".toml"} {
		var bad *live.BadName
		if !errors.As(live.CheckName(name), &bad) {
			t.Fatalf("%q is a good name", name)
		}
		faults[bad.Code] = true
	}
	for id, text := range words.Texts {
		if code, ok := strings.CutPrefix(id, "error."); ok && !faults[code] {
			t.Errorf("no fault is told as %q: %q", id, text)
		}
	}
	for code := range faults {
		if words.Texts["error."+code] == "" {
			t.Errorf("the fault %q has no words", code)
		}
	}
}
