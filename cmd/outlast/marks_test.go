package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
)

// privateMark finds how workers note for themselves how sure they are of a figure, and what the papers once made of it.
var privateMark = regexp.MustCompile(`\bSEEN\b|\bMEM\b|(?:, |: |\()memory\b|\((?:own|derived)\)|eingesehen|de visu`)

// TestNoPrivateMarks: whatever the program prints, a source is a document, or says in words what it rests on.
func TestNoPrivateMarks(t *testing.T) {
	commands := [][]string{
		{"plan", "--working"}, {"plan", "--working", "--format", "markdown"}, {"plan", "--working", "--format", "csv"},
		{"plan", "--working", "--format", "json"},
		{"report"}, {"report", "--lang", "de", "--format", "markdown"},
		{"report", "--lang", "es", "--format", "markdown"}, {"report", "--lang", "fr", "--format", "markdown"},
		{"outage"}, {"outage", "--format", "json"},
	}
	sites := sampleHomes
	if testing.Short() {
		sites = []string{"clinic", "farmhouse"} // lead-acid and lithium, one phase and three
	}
	memories := 0
	for _, home := range sites {
		for _, args := range commands {
			var out, errw bytes.Buffer
			status := run(append(args[:len(args):len(args)], "../../testdata/sites/"+home+".toml"),
				strings.NewReader(""), &out, &errw)
			if status == 2 || errw.Len() > 0 || out.Len() == 0 {
				t.Fatalf("%v %s: status %d, %d bytes, %s", args, home, status, out.Len(), errw.String())
			}
			text := strings.Join(strings.Fields(out.String()), " ")
			if found := privateMark.FindStringIndex(text); found != nil {
				t.Errorf("%v %s prints a private mark: %q", args, home,
					text[max(0, found[0]-80):min(len(text), found[1]+20)])
			}
			memories += strings.Count(text, "from memory")
		}
	}
	if memories == 0 {
		t.Error("nothing says that it is from memory: the working is not looked at")
	}
}
