package backup_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// use is a load that names nothing but its class, from line 10 of a file.
func use(class string) string { return "[[load]]\nuse = \"" + class + "\"\n" }

// A class of the generic catalog whose figures the tests below repeat: 110 W at 0.7, a start of 950 VA at 0.75 for 0.5
// s, 8 h.
const freezer = "chest-freezer"

func TestLoadOfAClass(t *testing.T) {
	s := mustReadSite(t, equipped+use(freezer))
	want := loads.Load{
		Name: "Chest freezer", CircuitID: freezer, Phase: 1, Quantity: 1, RunningW: 110, PowerFactor: 0.7,
		HoursPerDay: 8,
		Start:       &loads.Start{Power: loads.FromPF(950*0.75, 0.75), Seconds: 0.5},
		Cycle:       &loads.Cycle{OnMin: 20, OffMin: 40}, Priority: 1, Months: loads.AllMonths,
		Typical: &loads.Typical{
			Class: freezer, Label: "Chest freezer",
			Keys: []string{"running_w", "power_factor", "starting_va", "starting_pf", "starting_s", "hours_per_day",
				"cycle", "priority"},
			Low: loads.Ends{RunningW: 60, HoursPerDay: 6, Start: &loads.Start{Power: loads.FromPF(200*0.75, 0.75),
				Seconds: 0.5}},
			High: loads.Ends{RunningW: 300, HoursPerDay: 12, Start: &loads.Start{Power: loads.FromPF(1900*0.75, 0.75),
				Seconds: 0.5}},
		},
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b)) })
	if diff := cmp.Diff([]loads.Load{want}, s.Loads, near); diff != "" {
		t.Errorf("load (-want +got):\n%s", diff)
	}
	circuit := loads.Circuit{ID: freezer, Label: "Chest freezer", BreakerA: 16, Phase: 1, Board: loads.BoardBackup,
		Assumed: true}
	if diff := cmp.Diff([]loads.Circuit{circuit}, s.Circuits); diff != "" {
		t.Errorf("circuit (-want +got):\n%s", diff)
	}
	low, high := atLow(s.Loads[0]), s.Loads[0].AtHigh()
	if low.RunningW != 60 || low.HoursPerDay != 6 || high.RunningW != 300 || math.Abs(high.Start.VA()-1900) > 1e-9 {
		t.Errorf("at low %+v, at high %+v", low, high)
	}
}

// atLow is the load with the figures at the low end of its class.
func atLow(l loads.Load) loads.Load {
	low := l.Typical.Low
	l.RunningW, l.Start, l.HoursPerDay = low.RunningW, low.Start, low.HoursPerDay
	return l
}

