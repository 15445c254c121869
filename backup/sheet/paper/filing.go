package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
)

// filing is the calculation sheet: every figure with the way to it.
func (r *report) filing(drawings Section) Part {
	p := r.plan
	part := Part{ID: "file", Title: r.say("file.title"), Lead: r.say("file.lead")}
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections, r.summary(), drawings, r.checks())
	if len(p.Options) > 0 {
		part.Sections = append(part.Sections, Section{ID: "options", Title: r.say("options.title"), Blocks: []Block{{Table: r.optionTable()}}})
	}
	figures := Section{ID: "figures", Title: r.say("figures.title")}
	for _, t := range []*Table{r.demandTable(), r.startTable(), r.inverterTable(), r.bankTable(), r.careTable(), r.circuitTable(), r.levelTable(), r.eventTable(), r.rechargeTable(), r.generatorTable()} {
		if t != nil {
			figures.Blocks = append(figures.Blocks, Block{Table: t})
		}
	}
	part.Sections = append(part.Sections,
		figures,
		Section{ID: "working", Title: r.say("working.title"), Blocks: []Block{para(r.say("working.text")), {Table: r.workingTable()}}},
		Section{ID: "defaults", Title: r.say("defaults.title"), Blocks: []Block{para(r.say("defaults.text")), {Table: r.defaultTable()}}},
		Section{ID: "equipment", Title: r.say("equipment.title"), Blocks: r.equipment()},
		r.cautionSection(),
		r.revision(),
		r.safety(),
	)
	return part
}

// summary is the verdict and the figures that matter most.
func (r *report) summary() Section {
	p := r.plan
	fails, cautions := len(p.With(backup.Fail)), len(p.With(backup.Caution))
	box := &Box{Kind: string(p.Verdict()), Title: upper(r.say("status." + string(p.Verdict())))}
	switch {
	case fails > 0:
		box.Texts = []Text{{S: r.say("summary.fail", fails, len(p.Checks), cautions)}}
	case cautions > 0:
		box.Texts = []Text{{S: r.say("summary.caution", cautions, len(p.Checks))}}
	default:
		box.Texts = []Text{{S: r.say("summary.pass", len(p.Checks))}}
	}
	for _, c := range append(p.With(backup.Fail), p.With(backup.Caution)...) {
		box.Items = append(box.Items, Item{Lead: r.checkName(c.ID) + " (" + r.say("status."+string(c.Status)) + "):", Text: Text{S: r.prose(c.Reason) + "."}})
	}
	return Section{ID: "summary", Title: r.say("summary.title"), Blocks: []Block{{Box: box}}}
}

