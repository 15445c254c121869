package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// hostileNames are names that would do something if anything took them for more than a text.
var hostileNames = []string{
	"rtl\u202egpj.exe", "\u2066\u2067open", "\u2069\u2069shut", "\u200fmark\u061c", "zero\u200bwidth\ufeff",
	"two\u2028lines\u2029", "tag\U000e0041",
	"=1+2", " =HYPERLINK(1)", "+1", "-1+2", "@sum(a1)", "\uff1d1+1", "\uff20sum", "\u00a0=1", "\u200b=1",
	"<script>alert(1)</script>", "<img src=x onerror=alert(2)>", "a](javascript:alert(3))", "`code`", "# head",
	"| cell | cell", "]]>", "\"quoted\"", "'", "%s%n", "ثلاجة", "מקרר",
}

// aFigure is a cell that begins like a formula and is a number.
var aFigure = regexp.MustCompile(`^[-+]?[0-9.]+$`)

// aLink is one in Markdown whose bracket is not escaped.
var aLink = regexp.MustCompile(`(^|[^\\])\]\(javascript:`)

// TestHostileNames: whatever home, circuits, loads, options and equipment are called, it is text in every format:
// nothing turns the direction of writing, begins a line or hides, no cell is a formula, no markup is taken for markup,
// and a program reads the very name.
func TestHostileNames(t *testing.T) {
	names := hostileNames
	if testing.Short() {
		names = []string{hostileNames[0], hostileNames[8], hostileNames[16], hostileNames[25]}
	}
	folder := t.TempDir()
	for n, name := range names {
		q := strconv.Quote(name)
		q = strings.NewReplacer(`\u00a0`, "\u00a0", `\x`, `\u00`).Replace(q)
		file := fmt.Sprintf("home-%d.toml", n)
		put(t, folder, file,
			fmt.Sprintf("[site]\nname = %[1]s\nnominal_v = 230\n[outage]\nautonomy_h = 4\n[inverter]\n"+
				"use = \"hybrid-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\nstrings = 2\n"+
				"[board]\nways = 1\n[[circuit]]\nid = %[1]s\nlabel = %[1]s\nboard = \"backup\"\n[[circuit]]\n"+
				"id = \"other\"\nlabel = %[1]s\nboard = \"either\"\n"+
				"[[load]]\nname = %[1]s\ncircuit = %[1]s\nrunning_w = 100\nhours_per_day = 4\nmedical = true\nstarting_va = 9000\n"+
				"[[load]]\nname = \"b\"\ncircuit = \"other\"\nrunning_w = 100\nhours_per_day = 4\nheld_off = true\n"+
				"interlock = %[1]s\n[[option]]\nname = %[1]s\nbank.strings = 4\n", q))
		path := folder + "/" + file
		for _, args := range [][]string{
			{"check", path}, {"plan", path}, {"plan", "--show", "all", "--working", path},
			{"plan", "--format", "markdown", path}, {"plan", "--format", "csv", path},
			{"plan", "--format", "json", path},
			{"plan", "--format", "jsonl", path}, {"plan", "--format", "csv", folder}, {"plan", "--summary", path},
			{"plan", "--summary", "--format", "csv", path}, {"plan", "--summary", "--format", "markdown", path},
			{"size", "--max-count", "1", "--top", "1", path}, {"size", "--max-count", "1", "--top", "1", "--format",
				"csv", path}, {"outage", path}, {"outage", "--format", "csv", path},
			{"report", path}, {"report", "--format", "markdown", path},
		} {
			var out, errw bytes.Buffer
			if status := run(args, strings.NewReader(""), &out, &errw); status > 1 {
				t.Fatalf("%q with the name %q: status %d, %s", args, name, status, errw.String())
			}
			text := out.String()
			if i := strings.IndexFunc(text, func(r rune) bool {
				return r != '\n' && r != '\u2068' && r != '\u2069' &&
					hidden(r)
			}); i >= 0 {
				t.Errorf("%q with the name %q: %q", args, name, text[max(0, i-30):min(len(text), i+20)])
			}
			for line := range strings.Lines(text) {
				if strings.Count(line, "\u2068") != strings.Count(line, "\u2069") {
					t.Errorf("%q with the name %q: an isolate is not closed in its line: %q", args, name, first(line))
				}
			}
			// In text and data a mark is a sign like any other; in a page or document it would be taken for markup.
			if pages := args[0] == "report" || strings.Contains(strings.Join(args, " "), "markdown"); pages &&
				strings.Contains(text, "<img src=x") ||
				pages && strings.Contains(text, "<script>alert") ||
				strings.Contains(strings.Join(args, " "), "markdown") && aLink.MatchString(text) {
				t.Errorf("%q with the name %q: markup gets through", args, name)
			}
			switch format := strings.Join(args, " "); {
			case strings.Contains(format, "--format csv"):
				rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
				if err != nil || len(rows) < 2 {
					t.Fatalf("%q: %d rows, %v", args, len(rows), err)
				}
				for _, row := range rows {
					for _, cell := range row {
						if c := strings.TrimLeftFunc(cell, unicode.IsSpace); c != "" &&
							strings.ContainsAny(c[:1], "=+-@") && !aFigure.MatchString(c) ||
							strings.IndexAny(c, "\uff1d\uff0b\uff0d\uff20") == 0 {
							t.Errorf("%q with the name %q: the cell %q may be taken for a formula", args, name, cell)
						}
					}
				}
			case strings.Contains(format, "--format json"):
				var read struct{ Site string }
				if err := json.Unmarshal([]byte(text), &read); err != nil || read.Site != name {
					t.Errorf("%q: a program reads the name %q, want %q, %v", args, read.Site, name, err)
				}
			}
		}
	}
}

// hidden are signs that nobody sees but a terminal or a reader may act on.
func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)
}