// What a load gives beside its class counts, and does not spread.
func TestLoadOverItsClass(t *testing.T) {
	load := func(t *testing.T, class, keys string) loads.Load {
		t.Helper()
		return mustReadSite(t, wired+use(class)+keys).Loads[0]
	}
	va := func(s *loads.Start) float64 {
		if s == nil {
			return 0
		}
		return math.Round(s.VA()*1000) / 1000
	}
	type figures struct{ w, va, h, lowW, lowVA, lowH, highW, highVA, highH float64 }
	for _, tt := range []struct {
		name, class, keys string
		want              figures
	}{
		{"nothing", freezer, "", figures{110, 950, 8, 60, 200, 6, 300, 1900, 12}},
		{"less power: the start stays, the safe side", freezer, "running_w = 90",
			figures{90, 950, 8, 90, 200, 6, 90, 1900, 12}},
		{"twice the power: a larger motor, that starts twice as hard", freezer, "running_w = 220",
			figures{220, 1900, 8, 220, 400, 6, 220, 3800, 12}},
		{"half the power factor: twice the VA", freezer, "power_factor = 0.35",
			figures{110, 1900, 8, 60, 400, 6, 300, 3800, 12}},
		{"its start", freezer, "starting_va = 700", figures{110, 700, 8, 60, 700, 6, 300, 700, 12}},
		{"its start in watts", freezer, "starting_w = 700", figures{110, 700, 8, 60, 700, 6, 300, 700, 12}},
		{"its motor: 5 times the full-load VA, 110 / 0.7", freezer, "motor = { times = 5 }",
			figures{110, 785.714, 8, 60, 785.714, 6, 300, 785.714, 12}},
		{"a start below what the high end runs at is raised to that, 300 / 0.7", freezer, "starting_va = 200",
			figures{110, 200, 8, 60, 200, 6, 300, 428.571, 12}},
		{"its hours", freezer, "hours_per_day = 5", figures{110, 950, 5, 60, 200, 5, 300, 1900, 5}},
		{"windows that hold fewer hours than the class", freezer, "when = [\"08:00-15:00\"]",
			figures{110, 950, 7, 60, 200, 6, 300, 1900, 7}},
		{"hours that the usual windows of the class do not hold", "kettle", "hours_per_day = 10",
			figures{2000, 0, 10, 1200, 0, 10, 3000, 0, 10}},
		{"everything", freezer, "running_w = 100\npower_factor = 1\nstarting_va = 700\nhours_per_day = 5",
			figures{100, 700, 5, 100, 700, 5, 100, 700, 5}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := load(t, tt.class, tt.keys)
			low, high := atLow(l), l.AtHigh()
			got := figures{l.RunningW, va(l.Start), l.HoursPerDay, low.RunningW, va(low.Start), low.HoursPerDay,
				high.RunningW, va(high.Start), high.HoursPerDay}
			if got != tt.want {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
			if rests := tt.name != "everything"; l.RestsOnClass() != rests {
				t.Errorf("rests on its class: %v, want %v; keys %v", !rests, rests, l.Typical.Keys)
			}
		})
	}
	// A power of a start replaces the whole start of the class: its power factor and its seconds belong to it.
	if l := load(t, freezer, "starting_va = 700"); l.Start.PlainVA != 700 || l.Start.Seconds != 3 {
		t.Errorf("start %+v, want 700 VA of unknown angle for the default of 3 s", l.Start)
	}
	if l := load(t, freezer, "starting_s = 2\nstarting_pf = 0.5"); math.Abs(l.Start.VA()-950) > 1e-9 ||
		math.Abs(l.Start.Watts()-475) > 1e-9 || l.Start.Seconds != 2 {
		t.Errorf("start %+v, want the 950 VA of the class at 0.5 for 2 s", l.Start)
	}
	if l := load(t, "kettle", "hours_per_day = 10"); l.Windows != nil {
		t.Errorf("windows %v, want any time", l.Windows)
	}
	l := load(t, freezer,
		"name = \"Pantry\"\ncircuit = \"water\"\nquantity = 3\npriority = 4\nheld_off = true\ninterlock = \"one\"\n"+
			"drop_below = 0.4\nmonths = [7]\nrides_through_ms = 30\ncycle = { on_min = 1, off_min = 2 }")
	if l.Name != "Pantry" || l.CircuitID != "water" || l.Quantity != 3 || l.Priority != 4 || !l.HeldOff ||
		l.Interlock != "one" || l.DropBelow != 0.4 ||
		l.Months != loads.MonthsOf(7) || *l.RidesThroughMs != 30 || *l.Cycle != (loads.Cycle{OnMin: 1, OffMin: 2}) ||
		l.Typical.Label != "" {
		t.Errorf("load %+v", l)
	}
}

