package paper

import (
	"fmt"
	"strings"

	"outlast/backup/conductors"
)

// runsText says by which tables the conductors were chosen.
func (r *report) runsText() string {
	w := r.plan.Site.Wiring
	return r.Say("devices.text", strings.ToUpper(string(w.Tables)), r.Temperature(w.AmbientC), w.Grouped)
}

// runTable lists every run with what protects it. What the planner chose is told from what the file gives; the bypass and the generator are
// there too, though nobody has chosen their cables yet.
func (r *report) runTable() *Table {
	t := &Table{ID: "conductors", Named: true, Caption: r.Say("runs.caption"), Note: r.Say("runs.note"), Columns: []Column{
		tight(r.Say("col.mark")), head(r.Say("col.run")), right(r.Say("col.cores"), ""), right(r.Say("col.conductor"), r.sizeUnit()), right(r.Say("col.length"), r.lengthUnit()),
		right(r.Say("col.carries"), "A"), right(r.Say("col.needs"), "A"), right(r.Say("col.protects"), "A"), right(r.Say("col.drop"), "%"),
	}}
	refs := r.refs()
	open := func(mark, what string, lines int, needsA float64) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(mark), cell(what), r.num(float64(lines+2), 0), cell(none), cell(none), cell(none), r.num(needsA, 1), cell(none), cell(none)}})
	}
	for _, run := range r.plan.Runs {
		label := r.runLabel(run)
		if run.Count > 1 {
			label += ", " + r.Say("devices.each", run.Count)
		}
		size := r.size(run.Conductor)
		if run.ConductorChosen {
			size.S += "*"
		}
		drop := cell(none)
		if run.LengthM > 0 {
			drop = r.num(100*run.Drop, 1)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(refs[run.ID]), cell(label), r.num(float64(r.cores(run.ID)), 0), size, r.length(run.LengthM), r.num(run.CarriesA, 1),
			r.num(run.NeedsA, 1), r.ratedOf(&run), drop}})
		if run.ID == "cable-feeder" {
			open("Q4", r.Say("run.bypass"), r.plan.Site.Phases, r.plan.Grid.PassThroughA)
		}
	}
	if g := r.plan.Site.Generator; g != nil {
		lines := r.plan.Site.Phases
		if g.Phases > 0 {
			lines = g.Phases
		}
		open("Q8", r.Say("run.generator"), lines, r.generatorA())
	}
	return t.withoutEmpty()
}

// cores are those of a run: the lines, the neutral and the protective conductor; of direct current plus and minus.
func (r *report) cores(id string) int {
	switch id {
	case "cable-input", "cable-feeder":
		return r.plan.Inverter.Unit.Phases + 2
	case "cable-bank":
		return 2
	}
	if strings.HasPrefix(id, "cable-array-") {
		return 2
	}
	for _, c := range r.plan.Circuits {
		if c.Phase == 0 && (id == "cable-"+c.ID || id == "cable-circuit-"+c.ID) {
			return r.plan.Site.Phases + 2
		}
	}
	return 3
}

// cable writes the cores and the size of a run beside its line in the diagram, or nothing where no size is known.
func (r *report) cable(id string) string {
	run := r.run(id)
	if run == nil || run.Conductor.MM2 == 0 {
		return ""
	}
	// A line may break between the two names of a size only.
	size, other, two := strings.Cut(r.size(run.Conductor).S, " (")
	unit := ""
	if !r.US {
		unit = " mm²"
	}
	if two {
		other = " (" + strings.ReplaceAll(other, " ", hard)
	}
	return fmt.Sprintf("%d%s×%s%s%s%s", r.cores(id), hard, hard, strings.ReplaceAll(size, " ", hard), unit, other)
}

// runLabel is a run in the words of the papers; a circuit has its own.
func (r *report) runLabel(run conductors.Run) string {
	if text, ok := r.Words["run."+run.ID]; ok {
		return text
	}
	if n, ok := strings.CutPrefix(run.ID, "cable-array-"); ok {
		return r.Say("run.cable-array-#", name(n))
	}
	return name(r.called(run.Label.String()))
}

// refs are the marks of the diagram for the runs.
func (r *report) refs() map[string]string {
	out := map[string]string{"cable-input": "Q2", "cable-feeder": "Q3", "cable-bank": "F1"}
	for i := range r.plan.Site.Arrays {
		out[fmt.Sprintf("cable-array-%d", i+1)] = r.ofArray("Q7", i)
	}
	for _, onBackup := range []bool{true, false} {
		n := 0
		for _, c := range r.plan.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			n++
			for _, id := range []string{"cable-" + c.ID, "cable-circuit-" + c.ID} {
				if _, taken := out[id]; !taken {
					out[id] = boardRef(onBackup, n)
				}
			}
		}
	}
	return out
}

// runOf is the run of a circuit's cable, if it has one.
func (r *report) runOf(ref string) *conductors.Run {
	refs := r.refs()
	for i, run := range r.plan.Runs {
		if refs[run.ID] == ref {
			return &r.plan.Runs[i]
		}
	}
	return nil
}

// rated writes the rating of the device of a run for the diagram, or nothing.
func (r *report) rated(id string) string {
	if run := r.run(id); run != nil && run.DeviceA > 0 {
		return r.Amount(run.DeviceA, "A")
	}
	return ""
}
