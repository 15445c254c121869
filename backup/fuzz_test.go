package backup_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// FuzzReadSite: any file ends in a site or in problems, never both or neither, within a second and the same each time,
// and every problem stands inside the file, in its order, and is said once.
func FuzzReadSite(f *testing.F) {
	for _, src := range siteSeeds(f) {
		f.Add(src)
	}
	cat, err := catalog.Generic()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		start := time.Now()
		home, err := site.Read("f", src, cat)
		if took := time.Since(start); took > time.Second {
			t.Errorf("took %v", took)
		}
		if (home == nil) == (err == nil) {
			t.Fatalf("neither a site nor a reason, or both: %v", err)
		}
		var problems strict.Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("error %v, want problems", err)
		}
		checkPlaces(t, string(src), problems)
		again, err := site.Read("f", src, cat)
		if diff := cmp.Diff(home, again, cmpopts.IgnoreUnexported(site.Site{}, site.Array{})); diff != "" {
			t.Errorf("read twice (-first +second):\n%s", diff)
		}
		var problemsAgain strict.Problems
		errors.As(err, &problemsAgain)
		if diff := cmp.Diff(problems, problemsAgain); diff != "" {
			t.Errorf("read twice (-first +second):\n%s", diff)
		}
		if home != nil {
			checkSite(t, home)
		}
	})
}

// checkPlaces fails for a problem that stands outside the file, for one that is out of order, and for one that is said
// twice.
func checkPlaces(t *testing.T, src string, problems strict.Problems) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(src, "\xef\xbb\xbf"), "\n")
	seen := map[strict.Problem]bool{}
	for i, p := range problems {
		switch {
		case p.Line == 0 && p.Col == 0 && len(src) > strict.MaxBytes:
		case p.Line < 1 || p.Line > len(lines):
			t.Errorf("%v: the file has %d lines", p, len(lines))
		case p.Col < 1 || p.Col > utf8.RuneCountInString(lines[p.Line-1])+1:
			t.Errorf("%v: the line has %d characters", p, utf8.RuneCountInString(lines[p.Line-1]))
		}
		at := strict.Pos{Line: p.Line, Col: p.Col}
		if i > 0 && at.Before(strict.Pos{Line: problems[i-1].Line, Col: problems[i-1].Col}) {
			t.Errorf("%v comes after %v", p, problems[i-1])
		}
		if seen[p] {
			t.Errorf("%v is said twice", p)
		}
		seen[p] = true
		if p.File != "f" || p.Msg == "" || strings.ContainsFunc(p.Msg+p.Hint, func(r rune) bool { return r < ' ' }) {
			t.Errorf("file %q, message %q, hint %q, want one line of plain text", p.File, p.Msg, p.Hint)
		}
	}
}

// checkSite fails for a site that the reader should have refused.
func checkSite(t *testing.T, s *site.Site) {
	t.Helper()
	circuits := map[string]bool{}
	for _, c := range s.Circuits {
		if c.ID == "" || circuits[c.ID] || c.Phase < 0 || c.Phase > s.Phases {
			t.Errorf("circuit %+v of %d phases", c, s.Phases)
		}
		circuits[c.ID] = true
	}
	for _, l := range s.Loads {
		if !circuits[l.CircuitID] || l.Quantity < 1 || l.HoursPerDay > l.WindowHours()*(1+1e-9) || l.Months == 0 {
			t.Errorf("load %+v", l)
		}
		if l.Start != nil && l.Start.VA() < l.Running().VA()*(1-1e-9) {
			t.Errorf("load %+v starts below its running power: %+v", l, *l.Start)
		}
	}
	if n := s.Inverter.Phases * s.InverterCount; n == 0 || n%s.Phases != 0 {
		t.Errorf("%d phases of inverters on %d", n, s.Phases)
	}
	if s.Series < 1 || s.Strings < 0 || len(s.Unit.Check()) > 0 {
		t.Errorf("bank of %d times %d of %+v: %v", s.Series, s.Strings, s.Unit, s.Unit.Check())
	}
	if dod, _ := s.Unit.DoD(s.Practice.MaxDoD); s.Outage.Reserve+dod <= 1 {
		t.Errorf("reserve %g, depth %g", s.Outage.Reserve, dod)
	}
	for _, o := range s.Options {
		checkSite(t, o.Site)
	}
}