// checks is the table of all checks.
func (r *report) checks() Section {
	t := &Table{ID: "checks", Caption: r.say("checks.caption"), Columns: []Column{
		tight(r.say("col.status")), head(r.say("col.check")), right(r.say("col.demand"), ""), right(r.say("col.limit"), ""), tight(r.say("col.unit")), right(r.say("col.left"), ""), head(r.say("col.reason")),
	}}
	byGroup := grouped(r.plan.Checks)
	for _, g := range groups {
		for i, c := range byGroup[g.id] {
			row := r.checkRow(c)
			if i == 0 {
				row.Group = r.say(g.id)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return Section{ID: "checks", Title: r.say("checks.title"), Blocks: []Block{{Table: t}}}
}

// checkRow is one check of the table.
func (r *report) checkRow(c backup.Check) Row {
	demand := Cell{Text: Text{S: r.figure(c.Demand, c.Unit)}, Exact: exact(c.Demand)}
	limit, left := cell("–"), cell("–")
	if c.HasLimit {
		limit = Cell{Text: Text{S: r.figure(c.Limit, c.Unit)}, Exact: exact(c.Limit)}
		left = Cell{Text: Text{S: r.fixed(100*c.Margin, 0) + hard + "%"}, Exact: exact(c.Margin)}
		if c.Unit == "C" {
			left = Cell{Text: Text{S: r.fixed(c.Margin, 1) + hard + "K"}, Exact: exact(c.Margin)}
		}
	} else if c.Demand == 0 {
		demand = cell("–")
	}
	return Row{Cells: []Cell{
		{Text: Text{S: r.say("status." + string(c.Status))}, Status: string(c.Status)},
		cell(r.checkName(c.ID)), demand, limit, cell(r.unitName(c.Unit)), left, cell(r.prose(c.Reason)),
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
var symbols = map[string]string{"C": "°C", "mm2": "mm²", "cm2": "cm²", "m3/h": "m³/h", "mohm": "mΩ", "ohm/km": "Ω/km"}

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

// optionTable sets the variants beside the base.
func (r *report) optionTable() *Table {
	t := &Table{ID: "options", Caption: r.say("options.caption"), Columns: []Column{
		head(r.say("col.option")), head(r.say("col.status")), right(r.say("col.autonomy"), "h"), right(r.say("col.price"), ""), head(r.say("col.failing")), head(r.say("col.changes")),
	}}
	row := func(name string, p *backup.Plan, changes string) {
		price, failing := cell("–"), cell(r.say("options.none"))
		if v, ok := p.Price(); ok {
			price = r.num(v, 0)
		}
		if c := p.FirstFailing(); c != nil {
			failing = cell(r.checkName(c.ID))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(name), {Text: Text{S: r.say("status." + string(p.Verdict()))}, Status: string(p.Verdict())},
			r.num(p.Bank.AutonomyH, 1), price, failing, cell(changes)}})
	}
	row(r.say("options.base"), r.plan, "")
	for _, o := range r.plan.Options {
		row(clean(o.Name), o.Plan, r.prose(o.ChangesText()))
	}
	return t
}

// workingTable is every step of the calculation.
func (r *report) workingTable() *Table {
	t := &Table{ID: "working", Caption: r.say("working.caption"), Dense: true, Columns: []Column{
		tight(r.say("col.no")), head(r.say("col.step")), right(r.say("col.result"), ""), tight(r.say("col.unit")), head(r.say("col.source")),
	}}
	for _, s := range r.plan.Working {
		step := phrase.Of("%s: %s", s.Title, s.Formula)
		if !s.Numbers.Empty() {
			step = phrase.Symbols("%s = %s", step, s.Numbers)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{
			cell(fmt.Sprint(s.No)), cell(r.prose(step)), {Text: Text{S: r.short(s.Value)}, Exact: exact(s.Value)}, cell(r.unitName(s.Unit)), cell(r.prose(s.Source)),
		}})
	}
	return t
}

// defaultTable is what the site file left to the planner.
func (r *report) defaultTable() *Table {
	t := &Table{ID: "defaults", Caption: r.say("defaults.caption"), Columns: []Column{
		head(r.say("col.table")), head(r.say("col.key")), head(r.say("col.value")), right(r.say("col.times"), ""),
	}, Plain: true}
	for _, d := range r.plan.Site.Defaults {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(d.Table), cell(d.Key), cell(r.defaultValue(d.Value)), cell(fmt.Sprint(d.Count))}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.say("defaults.none")
	}
	return t
}

// cautionSection is what package backup has to say beside the checks; the safety texts follow in words of our own.
func (r *report) cautionSection() Section {
	l := &List{}
	safety := phrase.Strings(backup.SafetyTexts())
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

// demandTable is what the backup board asks for.
func (r *report) demandTable() *Table {
	d := r.plan.Demand
	t := &Table{ID: "demand", Caption: r.say("demand.caption", r.say(monthID(r.plan.Month))), Columns: []Column{head(r.say("col.demand")), right("W", ""), right("VA", ""), head(r.say("col.remark"))}}
	t.Rows = []Row{
		{Cells: []Cell{cell(r.say("demand.connected")), r.num(d.Connected.W, 0), r.num(d.Connected.VA, 0), cell("")}},
		{Cells: []Cell{cell(r.say("demand.scheduled")), r.num(d.Scheduled.W, 0), r.num(d.Scheduled.VA, 0), cell(r.say("demand.at", backup.Clock(d.Scheduled.AtMin)))}},
		{Cells: []Cell{cell(r.say("demand.probable")), r.num(d.ProbableW, 0), cell("–"), cell(r.say("demand.moments", r.short(100*r.plan.Site.Practice.Confidence)))}},
		{Cells: []Cell{cell(r.say("demand.mean")), r.num(d.EnergyWhPerDay/24, 0), cell("–"), cell(r.say("demand.day", r.amount(d.EnergyWhPerDay, "Wh")))}},
	}
	return t
}

// startTable is every start against the rating for its time.
func (r *report) startTable() *Table {
	t := &Table{ID: "starts", Caption: r.say("starts.caption"), Columns: []Column{
		head(r.say("col.load")), right(r.say("col.at"), ""), right(r.say("col.seconds"), "s"), right(r.say("col.phase"), ""), right(r.say("col.all"), "VA"), right(r.say("col.bears"), "VA"), right(r.say("col.left"), "%"),
	}}
	for _, st := range r.plan.Starts.All {
		phase := cell(r.say("phase.all"))
		if st.Phase > 0 {
			phase = cell(fmt.Sprint(st.Phase))
		}
		left := cell("–")
		if st.LimitVA > 0 {
			left = r.num(100*(st.LimitVA-st.DemandVA)/st.LimitVA, 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(clean(st.Load)), cell(backup.Clock(st.AtMin)), {Text: Text{S: r.short(st.Seconds)}, Exact: exact(st.Seconds)}, phase,
			r.num(st.DemandVA, 0), r.num(st.LimitVA, 0), left}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.say("starts.none")
	}
	return t
}

// values makes a table of named figures.
func (r *report) values(id, caption string, rows ...[4]any) *Table {
	t := &Table{ID: id, Caption: caption, Columns: []Column{head(r.say("col.what")), right(r.say("col.value"), ""), tight(r.say("col.unit")), head(r.say("col.remark"))}}
	for _, row := range rows {
		value, ok := row[1].(Cell)
		if !ok {
			value = cell(row[1].(string))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(row[0].(string)), value, cell(row[2].(string)), cell(row[3].(string))}})
	}
	return t
}

func (r *report) inverterTable() *Table {
	g, s := r.plan.Inverter, r.plan.Site
	return r.values("inverter", r.say("inverter.caption", g.Count, r.equipmentName(g.Unit.ID, g.Unit.Label)),
		[4]any{r.say("inverter.rated"), r.num(g.RatedVA(), 0), "VA", r.amount(g.RatedW(), "W")},
		[4]any{r.say("inverter.derated"), r.num(g.DeratedVA(), 0), "VA", r.say("inverter.derated-remark", r.amount(g.DeratedW(), "W"), r.temperature(s.HottestC), r.amount(s.AltitudeM, "m"))},
		[4]any{r.say("inverter.passes"), r.orDash(g.PassThroughA(), 0), "A", r.say("inverter.asked", r.amount(r.plan.Grid.PassThroughA, "A"))},
		[4]any{r.say("inverter.takes"), r.orDash(g.ACInputA(), 0), "A", r.say("inverter.asked", r.amount(r.plan.Grid.InputA, "A"))},
		[4]any{r.say("inverter.idle"), r.num(g.IdleW(), 0), "W", ""})
}

func (r *report) bankTable() *Table {
	b, z := r.plan.Bank, r.plan.Bank.Sizing
	chosen := r.say("bank.given")
	if b.Sized {
		chosen = r.say("bank.sized")
	}
	t := r.values("bank", r.say("bank.caption", b.Units(), r.equipmentName(b.Unit.ID, b.Unit.Label), r.say("chemistry."+string(b.Unit.Chemistry))),
		[4]any{r.say("bank.layout"), fmt.Sprintf("%d × %d", b.Strings, b.Series), "", r.say("bank.layout-remark", chosen)},
		[4]any{r.say("bank.voltage"), r.num(b.NominalV(), 1), "V", r.say("bank.empty", r.amount(b.MinV(), "V"))},
		[4]any{r.say("bank.energy"), r.num(b.EnergyDCWh, 0), "Wh", r.say("bank.energy-remark", r.amount(b.EnergyACWh, "Wh"))},
		[4]any{r.say("bank.depth"), r.num(100*b.DoD, 0), "%", r.say("bank.depth-remark", r.fixed(100*z.UsableFraction, 0))},
		[4]any{r.say("bank.cold"), r.num(100*z.KTemperature, 0), "%", r.temperature(r.plan.Site.ColdestC)},
		[4]any{r.say("bank.rate"), r.num(100*z.KRate, 0), "%", r.amount(z.MeanCurrentA, "A")},
		[4]any{r.say("bank.needed"), r.num(z.RequiredAh, 0), "Ah", r.say("bank.needed-remark")},
		[4]any{r.say("bank.installed"), r.num(b.CapacityAh(), 0), "Ah", r.count(b.Units(), "bank.units")},
		[4]any{r.say("bank.autonomy"), r.num(b.AutonomyH, 1), "h", r.say("bank.autonomy-remark", backup.Clock(int(b.StartMin)%dayMin))},
		[4]any{r.say("bank.autonomy-new"), r.num(b.AutonomyNewH, 1), "h", ""},
		[4]any{r.say("bank.least"), r.num(r.leastH, 1), "h", r.say("bank.least-remark", backup.Clock(r.leastMin))})
	if m := b.MassKg(); m > 0 {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.say("bank.weight")), r.num(m, 0), cell("kg"), cell(r.say("bank.weight-remark"))}})
	}
	return t
}

