package main

import (
	"errors"
	"strings"
	"testing"

	"outlast/catalog/strict"
)

// FuzzNames: whatever a list of names holds, each line that is not blank gives one name, or one reason with its place
// why not.
func FuzzNames(f *testing.F) {
	for _, seed := range []string{"a.toml\nb.toml\n", "a\r\n\r\n -\n-\n", "\x00\xff\n",
		strings.Repeat("x", longestName+1) + "\ny", "\n\n", "..\n/\n~\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, list string) {
		n := siteNames{list: "-", in: strings.NewReader(list)}
		names := 0
		for name := range n.each() {
			names++
			var ps strict.Problems
			switch {
			case name.err == nil && (name.path == "" || name.path == "-" || strings.ContainsAny(name.path, "\n")):
				t.Errorf("the name %q", name.path)
			case name.err != nil && (!errors.As(name.err, &ps) || len(ps) != 1 || ps[0].File != standardInput ||
				ps[0].Line < 1 || ps[0].Line > strings.Count(list, "\n")+1):
				t.Errorf("error %v", name.err)
			}
		}
		want, long := 0, false
		for line := range strings.Lines(list) {
			if long = long || len(line) >= longestName; strings.TrimSpace(line) != "" && !long {
				want++
			}
		}
		if names != want && !long {
			t.Errorf("%d names, want %d", names, want)
		}
	})
}
