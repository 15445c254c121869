package site

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/calendar"
	"outlast/backup/solar"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// eachKey visits every key of a site file, once for each table that has it; no table has one twice.
func eachKey(t *testing.T, ks *strict.Keys, visit func(table string, k *strict.Key)) {
	t.Helper()
	seen := map[string]bool{}
	for i := range ks.List {
		if seen[ks.List[i].Name] {
			t.Errorf("%s in %s stands twice", ks.List[i].Name, ks.Name)
		}
		seen[ks.List[i].Name] = true
		visit(ks.Name, &ks.List[i])
		if below := ks.List[i].Keys; below != nil {
			eachKey(t, below, visit)
		}
	}
}

// Every number has a range, every default lies in it, and every list has an end.
func TestKeys(t *testing.T) {
	count := 0
	eachKey(t, &fileKeys, func(table string, k *strict.Key) {
		count++
		fail := func(what string) { t.Errorf("%s in %s: %s", k.Name, table, what) }
		switch k.Kind {
		case strict.Number, strict.Whole, strict.Numbers, strict.Wholes:
			if !(k.Min < k.Max) || math.IsInf(k.Min, 0) || math.IsInf(k.Max, 0) {
				fail("no range")
			}
			if math.Abs(k.Max) > 1e9 {
				fail("a range that refuses nothing")
			}
		case strict.Group, strict.Groups:
			if k.Keys == nil {
				fail("a table without keys")
			}
		}
		switch k.Kind {
		case strict.Texts, strict.Numbers, strict.Wholes, strict.Groups:
			if k.MaxLen == 0 {
				fail("a list without an end")
			}
		}
		if k.Doc == "" && k.Kind != strict.Group && k.Kind != strict.Groups {
			fail("no words for people")
		}
		if k.Required && k.Default != nil {
			fail("required, and yet with a default")
		}
		switch v := k.Default.(type) {
		case nil:
		case float64:
			if k.Kind != strict.Number || v < k.Min || v > k.Max || k.Above && v == k.Min {
				fail("a default that the key does not take")
			}
		case int:
			if k.Kind != strict.Whole || float64(v) < k.Min || float64(v) > k.Max {
				fail("a default that the key does not take")
			}
		case string:
			if k.Kind != strict.Text || v == "" && !k.MayBeNone {
				fail("a default that the key does not take")
			}
		case bool:
			if k.Kind != strict.Switch {
				fail("a default that the key does not take")
			}
		default:
			fail("a default of an odd type")
		}
		if wants := k.Wants(); wants == "" || strings.Contains(wants, "e+") {
			fail("it wants " + wants)
		}
	})
	if count < 200 {
		t.Errorf("only %d keys", count)
	}
}

// TestModuleDefaultsTold: what the table of keys tells of the defaults of a module is what is taken.
func TestModuleDefaultsTold(t *testing.T) {
	m, _ := solar.Module{}.WithDefaults()
	want := map[string]string{"pmax_pct_per_c": fmt.Sprintf("%g %%", 100*m.PmaxPerC),
		"isc_pct_per_c": fmt.Sprintf("%g %%", 100*m.IscPerC), "noct_c": fmt.Sprintf("%g C", m.NOCTC)}
	told := 0
	for _, k := range catalog.ModuleKeys {
		if text := want[k.Name]; text != "" {
			told++
			if k.Otherwise != text {
				t.Errorf("%s: %q is told, %q is taken", k.Name, k.Otherwise, text)
			}
		}
	}
	if told != len(want) {
		t.Errorf("%d keys, want %d", told, len(want))
	}
}

// The sample that is said to give every key does: it is what tries of mistakes and the fuzz target start from.
func TestSampleGivesEveryKey(t *testing.T) {
	src, err := os.ReadFile("../testdata/seeds/every-key.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(src)
	eachKey(t, &fileKeys, func(table string, k *strict.Key) {
		switch k.Name {
		// another is given in its place, or it needs a file beside it
		case "use", "weather", "meter", "peukert", "kw", "locked_rotor_a", "times":
			return
		}
		if k.Kind == strict.Group || k.Kind == strict.Groups {
			if !regexp.MustCompile(`(?m)(^\[\[?|^)`+k.Name+`(\]| = |\.)`).MatchString(text) && k.Name != "motor" &&
				k.Name != "cycle" {
				t.Errorf("%s in %s is not in the sample", k.Name, table)
			}
			return
		}
		if !regexp.MustCompile(`(?m)(^|[{,.] ?)` + k.Name + ` = `).MatchString(text) {
			t.Errorf("%s in %s is not in the sample", k.Name, table)
		}
	})
}

// FuzzClock: what reads as a time of day writes back as it was.
func FuzzClock(f *testing.F) {
	for _, s := range []string{"00:00", "23:59", "24:00", "24:01", "6:00", "06:60", "", "+1:00", "1_:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		minute, err := loads.ParseClock(s)
		if err != nil {
			return
		}
		if minute < 0 || minute > calendar.DayMin || calendar.Clock(minute) != s {
			t.Errorf("%q reads as minute %d, which is %s", s, minute, calendar.Clock(minute))
		}
	})
}
