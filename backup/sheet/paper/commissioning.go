package paper

import (
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// commissioning is the record of what was looked at, measured and tried before the plant is handed over, in the order
// of the work: nothing that needs a supply stands before the supply, and nothing is asked of what the home does not
// have.
func (r *report) commissioning() doc.Section {
	s := doc.Section{ID: "commissioning", Title: r.Say("commissioning.title"),
		Blocks: []doc.Block{doc.Para(r.Say("commissioning.text"))}}
	group := func(id string, items []doc.Item) {
		s.Blocks = append(s.Blocks, doc.Block{Head: r.Say("commissioning." + id)},
			doc.Block{List: &doc.List{Tick: true, Items: items}})
	}
	tests := func(id string, rows []test) {
		s.Blocks = append(s.Blocks, doc.Block{Table: r.record(id, rows)})
	}
	group("look", r.looks())
	tests("dead", r.deadTests())
	tests("sources", r.sourceTests())
	group("settings", []doc.Item{item(r.Say("commission.settings-entered")), item(r.Say("commission.settings-noted"))})
	tests("live", r.liveTests())
	tests("function", r.functionTests())
	group("hand-over", []doc.Item{item(r.Say("commission.owner-page")), item(r.Say("commission.owner-shown"))})
	s.Blocks = append(s.Blocks, doc.Block{Fields: &doc.Fields{Rows: []doc.Item{
		{Lead: r.Say("sign.who")}, {Lead: r.Say("sign.licence")}, {Lead: r.Say("sign.date")},
		{Lead: r.Say("sign.signature")},
	}}})
	return s
}

// A test is done, and what was read is written down beside what is wanted.
type test struct{ what, wanted string }

// record is a table of tests with room for readings and dates.
func (r *report) record(id string, tests []test) *doc.Table {
	caption := "commissioning." + id
	switch arrays := len(r.Plan.Site.Arrays) > 0; {
	case id == "dead" && !arrays:
		caption += ".bank"
	case id == "sources" && arrays:
		caption += ".array"
	}
	t := &doc.Table{ID: "tests-" + id, Caption: r.Say(caption), Columns: []doc.Column{
		doc.Head(r.Say("col.test")), doc.Head(r.Say("col.wanted")), doc.Blank(r.Say("col.reading")),
		doc.Blank(r.Say("col.date")),
	}}
	for _, x := range tests {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(x.what), doc.Plain(x.wanted), doc.Plain(""),
			doc.Plain("")}})
	}
	return t
}

// perPhase is one of two texts: for a single phase, or for several.
func (r *report) perPhase(single, several string) string {
	if r.Plan.Site.Phases > 1 {
		return r.Say(several)
	}
	return r.Say(single)
}

// looks are seen with everything switched off.
func (r *report) looks() []doc.Item {
	p := r.Plan
	changeover := r.Say("commission.changeover")
	if p.Site.Generator != nil {
		changeover = r.Say("commission.changeover.generator")
	}
	out := []doc.Item{item(r.perPhase("commission.sensor", "commission.sensor.phases")),
		item(r.Say("commission.sensor-way")), item(r.Say("commission.isolation")), item(changeover),
		item(r.Say("commission.earth")), item(r.Say("commission.torque")), item(r.Say("commission.labels"))}
	if p.Bank.Units() > 1 {
		out = append(out, item(r.Say("commission.units-alike")))
	}
	if p.Bank.Unit.Chemistry.LeadAcid() {
		out = append(out, item(r.Say("commission.probe")),
			item(r.Say("commission.ventilation", r.Amount(verdict.Enough(p.Bank.AirOnBoost.DistanceMM), "mm"))))
	} else {
		out = append(out, item(r.Say("commission.clearances")))
	}
	if len(p.Site.Arrays) > 0 {
		out = append(out, item(r.Say("commission.array-isolator")), item(r.Say("commission.array-shade")))
	}
	if r.holdsOff() {
		out = append(out, item(r.Say("commission.held")))
	}
	return out
}