func siteSeeds(tb testing.TB) [][]byte {
	tb.Helper()
	var out [][]byte
	for _, pattern := range []string{"testdata/seeds/*.toml", "../testdata/*/*.toml"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			tb.Fatalf("no files at %s: %v", pattern, err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				tb.Fatal(err)
			}
			out = append(out, src)
		}
	}
	return append(out, []byte(ready), []byte(optionBase), []byte(""))
}

// The seed with every key is sound, and the one with the slips is not.
func TestSeeds(t *testing.T) {
	src, err := os.ReadFile("testdata/seeds/every-key.toml")
	if err != nil {
		t.Fatal(err)
	}
	home := mustReadSite(t, string(src))
	checkSite(t, home)
	for _, d := range home.Defaults {
		if d.Table != "[[load]]" && d.Table != "[[circuit]]" && d.Table != "motor" { // of these one gives what another leaves out
			t.Errorf("default %+v, but the file gives every key", d)
		}
	}
	if src, err = os.ReadFile("testdata/seeds/slips.toml"); err != nil {
		t.Fatal(err)
	}
	_, problems := readSite(t, string(src))
	var places []string
	for _, p := range problems {
		places = append(places, fmt.Sprintf("%d:%d", p.Line, p.Col))
	}
	want := "2:1 3:1 6:1 9:1 10:1 11:1 14:1 15:1 21:1 26:1 27:1 28:1 29:1 33:1 34:1 36:24 36:39 38:1 38:11 41:1 45:1 " +
		"47:14 47:17 49:1 51:1 56:6 57:10 59:1 60:10"
	if got := strings.Join(places, " "); got != want {
		t.Errorf("problems at\n%s, want at\n%s\n%v", got, want, problems)
	}
}

// largeSite is a site of 60 circuits and 300 loads: more than any home has.
func largeSite() []byte {
	var b bytes.Buffer
	b.WriteString(equipped)
	for i := range 60 {
		fmt.Fprintf(&b,
			"\n[[circuit]]\nid = \"circuit-%d\"\nlabel = \"Circuit %d\"\nbreaker_a = 16\nboard = \"backup\"\n", i, i)
	}
	for i := range 300 {
		fmt.Fprintf(&b,
			"\n[[load]]\nname = \"Load %d\"\ncircuit = \"circuit-%d\"\nquantity = 2\nrunning_w = 100\npower_factor = 0.8\n"+
				"starting_va = 500\nhours_per_day = 2.5\nwhen = [\"06:00-09:00\", \"16:00-20:00\"]\ncycle = { on_min = 10, off_min = 20 }\n"+
				"priority = 2\nmonths = [1, 2, 3]\n", i, i%60)
	}
	return b.Bytes()
}

func BenchmarkReadSite(b *testing.B) {
	cat, err := catalog.Generic()
	if err != nil {
		b.Fatal(err)
	}
	src := largeSite()
	b.Run("circuits=60/loads=300", func(b *testing.B) {
		b.SetBytes(int64(len(src)))
		for b.Loop() {
			if _, err := site.Read("f", src, cat); err != nil {
				b.Fatal(err)
			}
		}
	})
	wrong := bytes.ReplaceAll(src, []byte("running_w"), []byte("runing_w"))
	b.Run("circuits=60/loads=300/problems=300", func(b *testing.B) {
		b.SetBytes(int64(len(wrong)))
		for b.Loop() {
			_, err := site.Read("f", wrong, cat)
			var problems strict.Problems
			if !errors.As(err, &problems) || len(problems) != 300 {
				b.Fatal(err)
			}
		}
	})
}
