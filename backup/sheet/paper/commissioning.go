package paper

import "outlast/backup/wiring"

// commissioning is the record of what was looked at, measured and tried before the plant is handed over, in the order of the work: nothing
// that needs a supply stands before the supply, and nothing is asked of what the home does not have.
func (r *report) commissioning() Section {
	s := Section{ID: "commissioning", Title: r.say("commissioning.title"), Blocks: []Block{para(r.say("commissioning.text"))}}
	group := func(id string, items []Item) {
		s.Blocks = append(s.Blocks, Block{Head: r.say("commissioning." + id)}, Block{List: &List{Tick: true, Items: items}})
	}
	tests := func(id string, rows []test) {
		s.Blocks = append(s.Blocks, Block{Table: r.record(id, rows)})
	}
	group("look", r.looks())
	tests("dead", r.deadTests())
	tests("sources", r.sourceTests())
	group("settings", []Item{item(r.say("commission.settings-entered")), item(r.say("commission.settings-noted"))})
	tests("live", r.liveTests())
	tests("function", r.functionTests())
	group("hand-over", []Item{item(r.say("commission.owner-page")), item(r.say("commission.owner-shown"))})
	s.Blocks = append(s.Blocks, Block{Fields: &Fields{Rows: []Item{
		{Lead: r.say("sign.who")}, {Lead: r.say("sign.licence")}, {Lead: r.say("sign.date")}, {Lead: r.say("sign.signature")},
	}}})
	return s
}

// A test is done, and what was read is written down beside what is wanted.
type test struct{ what, wanted string }

// record is a table of tests with room for readings and dates.
func (r *report) record(id string, tests []test) *Table {
	caption := "commissioning." + id
	switch arrays := len(r.plan.Site.Arrays) > 0; {
	case id == "dead" && !arrays:
		caption += ".bank"
	case id == "sources" && arrays:
		caption += ".array"
	}
	t := &Table{ID: "tests-" + id, Caption: r.say(caption), Columns: []Column{
		head(r.say("col.test")), head(r.say("col.wanted")), blank(r.say("col.reading")), blank(r.say("col.date")),
	}}
	for _, x := range tests {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(x.what), cell(x.wanted), cell(""), cell("")}})
	}
	return t
}

// perPhase is one of two texts: for a single phase, or for several.
func (r *report) perPhase(single, several string) string {
	if r.plan.Site.Phases > 1 {
		return r.say(several)
	}
	return r.say(single)
}

// looks are seen with everything switched off.
func (r *report) looks() []Item {
	p := r.plan
	changeover := r.say("commission.changeover")
	if p.Site.Generator != nil {
		changeover = r.say("commission.changeover.generator")
	}
	out := []Item{item(r.perPhase("commission.sensor", "commission.sensor.phases")), item(r.say("commission.sensor-way")), item(r.say("commission.isolation")), item(changeover),
		item(r.say("commission.earth")), item(r.say("commission.torque")), item(r.say("commission.labels"))}
	if p.Bank.Units() > 1 {
		out = append(out, item(r.say("commission.units-alike")))
	}
	if p.Bank.Unit.Chemistry.LeadAcid() {
		out = append(out, item(r.say("commission.probe")), item(r.say("commission.ventilation", r.amount(p.Bank.AirOnBoost.DistanceMM, "mm"))))
	} else {
		out = append(out, item(r.say("commission.clearances")))
	}
	if len(p.Site.Arrays) > 0 {
		out = append(out, item(r.say("commission.array-isolator")), item(r.say("commission.array-shade")))
	}
	if r.holdsOff() {
		out = append(out, item(r.say("commission.held")))
	}
	return out
}

// holdsOff tells whether something on the backup board is to be left off in an outage.
func (r *report) holdsOff() bool {
	for _, c := range r.plan.Circuits {
		if !c.OnBackup {
			continue
		}
		for _, l := range c.Loads {
			if l.HeldOff {
				return true
			}
		}
	}
	return false
}

// insulation is what a test of the insulation of AC circuits must show. IEC 60364-6, table 6.1, from memory: at 500 V DC 1 MΩ, for circuits up to 500 V
// but those of extra-low voltage. The American code gives no figure.
func (r *report) insulation() string {
	if r.american() {
		return r.say("wanted.code")
	}
	return r.say("wanted.insulation", r.amount(1, "MΩ"), r.amount(500, "V"))
}

