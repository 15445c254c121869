package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/clipperhouse/displaywidth"

	"outlast/catalog/strict"
)

// helped is what help prints.
func helped(t *testing.T, args ...string) string {
	t.Helper()
	var out, errw bytes.Buffer
	if status := run(append([]string{"help"}, args...), strings.NewReader(""), &out, &errw); status != 0 || errw.Len() > 0 {
		t.Fatalf("help %q: status %d, stderr %q", args, status, errw.String())
	}
	return out.String()
}

// asItStands is what is never wrapped: messages, and the lines of a file.
var asItStands = regexp.MustCompile(`^(outlast: |basis = )`)

// TestTopics: every topic has a page with a session that was run, on lines that a terminal of 80 columns holds, and every page is a topic.
func TestTopics(t *testing.T) {
	pages, err := filepath.Glob("topics/*.md")
	if err != nil || len(pages) != len(topics) {
		t.Errorf("%d pages (%v), %d topics", len(pages), err, len(topics))
	}
	listed := helped(t)
	for _, name := range topics {
		t.Run(name, func(t *testing.T) {
			if !strings.Contains(listed, "  "+name+" ") || !strings.Contains(listed, topicTitle(name)) {
				t.Errorf("outlast help does not list %s", name)
			}
			for i, line := range strings.Split(helped(t, name), "\n") {
				if n := displaywidth.String(line); n > 80 && !asItStands.MatchString(line) || strings.TrimRight(line, " ") != line {
					t.Errorf("line %d is %d columns wide: %q", i+1, n, line)
				}
			}
			for _, sign := range []string{"`", "##", "]("} {
				if text := helped(t, name); strings.Contains(text, sign) && name != "papers" { // which shows Markdown
					t.Errorf("Markdown is left on the page: %q in\n%s", sign, text)
				}
			}
			if n := runSessions(t, "cmd/outlast/topics/"+name+".md"); n == 0 {
				t.Error("no session shows what is said")
			}
		})
	}
}

// TestRendered: what a terminal shows of a page.
func TestRendered(t *testing.T) {
	const page = "# A title\n\nSome `words` that\nare wrapped.\n\n- one item\n  and more of it\n- another\n```\n$ a long command that goes on | b\nx   y\n```\nEnd.\n"
	const want = "A title\n-------\n\nSome words that are\nwrapped.\n\n- one item and more\n  of it\n- another\n$ a long command that goes on \\\n    | b\nx   y\nEnd.\n"
	if got := rendered(page, 20); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestHelpKeys: every key of a site file stands on the page, with an example that the reader takes.
func TestHelpKeys(t *testing.T) {
	whole := helped(t, "keys")
	examples, err := keyExamples()
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for _, table := range keyTables() {
		part := helped(t, "keys", table.name)
		if !strings.Contains(whole, part) {
			t.Errorf("help keys %s is no part of help keys", table.name)
		}
		for i := range table.keys.List {
			k := &table.keys.List[i]
			example := examples[table.name][k.Name]
			if count++; example == "" || !strings.Contains(part, example) {
				t.Errorf("%s of %s has no example", k.Name, table.keys.Name)
			}
			told := strings.Join(strings.Fields(part), " ")
			if k.Keys == nil && !strings.Contains(told, strings.ReplaceAll(k.Doc, "`", "")+"; "+k.Wants()) {
				t.Errorf("%s of %s: what it takes is not told", k.Name, table.keys.Name)
			}
			if k.Keys != nil && table.name != "option" {
				for _, below := range k.Keys.List {
					if !strings.Contains(told, "- "+below.Name+": ") {
						t.Errorf("%s of %s in %s is not told", below.Name, k.Name, table.keys.Name)
					}
				}
			}
		}
		for key := range examples[table.name] {
			if !slices.ContainsFunc(table.keys.List, func(k strict.Key) bool { return k.Name == key }) {
				t.Errorf("the example of %s in %s is of no key", key, table.keys.Name)
			}
		}
	}
	if count < 150 {
		t.Errorf("only %d keys", count)
	}
}

// TestKeyExamples: the reader takes the examples, and what may stand in the place of some of them.
func TestKeyExamples(t *testing.T) {
	src, err := os.ReadFile(examplesFile)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(src), "\n")
	files, tried := []string{string(src)}, 0
	for i, line := range lines {
		// A weather file would have to be there.
		if other, ok := strings.CutPrefix(line, inPlace); ok && !strings.HasPrefix(other, "weather") {
			files = append(files, strings.Join(slices.Concat(lines[:i-1], []string{other}, lines[i+1:]), "\n"))
			tried++
		}
	}
	if tried < 5 {
		t.Errorf("%d lines in the place of others, want more", tried)
	}
	for _, text := range files {
		var out, errw bytes.Buffer
		if status := run([]string{"check", "-"}, strings.NewReader(text), &out, &errw); status != 0 {
			t.Errorf("the examples are refused: %s", errw.String())
		}
	}
}
