package interview

import (
	"errors"
	"strings"
	"testing"

	"outlast/backup/site"
	"outlast/catalog"
)

func begin(t testing.TB) *Interview {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	return New(cat)
}

// told begins an interview with answers that must be right, as lines of a file of answers.
func told(t testing.TB, lines ...string) *Interview {
	t.Helper()
	in := begin(t)
	given, err := ReadAnswers("test", strings.Join(lines, "\n"))
	if err == nil {
		err = in.TakeAll(given)
	}
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// text is the site file with what the supply takes.
func text(t testing.TB, in *Interview) string {
	t.Helper()
	e, err := in.standIn()
	if err != nil {
		t.Fatal(err)
	}
	return in.SiteText(in.chosen(e))
}

// read reads the site file of an interview, which must be right whatever was answered.
func read(t testing.TB, in *Interview) *site.Site {
	t.Helper()
	src := text(t, in)
	s, err := site.Read("home.toml", []byte(src), in.cat)
	if err != nil {
		t.Fatalf("%v\n%s", err, src)
	}
	return s
}

// What is answered stands in the site file, as a fact with its answer beside it.
func TestAnswered(t *testing.T) {
	for _, tt := range []struct{ answers, want string }{
		{"name: The \"old\" mill\\house", `name = "The \"old\" mill\\house"`},
		{"supply: 230x3", "nominal_v = 230\nphases = 3"},
		{"supply: 230/400 V", "nominal_v = 230\nphases = 3"},
		{"supply: 120/240", "nominal_v = 120\nphases = 2\nfrequency_hz = 60\nunits = \"us\""},
		{"supply: 100x2", "nominal_v = 100\nphases = 2\nfrequency_hz = 60\n"},
		{"supply: 240", "nominal_v = 240\nphases = 1\n"},
		{"latitude: -36,2", "latitude = -36.2"},
		{"altitude: 640 m", "altitude_m = 640"},
		{"hours: 1.5 h", "autonomy_h = 1.5"},
		{"battery-stands: Heated", "coldest_c = 15"},
		{"battery-stands: outdoors", "coldest_c = -15"},
		{"battery-stands: outdoors\ncoldest: -3", "coldest_c = -3"},
		{"coldest: 41 F", "coldest_c = 5"},
		{"coldest: -40°F", "coldest_c = -40"},
		{"coldest: −7,5", "coldest_c = -7.5"}, // a minus sign, as refusals in some languages write it
		{"hottest: 35 °C", "hottest_c = 35"},
		{"stays-on: router", "[[load]]\nuse = \"router\"\n"},
		{"stays-on: 2 Chest freezers", "use = \"chest-freezer\"\nquantity = 2\n"},
		{"stays-on: led lamp x 12 8W 4 h", "use = \"led-lamp\"\nquantity = 12\nrunning_w = 8\nhours_per_day = 4\n"},
		{"stays-on: window air conditioner 1.8 kW", "use = \"window-ac-1800\"\n"},
		{"stays-on: microwave 0.9 kW", "use = \"microwave\"\nrunning_w = 900\n"},
		{"stays-on: other Kiln 3 kW 2 h",
			"[[circuit]]\nid = \"other\"\nlabel = \"Kiln\"\nboard = \"backup\"\n\n[[load]]\nname = \"Kiln\"\n" +
				"circuit = \"other\"\nrunning_w = 3000\nhours_per_day = 2\n"},
		{"stays-on: 3 other beer cooler 300W", "quantity = 3\nrunning_w = 300\nhours_per_day = 24\n"},
		{"supply: 120x2\nstays-on: other Kiln 3 kW 2 h", "label = \"Kiln\"\nphase = \"any\"\n"},
		{"stays-on: router\ndepends-on: cpap", "use = \"router\"\n\n[[load]]\nuse = \"cpap\"\n\n"},
		{"stays-on: router, stair-lift\ndepends-on: 2 stair lifts",
			"use = \"router\"\n\n[[load]]\nuse = \"stair-lift\"\nquantity = 2\nmedical = true\npriority = 1\n"},
		{"depends-on: other feeding pump 30 W 12 h",
			"running_w = 30\nhours_per_day = 12\nmedical = true\npriority = 1\n"},
		// Sizes: half a horsepower is 373 W, the class 370 W; what lies between two classes is of the larger one.
		{"stays-on: well pump 0.5 hp", "use = \"well-pump-370w\"\n\n"},
		{"stays-on: 2 well pumps 1/2 hp", "use = \"well-pump-370w\"\nquantity = 2\n"},
		{"stays-on: well pump 1 1/2 hp", "use = \"well-pump-1100w\"\n\n"},
		{"stays-on: well pump ¾ hp", "use = \"well-pump-550w\"\n\n"},
		{"stays-on: well pump 0.75kW", "use = \"well-pump-750w\"\n\n"},
		{"stays-on: well-pump-800w", "use = \"well-pump-1100w\"\n\n"},
		// 3 kW is beyond the largest class, 2.2 kW at 3100 W: 3100 * 3/2.2 = 4227.3, rounded up.
		{"stays-on: well pump 3 kW", "use = \"well-pump-2200w\"\nrunning_w = 4228\n"},
		{"stays-on: well pump", "use = \"well-pump-2200w\"\n\n"},
		{"stays-on: well pump\nplate well-pump-2200w: 0.55 kW", "use = \"well-pump-550w\"\n\n"},
		// 8 A * 230 V * 0.82 = 1508.8 W: the class of 1.1 kW has a power factor of 0.82.
		{"stays-on: well-pump-1100w\nplate well-pump-1100w: 1.1 kW 8 A code G",
			"running_w = 1509\nmotor = { kw = 1.1, code = \"G\" }\n"},
		{"stays-on: well-pump-1100w\nplate well-pump-1100w: 1 1/2 hp, LRA 50 A",
			"motor = { hp = 1.5, locked_rotor_a = 50 }\n"},
		// 240 V on 120 V to neutral lie between the lines: 9.6 A * 240 V * 0.8 = 1843.2 W, and the circuit is on both.
		{"supply: 120x2\nstays-on: well-pump-750w\nplate well-pump-750w: 1 hp 8 A 240 V",
			"[[circuit]]\nid = \"well-pump-750w\"\nlabel = \"Well pump 0.75 kW (1 hp)\"\nphase = 0\n" +
				"board = \"backup\"\n\n[[load]]\nuse = \"well-pump-750w\"\ncircuit = \"well-pump-750w\"\nrunning_w = 1536\n"},
		// Three phases: sqrt(3) * 400 V * 3 A * 0.82 = 1704.3 W.
		{"supply: 230x3\nstays-on: well-pump-1100w\nplate well-pump-1100w: 3 A 400 V",
			"phase = 0\nboard = \"backup\"\n\n[[load]]\nuse = \"well-pump-1100w\"\ncircuit = \"well-pump-1100w\"\nrunning_w = 1704\n"},
		{"inverter: hybrid-5k-48*2", "[inverter]\nuse = \"hybrid-5k-48\"\ncount = 2\n"},
		{"supply: 230x3\ninverter: hybrid-5k-48", "[inverter]\nuse = \"hybrid-5k-48\"\ncount = 3\n"},
		// Four blocks of 12 V make one string for 48 V, nine make two and one is left.
		{"inverter: hybrid-5k-48\nbattery: agm-12-200*4", "[bank]\nuse = \"agm-12-200\"\nstrings = 1\n"},
		{"inverter: hybrid-5k-48\nbattery: 9 agm-12-200", "[bank]\nuse = \"agm-12-200\"\nstrings = 2\n"},
		{"inverter: hybrid-5k-48\nbattery: agm-12-200", "[bank]\nuse = \"agm-12-200\"\nstrings = 0\n"},
		{"latitude: 50\npanels: 12 x 440 W\nslope: 30\nfacing: south-east",
			"[[array]]\nuse = \"mono-440\"\nmodules_per_string = 12\nstrings = 1\ntilt_deg = 30\nazimuth_deg = 135\n"},
		{"latitude: 50\npanels: 10 of 420\nslope: 30",
			"use = \"mono-440\"\nmodules_per_string = 10\nstrings = 1\ntilt_deg = 0\nazimuth_deg = 0\n"},
		{"latitude: 50\npanels: 8x275 W\nslope: 40\nfacing: 200\nsun: 0.6 1.1 2.2 3.5 4.6 5.1 4.9 4.1 2.9 1.7 0.8 0.5",
			"azimuth_deg = 200\nmonthly_kwh_m2_day = [0.6, 1.1, 2.2, 3.5, 4.6, 5.1, 4.9, 4.1, 2.9, 1.7, 0.8, 0.5]\n"},
		{"generator: 6.5 kVA petrol", "[generator]\nrated_va = 6500\npower_factor = 0.8\nfuel = \"petrol\"\n"},
		{"generator: 5 kVA gas", "fuel = \"gas\"\n"},
		{"generator: 5000 W", "[generator]\nrated_va = 5000\npower_factor = 0.8\n"},
		{"supply: 120x2\ngenerator: 7 kVA propane",
			"rated_va = 7000\npower_factor = 0.8\nfuel = \"gas\"\nphases = 2\n"},
		{"generator: diesel-10k", "[generator]\nuse = \"diesel-10k\"\n"},
	} {
		in := told(t, tt.answers)
		read(t, in)
		if got := uncommented(text(t, in)); !strings.Contains(got, tt.want) {
			t.Errorf("%s:\nwant in it\n%s\ngot\n%s", tt.answers, tt.want, got)
		}
	}
}

// uncommented leaves the comments out, and lines that hold nothing else.
func uncommented(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		line, _, _ = strings.Cut(line, " # ")
		b.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
	return b.String() + "\n"
}

// A wrong answer says what was found and what is allowed, and changes nothing.
func TestRefused(t *testing.T) {
	for _, tt := range []struct{ before, key, text, says, hint string }{
		{"", "supply", "12", "no inverter and battery of the catalog suit a supply of 12 V, phases: 1", ""},
		{"", "supply", "230x4", `found "230x4", want volts to neutral and phases`, "230x3"},
		{"", "supply", "mains", `found "mains", want volts`, "120x2"},
		{"", "latitude", "91", `found "91", want a number from -90 to 90`, ""},
		{"", "latitude", "fifty", `found "fifty", want a number`, ""},
		{"", "altitude", "1,500", `found "1,500", which may be meant for thousands or for decimals`, "without a mark"},
		{"", "altitude", "7000 m", `found "7000 m", want a number from -500 to 6000 m`, ""},
		{"", "hours", "0", `found "0", want a number from 0.01 to 8760 h`, ""},
		{"", "hours", "NaN", `found "NaN", want a number`, ""},
		{"", "hours", "0x10", `found "0x10", want a number`, ""},
		{"", "battery-stands", "celar", `found "celar", want heated, cellar, garage or outdoors`,
			`did you mean "cellar"?`},
		{"", "coldest", "200 F", `found "200 F", want degrees Celsius from -60 to 60`, ""},
		{"", "coldest", "mild", `want a number`, ""},
		{"", "stays-on", "none", "nothing stays on", ""},
		{"", "stays-on", "chest-frezer", `no appliance is called "chest-frezer"`,
			"near are chest-freezer; what no name fits: other chest-frezer 300 W 5 h"},
		{"", "stays-on", "freezer", `no appliance is called "freezer"`,
			"near are freezer-old, fridge-freezer, chest-freezer, upright-freezer or fridge-freezer-large"},
		{"", "stays-on", "qqqq", `no appliance is called "qqqq"`, "`outlast catalog` lists all"},
		{"", "stays-on", "router*0", `found 0 of "router", want 1 to 10000`, ""},
		{"", "stays-on", "router 25 h", "found 25 h a day, want at most 24", "of each unit"},
		{"", "stays-on", "router 0 W", "found 0 w, want a power above 0", ""},
		{"", "stays-on", "other kiln", `found "other kiln" without its watts`, "300 W"},
		{"", "stays-on", "well pump 99999 kW", "found a motor of 99999 kw", ""},
		{"", "stays-on", "10000 other kiln 9000 kW 1 h",
			"running_w in [[load]]: found 9e+06 W, with which all loads come to", ""},
		{"", "stays-on", "gas\x00boiler", "want signs that can be printed", ""},
		{"", "name", strings.Repeat("x", 201), "which is too long", ""},
		{"", "depends-on", "iron lungs", `no appliance is called "iron lungs"`, ""},
		{"stays-on: well-pump-750w", "plate well-pump-750w", "1 kW code I", `found "code I", want kW or hp`, "LRA 40"},
		{"stays-on: well-pump-750w", "plate well-pump-750w", "code G", "a code letter without kW or hp", ""},
		{"stays-on: well-pump-750w", "plate well-pump-750w", "1 hp LRA 0.1",
			"found a start of 23 VA, want at least the running", ""},
		{"stays-on: router", "plate router", "1 kW",
			`found a plate of "router", which is no motor of those that stay on`, ""},
		{"", "inverter", "hybrid-5k-84", `no inverter "hybrid-5k-84" in the catalog`, `did you mean "hybrid-5k-48"?`},
		{"", "inverter", "lfp-51-100", `no inverter "lfp-51-100"`, ""},
		{"", "inverter", "split-6k-48", "use in [inverter]: found a unit of 2 phases for a site of 1 phase", ""},
		{"supply: 230x3", "inverter", "hybrid-5k-48*2", "count in [inverter]: found 2 units of 1 phase", ""},
		{"inverter: hybrid-5k-48", "battery", "lfp-12-100*5000", "strings in [bank]: found 1250", "0: sized by the planner"},
		{"inverter: hybrid-5k-48", "battery", "nmc-102-60",
			"use in [bank]: units of 102.2 V make no bank for an inverter of 48 V", ""},
		{"", "panels", "12 x 100 kW", `want none, or how many panels of how many watts`, ""},
		{"", "panels", "12 x 2000 W", "found panels of 2000 W, want about 100, 275", ""},
		{"", "slope", "30", "there are no solar panels at a known latitude", "panels and latitude"},
		{"latitude: 50\npanels: 12", "facing", "up", "want a direction such as south", ""},
		{"latitude: 50\npanels: 12", "facing", "suoth", "want a direction such as south", `did you mean "south"?`},
		{"", "coldest-air", "-12", "there are no solar panels at a known latitude", "panels and latitude"},
		{"latitude: 50\npanels: 12", "coldest-air", "-80", "want degrees Celsius from -60 to 50, or Fahrenheit", ""},
		{"latitude: 50\npanels: 12", "sun", "1 2 3", "found 3 figures, want 12", "0.6"},
		{"latitude: 50\npanels: 12", "sun", "12 12 12 12 12 12 12 12 12 12 12 12",
			"no more arrives above the air at latitude 50", ""},
		{"", "generator", "petrol", "want none, VA and what it burns", ""},
		{"supply: 120x2", "generator", "7 kVA gas", "found gas, which may be meant for gasoline or for propane",
			"write gasoline or propane"},
		{"", "generator", "diesel-10", "want none, VA and what it burns", `did you mean "diesel-10k"?`},
		{"", "generator", "6,500 VA", "which may be meant for thousands or for decimals", ""},
		{"", "suply", "230", `no question is called "suply"`, `did you mean "supply"?`},
	} {
		in := told(t, tt.before)
		before := in.AnswersText("")
		err := in.Take(tt.key, tt.text)
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Msg.String(), tt.says) ||
			!strings.Contains(r.Hint.String(), tt.hint) {
			t.Errorf("%s: %q says %v, hint %q; want %q and %q", tt.key, tt.text, err, hintOf(r), tt.says, tt.hint)
		}
		if now := in.AnswersText(""); now != before {
			t.Errorf("%s: %q is refused, but changes the answers:\n%s", tt.key, tt.text, now)
		}
	}
}