// american tells whether the tables that the site goes by are the American ones.
func (r *report) american() bool { return r.plan.Site.Wiring.Tables == wiring.US }

// deadTests are done with the supply off, and bank and array isolated.
func (r *report) deadTests() []test {
	bonded := r.say("test.continuity")
	if len(r.plan.Site.Arrays) > 0 {
		bonded = r.say("test.continuity.array")
	}
	return []test{
		{bonded, r.say("wanted.continuity")},
		{r.say("test.insulation-main"), r.insulation()},
		{r.say("test.insulation-backup"), r.insulation()},
		{r.say("test.polarity"), r.say("wanted.polarity")},
	}
}

// sourceTests are of bank and array, which are live whatever is switched off: before their isolators are closed.
func (r *report) sourceTests() []test {
	p := r.plan
	out := []test{{r.say("test.bank-polarity"), r.say("wanted.bank-polarity")}, {r.say("test.bank-volts"), r.say("wanted.bank-volts", r.amount(p.Bank.NominalV(), "V"), r.amount(p.Bank.CutoffV, "V"))}}
	if p.Bank.Strings > 1 {
		out = append(out, test{r.say("test.bank-strings"), r.say("wanted.alike")})
	}
	for i, a := range p.Site.Arrays {
		out = append(out, test{r.say("test.array-polarity", r.arrayName(i)), r.say("wanted.polarity")},
			test{r.say("test.array-volts", r.arrayName(i)), r.say("wanted.array-volts", r.amount(a.Module.VocV*float64(a.ModulesPerString), "V"), r.temperature(25))},
			test{r.say("test.array-insulation", r.arrayName(i)), r.say("wanted.code")})
	}
	return out
}

// arrayName names an array, with its number where there are several.
func (r *report) arrayName(i int) string {
	if len(r.plan.Site.Arrays) == 1 {
		return r.say("line.array")
	}
	return r.say("line.array-number", i+1)
}

// sources are what can feed the home, in the order in which they are tried.
func (r *report) sources() string {
	out := []string{r.say("source.grid"), r.say("source.bypass"), r.say("source.inverter")}
	if r.plan.Site.Generator != nil {
		out = append(out, r.say("source.generator"))
	}
	return list(out)
}

// liveTests are measured on the grid and on the inverter, before anything is tried with the loads of the home.
func (r *report) liveTests() []test {
	s := r.plan.Site
	out := []test{{r.say("test.volts", r.sources()), r.supplyText()}}
	if s.Phases == 3 {
		out = append(out, test{r.say("test.rotation", r.sources()), r.say("wanted.rotation")})
	}
	out = append(out, test{r.perPhase("test.sensor", "test.sensor.phases"), r.say("wanted.sensor")})
	loop := r.say("wanted.loop")
	trip := r.say("wanted.code")
	if !r.american() {
		// IEC 61008-1, general type at its rated residual current, from memory.
		trip = r.say("wanted.trip", r.amount(300, "ms"))
	}
	return append(out,
		test{r.say("test.electrode"), r.say("wanted.code")},
		test{r.say("test.loop-grid"), loop}, test{r.say("test.loop-inverter"), loop},
		test{r.say("test.trip-grid"), trip}, test{r.say("test.trip-inverter"), trip})
}

// functionTests try the plant as a whole, with the owner present.
func (r *report) functionTests() []test {
	p := r.plan
	stays := r.say("wanted.stays")
	if t := p.Inverter.Unit.TransferMs; t != nil {
		stays = r.say("wanted.stays-break", r.amount(*t, "ms"))
	}
	out := []test{{r.say("test.outage"), stays}}
	if i := p.Starts.Worst; i >= 0 {
		out = append(out, test{r.say("test.start", name(r.called(p.Starts.All[i].Load))), r.say("wanted.start")})
	}
	if relays := r.relays(); len(relays) > 0 {
		out = append(out, test{r.say("test.drops"), r.say("wanted.drops")})
	}
	if !p.Bank.Unit.Chemistry.LeadAcid() {
		out = append(out, test{r.say("test.bms"), r.say("wanted.bms")})
	}
	out = append(out, test{r.say("test.return"), r.say("wanted.return")}, test{r.say("test.bypass"), r.say("wanted.bypass")})
	if p.Site.Generator != nil {
		out = append(out, test{r.say("test.generator"), r.say("wanted.generator")})
	}
	return out
}
