package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The least that a log tells of a bank is one figure, in the first line as in the table below.
func TestCompareTellsOneLowEnd(t *testing.T) {
	first, below := regexp.MustCompile(`\((\d+) % to \d+ %\)`), regexp.MustCompile(`Low end of what was measured +(\d+) `)
	told := 0
	for _, home := range []string{"six-lines", "cottage", "town-flat", "drystone", "split-phase"} {
		var out, errs strings.Builder
		log := filepath.Join("..", "..", "testdata", "logs", "test.csv")
		if code := run([]string{"compare", "--width", "200", "--log", log, sampleSite(home)}, strings.NewReader(""), &out, &errs); code > 1 {
			t.Fatalf("%s: status %d: %s", home, code, errs.String())
		}
		head, row := first.FindStringSubmatch(out.String()), below.FindStringSubmatch(out.String())
		switch {
		case head == nil && row == nil: // the log does not tell
		case head == nil || row == nil || head[1] != row[1]:
			t.Errorf("%s: %q in the first line, %q in the table", home, head, row)
		default:
			told++
		}
	}
	if told < 2 {
		t.Errorf("the log tells of %d homes only", told)
	}
}