// equipmentName is the id of an entry and its label, translated if it is in the words of the generic catalog.
func (r *report) equipmentName(id, label string) string {
	if text, ok := words.Equipment(r.lang, label, r.local); ok {
		label = text
	}
	switch {
	case label == "":
		return name(id)
	case id == "":
		return name(label)
	}
	return name(id) + ", " + name(label)
}

// circuitTable says for every circuit on which board it is, and why.
func (r *report) circuitTable() *Table {
	t := &Table{ID: "circuits", Caption: r.say("circuits.caption"), Columns: []Column{
		head(r.say("col.circuit")), head(r.say("col.board")), right(r.say("col.energy"), "Wh"), right(r.say("col.moved"), "h"), right(r.say("col.priority"), ""), head(r.say("col.why")),
	}}
	for _, onBackup := range []bool{true, false} {
		for _, c := range r.plan.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			board := r.say("board.main")
			if c.OnBackup {
				board = r.say("board.backup")
			}
			t.Rows = append(t.Rows, Row{Cells: []Cell{cell(clean(c.Label)), cell(board), r.num(c.EnergyWhPerDay, 0), r.moved(c.ID), r.num(float64(c.Priority), 0), cell(r.prose(c.Reason))}})
		}
	}
	t.Note = r.say("circuits.moved", backup.Clock(r.leastMin))
	if a := r.plan.Allocation; a != nil {
		how := "circuits.proven"
		if !a.Proven {
			how = "circuits.unproven"
		}
		t.Note += " " + r.say(how)
	}
	return t
}

