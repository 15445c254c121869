package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/catalog/strict"
)

// filing is the calculation sheet: the result, what it rests on and what follows from it, on a few pages. The way to
// every figure is in the annex.
func (r *report) filing(drawings doc.Section) (doc.Part, error) {
	p := r.Plan
	part := doc.Part{ID: "file", Title: r.Say("file.title"), Lead: r.Say("file.lead")}
	if !r.options.Annex {
		part.Lead = r.Say("file.lead-alone")
	}
	part.Sections = append(part.Sections, r.medicalBox()...)
	hours := doc.Section{ID: "hours", Title: r.Say("hours.title"), Blocks: []doc.Block{{Table: r.hoursTable()}}}
	part.Sections = append(part.Sections, r.summary(), hours)
	if len(p.Options) > 0 {
		part.Sections = append(part.Sections, doc.Section{ID: "options", Title: r.Say("options.title"),
			Blocks: []doc.Block{{Table: r.optionTable()}}})
	}
	studies, err := r.studies()
	if err != nil {
		return part, err
	}
	demand := doc.Section{ID: "loads", Title: r.Say("loads.title"),
		Blocks: []doc.Block{{Table: r.demandTable()}, {Table: r.startTable()}}}
	if t := r.typicalTable(); t != nil {
		demand.Blocks = append(demand.Blocks, doc.Block{Table: t})
		m, ok, err := study.FirstToMeasure(p.Facts)
		if err != nil {
			return part, err
		}
		if ok {
			demand.Blocks = append(demand.Blocks,
				doc.Block{Text: &doc.Text{
					S: r.Prose(m.Text(func(id string) phrase.Phrase {
						return phrase.Symbols("%s",
							phrase.Check(id))
					}))}})
		}
	}
	part.Sections = append(part.Sections, demand, r.checks())
	part.Sections = append(part.Sections, studies...)
	part.Sections = append(part.Sections, doc.Section{ID: "materials", Title: r.Say("materials.title"),
		Blocks: []doc.Block{{Table: r.materialTable()}}})
	drawings.Class = "figures"
	part.Sections = append(part.Sections, drawings, r.cautionSection(), r.revision(), r.safety())
	return part, nil
}

// summary is the verdict and the figures that matter most.
func (r *report) summary() doc.Section {
	p := r.Plan
	fails, cautions := len(p.With(verdict.Fail)), len(p.With(verdict.Caution))
	box := &doc.Box{Kind: string(p.Verdict()), Title: phrase.UpperFirst(r.Say("status." + string(p.Verdict())))}
	switch {
	case fails > 0:
		box.Texts = []doc.Text{{S: r.Say("summary.fail", fails, len(p.Checks), cautions)}}
	case cautions > 0:
		box.Texts = []doc.Text{{S: r.Say("summary.caution", cautions, len(p.Checks))}}
	default:
		box.Texts = []doc.Text{{S: r.Say("summary.pass", len(p.Checks))}}
	}
	for _, c := range append(p.With(verdict.Fail), p.With(verdict.Caution)...) {
		box.Items = append(box.Items, doc.Item{Lead: r.Lead(r.CheckName(c.ID) + " (" +
			r.Say("status."+string(c.Status)) + ")"), Text: doc.Text{S: r.Prose(c.Reason) + "."}})
	}
	return doc.Section{ID: "summary", Title: r.Say("summary.title"), Blocks: []doc.Block{{Box: box}}}
}

