package backup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
)

// cautionsOf are the cautions of a plan that hold a text.
func cautionsOf(p *backup.Plan, part string) []string {
	var out []string
	for _, c := range p.Cautions {
		if s := c.String(); strings.Contains(s, part) {
			out = append(out, s)
		}
	}
	return out
}

// TestNoStartingFigure: what may start harder than it runs, and says nothing of it, is named by a caution and has a
// line under the defaults; what cannot is not.
func TestNoStartingFigure(t *testing.T) {
	const part = "No starting figure"
	h := newHouse().circuit("m", `board = "main"`).
		load("Boiler", "running_w = 120; power_factor = 0.8").
		load("Chest freezer", "running_w = 90; hours_per_day = 8").
		load("Brunnenpumpe", "running_w = 80; held_off = true").
		load("Fridge", "running_w = 120; power_factor = 0.8; starting_va = 900").
		load("Heater", "running_w = 500").
		load("Stereo", "running_w = 0; power_factor = 0.5").
		load("Saw", `running_w = 1500; power_factor = 0.8; circuit = "m"`)
	p := h.plan(t)
	if told := cautionsOf(p, part); len(told) != 1 || !strings.Contains(told[0],
		`file: "Chest freezer" and "Brunnenpumpe". Motors`) {
		t.Errorf("%q, want one caution that names freezer and pump", told)
	}
	if told := cautionsOf(p, "Counted without a start"); len(told) != 1 ||
		!strings.Contains(told[0], `: "Boiler". Give`) {
		t.Errorf("%q, want one caution that names the boiler", told)
	}
	noted := map[string]int{}
	for _, d := range p.Site.Defaults {
		if d.Table == "[[load]]" && d.Key == "starting_va" && d.Value == "none" {
			noted[d.Key] = d.Count
		}
	}
	if noted["starting_va"] != 4 { // the saw on the main board too: it starts at its cable
		t.Errorf("the defaults note %v starts that are not given, want 4", noted)
	}
	if told := cautionsOf(newHouse().load("Heater", "running_w = 500").load("Fridge",
		"running_w = 120; starting_va = 900").plan(t), "starting"); told != nil {
		t.Errorf("%q, though nothing is missing", told)
	}
}

// TestNoStartingFigureOfAClass: a class without a start is known not to start, whatever its power factor and its name.
func TestNoStartingFigureOfAClass(t *testing.T) {
	for _, id := range []string{"dishwasher", "led-lamp", "home-ventilator", "fridge"} {
		p := newHouse().load(id, fmt.Sprintf("use = %q", id)).plan(t)
		if told := slices.Concat(cautionsOf(p, "No starting figure"),
			cautionsOf(p, "want of a starting figure")); told != nil {
			t.Errorf("%s: %q", id, told)
		}
	}
}

// TestNamesOfMotors: names of appliances in the four languages. Nothing that only sounds like one is taken for a motor.
func TestNamesOfMotors(t *testing.T) {
	told := func(name string) bool {
		return cautionsOf(newHouse().load(name, "running_w = 100").plan(t), "No starting figure") != nil
	}
	for _, name := range []string{"Fridge", "Fridge-freezer", "bore PUMP", "Ceiling fans", "Air conditioner, bedroom",
		"Kühlschrank", "Umwälzpumpe", "Gefriertruhe",
		"Réfrigérateur", "Pompe du puits", "Nevera", "Bomba del pozo", "Motor of the gate", "Waschmaschine"} {
		if !told(name) {
			t.Errorf("%q is not taken for a motor", name)
		}
	}
	for _, name := range []string{"Kettle", "Infant monitor", "Sawyer's lamp", "LED lamps", "Router",
		"Profanity filter", "Heater"} {
		if told(name) {
			t.Errorf("%q is taken for a motor", name)
		}
	}
}