// eventTable says what goes dark when.
func (r *report) eventTable() *Table {
	t := &Table{ID: "events", Caption: r.say("events.caption", backup.Clock(r.outage.startMin)), Columns: []Column{right(r.say("col.after"), "h"), right(r.say("col.at"), ""), head(r.say("col.event"))}, Plain: true}
	dark := map[int]bool{}
	for _, e := range r.outage.events {
		if len(t.Rows) == mostEvents {
			t.Note = r.say("events.more")
			break
		}
		var text string
		switch kind := string(e.Kind); kind {
		case "dark", "return":
			if dark[e.Min] {
				continue // all circuits of the board at once
			}
			dark[e.Min] = true
			text = r.say("event." + kind)
		case "dropped", "restored":
			text = r.say("event."+kind, name(e.Load))
		default:
			text = r.say("event." + strings.ReplaceAll(kind, " ", "-"))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{r.num(float64(e.Min)/60, 1), cell(backup.Clock((r.outage.startMin + e.Min) % dayMin)), cell(text)}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.say("events.none", r.hours(float64(len(r.outage.soc)-1)/60))
	}
	return t
}

// mostEvents keeps a bank that flickers at its end from filling pages.
const mostEvents = 40

// moved is the cell of what the autonomy gains or loses when a circuit changes boards.
func (r *report) moved(id string) Cell {
	m, ok := r.moves[id]
	switch {
	case !ok:
		return cell("–")
	case m.Capped:
		return Cell{Text: Text{S: ">" + r.fixed(m.Hours, 0)}, Exact: exact(m.Hours)}
	}
	c := r.num(m.Hours, 1)
	if m.Hours >= 0.05 {
		c.S = "+" + c.S
	}
	return c
}

// levelTable is how long the bank lasts when only the more important loads are used; nil where that makes no difference.
func (r *report) levelTable() *Table {
	if len(r.levels) < 2 {
		return nil
	}
	t := &Table{ID: "levels", Caption: r.say("levels.caption"), Plain: true, Note: r.say("levels.note"), Columns: []Column{
		head(r.say("col.in-use")), right(r.say("col.loads"), ""), right(r.say("col.energy"), "Wh"), right(r.say("col.autonomy"), "h"), right(r.say("col.from"), ""),
	}}
	for i, l := range r.levels {
		label := r.say("level.one")
		switch {
		case i == len(r.levels)-1:
			label = r.say("level.all")
		case l.Priority > 1:
			label = r.say("level.to", l.Priority)
		}
		hours := r.num(l.Hours, 1)
		if l.Capped {
			hours.S = ">" + r.fixed(l.Hours, 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(label), r.num(float64(l.Loads), 0), r.num(l.EnergyWhPerDay, 0), hours, cell(backup.Clock(l.StartMin))}})
	}
	return t
}
