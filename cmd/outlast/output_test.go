package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"outlast/cmd/outlast/terminal"
)

// weatherFile is a year of the same hour in the format of weather files: an invented place, eight rows of heads and
// 8,760 hours.
func weatherFile() string {
	var b strings.Builder
	b.WriteString("LOCATION,Testham,XX,Nowhere,Invented,001234,41.98,-87.90,-6.0,200.0\nDESIGN CONDITIONS,0\n" +
		"TYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n" +
		"HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n")
	for m, days := range []int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31} {
		for hour := range days * 24 {
			fmt.Fprintf(&b,
				"2001,%d,%d,%d,60,?9,-3.5,-5.0,80,99000,0,0,250,0,0,0,0,0,0,0,180,2.0,5,5,9999,99999,9,999999999,999,0.999,999,99,999,999,99\n",
				m+1, hour/24+1, hour%24+1)
		}
	}
	return b.String()
}

// TestOutputSparesWeather: no command writes its result over the weather file that the site file names.
func TestOutputSparesWeather(t *testing.T) {
	folder := t.TempDir()
	weather := weatherFile()
	for name, text := range map[string]string{"sun.epw": weather,
		"hut.toml": strings.Replace(sunnyHut, "WEATHER", "sun.epw", 1)} {
		put(t, folder, name, text)
	}
	site, sun := filepath.Join(folder, "hut.toml"), filepath.Join(folder, "sun.epw")
	for _, command := range []string{"plan", "size", "outage", "report"} {
		var out, errw bytes.Buffer
		status := run([]string{command, "-o", sun, site}, strings.NewReader(""), &out, &errw)
		if status != 2 || out.Len() > 0 || !strings.Contains(errw.String(), "would overwrite a file that is read") {
			t.Errorf("%s: status %d, stdout %q, stderr %q", command, status, first(out.String()), errw.String())
		}
		if text, err := os.ReadFile(sun); err != nil || string(text) != weather {
			t.Fatalf("%s: the weather file is another (%v)", command, err)
		}
	}
}

// brokenOut is a standard output that takes nothing.
type brokenOut struct{}

func (brokenOut) Write([]byte) (int, error) {
	return 0, &os.PathError{Op: "write", Path: "/dev/stdout", Err: syscall.ENOSPC}
}

// TestStandardOutputFails: whatever is printed, what cannot be written ends with 2 and one message, and never as if it
// stood there.
func TestStandardOutputFails(t *testing.T) {
	site := "../../testdata/sites/town-flat.toml"
	for _, args := range [][]string{{"plan", site}, {"plan", "--format", "csv", site}, {"check", site},
		{"outage", "--hours", "4", site}, {"report", site}, {"catalog"},
		{"catalog", "hybrid-5k-48"}, {"init", "-"}, {"--help"}, {"help", "plan"}, {"plan", "--help"}, {"--version"},
		{"completion", "bash"}} {
		var errw bytes.Buffer
		status := run(args, strings.NewReader(""), brokenOut{}, &errw)
		want := "outlast: error: standard output cannot be written: " + syscall.ENOSPC.Error() + "\n"
		if status != 2 || errw.String() != want {
			t.Errorf("%v: status %d, stderr %q, want 2 and %q", args, status, errw.String(), want)
		}
	}
}

// TestNamesOfFilesAreVisible: what stands in the name of a file does nothing to a terminal, on either stream.
func TestNamesOfFilesAreVisible(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such names")
	}
	folder := t.TempDir()
	name := filepath.Join(folder, "a\x1b[31m\u202e\n\u2028.toml")
	put(t, folder, filepath.Base(name), fmt.Sprintf(aHome, "10"))
	bad := filepath.Join(folder, "b\x1b]0;x\a.toml")
	put(t, folder, filepath.Base(bad), "[site]\n")
	for _, tt := range []struct {
		args []string
		want string // in what is told
	}{
		{[]string{"check", name}, `a\x1b[31m\u202e\n\u2028.toml: A home, `},
		{[]string{"check", bad}, `b\x1b]0;x\a.toml:1:1: `},
		{[]string{"plan", bad}, `b\x1b]0;x\a.toml:1:1: `},
		{[]string{"check", filepath.Join(folder, "c\x1b[2J")}, `c\x1b[2J: cannot be opened`},
		{[]string{"plan", "--catalog", filepath.Join(folder, "d\x1b[2J"), name}, `d\x1b[2J: cannot be opened`},
		{[]string{"plan", "-o", name, name}, `-o ` + terminal.Visible(name) + ` would overwrite`},
		{[]string{"plan", "-o", filepath.Join(folder, "e\x1b[2J", "f"), name}, `e\x1b[2J/f cannot be written`},
		{[]string{"report", "--tables", filepath.Join(folder, "g\x1b[2J", "h"), name}, `g\x1b[2J/h cannot be written`},
		{[]string{"init", filepath.Join(folder, "i\x1b[2J")}, `wrote ` + terminal.Visible(filepath.Join(folder, "i\x1b[2J"))},
		{[]string{"init", filepath.Join(folder, "i\x1b[2J")}, `i\x1b[2J is there already`},
		{[]string{"j\x1b[2J"}, `unknown command`},
		{[]string{"catalog", "k\x1b[2J"}, `k\x1b[2J`},
	} {
		var out, errw bytes.Buffer
		run(tt.args, strings.NewReader(""), &out, &errw)
		told := out.String() + errw.String()
		if !strings.Contains(told, tt.want) {
			t.Errorf("%q tells %q, want %q in it", tt.args, told, tt.want)
		}
		if i := strings.IndexFunc(told, func(r rune) bool {
			return r != '\n' &&
				(r < ' ' || r == 0x7f || r == '\u202e' || r == '\u2028')
		}); i >= 0 {
			t.Errorf("%q: %q reaches the terminal", tt.args, told[i:min(len(told), i+20)])
		}
	}
}

func put(t *testing.T, folder, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
