package backup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/samplehome"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/catalog"
)

// smallCatalog has inverters and batteries that make few pairs, among them each reason to fail.
const smallCatalog = `
[[inverter]]
id = "small"
rated_w = 1500
rated_va = 2000
overload = [{ seconds = 5, va = 4000 }]
nominal_dc_v = 48
dc_min_v = 40
dc_max_v = 62
max_discharge_a = 50
charger_a = 20
idle_w = 20
efficiency = 0.9
output_v = 230
pass_through_a = 20
ac_input_a = 60
transfer_ms = 10
chemistries = ["lfp", "agm"]
price = 500
mass_kg = 10

[[inverter]]
id = "large"
rated_w = 4000
rated_va = 5000
overload = [{ seconds = 5, va = 10000 }]
nominal_dc_v = 48
dc_min_v = 40
dc_max_v = 62
max_discharge_a = 130
charger_a = 60
idle_w = 60
efficiency = 0.9
efficiency_curve = [{ load = 0.05, efficiency = 0.7 }, { load = 0.3, efficiency = 0.95 }]
output_v = 230
pass_through_a = 50
ac_input_a = 80
transfer_ms = 20
chemistries = ["lfp", "agm"]
price = 1200
mass_kg = 30

[[inverter]]
id = "abroad"
rated_w = 9000
rated_va = 9000
nominal_dc_v = 48
dc_min_v = 40
dc_max_v = 62
max_discharge_a = 300
idle_w = 60
efficiency = 0.9
output_v = 120
price = 1

[[battery]]
id = "pack"
chemistry = "lfp"
nominal_v = 51.2
rated_ah = 50
max_charge_a = 25
max_discharge_a = 50
pulse_a = 80
pulse_s = 10
resistance_mohm = 30
max_parallel = 5
charge_min_c = -20
charge_max_c = 60
discharge_min_c = -30
price = 700
mass_kg = 25

[[battery]]
id = "block"
chemistry = "agm"
nominal_v = 12
rated_ah = 100
max_charge_a = 30
max_discharge_a = 100
resistance_mohm = 4
max_parallel = 4
charge_min_c = -20
charge_max_c = 60
discharge_min_c = -30
price = 180
mass_kg = 30

[[battery]]
id = "tall"
chemistry = "lfp"
nominal_v = 57.6
rated_ah = 100
max_charge_a = 50
max_discharge_a = 100
charge_min_c = -20
discharge_min_c = -30
price = 10

[[battery]]
id = "odd"
chemistry = "lfp"
nominal_v = 36
rated_ah = 100
price = 10
`

