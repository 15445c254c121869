package live

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"testing"

	"outlast/backup"
	"outlast/backup/sheet"
	"outlast/backup/site"
)

// planned is what of `plan --format json` the page shows too.
type plannedJSON struct {
	Site    string
	Verdict string
	Month   int
	Bank    struct {
		RequiredAh        float64  `json:"required_ah"`
		InstalledAh       float64  `json:"installed_ah"`
		NominalV          float64  `json:"nominal_v"`
		FloorSoC          float64  `json:"floor_soc"`
		AutonomyLeastH    *float64 `json:"autonomy_least_h"`
		AutonomyLeastFrom string   `json:"autonomy_least_from"`
		Strings           int
	}
	Circuits []struct {
		ID       string
		Board    string
		RunningW float64 `json:"running_w"`
		EnergyWh float64 `json:"energy_wh_per_day"`
		Priority int
	}
	Checks []struct {
		ID, Status string
		Demand     float64
		Limit      *float64
	}
	Cautions []string
	HeldOff  []string `json:"held_off"`
}

// planOf is what the command says of the text of a site.
func planOf(t testing.TB, table *Table, text []byte) (out plannedJSON) {
	t.Helper()
	s, err := site.Read(table.home.File, text, table.home.Catalog)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, []*backup.Plan{p}, sheet.Options{Format: "json"}); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// ask asks and reads the answer.
func ask[T any](t testing.TB, table *Table, kind, question string) (out T) {
	t.Helper()
	answer := table.Do(context.Background(), kind, []byte(question))
	d := json.NewDecoder(bytes.NewReader(answer))
	d.DisallowUnknownFields()
	if err := d.Decode(&out); err != nil {
		t.Fatalf("%s %s: %v: %.200s", kind, question, err, answer)
	}
	return out
}

// Every number of the page that the command has too is that of the command, to the last digit, as the file stands and
// after changes.
func TestNumbersAreThoseOfThePlan(t *testing.T) {
	changes := map[string][]string{
		"cottage": {
			`[{"do": "set", "table": "load", "at": "Electric kettle", "key": "held_off", "value": false}]`,
			`[{"do": "set", "table": "outage", "key": "month", "value": 1}, {"do": "set", "table": "circuit", "at": "aircon", "key": "board", "value": "backup"}]`,
		},
		"town-flat": {
			`[{"do": "add", "table": "load", "values": {"use": "chest-freezer", "circuit": "kitchen"}}]`,
			`[{"do": "set", "table": "outage", "key": "autonomy_h", "value": 30}]`,
		},
	}
	for _, home := range homes {
		table := tableOf(t, home)
		for _, list := range append([]string{"[]"}, changes[home]...) {
			q, err := Read([]byte(`{"changes": ` + list + `}`))
			if err != nil {
				t.Fatal(err)
			}
			text, err := table.Text(q.Changes)
			if err != nil {
				t.Fatal(err)
			}
			sameNumbers(t, home+" "+list, ask[Answer](t, table, "answer", `{"changes": `+list+`}`),
				planOf(t, table, text))
		}
	}
}

func sameNumbers(t *testing.T, what string, got Answer, want plannedJSON) {
	t.Helper()
	same := func(name string, got, want any) {
		t.Helper()
		if got != want {
			t.Errorf("%s: %s is %v, the command says %v", what, name, got, want)
		}
	}
	same("site", got.Site, want.Site)
	same("verdict", got.Verdict.Status, want.Verdict)
	switch {
	case want.Verdict == "fail":
		same("promise", got.Promise == nil, true)
	case want.Bank.AutonomyLeastH == nil:
		t.Errorf("%s: the command has no least autonomy", what)
	default:
		same("promise", got.Promise.Hours, *want.Bank.AutonomyLeastH)
		same("promise from", got.Promise.From, want.Bank.AutonomyLeastFrom[:len("15:04")])
	}
	same("floor", got.Curve.Floor, want.Bank.FloorSoC)
	same("strings", got.Choices.Strings, want.Bank.Strings)
	checks := map[string]int{}
	for i, c := range want.Checks {
		checks[c.ID] = i
	}
	for _, l := range got.Limits {
		c := want.Checks[checks[l.ID]]
		demand, limit := c.Demand, c.Limit
		if l.Bar == "energy" { // in Wh there
			same("required", l.Value, want.Bank.RequiredAh*want.Bank.NominalV)
			installed := want.Bank.InstalledAh * want.Bank.NominalV
			demand, limit = l.Value, &installed
		}
		same(l.ID, l.Value, demand)
		same(l.ID+" has a limit", l.Limit != nil, limit != nil)
		if l.Limit != nil && limit != nil {
			same(l.ID+" limit", *l.Limit, *limit)
		}
		same(l.ID+" status", l.Status, c.Status)
	}
	worse := 0
	for _, c := range want.Checks {
		if c.Status != "pass" {
			worse++
		}
	}
	same("checks that do not pass", len(got.Checks), worse)
	for _, c := range got.Checks {
		same(c.ID, c.Status, want.Checks[checks[c.ID]].Status)
	}
	same("cautions", len(got.Cautions), len(want.Cautions))
	same("circuits", len(got.Circuits), len(want.Circuits))
	byID := map[string]Circuit{}
	held := 0
	for _, c := range got.Circuits {
		byID[c.ID] = c
		for _, l := range c.Loads {
			if l.HeldOff && !l.OutOfSeason && c.Board == "backup" {
				held++
			}
		}
	}
	same("held off", held, len(want.HeldOff))
	for _, c := range want.Circuits {
		row := byID[c.ID]
		same(c.ID+" board", row.Board, c.Board)
		same(c.ID+" W", row.RunningW, c.RunningW)
		same(c.ID+" Wh", row.EnergyWh, c.EnergyWh)
		same(c.ID+" priority", row.Priority, c.Priority)
	}
}

// A bar that is beyond its limit by less than its figures show has more digits: two equal figures of which one is said to
// be too large would be a riddle.
func TestBarelyBeyond(t *testing.T) {
	home := tableWith(t, "bare.toml", []byte(`
[site]
name = "Bare"
nominal_v = 230
coldest_c = 20
hottest_c = 25
[outage]
autonomy_h = 24
reserve = 1.0
[inverter]
use = "hybrid-5k-48"
count = 1
[bank]
use = "lfp-51-100"
strings = 3
[[circuit]]
id = "all"
label = "All"
breaker_a = 16
cable_mm2 = 2.5
board = "backup"
[[load]]
name = "Lamp"
circuit = "all"
running_w = 272
hours_per_day = 24
`))
	for lang, want := range map[string]string{"en": "15.37\u00a0kWh of 15.36\u00a0kWh", "de": "15,37\u00a0kWh von 15,36\u00a0kWh"} {
		a, err := home.Answer(context.Background(), Question{Lang: lang})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(a.Limits, func(l Limit) bool { return l.Bar == "energy" })
		if l := a.Limits[i]; l.Status != "fail" || l.Text != want {
			t.Errorf("%s: %s, %q; want fail, %q", lang, l.Status, l.Text, want)
		}
	}
}