func hintOf(r *Refusal) string {
	if r == nil {
		return ""
	}
	return r.Hint.String()
}

// Who does not know says so in several ways, and all of it takes the safe side and is listed.
func TestUnknown(t *testing.T) {
	for _, word := range []string{"", "?", " ? ", "don't know", "I don't know.", "Unknown", "no idea!"} {
		in := begin(t)
		if err := in.Take("hours", word); err != nil || in.known("hours") != "" {
			t.Errorf("%q: %v, %q", word, err, in.known("hours"))
		}
	}
	in := told(t, "stays-on: well pump, other kiln 3 kW", "panels: 12")
	if err := in.LeaveOpen(); err != nil {
		t.Fatal(err)
	}
	e, err := in.standIn()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Supply: 230 V, one phase", "Latitude: none", "Height above the sea: 1000 m",
		"Coldest air at the battery: -5 C", "Hottest air at the inverter: 40 C",
		"Hours that the battery must last: 24 h", "Who depends on a machine: nobody",
		"Well pump 2.2 kW (3 hp): the largest of its kind", "kiln: on all day",
		"Solar panels: left out, as the latitude is not known", "Generator: none",
	}
	got := in.Assumed(e)
	if len(got) != len(want) {
		t.Errorf("assumed %q", got)
	}
	for i := range min(len(got), len(want)) {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("%d: %q, want %q", i, got[i], want[i])
		}
	}
	if src := text(t, in); strings.Count(src, "assumed: ") < len(want)-1 {
		t.Errorf("the file does not say what is assumed:\n%s", src)
	}
}

