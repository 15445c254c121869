package sheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/samplehome"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/catalog"
)

// A machine that someone depends on is the first thing that an outage tells, before what becomes of the board, and the
// first of its cautions, in text and in JSON.
func TestOutageNamesTheMedicalLoadFirst(t *testing.T) {
	src, err := os.ReadFile("../../testdata/tried/mill-lane-passes.toml")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site, err := site.Read("mill-lane-passes.toml", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(context.Background(), site)
	if err != nil {
		t.Fatal(err)
	}
	follow := func(hours int, format string) string {
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: hours, EvenSpread: true})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteOutage(&b, run, Options{Format: format, Width: 200}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	text := follow(24, "text")
	const name = `"Oxygen concentrator"`
	if want := "Mill Lane house: " + name +
		", which someone depends on, loses power after 16.5 h, for 7.5 h in all\nBackup board: " +
		"circuits lose power after 16.5 h"; !strings.HasPrefix(text, want) {
		t.Errorf("%.300s\nwant it to begin with\n%s", text, want)
	}
	if _, cautions, _ := strings.Cut(text, "\nCautions\n--------\n"); !strings.HasPrefix(cautions,
		"- Someone depends on "+name+", which loses power after 16:31 h") {
		t.Errorf("cautions begin with %.200s", cautions)
	}
	var v struct {
		Worst   bool `json:"worst_start"`
		Medical []struct {
			Load   string  `json:"load"`
			AfterH float64 `json:"after_h"`
		} `json:"medical"`
		UntilDarkH float64  `json:"until_dark_h"`
		Cautions   []string `json:"cautions"`
	}
	if err := json.Unmarshal([]byte(follow(24, "json")), &v); err != nil {
		t.Fatal(err)
	}
	if !v.Worst || len(v.Medical) != 1 || v.Medical[0].Load != "Oxygen concentrator" ||
		v.Medical[0].AfterH != v.UntilDarkH || !strings.Contains(v.Cautions[0], name) {
		t.Errorf("JSON: %+v", v)
	}
	text = follow(12, "text")
	if before, cautions, _ := strings.Cut(text, "\nCautions\n--------\n"); !strings.HasPrefix(text,
		"Mill Lane house: no interruption in 12 h\n") || strings.Contains(before, name) ||
		!strings.HasPrefix(cautions, "- Someone depends on "+name+": it is never switched off") {
		t.Errorf("within what the bank lasts: %.300s", text)
	}
}

// Of an outage that depends on a draw the sheets say so, and what the other draws come to.
func TestOutageTellsItsDraws(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	for _, tt := range []struct {
		what string
		o    study.OutageOptions
		want string // "": nothing is drawn
	}{
		{"sun and rhythms", study.OutageOptions{Hours: 240, Seed: 3, NoGenerator: true},
			"This is one simulated run of the days of sun and the cycles of the loads (seed 3). Of 20 runs"},
		{"sun", study.OutageOptions{Hours: 240, Seed: 3, NoGenerator: true, EvenSpread: true},
			"This is one simulated run of the days of sun (seed 3). Of 20 runs"},
		{"rhythms", study.OutageOptions{Hours: 24, Seed: 3, NoArray: true},
			"This is one simulated run of the cycles of the loads (seed 3). Of 20 runs"},
		{"nothing", study.OutageOptions{Hours: 24, Seed: 3, NoArray: true, EvenSpread: true}, ""},
	} {
		r, err := study.RunOutage(t.Context(), p.Facts, tt.o)
		if err != nil {
			t.Fatal(err)
		}
		draws, ok, err := study.DrawOutage(t.Context(), p.Facts, tt.o)
		if err != nil || ok != (tt.want != "") {
			t.Fatalf("%s: drawn %v, %v", tt.what, ok, err)
		}
		if ok {
			r.Draws = &draws
		}
		var text, data bytes.Buffer
		if err := errors.Join(WriteOutage(&text, r, Options{Width: 400}),
			WriteOutage(&data, r, Options{Format: "json"})); err != nil {
			t.Fatal(err)
		}
		if tt.want == "" && strings.Contains(text.String(), " draw") || !strings.Contains(text.String(), tt.want) {
			t.Errorf("%s: %.600s\nwant %q", tt.what, text.String(), tt.want)
		}
		var v struct {
			Draws *struct {
				Draws, Dark int
				UntilDarkH  struct{ P10, P50, P90 float64 } `json:"until_dark_h"`
			}
		}
		if err := json.Unmarshal(data.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		if ok != (v.Draws != nil) || ok && (v.Draws.Draws != 20 || v.Draws.Dark != draws.Dark ||
			v.Draws.UntilDarkH.P50 != draws.UntilDarkH.P50) {
			t.Errorf("%s: JSON tells %+v, want %+v", tt.what, v.Draws, draws)
		}
	}
}

// What loads ask is what they get, what they do not get, and what is switched off on purpose: in text line by line to
// the last printed digit, in JSON and CSV to rounding, of every circuit and of all. And they ask the same whatever the
// bank does: what was switched off counts as if it had not been.
func TestOutageAddsUp(t *testing.T) {
	columns, thousands := regexp.MustCompile(`  +`), strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", ",", "")
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	sources := map[string][]byte{}
	for _, name := range []string{"cottage", "clinic", "farmhouse", "town-flat", "split-phase"} {
		if sources[name], err = os.ReadFile("../../testdata/sites/" + name + ".toml"); err != nil {
			t.Fatal(err)
		}
	}
	for seed := range uint64(24) {
		sources[fmt.Sprintf("drawn home %d", seed)] = drawnhome.Draw(seed)
	}
	var unserved, off int
	for name, src := range sources {
		s, err := site.Read(name, src, cat)
		if err != nil {
			t.Fatal(err)
		}
		p, err := backup.Alone(t.Context(), s)
		if err != nil {
			continue // a drawn home that cannot be planned
		}
		o := study.OutageOptions{Hours: 96, NoGenerator: true, Seed: 5}
		run, err := study.RunOutage(t.Context(), p.Facts, o)
		if err != nil {
			t.Fatal(name, err)
		}
		near := func(what string, a, b float64) {
			t.Helper()
			if math.Abs(a-b) > 1e-9*(math.Abs(a)+math.Abs(b)+1) {
				t.Errorf("%s: %s: %g and %g Wh", name, what, a, b)
			}
		}

		var data, text, table bytes.Buffer
		if err := errors.Join(WriteOutage(&data, run, Options{Format: "json"}),
			WriteOutage(&text, run, Options{Width: 400}), WriteOutage(&table, run,
				Options{Format: "csv"})); err != nil {
			t.Fatal(err)
		}
		type energies struct {
			Asked    float64 `json:"asked_wh"`
			Served   float64 `json:"served_wh"`
			Unserved float64 `json:"unserved_wh"`
			Off      float64 `json:"dropped_wh"`
		}
		var v struct {
			Circuits []energies
			EnergyWh map[string]float64 `json:"energy_wh"`
		}
		if err := json.Unmarshal(data.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		var all energies
		for _, c := range v.Circuits {
			near("a circuit", c.Asked, c.Served+c.Unserved+c.Off)
			all = energies{all.Asked + c.Asked, all.Served + c.Served, all.Unserved + c.Unserved, all.Off + c.Off}
		}
		near("asked of all circuits", all.Asked, v.EnergyWh["asked"])
		near("served", all.Served, v.EnergyWh["served"])
		near("unserved", all.Unserved, v.EnergyWh["unserved"])
		near("switched off", all.Off, v.EnergyWh["switched_off"])
		near("all", v.EnergyWh["asked"], all.Served+all.Unserved+all.Off)
		if all.Unserved > 1 {
			unserved++
		}
		if all.Off > 1 {
			off++
		}

		// The loads ask for the same with nothing switched off.
		always := *s
		always.Outage.Month, always.Loads = p.Month, slices.Clone(p.Site.Loads)
		always.Circuits = p.Site.Circuits
		for i := range always.Loads {
			always.Loads[i].DropBelow = 0
		}
		if kept, err := backup.Alone(t.Context(), &always); err == nil {
			o.Start = &run.StartMin
			r, err := study.RunOutage(t.Context(), kept.Facts, o)
			if err != nil {
				t.Fatal(name, err)
			}
			if r.Energy.DroppedWh != 0 {
				t.Errorf("%s: %g Wh switched off, want none", name, r.Energy.DroppedWh)
			}
			near("asked with nothing switched off", r.Energy.AskedWh(), run.Energy.AskedWh())
		}

		_, printed, _ := strings.Cut(text.String(), "\nCircuit ")
		printed, _, _ = strings.Cut(printed, "\n\n")
		lines := strings.Split(printed, "\n")[1:]
		if len(lines) != len(v.Circuits)+1 && len(v.Circuits) > 0 {
			t.Errorf("%s: %d lines of circuits, want %d and their total", name, len(lines), len(v.Circuits))
		}
		for _, line := range lines {
			cells := columns.Split(strings.TrimSpace(line), -1)
			if len(cells) < 5 {
				continue // a name goes on in the next line
			}
			var n [4]int
			for i, cell := range cells[len(cells)-4:] {
				if n[i], err = strconv.Atoi(thousands.Replace(cell)); err != nil {
					t.Fatal(name, line, err)
				}
			}
			if n[0] != n[1]+n[2]+n[3] {
				t.Errorf("%s: %q does not add up", name, line)
			}
		}

		rows, err := csv.NewReader(&table).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		sums := map[string]float64{}
		for _, row := range rows {
			if row[1] == "circuit" {
				x, err := strconv.ParseFloat(row[6], 64)
				if err != nil {
					t.Fatal(err)
				}
				sums[row[5]] += x
			}
		}
		if sum := sums["served"] + sums["dark"] + sums["switched_off"]; math.Abs(sum-sums["asked"]) >
			1e-5*(sums["asked"]+1) { // six digits
			t.Errorf("%s: CSV: %g Wh asked, %g in parts", name, sums["asked"], sum)
		}
	}
	if unserved < 3 || off < 3 {
		t.Errorf("in %d homes something is not served, in %d something is switched off: want 3 of each at least",
			unserved, off)
	}
	t.Logf("%d homes: in %d something is not served, in %d something is switched off", len(sources), unserved, off)
}

// A bank too cold to be discharged says so before its hours of darkness, and nobody is told to switch loads off for it.
func TestTooColdToDischarge(t *testing.T) {
	_, src := samplehome.Text(t, "town-flat")
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	const line = "The bank is too cold to be discharged: its space gets down to"
	for coldest, cold := range map[string]bool{"14": false, "-30": true} {
		p := planned(t, cat, "flat.toml", bytes.Replace(src, []byte("coldest_c = 14"), []byte("coldest_c = "+coldest), 1))
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 200, EvenSpread: true})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteOutage(&b, run, Options{Format: "text", Width: 200}); err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(b.String(), line); got != cold {
			t.Errorf("%s C: that it is too cold is said: %t, want %t:\n%.600s", coldest, got, cold, b.String())
		}
		screen := strings.Join(shown(t, p, "en", 80), "\n")
		if cold && (strings.Contains(screen, "even without") || strings.Contains(screen, "Only priority")) {
			t.Errorf("%s C: loads are told to be switched off for a bank that gives nothing:\n%s", coldest, screen)
		}
	}
}