func readCatalog(t testing.TB, text string) *catalog.Catalog {
	t.Helper()
	cat, err := catalog.Read("small.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return cat
}

// siteOf reads a site text with the generic catalog.
func siteOf(t interface{ Fatal(...any) }, text string) *site.Site {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	s, err := site.Read("test.toml", []byte(text), cat)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// candidate is a combination as a test knows it.
type candidate struct {
	inverter       string
	count          int
	unit           string
	strings        int
	price, hours   float64
	mass           float64
	priced, capped bool
	usual          bool // no more strings than are usual
}

func (c candidate) String() string {
	return fmt.Sprintf("%d %s, %d %s", c.count, c.inverter, c.strings, c.unit)
}

// bruteForce plans every inverter, count, battery and number of strings, each by itself, up to the strings that are
// usual for the battery or three more than the capacity needs. first are the smallest banks that pass.
func bruteForce(t interface{ Fatal(...any) }, s *site.Site, cat *catalog.Catalog, maxCount int) (first,
	all []candidate) {
	for _, inv := range cat.Inverters() {
		for count := 1; count <= maxCount; count++ {
			if inv.Phases > s.Phases || inv.Phases*count%s.Phases != 0 || inv.OutputV > 1.2*s.NominalV ||
				inv.OutputV < 0.8*s.NominalV {
				continue
			}
			for _, u := range cat.Batteries() {
				u, _ = u.WithDefaults()
				series, fits, err := battery.Series(u, inv.NominalDCV, inv.DCMinV, inv.DCMaxV, s.ColdestC,
					inv.Equalises)
				if err != nil {
					continue
				}
				v := *s
				v.Options = nil
				v.Inverter, v.InverterCount, v.Unit, v.Series, v.SeriesFits = inv, count, u, series, fits
				found := false
				most := 1
				for n := 1; n <= most; n++ {
					v.Strings = n
					p, err := backup.NewPlan(context.Background(), &v)
					if err != nil {
						t.Fatal(err)
					}
					most = max(u.MaxParallel, p.Bank.Sizing.Strings+3)
					if n == 1 && p.Verdict() == verdict.Fail {
						n = max(n, p.Bank.Sizing.Strings-2) // fewer than the capacity needs fail by that; one of them is tried
					}
					if p.Verdict() == verdict.Fail {
						continue
					}
					c := candidate{inverter: inv.ID, count: count, unit: u.ID, strings: n,
						hours: min(p.Bank.AutonomyH, 2*s.Outage.AutonomyH), usual: n <= u.MaxParallel}
					c.price, c.priced = p.Price()
					if inv.MassKg > 0 && u.MassKg > 0 {
						c.mass = inv.MassKg*float64(count) + p.Bank.MassKg()
					}
					if !found {
						first = append(first, c)
					}
					found = true
					all = append(all, c)
				}
			}
		}
	}
	return first, all
}

func candidateOf(f sizing.Fit) candidate {
	c := candidate{inverter: f.Inverter.ID, count: f.Count, unit: f.Unit.ID, strings: f.Strings, hours: f.AutonomyH,
		mass: f.MassKg, capped: f.Capped}
	if f.Price != nil {
		c.price, c.priced = *f.Price, true
	}
	return c
}

// beats is dominance in price, hours and weight, as it is defined; hours that differ in rounding only are equal.
func (c candidate) beats(o candidate) bool {
	less := func(a, b float64) bool { return a < b-1e-9*math.Abs(b) }
	if less(o.price, c.price) || less(c.hours, o.hours) || less(o.mass, c.mass) {
		return false
	}
	return less(c.price, o.price) || less(o.hours, c.hours) || less(c.mass, o.mass)
}

func names(list []candidate) []string {
	var out []string
	for _, c := range list {
		out = append(out, c.String())
	}
	slices.Sort(out)
	return out
}

// TestSizeEqualsBruteForce: what is listed is just what passes when each combination is planned by itself, and the
// front is what nothing among all of them beats.
func TestSizeEqualsBruteForce(t *testing.T) {
	cat := readCatalog(t, smallCatalog)
	rapid.Check(t, func(t *rapid.T) {
		d := drawSite(t)
		d.strings, d.reserve, d.phases, d.unitPhases, d.count = 1, 1, 1, 1, 1
		for i := range d.circuitPhase {
			d.circuitPhase[i] = min(d.circuitPhase[i], 1)
		}
		d.hottest, d.altitude, d.ways, d.autonomyH = 30, 0, 9, min(d.autonomyH, 10)
		for i := range d.boards {
			if d.boards[i] == "either" {
				d.boards[i] = "backup"
			}
			d.breakers[i] = 1000
		}
		for i := range d.loads {
			d.loads[i].runningW /= 4
			d.loads[i].startVA /= 4
			d.loads[i].ridesMs += 5
		}
		s := siteOf(t, d.text(1))
		z, err := backup.Size(context.Background(), s, cat, sizing.Options{MaxCount: 2, MoreStrings: true})
		if err != nil {
			t.Fatal(err)
		}
		first, every := bruteForce(t, s, cat, 2)
		var listed []candidate
		for _, f := range z.Passing {
			listed = append(listed, candidateOf(f))
		}
		if got, want := names(listed), names(first); !slices.Equal(got, want) {
			t.Fatalf("lists %q, but %q pass\n%s", got, want, d.text(1))
		}
		// The front: the first that pass, and what is larger up to the strings that are usual.
		all := slices.Clone(first)
		for _, c := range every {
			if c.usual && !slices.ContainsFunc(all, func(o candidate) bool { return o.String() == c.String() }) {
				all = append(all, c)
			}
		}
		all = slices.DeleteFunc(all, func(c candidate) bool { return !c.priced || c.mass == 0 })
		for _, f := range z.Front {
			c := candidateOf(f)
			if i := slices.IndexFunc(all, func(o candidate) bool { return o.beats(c) }); i >= 0 {
				t.Errorf("on the front: %s, beaten by %s", c, all[i])
			}
		}
		for _, c := range all {
			unbeaten := !slices.ContainsFunc(all, func(o candidate) bool { return o.beats(c) })
			on := slices.ContainsFunc(z.Front, func(f sizing.Fit) bool { return candidateOf(f).String() == c.String() })
			if unbeaten && !on {
				t.Errorf("nothing beats %s (%g, %g h, %g kg), but it is not on the front", c, c.price, c.hours, c.mass)
			}
		}
	})
}

// TestSizePlansToAPass: whatever is listed for the sample homes passes when it is planned.
func TestSizePlansToAPass(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	paths := samplehome.Files(t)
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := siteOf(t, string(src))
		for _, essential := range []bool{false, true} {
			z, err := backup.Size(context.Background(), s, cat, sizing.Options{Essential: essential})
			if err != nil {
				t.Fatal(err)
			}
			if len(z.Passing) == 0 && !strings.Contains(path, "overloaded") {
				t.Errorf("%s: nothing passes", path)
			}
			every := len(z.Passing)/10 + 1 // all of them would take minutes
			list := slices.Clone(z.Front)
			if testing.Short() {
				every, list = len(z.Passing)/3+1, list[:min(3, len(list))]
			}
			for i := 0; i < len(z.Passing); i += every {
				list = append(list, z.Passing[i])
			}
			for _, f := range list {
				// As the user would: the equipment in the site file, circuits on either board still open.
				p, err := backup.NewPlan(context.Background(), f.Apply(s))
				if err != nil {
					t.Fatal(err)
				}
				if c := p.FirstFailing(); c != nil {
					t.Errorf("%s: %d %s with %d x %d %s fails by %s: %s", path, f.Count, f.Inverter.ID, f.Strings,
						f.Series, f.Unit.ID, c.ID, c.Reason)
				}
				if want := min(p.Bank.AutonomyH, 2*s.Outage.AutonomyH); !essential &&
					math.Abs(f.AutonomyH-want) > 1e-6 {
					t.Errorf("%s: %d %s with %d %s lasts %g h, planned %g h", path, f.Count, f.Inverter.ID, f.Strings,
						f.Unit.ID, f.AutonomyH, want)
				}
			}
		}
	}
}

// TestSizeOrder: by price; without prices by energy installed, then by the number of pieces; the unpriced after the
// priced.
func TestSizeOrder(t *testing.T) {
	s := newHouse().set("site.nominal_v", 230).load("A", "running_w = 300").plan(t).Site
	order := func(text string) []string {
		z, err := backup.Size(context.Background(), s, readCatalog(t, text), sizing.Options{MaxCount: 2})
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, f := range z.Passing {
			out = append(out, candidateOf(f).String())
		}
		return out
	}
	// For 10 h 300 W take 353 W from a small inverter (0.9, 20 W), 373 W from two, 474 W from a large one (0.725 at
	// 0.075 of its rating, 60 W) and 549 W from two (0.7 at 0.0375, 120 W). A pack gives 2048 Wh, a string of four
	// blocks 2400 Wh or a little less. But a pack takes 25 A from the chargers and a block 30 A, and two large
	// inverters give 120 A.
	got := order(smallCatalog)
	want := []string{"1 small, 2 pack", "1 small, 2 block", "2 small, 2 pack", "2 small, 2 block", // 1900, 1940, 2400, 2440
		"1 large, 2 block", "1 large, 3 pack", "2 large, 4 block", "2 large, 5 pack"} // 2640, 3300, 5280, 5900
	if !slices.Equal(got, want) {
		t.Errorf("by price: %q, want %q", got, want)
	}
	bare := strings.ReplaceAll(smallCatalog, "price = ", "cycles = [{ dod = 0.5, cycles = 100 }] # ")
	bare = strings.ReplaceAll(bare, "cycles = [{ dod = 0.5, cycles = 100 }] # 500", "# 500")
	bare = strings.ReplaceAll(bare, "cycles = [{ dod = 0.5, cycles = 100 }] # 1200", "# 1200")
	bare = strings.ReplaceAll(bare, "cycles = [{ dod = 0.5, cycles = 100 }] # 1\n", "# 1\n")
	z, err := backup.Size(context.Background(), s, readCatalog(t, bare), sizing.Options{MaxCount: 2})
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(z.Passing); i++ {
		a, b := z.Passing[i-1], z.Passing[i]
		if a.Price != nil || b.Price != nil {
			t.Fatal("a price where none is given")
		}
		if a.EnergyWh > b.EnergyWh || a.EnergyWh == b.EnergyWh && a.Count+a.Units() > b.Count+b.Units() {
			t.Errorf("%s with %g Wh stands before %s with %g Wh", candidateOf(a), a.EnergyWh, candidateOf(b),
				b.EnergyWh)
		}
	}
	if len(z.Front) != 0 {
		t.Errorf("%d on the front without prices", len(z.Front))
	}
}

// TestSizeMisses: what fails, and by what.
func TestSizeMisses(t *testing.T) {
	s := newHouse().set("site.nominal_v", 230).load("A", "running_w = 3000").plan(t).Site
	z, err := backup.Size(context.Background(), s, readCatalog(t, smallCatalog), sizing.Options{MaxCount: 1})
	if err != nil {
		t.Fatal(err)
	}
	says := map[string]string{}
	for _, m := range z.Misses {
		key := m.Inverter.ID
		if m.Unit != nil {
			key += " " + m.Unit.ID
		}
		for _, c := range m.Failing {
			says[key] += c.ID + " "
		}
	}
	for key, want := range map[string]string{
		"small":      "inverter-continuous inverter-continuous-w ", // 3000 of 2000 VA and of 1500 W, whatever the bank
		"large tall": "dc-window-high ",                            // 18 cells charge at more than 62 V
	} {
		if !strings.HasPrefix(says[key], want) {
			t.Errorf("%s fails by %q, want %q", key, says[key], want)
		}
	}
	for key := range says {
		if strings.Contains(key, "odd") || strings.Contains(key, "abroad") || strings.HasPrefix(key, "small ") {
			t.Errorf("%s is among the misses: it makes no pair, or needs no bank to fail", key)
		}
	}
	for i := 1; i < len(z.Misses); i++ {
		if len(z.Misses[i-1].Failing) > len(z.Misses[i].Failing) {
			t.Error("a farther miss stands before a nearer one")
		}
	}
	if len(z.Own.Failing) == 0 || z.Own.Inverter.ID != "own" {
		t.Errorf("the site's own equipment: %+v, want it to fail", z.Own)
	}
}

// TestSizeMissesAreWhole: a miss fails by all that a plan of that equipment fails by, cables and generator included,
// though its trial had ended at the first of them; and it stands where that puts it.
func TestSizeMissesAreWhole(t *testing.T) {
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]int{}
	for _, home := range []string{"cottage", "split-phase", "town-flat"} {
		s := samplehome.Site(t, home)
		s.Options = nil
		z, err := backup.Size(t.Context(), s, cat, sizing.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range z.Misses {
			if i > 0 && len(z.Misses[i-1].Failing) > len(m.Failing) {
				t.Errorf("%s: a miss by %d checks stands before one by %d", home, len(z.Misses[i-1].Failing), len(m.Failing))
			}
			if i%4 > 0 || m.Unit == nil {
				continue
			}
			f := sizing.Fit{Inverter: m.Inverter, Count: m.Count, Unit: *m.Unit, Series: m.Series, Strings: m.Strings}
			p, err := backup.NewPlan(t.Context(), f.Apply(z.Site))
			if err != nil {
				continue
			}
			var got, want []string
			for _, c := range m.Failing {
				if c.ID != "bank-parallel" { // a search takes no more strings than are usual, a plan warns of them
					got = append(got, c.ID)
				}
			}
			for _, c := range p.With(verdict.Fail) {
				if !slices.ContainsFunc(z.Standing, func(o verdict.Check) bool { return o.ID == c.ID }) {
					want = append(want, c.ID)
					by[c.ID]++
				}
			}
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s: %d %s with %d x %d %s fails by %q, its plan by %q", home, m.Count, m.Inverter.ID, m.Strings,
					m.Series, m.Unit.ID, got, want)
			}
		}
	}
	if by["cable-bank"] == 0 || by["bank-charge-rate"] == 0 {
		t.Errorf("what fails: %v, want a cable of the bank and a charge rate among it", by)
	}
}