// TestDoubtfulInput: what the file allows and few homes mean is told once.
func TestDoubtfulInput(t *testing.T) {
	lamp := func() *house { return newHouse().load("Lamp", "running_w = 100") }
	fridge := func(hours float64, more string) *house {
		return lamp().load("Cooler",
			fmt.Sprintf("running_w = 100; hours_per_day = %g; cycle = { on_min = 15, off_min = 30 }%s", hours, more))
	}
	for _, tt := range []struct {
		what  string
		house *house
		part  string
		want  string // "": no caution with part
	}{
		{"temperatures as usual", lamp(), "coldest_c", ""},
		{"the same", lamp().put("site", "coldest_c = 20; hottest_c = 20"), "coldest_c", ""},
		{"swapped", lamp().put("site", "coldest_c = 38; hottest_c = 4"), "coldest_c",
			"coldest_c (38 C) is above hottest_c (4 C)"},
		{"something runs", lamp(), "Nothing on the backup board runs", ""},
		{"nothing there", newHouse(), "Nothing on the backup board runs", "in an outage in January"},
		{"held off", newHouse().load("Lamp", "running_w = 100; held_off = true"), "Nothing on the backup board runs",
			"no load to supply"},
		{"another month", newHouse().set("outage.month", 7).load("Lamp", "running_w = 100; months = [1]"),
			"Nothing on the backup board runs", "July"},
		{"all on the main board", newHouse().circuit("m", `board = "main"`).load("Lamp",
			`running_w = 100; circuit = "m"`), "Nothing on the backup board runs", "January"},
		// 15 of 45 minutes are 8 h a day, of a window of 6 h they are 2 h.
		{"the hours of the rhythm", fridge(8, ""), "The cycle does", ""},
		{"rounded", fridge(8.8, ""), "The cycle does", ""},
		{"more than the rhythm makes", fridge(9, ""), "The cycle does", `"Cooler" (8 h by its cycle, 9 h given)`},
		{"less, as with a pump", fridge(2.7, ""), "The cycle does", ""},
		{"next to nothing", fridge(2.6, ""), "The cycle does", `"Cooler" (8 h by its cycle, 2.6 h given)`},
		{"in its windows", fridge(2.5, `; when = ["06:00-12:00"]`), "The cycle does",
			`"Cooler" (2 h by its cycle, 2.5 h given)`},
		{"never on", fridge(0, ""), "The cycle does", ""},
		{"held off with a rhythm", fridge(24, "; held_off = true"), "The cycle does", "24"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			told := cautionsOf(tt.house.plan(t), tt.part)
			switch {
			case tt.want == "" && told != nil:
				t.Errorf("%q, want nothing", told)
			case tt.want != "" && (len(told) != 1 || !strings.Contains(told[0], tt.want)):
				t.Errorf("%q, want one with %q", told, tt.want)
			}
		})
	}
}

// TestNoSolarInput: an array behind an inverter whose data name no input is told in one sentence, however many arrays
// there are.
func TestNoSolarInput(t *testing.T) {
	h := newHouse().put("site", "latitude = 40").load("Lamp", "running_w = 100")
	text := h.text() +
		strings.Repeat("[[array]]\nuse = \"mono-440\"\nmodules_per_string = 8\ntilt_deg = 30\nazimuth_deg = 180\n"+
			"monthly_kwh_m2_day = [2, 3, 4, 5, 6, 6, 6, 5, 4, 3, 2, 2]\n", 2)
	p, err := planOf(text)
	if err != nil {
		t.Fatal(err)
	}
	ids := []string{}
	for _, c := range p.Checks {
		if strings.HasPrefix(c.ID, "string-") {
			ids = append(ids, c.ID)
			if c.Status != verdict.Caution || c.HasLimit || !strings.Contains(c.Reason.String(), "no solar input") {
				t.Errorf("%+v, want a caution without a limit", c)
			}
		}
	}
	if !slices.Equal(ids, []string{"string-input"}) {
		t.Errorf("checks %v, want string-input alone", ids)
	}
	r, _, err := p.Recharge()
	told := slices.IndexFunc(r.Cautions, func(c phrase.Phrase) bool { return strings.Contains(c.String(), "no solar input") })
	if err != nil || told < 0 || r.Months[5].ArrayWh == 0 {
		t.Errorf("what the array gives is counted with %q (%v), want a caution beside it", r.Cautions, err)
	}
}