// holdsOff tells whether something on the backup board is to be left off in an outage.
func (r *report) holdsOff() bool {
	for _, c := range r.Plan.Circuits {
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

// insulation is what a test of the insulation of AC circuits must show. IEC 60364-6, table 6.1, from memory: at 500 V
// DC 1 MΩ, for circuits up to 500 V but those of extra-low voltage. The American code gives no figure.
func (r *report) insulation() string {
	if r.American() {
		return r.Say("wanted.code")
	}
	return r.Say("wanted.insulation", r.Amount(1, "MΩ"), r.Amount(500, "V"))
}

// deadTests are done with the supply off, and bank and array isolated.
func (r *report) deadTests() []test {
	bonded := r.Say("test.continuity")
	if len(r.Plan.Site.Arrays) > 0 {
		bonded = r.Say("test.continuity.array")
	}
	return []test{
		{bonded, r.Say("wanted.continuity")},
		{r.Say("test.insulation-main"), r.insulation()},
		{r.Say("test.insulation-backup"), r.insulation()},
		{r.Say("test.polarity"), r.Say("wanted.polarity")},
	}
}

// sourceTests are of bank and array, which are live whatever is switched off: before their isolators are closed.
func (r *report) sourceTests() []test {
	p := r.Plan
	out := []test{{r.Say("test.bank-polarity"), r.Say("wanted.bank-polarity")},
		{r.Say("test.bank-volts"), r.Say("wanted.bank-volts", r.Amount(p.Bank.NominalV(), "V"),
			r.Amount(p.Bank.CutoffV, "V"))}}
	if p.Bank.Strings > 1 {
		out = append(out, test{r.Say("test.bank-strings"), r.Say("wanted.alike")})
	}
	for i, a := range p.Site.Arrays {
		out = append(out, test{r.Say("test.array-polarity", r.arrayName(i)), r.Say("wanted.polarity")},
			test{r.Say("test.array-volts", r.arrayName(i)), r.Say("wanted.array-volts",
				r.Amount(a.Module.VocV*float64(a.ModulesPerString), "V"), r.Temperature(25))},
			test{r.Say("test.array-insulation", r.arrayName(i)), r.Say("wanted.code")})
	}
	return out
}

// arrayName names an array, with its number where there are several.
func (r *report) arrayName(i int) string {
	if len(r.Plan.Site.Arrays) == 1 {
		return r.Say("line.array")
	}
	return r.Say("line.array-number", i+1)
}

// sources are what can feed the home, in the order in which they are tried.
func (r *report) sources() string {
	out := []string{r.Say("source.grid"), r.Say("source.bypass"), r.Say("source.inverter")}
	if r.Plan.Site.Generator != nil {
		out = append(out, r.Say("source.generator"))
	}
	return findings.List(out)
}

// liveTests are measured on the grid and on the inverter, before anything is tried with the loads of the home.
func (r *report) liveTests() []test {
	s := r.Plan.Site
	out := []test{{r.Say("test.volts", r.sources()), r.SupplyText()}}
	if s.Phases == 3 {
		out = append(out, test{r.Say("test.rotation", r.sources()), r.Say("wanted.rotation")})
	}
	out = append(out, test{r.perPhase("test.sensor", "test.sensor.phases"), r.Say("wanted.sensor")})
	loop := r.Say("wanted.loop")
	trip := r.Say("wanted.code")
	if !r.American() {
		// IEC 61008-1, general type at its rated residual current, from memory.
		trip = r.Say("wanted.trip", r.Amount(300, "ms"))
	}
	return append(out,
		test{r.Say("test.electrode"), r.Say("wanted.code")},
		test{r.Say("test.loop-grid"), loop}, test{r.Say("test.loop-inverter"), loop},
		test{r.Say("test.trip-grid"), trip}, test{r.Say("test.trip-inverter"), trip})
}

// functionTests try the plant as a whole, with the owner present.
func (r *report) functionTests() []test {
	p := r.Plan
	stays := r.Say("wanted.stays")
	if t := p.Inverter.Unit.TransferMs; t != nil {
		stays = r.Say("wanted.stays-break", r.Amount(*t, "ms"))
	}
	out := []test{{r.Say("test.outage"), stays}}
	if i := p.Starts.Worst; i >= 0 {
		out = append(out, test{r.Say("test.start", speech.Name(r.Called(p.Starts.All[i].Load))), r.Say("wanted.start")})
	}
	if relays := r.Relays(); len(relays) > 0 {
		out = append(out, test{r.Say("test.drops"), r.Say("wanted.drops")})
	}
	if !p.Bank.Unit.Chemistry.LeadAcid() {
		out = append(out, test{r.Say("test.bms"), r.Say("wanted.bms")})
	}
	out = append(out, test{r.Say("test.return"), r.Say("wanted.return")},
		test{r.Say("test.bypass"), r.Say("wanted.bypass")})
	if p.Site.Generator != nil {
		out = append(out, test{r.Say("test.generator"), r.Say("wanted.generator")})
	}
	return out
}
