package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/drawnhome"
)

// drawnCommands are all commands that work on a site, in their formats. SITE is the file.
var drawnCommands = [][]string{
	{"check", "SITE"}, {"plan", "SITE"}, {"plan", "--show", "all", "--working", "SITE"},
	{"plan", "--format", "markdown", "--working", "SITE"}, {"plan", "--format", "csv", "SITE"},
	{"plan", "--format", "json", "--working", "SITE"}, {"plan", "--format", "jsonl", "SITE"},
	{"plan", "--summary", "--change", "bank.strings=2", "SITE"},
	{"plan", "--summary", "--change", "bank.strings=2", "--format", "json", "SITE"},
	{"size", "--max-count", "2", "--top", "3", "SITE"}, {"outage", "SITE"}, {"outage", "--format", "json", "SITE"},
	{"outage", "--every-start", "SITE"}, {"report", "SITE"}, {"report", "--annex", "--format", "markdown", "--lang",
		"de", "SITE"},
}

// noNumber finds what a number is printed as that is none.
var noNumber = regexp.MustCompile(`(^|[\s",:(=\[>])[-+]?(NaN|Inf|Infinity|inf|nan)([\s",;:)\]%<]|$)|%!`)

// drawnSeeds are how many homes are drawn; OUTLAST_HOMES asks for more, in homes or "from-to".
func drawnSeeds(t *testing.T) (from, to int) {
	to = 6
	if testing.Short() {
		to = 2
	}
	if text := os.Getenv("OUTLAST_HOMES"); text != "" {
		first, last, ranged := strings.Cut(text, "-")
		if !ranged {
			first, last = "0", text
		}
		var err1, err2 error
		from, err1 = strconv.Atoi(first)
		to, err2 = strconv.Atoi(last)
		if err1 != nil || err2 != nil {
			t.Fatalf("OUTLAST_HOMES is %q, want a number or two", text)
		}
	}
	return from, to
}

// TestDrawnHomes: every command takes a drawn home that the reader takes, without a panic, without a number that is
// none, and prints the same a second time, on one core as on two. No check of it passes in silence: each has a limit
// that it keeps, or says why there is none.
func TestDrawnHomes(t *testing.T) {
	from, to := drawnSeeds(t)
	folder := t.TempDir()
	accepted, checks := 0, 0
	for seed := from; seed < to; seed++ {
		path := filepath.Join(folder, fmt.Sprintf("home-%d.toml", seed))
		if err := os.WriteFile(path, drawnhome.Draw(uint64(seed)), 0o644); err != nil {
			t.Fatal(err)
		}
		var errw bytes.Buffer
		if run([]string{"check", path}, strings.NewReader(""), &bytes.Buffer{}, &errw) != 0 {
			continue // a bank of the draw may not be one that can be sized
		}
		accepted++
		for _, args := range drawnCommands {
			args = append(args[:len(args)-1:len(args)-1], path)
			text := sameTwice(t, args)
			if at := noNumber.FindStringIndex(text); at != nil {
				t.Errorf("seed %d, %q prints a number that is none: %q", seed, args[:len(args)-1],
					text[max(0, at[0]-60):min(len(text), at[1]+20)])
			}
			if strings.Contains(strings.Join(args, " "), "--format jsonl") {
				checks += noneInSilence(t, seed, text)
			}
		}
	}
	if accepted == 0 || checks < 20*accepted {
		t.Errorf("%d homes with %d checks: this test sees too few", accepted, checks)
	}
}

// sameTwice runs a command on one core and on two and gives what it prints.
func sameTwice(t *testing.T, args []string) string {
	t.Helper()
	print := func(cores int) (string, int) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		var out, errw bytes.Buffer
		status := run(args, strings.NewReader(""), &out, &errw)
		if status > 1 || errw.Len() > 0 {
			t.Errorf("%q on %d cores: status %d, %s", args, cores, status, errw.String())
		}
		return out.String(), status
	}
	one, status := print(1)
	two, again := print(2)
	if one != two || status != again {
		at := 0
		for at < min(len(one), len(two)) && one[at] == two[at] {
			at++
		}
		t.Errorf("%q: status %d and %d; the first difference is at byte %d: %q and %q", args, status, again, at,
			one[at:min(len(one), at+80)], two[at:min(len(two), at+80)])
	}
	return one
}

// noneInSilence wants every check of a record to say what it rests on, and counts them.
func noneInSilence(t *testing.T, seed int, line string) int {
	t.Helper()
	var record struct {
		Verdict string
		Checks  []struct {
			ID, Status, Reason string
			Demand             float64
			Limit, Margin      *float64
		}
	}
	if err := json.Unmarshal([]byte(line), &record); err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	worst, rank := "pass", map[string]int{"pass": 0, "caution": 1, "fail": 2}
	for _, c := range record.Checks {
		switch {
		case c.Reason == "":
			t.Errorf("seed %d: %s gives no reason", seed, c.ID)
		case c.Status == "pass" && c.Limit != nil && c.Margin != nil && *c.Margin < 0:
			t.Errorf("seed %d: %s passes with a margin of %g", seed, c.ID, *c.Margin)
		case c.Limit == nil && c.Margin != nil: // what is only yes or no, such as the chemistry, may fail without a limit
			t.Errorf("seed %d: %s has no limit, and is %s with the margin %v", seed, c.ID, c.Status, c.Margin)
		}
		if rank[c.Status] > rank[worst] {
			worst = c.Status
		}
	}
	if record.Verdict != worst {
		t.Errorf("seed %d: the verdict is %s, the worst check %s", seed, record.Verdict, worst)
	}
	return len(record.Checks)
}
