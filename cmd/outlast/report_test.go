package main

import (
	"bytes"
	"strings"
	"testing"
)

// report runs the command on a sample site and gives what it prints.
func report(t testing.TB, site string, flags ...string) string {
	t.Helper()
	var out, errw bytes.Buffer
	status := run(append(append([]string{"report"}, flags...), "../../testdata/sites/"+site+".toml"),
		strings.NewReader(""), &out, &errw)
	if status == 2 || errw.Len() > 0 {
		t.Fatalf("report %s %q: status %d, %s", site, flags, status, errw.String())
	}
	return out.String()
}

// goldenReports are the homes whose papers are held as they are, as Markdown: what it says is read in a diff, and HTML
// draws the same document.
var goldenReports = []string{"farmhouse", "clinic"}

func TestGoldenReports(t *testing.T) {
	for _, home := range goldenReports {
		t.Run(home, func(t *testing.T) {
			golden(t, "report-"+home+".md", report(t, home, "--date", "2026-05-04", "--annex", "--format", "markdown"))
		})
	}
}

// BenchmarkReport reads a sample site, plans it and makes its papers.
func BenchmarkReport(b *testing.B) {
	for _, home := range []string{"town-flat", "farmhouse"} {
		b.Run("site="+home, func(b *testing.B) {
			for b.Loop() {
				report(b, home)
			}
		})
	}
}
