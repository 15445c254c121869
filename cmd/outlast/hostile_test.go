package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// aHome is a small site file; %s stands for what a test puts in the place of a number.
const aHome = `[site]
name = "A home"
nominal_v = 230
[outage]
autonomy_h = 4
[inverter]
use = "hybrid-5k-48"
[bank]
use = "lfp-51-100"
strings = 2
[[circuit]]
id = "a"
breaker_a = 10
board = "backup"
[[load]]
name = "Lamp"
circuit = "a"
running_w = %s
hours_per_day = 4
`

// TestHostileInput: whatever a file holds, the answer is status 2, nothing on stdout, a message that names the file, no
// panic, and all of it soon.
func TestHostileInput(t *testing.T) {
	random := make([]byte, 200_000)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range random {
		random[i] = byte(r.Uint32())
	}
	for _, tt := range []struct {
		name, text string
		says       string // part of the message
		most       int    // messages
	}{
		{"empty", "", "missing table [site]", 8},
		{"blanks", strings.Repeat(" \n", 1000), "missing table [site]", 8},
		{"zeros", strings.Repeat("\x00", 1000), ":1:1: ", 3},
		{"binary", string(random), ":1:", 3},
		{"latin1", "[site]\nname = \"Caf\xe9\"\n", ":2:", 3},
		{"utf16", "\xff\xfe[\x00s\x00i\x00t\x00e\x00]\x00", ":1:1: ", 3},
		{"brackets", strings.Repeat("[", 5<<20), "", 3},
		{"deep", "a = " + strings.Repeat("[", 1000) + strings.Repeat("]", 1000), ":1:", 3},
		{"deep tables", "a = " + strings.Repeat("{a=", 1000) + "1" + strings.Repeat("}", 1000), ":1:", 3},
		{"open text", "[site]\nname = \"" + strings.Repeat("x", 500_000), ":2:", 3},
		{"long text", "[site]\nname = \"" + strings.Repeat("x", 500_000) + "\"\n", ":2:1: ", 8},
		{"many keys", "[site]\n" + strings.Repeat("k", 100) + strings.Repeat("\nx = 1\ny = 2", 20_000), ":2:", 3},
		{"large", fmt.Sprintf(aHome, "10") + "#" + strings.Repeat("x", 1<<20), "", 3},
		{"NaN", fmt.Sprintf(aHome, "nan"), ":18:1: running_w in [[load]]: found ", 1},
		{"infinite", fmt.Sprintf(aHome, "inf"), ":18:1: running_w in [[load]]: found ", 1},
		{"-infinite", fmt.Sprintf(aHome, "-inf"), ":18:1: running_w in [[load]]: found ", 1},
		{"1e308", fmt.Sprintf(aHome, "1e308"), ":18:1: running_w in [[load]]: found 1e308", 1},
		{"-1e308", fmt.Sprintf(aHome, "-1e308"), ":18:1: running_w in [[load]]: found -1e308", 1},
		{"1e999", fmt.Sprintf(aHome, "1e999"), ":18:", 1},
		{"digits", fmt.Sprintf(aHome, strings.Repeat("9", 1000)), ":18:", 1},
		{"a text", fmt.Sprintf(aHome, `"ten"`), `:18:1: running_w in [[load]]: found the text "ten"`, 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "hostile.toml")
			if err := os.WriteFile(path, []byte(tt.text), 0o644); err != nil {
				t.Fatal(err)
			}
			for _, args := range [][]string{{"plan", path}, {"check", path}, {"plan", "-"},
				{"plan", "--catalog", path, "-"}} {
				var out, errw bytes.Buffer
				start := time.Now()
				status := run(args, strings.NewReader(tt.text), &out, &errw)
				if took := time.Since(start); took > 10*time.Second {
					t.Errorf("%s took %v", args[0], took) // it takes milliseconds; a limit for a machine with much to do
				}
				if status != 2 || out.Len() > 0 {
					t.Errorf("%v: status %d, stdout %q, want 2 and nothing", args, status, first(out.String()))
				}
				checkMessages(t, args, errw.String(), tt.most)
				if args[0] == "check" && !strings.Contains(errw.String(), tt.says) {
					t.Errorf("%v says %q, want %q in it", args, first(errw.String()), tt.says)
				}
			}
		})
	}
}

// checkMessages wants messages in the one voice of the program, few of them, each short and printable.
func checkMessages(t *testing.T, args []string, text string, most int) {
	t.Helper()
	named := "hostile.toml"
	if args[len(args)-1] == "-" && !strings.Contains(text, named) { // an empty catalog is no fault, an empty site is
		named = "standard input"
	}
	errs := 0
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "outlast: error: ") && strings.Contains(line, named):
			errs++
		case !strings.HasPrefix(line, "outlast: hint: "):
			t.Errorf("%v: the line %q is no message about %s", args, first(line), named)
		}
		if len(line) > 600 {
			t.Errorf("%v: a message of %d bytes: %s", args, len(line), first(line))
		}
		if strings.ContainsFunc(strings.TrimSuffix(line, "\n"),
			func(r rune) bool { return r < ' ' || r == 0x7f || r == '�' }) {
			t.Errorf("%v: the message %q repeats what cannot be printed", args, first(line))
		}
	}
	if errs < 1 || (errs > most && args[1] != "--catalog") {
		t.Errorf("%v: %d errors, want 1 to %d:\n%s", args, errs, most, first(text))
	}
}

func first(s string) string { return s[:min(len(s), 500)] }

// TestNoFile: what is no file to read is told in one message.
func TestNoFile(t *testing.T) {
	folder := t.TempDir()
	for _, tt := range []struct{ path, says string }{
		{folder, folder + ": is a folder without a .toml file"},
		{filepath.Join(folder, "missing.toml"), "missing.toml: cannot be opened: "},
		{"", "cannot be opened: "},
	} {
		for _, command := range []string{"plan", "check"} {
			var out, errw bytes.Buffer
			if status := run([]string{command, tt.path}, strings.NewReader(""), &out, &errw); status != 2 ||
				out.Len() > 0 {
				t.Errorf("%s %q: status %d, stdout %q, want 2 and nothing", command, tt.path, status, out.String())
			}
			if got := errw.String(); !strings.Contains(got, tt.says) || strings.Count(got, "\n") > 2 {
				t.Errorf("%s %q says %q, want %q", command, tt.path, got, tt.says)
			}
		}
	}
}
