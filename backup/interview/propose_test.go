package interview

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/battery"
)

// proposed is the plan of an interview with the equipment that it finds.
func proposed(t *testing.T, in *Interview) (Equipment, *backup.Plan) {
	t.Helper()
	e, err := in.Propose(t.Context(), func(int, int) {})
	if err != nil {
		t.Fatal(err)
	}
	s, err := site.Read("home.toml", []byte(in.SiteText(e)), in.cat)
	if err != nil {
		t.Fatalf("%v\n%s", err, in.SiteText(e))
	}
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	return e, p
}

// What is proposed for homes of every supply passes, and is the first that sizing lists.
func TestProposedPasses(t *testing.T) {
	for _, supply := range []string{"230", "230x3", "120x2", "120", "100x2", "127"} {
		in := told(t, "supply: "+supply, "hours: 12", "battery-stands: cellar",
			"stays-on: fridge-freezer, led-lamp*8, router, gas-boiler")
		e, p := proposed(t, in)
		if p.Verdict() == verdict.Fail {
			t.Errorf("%s: %+v fails: %v", supply, e, p.With(verdict.Fail))
		}
		z, err := backup.Size(t.Context(), p.Site, in.cat, sizing.Options{})
		if err != nil {
			t.Fatal(err)
		}
		first := z.Passing[0]
		if e.Inverter != first.Inverter.ID || e.Count != first.Count || e.Battery != first.Unit.ID ||
			e.Strings != first.Strings {
			t.Errorf("%s: %+v, but sizing lists %d %s with %d strings of %s first", supply, e, first.Count,
				first.Inverter.ID, first.Strings, first.Unit.ID)
		}
	}
}

// What is there stays, and only the rest is chosen.
func TestProposedKeepsWhatIsThere(t *testing.T) {
	home := []string{"hours: 12", "battery-stands: heated", "stays-on: fridge-freezer, led-lamp*8, router"}
	e, p := proposed(t, told(t, append(home, "inverter: hybrid-8k-48")...))
	if e.Inverter != "hybrid-8k-48" || e.Count != 1 || p.Verdict() == verdict.Fail {
		t.Errorf("%+v, %v", e, p.With(verdict.Fail))
	}
	e, p = proposed(t, told(t, append(home, "battery: gel-12-200*8")...))
	if e.Battery != "gel-12-200" || e.Strings*p.Site.Series != 8 || p.Site.Unit.Chemistry != battery.Gel {
		t.Errorf("%+v in strings of %d", e, p.Site.Series)
	}
	// Too few batteries stay too few: the plan says so, and the file how many would do.
	e, p = proposed(t, told(t, append(home, "inverter: hybrid-5k-48", "battery: lfp-51-50*1")...))
	if e.Strings != 1 || p.Verdict() != verdict.Fail {
		t.Errorf("%+v: %v", e, p.Verdict())
	}
	e, p = proposed(t, told(t, append(home, "battery: lfp-51-50*1")...))
	if e.Strings != 1 || p.Verdict() != verdict.Fail || e.StringsNote.Empty() {
		t.Errorf("%+v: %v", e, p.Verdict())
	}
}

// Where nothing passes the nearest miss is taken, and its plan fails.
func TestProposedWhereNothingPasses(t *testing.T) {
	e, p := proposed(t, told(t, "hours: 2000", "stays-on: wall-charger*100"))
	if p.Verdict() != verdict.Fail || e.Inverter == "" {
		t.Errorf("%+v: %v", e, p.Verdict())
	}
}

// A generator that is too small for the loads alone keeps no equipment from being proposed: it is what is proposed
// without it, and the plan fails by the generator and by nothing else.
func TestProposedWithSmallGenerator(t *testing.T) {
	home := []string{"hours: 24", "battery-stands: heated", "inverter: hybrid-5k-48*2",
		"stays-on: fridge-freezer, router, other sauna 6 kW 1 h, other bench 2 kW 1 h"}
	without, _ := proposed(t, told(t, home...))
	e, p := proposed(t, told(t, append(home, "generator: 6.5 kVA petrol")...))
	if fmt.Sprint(e) != fmt.Sprint(without) {
		t.Errorf("%+v, want %+v as without the generator", e, without)
	}
	failing := p.With(verdict.Fail)
	if len(failing) != 1 || failing[0].ID != "generator-running" {
		t.Errorf("fails by %v, want generator-running alone", failing)
	}
}

