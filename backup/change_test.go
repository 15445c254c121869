package backup_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/samplehome"
	"outlast/backup/site"
	"outlast/catalog/strict"
)

// TestChangeIsAnOption: a change set beside a home is what an option with the same keys is, and what does not suit as
// the one does not suit as the other.
func TestChangeIsAnOption(t *testing.T) {
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	paths := samplehome.Files(t)
	changes := []struct {
		given []string
		toml  string
	}{
		{[]string{"bank.strings=4"}, "bank.strings = 4"},
		{[]string{"bank.use=lfp-51-200"}, `bank.use = "lfp-51-200"`},
		{[]string{"inverter.use = three-10k-400"}, `inverter.use = "three-10k-400"`},
		{[]string{"outage.start=18:30", "outage.month=12", "bank.strings=1"},
			"outage.start = \"18:30\"\noutage.month = 12\nbank.strings = 1"},
		{[]string{"practice.max_dod=0.3", "outage.reserve=0.9"}, "practice.max_dod = 0.3\noutage.reserve = 0.9"},
		{[]string{"inverter.count=2"}, "inverter.count = 2"},
		{[]string{"outage.reserve=0.15"}, "outage.reserve = 0.15"},
	}
	suited, unsuited := 0, 0
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range changes {
			change, err := site.ParseChange(c.given, cat)
			if err != nil {
				t.Fatalf("%q: %v", c.given, err)
			}
			home, err := site.Read(path, src, cat)
			if err != nil {
				t.Fatal(err)
			}
			changed, err := home.Changed(change)
			with, wantErr := site.Read(path, append(src, "\n[[option]]\nname = \"changed\"\n"+c.toml+"\n"...), cat)
			if (err == nil) != (wantErr == nil) {
				t.Errorf("%s with %q: %v; as an option: %v", path, c.given, err, wantErr)
				continue
			}
			if err != nil {
				unsuited++
				if !strings.Contains(wantErr.Error(), strings.SplitN(strings.SplitN(err.Error(), ": ", 2)[1], " in ",
					2)[0]) {
					t.Errorf("%s with %q: %v; as an option: %v", path, c.given, err, wantErr)
				}
				continue
			}
			suited++
			if changed.Options != nil {
				t.Errorf("%s with %q has options", path, c.given)
			}
			got, err := backup.Alone(t.Context(), changed)
			if err != nil {
				t.Fatalf("%s with %q: %v", path, c.given, err)
			}
			want, err := backup.Alone(t.Context(), with.Options[len(with.Options)-1].Site)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(figures(want.Facts), figures(got.Facts)); diff != "" {
				t.Errorf("%s with %q (-option +change):\n%s", path, c.given, diff)
			}
			// The home itself is what it was.
			again, err := backup.Alone(t.Context(), home)
			if err != nil {
				t.Fatal(err)
			}
			fresh, err := site.Read(path, src, cat)
			if err != nil {
				t.Fatal(err)
			}
			base, err := backup.Alone(t.Context(), fresh)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(figures(base.Facts), figures(again.Facts)); diff != "" {
				t.Errorf("%s after %q (-before +after):\n%s", path, c.given, diff)
			}
		}
	}
	if suited < 20 || unsuited < 5 {
		t.Errorf("%d changes suited and %d did not: this test sees too few", suited, unsuited)
	}
}

// figures are the checks of a plan as text, its defaults, and its hours.
func figures(f *facts.Facts) []string {
	var out []string
	for _, c := range f.Checks {
		out = append(out, c.ID+" "+string(c.Status)+": "+c.Reason.String())
	}
	for _, d := range f.Site.Defaults {
		out = append(out, d.Table+" "+d.Key+" "+d.Value)
	}
	return out
}

// TestParseChange: what is wrong with a change by itself is told before any home is read.
func TestParseChange(t *testing.T) {
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ given, want string }{
		{"bank.strings", "want KEY=VALUE"},
		{"=2", "want KEY=VALUE"},
		{"bank.strings=", "want KEY=VALUE"},
		{"bank.strings=2\nbank.use=x", "want KEY=VALUE"},
		{"bank.strngs=2", "unknown key \"strngs\""},
		{"banks.strings=2", "unknown key \"banks\""},
		{"strings=2", "unknown key \"strings\""},
		{"bank=2", "bank: found"},
		{"bank.strings=two", "not valid TOML"},
		{"bank.strings=-1", "found -1"},
		{"bank.strings=2.5", "found 2.5"},
		{"bank.use=lfp-51-1000", `found "lfp-51-1000", want an id of the catalog`},
		{"inverter.use=lfp-51-100", `found "lfp-51-100", want an id of the catalog`},
		{"site.name=x", "unknown key \"site\""},
		{"name=x", "unknown key \"name\""},
		{"practice.margin=nan", "found "},
	} {
		_, err := site.ParseChange([]string{"outage.reserve=1", tt.given}, cat)
		var ps strict.Problems
		if !errors.As(err, &ps) || !strings.Contains(ps[0].Error(), tt.want) ||
			!strings.HasPrefix(ps[0].Error(), "change "+tt.given+": ") {
			t.Errorf("%q: %v, want %q", tt.given, err, tt.want)
		}
	}
	if _, err := site.ParseChange([]string{"bank.strings=2", "bank.strings=3"}, cat); err == nil {
		t.Error("a key may be changed twice")
	}
}
