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
	part := Part{ID: "file", Title: r.say("file.title"), Lead: r.say("file.lead")}
	if !r.options.Annex {
		part.Lead = r.say("file.lead-alone")
	}
	part.Sections = append(part.Sections, r.medicalBox()...)
	hours := Section{ID: "hours", Title: r.say("hours.title"), Blocks: []Block{{Table: r.hoursTable()}}}
	part.Sections = append(part.Sections, r.summary(), hours)
	if len(p.Options) > 0 {
		part.Sections = append(part.Sections, Section{ID: "options", Title: r.say("options.title"), Blocks: []Block{{Table: r.optionTable()}}})
	}
	studies, err := r.studies()
	if err != nil {
		return part, err
	}
	demand := Section{ID: "loads", Title: r.say("loads.title"), Blocks: []Block{{Table: r.demandTable()}, {Table: r.startTable()}}}
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
	part.Sections = append(part.Sections, Section{ID: "materials", Title: r.say("materials.title"), Blocks: []Block{{Table: r.materialTable()}}})
	drawings.Class = "figures"
	part.Sections = append(part.Sections, drawings, r.cautionSection(), r.revision(), r.safety())
	return part, nil
}

// summary is the verdict and the figures that matter most.
func (r *report) summary() Section {
	p := r.plan
	fails, cautions := len(p.With(verdict.Fail)), len(p.With(verdict.Caution))
	box := &Box{Kind: string(p.Verdict()), Title: phrase.UpperFirst(r.say("status." + string(p.Verdict())))}
	switch {
	case fails > 0:
		box.Texts = []Text{{S: r.say("summary.fail", fails, len(p.Checks), cautions)}}
	case cautions > 0:
		box.Texts = []Text{{S: r.say("summary.caution", cautions, len(p.Checks))}}
	default:
		box.Texts = []Text{{S: r.say("summary.pass", len(p.Checks))}}
	}
	for _, c := range append(p.With(verdict.Fail), p.With(verdict.Caution)...) {
		box.Items = append(box.Items, Item{Lead: r.checkName(c.ID) + " (" + r.say("status."+string(c.Status)) + "):", Text: Text{S: r.prose(c.Reason) + "."}})
	}
	return Section{ID: "summary", Title: r.say("summary.title"), Blocks: []Block{{Box: box}}}
}

