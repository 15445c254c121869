package paper

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/loads"
)

// electrician is what is needed to build the plan and to commission it.
func (r *report) electrician() Part {
	part := Part{ID: "electrician", Title: r.say("electrician.title"), Lead: r.say("electrician.lead")}
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections,
		r.boards(),
		Section{ID: "single-line", Title: r.say("line.title"), Blocks: []Block{{Figure: r.singleLine()}, {Table: r.isolationTable()}}},
		r.devices(),
		r.bankSection(),
		r.settings(),
		r.commissioning(),
		r.questions(),
		r.safety(),
	)
	return part
}

// boardRef numbers the circuits of a board as the diagram and the schedule call them: B1, B2 on the backup board, M1 on the main one.
func boardRef(onBackup bool, n int) string {
	if onBackup {
		return "B" + strconv.Itoa(n)
	}
	return "M" + strconv.Itoa(n)
}

// boards are the circuit schedules of both boards.
func (r *report) boards() Section {
	s := Section{ID: "schedules", Title: r.say("boards.title"), Blocks: []Block{para(r.say("boards.text"))}}
	for _, onBackup := range []bool{true, false} {
		s.Blocks = append(s.Blocks, Block{Table: r.schedule(onBackup)})
	}
	return s
}

// schedule lists the circuits of one board.
func (r *report) schedule(onBackup bool) *Table {
	t := &Table{ID: "main-board", Caption: r.say("boards.main"), Columns: []Column{
		tight(r.say("col.no")), head(r.say("col.circuit")), right(r.say("col.phase"), ""), right(r.say("col.breaker"), "A"), right(r.say("col.cable"), r.sizeUnit()),
		right(r.say("col.length"), r.lengthUnit()), right(r.say("col.runs"), "W"), right(r.say("col.draws"), "A"), right(r.say("col.starts"), "VA"), head(r.say("col.supplies")),
	}}
	if onBackup {
		t.ID, t.Caption = "backup-board", r.say("boards.backup")
		if r.plan.Site.Ways > 0 {
			t.Caption += " " + r.say("boards.ways", r.plan.Site.Ways)
		}
	}
	if r.plan.Site.Phases == 1 {
		t.Columns = slices.Delete(t.Columns, 2, 3)
	}
	n, chosen := 0, false
	var assumed []string
	for _, c := range r.plan.Circuits {
		if c.OnBackup != onBackup {
			continue
		}
		n++
		if c.Assumed {
			assumed = append(assumed, boardRef(onBackup, n))
		}
		row := r.scheduleRow(c, boardRef(onBackup, n))
		if onBackup && r.plan.Site.Ways > 0 && n == r.plan.Site.Ways+1 {
			row.Group = r.say("boards.beyond", r.plan.Site.Ways)
		}
		t.Rows = append(t.Rows, row)
		chosen = chosen || slices.ContainsFunc(row.Cells, func(c Cell) bool { return strings.HasSuffix(c.S, "*") })
	}
	t.Note = r.scheduleNote(onBackup, n, chosen, assumed)
	return t.withoutEmpty()
}

// scheduleRow is the row of a circuit; what the planner chose has a star.
func (r *report) scheduleRow(c facts.Circuit, ref string) Row {
	cable := r.conductor(c.CableMM2)
	if run := r.runOf(ref); run != nil && c.CableMM2 == 0 {
		cable = r.size(run.Conductor)
		cable.S += "*"
	}
	cells := []Cell{cell(ref), cell(clean(r.called(c.Label)))}
	if r.plan.Site.Phases > 1 {
		phase := strconv.Itoa(c.Phase)
		if c.Phase == 0 {
			phase = r.say("phase.all")
		}
		if r.picked(c.ID) {
			phase += "*"
		}
		cells = append(cells, cell(phase))
	}
	return Row{Cells: append(cells, r.given(c.BreakerA), cable, r.length(c.LengthM), r.num(c.Running.W, 0), r.num(circuitA(c, r.plan.Site.NominalV), 1),
		r.orDash(c.StartingVA, 0), cell(r.supplies(c)))}
}