// TestSizeStanding: what no equipment cures, a generator too small for the loads alone or for their start, and circuits
// beyond their breakers, is told, and keeps no combination from being found: those that pass are those that pass without
// it, and no miss fails by it.
func TestSizeStanding(t *testing.T) {
	behind := func(breakerA int) *house {
		return newHouse().set("site.nominal_v", 230).circuit("c", fmt.Sprintf("breaker_a = %d", breakerA)).
			load("A", `running_w = 600; starting_va = 700; circuit = "c"`)
	}
	home := func() *house { return behind(16) }
	size := func(h *house) *sizing.Sizes {
		t.Helper()
		z, err := backup.Size(context.Background(), siteOf(t, h.text()), readCatalog(t, smallCatalog), sizing.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return z
	}
	plain := size(home())
	if len(plain.Passing) == 0 || len(plain.Misses) == 0 || len(plain.Standing) > 0 {
		t.Fatalf("%d pass, %d miss, %v stand without a generator", len(plain.Passing), len(plain.Misses), plain.Standing)
	}
	for _, tt := range []struct {
		what     string
		house    *house
		standing []string
	}{
		{"too small for all of it", home().put("generator", "rated_va = 600; power_factor = 0.8"), []string{"generator-running"}},
		{"too small for the start too", home().put("generator", "rated_va = 200; power_factor = 0.8"),
			[]string{"generator-running", "generator-start"}},
		{"beyond its breaker", behind(2), []string{"circuit-breaker"}},
		{"a cable too thin for its breaker", newHouse().set("site.nominal_v", 230).circuit("c",
			"breaker_a = 25; cable_mm2 = 1.5; length_m = 5").load("A", `running_w = 600; starting_va = 700; circuit = "c"`),
			[]string{"cable-c"}},
	} {
		z := size(tt.house)
		var ids []string
		for _, c := range z.Standing {
			ids = append(ids, c.ID)
			if c.Status != verdict.Fail || c.Reason.Empty() {
				t.Errorf("%s: %+v stands", tt.what, c)
			}
		}
		if !slices.Equal(ids, tt.standing) {
			t.Errorf("%s: %q stand, want %q", tt.what, ids, tt.standing)
		}
		if got, want := namesOf(z.Passing), namesOf(plain.Passing); !slices.Equal(got, want) {
			t.Errorf("%s: %q pass, want %q as without it", tt.what, got, want)
		}
		for _, m := range z.Misses {
			if len(m.Failing) == 0 || slices.ContainsFunc(m.Failing, func(c verdict.Check) bool { return verdict.Stands(c.ID) }) {
				t.Errorf("%s: %s misses by %v", tt.what, m.Inverter.ID, m.Failing)
			}
		}
		for _, id := range tt.standing {
			if !slices.ContainsFunc(z.Own.Failing, func(c verdict.Check) bool { return c.ID == id }) {
				t.Errorf("%s: the file's own design does not fail by %s", tt.what, id)
			}
		}
	}
	// Where nothing else passes either, it is told all the same.
	none := size(newHouse().set("site.nominal_v", 230).load("A", "running_w = 30000").put("generator",
		"rated_va = 3000; power_factor = 0.8"))
	if len(none.Passing) > 0 || !slices.ContainsFunc(none.Standing,
		func(c verdict.Check) bool { return c.ID == "generator-running" }) {
		t.Errorf("%d pass, %v stand", len(none.Passing), none.Standing)
	}
}

// TestSizeStandingByPhases: where phases are open, what an inverter needs may put circuits so that the generator does not
// carry them while another inverter's arrangement it does. Then the generator is no reason to look further, and counts
// against the former: a motor of 500 W that starts with 4000 VA stands beside 1500 W behind the large inverters, so
// that no phase has more than 2000 W, and behind the small ones that start no 5500 VA alone, with 3500 W on another phase.
func TestSizeStandingByPhases(t *testing.T) {
	text := ""
	for _, v := range []struct {
		id    string
		surge int
	}{{"weak", 5000}, {"strong", 9000}} {
		text += fmt.Sprintf("[[inverter]]\nid = %q\nrated_w = 4000\nrated_va = 4000\noverload = [{ seconds = 5, va = %d }]\n"+
			"nominal_dc_v = 48\ndc_min_v = 40\ndc_max_v = 62\nmax_discharge_a = 200\nidle_w = 20\nefficiency = 0.9\n"+
			"output_v = 230\ntransfer_ms = 10\nprice = 500\nmass_kg = 10\n", v.id, v.surge)
	}
	text += "[[battery]]\nid = \"pack\"\nchemistry = \"lfp\"\nnominal_v = 51.2\nrated_ah = 400\nmax_charge_a = 400\n" +
		"max_discharge_a = 1000\nmax_parallel = 20\nprice = 700\nmass_kg = 20\n"
	size := func(va int) *sizing.Sizes {
		t.Helper()
		h := newHouse().set("site.nominal_v", 230).set("site.phases", 3).put("generator",
			fmt.Sprintf("rated_va = %d; power_factor = 1", va)).set("inverter.count", 3)
		for i, load := range []string{"running_w = 500; starting_va = 4000", "running_w = 2000", "running_w = 2000",
			"running_w = 1500"} {
			id := fmt.Sprintf("c%d", i)
			h.circuit(id, `phase = "any"`).load("Load of "+id, fmt.Sprintf("circuit = %q; %s", id, load))
		}
		z, err := backup.Size(context.Background(), siteOf(t, h.text()), readCatalog(t, text), sizing.Options{MaxCount: 3})
		if err != nil {
			t.Fatal(err)
		}
		return z
	}
	stands := func(z *sizing.Sizes) bool {
		return slices.ContainsFunc(z.Standing, func(c verdict.Check) bool { return c.ID == "generator-running" })
	}
	of := func(list []sizing.Fit) (out []string) {
		for _, f := range list {
			out = append(out, f.Inverter.ID)
		}
		return out
	}
	for _, tt := range []struct {
		va   int
		want []string
		fits bool // with some inverter
	}{{5000, []string{"weak", "strong"}, false}, {8000, []string{"strong"}, true}, {12000, []string{"weak", "strong"}, true}} {
		z := size(tt.va)
		got := of(z.Passing)
		slices.Sort(got)
		slices.Sort(tt.want)
		if !slices.Equal(got, tt.want) || stands(z) == tt.fits {
			t.Errorf("%d VA: %q pass, %v stand; misses %v", tt.va, got, z.Standing, z.Misses)
		}
	}
}

// namesOf tells combinations apart.
func namesOf(list []sizing.Fit) (out []string) {
	for _, f := range list {
		out = append(out, fmt.Sprintf("%d %s %d x %d %s", f.Count, f.Inverter.ID, f.Strings, f.Series, f.Unit.ID))
	}
	return out
}

// TestSizeSplit: what is carried of the circuits that may go on either board.
func TestSizeSplit(t *testing.T) {
	h := newHouse().set("site.nominal_v", 230).put("board", "ways = 4").load("A", "running_w = 100").
		circuit("f", "").load("F", `circuit = "f"; running_w = 100; held_off = true`).
		either("b", "running_w = 100; priority = 3").either("c", "running_w = 100; priority = 1").either("d",
		"running_w = 100; priority = 2").
		either("e", "running_w = 100; priority = 1; held_off = true")
	s := siteOf(t, h.text())
	for _, tt := range []struct {
		essential bool
		carried   []string
		left      []string
	}{
		{false, []string{"a", "c", "d"}, []string{"b", "e"}},
		{true, []string{"a"}, []string{"b", "c", "d", "e"}},
	} {
		z, err := backup.Size(context.Background(), s, readCatalog(t, smallCatalog),
			sizing.Options{Essential: tt.essential})
		if err != nil {
			t.Fatal(err)
		}
		carried, heldOff, left := z.Carried(s)
		if !slices.Equal(carried, tt.carried) || !slices.Equal(heldOff, []string{"f"}) || !slices.Equal(left, tt.left) {
			t.Errorf("essential %t: carries %v, must be left off %v, leaves %v; want %v, [f], %v", tt.essential, carried,
				heldOff, left, tt.carried, tt.left)
		}
		if slices.Contains(z.Own.Carried, "f") || slices.Contains(z.Own.Besides, "f") {
			t.Errorf("essential %t: the own design supplies %v, besides %v: nothing of f is to be used", tt.essential,
				z.Own.Carried, z.Own.Besides)
		}
	}
}

// TestSizePhases: circuits with an open phase are put where each inverter bears them.
func TestSizePhases(t *testing.T) {
	h := newHouse().set("site.nominal_v", 230).set("site.phases", 3).set("inverter.count", 3)
	for i := range 3 {
		h.circuit(fmt.Sprintf("x%d", i), `phase = "any"`).load(fmt.Sprintf("X%d", i),
			fmt.Sprintf(`circuit = "x%d"; running_w = 1400`, i))
	}
	s := siteOf(t, h.text())
	z, err := backup.Size(context.Background(), s, readCatalog(t, smallCatalog), sizing.Options{MoreStrings: true})
	if err != nil {
		t.Fatal(err)
	}
	// Each of three small inverters carries 1500 W, just one of the loads.
	i := slices.IndexFunc(z.Passing, func(f sizing.Fit) bool { return f.Inverter.ID == "small" && f.Count == 3 })
	if i < 0 {
		t.Fatalf("three small inverters are not in the list of %d", len(z.Passing))
	}
	p, err := backup.NewPlan(context.Background(), z.Passing[i].Apply(z.Site))
	if err != nil || p.Verdict() == verdict.Fail {
		t.Errorf("planned: %v, %v", p.FirstFailing(), err)
	}
}

// TestSizeOwnAsPlanned: of the design of the file the search says what the plan says, with the circuits that the plan
// chooses.
func TestSizeOwnAsPlanned(t *testing.T) {
	paths := samplehome.Files(t)
	swaps := 0
	for _, path := range append(paths, "testdata/homes/villa-three-phase.toml") {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := siteOf(t, string(src))
		s.Options = nil
		p, err := backup.NewPlan(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		z, err := backup.Size(t.Context(), s, readCatalog(t, smallCatalog), sizing.Options{MaxCount: 1})
		if err != nil {
			t.Fatal(err)
		}
		own := z.Own
		if fails := p.With(verdict.Fail); len(own.Failing) != len(fails) ||
			own.Cautions != len(p.With(verdict.Caution)) || own.AutonomyH != p.Bank.AutonomyH {
			t.Errorf("%s: %d checks fail, %d want a look, %g h; the plan has %d, %d, %g h", path, len(own.Failing),
				own.Cautions, own.AutonomyH, len(fails), len(p.With(verdict.Caution)), p.Bank.AutonomyH)
		}
		var planned []string
		for _, c := range p.Circuits {
			if c.OnBackup && c.CountedOn() {
				planned = append(planned, c.Label)
			}
		}
		if own.Strings != p.Bank.Strings || own.Series != p.Bank.Series || !slices.Equal(own.Carried, planned) {
			t.Errorf("%s: %d x %d carry %q; in the plan %d x %d carry %q", path, own.Strings, own.Series, own.Carried,
				p.Bank.Strings, p.Bank.Series, planned)
		}
		carried, _, _ := z.Carried(s)
		for _, label := range carried {
			if slices.Contains(own.Carried, label) == slices.Contains(own.LeavesOut, label) {
				t.Errorf("%s: %q is sized for, carried by %q, left out of %q", path, label, own.Carried, own.LeavesOut)
			}
		}
		for _, label := range own.Carried {
			if slices.Contains(carried, label) == slices.Contains(own.Besides, label) {
				t.Errorf("%s: %q is carried, sized for are %q, besides %q", path, label, carried, own.Besides)
			}
		}
		swaps += len(own.LeavesOut) + len(own.Besides)
	}
	if swaps == 0 {
		t.Error("no design carries other circuits than are sized for: this test sees too little")
	}
}

// TestSizeStops: a search that nobody waits for any more ends, and says why.
func TestSizeStops(t *testing.T) {
	s := newHouse().set("site.nominal_v", 230).load("A", "running_w = 300").plan(t).Site
	ctx, cancel := context.WithCancel(context.Background())
	seen := 0
	_, err := backup.Size(ctx, s, readCatalog(t, smallCatalog), sizing.Options{Progress: func(done, of int) {
		if seen++; done > of || of == 0 {
			t.Errorf("%d of %d", done, of)
		}
		cancel()
	}})
	if !errors.Is(err, context.Canceled) || seen != 1 {
		t.Errorf("after %d steps: %v, want it cancelled after the first", seen, err)
	}
}

// TestSizeUsualStrings: unless more are asked for, no bank has more strings side by side than are usual.
func TestSizeUsualStrings(t *testing.T) {
	s := newHouse().set("site.nominal_v", 230).set("outage.autonomy_h", 20).load("A", "running_w = 500").plan(t).Site
	wide := func(more bool) bool {
		z, err := backup.Size(context.Background(), s, readCatalog(t, smallCatalog), sizing.Options{MoreStrings: more})
		if err != nil {
			t.Fatal(err)
		}
		if !more && !slices.ContainsFunc(z.Misses, sizing.Miss.TooWide) {
			t.Error("no miss says that a bank is too wide")
		}
		return slices.ContainsFunc(slices.Concat(z.Passing, z.Front),
			func(f sizing.Fit) bool { return f.Strings > f.Unit.MaxParallel })
	}
	if wide(false) || !wide(true) {
		t.Error("12 kWh of lead-acid take more strings than four: they are left out unless more are asked for")
	}
}

func BenchmarkSize(b *testing.B) {
	cat, err := catalog.Generic()
	if err != nil {
		b.Fatal(err)
	}
	for _, home := range []string{"farmhouse", "cottage"} {
		b.Run("site="+home, func(b *testing.B) {
			src, err := os.ReadFile("../testdata/sites/" + home + ".toml")
			if err != nil {
				b.Fatal(err)
			}
			s := siteOf(b, string(src))
			worked := 0
			for b.Loop() {
				z, err := backup.Size(context.Background(), s, cat, sizing.Options{})
				if err != nil {
					b.Fatal(err)
				}
				worked = z.Worked
			}
			b.ReportMetric(float64(worked), "worked")
		})
	}
}