// checks is the table of all checks.
func (r *report) checks() doc.Section {
	t := &doc.Table{ID: "checks", Caption: r.Say("checks.caption"), Note: r.Say("checks.note"), Dense: true,
		Columns: []doc.Column{
			doc.Tight(r.Say("col.status")), doc.Head(r.Say("col.check")), doc.Right(r.Say("col.demand"), ""),
			doc.Right(r.Say("col.limit"), ""), doc.Tight(r.Say("col.unit")), doc.Right(r.Say("col.left"), "%/K"),
			doc.Head(r.Say("col.reason")), doc.Right(r.Say("col.steps"), ""),
		}}
	byGroup := findings.Grouped(r.Plan.Checks)
	for _, g := range verdict.Groups() {
		for i, c := range byGroup[g] {
			row := r.checkRow(c)
			if i == 0 {
				row.Group = r.Say(findings.GroupID(g))
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return doc.Section{ID: "checks", Title: r.Say("checks.title"), Blocks: []doc.Block{{Table: t}}}
}

// checkRow is one check of the table.
func (r *report) checkRow(c verdict.Check) doc.Row {
	asked, bound, unit := c.Told()
	exact, _, _ := c.Shown()
	demand := doc.Cell{Text: doc.Text{S: r.Figure(asked, unit)}, Exact: findings.Exact(exact)}
	limit, left := doc.Plain("–"), doc.Plain("–")
	if c.HasLimit {
		of, than := r.Figures(asked, bound, unit)
		demand.Text.S = of
		limit = doc.Cell{Text: doc.Text{S: than}, Exact: findings.Exact(bound)}
		left = doc.Cell{Text: doc.Text{S: r.Fixed(100*c.Margin, 0) + speech.Hard + "%"},
			Exact: findings.Exact(100 * c.Margin)}
		if c.Unit == "C" {
			left = doc.Cell{Text: doc.Text{S: r.Fixed(c.Margin, 1) + speech.Hard + "K"},
				Exact: findings.Exact(c.Margin)}
		}
	} else if c.Demand == 0 {
		demand = doc.Plain("–")
	}
	return doc.Row{Cells: []doc.Cell{
		{Text: doc.Text{S: r.Say("status." + string(c.Status))}, Status: string(c.Status)},
		doc.Plain(r.CheckName(c.ID)), demand, limit, doc.Plain(r.UnitName(unit)), left, doc.Plain(r.Prose(c.Reason)),
		r.stepsOf(c),
	}}
}

// defaultOf is the value of a default, and the class that it is typical of.
func defaultOf(v findings.Voice, d strict.Default) string {
	value := v.DefaultValue(d.Value)
	if d.Class != "" {
		value = v.Say("default.typical", value, speech.Clean(d.Class))
	}
	return value
}

// optionTable sets the variants beside the base.
func (r *report) optionTable() *doc.Table {
	t := &doc.Table{ID: "options", Caption: r.Say("options.caption"), Note: r.Say("options.note", len(r.Plan.Circuits)),
		Columns: []doc.Column{
			doc.Head(r.Say("col.option")), doc.Head(r.Say("col.status")), doc.Right(r.Say("col.ways"), ""),
			{Head: r.Say("col.bank"), Whole: true}, doc.Right(r.Say("col.autonomy"), "h"),
			doc.Right(r.Say("bank.weight"), r.MassUnit()), doc.Right(r.Say("col.price"), ""),
			doc.Right(r.Say("col.price-more"), ""), doc.Head(r.Say("col.failing")), doc.Head(r.Say("col.changes")),
		}}
	number := func(v float64, ok bool, decimals int) doc.Cell {
		if !ok {
			return doc.Plain(doc.None)
		}
		return r.Num(v, decimals)
	}
	row := func(label string, p *backup.Plan, more doc.Cell, changes string) {
		failing := doc.Plain(doc.None)
		if c := p.FirstFailing(); c != nil {
			failing = doc.Plain(r.CheckName(c.ID))
		}
		promised, _, err := p.LeastAutonomy()
		hours := number(promised, err == nil, 1)
		if p.Bank.AutonomyCap && err == nil {
			hours.S = ">" + r.Fixed(promised, 0)
		}
		weight := doc.Plain(doc.None)
		if kg, weighed := p.MassKg(); weighed {
			weight = r.Mass(kg)
		}
		price, priced := p.Price()
		b := p.Bank
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(label),
			{Text: doc.Text{S: r.Say("status." + string(p.Verdict()))}, Status: string(p.Verdict())},
			r.Num(float64(len(p.Carried())), 0),
			doc.Plain(fmt.Sprintf("%d × %d %s", b.Strings, b.Series, speech.Clean(b.Unit.ID))), hours,
			weight, number(price, priced, 0), more, failing, doc.Plain(changes)}})
	}
	row(r.Say("options.base"), r.Plan, doc.Plain(doc.None), "")
	for _, o := range r.Plan.Options {
		more, known := o.PriceDifference(r.Plan)
		row(speech.Clean(o.Name), o.Plan, number(more, known, 0), r.changesText(o.Changes))
	}
	return t
}

