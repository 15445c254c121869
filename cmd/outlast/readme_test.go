package main

import (
	"bytes"
	"flag"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the expected output in scripts, golden files and the README")

// session is a block of a page that shows a command and what it prints.
var session = regexp.MustCompile("(?ms)^```\n\\$ outlast ([^\n]*)\n(.*?)^```$")

// TestReadme runs what the README shows: a page that lies is worse than none.
func TestReadme(t *testing.T) {
	if n := runSessions(t, "README.md"); n < 2 {
		t.Errorf("found %d sessions in the README, want at least 2", n)
	}
}

// runSessions runs the sessions of a page, whose path begins at the top of the project, and counts them.
func runSessions(t *testing.T, path string) int {
	t.Helper()
	t.Chdir("../..")
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	sessions := session.FindAllSubmatch(page, -1)
	for _, m := range sessions {
		line, shown := string(m[1]), string(m[2])
		var out bytes.Buffer
		args, filter, _ := strings.Cut(line, " | ")
		run(strings.Fields(args), strings.NewReader(""), &out, &out)
		got := out.String()
		if filter != "" {
			got = filtered(t, got, filter)
		}
		if *update {
			page = bytes.Replace(page, m[0], []byte("```\n$ outlast "+line+"\n"+got+"```"), 1)
			continue
		}
		if diff := cmp.Diff(shown, got); diff != "" {
			t.Errorf("%s shows another output of outlast %s (-shown +real):\n%s", path, line, diff)
		}
	}
	if *update {
		if err := os.WriteFile(path, page, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return len(sessions)
}

// filters are those that the pages use: the first lines, the first line with a word, it and some that follow.
var filters = regexp.MustCompile(`^(?:head -(\d+)|grep -m1 ([^" ]+)|grep -A(\d+) ("[^"]+"|[^" ]+))$`)

// filtered stands in for the filters that the pages use.
func filtered(t *testing.T, text, filter string) string {
	t.Helper()
	m := filters.FindStringSubmatch(filter)
	if m == nil {
		t.Fatalf("a page filters with %q, which this test does not know", filter)
	}
	word, after := strings.Trim(m[2]+m[4], `"`), m[1]+m[3]
	lines := slices.Collect(strings.Lines(text))
	from := slices.IndexFunc(lines, func(line string) bool { return strings.Contains(line, word) })
	if from < 0 {
		t.Fatalf("nothing that is printed has %q in it", word)
	}
	count := 1
	if after != "" {
		n, err := strconv.Atoi(after)
		if err != nil {
			t.Fatal(err)
		}
		if count = n; m[3] != "" {
			count = n + 1
		}
	}
	return strings.Join(lines[from:min(len(lines), from+count)], "")
}
