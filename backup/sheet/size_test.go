package sheet

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/catalog"
	"outlast/loads"
)

// TestManyUnits: a first combination of many batteries is told with a caution, and with the first one that has few.
func TestManyUnits(t *testing.T) {
	fit := func(series, strings int, price float64) sizing.Fit {
		return sizing.Fit{Inverter: catalog.Inverter{ID: "x"}, Count: 1, Unit: battery.Unit{ID: "y"}, Series: series,
			Strings: strings, Price: &price}
	}
	for _, tt := range []struct {
		name string
		list []sizing.Fit
		want string
	}{
		{"32 blocks first", []sizing.Fit{fit(8, 4, 5000), fit(8, 4, 5100), fit(1, 4, 5600)},
			"Caution: No 1 has 32 batteries to connect and to look after, in 4 strings; No 3 has 4, for 600 more."},
		{"a string of 2 V cells at 48 V", []sizing.Fit{fit(24, 1, 5000), fit(1, 4, 5600)}, ""},
		{"one cell more", []sizing.Fit{fit(25, 1, 5000), fit(1, 4, 5600)},
			"Caution: No 1 has 25 batteries to connect and to look after, in 1 string; No 2 has 4, for 600 more."},
		{"nothing else", []sizing.Fit{fit(8, 4, 5000)},
			"Caution: No 1 has 32 batteries to connect and to look after, in 4 strings."},
	} {
		if got := manyText(tt.list).String(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestOptionTable: an option shows what it carries, its promised hours, bank, weight and the difference of its price.
func TestOptionTable(t *testing.T) {
	swapped := 0
	for _, p := range []*backup.Plan{samplehome.Plan(t, "farmhouse"),
		samplehome.Plan(t, "../../backup/testdata/homes/villa-three-phase")} {
		for _, wide := range []bool{false, true} {
			s := optionSection(p, wide)
			if len(s.Table.Rows) != len(p.Options)+1 {
				t.Fatalf("%d rows, want the base and %d options", len(s.Table.Rows), len(p.Options))
			}
			all := strings.Join(phrase.Strings(s.Lines), "\n")
			base, _ := p.Price()
			for i, o := range p.Options {
				row := strings.Join(phrase.Strings(s.Table.Rows[i+1]), "|")
				least, _, err := o.Plan.LeastAutonomy()
				if err != nil {
					t.Fatal(err)
				}
				kg, _ := o.Plan.MassKg()
				price, _ := o.Plan.Price()
				more := grid.Whole(price - base)
				if price > base {
					more = "+" + more
				}
				b := o.Plan.Bank
				want := strings.Join([]string{o.Name, string(o.Plan.Verdict()),
					grid.Whole(float64(len(o.Plan.Carried()))),
					fmt.Sprintf("%d x %d %s", b.Strings, b.Series, b.Unit.ID),
					grid.Tenth(least), grid.Whole(kg), grid.Whole(price), more}, "|")
				if !strings.HasPrefix(row, want) {
					t.Errorf("%q: the row is %q, want it to begin with %q", o.Name, row, want)
				}
				// What an option carries in the place of something else is said by name.
				line := ""
				if i := strings.Index(all, o.Name+": "); i >= 0 {
					line, _, _ = strings.Cut(all[i:], "\n")
				}
				for j, c := range p.Circuits {
					now := o.Plan.Circuits[j].OnBackup
					if named := strings.Contains(line, fmt.Sprintf("%q", c.Label)); named != (now != c.OnBackup) {
						t.Errorf("%q: %q is named: %v, on the board: %v, in the base: %v\n%s", o.Name, c.Label, named,
							now, c.OnBackup, line)
					}
					if now != c.OnBackup {
						swapped++
					}
				}
			}
		}
	}
	if swapped == 0 {
		t.Error("no option carries other circuits than its base: this test sees too little")
	}
}

// TestOwnLine: the line about the file's own design has the checks by their names, each apart from the others.
func TestOwnLine(t *testing.T) {
	v, err := speech.NewVoice("", false)
	if err != nil {
		t.Fatal(err)
	}
	z := &sizing.Sizes{}
	z.Own.Inverter.ID, z.Own.Unit, z.Own.Count, z.Own.Strings, z.Own.Series = "x", &battery.Unit{ID: "y"}, 1, 1, 2
	z.Own.Failing = []verdict.Check{verdict.AtMost("string-voc-cold-1", 1069, 1000, "V"),
		verdict.AtMost("string-voc-cold-2", 1069, 1000, "V"), verdict.AtMost("cable-kitchen", 12, 10, "A")}
	got := ownLine(z, speech.NewSpeaker(v, nil, func(string) string { return "" }).CheckName).String()
	want := "The file's own design, as planned: 1 x x with 2 x y, fails by PV input 1, open-circuit voltage in the cold, " +
		"1069 V of 1000 V; also PV input 2, open-circuit voltage in the cold; Cable: kitchen."
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
	// A combination that fails by the same is told of in the same words.
	z.Misses = []sizing.Miss{z.Own.Miss}
	rows := missSection(z, phrase.Of("x"), 0, speech.NewSpeaker(v, nil, func(string) string { return "" }).CheckName).Table.Rows
	if got := rows[0][2].String(); !strings.HasSuffix(want, ", fails by "+got+".") {
		t.Errorf("among the closest rejected: %q, want the words of %q", got, want)
	}
}

// TestFitSection: the wide table calls checks by the names that they have elsewhere, and has a letter for each thing that
// is to be checked, the same in all rows.
func TestFitSection(t *testing.T) {
	v, err := speech.NewVoice("", false)
	if err != nil {
		t.Fatal(err)
	}
	fit := func(cautions ...string) sizing.Fit {
		return sizing.Fit{Tightest: "bank-capacity", Cautions: cautions}
	}
	s := fitSection(phrase.Of("x"), []sizing.Fit{fit("inverter-restart", "generator-input", "generator-charging"), fit(),
		fit("ventilation", "inverter-restart"), fit("generator-start"), fit("generator-start", "ventilation")}, 0, true, false,
		speech.NewSpeaker(v, nil, func(string) string { return "" }).CheckName)
	for i, want := range []string{"a b", "-", "a c", "d", "c d"} {
		row := s.Table.Rows[i]
		if got := row[len(row)-1].String(); got != want {
			t.Errorf("row %d: %q, want %q", i+1, got, want)
		}
		if got := row[7].String(); got != "Battery capacity" {
			t.Errorf("row %d: tightest is %q", i+1, got)
		}
	}
	want := "To be checked: a = Inverter, simultaneous restart; b = 2 checks of the generator; c = Ventilation; " +
		"d = Generator, largest start."
	if len(s.Lines) != 1 || s.Lines[0].String() != want {
		t.Errorf("%q, want %q", phrase.Strings(s.Lines), want)
	}
	for i, want := range map[int]string{0: "a", 25: "z", 26: "aa", 51: "az", 52: "ba"} {
		if got := letter(i); got != want {
			t.Errorf("letter %d is %q, want %q", i, got, want)
		}
	}
}

// TestSuppliedSection: a circuit of which everything must be left off is not called supplied.
func TestSuppliedSection(t *testing.T) {
	circuit := func(id string, board loads.Board) loads.Circuit {
		return loads.Circuit{ID: id, Label: id, Board: board}
	}
	load := func(id string, heldOff bool) loads.Load { return loads.Load{Name: id, CircuitID: id, HeldOff: heldOff} }
	for _, tt := range []struct {
		home site.Site
		want []string
	}{
		{site.Site{Circuits: []loads.Circuit{circuit("fridge", loads.BoardBackup), circuit("oven", loads.BoardBackup)},
			Loads: []loads.Load{load("fridge", false), load("oven", true)}},
			[]string{`Sized to supply 1 circuit: "fridge".`,
				`On the backup board as well, where all must be left off in an outage: "oven".`}},
		{site.Site{Circuits: []loads.Circuit{circuit("oven", loads.BoardBackup)}, Loads: []loads.Load{load("oven", true)}},
			[]string{"Sized to supply no circuit.",
				`On the backup board as well, where all must be left off in an outage: "oven".`}},
	} {
		s := record.Sizing{Site: &tt.home, Targets: []*sizing.Sizes{{Site: &tt.home}}}
		if got := phrase.Strings(suppliedSection(s).Lines); !slices.Equal(got, tt.want) {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}
