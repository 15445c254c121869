package backup_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

var (
	keyLine    = regexp.MustCompile(`^(\w+(?:\.\w+)?) = (.*)$`)
	headerLine = regexp.MustCompile(`^(\[\[?)(\w+)(\]\]?)$`)
)

// TestOneMistake makes one mistake after the other in sound files, and wants one message for each, on its line: nothing
// that only comes of it.
func TestOneMistake(t *testing.T) {
	eachLine(t, func(t *testing.T, read func(string) strict.Problems, lines []string, i int) (made int) {
		for _, m := range mistakes(lines[i]) {
			made++
			problems := read(with(lines, i, m.line))
			if len(problems) != 1 || problems[0].Line != i+1+strings.Count(m.line, "\n") ||
				!strings.Contains(problems[0].Error(), m.says) {
				t.Errorf("%s makes of line %d\n\t%s\n\t%s\nwant one message there with %q, got\n%v", m.name, i+1,
					lines[i], m.line, m.says, problems)
			}
		}
		return made
	})
}

// TestOneOmission leaves out one line after the other: either it has a default, or there is one message, at the header
// before it or at what needs it.
func TestOneOmission(t *testing.T) {
	eachLine(t, func(t *testing.T, read func(string) strict.Problems, lines []string, i int) (made int) {
		m := keyLine.FindStringSubmatch(lines[i])
		if m == nil || strings.Count(lines[i], "[") != strings.Count(lines[i], "]") || m[1] == "use" ||
			m[1] == "phases" {
			return 0 // without use, all its keys are wanted; without phases, each circuit on another than the first is wrong
		}
		if problems := read(with(lines, i, "#")); len(problems) > 1 {
			t.Errorf("without line %d, %s, want at most one message, got\n%v", i+1, lines[i], problems)
		}
		return 5
	})
}

func with(lines []string, i int, line string) string {
	changed := slices.Clone(lines)
	changed[i] = line
	return strings.Join(changed, "\n")
}

// eachLine tries something with each line of sound files; it counts what was tried, lest nothing is.
func eachLine(t *testing.T, try func(t *testing.T, read func(string) strict.Problems, lines []string,
	i int) (made int)) {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	readSite := func(src string) (problems strict.Problems) {
		_, err := site.Read("f", []byte(src), cat)
		errors.As(err, &problems)
		return problems
	}
	readCatalog := func(src string) (problems strict.Problems) {
		_, err := catalog.Read("f", []byte(src))
		errors.As(err, &problems)
		return problems
	}
	for name, read := range map[string]func(string) strict.Problems{
		"testdata/seeds/every-key.toml":      readSite,
		"../testdata/sites/cottage.toml":     readSite,
		"../testdata/sites/split-phase.toml": readSite,
		"../catalog/testdata/every-key.toml": readCatalog,
	} {
		t.Run(filepath.Base(filepath.Dir(filepath.Dir(name)))+"/"+filepath.Base(name), func(t *testing.T) {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			lines := strings.Split(string(src), "\n")
			if problems := read(string(src)); problems != nil {
				t.Fatalf("the file is not sound: %v", problems)
			}
			made, step := 0, 1
			if testing.Short() {
				step = 3
			}
			for i := 0; i < len(lines); i += step {
				made += try(t, read, lines, i)
			}
			if made < 300/step {
				t.Errorf("only %d tries", made)
			}
		})
	}
}

type mistake struct{ name, line, says string }

// mistakes gives what a line of a file may become by one slip.
func mistakes(line string) []mistake {
	if m := headerLine.FindStringSubmatch(line); m != nil {
		return []mistake{{"a misspelt header", m[1] + double(m[2]) + m[3], fmt.Sprintf("unknown key %q", double(m[2]))}}
	}
	m := keyLine.FindStringSubmatch(line)
	if m == nil || strings.Count(line, "[") != strings.Count(line, "]") {
		return nil
	}
	key, value := m[1], m[2]
	last := key[strings.LastIndex(key, ".")+1:]
	made := []mistake{
		{"a misspelt key", strings.TrimSuffix(key, last) + double(last) + " = " + value,
			fmt.Sprintf("unknown key %q", double(last))},
		{"a key in capitals", strings.ToUpper(key[:1]) + key[1:] + " = " + value, "unknown key"},
		{"a date", key + " = 2024-01-01", "found the date or time 2024-01-01"},
		{"the same key again", line + "\n" + line, "a second time"},
	}
	if key != "interlock" { // which may be anything
		made = append(made, mistake{"something out of range", key + " = " + worse(value), "found"})
	}
	return made
}

// double repeats the second letter: "running_w" becomes "ruunning_w".
func double(word string) string { return word[:2] + word[1:] }

// worse gives a value of the same kind that no key takes.
func worse(value string) string {
	switch {
	case strings.HasPrefix(value, `"`):
		return `""`
	case strings.HasPrefix(value, "[{"):
		return "[]"
	case strings.HasPrefix(value, "["):
		_, rest, more := strings.Cut(value, ",")
		if !more {
			return "[nan]"
		}
		return "[nan," + rest // as many items as before
	case strings.HasPrefix(value, "{"):
		return "7"
	case strings.HasPrefix(value, "true"), strings.HasPrefix(value, "false"):
		return "0"
	}
	return "-1e9"
}
