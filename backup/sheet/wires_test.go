package sheet

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/markdown"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// TestWiresEverywhere: each conductor stands in every format with the figures of the plan.
func TestWiresEverywhere(t *testing.T) {
	for _, name := range []string{"cottage", "split-phase", "overloaded", "clinic"} {
		p := samplehome.Plan(t, name)
		text, md := write(t, Options{Width: 200, Show: []string{All}}, p), write(t, Options{Format: "markdown"}, p)
		var got struct {
			Wiring []struct {
				ID, Conductor, Device string
				MM2                   float64
				Count                 int
				ConductorChosen       bool     `json:"conductor_chosen"`
				LengthM               *float64 `json:"length_m"`
				CarriesA              float64  `json:"carries_a"`
				NeedsA                float64  `json:"needs_a"`
				DeviceA               *float64 `json:"device_a"`
				Drop                  *float64
				TotalDrop             *float64 `json:"total_drop"`
			}
			WiringNotes []string `json:"wiring_notes"`
			Questions   []struct{ Topic, Text string }
			Generator   *struct {
				DeratedW float64  `json:"derated_w"`
				TankH    *float64 `json:"tank_h"`
			}
		}
		if err := json.Unmarshal([]byte(write(t, Options{Format: "json"}, p)), &got); err != nil {
			t.Fatal(err)
		}
		if len(got.Wiring) != len(p.Runs) || len(got.WiringNotes) != len(p.WireNotes) ||
			len(got.Questions) != len(p.Questions) {
			t.Fatalf("%s: %d runs, %d notes, %d questions in JSON, want %d, %d, %d", name, len(got.Wiring),
				len(got.WiringNotes), len(got.Questions), len(p.Runs), len(p.WireNotes), len(p.Questions))
		}
		for i, r := range p.Runs {
			g := got.Wiring[i]
			if g.ID != r.ID || g.Conductor != r.Conductor.Name || g.MM2 != r.Conductor.MM2 ||
				g.CarriesA != r.CarriesA || g.NeedsA != r.NeedsA || g.Count != r.Count ||
				g.ConductorChosen != r.ConductorChosen || g.Device != string(r.Device) {
				t.Errorf("%s: JSON has %+v of %+v", name, g, r)
			}
			if (g.LengthM == nil) != (r.LengthM == 0) || (g.Drop == nil) != (r.LengthM == 0) ||
				(g.DeviceA == nil) != (r.DeviceA == 0) {
				t.Errorf("%s: JSON has %+v of %+v: null is for what is not known", name, g, r)
			}
			if g.Drop != nil && (*g.Drop != r.Drop || *g.TotalDrop != r.TotalDrop) {
				t.Errorf("%s: drops %g and %g of %+v", name, *g.Drop, *g.TotalDrop, r)
			}
			drop := "-"
			if r.LengthM > 0 {
				drop = fmt.Sprintf("%.1f", 100*r.Drop)
			}
			cells := []string{r.Conductor.Name, fmt.Sprintf("%.1f", r.CarriesA), fmt.Sprintf("%.1f", r.NeedsA), drop}
			for _, sheet := range []string{text, strings.ReplaceAll(md, speech.Hard, " ")} {
				if !hasLine(sheet, speaks(t, p, "en").Prose(r.Label), cells) {
					t.Errorf("%s: no line with %q and %q in\n%s", name, r.Label, cells, sheet)
				}
			}
		}
		if (got.Generator == nil) != (p.Generator == nil) {
			t.Errorf("%s: generator %v in JSON, %v in the plan", name, got.Generator, p.Generator)
		}
		if g := got.Generator; g != nil && (g.DeratedW != p.Generator.DeratedW || g.TankH == nil ||
			*g.TankH != p.Generator.TankH) {
			t.Errorf("%s: generator %+v, want %+v", name, g, p.Generator)
		}
		rows, err := csv.NewReader(strings.NewReader(write(t, Options{Format: "csv"}, p))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		carries := map[string]string{}
		for _, row := range rows {
			if row[1] == "wiring" && row[3] == "carries_a" {
				carries[row[2]] = row[4]
			}
		}
		for _, r := range p.Runs {
			if v, err := strconv.ParseFloat(carries[r.ID], 64); err != nil || math.Abs(v-r.CarriesA) > 5e-6*r.CarriesA {
				t.Errorf("%s: CSV has %q A for %s, want %g", name, carries[r.ID], r.ID, r.CarriesA)
			}
		}
	}
}

// hasLine looks for a line that starts with the label and holds the cells in their order.
func hasLine(text, label string, cells []string) bool {
	for line := range strings.Lines(text) {
		rest, ok := strings.CutPrefix(strings.TrimPrefix(line, "| "), markdown.Escape(label))
		for _, c := range cells {
			if ok {
				_, rest, ok = strings.Cut(rest, c)
			}
		}
		if ok {
			return true
		}
	}
	return false
}

// TestQuestions: the calculation sheet carries all of the electrician's questions; the plan alone only those among its
// cautions.
func TestQuestions(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	for _, format := range []string{"text", "markdown"} {
		with, without := write(t, Options{Format: format, Width: 4000, Show: []string{All}, Working: true}, p),
			write(t, Options{Format: format, Width: 4000, Show: []string{All}}, p)
		for _, q := range p.Questions {
			topic := markdown.Escape(q.Name.String() + ": " + q.Text.String())
			if !strings.Contains(with, topic) {
				t.Errorf("%s: the question of %s is not on the calculation sheet", format, q.Name)
			}
			if strings.Contains(without, topic) {
				t.Errorf("%s: the question of %s is on the plan", format, q.Name)
			}
		}
	}
}

// TestNoConductorDoes: the largest conductor of the tables is not called the smallest that passes where it does not pass
// either. 24 kW out of 48 V take more than 500 A.
func TestNoConductorDoes(t *testing.T) {
	_, src := samplehome.Text(t, "town-flat")
	const passes, largest = "is the smallest that passes; ", "is the smallest that passes, or the largest of the tables where none does; "
	for _, tt := range []struct {
		inverter string
		none     bool
	}{{"", false}, {"\nrated_w = 24000\nrated_va = 24000\nmax_discharge_a = 700", true}} {
		cat, err := catalog.Generic()
		if err != nil {
			t.Fatal(err)
		}
		p := planned(t, cat, "home.toml", []byte(strings.Replace(string(src), "\n[inverter]\n", "\n[inverter]"+tt.inverter+"\n", 1)))
		text := strings.Join(strings.Fields(write(t, Options{Format: "text", Width: 4000, Show: []string{All}}, p)), " ")
		if got := [2]bool{strings.Contains(text, largest), strings.Contains(text, passes)}; got != [2]bool{tt.none, !tt.none} {
			t.Errorf("none does: %t; of the largest and of the smallest is said %v", tt.none, got)
		}
		if p.NoConductorDoes() != tt.none {
			t.Errorf("no conductor does: %t, want %t", p.NoConductorDoes(), tt.none)
		}
	}
}

// TestHeadlineOfAPass leaves out what the planner chose: that it is the smallest that passes says nothing of the home.
func TestHeadlineOfAPass(t *testing.T) {
	p := samplehome.Plan(t, "town-flat")
	for _, r := range p.Runs {
		if r.ConductorChosen && r.DeviceChosen != designed(p, r.ID) {
			t.Errorf("%s: chosen %t, designed %t", r.ID, r.DeviceChosen, designed(p, r.ID))
		}
		if !r.ConductorChosen && designed(p, r.ID) {
			t.Errorf("%s was given, and counts as designed", r.ID)
		}
	}
	if c := tightest(p); designed(p, c.ID) {
		t.Errorf("the headline is about %s, which the planner chose", c.ID)
	}
}