func TestClassProblems(t *testing.T) {
	tellSite(t, []siteFact{
		{"no such class", equipped + use("chest-frezer"),
			[]string{
				`11:1: use in [[load]]: found "chest-frezer", want an id of the catalog | did you mean "chest-freezer"?`}},
		{"nothing near", equipped + use("qqqqqqqqqqqq"),
			[]string{
				`11:1: use in [[load]]: found "qqqqqqqqqqqq", want an id of the catalog | outlast catalog lists all`}},
		{"equipment", equipped + use("hybrid-5k-48"),
			[]string{
				`11:1: use in [[load]]: found "hybrid-5k-48", want an id of the catalog | outlast catalog lists all`}},
		{"no text", equipped + "[[load]]\nuse = 7\n",
			[]string{`11:1: use in [[load]]: found 7, want a text in quotes | put it into quotes`}},
		{"a class for an inverter", strings.Replace(equipped, "hybrid-5k-48", freezer, 1),
			[]string{
				`7:1: use in [inverter]: found "chest-freezer", want an id of the catalog | outlast catalog lists all`}},
		{"no class, and nothing else", equipped + "[[load]]\n", []string{
			`10:1: missing key "name" in [[load]]: want a text in quotes`,
			`10:1: missing key "circuit" in [[load]]: want a text in quotes`,
			`10:1: missing key "running_w" in [[load]]: want a number from 0 to 10000000 W`,
			`10:1: missing key "hours_per_day" in [[load]]: want a number from 0 to 24 h`}},
		{"a circuit that is not there", wired + use(freezer) + "circuit = \"wather\"", []string{
			`15:1: circuit in [[load]]: found "wather", want the id of a [[circuit]] | did you mean "water"?`}},
		{"an assumed circuit is nobody else's", wired + use(freezer) + use("led-lamp") + "circuit = \"chest-freezer\"",
			[]string{
				`17:1: circuit in [[load]]: found "chest-freezer", want the id of a [[circuit]]`}},
		{"a misspelt key beside it", equipped + use(freezer) + "runing_w = 5\n",
			[]string{`12:1: unknown key "runing_w" in [[load]] | did you mean "running_w"?`}},
		{"a wrong key beside it", equipped + use(freezer) + "hours_per_day = 25\ncircuit = 5\n", []string{
			`12:1: hours_per_day in [[load]]: found 25, want a number from 0 to 24 h`,
			`13:1: circuit in [[load]]: found 5, want a text in quotes | put it into quotes`}},
		{"a start below the running power of the class", equipped + use(freezer) + "starting_va = 100\n", []string{
			`12:1: starting_va in [[load]]: found a start of 100 VA, want at least the running 157.1 VA`}},
		{"medical by its class, and dropped", equipped + use("cpap") + "drop_below = 0.5\n", []string{
			`12:1: drop_below in [[load]]: found 0.5, want 0: a medical load is never dropped`}},
		{"two names", equipped + use(freezer) + "name = \"A\"\n" + use("kettle") + "name = \"A\"\n",
			[]string{`15:1: name in [[load]]: found "A" a second time, want each name once`}},
	})
}

// What a class of the user's own gets wrong together with a load is told at the load's place, not at the place in the
// other file.
func TestOwnClass(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	own, err := catalog.Read("own.toml", []byte(strings.Repeat("\n", 50)+`[[appliance]]
id = "press"
basis = "a plate"
running_w = 800
power_factor = 0.8
hours_per_day = 2
motor = { hp = 1, code = "G" }
when = ["06:00-07:00", "08:00-10:00"]
quantity = 2
held_off = true
high = { running_w = 6000 }
[[appliance]]
id = "kettle"
basis = "own"
running_w = 900
hours_per_day = 1
`))
	if err != nil {
		t.Fatal(err)
	}
	cat.Add(own)
	read := func(src string) (*site.Site, error) { return site.Read("f", []byte(src), cat) }
	s, err := read(equipped + use("press") + use("kettle"))
	if err != nil {
		t.Fatal(err)
	}
	// 6.29 kVA per hp, the upper end of letter G: NEC table 430.7(B). At the high end the press runs at more than that:
	// 6000 / 0.8.
	l := s.Loads[0]
	if l.Name != "press" || math.Abs(l.Start.VA()-6290) > 1e-9 || l.Quantity != 2 || !l.HeldOff ||
		len(l.Windows) != 2 || math.Abs(l.AtHigh().Start.VA()-7500) > 1e-9 {
		t.Errorf("load %+v, at high %+v", l, l.AtHigh())
	}
	if s.Loads[1].RunningW != 900 {
		t.Errorf("the generic kettle still counts: %+v", s.Loads[1])
	}
	for keys, want := range map[string]string{
		"running_w = 6000": "f:11:1: motor in [[load]]: found a start of 6290 VA, want at least the running 7500 VA",
		"when = [\"06:00-06:00\"]": "f:12:9: when in [[load]]: found \"06:00-06:00\", " +
			"want an end that differs from the start; leave `when` out for any time",
	} {
		if _, err := read(equipped + use("press") + keys); err == nil || err.Error() != want {
			t.Errorf("with %s: %v, want %s", keys, err, want)
		}
	}
}

