package paper

import (
	"slices"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/drawing"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
	"outlast/loads"
)

// electrician is what is needed to build the plan and to commission it.
func (r *report) electrician() doc.Part {
	part := doc.Part{ID: "electrician", Title: r.Say("electrician.title"), Lead: r.Say("electrician.lead")}
	part.Sections = append(append(part.Sections, r.notToBeBuilt()...), r.medicalBox()...)
	// The diagram comes first: it takes most of a page, and would leave half of one empty behind the schedules.
	part.Sections = append(part.Sections,
		doc.Section{ID: "single-line", Title: r.Say("line.title"),
			Blocks: []doc.Block{{Figure: drawing.SingleLine(r.Report)}, {Table: r.isolationTable()}}},
		r.boards(),
		r.devices(),
		r.bankSection(),
		r.settings(),
		r.commissioning(),
	)
	if test, ok := r.capacityTest(); ok {
		part.Sections = append(part.Sections, test)
	}
	part.Sections = append(part.Sections, r.questions(), r.safety())
	return part
}

// notToBeBuilt warns whoever holds only these papers of a plan that fails.
func (r *report) notToBeBuilt() []doc.Section {
	var names []string
	for _, c := range r.Plan.With(verdict.Fail) {
		names = append(names, r.CheckName(c.ID)) // which may hold commas
	}
	if len(names) == 0 {
		return nil
	}
	box := &doc.Box{Kind: "fail", Title: r.Say("electrician.fails"),
		Texts: []doc.Text{{S: r.Say("electrician.fails-text", r.InTurn(names...))}}}
	return []doc.Section{{ID: "not-to-be-built", Class: "full", Blocks: []doc.Block{{Box: box}}}}
}

// boards are the circuit schedules of both boards.
func (r *report) boards() doc.Section {
	s := doc.Section{ID: "schedules", Title: r.Say("boards.title"), Blocks: []doc.Block{doc.Para(r.Say("boards.text"))}}
	for _, onBackup := range []bool{true, false} {
		s.Blocks = append(s.Blocks, doc.Block{Table: r.schedule(onBackup)})
	}
	return s
}

// schedule lists the circuits of one board.
func (r *report) schedule(onBackup bool) *doc.Table {
	t := &doc.Table{ID: "main-board", Caption: r.Say("boards.main"), Columns: []doc.Column{
		doc.Tight(r.Say("col.no")), doc.Head(r.Say("col.circuit")), doc.Right(r.Say("col.phase"), ""),
		doc.Right(r.Say("col.breaker"), "A"), doc.Right(r.Say("col.cable"), r.SizeUnit()),
		doc.Right(r.Say("col.length"), r.LengthUnit()), doc.Right(r.Say("col.runs"), "W"),
		doc.Right(r.Say("col.draws"), "A"), doc.Right(r.Say("col.starts"), "VA"), doc.Head(r.Say("col.supplies")),
	}}
	if onBackup {
		t.ID, t.Caption = "backup-board", r.Say("boards.backup")
		if r.Plan.Site.Ways > 0 {
			t.Caption += " " + r.Say("boards.ways", r.Plan.Site.Ways)
		}
	}
	if r.Plan.Site.Phases == 1 {
		t.Columns = slices.Delete(t.Columns, 2, 3)
	}
	n, chosen := 0, false
	var assumed []string
	for _, c := range r.Plan.Circuits {
		if c.OnBackup != onBackup {
			continue
		}
		n++
		if c.Assumed {
			assumed = append(assumed, findings.BoardRef(onBackup, n))
		}
		row, starred := r.scheduleRow(c, findings.BoardRef(onBackup, n))
		if onBackup && r.Plan.Site.Ways > 0 && n == r.Plan.Site.Ways+1 {
			row.Group = r.Say("boards.beyond", r.Plan.Site.Ways)
		}
		t.Rows = append(t.Rows, row)
		chosen = chosen || starred
	}
	t.Note = r.scheduleNote(onBackup, n, chosen, assumed)
	return t.WithoutEmpty()
}

// scheduleRow is the row of a circuit; what the planner chose has a star, and starred says that something has.
func (r *report) scheduleRow(c facts.Circuit, ref string) (row doc.Row, starred bool) {
	cable := r.Conductor(c.CableMM2)
	if run := r.CircuitRun(c.ID); run != nil && c.CableMM2 == 0 {
		cable = r.Size(run.Conductor)
		cable.S, starred = cable.S+"*", true
	}
	cells := []doc.Cell{doc.Plain(ref), doc.Plain(speech.Clean(r.Called(c.Label)))}
	if r.Plan.Site.Phases > 1 {
		phase := strconv.Itoa(c.Phase)
		switch {
		case c.AnyPhase && !c.OnBackup: // nobody has picked one
			phase = r.Prose(phrase.Of("any"))
		case c.Phase == 0:
			phase = r.Say("phase.all")
		}
		if r.Picked(c.ID) {
			phase, starred = phase+"*", true
		}
		cells = append(cells, doc.Plain(phase))
	}
	return doc.Row{Cells: append(cells, r.Given(c.BreakerA), cable, r.Length(c.LengthM), r.Num(c.Running.W, 0),
		r.Num(circuitA(c, r.Plan.Site.NominalV), 1),
		r.orDash(c.StartingVA, 0), doc.Plain(r.supplies(c)))}, starred
}

// scheduleNote says what stands below a schedule of so many circuits.
func (r *report) scheduleNote(onBackup bool, circuits int, chosen bool, assumed []string) string {
	switch {
	case circuits == 0 && onBackup:
		return r.Say("boards.empty")
	case circuits == 0:
		return r.Say("boards.main-empty")
	}
	var notes []string
	if chosen {
		notes = append(notes, r.Say("boards.chosen"))
	}
	if len(assumed) > 0 {
		notes = append(notes, r.Say("boards.assumed", findings.List(assumed)))
	}
	return strings.Join(notes, " ")
}