// checks is the table of all checks.
func (r *report) checks() Section {
	t := &Table{ID: "checks", Caption: r.say("checks.caption"), Note: r.say("checks.note"), Dense: true, Columns: []Column{
		tight(r.say("col.status")), head(r.say("col.check")), right(r.say("col.demand"), ""), right(r.say("col.limit"), ""), tight(r.say("col.unit")), right(r.say("col.left"), "%/K"), head(r.say("col.reason")), right(r.say("col.steps"), ""),
	}}
	byGroup := grouped(r.plan.Checks)
	for _, g := range verdict.Groups() {
		for i, c := range byGroup[g] {
			row := r.checkRow(c)
			if i == 0 {
				row.Group = r.say(groupID(g))
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return Section{ID: "checks", Title: r.say("checks.title"), Blocks: []Block{{Table: t}}}
}

// checkRow is one check of the table.
func (r *report) checkRow(c verdict.Check) Row {
	asked, bound, unit := c.Shown()
	demand := Cell{Text: Text{S: r.figure(asked, unit)}, Exact: exact(asked)}
	limit, left := cell("–"), cell("–")
	if c.HasLimit {
		limit = Cell{Text: Text{S: r.figure(bound, unit)}, Exact: exact(bound)}
		left = Cell{Text: Text{S: r.fixed(100*c.Margin, 0) + hard + "%"}, Exact: exact(100 * c.Margin)}
		if c.Unit == "C" {
			left = Cell{Text: Text{S: r.fixed(c.Margin, 1) + hard + "K"}, Exact: exact(c.Margin)}
		}
	} else if c.Demand == 0 {
		demand = cell("–")
	}
	return Row{Cells: []Cell{
		{Text: Text{S: r.say("status." + string(c.Status))}, Status: string(c.Status)},
		cell(r.checkName(c.ID)), demand, limit, cell(r.unitName(unit)), left, cell(r.prose(c.Reason)), r.stepsOf(c),
	}}
}

// unitName is the unit of a check: some units are words.
func (v voice) unitName(unit string) string {
	switch unit {
	case "circuits", "strings":
		return v.say("unit." + unit)
	case "cycles":
		return v.say("unit.cycles")
	}
	if symbol, ok := symbols[unit]; ok {
		return symbol
	}
	return unit
}

// symbols are the units that package backup writes in plain letters.
var symbols = map[string]string{"C": "°C", "mm2": "mm²", "cm2": "cm²", "m3": "m³", "m3/h": "m³/h", "mohm": "mΩ", "ohm/km": "Ω/km", "kWh/m2 d": "kWh/(m² d)"}

// defaultValue is a value that the site file left to the planner: a number with its unit, or a word.
func (v voice) defaultValue(value string) string {
	number, unit, _ := strings.Cut(value, " ")
	if _, err := strconv.ParseFloat(number, 64); err != nil {
		if ac, dc, ok := strings.Cut(value, ", bank and array "); ok {
			return v.say("default.method", ac, dc)
		}
		if value == "none" {
			return v.say("default.none")
		}
		return clean(value) // a value of the key, as the site file would write it
	}
	switch unit {
	case "":
		return v.local(number)
	case "per K":
		return v.say("default.per-K", v.local(number))
	case "per 100 m":
		return v.say("default.per-100-m", v.local(number))
	case "with motor":
		return v.say("default.with-motor", v.local(number))
	}
	return v.local(number) + hard + v.unitName(unit)
}

// defaultOf is the value of a default, and the class that it is typical of.
func (v voice) defaultOf(d strict.Default) string {
	value := v.defaultValue(d.Value)
	if d.Class != "" {
		value = v.say("default.typical", value, clean(d.Class))
	}
	return value
}

// optionTable sets the variants beside the base.
func (r *report) optionTable() *Table {
	t := &Table{ID: "options", Caption: r.say("options.caption"), Note: r.say("options.note", len(r.plan.Circuits)), Columns: []Column{
		head(r.say("col.option")), head(r.say("col.status")), right(r.say("col.ways"), ""), head(r.say("col.bank")), right(r.say("col.autonomy"), "h"),
		right(r.say("bank.weight"), r.massUnit()), right(r.say("col.price"), ""), right(r.say("col.price-more"), ""), head(r.say("col.failing")), head(r.say("col.changes")),
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
			hours.S = ">" + r.fixed(promised, 0)
		}
		kg, weighed := p.MassKg()
		price, priced := p.Price()
		b := p.Bank
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(label), {Text: Text{S: r.say("status." + string(p.Verdict()))}, Status: string(p.Verdict())},
			r.num(float64(len(p.Carried())), 0), cell(fmt.Sprintf("%d × %d %s", b.Strings, b.Series, clean(b.Unit.ID))), hours,
			number(kg, weighed, 0), number(price, priced, 0), more, failing, cell(changes)}})
	}
	row(r.say("options.base"), r.plan, cell(none), "")
	for _, o := range r.plan.Options {
		more, known := o.PriceDifference(r.plan)
		row(clean(o.Name), o.Plan, number(more, known, 0), r.prose(o.ChangesText()))
	}
	return t
}

// defaultTable is what the site file left to the planner.
func (r *report) defaultTable() *Table {
	t := &Table{ID: "defaults", Caption: r.say("defaults.caption"), Columns: []Column{
		head(r.say("col.table")), head(r.say("col.key")), head(r.say("col.what")), head(r.say("col.value")), right(r.say("col.times"), ""),
	}, Plain: true}
	for _, d := range r.plan.Site.Defaults {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(d.Table), cell(d.Key), cell(r.keyName(d.Key)), cell(r.defaultOf(d)), cell(fmt.Sprint(d.Count))}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.say("defaults.none")
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
		l.Items = append(l.Items, item(r.say("cautions.none")))
	}
	return Section{ID: "cautions", Title: r.say("cautions.title"), Blocks: []Block{{List: l}}}
}

// revision says which text of the site file this sheet belongs to.
func (r *report) revision() Section {
	o := r.options
	t := &Table{ID: "revision", Caption: r.say("revision.caption"), Columns: []Column{head(r.say("col.what")), head(r.say("col.value"))}, Plain: true, Note: r.say("revision.note")}
	for _, f := range []struct{ id, value string }{{"revision.file", o.Source}, {"revision.hash", o.Revision}, {"revision.program", o.Program}, {"revision.date", o.Date}} {
		if f.value != "" {
			t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.say(f.id)), cell(clean(f.value))}})
		}
	}
	return Section{ID: "revision", Title: r.say("revision.title"), Blocks: []Block{{Table: t}}}
}
