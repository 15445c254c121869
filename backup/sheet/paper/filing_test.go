package paper_test

import (
	"context"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/verdict"
)

// tablesOf are the tables of all papers of a home, those of the annex too, by their ids.
func tablesOf(t *testing.T, home string) map[string]*doc.Table { return tablesIn(t, planOf(t, home)) }

// tablesIn are those of a plan.
func tablesIn(t *testing.T, p *backup.Plan) map[string]*doc.Table {
	t.Helper()
	d, err := paper.New(context.Background(), p, paper.Options{Annex: true})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*doc.Table{}
	for _, p := range d.Parts {
		for _, s := range p.Sections {
			for _, b := range s.Blocks {
				if b.Table != nil {
					out[b.Table.ID] = b.Table
				}
			}
		}
	}
	return out
}

// column gives the cells of a column of a table.
func column(table *doc.Table, n int) (out []string) {
	for _, row := range table.Rows {
		text := row.Cells[n].Exact
		if text == "" {
			text = row.Cells[n].S
		}
		out = append(out, text)
	}
	return out
}

// TestMaterials: the list has each device of the diagram, the breaker of each circuit of the backup board, every
// battery, and of the cables as many metres as the runs are long.
func TestMaterials(t *testing.T) {
	for _, home := range homes {
		p, tables := planOf(t, home), tablesOf(t, home)
		var marks []string
		for _, of := range column(tables["materials"], 4) {
			marks = append(marks, strings.Split(of, ", ")...)
		}
		for _, mark := range slices.Concat(column(tables["devices"], 0), column(tables["backup-board"], 0)) {
			if !slices.Contains(marks, mark) {
				t.Errorf("%s: %s is not on the list of materials", home, mark)
			}
		}
		if got := tables["materials"].Rows[1].Cells[1].S; got != strconv.Itoa(p.Bank.Units()) {
			t.Errorf("%s: %s batteries on the list, want %d", home, got, p.Bank.Units())
		}
		perUnit := 1.0 // metres
		if p.Site.Units == "us" {
			perUnit = 0.3048 // by definition
		}
		got, want := 0.0, 0.0
		for _, row := range tables["materials"].Rows {
			if unit := row.Cells[2].S; unit == "m" || unit == "ft" {
				v, _ := strconv.ParseFloat(row.Cells[1].Exact, 64)
				got += v * perUnit
			}
		}
		main := map[string]bool{}
		for _, c := range p.Circuits {
			main["cable-"+c.ID] = !c.OnBackup
		}
		for _, run := range p.Runs {
			if !main[run.ID] {
				want += run.LengthM * float64(run.Count)
			}
		}
		if math.Abs(got-want) > 1e-4*want { // CSV has six digits
			t.Errorf("%s: %.2f m of cable on the list, %.2f m in the plan", home, got, want)
		}
	}
}

// TestStepsOfChecks: a check leads to the step of the annex that has its figure, and the step is there.
func TestStepsOfChecks(t *testing.T) {
	led := 0
	for _, home := range homes {
		p := inEnglish(t, home)
		tables := tablesIn(t, p)
		checks, say := map[string]verdict.Check{}, sayingOf(t, p)
		for _, c := range p.Checks {
			checks[say(c.Reason)] = c
		}
		for _, row := range tables["checks"].Rows {
			c := checks[row.Cells[6].S]
			for _, link := range row.Cells[7].Links {
				i := slices.IndexFunc(tables["working"].Rows,
					func(r doc.Row) bool { return r.ID == link.To && !r.DataOnly })
				if i < 0 {
					t.Fatalf("%s: %s leads to %s, which is not printed", home, row.Cells[1].S, link.To)
				}
				no, _ := strconv.Atoi(link.Text)
				step := p.Steps()[no-1]
				value := step.Value
				if c.Unit == "%" && step.Unit == "" { // the step has the share
					value *= 100
				}
				if tables["working"].Rows[i].Cells[0].S != link.Text ||
					math.Abs(c.Demand-value) > 1e-9*math.Abs(value) && math.Abs(c.Limit-value) > 1e-9*math.Abs(value) {
					t.Errorf("%s: %s leads to step %s, %g, but compares %g with %g", home, row.Cells[1].S, link.Text, value,
						c.Demand, c.Limit)
				}
				led++
			}
		}
	}
	if led < 150 {
		t.Errorf("only %d links: this test sees too little", led)
	}
}

// TestWorkingIsReadable: no result and no number of the working has more than four figures, whole numbers apart.
func TestWorkingIsReadable(t *testing.T) {
	for _, row := range tablesOf(t, "cottage")["working"].Rows {
		for _, text := range []string{row.Cells[4].S, row.Cells[5].S} {
			for _, word := range strings.FieldsFunc(text,
				func(r rune) bool { return !strings.ContainsRune("0123456789.\u202f", r) }) {
				if digits := strings.TrimLeft(strings.NewReplacer(".", "", "\u202f", "").Replace(word),
					"0"); strings.Contains(word, ".") && !strings.HasSuffix(word, ".") && len(digits) > 4 {
					t.Errorf("step %s: %q in %q", row.Cells[0].S, word, text)
				}
			}
		}
	}
}

// TestHoursHaveOneMeaning: what the owner's page promises is a row of the table of hours, and so is every other time
// that the papers tell.
func TestHoursHaveOneMeaning(t *testing.T) {
	for _, home := range homes {
		p, hours := planOf(t, home), column(tablesOf(t, home)["hours"], 0)
		least, _, err := p.LeastAutonomy()
		if err != nil {
			t.Fatal(err)
		}
		if _, promises := strings.CutPrefix(column(tablesOf(t, home)["hours"], 1)[1],
			"promised"); promises == (p.Verdict() == verdict.Fail) {
			t.Errorf("%s is %s, and its hours are promised: %v", home, p.Verdict(), promises)
		}
		for _, want := range []float64{p.Site.Outage.AutonomyH, least, p.Bank.AutonomyH, p.Bank.AutonomyNewH} {
			if !slices.ContainsFunc(hours, func(s string) bool {
				v,
					_ := strconv.ParseFloat(s, 64)
				return math.Abs(v-want) <= 1e-5*want
			}) {
				t.Errorf("%s: %g h is not among %q", home, want, hours)
			}
		}
	}
}

// TestKeysHaveWords: every key that the papers name in a table stands there in words, in every language.
func TestKeysHaveWords(t *testing.T) {
	raw := regexp.MustCompile(`\b[a-z]+(_[a-z0-9]+)+\b`)
	for _, home := range homes {
		for id, table := range tablesOf(t, home) {
			for _, row := range table.Rows {
				at := 0
				if id == "defaults" {
					at = 2
				}
				if text := row.Cells[at].S; (strings.HasPrefix(id, "data-") || id == "defaults" ||
					id == "sensitivity") && raw.MatchString(text) {
					t.Errorf("%s: %s: %q is a key of a file", home, id, text)
				}
			}
		}
	}
}