// scheduleNote says what stands below a schedule of so many circuits.
func (r *report) scheduleNote(onBackup bool, circuits int, chosen bool, assumed []string) string {
	switch {
	case circuits == 0 && onBackup:
		return r.say("boards.empty")
	case circuits == 0:
		return r.say("boards.main-empty")
	}
	var notes []string
	if chosen {
		notes = append(notes, r.say("boards.chosen"))
	}
	if len(assumed) > 0 {
		notes = append(notes, r.say("boards.assumed", list(assumed)))
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
	for _, l := range r.plan.Site.Loads {
		if of.Interlock != "" && l.Interlock == of.Interlock && l.Name != of.Name {
			out = append(out, name(r.called(l.Name)))
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
			notes = append(notes, r.say("note.medical"))
		}
		if l.RestsOnClass() {
			notes = append(notes, r.say("note.typical"))
		}
		if l.HeldOff {
			notes = append(notes, r.say("note.held-off"))
		}
		if mates := r.mates(l); len(mates) > 0 {
			notes = append(notes, r.say("note.interlock", list(mates)))
		}
		if len(notes) > 0 {
			text += " (" + list(notes) + ")"
		}
		out = append(out, text)
	}
	if len(out) == 0 {
		return r.say("note.nothing")
	}
	return strings.Join(out, "; ")
}

// orDash is the cell of a number, with a dash where there is none.
func (r *report) orDash(x float64, decimals int) Cell {
	if x == 0 {
		return cell("–")
	}
	return r.num(x, decimals)
}

// isolationTable lists where what can be switched off, by the marks of the diagram.
func (r *report) isolationTable() *Table {
	t := &Table{ID: "isolation", Caption: r.say("isolation.title"), Plain: true, Columns: []Column{tight(r.say("col.mark")), head(r.say("col.where")), head(r.say("col.does"))}, Note: r.say("isolation.note")}
	if len(r.plan.Site.Arrays) > 0 {
		t.Note = r.say("isolation.note-array")
	}
	add := func(mark, where, does string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(mark), cell(where), cell(does)}})
	}
	for _, id := range []string{"Q1", "Q2", "Q3", "Q4", "S1", "Q5", "Q6"} {
		add(id, r.say("isolation."+id), r.say("isolation."+id+"-does"))
	}
	for i := range r.plan.Site.Arrays {
		add(r.ofArray("Q7", i), r.say("isolation.Q7", r.arrayName(i)), r.say("isolation.Q7-does", r.arrayName(i)))
	}
	if r.plan.Site.Generator != nil {
		add("Q8", r.say("isolation.Q8"), r.say("isolation.Q8-does"))
	}
	return t
}

// bankSection is the bank as it is wired.
func (r *report) bankSection() Section {
	b := r.plan.Bank
	s := Section{ID: "bank", Title: r.say("bank.title"), Blocks: []Block{
		para(r.say("bank.text", r.count(b.Units(), "bank.units"), r.count(b.Strings, "unit.strings"), b.Series, r.amount(b.NominalV(), "V"), r.amount(b.CapacityAh(), "Ah"))),
		{Figure: r.bankWiring()},
	}}
	var rules []Item
	if b.Units() > 1 {
		rules = append(rules, item(r.say("bank.same")))
	}
	if b.Strings > 1 {
		rules = append(rules, item(r.say("bank.equal")), item(r.say("bank.diagonal")))
	}
	if r.stringsFused() {
		rules = append(rules, item(r.say("bank.fuses")))
	}
	rules = append(rules, item(r.say("bank.links")), item(r.say("bank.cover")))
	s.Blocks = append(s.Blocks, Block{List: &List{Items: rules}})
	return s
}

// questions are what the local code decides and the plan must not.
func (r *report) questions() Section {
	s := Section{ID: "questions", Title: r.say("questions.title"), Blocks: []Block{para(r.say("questions.text"))}}
	ids := []string{"transfer", "street", "neutral", "rcd", "breakers", "dc", "place"}
	if len(r.plan.Site.Arrays) > 0 {
		ids = append(ids, "array")
	}
	if r.plan.Site.Generator != nil {
		ids = append(ids, "generator")
	}
	l := &List{Tick: true}
	for _, id := range append(ids, "who") {
		l.Items = append(l.Items, Item{Lead: r.say("question." + id), Text: Text{S: r.say("question." + id + "-text")}})
	}
	s.Blocks = append(s.Blocks, Block{List: l})
	return s
}

// supplyText names the supply of the site: phases, volts, frequency.
func (r *report) supplyText() string {
	s := r.plan.Site
	volts := fmt.Sprintf("%s%sV", r.short(s.NominalV), hard)
	switch s.Phases {
	case 2:
		volts = fmt.Sprintf("%s/%s%sV", r.short(s.NominalV), r.short(2*s.NominalV), hard)
	case 3:
		volts = fmt.Sprintf("%s/%s%sV", r.short(s.NominalV), r.fixed(betweenLines(s.NominalV), 0), hard)
	}
	return r.say("supply."+strconv.Itoa(s.Phases), volts, r.amount(s.FrequencyHz, "Hz"))
}

// betweenLines is the voltage between two lines of a three-phase supply, by the name that the supply goes by where it has one.
func betweenLines(toNeutralV float64) float64 {
	v := toNeutralV * math.Sqrt(3)
	for _, named := range []float64{208, 220, 380, 400, 415, 480, 600} {
		if math.Abs(v-named) < 0.005*named {
			return named
		}
	}
	return v
}