// TestMedicalByItsKind: where nobody knows who depends on what, a medical device that is listed is not said to have no one.
func TestMedicalByItsKind(t *testing.T) {
	in := told(t, "stays-on: fridge, cpap")
	if err := in.LeaveOpen(); err != nil {
		t.Fatal(err)
	}
	e, err := in.standIn()
	if err != nil {
		t.Fatal(err)
	}
	var said string
	for _, line := range in.Assumed(e) {
		if strings.HasPrefix(line, "Who depends on a machine: ") {
			said = line
		}
	}
	if !strings.HasPrefix(said, "Who depends on a machine: nobody, but for ") || !strings.Contains(said, "(CPAP); ask again") {
		t.Errorf("got %q", said)
	}
}

// Items that are right are taken beside those that are wrong.
func TestAdd(t *testing.T) {
	in := begin(t)
	err := in.Add("stays-on", "router, frigde, 2 chest freezers; qqqq")
	if err == nil || err.Error() != `no appliance is called "frigde"; no appliance is called "qqqq"` {
		t.Errorf("%v", err)
	}
	if err := in.Add("stays-on", "fridge"); err != nil {
		t.Error(err)
	}
	if got := in.known("stays-on"); got != "router, 2 chest freezers, fridge" {
		t.Errorf("%q", got)
	}
}