// changesText tells what an option changes, by the words of its keys.
func (r *report) changesText(changes []backup.Change) string {
	value := func(p phrase.Phrase) string {
		if p.String() == "worst" {
			return r.Say("options.worst")
		}
		return r.Prose(p)
	}
	var out []string
	for _, c := range changes {
		table, key, of := strings.Cut(c.Key, ".")
		name := r.KeyName(cmp.Or(key, table))
		switch {
		case table == "":
			out = append(out, r.Prose(c.Follows))
			continue
		case table != "inverter" && table != "bank":
		case of:
			name = r.Say("group."+table) + ", " + name
		default:
			name = r.Say("group." + table)
		}
		out = append(out, r.Headed(name, value(c.Was)+speech.Hard+"→"+speech.Hard+value(c.Is)))
	}
	return r.InTurn(out...)
}

// defaultTable is what the site file left to the planner.
func (r *report) defaultTable() *doc.Table {
	t := &doc.Table{ID: "defaults", Caption: r.Say("defaults.caption"), Columns: []doc.Column{
		doc.Head(r.Say("col.table")), doc.Head(r.Say("col.key")), doc.Head(r.Say("col.what")),
		doc.Head(r.Say("col.value")), doc.Right(r.Say("col.times"), ""),
	}, Plain: true}
	for _, d := range r.Plan.Site.Defaults {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.Table), doc.Plain(d.Key),
			doc.Plain(r.KeyName(d.Key)), doc.Plain(defaultOf(r.Voice, d)), doc.Plain(fmt.Sprint(d.Count))}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.Say("defaults.none")
	}
	return t
}

// cautionSection is what package backup has to say beside the checks; the safety texts follow in words of our own.
func (r *report) cautionSection() doc.Section {
	l := &doc.List{}
	safety := phrase.Strings(facts.SafetyTexts())
	for _, c := range r.Plan.Cautions {
		if !slices.Contains(safety, c.String()) {
			l.Items = append(l.Items, item(r.Prose(c)))
		}
	}
	if len(l.Items) == 0 {
		l.Items = append(l.Items, item(r.Say("cautions.none")))
	}
	return doc.Section{ID: "cautions", Title: r.Say("cautions.title"), Blocks: []doc.Block{{List: l}}}
}

// revision says which text of the site file this sheet belongs to.
func (r *report) revision() doc.Section {
	o := r.options
	t := &doc.Table{ID: "revision", Caption: r.Say("revision.caption"),
		Columns: []doc.Column{doc.Head(r.Say("col.what")), doc.Head(r.Say("col.value"))}, Plain: true,
		Note: r.Say("revision.note")}
	for _, f := range []struct{ id, value string }{{"revision.file", o.Source}, {"revision.hash", o.Revision},
		{"revision.program", o.Program}, {"revision.date", o.Date}} {
		if f.value != "" {
			t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say(f.id)),
				doc.Plain(speech.Clean(f.value))}})
		}
	}
	return doc.Section{ID: "revision", Title: r.Say("revision.title"), Blocks: []doc.Block{{Table: t}}}
}
