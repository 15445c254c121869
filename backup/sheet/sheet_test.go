package sheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/catalog"
	"outlast/loads"
)

// planWith plans a small home whose name, labels and loads are called as a test wishes.
func planWith(t *testing.T, name, label, load string) *backup.Plan {
	t.Helper()
	text := fmt.Sprintf(`
[site]
name = %s
nominal_v = 230
[outage]
autonomy_h = 4
start = "18:00" # else the worst of all starts is looked for anew for every sheet
[inverter]
use = "hybrid-5k-48"
label = %s
[bank]
use = "lfp-51-100"
strings = 2
[[circuit]]
id = "a"
label = %s
breaker_a = 10
board = "backup"
[[load]]
name = %s
circuit = "a"
running_w = 100
starting_va = 700
hours_per_day = 4
medical = true
[[load]]
name = "Kettle"
circuit = "a"
running_w = 9000
hours_per_day = 1
held_off = true
`, strconv.Quote(name), strconv.Quote(label), strconv.Quote(label), strconv.Quote(load))
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site, err := site.Read("test.toml", []byte(text), cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(context.Background(), site)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func write(t *testing.T, o Options, plans ...*backup.Plan) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, plans, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// nastyNames are names that people give, and names that would do harm on paper or on a terminal.
var nastyNames = []string{
	"Fridge", "Kühlschrank und Gefriertruhe", "冷蔵庫と冷凍庫のための回路、台所の隣の部屋", "ثلاجة المطبخ", "🧊 ice 🧊 maker 👩‍🚒",
	"Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaftspumpe",
	"a | b * c _ d ` e [f](g) <b>h</b> # & \\ i", "=1+2", "+1", "-1", "@sum(a1)", "rtl\u202eevil\u202c",
	"zero\u200bwidth", "two\u2028lines\u2029here", "\u2067turned\u2069", "\u061carabic mark", "tag\U000e0041",
	"e\u0301\u0323\u0302 marks",
	"%s %d %!", "pass ", "fail, with a comma \"and quotes\"",
}

// TestTextKeepsItsWidth: whatever things are called, a line is as wide as asked at most.
func TestTextKeepsItsWidth(t *testing.T) {
	for _, word := range nastyNames {
		p := planWith(t, word, word, word)
		for _, width := range []int{MinWidth, 80, 120} {
			for i, line := range strings.Split(write(t, Options{Width: width, Show: []string{All}, Working: true}, p),
				"\n") {
				if n := displaywidth.String(line); n > width {
					t.Errorf("%q at %d columns, line %d has %d: %q", word, width, i+1, n, line)
				}
				if strings.TrimRightFunc(line, unicode.IsSpace) != line {
					t.Errorf("%q at %d columns, line %d ends in blanks: %q", word, width, i+1, line)
				}
			}
		}
	}
}

// TestNothingHidden: in no format a name can hide text, turn its direction or move a terminal's cursor.
func TestNothingHidden(t *testing.T) {
	for _, word := range nastyNames {
		p := planWith(t, word, word, word)
		for _, format := range []string{"text", "markdown", "csv", "json"} {
			out := write(t, Options{Format: format, Show: []string{All}, Working: true}, p)
			if i := strings.IndexFunc(out, func(r rune) bool {
				return r != '\n' &&
					(speech.Hidden(r) || unicode.In(r, unicode.Zl, unicode.Zp))
			}); i >= 0 {
				t.Errorf("%q as %s: %q", word, format, out[max(0, i-20):min(len(out), i+20)])
			}
			if format != "json" {
				continue
			}
			var read struct{ Site string }
			if err := json.Unmarshal([]byte(out), &read); err != nil || read.Site != p.Site.Name {
				t.Errorf("a program reads the name %q (%v), want %q", read.Site, err, p.Site.Name)
			}
		}
	}
}

// TestNothingHiddenElsewhere: nor can it on the sheets of an outage and of the equipment that fits.
func TestNothingHiddenElsewhere(t *testing.T) {
	for _, word := range []string{"rtl\u202eevil\u202c", "two\u2028lines\u2029here", "\u2067turned\u2069"} {
		p := planWith(t, word, word, word)
		r, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 60})
		if err != nil {
			t.Fatal(err)
		}
		cat, err := catalog.Generic()
		if err != nil {
			t.Fatal(err)
		}
		z, err := backup.Size(t.Context(), p.Site, cat, sizing.Options{MaxCount: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, format := range Formats() {
			var b bytes.Buffer
			if format != "markdown" {
				if err := WriteOutage(&b, r, Options{Format: format}); err != nil {
					t.Fatal(err)
				}
			}
			if err := WriteSizing(&b, record.Sizing{Site: p.Site, Targets: []*sizing.Sizes{z}}, 2,
				Options{Format: format}); err != nil {
				t.Fatal(err)
			}
			out := b.String()
			if i := strings.IndexFunc(out, func(r rune) bool {
				return r != '\n' &&
					(speech.Hidden(r) || unicode.In(r, unicode.Zl, unicode.Zp))
			}); i >= 0 {
				t.Errorf("%q as %s: %q", word, format, out[max(0, i-20):min(len(out), i+20)])
			}
		}
	}
}

// TestCSV: every row has six cells, numbers are numbers, and nobody's text is taken for a formula.
func TestCSV(t *testing.T) {
	plans := []*backup.Plan{samplehome.Plan(t, "farmhouse"), samplehome.Plan(t, "overloaded")}
	for _, word := range nastyNames {
		plans = append(plans, planWith(t, word, word, word))
	}
	for i, p := range plans {
		rows, err := csv.NewReader(strings.NewReader(write(t, Options{Format: "csv", Working: true}, p,
			plans[(i+1)%len(plans)]))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if want := []string{"site", "section", "item", "name", "value", "unit"}; !slices.Equal(rows[0], want) {
			t.Errorf("head %q, want %q", rows[0], want)
		}
		for _, row := range rows[1:] {
			for i, cell := range row {
				if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
					continue
				}
				if _, err := strconv.ParseFloat(cell, 64); err != nil || i != 4 {
					t.Errorf("the cell %q may be taken for a formula, in %q", cell, row)
				}
			}
			if row[5] != "" && row[4] != "" {
				if _, err := strconv.ParseFloat(row[4], 64); err != nil {
					t.Errorf("the value of %q is no number, but has a unit", row)
				}
			}
		}
	}
}

// TestMarkdown: rows of a table have as many cells as its head, and no name opens markup.
func TestMarkdown(t *testing.T) {
	plans := []*backup.Plan{samplehome.Plan(t, "clinic"), samplehome.Plan(t, "split-phase"),
		samplehome.Plan(t, "overloaded")}
	for _, word := range nastyNames {
		plans = append(plans, planWith(t, word, word, word))
	}
	for _, p := range plans {
		cells, drawing := 0, false
		for line := range strings.Lines(write(t, Options{Format: "markdown", Working: true}, p)) {
			if line == "```\n" {
				drawing = !drawing
			}
			if drawing {
				continue
			}
			line = strings.TrimLeft(line, " ") // a table may stand in an item of a list
			line = strings.NewReplacer(`\\`, "", `\|`, "", `\[`, "", `\]`, "").Replace(line)
			n := strings.Count(line, "|")
			switch {
			case !strings.HasPrefix(line, "|"):
				cells = 0
				if n > 0 {
					t.Errorf("%s: a bar outside of a table: %q", p.Site.Name, line)
				}
			case cells == 0:
				cells = n
			case n != cells:
				t.Errorf("%s: %d bars, want %d: %q", p.Site.Name, n, cells, line)
			}
			if strings.HasPrefix(line, "- `") && strings.Count(line, "`") == 2 {
				continue // a formula, which is no markup
			}
			if strings.ContainsAny(line, "<>") || strings.Contains(line, "](") {
				t.Errorf("%s: markup in %q", p.Site.Name, line)
			}
		}
	}
}

// TestColour: the paint is on the verdict and on statuses only; without it the text is the same.
func TestColour(t *testing.T) {
	strip := strings.NewReplacer("\x1b[1m", "", "\x1b[32m", "", "\x1b[33m", "", "\x1b[31m", "", "\x1b[0m", "")
	for _, name := range []string{"town-flat", "cottage", "overloaded"} {
		p := samplehome.Plan(t, name)
		painted, plain := write(t, Options{Show: []string{All}, Colour: true}, p),
			write(t, Options{Show: []string{All}}, p)
		if strip.Replace(painted) != plain {
			t.Errorf("%s: the painted text is another one", name)
		}
		if strings.Contains(plain, "\x1b") {
			t.Errorf("%s: paint without being asked", name)
		}
		if n, want := strings.Count(painted, "\x1b[0m"), len(p.Checks)+1; n != want {
			t.Errorf("%s: %d painted words, want the verdict and %d statuses", name, n, want-1)
		}
		screen := write(t, Options{Colour: true}, p)
		if strip.Replace(screen) != write(t, Options{}, p) {
			t.Errorf("%s: the painted first screen is another one", name)
		}
		if n, want := strings.Count(screen, "\x1b[31m"), len(p.With(verdict.Fail)); want > 0 && n != want+1 {
			t.Errorf("%s: %d words in red, want the verdict and %d that fail", name, n, want)
		}
		if first, _, _ := strings.Cut(painted, "\n"); !strings.Contains(first, "\x1b[1m") {
			t.Errorf("%s: the verdict in %q is not painted", name, first)
		}
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errFull }

var errFull = errors.New("no space left")

// TestWriteErrors: an unknown format names the known ones, and an error of the writer comes back.
func TestWriteErrors(t *testing.T) {
	p := planWith(t, "A", "B", "C")
	if err := Write(&bytes.Buffer{}, []*backup.Plan{p}, Options{Format: "html"}); err == nil ||
		!strings.Contains(err.Error(), "text, markdown, csv, json") {
		t.Errorf("format html: %v, want the known formats", err)
	}
	for _, format := range Formats() {
		if err := Write(fullDisk{}, []*backup.Plan{p}, Options{Format: format}); !errors.Is(err, errFull) {
			t.Errorf("%s to a full disk: %v, want its error", format, err)
		}
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteCatalog(fullDisk{}, cat, 80); !errors.Is(err, errFull) {
		t.Errorf("the catalog to a full disk: %v, want its error", err)
	}
}

// TestCatalogFits: the list of equipment keeps its width, and names every entry once.
func TestCatalogFits(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{72, 80, 120} {
		var b bytes.Buffer
		if err := WriteCatalog(&b, cat, width); err != nil {
			t.Fatal(err)
		}
		seen := map[string]int{}
		for line := range strings.Lines(b.String()) {
			line = strings.TrimSuffix(line, "\n")
			if displaywidth.String(line) > width || strings.TrimRight(line, " ") != line {
				t.Errorf("at %d columns: %q", width, line)
			}
			first, _, _ := strings.Cut(line, " ")
			seen[first]++
		}
		for _, id := range cat.IDs() {
			if seen[id] != 1 {
				t.Errorf("at %d columns %q stands %d times", width, id, seen[id])
			}
		}
	}
}

// TestFigures: numbers as people read them.
func TestFigures(t *testing.T) {
	for _, tt := range []struct{ got, want string }{
		{grid.Whole(0.4), "0"}, {grid.Whole(-0.4), "0"}, {grid.Whole(2.5), "2"}, {grid.Whole(1234567), "1234567"},
		{grid.Whole(-3), "-3"},
		{grid.Tenth(0.04), "0.0"}, {grid.Tenth(-0.04), "0.0"}, {grid.Tenth(-0.06), "-0.1"}, {grid.Tenth(12.34), "12.3"},
		{grid.Short(48), "48"}, {grid.Short(51.2), "51.2"}, {grid.Short(0.1 + 0.2), "0.3"}, {grid.Short(1e6), "1e+06"},
		{grid.OrNone(0), "-"}, {grid.OrNone(16), "16"}, {grid.OrNone(12.5), "12.5"}, {grid.OrNone(400.4), "400"},
		{grid.Percent(1, 0), "-"}, {grid.Percent(1, 4), "25"}, {grid.Percent(-1, 3), "-33"},
		{grid.Figure(1234.4, "VA"), "1234"}, {grid.Figure(0.2534, "A/Ah"), "0.253"}, {grid.Figure(0.2534, ""), "0.25"},
		{grid.Figure(-0.001, ""), "-0.001"}, {grid.Figure(-1e-9, ""), "0.00"},
		{grid.Figure(9.96, "A"), "10.0"}, {grid.Figure(1000, "A"), "1000"}, {grid.Figure(-1234.5, "V"), "-1234"},
		{grid.Figure(3, "strings"), "3"}, {grid.Figure(822, "Ah"), "822"}, {grid.Figure(99.63, "Ah"), "99.6"}, {grid.Figure(12.5, "ms"), "12.5"},
		{grid.Figure(0.02, "h"), "0.02"}, {grid.Figure(0.3, "VA"), "0.3"}, {grid.Figure(0, "VA"), "0"},
		{grid.Figure(1e-12, "A"), "0.0"},
		{grid.Tenth(grid.RoundDown(99.97, 1)), "99.9"}, {grid.Whole(grid.RoundDown(99.9999999999, 0)), "100"},
		{grid.Whole(grid.RoundDown(99.99, 0)), "99"},
		{string(leftOf(verdict.Check{Margin: 0.25})), "25 %"},
		{string(leftOf(verdict.Check{Margin: -0.00004})), "-0.004 %"},
		{string(leftOf(verdict.Check{Margin: -0.35})), "-35 %"},
		{string(leftOf(verdict.Check{Margin: -763.86})), "<-1000 %"},
		{string(leftOf(verdict.Check{Unit: "C", Margin: -0.04})), "-0.04 K"},
		{string(leftOf(verdict.Check{Unit: "C", Margin: -60})), "-60.0 K"},
		{grid.Named([]string{"Pump, 240 V", "Fan"}).String(), `"Pump, 240 V", "Fan"`},
		{grid.Named(nil).String(), "none"},
		{worstMinutes(loads.Demand{AtMin: 60, VAAtMin: 60}).String(), "at 01:00"},
		{worstMinutes(loads.Demand{AtMin: 60, VAAtMin: 75}).String(), "W at 01:00, VA at 01:15"},
		{grid.Plural(1, "way", "ways"), "1 way"}, {grid.Plural(0, "way", "ways"), "0 ways"},
		{grid.Plural(2, "way", "ways"), "2 ways"},
	} {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

// Ends of a spread that are written alike are no span.
func TestSpreadText(t *testing.T) {
	from := phrase.Name("09:00")
	for _, tt := range []struct{ low, high, want string }{
		{"15.6", "15.6", "at end of life, from 09:00, as loads cycle: the same in 8 of 10 simulated runs"},
		{"15.5", "15.6", "at end of life, from 09:00, as loads cycle: in 8 of 10 simulated runs 15.5 to 15.6 h"},
	} {
		if got := spreadText(from, tt.low, tt.high).String(); got != tt.want {
			t.Errorf("%s to %s h: %q, want %q", tt.low, tt.high, got, tt.want)
		}
	}
}
