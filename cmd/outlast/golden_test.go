package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/clipperhouse/displaywidth"
	"github.com/google/go-cmp/cmp"
)

// sampleHomes are the sample sites, by the name of their file.
var sampleHomes = []string{"clinic", "cottage", "drystone", "farmhouse", "overloaded", "six-lines", "split-phase",
	"town-flat"}

// printed is what plan has printed before, by its arguments.
var printed = map[string]string{}

// plan runs the command on a sample site and gives what it prints.
func plan(t *testing.T, site string, flags ...string) string {
	t.Helper()
	key := fmt.Sprint(site, flags)
	if text, known := printed[key]; known {
		return text
	}
	var out, errw bytes.Buffer
	status := run(append(append([]string{"plan"}, flags...), "../../testdata/sites/"+site+".toml"),
		strings.NewReader(""), &out, &errw)
	if status == 2 || errw.Len() > 0 {
		t.Fatalf("plan %s %q: status %d, %s", site, flags, status, errw.String())
	}
	printed[key] = out.String()
	return printed[key]
}

// golden compares a text with a file below testdata/golden, or rewrites the file with -update. What stands there was
// read by eye once and is held from then on: it is recorded, the checks of the numbers are elsewhere.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("../../testdata/golden", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
		t.Errorf("%s differs; if it should, run go test ./cmd/outlast -update and read the change (-file +now):\n%s",
			name, diff)
	}
}

func TestGoldenPlans(t *testing.T) {
	for _, home := range sampleHomes {
		t.Run(home, func(t *testing.T) {
			golden(t, home+"-screen-80.txt", plan(t, home, "--width", "80"))
			golden(t, home+"-80.txt", plan(t, home, "--show", "all", "--width", "80"))
			golden(t, home+"-120.txt", plan(t, home, "--show", "all", "--width", "120"))
			golden(t, home+".md", plan(t, home, "--format", "markdown"))
		})
	}
	golden(t, "mill-lane-screen-80.txt", plan(t, "../tried/mill-lane-passes", "--width", "80")) // a plan of which little fails
	golden(t, "cottage-working-80.txt", plan(t, "cottage", "--show", "all", "--working", "--width", "80"))
	golden(t, "split-phase.csv", plan(t, "split-phase", "--format", "csv"))
}

// goldenSummaries are what is printed of all sample sites together, by the name of the golden file.
var goldenSummaries = map[string][]string{
	"summary-80.txt":        {"--width", "80"},
	"summary-change-80.txt": {"--width", "80", "--change", "bank.strings=3"},
	"summary.csv":           {"--format", "csv", "--change", "bank.strings=3"},
}

func TestGoldenSummaries(t *testing.T) {
	for name, flags := range goldenSummaries {
		var out, errw bytes.Buffer
		status := run(append(append([]string{"plan", "--summary"}, flags...), "../../testdata/sites"),
			strings.NewReader(""), &out, &errw)
		if status != 1 || errw.Len() > 0 {
			t.Fatalf("%s: status %d, %s", name, status, errw.String())
		}
		golden(t, name, out.String())
		if strings.HasSuffix(name, ".txt") {
			checkFit(t, name, 80, out.String())
		}
	}
}

// TestGoldenFolder keeps files that no test writes any more from staying behind.
func TestGoldenFolder(t *testing.T) {
	entries, err := os.ReadDir("../../testdata/golden")
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{pictureFile: true, "mill-lane-screen-80.txt": true, "cottage-working-80.txt": true,
		"split-phase.csv": true}
	for _, home := range sampleHomes {
		known[home+"-screen-80.txt"] = true
		known[home+"-80.txt"], known[home+"-120.txt"], known[home+".md"] = true, true, true
	}
	for _, home := range goldenReports {
		known["report-"+home+".md"] = true
	}
	for name := range goldenSizes {
		known[name] = true
	}
	for name := range goldenSummaries {
		known[name] = true
	}
	for _, e := range entries {
		if !known[e.Name()] {
			t.Errorf("testdata/golden/%s belongs to no test", e.Name())
		}
	}
	sites, err := filepath.Glob("../../testdata/sites/*.toml")
	if err != nil || len(sites) != len(sampleHomes) {
		t.Errorf("%d sample sites (%v), but %d in this test", len(sites), err, len(sampleHomes))
	}
}

