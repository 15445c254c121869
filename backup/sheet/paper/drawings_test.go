package paper_test

import (
	"regexp"
	"strings"
	"testing"

	"outlast/backup/sheet/paper"
)

// onePhaseTooFull is a home of three phases of 8 kW each, of which the second is asked for 9 kW: little in total.
const onePhaseTooFull = `[site]
name = "Uneven"
nominal_v = 230
phases = 3
[outage]
autonomy_h = 1
[inverter]
use = "hybrid-8k-48"
count = 3
[bank]
use = "lfp-51-200"
strings = 3
[[circuit]]
id = "heavy"
breaker_a = 50
phase = 2
board = "backup"
[[circuit]]
id = "light"
breaker_a = 10
phase = 1
board = "backup"
[[load]]
name = "Kiln"
circuit = "heavy"
running_w = 9000
hours_per_day = 1
when = ["10:00-12:00"]
[[load]]
name = "Lamps"
circuit = "light"
running_w = 500
hours_per_day = 4
`

// TestATotalHidesNoPhase: the phase that is too full is told and drawn, where the total of 9.5 kW would be far within
// 24 kW.
func TestATotalHidesNoPhase(t *testing.T) {
	d, err := paper.New(t.Context(), planText(t, onePhaseTooFull), paper.Options{For: "file"})
	if err != nil {
		t.Fatal(err)
	}
	day, limits, shares := figureOf(t, d, "fig-day"), figureOf(t, d, "fig-limits"), figureOf(t, d, "fig-shares")
	for _, tt := range []struct{ where, text, want string }{
		{"the day", day.Describe,
			"Phase 2: fail: simultaneous load: 9.00\u00a0kW at 10:00; continuous rating 8.00\u00a0kW."},
		{"the day, wide", string(day.Wide), ">Phase 2<"},
		{"the day, narrow", string(day.Narrow), ">fail: simultaneous load: 9.00\u00a0kW at 10:00<"},
		{"the limits", limits.Describe, ", phase 2 112\u00a0%"}, // 9000 / 8000
		{"the limits", limits.Describe, ", phase 3 0\u00a0%"},
		{"the shares", shares.Describe, "phase 2: 9000 of 8000"},
	} {
		if !strings.Contains(tt.text, tt.want) {
			t.Errorf("%s do not say %q: %.600s", tt.where, tt.want, tt.text)
		}
	}
	if n := strings.Count(string(day.Wide), `class="limit dashed"`); n != 4 { // one in the key
		t.Errorf("the day has %d lines of a rating, want one for each phase and one in the key", n)
	}
}

// TestBarsBeyondTheScaleAreBroken: a bar that ends at the edge, but goes on, shows it; one within the scale does not.
func TestBarsBeyondTheScaleAreBroken(t *testing.T) {
	for home, want := range map[string]bool{"overloaded": true, "town-flat": false} {
		d, err := paper.New(t.Context(), planOf(t, home), paper.Options{For: "file"})
		if err != nil {
			t.Fatal(err)
		}
		f := figureOf(t, d, "fig-limits")
		if got := strings.Contains(string(f.Wide), `class="gap"`) &&
			strings.Contains(string(f.Narrow), `class="gap"`); got != want {
			t.Errorf("%s: bars are broken: %t, want %t", home, got, want)
		}
	}
}

// TestFiveStartsAreLabelled: of sixty starts five have their name in the drawing, every one has its mark, and the
// others stand in the list below.
func TestFiveStartsAreLabelled(t *testing.T) {
	p := planText(t, sixtyCircuits(1, 60))
	d, err := paper.New(t.Context(), p, paper.Options{For: "file"})
	if err != nil {
		t.Fatal(err)
	}
	f := figureOf(t, d, "fig-starts")
	named := regexp.MustCompile(`<text [^>]*>Load \d+ [^<]*</text>`) // in the key, on narrow paper
	for name, svg := range map[string]string{"wide": string(f.Wide), "narrow": string(f.Narrow)} {
		if n := len(named.FindAllString(svg, -1)); n < 3 || n > 5 {
			t.Errorf("%s: %d starts have a label, want up to five", name, n)
		}
		if n := strings.Count(svg, `class="dot"`); n != 60 {
			t.Errorf("%s: %d marks, want 60", name, n)
		}
	}
	found := false
	for _, s := range d.Parts[0].Sections {
		for _, b := range s.Blocks {
			if b.Text != nil && strings.HasPrefix(b.Text.S, "The other starts: ") {
				found = true
				if n := strings.Count(b.Text.S, "Load "); n < 55 || n > 57 {
					t.Errorf("the list has %d starts, want the 55 or more that have no label", n)
				}
			}
		}
	}
	if !found {
		t.Error("no list of the other starts")
	}
}

// TestOneUnitInAColumn: what the circuits take stands in one unit, told at the head.
func TestOneUnitInAColumn(t *testing.T) {
	d, err := paper.New(t.Context(), planOf(t, "farmhouse"), paper.Options{For: "file"})
	if err != nil {
		t.Fatal(err)
	}
	svg := string(figureOf(t, d, "fig-day").Wide)
	if !strings.Contains(svg, ">kWh a day<") || !strings.Contains(svg, ">0.77<") || !strings.Contains(svg, ">8.15<") ||
		strings.Contains(svg, ">768") {
		t.Error("the circuits of the farmhouse do not take kWh throughout")
	}
}
