package paper

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"outlast/backup/account"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// annex is the way to every figure of the calculation sheet: the figures in their order, every step with its source,
// defaults, and data.
func (r *report) annex() doc.Part {
	part := doc.Part{ID: "annex", Title: r.Say("annex.title"), Lead: r.Say("annex.lead")}
	figures := doc.Section{ID: "figures", Title: r.Say("figures.title")}
	for _, t := range []*doc.Table{r.inverterTable(), r.bankTable(), r.careTable(), r.circuitTable(), r.eventTable(),
		r.rechargeTable(), r.sunDaysTable(), r.generatorTable()} {
		if t != nil {
			figures.Blocks = append(figures.Blocks, doc.Block{Table: t})
		}
	}
	steps := doc.Section{ID: "working", Class: "flow", Title: r.Say("working.title"),
		Blocks: []doc.Block{doc.Para(r.Say("working.text")), {Table: r.workingTable()}}}
	equipment := doc.Section{ID: "equipment", Class: "flow", Title: r.Say("equipment.title"), Blocks: r.equipment()}
	part.Sections = append(part.Sections,
		figures, steps,
		doc.Section{ID: "defaults", Class: "flow", Title: r.Say("defaults.title"),
			Blocks: []doc.Block{doc.Para(r.Say("defaults.text")), {Table: r.defaultTable()}}},
		equipment,
		doc.Section{ID: "sources", Title: r.Say("sources.title"),
			Blocks: []doc.Block{doc.Para(r.Prose(account.SourceNote())), {List: r.sourceKey()}}})
	return part
}

// sourceKey explains the words behind sources.
func (r *report) sourceKey() *doc.List {
	l := &doc.List{}
	for _, basis := range working.Bases() {
		l.Items = append(l.Items, doc.Item{Lead: r.Prose(basis.Word()), Text: doc.Text{S: r.Prose(basis.Means())}})
	}
	return l
}

func stepID(no int) string { return "step-" + strconv.Itoa(no) }

// workingTable is every step of the calculation. That of a margin is the row of its check in the calculation sheet.
func (r *report) workingTable() *doc.Table {
	t := &doc.Table{ID: "working", Caption: r.Say("working.caption"), Steps: true, Columns: []doc.Column{
		doc.Tight(r.Say("col.no")), doc.Head(r.Say("col.step")), doc.Head(r.Say("col.formula")),
		doc.Head(r.Say("col.expression")), doc.Head(r.Say("col.numbers")), doc.Right(r.Say("col.result"), ""),
		doc.Tight(r.Say("col.unit")),
		doc.Head(r.Say("col.source")),
	}}
	for _, s := range r.Plan.Steps() {
		numbers, detail := r.stepDetail(s)
		t.Rows = append(t.Rows, doc.Row{ID: stepID(s.No), DataOnly: s.Check != "", Detail: detail, Cells: []doc.Cell{
			doc.Plain(fmt.Sprint(s.No)), doc.Plain(r.Prose(s.Title)), doc.Plain(r.Prose(s.Formula)),
			doc.Plain(s.Expr), numbers,
			{Text: doc.Text{S: digits(r.Voice, s.Value) + r.Customary(s.Value, s.Unit)},
				Exact: findings.Exact(s.Value)},
			doc.Plain(r.UnitName(s.Unit)), doc.Plain(r.Prose(s.Cited())),
		}})
	}
	return t
}