// TestTextFits: no line is wider than asked, unless a single word is, and no line ends in blanks.
func TestTextFits(t *testing.T) {
	for _, home := range sampleHomes {
		for _, width := range []int{80, 120} {
			checkFit(t, home, width, plan(t, home, "--show", "all", "--width", strconv.Itoa(width)))
		}
	}
	for _, width := range []int{72, 100, 109, 110, 160} {
		checkFit(t, "overloaded", width, plan(t, "overloaded", "--show", "all", "--working", "--width",
			strconv.Itoa(width)))
		checkFit(t, "split-phase", width, plan(t, "split-phase", "--show", "all", "--working", "--width",
			strconv.Itoa(width)))
	}
}

func checkFit(t *testing.T, home string, width int, text string) {
	t.Helper()
	for i, line := range strings.Split(text, "\n") {
		if n := displaywidth.String(line); n > width && len(strings.Fields(line)) > 1 {
			t.Errorf("%s at %d columns, line %d has %d: %q", home, width, i+1, n, line)
		}
		if strings.TrimRight(line, " \t") != line {
			t.Errorf("%s at %d columns, line %d ends in blanks: %q", home, width, i+1, line)
		}
	}
}

// aNumber is a cell that a column of numbers may hold; - stands for none.
var aNumber = regexp.MustCompile(`^([-+>]?\d+(\.\d+)?( %| K)?|-)$`)

// wideSign finds what takes several bytes for a column.
var wideSign = regexp.MustCompile(`[^\x00-\x7f]`)

// TestNumbersStandRight: below a head, the numbers of a column end where the head ends.
func TestNumbersStandRight(t *testing.T) {
	columns := map[string][]string{
		"Demand ":          {"W", "VA"},
		"Load that starts": {"s", "Total VA", "Rating VA", "Margin %"},
		" Way  ":           {"A", "Run W", "Start VA", "Day %", "Moved h", "Prio"},
		"Status ":          {"Demand", "Limit", "Margin"},
		"Inverter ":        {"Value"},
		"Bank ":            {"Value"},
		"Run ":             {"Capacity A", "Required A", "Device A", "Drop %"},
		"Generator ":       {"Value"},
	}
	found := map[string]int{}
	for _, width := range []string{"80", "120"} {
		for _, home := range sampleHomes {
			lines := strings.Split(wideSign.ReplaceAllString(plan(t, home, "--show", "all", "--width", width),
				"x"), "\n") // columns are bytes then
			for i, line := range lines {
				for start, heads := range columns {
					if !strings.HasPrefix(line, start) || i == 0 ||
						(lines[i-1] != "" && !strings.HasPrefix(lines[i-1], "--")) {
						continue
					}
					for _, head := range heads {
						found[start+head] += checkColumn(t, lines[i:], head)
					}
				}
			}
		}
	}
	for start, heads := range columns {
		for _, head := range heads {
			if found[start+head] < 10 {
				t.Errorf("column %q of the table %q: %d numbers found, want more", head, start, found[start+head])
			}
		}
	}
}

// checkColumn looks at the cells below head, the first line of lines, and counts the numbers.
func checkColumn(t *testing.T, lines []string, head string) (numbers int) {
	t.Helper()
	at := strings.Index(lines[0]+"  ", " "+head+" ")
	if at < 0 {
		return 0
	}
	end := at + 1 + len(head)
	for _, line := range lines[1:] {
		if line == "" {
			break
		}
		if len(line) < end {
			continue // the rest of a cell that was wrapped
		}
		cell := line[:end]
		cell = cell[strings.LastIndex(cell, "  ")+1:]
		if !aNumber.MatchString(strings.TrimSpace(cell)) {
			continue
		}
		if strings.HasSuffix(cell, " ") || (len(line) > end && line[end] != ' ') {
			t.Errorf("column %q: the number in %q does not end below the head", head, line)
		}
		numbers++
	}
	return numbers
}
