package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/catalog/strict"
)

// filing is the calculation sheet: the result, what it rests on and what follows from it, on a few pages. The way to every figure is in the annex.
func (r *report) filing(drawings Section) (Part, error) {
	p := r.plan
	part := Part{ID: "file", Title: r.Say("file.title"), Lead: r.Say("file.lead")}
	if !r.options.Annex {
		part.Lead = r.Say("file.lead-alone")
	}
	part.Sections = append(part.Sections, r.medicalBox()...)
	hours := Section{ID: "hours", Title: r.Say("hours.title"), Blocks: []Block{{Table: r.hoursTable()}}}
	part.Sections = append(part.Sections, r.summary(), hours)
	if len(p.Options) > 0 {
		part.Sections = append(part.Sections, Section{ID: "options", Title: r.Say("options.title"), Blocks: []Block{{Table: r.optionTable()}}})
	}
	studies, err := r.studies()
	if err != nil {
		return part, err
	}
	demand := Section{ID: "loads", Title: r.Say("loads.title"), Blocks: []Block{{Table: r.demandTable()}, {Table: r.startTable()}}}
	if t := r.typicalTable(); t != nil {
		demand.Blocks = append(demand.Blocks, Block{Table: t})
		m, ok, err := study.FirstToMeasure(p.Facts)
		if err != nil {
			return part, err
		}
		if ok {
			demand.Blocks = append(demand.Blocks, Block{Text: &Text{S: r.prose(m.Text(func(id string) phrase.Phrase { return phrase.Symbols("%s", phrase.Check(id)) }))}})
		}
	}
	part.Sections = append(part.Sections, demand, r.checks())
	part.Sections = append(part.Sections, studies...)
	part.Sections = append(part.Sections, Section{ID: "materials", Title: r.Say("materials.title"), Blocks: []Block{{Table: r.materialTable()}}})
	drawings.Class = "figures"
	part.Sections = append(part.Sections, drawings, r.cautionSection(), r.revision(), r.safety())
	return part, nil
}

// summary is the verdict and the figures that matter most.
func (r *report) summary() Section {
	p := r.plan
	fails, cautions := len(p.With(verdict.Fail)), len(p.With(verdict.Caution))
	box := &Box{Kind: string(p.Verdict()), Title: phrase.UpperFirst(r.Say("status." + string(p.Verdict())))}
	switch {
	case fails > 0:
		box.Texts = []Text{{S: r.Say("summary.fail", fails, len(p.Checks), cautions)}}
	case cautions > 0:
		box.Texts = []Text{{S: r.Say("summary.caution", cautions, len(p.Checks))}}
	default:
		box.Texts = []Text{{S: r.Say("summary.pass", len(p.Checks))}}
	}
	for _, c := range append(p.With(verdict.Fail), p.With(verdict.Caution)...) {
		box.Items = append(box.Items, Item{Lead: r.checkName(c.ID) + " (" + r.Say("status."+string(c.Status)) + "):", Text: Text{S: r.prose(c.Reason) + "."}})
	}
	return Section{ID: "summary", Title: r.Say("summary.title"), Blocks: []Block{{Box: box}}}
}