// Answers are taken in the order of the questions, and what is kept of them gives the same site file.
func TestAnswersFile(t *testing.T) {
	in := told(t, "\ufeff# a comment", "sun: 1 1 2 3 4 5 5 4 3 2 1 1\r", "  facing :  south", "slope: 30",
		"plate well-pump-750w: 1 hp 9 A", "panels: 12 x 440 W",
		"stays-on: well-pump-750w, router", "latitude: 48", "supply: 230")
	again := told(t, in.AnswersText(""))
	if text(t, in) != text(t, again) || strings.Count(in.AnswersText(""), "\n") != 8 {
		t.Errorf("%s", in.AnswersText(""))
	}
	// A file that somebody wrote keeps what stands in it.
	file := "\ufeff# mine\n  name :  The   mill \n\nhours:24\r\naltitude: don't know\nnothing\n# hours: 5"
	in = told(t, "name: The mill", "hours: 12", "altitude: ?", "coldest: 5")
	if got, want := in.AnswersText(file),
		"\ufeff# mine\n  name :  The   mill \n\nhours: 12\naltitude: don't know\nnothing\n# hours: 5\ncoldest: 5\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for src, want := range map[string]string{
		"hours 24":              `a:1:1: found "hours 24", want a question, a colon and its answer`,
		"\n : 24":               `a:2:2: found ": 24", want a question, a colon and its answer`,
		"hours: 24\n\nhours: 5": `a:3:1: "hours" is answered a second time, first in line 1`,
	} {
		if _, err := ReadAnswers("a", src); err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %s", src, err, want)
		}
	}
}