// stepDetail is what goes into a step: line by line with four figures for people, and in one cell with all of them for
// data.
func (r *report) stepDetail(s working.Step) (doc.Cell, *doc.Detail) {
	if len(s.Inputs) == 0 && s.Table == nil {
		return doc.Cell{}, nil
	}
	d := &doc.Detail{}
	var exact []string
	for _, i := range s.Inputs {
		from := doc.Link{Text: r.Prose(i.From.Words())}
		if i.From.Step > 0 {
			from.To = stepID(i.From.Step)
		}
		unit := r.UnitName(i.Unit)
		if unit != "" {
			unit = speech.Hard + unit
		}
		text := i.Name + " = " + digits(r.Voice, i.Value) + unit + r.Customary(i.Value, i.Unit)
		d.Inputs = append(d.Inputs, doc.Input{Text: text, From: from})
		d.Between = r.InTurn("", "")
		value := strings.TrimSpace(findings.Exact(i.Value) + " " + i.Unit)
		exact = append(exact, i.Name+" = "+value+" ("+from.Text+")")
	}
	if s.Table != nil {
		d.Columns, d.Rows = r.stepRows(s.Table)
		if tooWide(d.Rows) {
			d.Rows, d.Lines = nil, byHeads(r, d.Rows)
		}
	}
	var rounded []string
	for _, i := range d.Inputs {
		rounded = append(rounded, i.Text+" ("+i.From.Text+")")
	}
	return doc.Cell{Text: doc.Text{S: r.InTurn(rounded...)}, Exact: strings.Join(exact, "; ")}, d
}

// mostRows is how many rows of a step's table are printed: of more, as many of the first as of the last. JSON and
// `plan --working` have them all.
const mostRows = 24

// stepRows is the table of a step: what its columns are, and its cells with their heads.
func (r *report) stepRows(t *working.Table) (columns []string, rows [][]string) {
	var head []string
	for _, c := range t.Columns {
		head = append(head, c.Name)
	}
	rows = append(rows, append(head, ""))
	for n, row := range t.Rows {
		if cut := len(t.Rows) - mostRows; cut > 0 && n >= mostRows/2 && n < mostRows/2+cut {
			if n == mostRows/2 {
				rows = append(rows, append(slices.Repeat([]string{"…"}, len(t.Columns)),
					r.Prose(phrase.Of("%d rows", cut))))
			}
			continue
		}
		var cells []string
		for _, v := range row.Values {
			cells = append(cells, digits(r.Voice, v))
		}
		rows = append(rows, append(cells, r.Prose(row.Label)))
	}
	return r.Speaker.Columns(t), rows
}

// mostSigns is how wide the rows of a step's table may be: a column of the printed annex holds so many.
const mostSigns = 64

// tooWide says whether rows do not fit a column of the annex. Words behind the figures may be broken, figures not.
func tooWide(rows [][]string) bool {
	wide := 0
	for i := range rows[0] {
		most := 0
		for _, row := range rows {
			for _, word := range strings.Fields(row[i]) {
				most = max(most, utf8.RuneCountInString(word))
			}
		}
		wide += most + 2
	}
	return wide > mostSigns
}

// byHeads writes rows one by one, each figure behind the head of its column.
func byHeads(signs columns.Signs, rows [][]string) (lines []string) {
	last := len(rows[0]) - 1
	for _, row := range rows[1:] {
		if row[0] == "…" { // rows that are left out
			lines = append(lines, "… "+row[last])
			continue
		}
		lines = append(lines, columns.Beside(signs, rows[0], row))
	}
	return lines
}

// stepsOf leads from a check to the steps of the annex that its margin compares: at which its demand and its limit were
// worked out.
func (r *report) stepsOf(c verdict.Check) doc.Cell {
	var out doc.Cell
	for _, s := range r.Plan.Steps() {
		if s.Check != c.ID {
			continue
		}
		for _, in := range s.Inputs {
			link := doc.Link{Text: strconv.Itoa(in.From.Step), To: stepID(in.From.Step)}
			if in.From.Step > 0 && !slices.Contains(out.Links, link) {
				out.Links = append(out.Links, link)
			}
		}
	}
	var numbers []string
	for _, l := range out.Links {
		numbers = append(numbers, l.Text)
	}
	switch out.S = findings.List(numbers); {
	case out.S == "":
		return doc.Plain(r.Say("steps.here"))
	case !r.options.Annex: // there is nothing to lead to
		out.Links = nil
	}
	return out
}

// significant is how many figures of a result are printed: more than four are known of nothing in a home. CSV has them
// all.
const significant = 4

// digits writes a result with four figures; whole numbers stay whole.
func digits(v findings.Voice, x float64) string {
	if math.Abs(x) >= 1000 || x == math.Trunc(x) {
		return v.Fixed(x, 0)
	}
	return v.Local(strconv.FormatFloat(x, 'g', significant, 64))
}
