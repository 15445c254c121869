package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// TestFlagsComplete: no flag leaves the shell to offer files where it takes none, and those of few words offer them.
func TestFlagsComplete(t *testing.T) {
	words := map[string]string{"format": "text", "lang": "de", "law": "weibull", "for": "owner", "paper": "a4",
		"show": "bank"}
	tried := 0
	for _, c := range newRoot().Commands() {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if f.Value.Type() == "bool" {
				return
			}
			tried++
			var out, errw bytes.Buffer
			if status := run([]string{"__complete", c.Name(), "--" + f.Name, ""}, strings.NewReader(""), &out,
				&errw); status != 0 {
				t.Fatalf("%s --%s: status %d, %s", c.Name(), f.Name, status, errw.String())
			}
			lines := strings.Split(strings.TrimSpace(out.String()), "\n")
			value, _ := pflag.UnquoteUsage(f)
			if files := lines[len(lines)-1] == ":0"; files != slices.Contains(filesWanted, value) &&
				f.Name != "catalog" && f.Name != "with" {
				t.Errorf("%s --%s %s: the shell offers files: %v", c.Name(), f.Name, value, files)
			}
			offers := func(line string) bool {
				word, _, _ := strings.Cut(line, "\t")
				return word == words[f.Name] || c.Name() == "report" && word == "html"
			}
			if words[f.Name] != "" && !slices.ContainsFunc(lines, offers) {
				t.Errorf("%s --%s does not offer %s: %q", c.Name(), f.Name, words[f.Name], lines)
			}
		})
	}
	if tried < 35 {
		t.Errorf("only %d flags", tried)
	}
}
