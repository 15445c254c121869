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
	part := Part{ID: "electrician", Title: r.Say("electrician.title"), Lead: r.Say("electrician.lead")}
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections,
		r.boards(),
		Section{ID: "single-line", Title: r.Say("line.title"), Blocks: []Block{{Figure: r.singleLine()}, {Table: r.isolationTable()}}},
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
	s := Section{ID: "schedules", Title: r.Say("boards.title"), Blocks: []Block{para(r.Say("boards.text"))}}
	for _, onBackup := range []bool{true, false} {
		s.Blocks = append(s.Blocks, Block{Table: r.schedule(onBackup)})
	}
	return s
}

// schedule lists the circuits of one board.
func (r *report) schedule(onBackup bool) *Table {
	t := &Table{ID: "main-board", Caption: r.Say("boards.main"), Columns: []Column{
		tight(r.Say("col.no")), head(r.Say("col.circuit")), right(r.Say("col.phase"), ""), right(r.Say("col.breaker"), "A"), right(r.Say("col.cable"), r.sizeUnit()),
		right(r.Say("col.length"), r.lengthUnit()), right(r.Say("col.runs"), "W"), right(r.Say("col.draws"), "A"), right(r.Say("col.starts"), "VA"), head(r.Say("col.supplies")),
	}}
	if onBackup {
		t.ID, t.Caption = "backup-board", r.Say("boards.backup")
		if r.plan.Site.Ways > 0 {
			t.Caption += " " + r.Say("boards.ways", r.plan.Site.Ways)
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
			row.Group = r.Say("boards.beyond", r.plan.Site.Ways)
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
			phase = r.Say("phase.all")
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
		return r.Say("boards.empty")
	case circuits == 0:
		return r.Say("boards.main-empty")
	}
	var notes []string
	if chosen {
		notes = append(notes, r.Say("boards.chosen"))
	}
	if len(assumed) > 0 {
		notes = append(notes, r.Say("boards.assumed", list(assumed)))
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
			notes = append(notes, r.Say("note.medical"))
		}
		if l.RestsOnClass() {
			notes = append(notes, r.Say("note.typical"))
		}
		if l.HeldOff {
			notes = append(notes, r.Say("note.held-off"))
		}
		if mates := r.mates(l); len(mates) > 0 {
			notes = append(notes, r.Say("note.interlock", list(mates)))
		}
		if len(notes) > 0 {
			text += " (" + list(notes) + ")"
		}
		out = append(out, text)
	}
	if len(out) == 0 {
		return r.Say("note.nothing")
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
	t := &Table{ID: "isolation", Caption: r.Say("isolation.title"), Plain: true, Columns: []Column{tight(r.Say("col.mark")), head(r.Say("col.where")), head(r.Say("col.does"))}, Note: r.Say("isolation.note")}
	if len(r.plan.Site.Arrays) > 0 {
		t.Note = r.Say("isolation.note-array")
	}
	add := func(mark, where, does string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(mark), cell(where), cell(does)}})
	}
	for _, id := range []string{"Q1", "Q2", "Q3", "Q4", "S1", "Q5", "Q6"} {
		add(id, r.Say("isolation."+id), r.Say("isolation."+id+"-does"))
	}
	for i := range r.plan.Site.Arrays {
		add(r.ofArray("Q7", i), r.Say("isolation.Q7", r.arrayName(i)), r.Say("isolation.Q7-does", r.arrayName(i)))
	}
	if r.plan.Site.Generator != nil {
		add("Q8", r.Say("isolation.Q8"), r.Say("isolation.Q8-does"))
	}
	return t
}

// bankSection is the bank as it is wired.
func (r *report) bankSection() Section {
	b := r.plan.Bank
	s := Section{ID: "bank", Title: r.Say("bank.title"), Blocks: []Block{
		para(r.Say("bank.text", r.Count(b.Units(), "bank.units"), r.Count(b.Strings, "unit.strings"), b.Series, r.Amount(b.NominalV(), "V"), r.Amount(b.CapacityAh(), "Ah"))),
		{Figure: r.bankWiring()},
	}}
	var rules []Item
	if b.Units() > 1 {
		rules = append(rules, item(r.Say("bank.same")))
	}
	if b.Strings > 1 {
		rules = append(rules, item(r.Say("bank.equal")), item(r.Say("bank.diagonal")))
	}
	if r.stringsFused() {
		rules = append(rules, item(r.Say("bank.fuses")))
	}
	rules = append(rules, item(r.Say("bank.links")), item(r.Say("bank.cover")))
	s.Blocks = append(s.Blocks, Block{List: &List{Items: rules}})
	return s
}

// questions are what the local code decides and the plan must not.
func (r *report) questions() Section {
	s := Section{ID: "questions", Title: r.Say("questions.title"), Blocks: []Block{para(r.Say("questions.text"))}}
	ids := []string{"transfer", "street", "neutral", "rcd", "breakers", "dc", "place"}
	if len(r.plan.Site.Arrays) > 0 {
		ids = append(ids, "array")
	}
	if r.plan.Site.Generator != nil {
		ids = append(ids, "generator")
	}
	l := &List{Tick: true}
	for _, id := range append(ids, "who") {
		l.Items = append(l.Items, Item{Lead: r.Say("question." + id), Text: Text{S: r.Say("question." + id + "-text")}})
	}
	s.Blocks = append(s.Blocks, Block{List: l})
	return s
}

// supplyText names the supply of the site: phases, volts, frequency.
func (r *report) supplyText() string {
	s := r.plan.Site
	volts := fmt.Sprintf("%s%sV", r.Short(s.NominalV), hard)
	switch s.Phases {
	case 2:
		volts = fmt.Sprintf("%s/%s%sV", r.Short(s.NominalV), r.Short(2*s.NominalV), hard)
	case 3:
		volts = fmt.Sprintf("%s/%s%sV", r.Short(s.NominalV), r.Fixed(betweenLines(s.NominalV), 0), hard)
	}
	return r.Say("supply."+strconv.Itoa(s.Phases), volts, r.Amount(s.FrequencyHz, "Hz"))
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