// Parts depend on what was answered before: plates are asked of motors, slopes of panels.
func TestNext(t *testing.T) {
	keys := func(in *Interview) (out []string) {
		for open := in.Next(); open != nil; open = in.Next() {
			for _, q := range open {
				if q.Ask.Empty() || q.Help.Empty() || q.Assumed.Empty() || q.Part.Empty() {
					t.Errorf("%+v is not said in full", q)
				}
				out = append(out, q.Key)
				if err := in.Take(q.Key, Unknown); err != nil {
					t.Fatalf("%s: %v", q.Key, err)
				}
			}
		}
		return out
	}
	const all = "name supply latitude altitude hours battery-stands coldest hottest stays-on depends-on inverter " +
		"battery panels generator"
	if got := strings.Join(keys(begin(t)), " "); got != all {
		t.Errorf("%s", got)
	}
	in := told(t, "latitude: 50", "stays-on: well pump, 2 pool-pump-750w, router", "panels: 9")
	if got := strings.Join(keys(in),
		" "); got != "name supply altitude hours battery-stands coldest hottest depends-on plate well-pump-2200w "+
		"plate pool-pump-750w inverter battery slope facing coldest-air sun generator" {
		t.Errorf("%s", got)
	}
}

func TestClasses(t *testing.T) {
	in := begin(t)
	if got := in.Classes("chest fre"); len(got) != 1 || got[0].ID != "chest-freezer" {
		t.Errorf("%v", got)
	}
	if got, all := in.Classes(""), in.cat.Appliances(); len(got) != len(all) {
		t.Errorf("%d of %d", len(got), len(all))
	}
}
