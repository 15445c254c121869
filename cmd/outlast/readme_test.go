package main

import (
	"bytes"
	"flag"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the expected output in scripts, golden files and the README")

// session is a block of the README that shows a command and what it prints.
var session = regexp.MustCompile("(?ms)^```\n\\$ outlast ([^\n]*)\n(.*?)^```$")

// TestReadme runs what the README shows: a page that lies is worse than none.
func TestReadme(t *testing.T) {
	const readme = "../../README.md"
	page, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir("../..")
	sessions := session.FindAllSubmatch(page, -1)
	if len(sessions) < 4 {
		t.Fatalf("found %d sessions in the README, want at least 4", len(sessions))
	}
	for _, m := range sessions {
		line, shown := string(m[1]), string(m[2])
		var out bytes.Buffer
		args, filter, _ := strings.Cut(line, " | ")
		run(strings.Fields(args), strings.NewReader(""), &out, &out)
		got := out.String()
		if filter != "" {
			got = firstWith(t, got, filter)
		}
		if *update {
			page = bytes.Replace(page, m[0], []byte("```\n$ outlast "+line+"\n"+got+"```"), 1)
			continue
		}
		if diff := cmp.Diff(shown, got); diff != "" {
			t.Errorf("README shows another output of outlast %s (-shown +real):\n%s", line, diff)
		}
	}
	if *update {
		if err := os.WriteFile("README.md", page, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// firstWith stands in for the one filter that the README uses.
func firstWith(t *testing.T, text, filter string) string {
	word, ok := strings.CutPrefix(filter, "grep -m1 ")
	if !ok {
		t.Fatalf("the README filters with %q, which this test does not know", filter)
	}
	for line := range strings.Lines(text) {
		if strings.Contains(line, word) {
			return line
		}
	}
	return ""
}
