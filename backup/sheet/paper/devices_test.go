package paper_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/drawnhome"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/doc"
)

// blockWith is the first block of the papers that has what is looked for.
func blockWith(t *testing.T, d *doc.Document, what string, has func(doc.Block) bool) doc.Block {
	t.Helper()
	for _, part := range d.Parts {
		for _, s := range part.Sections {
			if i := slices.IndexFunc(s.Blocks, has); i >= 0 {
				return s.Blocks[i]
			}
		}
	}
	t.Fatalf("no %s", what)
	return doc.Block{}
}

// tableOf is a table of the papers by its id.
func tableOf(t *testing.T, d *doc.Document, id string) *doc.Table {
	t.Helper()
	return blockWith(t, d, "table "+id, func(b doc.Block) bool { return b.Table != nil && b.Table.ID == id }).Table
}

// figureOf is a drawing of the papers by its id.
func figureOf(t *testing.T, d *doc.Document, id string) *doc.Figure {
	t.Helper()
	return blockWith(t, d, "drawing "+id, func(b doc.Block) bool { return b.Figure != nil && b.Figure.ID == id }).Figure
}

// manyHomes are sample sites, the homes on which something was found, and drawn ones, by name.
func manyHomes(t *testing.T, drawn uint64) (names, sources []string) {
	t.Helper()
	for _, home := range homes {
		_, src := samplehome.Text(t, home)
		names, sources = append(names, home), append(sources, string(src))
	}
	for seed := range drawn {
		names, sources = append(names, fmt.Sprint("drawn home ", seed)), append(sources, string(drawnhome.Draw(seed)))
	}
	return names, sources
}

var markOf = regexp.MustCompile(`<text [^>]*>([TQSFBM][0-9.]+)</text>`)

// TestEveryMarkHasARow: whatever stands under a mark in the diagram of the home or of its bank has a row of the
// devices, with poles, voltage and a rating or the words that say for what it is chosen; a circuit has its row of a
// schedule.
func TestEveryMarkHasARow(t *testing.T) {
	names, sources := manyHomes(t, 25)
	seen := 0
	for i, src := range sources {
		p, err := planIfAny(t, src)
		if err != nil {
			continue
		}
		d, err := paper.New(t.Context(), p, paper.Options{For: "electrician"})
		if err != nil {
			t.Fatal(err)
		}
		rows := map[string]doc.Row{}
		for _, id := range []string{"devices", "backup-board", "main-board"} {
			for _, row := range tableOf(t, d, id).Rows {
				rows[row.Cells[0].S] = row
			}
		}
		line := figureOf(t, d, "fig-line")
		for _, m := range markOf.FindAllStringSubmatch(string(line.Wide+line.Narrow+figureOf(t, d,
			"fig-bank").Wide), -1) {
			mark := m[1]
			seen++
			if n, ok := strings.CutPrefix(mark, "F1."); ok && n != "" {
				mark = fmt.Sprintf("F1.1–F1.%d", p.Bank.Strings)
			}
			row, ok := rows[mark]
			if !ok {
				t.Errorf("%s: %s of the diagram has no row", names[i], mark)
				continue
			}
			if strings.ContainsAny(mark[:1], "BM") || mark == "T1" {
				continue
			}
			rated, poles, volts, remark := row.Cells[3].S, row.Cells[4].S, row.Cells[5].S, row.Cells[7].S
			if poles == "–" || volts == "–" || rated == "–" && !strings.Contains(remark, "to be chosen") {
				t.Errorf("%s: %s is rated %q, has poles %q, volts %q, remark %q", names[i], mark, rated, poles, volts,
					remark)
			}
		}
	}
	if seen < 400 {
		t.Errorf("only %d marks were seen", seen)
	}
}

// TestEachArrayHasItsIsolator: two arrays are drawn apart, and of more than there is room for the last is told.
func TestEachArrayHasItsIsolator(t *testing.T) {
	d, err := paper.New(t.Context(), planOf(t, "farmhouse"), paper.Options{For: "electrician"})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"devices", "isolation", "conductors"} {
		var marks []string
		for _, row := range tableOf(t, d, id).Rows {
			marks = append(marks, row.Cells[0].S)
		}
		if !slices.Contains(marks, "Q7.1") || !slices.Contains(marks, "Q7.2") || slices.Contains(marks, "Q7") {
			t.Errorf("%s has %q, want a row for each of Q7.1 and Q7.2", id, marks)
		}
	}
}

