package homes

import (
	"errors"
	"strings"
	"testing"

	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
)

// FuzzNames: whatever a list of names holds, each line that is not blank gives one name, or one reason with its place
// why not.
func FuzzNames(f *testing.F) {
	for _, seed := range []string{"a.toml\nb.toml\n", "a\r\n\r\n -\n-\n", "\x00\xff\n",
		strings.Repeat("x", longestName+1) + "\ny", "\n\n", "..\n/\n~\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, list string) {
		n := Names{List: "-", In: strings.NewReader(list)}
		names := 0
		for name := range n.Each() {
			names++
			var ps strict.Problems
			switch {
			case name.Err == nil && (name.Path == "" || name.Path == "-" || strings.ContainsAny(name.Path, "\n")):
				t.Errorf("the name %q", name.Path)
			case name.Err != nil && (!errors.As(name.Err, &ps) || len(ps) != 1 || ps[0].File != files.StandardInput ||
				ps[0].Line < 1 || ps[0].Line > strings.Count(list, "\n")+1):
				t.Errorf("error %v", name.Err)
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
