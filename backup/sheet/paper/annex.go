package paper

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
)

// annex is the way to every figure of the calculation sheet: the figures in their order, every step with its source, defaults, and data.
func (r *report) annex() Part {
	part := Part{ID: "annex", Title: r.Say("annex.title"), Lead: r.Say("annex.lead")}
	figures := Section{ID: "figures", Title: r.Say("figures.title")}
	for _, t := range []*Table{r.inverterTable(), r.bankTable(), r.careTable(), r.circuitTable(), r.eventTable(), r.rechargeTable(), r.sunDaysTable(), r.generatorTable()} {
		if t != nil {
			figures.Blocks = append(figures.Blocks, Block{Table: t})
		}
	}
	working := Section{ID: "working", Class: "flow", Title: r.Say("working.title"), Blocks: []Block{para(r.Say("working.text")), para(r.prose(facts.SourceNote())), {List: r.sourceKey()}, {Table: r.workingTable()}}}
	equipment := Section{ID: "equipment", Class: "flow", Title: r.Say("equipment.title"), Blocks: r.equipment()}
	part.Sections = append(part.Sections,
		figures, working,
		Section{ID: "defaults", Class: "flow", Title: r.Say("defaults.title"), Blocks: []Block{para(r.Say("defaults.text")), {Table: r.defaultTable()}}},
		equipment)
	return part
}

// keyWords are the ways in which a source is known, beside the documents that were read: their words follow the source in brackets.
var keyWords = []string{"quoted", "practice", "recalled"}

// sourceKey explains the key words.
func (r *report) sourceKey() *List {
	l := &List{}
	for _, k := range keyWords {
		l.Items = append(l.Items, Item{Lead: r.Say("source." + k), Text: Text{S: r.Say("source." + k + "-means")}})
	}
	return l
}

// The sources by how they are known: words of their English, which is the same in every language of the papers.
var (
	fromMemory   = regexp.MustCompile(`from memory`)
	fromPractice = regexp.MustCompile(`practice|rule of thumb|rules of thumb|planning rule|safe side|commonly accepted`)
	fromQuoted   = regexp.MustCompile(`\b(IEC|EN|IEEE|NEC|BS|AS/NZS|UFC|ITIC)\b`)
)

// sourceText is a source with its key words.
func (r *report) sourceText(source phrase.Phrase) string {
	text := r.prose(source)
	english := source.String()
	for i, is := range []bool{fromQuoted.MatchString(english) && !fromMemory.MatchString(english), fromPractice.MatchString(english), fromMemory.MatchString(english)} {
		if word := r.Say("source." + keyWords[i]); is && !strings.Contains(strings.ToLower(text), strings.ToLower(word)) {
			text += " [" + word + "]"
		}
	}
	return text
}

func stepID(no int) string { return "step-" + strconv.Itoa(no) }

// workingTable is every step of the calculation. That of a margin is the row of its check in the calculation sheet.
func (r *report) workingTable() *Table {
	t := &Table{ID: "working", Caption: r.Say("working.caption"), Steps: true, Columns: []Column{
		tight(r.Say("col.no")), head(r.Say("col.step")), head(r.Say("col.formula")), head(r.Say("col.numbers")), right(r.Say("col.result"), ""), tight(r.Say("col.unit")), head(r.Say("col.source")),
	}}
	for _, s := range r.plan.Steps() {
		t.Rows = append(t.Rows, Row{ID: stepID(s.No), DataOnly: s.Check != "", Cells: []Cell{
			cell(fmt.Sprint(s.No)), cell(r.prose(s.Title)), cell(r.prose(s.Formula)), cell(r.roundedText(r.prose(s.Numbers))),
			{Text: Text{S: r.digits(s.Value)}, Exact: exact(s.Value)}, cell(r.UnitName(s.Unit)), cell(r.sourceText(s.Source)),
		}})
	}
	return t
}

// stepsOf leads from a check to the steps of the annex at which its demand and its limit were worked out: the last ones with these figures.
func (r *report) stepsOf(c verdict.Check) Cell {
	var out Cell
	add := func(v float64) {
		steps := r.plan.Steps()
		for _, s := range slices.Backward(steps) {
			if s.Check != "" || s.Unit != c.Unit || math.Abs(s.Value-v) > 1e-9*math.Abs(v) || v == 0 {
				continue
			}
			link := Link{Text: strconv.Itoa(s.No), To: stepID(s.No)}
			if !slices.Contains(out.Links, link) {
				out.Links = append(out.Links, link)
			}
			return
		}
	}
	add(c.Demand)
	if c.HasLimit {
		add(c.Limit)
	}
	var numbers []string
	for _, l := range out.Links {
		numbers = append(numbers, l.Text)
	}
	switch out.S = list(numbers); {
	case out.S == "":
		return cell(none)
	case !r.options.Annex: // there is nothing to lead to
		out.Links = nil
	}
	return out
}

// significant is how many figures of a result are printed: more than four are known of nothing in a home. CSV has them all.
const significant = 4

// digits writes a result with four figures; whole numbers stay whole.
func (v voice) digits(x float64) string {
	if math.Abs(x) >= 1000 || x == math.Trunc(x) {
		return v.Fixed(x, 0)
	}
	return v.Local(strconv.FormatFloat(x, 'g', significant, 64))
}

// withDecimals finds the numbers with decimals in a text: those that may have more figures than are known.
var withDecimals = regexp.MustCompile(`\d[\d\x{202f}]*[.,]\d+`)

// roundedText gives the numbers of a text four figures. A comma between numbers is no decimal sign in English.
func (v voice) roundedText(s string) string {
	point := "."
	if v.Lang != "en" {
		point = ","
	}
	return withDecimals.ReplaceAllStringFunc(s, func(number string) string {
		whole, part, ok := strings.Cut(number, point)
		if !ok || len(strings.TrimLeft(whole, "0"))+len(part) <= significant {
			return number
		}
		x, err := strconv.ParseFloat(strings.ReplaceAll(whole, thin, "")+"."+part, 64)
		if err != nil {
			return number
		}
		return v.digits(x)
	})
}