// TestScheduleHasNoEmptyColumns: a column in which no circuit has anything is left out, and circuits beyond the ways
// are marked where they stand.
func TestScheduleHasNoEmptyColumns(t *testing.T) {
	const head = "[site]\nname = \"A\"\nnominal_v = 230\n[outage]\nautonomy_h = 2\n[inverter]\n" +
		"use = \"hybrid-8k-48\"\n[bank]\nuse = \"lfp-51-200\"\n[board]\nways = 2\n"
	var b strings.Builder
	b.WriteString(head)
	for i := range 4 {
		fmt.Fprintf(&b,
			"[[circuit]]\nid = \"c%d\"\nbreaker_a = 10\nboard = \"backup\"\n[[load]]\nname = \"Load %d\"\n"+
				"circuit = \"c%d\"\nrunning_w = 10\nhours_per_day = 1\n", i, i, i)
	}
	d, err := paper.New(t.Context(), planText(t, b.String()), paper.Options{For: "electrician"})
	if err != nil {
		t.Fatal(err)
	}
	table := tableOf(t, d, "backup-board")
	var heads []string
	for _, c := range table.Columns {
		heads = append(heads, c.Head)
	}
	if want := []string{"No", "Circuit", "Circuit breaker", "Power", "Current", "Supplies"}; !slices.Equal(heads,
		want) {
		t.Errorf("the schedule has the columns %q, want %q", heads, want)
	}
	for i, row := range table.Rows {
		want := ""
		if i == 2 {
			want = "More than the 2 ways of the board:"
		}
		if row.Group != want {
			t.Errorf("row %d stands under %q, want %q", i+1, row.Group, want)
		}
	}
}

// TestNothingLiveBeforeTheSupply: the record follows the work, and what a home does not have is not asked for.
func TestNothingLiveBeforeTheSupply(t *testing.T) {
	for _, tt := range []struct {
		home                       string
		array, generator, rotation bool
	}{{"town-flat", false, false, false}, {"clinic", false, true, false}, {"farmhouse", true, true, true}} {
		d, err := paper.New(t.Context(), planOf(t, tt.home), paper.Options{For: "electrician"})
		if err != nil {
			t.Fatal(err)
		}
		var order []string
		var texts strings.Builder
		for _, s := range d.Parts[0].Sections {
			if s.ID != "commissioning" {
				continue
			}
			for _, b := range s.Blocks {
				switch {
				case b.List != nil:
					order = append(order, "list")
					for _, it := range b.List.Items {
						texts.WriteString(it.Text.S + "\n")
					}
				case b.Table != nil:
					order = append(order, b.Table.ID)
					for _, row := range b.Table.Rows {
						texts.WriteString(row.Cells[0].S + "\n")
						if row.Cells[2].S != "" || row.Cells[3].S != "" || !b.Table.Columns[2].Blank ||
							!b.Table.Columns[3].Blank {
							t.Errorf("%s: %q has no room for a reading and a date", tt.home, row.Cells[0].S)
						}
						if live := regexp.MustCompile(
							"(?i)phase sequence|loop|trip|residual|rcd"); b.Table.ID == "tests-dead" &&
							live.MatchString(row.Cells[0].S) {
							t.Errorf("%s: %q needs a supply and stands among the dead tests", tt.home, row.Cells[0].S)
						}
					}
				}
			}
		}
		if want := []string{"list", "tests-dead", "tests-sources", "list", "tests-live", "tests-function",
			"list"}; !slices.Equal(order, want) {
			t.Errorf("%s: the order is %q, want %q", tt.home, order, want)
		}
		for word, is := range map[string]bool{"rray": tt.array, "enerator": tt.generator,
			"Phase sequence": tt.rotation} {
			if strings.Contains(texts.String(), word) != is {
				t.Errorf("%s: the record says %q: %t, want %t:\n%s", tt.home, word, !is, is, texts.String())
			}
		}
	}
}

// Every limit of a current that a sentence of the plan tells people to keep is a row of the settings, rounded down, so
// that nobody has to find it in a reason of a check.
func TestToldLimitsAreSettings(t *testing.T) {
	told := regexp.MustCompile(`(?:[Ee]nter|charge with|set [a-z ]+ to|limit [a-z ]+ to) at most ([0-9.]+) A`)
	made := 0
	names, sources := manyHomes(t, 40)
	for i, src := range sources {
		home := names[i]
		p, err := planIfAny(t, src)
		if err != nil {
			continue
		}
		d, err := paper.New(t.Context(), p, paper.Options{For: "electrician"})
		if err != nil {
			t.Fatal(err)
		}
		printed := map[float64]bool{}
		for _, row := range tableOf(t, d, "settings").Rows {
			if x, err := strconv.ParseFloat(row.Cells[1].S, 64); err == nil {
				printed[x] = true
			}
		}
		sentences := append(phrase.Strings(p.Cautions), phrase.Strings(p.WireNotes)...)
		for _, c := range p.Checks {
			sentences = append(sentences, c.Reason.String())
		}
		for _, s := range sentences {
			for _, m := range told.FindAllStringSubmatch(s, -1) {
				made++
				a, err := strconv.ParseFloat(m[1], 64)
				if err != nil {
					t.Fatal(err)
				}
				if !printed[math.Floor(a)] && !printed[math.Floor(10*a)/10] {
					t.Errorf("%s: no setting for the limit in %q", home, s)
				}
			}
		}
	}
	if made < 5 {
		t.Errorf("only %d limits were told", made)
	}
}