// Panels are parted into strings that the inverter bears: of 20 modules with 39 V in the open, 25 C, and more in the
// cold, one string would have 780 V and more.
func TestProposedStrings(t *testing.T) {
	for _, more := range []string{"", "inverter: hybrid-8k-48", "inverter: hybrid-8k-48\nbattery: lfp-51-280"} {
		in := told(t, "latitude: 48", "hours: 12", "battery-stands: heated", "stays-on: fridge-freezer, router",
			"panels: 20 x 440 W", "slope: 30", "facing: south", more)
		e, p := proposed(t, in)
		for _, c := range p.With(verdict.Fail) {
			t.Errorf("%q: %+v: %s %s", more, e, c.ID, c.Reason)
		}
		if a := p.Site.Arrays[0]; a.ModulesPerString*a.Strings != 20 || a.Strings == 1 {
			t.Errorf("%q: %d strings of %d", more, a.Strings, a.ModulesPerString)
		}
	}
}

// The coldest air outdoors is told where panels are, and decides how many stand in a string; where nobody knows it, the
// plan has the cold of that latitude and does not call the strings safe.
func TestColdestAirOfPanels(t *testing.T) {
	home := []string{"latitude: 48", "hours: 12", "battery-stands: heated", "stays-on: fridge-freezer, router",
		"panels: 12 x 440 W", "inverter: hybrid-8k-48"}
	for _, c := range []struct {
		answer string
		airC   float64
		known  bool
	}{
		{"coldest-air: -4 F", -20, true},
		{"coldest-air: 10", 10, true},
		{"coldest-air: ?", -30, false}, // of northern latitudes up to 48 degrees
	} {
		in := told(t, append(home, c.answer)...)
		_, p := proposed(t, in)
		if airC, _, known := p.Site.ColdAir(); airC != c.airC || known != c.known {
			t.Errorf("%s: air of %g C, known %t, want %g, %t\n%s", c.answer, airC, known, c.airC, c.known,
				in.SiteText(Equipment{}))
		}
		for _, check := range p.Checks {
			if check.ID == "string-voc-cold" && (check.Status == verdict.Pass) != c.known {
				t.Errorf("%s: %s is %v", c.answer, check.ID, check.Status)
			}
		}
	}
}

// Where no equal strings fit the inverter, as many panels are planned with as do fit, or none; the site file and the list of
// what is assumed say so, and how many near by would do: of 23 modules, a prime, one string has too many volts and 23 strings have too many amps. What is promised
// holds.
func TestNoStringsFit(t *testing.T) {
	home := []string{"latitude: 48", "hours: 12", "battery-stands: heated", "stays-on: fridge-freezer, router",
		"coldest-air: -20", "inverter: hybrid-8k-48"}
	for _, c := range []struct {
		panels, want string
		planned      int
	}{
		{"20", "", 20},
		{"23", "no way to part 23 panels into equal strings fits the inverter; 22 panels do fit it, in strings of 11", 22},
		{"1", "one panel alone does not fit the inverter; 5 panels do fit it, in strings of 5", 0},
		{"100", "no way to part 100 panels into equal strings fits the inverter", 0},
	} {
		in := told(t, append(home, "panels: "+c.panels+" x 440 W")...)
		e, p := proposed(t, in)
		if e.ArrayNote.String() != c.want {
			t.Errorf("%s panels: %q, want %q", c.panels, e.ArrayNote, c.want)
		}
		planned := 0
		for _, a := range p.Site.Arrays {
			planned += a.ModulesPerString * a.Strings
		}
		if planned != c.planned {
			t.Errorf("%s panels: %d are planned with, want %d", c.panels, planned, c.planned)
		}
		for _, check := range p.With(verdict.Fail) { // no string that the inverter does not bear is proposed
			t.Errorf("%s panels: %s fails", c.panels, check.ID)
		}
		listed := slices.ContainsFunc(in.Assumed(e), func(s string) bool {
			return strings.HasPrefix(s, "Solar panels: ") && strings.HasSuffix(s, c.want)
		})
		if listed != (c.want != "") {
			t.Errorf("%s panels: assumed %q", c.panels, in.Assumed(e))
		}
	}
	for _, n := range []string{"22", "5"} {
		if e, p := proposed(t, told(t, append(home, "panels: "+n+" x 440 W")...)); !e.ArrayNote.Empty() {
			t.Errorf("%s panels: %+v, %v", n, e, p.With(verdict.Fail))
		}
	}
}