// circuitA is the current of a circuit's busiest phase, all its loads at once.
func circuitA(c facts.Circuit, nominalV float64) float64 {
	va := 0.0
	for _, phase := range c.Running.PhaseVA {
		va = max(va, phase)
	}
	return va / nominalV
}

// mates names the other loads of a load's interlock: its name in the site file says nothing to a reader.
func (r *report) mates(of loads.Load) []string {
	var out []string
	for _, l := range r.Plan.Site.Loads {
		if of.Interlock != "" && l.Interlock == of.Interlock && l.Name != of.Name {
			out = append(out, speech.Name(r.Called(l.Name)))
		}
	}
	return out
}

// supplies names what is connected to a circuit, and what of it is not used or interlocked.
func (r *report) supplies(c facts.Circuit) string {
	var out []string
	for _, l := range c.Loads {
		text := r.quantity(l)
		var notes []string
		if l.Medical {
			notes = append(notes, r.Say("note.medical"))
		}
		if l.RestsOnClass() {
			notes = append(notes, r.Say("note.typical"))
		}
		if l.HeldOff {
			notes = append(notes, r.Say("note.held-off"))
		}
		if !l.Months.Has(r.Plan.Month) { // power, current and start of its circuit are without it
			notes = append(notes, r.Say("note.not-in", r.MonthName(r.Plan.Month)))
		}
		if mates := r.mates(l); len(mates) > 0 {
			notes = append(notes, r.Say("note.interlock", findings.List(mates)))
		}
		if len(notes) > 0 {
			text += " (" + findings.List(notes) + ")"
		}
		out = append(out, text)
	}
	if len(out) == 0 {
		return r.Say("note.nothing")
	}
	return r.InTurn(out...)
}

// orDash is the cell of a number, with a dash where there is none.
func (r *report) orDash(x float64, decimals int) doc.Cell {
	if x == 0 {
		return doc.Plain("–")
	}
	return r.Num(x, decimals)
}

// asGiven is the cell of a figure of a data sheet, with the digits that it has; a dash where there is none.
func (r *report) asGiven(x float64) doc.Cell {
	c := r.orDash(x, 0)
	if x != 0 {
		c.Text = doc.Text{S: r.Short(x)}
	}
	return c
}

// isolationTable lists where what can be switched off, by the marks of the diagram.
func (r *report) isolationTable() *doc.Table {
	t := &doc.Table{ID: "isolation", Caption: r.Say("isolation.title"), Plain: true,
		Columns: []doc.Column{doc.Tight(r.Say("col.mark")), doc.Head(r.Say("col.where")), doc.Head(r.Say("col.does"))},
		Note:    r.Say("isolation.note")}
	if len(r.Plan.Site.Arrays) > 0 {
		t.Note = r.Say("isolation.note-array")
	}
	add := func(mark, where, does string) {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(mark), doc.Plain(where), doc.Plain(does)}})
	}
	for _, id := range []string{"Q1", "Q2", "Q3", "Q4", "S1", "Q5", "Q6"} {
		add(id, r.Say("isolation."+id), r.Say("isolation."+id+"-does"))
	}
	for i := range r.Plan.Site.Arrays {
		add(r.OfArray("Q7", i), r.Say("isolation.Q7", r.arrayName(i)), r.Say("isolation.Q7-does", r.arrayName(i)))
	}
	if r.Plan.Site.Generator != nil {
		add("Q8", r.Say("isolation.Q8"), r.Say("isolation.Q8-does"))
	}
	return t
}

// bankSection is the bank as it is wired.
func (r *report) bankSection() doc.Section {
	b := r.Plan.Bank
	s := doc.Section{ID: "bank", Title: r.Say("bank.title"), Blocks: []doc.Block{
		doc.Para(r.Say("bank.text", r.Count(b.Units(), "bank.units"), r.Count(b.Strings, "unit.strings"), b.Series,
			r.Amount(b.NominalV(), "V"), r.Amount(b.CapacityAh(), "Ah"))),
		{Figure: drawing.BankWiring(r.Report)},
	}}
	var rules []doc.Item
	if b.Units() > 1 {
		rules = append(rules, item(r.Say("bank.same")))
	}
	if b.Strings > 1 {
		rules = append(rules, item(r.Say("bank.equal")), item(r.Say("bank.diagonal")))
	}
	if r.StringsFused() {
		rules = append(rules, item(r.Say("bank.fuses")))
	}
	rules = append(rules, item(r.Say("bank.links")), item(r.Say("bank.cover")))
	s.Blocks = append(s.Blocks, doc.Block{List: &doc.List{Items: rules}})
	return s
}

// questions are what the local code decides and the plan must not.
func (r *report) questions() doc.Section {
	s := doc.Section{ID: "questions", Title: r.Say("questions.title"),
		Blocks: []doc.Block{doc.Para(r.Say("questions.text"))}}
	ids := []string{"transfer", "street", "neutral", "rcd", "breakers", "dc", "place"}
	if len(r.Plan.Site.Arrays) > 0 {
		ids = append(ids, "array")
	}
	if r.Plan.Site.Generator != nil {
		ids = append(ids, "generator")
	}
	l := &doc.List{Tick: true}
	for _, id := range append(ids, "who") {
		l.Items = append(l.Items, doc.Item{Lead: r.Say("question." + id),
			Text: doc.Text{S: r.Say("question." + id + "-text")}})
	}
	s.Blocks = append(s.Blocks, doc.Block{List: l})
	return s
}