// Loads that only name their class get names and circuits of their own, whatever the file calls its own ones.
func TestNamesOfClasses(t *testing.T) {
	src := equipped + strings.Replace(circuitTable, "water", "led-lamp", 1) + use("led-lamp") + use("led-lamp") +
		use("led-lamp") +
		strings.NewReplacer("Pump", "LED lamp 2", "water", "led-lamp").Replace(loadTable) + use("led-lamp") +
		"name = \"Lamp of the stairs\"\n"
	s := mustReadSite(t, src)
	var got []string
	for _, l := range s.Loads {
		got = append(got, l.Name+" on "+l.CircuitID)
	}
	want := []string{"LED lamp on led-lamp-2", "LED lamp 3 on led-lamp-3", "LED lamp 4 on led-lamp-4",
		"LED lamp 2 on led-lamp", "Lamp of the stairs on led-lamp-5"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for i, c := range s.Circuits {
		if c.Assumed != (i > 0) {
			t.Errorf("circuit %s: assumed %v", c.ID, c.Assumed)
		}
	}
	// A long inventory takes no longer than it must, and has an end.
	if _, problems := readSite(t, equipped+strings.Repeat(use("led-lamp"), 1001)); len(problems) != 1 ||
		problems[0].Error() != `f:2010:1: missing key "circuit" in [[load]]: want the id of a [[circuit]]: `+
			`there are 1000 of them already` {
		t.Errorf("1001 lamps: %v", problems)
	}
}

// What draws more than 16 A lies on all phases, as do the pumps and ovens of the Americas; of the rest the planner
// picks the phase. The breaker is the next standard rating above 125 % of the high end, but no less than homes have.
func TestAssumedCircuits(t *testing.T) {
	at := func(volts, phases int) string {
		inverter := map[int]string{1: "hybrid-5k-48", 2: "split-6k-48", 3: "three-8k-48"}[phases]
		return strings.NewReplacer("nominal_v = 230", fmt.Sprintf("nominal_v = %d\nphases = %d", volts, phases),
			"hybrid-5k-48", inverter).Replace(equipped)
	}
	type circuit struct {
		phase    int
		any      bool
		breakerA float64
	}
	for _, tt := range []struct {
		volts, phases int
		class         string
		want          circuit
	}{
		{230, 1, "led-lamp", circuit{1, false, 16}},
		{230, 1, "kettle", circuit{1, false, 20}},          // 1.25 * 3000 / 230 = 16.3 A
		{230, 1, "electric-shower", circuit{1, false, 63}}, // 1.25 * 10800 / 230 = 58.7 A
		{230, 3, "kettle", circuit{1, true, 20}},           // 13.0 A
		{230, 3, "electric-shower", circuit{0, false, 20}}, // 47.0 A; 1.25 * 10800 / (3 * 230) = 19.6 A
		{120, 2, "led-lamp", circuit{1, true, 15}},         // NEC 240.6(A)
		{120, 2, "well-pump-370w", circuit{1, true, 15}},   // 1000 / 0.75 / 120 = 11.1 A; * 1.25 = 13.9 A
		{120, 2, "well-pump-1500w", circuit{0, false, 20}}, // 2500 / 0.83 / 120 = 25.1 A; 1.25 * 2500 / 0.83 / 240 = 15.7 A
		{120, 2, "electric-range", circuit{0, false, 70}},  // 100 A; 1.25 * 12000 / 240 = 62.5 A
		{120, 2, "portable-heater", circuit{0, false, 15}}, // 20 A; 1.25 * 2400 / 240 = 12.5 A
		{120, 2, "window-ac-1800", circuit{1, true, 15}},   // 900 / 0.9 / 120 = 8.3 A
		{120, 2, "washing-machine", circuit{0, false, 15}}, // 2400 / 0.97 / 120 = 20.6 A; * 1.25 / 2 = 12.9 A
		{120, 2, "television-large", circuit{1, true, 15}}, // 3.5 A
		{120, 2, "clothes-dryer", circuit{0, false, 30}},   // 5400 / 0.98 / 120 = 45.9 A; * 1.25 / 2 = 28.7 A
		{120, 2, "toaster", circuit{1, true, 15}},          // 11.7 A; * 1.25 = 14.6 A
		{120, 2, "coffee-maker", circuit{1, true, 15}},     // 11.7 A
		{120, 2, "microwave", circuit{1, true, 20}},        // 1500 / 0.9 / 120 = 13.9 A; * 1.25 = 17.4 A
	} {
		s := mustReadSite(t, at(tt.volts, tt.phases)+use(tt.class))
		c := s.Circuits[0]
		if got := (circuit{c.Phase, c.AnyPhase, c.BreakerA}); got != tt.want || s.Loads[0].Phase != c.Phase {
			t.Errorf("%s at %d V and %d phases: %+v, want %+v", tt.class, tt.volts, tt.phases, got, tt.want)
		}
	}
}

// The months of a class are those north of the equator.
func TestSeasons(t *testing.T) {
	for _, tt := range []struct {
		latitude string
		want     loads.Months
	}{
		{"latitude = 48\n", loads.MonthsOf(1, 2, 3, 4, 10, 11, 12)},
		{"latitude = -38\n", loads.MonthsOf(4, 5, 6, 7, 8, 9, 10)},
		{"latitude = 12\n", loads.AllMonths}, // no winter to heat in
		{"latitude = -23.4\n", loads.AllMonths},
		{"", loads.AllMonths}, // nobody knows: the safe side
	} {
		site := strings.Replace(equipped, siteTable, siteTable+tt.latitude, 1)
		if got := mustReadSite(t, site+use("gas-boiler")).Loads[0].Months; got != tt.want {
			t.Errorf("%q: months %b, want %b", tt.latitude, got, tt.want)
		}
		if got := mustReadSite(t, site+use("gas-boiler")+"months = [2]").Loads[0].Months; got != loads.MonthsOf(2) {
			t.Errorf("%q: own months became %b", tt.latitude, got)
		}
	}
}

// Every key that a class fills is listed, as it was used, with the class.
func TestClassDefaults(t *testing.T) {
	site := strings.Replace(equipped, siteTable, siteTable+"latitude = -38\n", 1)
	s := mustReadSite(t, site+use("gas-boiler")+use(freezer)+use(freezer)+"running_w = 220\n"+use(
		"television")+"when = [\"20:00-22:00\"]\n")
	got := map[string]string{}
	for _, d := range s.Defaults {
		got[d.Table+" "+d.Key+" of "+d.Class] += fmt.Sprintf("%s x%d;", d.Value, d.Count)
	}
	for key, want := range map[string]string{
		"[[load]] name of ":                      "Gas boiler x1;Chest freezer x1;Chest freezer 2 x1;Television x1;",
		"[[load]] running_w of chest-freezer":    "110 W x1;",
		"[[load]] power_factor of chest-freezer": "0.70 x2;",
		"[[load]] starting_va of chest-freezer":  "950 VA x1;1900 VA x1;",
		"[[load]] cycle of chest-freezer":        "{ on_min = 20, off_min = 40 } x2;",
		"[[load]] months of gas-boiler":          "[4, 5, 6, 7, 8, 9, 10] x1;",
		"[[load]] hours_per_day of television":   "2 h x1;",
		"[[load]] when of television":            "",
		"[[load]] quantity of ":                  "1 x4;",
		"[[load]] circuit of ":                   "gas-boiler x1;chest-freezer x1;chest-freezer-2 x1;television x1;",
		"[[circuit]] board of ":                  "backup x4;",
		"[[circuit]] breaker_a of ":              "16 A x4;",
	} {
		if got[key] != want {
			t.Errorf("%s: %q, want %q", key, got[key], want)
		}
	}
	// An option is the same home.
	o := mustReadSite(t, site+use(freezer)+"[[option]]\nname = \"o\"\nbank.strings = 3\n")
	has := func(defaults []strict.Default) bool {
		return slices.ContainsFunc(defaults, func(d strict.Default) bool {
			return d.Class == freezer &&
				d.Key == "running_w"
		})
	}
	if !has(o.Defaults) || !has(o.Options[0].Site.Defaults) || o.Options[0].Site.Circuits[0].BreakerA != 16 {
		t.Error("the option lacks what the class gave")
	}
}

// TestEveryClass: each class of the generic catalog makes a load that can be read and planned, at its typical figures
// and at both ends, on every supply; nothing of the catalog changes by it.
func TestEveryClass(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, supply := range []string{
		equipped,
		strings.NewReplacer("nominal_v = 230", "nominal_v = 120\nphases = 2", "hybrid-5k-48",
			"split-6k-48").Replace(equipped),
		strings.NewReplacer("nominal_v = 230", "nominal_v = 230\nphases = 3", "hybrid-5k-48",
			"three-8k-48").Replace(equipped),
	} {
		for _, a := range cat.Appliances() {
			before := cat.TOML(a.ID)
			s, err := site.Read("f", []byte(supply+use(a.ID)), cat)
			if err != nil {
				t.Errorf("%s: %v", a.ID, err)
				continue
			}
			for _, end := range []func(loads.Load) loads.Load{func(l loads.Load) loads.Load { return l }, atLow,
				loads.Load.AtHigh} {
				at := *s
				at.Loads = []loads.Load{end(s.Loads[0])}
				if l := at.Loads[0]; l.Start != nil && l.Start.VA() < l.Running().VA()*(1-1e-9) ||
					l.HoursPerDay > l.WindowHours() {
					t.Errorf("%s: %+v", a.ID, l)
				}
				if testing.Short() && a.ID != freezer {
					continue
				}
				if _, err := backup.NewPlan(context.Background(), &at); err != nil {
					t.Errorf("%s: %v", a.ID, err)
				}
			}
			if cat.TOML(a.ID) != before {
				t.Errorf("%s: reading a site changed the catalog", a.ID)
			}
		}
	}
}

// TestHomeOfClasses works the plan of a home of classes alone by hand.
//
// The home: Drystone Cottage (testdata/sites/drystone.toml), 230 V, an outage in January. What it names, with the
// figures of the catalog:
//
//	class            number  W     pf    VA at start  pf    h    windows
//	fridge-freezer   1       150   0.70  1300         0.75  8    any
//	chest-freezer    1       110   0.70   950         0.75  8    any
//	well-pump-550w   1       1000  0.78  6400         0.75  1.5  any
//	gas-boiler       1       120   0.75   500         0.70  10   any      (months 1 to 4, 10 to 12)
//	led-lamp         8       10    0.70  -            -     5    05:30-08:30, 16:30-24:00
//	router           1       15    0.55  -            -     24   any
//	microwave        1       900 of the file          0.3  06:30-08:30, 12:00-13:30, 18:00-20:00   pf 0.9
//	cpap             1       40    0.55  -            -     8    21:00-08:00
//	window-ac-1800   1       not in January
func TestHomeOfClasses(t *testing.T) {
	src, err := os.ReadFile("../testdata/sites/drystone.toml")
	if err != nil {
		t.Fatal(err)
	}
	s := mustReadSite(t, string(src))
	p, err := backup.NewPlan(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if math.Abs(got-want) > tolerance {
			t.Errorf("%s: %.4f, by hand %.4f", what, got, want)
		}
	}
	if p.Month != 1 {
		t.Errorf("month %d", p.Month)
	}
	// Energy of a day: 150*8 + 110*8 + 1000*1.5 + 120*10 + 8*10*5 + 15*24 + 900*0.3 + 40*8
	//                = 1200 + 880 + 1500 + 1200 + 400 + 360 + 270 + 320 = 6130 Wh.
	near("energy", p.Demand.EnergyWhPerDay, 6130, 1e-9)
	// Everything at once: 150 + 110 + 1000 + 120 + 80 + 15 + 900 + 40 = 2415 W. Together in their windows from 06:30 to
	// 08:00: all of them.
	near("connected", p.Demand.Connected.W, 2415, 1e-9)
	near("scheduled", p.Demand.Scheduled.W, 2415, 1e-9)
	if p.Demand.Scheduled.AtMin != 6*60+30 {
		t.Errorf("worst minute %d", p.Demand.Scheduled.AtMin)
	}
	// Reactive power W * tan(acos pf): 150*1.02020 + 110*1.02020 + 1000*0.80228 + 120*0.88192 + 80*1.02020 + 15*1.51846
	// + 900*0.48432 + 40*1.51846
	//   = 153.03 + 112.22 + 802.28 + 105.83 + 81.62 + 22.78 + 435.89 + 60.74 = 1774.39 var; VA = sqrt(2415^2 + 1774.39^2) = 2996.78.
	near("VA", p.Demand.Scheduled.VA, 2996.78, 0.02)
	// The largest start, the pump's: 6400 VA at 0.75 are 4800 W and 6400*sqrt(1-0.5625) = 4233.20 var, with the rest
	// beside it, 1415 W and 1774.39 - 802.28 = 972.11 var: sqrt(6215^2 + 5205.31^2) = 8106.88 VA.
	worst := p.Starts.All[p.Starts.Worst]
	if worst.Load != "Well pump 0.55 kW (0.75 hp)" || worst.Seconds != 0.5 {
		t.Errorf("hardest start %+v", worst)
	}
	near("start", worst.DemandVA, 8106.88, 0.05)
	// 24 h from the bank. The hours lie between 214 and 330 W of hybrid-5k-48, whose efficiency is 0.87 up to 250 W and
	// 0.91 at 500 W: 0.87 + 0.04 * 80 / 250 = 0.8828 at the most. So it gives between 6130 / 0.8828 and 6130 / 0.87 Wh,
	// and its own 50 W * 24 h.
	near("energy from the bank", p.Bank.EnergyDCWh, (6130/0.8828+6130/0.87)/2+1200, (6130/0.87-6130/0.8828)/2)
	// Margin 0.10, 51.2 V, depth 0.80, age 0.80, the cold of 12 C as the plan has it: C = E * 1.1 / (51.2 * 0.8 * 0.8 *
	// k).
	near("capacity", p.Bank.Sizing.RequiredAh, p.Bank.EnergyDCWh*1.1/(51.2*0.8*0.8*p.Bank.Sizing.KTemperature), 0.01)
	// The same home at the ends of its classes: 80*6 + 60*6 + 850*0.5 + 60*5 + 8*4*3 + 6*24 + 900*0.1 + 25*6 = 2045 Wh
	// a day at the low end, 350*11 + 300*12 + 1250*4 + 300*18 + 8*15*9 + 30*24 + 900*0.6 + 110*10 = 21,290 Wh at the
	// high end.
	for _, end := range []struct {
		name string
		at   func(loads.Load) loads.Load
		want float64
	}{{"low", atLow, 2045}, {"high", loads.Load.AtHigh, 21290}} {
		v := *s
		v.Loads = nil
		for _, l := range s.Loads {
			v.Loads = append(v.Loads, end.at(l))
		}
		plan, err := backup.NewPlan(context.Background(), &v)
		if err != nil {
			t.Fatal(err)
		}
		near("energy at the "+end.name+" end", plan.Demand.EnergyWhPerDay, end.want, 1e-9)
	}
}