// checks is the table of all checks.
func (r *report) checks() Section {
	t := &Table{ID: "checks", Caption: r.Say("checks.caption"), Note: r.Say("checks.note"), Dense: true, Columns: []Column{
		tight(r.Say("col.status")), head(r.Say("col.check")), right(r.Say("col.demand"), ""), right(r.Say("col.limit"), ""), tight(r.Say("col.unit")), right(r.Say("col.left"), "%/K"), head(r.Say("col.reason")), right(r.Say("col.steps"), ""),
	}}
	byGroup := grouped(r.plan.Checks)
	for _, g := range verdict.Groups() {
		for i, c := range byGroup[g] {
			row := r.checkRow(c)
			if i == 0 {
				row.Group = r.Say(groupID(g))
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return Section{ID: "checks", Title: r.Say("checks.title"), Blocks: []Block{{Table: t}}}
}

// checkRow is one check of the table.
func (r *report) checkRow(c verdict.Check) Row {
	asked, bound, unit := c.Shown()
	demand := Cell{Text: Text{S: r.figure(asked, unit)}, Exact: exact(asked)}
	limit, left := cell("–"), cell("–")
	if c.HasLimit {
		limit = Cell{Text: Text{S: r.figure(bound, unit)}, Exact: exact(bound)}
		left = Cell{Text: Text{S: r.Fixed(100*c.Margin, 0) + hard + "%"}, Exact: exact(100 * c.Margin)}
		if c.Unit == "C" {
			left = Cell{Text: Text{S: r.Fixed(c.Margin, 1) + hard + "K"}, Exact: exact(c.Margin)}
		}
	} else if c.Demand == 0 {
		demand = cell("–")
	}
	return Row{Cells: []Cell{
		{Text: Text{S: r.Say("status." + string(c.Status))}, Status: string(c.Status)},
		cell(r.checkName(c.ID)), demand, limit, cell(r.UnitName(unit)), left, cell(r.prose(c.Reason)), r.stepsOf(c),
	}}
}

// defaultValue is a value that the site file left to the planner: a number with its unit, or a word.
func (v voice) defaultValue(value string) string {
	number, unit, _ := strings.Cut(value, " ")
	if _, err := strconv.ParseFloat(number, 64); err != nil {
		if ac, dc, ok := strings.Cut(value, ", bank and array "); ok {
			return v.Say("default.method", ac, dc)
		}
		if value == "none" {
			return v.Say("default.none")
		}
		return clean(value) // a value of the key, as the site file would write it
	}
	switch unit {
	case "":
		return v.Local(number)
	case "per K":
		return v.Say("default.per-K", v.Local(number))
	case "per 100 m":
		return v.Say("default.per-100-m", v.Local(number))
	case "with motor":
		return v.Say("default.with-motor", v.Local(number))
	}
	return v.Local(number) + hard + v.UnitName(unit)
}

// defaultOf is the value of a default, and the class that it is typical of.
func (v voice) defaultOf(d strict.Default) string {
	value := v.defaultValue(d.Value)
	if d.Class != "" {
		value = v.Say("default.typical", value, clean(d.Class))
	}
	return value
}

// optionTable sets the variants beside the base.
func (r *report) optionTable() *Table {
	t := &Table{ID: "options", Caption: r.Say("options.caption"), Note: r.Say("options.note", len(r.plan.Circuits)), Columns: []Column{
		head(r.Say("col.option")), head(r.Say("col.status")), right(r.Say("col.ways"), ""), head(r.Say("col.bank")), right(r.Say("col.autonomy"), "h"),
		right(r.Say("bank.weight"), r.massUnit()), right(r.Say("col.price"), ""), right(r.Say("col.price-more"), ""), head(r.Say("col.failing")), head(r.Say("col.changes")),
	}}
	number := func(v float64, ok bool, decimals int) Cell {
		if !ok {
			return cell(none)
		}
		return r.num(v, decimals)
	}
	row := func(label string, p *backup.Plan, more Cell, changes string) {
		failing := cell(none)
		if c := p.FirstFailing(); c != nil {
			failing = cell(r.checkName(c.ID))
		}
		promised, _, err := p.LeastAutonomy()
		hours := number(promised, err == nil, 1)
		if p.Bank.AutonomyCap && err == nil {
			hours.S = ">" + r.Fixed(promised, 0)
		}
		kg, weighed := p.MassKg()
		price, priced := p.Price()
		b := p.Bank
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(label), {Text: Text{S: r.Say("status." + string(p.Verdict()))}, Status: string(p.Verdict())},
			r.num(float64(len(p.Carried())), 0), cell(fmt.Sprintf("%d × %d %s", b.Strings, b.Series, clean(b.Unit.ID))), hours,
			number(kg, weighed, 0), number(price, priced, 0), more, failing, cell(changes)}})
	}
	row(r.Say("options.base"), r.plan, cell(none), "")
	for _, o := range r.plan.Options {
		more, known := o.PriceDifference(r.plan)
		row(clean(o.Name), o.Plan, number(more, known, 0), r.prose(o.ChangesText()))
	}
	return t
}

// defaultTable is what the site file left to the planner.
func (r *report) defaultTable() *Table {
	t := &Table{ID: "defaults", Caption: r.Say("defaults.caption"), Columns: []Column{
		head(r.Say("col.table")), head(r.Say("col.key")), head(r.Say("col.what")), head(r.Say("col.value")), right(r.Say("col.times"), ""),
	}, Plain: true}
	for _, d := range r.plan.Site.Defaults {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(d.Table), cell(d.Key), cell(r.keyName(d.Key)), cell(r.defaultOf(d)), cell(fmt.Sprint(d.Count))}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.Say("defaults.none")
	}
	return t
}

// cautionSection is what package backup has to say beside the checks; the safety texts follow in words of our own.
func (r *report) cautionSection() Section {
	l := &List{}
	safety := phrase.Strings(facts.SafetyTexts())
	for _, c := range r.plan.Cautions {
		if !slices.Contains(safety, c.String()) {
			l.Items = append(l.Items, item(r.prose(c)))
		}
	}
	if len(l.Items) == 0 {
		l.Items = append(l.Items, item(r.Say("cautions.none")))
	}
	return Section{ID: "cautions", Title: r.Say("cautions.title"), Blocks: []Block{{List: l}}}
}

// revision says which text of the site file this sheet belongs to.
func (r *report) revision() Section {
	o := r.options
	t := &Table{ID: "revision", Caption: r.Say("revision.caption"), Columns: []Column{head(r.Say("col.what")), head(r.Say("col.value"))}, Plain: true, Note: r.Say("revision.note")}
	for _, f := range []struct{ id, value string }{{"revision.file", o.Source}, {"revision.hash", o.Revision}, {"revision.program", o.Program}, {"revision.date", o.Date}} {
		if f.value != "" {
			t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say(f.id)), cell(clean(f.value))}})
		}
	}
	return Section{ID: "revision", Title: r.Say("revision.title"), Blocks: []Block{{Table: t}}}
}
