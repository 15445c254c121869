package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"outlast/backup/facts"
	"outlast/backup/phrase"
)

// dependent is a home in which someone depends on a load of either board.
const dependent = `[site]
name = "Larch End"
nominal_v = 230
coldest_c = 10
[outage]
autonomy_h = 4
[inverter]
use = "hybrid-5k-48"
[bank]
use = "lfp-51-100"
strings = 3
[[circuit]]
id = "bed"
breaker_a = 16
board = "backup"
[[circuit]]
id = "bath"
breaker_a = 16
board = "main"
[[load]]
name = "Breathing aid"
circuit = "bed"
running_w = 80
hours_per_day = 24
medical = true
[[load]]
name = "Bath lift"
circuit = "bath"
running_w = 300
hours_per_day = 1
medical = true
`

// TestEverySheetCautions: what every sheet about a home says of safety and of what people depend on stands in all of
// them, in the words of the plan.
func TestEverySheetCautions(t *testing.T) {
	home := filepath.Join(t.TempDir(), "home.toml")
	if err := os.WriteFile(home, []byte(dependent), 0o644); err != nil {
		t.Fatal(err)
	}
	const (
		onBackup = `Someone depends on "Breathing aid": it is never switched off to save charge here, but the bank runs out. ` +
			"Ask its supplier for a battery of its own, and tell the grid operator."
		onMain   = `Someone depends on "Bath lift", but its circuit is not on the backup board: it loses power with the grid.`
		losesNow = `Someone depends on "Bath lift", which loses power after 0:00 h`
	)
	log := "../../testdata/logs/test.csv"
	for _, tt := range []struct {
		args, formats string
		says          []string
	}{
		{"plan --show all", "text", []string{onBackup, onMain}},
		{"plan", "markdown json csv", []string{onBackup, onMain}},
		{"size", "text markdown json", []string{onBackup, onMain}},
		{"outage --start 00:00 --hours 8", "text json csv", []string{onBackup, losesNow}},
		{"outage --start 00:00 --hours 240", "text json csv", []string{
			`Someone depends on "Breathing aid", which loses power after `, losesNow}},
		{"outage --every-start --hours 24 --target 12", "text json", []string{onBackup, onMain}},
		{"compare --to 1 --log " + log, "text markdown json", []string{onBackup, onMain}},
	} {
		for _, format := range strings.Fields(tt.formats) {
			args := append(strings.Fields(tt.args), "--format", format, home)
			if format == "text" {
				args = append(args, "--width", "1000")
			}
			var out, errw bytes.Buffer
			if status := run(args, strings.NewReader(""), &out, &errw); status == 2 || errw.Len() > 0 {
				t.Errorf("%q: status %d, stderr %q", args, status, errw.String())
				continue
			}
			said := strings.NewReplacer(`\"`, `"`, `""`, `"`, `\`, "").Replace(out.String()) // as JSON, CSV and Markdown quote
			for _, text := range append(phrase.Strings(facts.SafetyTexts()), tt.says...) {
				if n := strings.Count(said, text); n != 1 {
					t.Errorf("%q: said %d times, want once: %s", args, n, text)
				}
			}
		}
	}
}

// TestOutageTellsItsFuel: fuel that is counted without the data sheet of the set is told wherever an outage counts it.
func TestOutageTellsItsFuel(t *testing.T) {
	const said = "Generator: fuel is counted as is typical of small petrol sets; give fuel_l_per_h from its data sheet."
	const set = "[generator]\nrated_va = 5000\npower_factor = 1\nfuel = \"petrol\"\nfuel_l = 20\n"
	for _, tt := range []struct {
		what, home, args string
		want             int
	}{
		{"no generator", "", "outage --hours 8", 0},
		{"petrol", set, "outage --hours 8", 1},
		{"every start", set, "outage --every-start --hours 24 --target 12", 1},
		{"left out", set, "outage --hours 8 --no-generator", 0},
		{"left out of every start", set, "outage --every-start --hours 24 --target 12 --no-generator", 0},
		{"by its data sheet", set + "fuel_l_per_h = [{ load = 0.5, l_per_h = 1.4 }, { load = 1, l_per_h = 2.2 }]\n",
			"outage --hours 8", 0},
	} {
		home := filepath.Join(t.TempDir(), "home.toml")
		if err := os.WriteFile(home, []byte(dependent+tt.home), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, format := range []string{"text", "json", "csv"} {
			want := tt.want
			if format == "csv" && strings.Contains(tt.args, "--every-start") {
				want = 0 // a list of hours, without room for texts
			}
			args := append(strings.Fields(tt.args), "--format", format, home)
			if format == "text" {
				args = append(args, "--width", "1000")
			}
			var out, errw bytes.Buffer
			if status := run(args, strings.NewReader(""), &out, &errw); status == 2 || errw.Len() > 0 {
				t.Errorf("%s: status %d, stderr %q", tt.what, status, errw.String())
			}
			if n := strings.Count(out.String(), said); n != want {
				t.Errorf("%s as %s: said %d times, want %d", tt.what, format, n, want)
			}
		}
	}
}
