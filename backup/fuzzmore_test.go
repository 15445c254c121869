package backup_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"outlast/backup/interview"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// FuzzReadCatalog: any file ends in a catalog or in problems, in time and the same each time, and every problem stands
// inside the file. Each entry of a sound one is found again by its id, and as the text that the catalog gives of it.
func FuzzReadCatalog(f *testing.F) {
	for _, path := range []string{"../catalog/generic.toml", "../catalog/appliances.toml"} {
		src, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		for _, entry := range strings.Split(string(src), "\n[[")[1:] {
			f.Add([]byte("[[" + entry))
		}
	}
	f.Add([]byte("[[battery]]\nid = \"a\"\nuse = \"b\"\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		start := time.Now()
		cat, err := catalog.Read("f", src)
		if took := time.Since(start); took > time.Second {
			t.Errorf("took %v", took)
		}
		if (cat == nil) == (err == nil) {
			t.Fatalf("neither a catalog nor a reason, or both: %v", err)
		}
		var problems, again strict.Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("error %v, want problems", err)
		}
		checkPlaces(t, string(src), problems)
		_, err = catalog.Read("f", src)
		errors.As(err, &again)
		if diff := cmp.Diff(problems, again); diff != "" {
			t.Errorf("read twice (-first +second):\n%s", diff)
		}
		if cat == nil {
			return
		}
		for _, id := range cat.IDs() {
			text := cat.TOML(id)
			back, err := catalog.Read("f", []byte(text))
			if err != nil {
				t.Fatalf("the text of %q cannot be read: %v\n%s", id, err, text)
			}
			if got := back.TOML(id); got != text {
				t.Errorf("the text of %q is another when it is read again (-first +second):\n%s", id,
					cmp.Diff(text, got))
			}
		}
	})
}

// FuzzAnswers: any file of answers is taken or refused, each refusal with its place, and what was taken is written as
// it is read again. The site file that follows is a sound one.
func FuzzAnswers(f *testing.F) {
	for _, seed := range []string{
		"name: A hut\nsupply: 230\nhours: 24\nstays on: chest-freezer, led-lamp*8\n", "supply: 120x2\nhours: ?\n",
		"# none\n\nhours: 24 h\nhours: 12\n",
		"stays on: other 120 W 4 h\n", "\ufeffname: x\r\n", "name", ": x",
		"stays on: well-pump-1kw\nplate well-pump-1kw: 1.5 hp code G\n",
	} {
		f.Add(seed)
	}
	cat, err := catalog.Generic()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, src string) {
		if len(src) > 2000 {
			return // each answer is tried with equipment: what is longer is only slower
		}
		given, err := interview.ReadAnswers("f", src)
		var problems strict.Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0 || given != nil) {
			t.Fatalf("error %v, want problems", err)
		}
		in := interview.New(cat)
		if err := in.TakeAll(given); err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("error %v, want problems", err)
		}
		for _, p := range problems {
			if p.Line < 0 || p.Line > strings.Count(src, "\n")+1 || p.Msg == "" ||
				strings.ContainsFunc(p.Msg+p.Hint, func(r rune) bool { return r < ' ' }) {
				t.Errorf("%+v", p)
			}
		}
		text := in.AnswersText("")
		back, err := interview.ReadAnswers("f", text)
		if err != nil {
			t.Fatalf("what was written cannot be read: %v\n%s", err, text)
		}
		second := interview.New(cat)
		if err := second.TakeAll(back); err != nil {
			t.Fatalf("what was taken is refused: %v\n%s", err, text)
		}
		if got := second.AnswersText(""); got != text {
			t.Errorf("answers (-first +second):\n%s", cmp.Diff(text, got))
		}
	})
}

// FuzzChange: any change is read or refused, and what is read suits a home or is told why not; the home is never the
// worse for it.
func FuzzChange(f *testing.F) {
	for _, seed := range []string{"bank.strings=2", "bank.use=lfp-51-200", "outage.start=18:30",
		"practice.margin = 0.2", "inverter.use=hybrid-5k-48", "bank.capacity=[{hours=10,ah=90}]",
		"inverter.overload=[{ seconds = 10, va = 9000 }]", "bank={strings=2}", "a.b.c=1", "bank.use=\"x",
		"outage.month=July", "bank.strings=2 # three"} {
		f.Add(seed, "outage.autonomy_h=8")
	}
	cat, err := catalog.Generic()
	if err != nil {
		f.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join("..", "testdata", "sites", "cottage.toml"))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, one, two string) {
		change, err := site.ParseChange([]string{one, two}, cat)
		var problems strict.Problems
		if err != nil {
			if !errors.As(err, &problems) || len(problems) == 0 {
				t.Fatalf("error %v, want problems", err)
			}
			return
		}
		home, err := site.Read("f", src, cat)
		if err != nil {
			t.Fatal(err)
		}
		changed, err := home.Changed(change)
		if (changed == nil) == (err == nil) || err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("site %v, error %v", changed != nil, err)
		}
		if changed != nil {
			checkSite(t, changed)
		}
	})
}
