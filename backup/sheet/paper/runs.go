package paper

import (
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/sheet/paper/doc"
)

// runsText says by which tables the conductors were chosen.
func (r *report) runsText() string {
	w := r.Plan.Site.Wiring
	text := "devices.text"
	if r.Plan.NoConductorDoes() {
		text = "devices.text-largest"
	}
	return r.Say(text, strings.ToUpper(string(w.Tables)), r.Temperature(w.AmbientC), w.Grouped)
}

// runTable lists every run with what protects it. What the planner chose is told from what the file gives; the bypass
// and the generator are there too, though nobody has chosen their cables yet.
func (r *report) runTable() *doc.Table {
	t := &doc.Table{ID: "conductors", Named: true, Caption: r.Say("runs.caption"), Note: r.Say("runs.note"),
		Columns: []doc.Column{
			doc.Tight(r.Say("col.mark")), doc.Head(r.Say("col.run")), doc.Right(r.Say("col.cores"), ""),
			doc.Right(r.Say("col.conductor"), r.SizeUnit()), doc.Right(r.Say("col.length"), r.LengthUnit()),
			doc.Right(r.Say("col.carries"), "A"), doc.Right(r.Say("col.needs"), "A"),
			doc.Right(r.Say("col.protects"), "A"),
			doc.Right(r.Say("col.drop"), "%"),
		}}
	open := func(mark, what string, lines int, needsA float64) {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(mark), doc.Plain(what), r.Num(float64(lines+2), 0),
			doc.Plain(doc.None), doc.Plain(doc.None), doc.Plain(doc.None), r.Num(needsA, 1), doc.Plain(doc.None),
			doc.Plain(doc.None)}})
	}
	for _, run := range r.Plan.Runs {
		label := r.RunLabel(run)
		if run.Count > 1 {
			label += ", " + r.Say("devices.each", run.Count)
		}
		size := r.Size(run.Conductor)
		if run.ConductorChosen {
			size.S += "*"
		}
		drop := doc.Plain(doc.None)
		if run.LengthM > 0 {
			drop = r.Num(100*run.Drop, 1)
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Mark(run)), doc.Plain(label),
			r.Num(float64(r.Cores(run)), 0), size, r.Length(run.LengthM), r.Num(run.CarriesA, 1),
			r.Num(run.NeedsA, 1), r.ratedOf(&run), drop}})
		if run.Kind == conductors.Feeder {
			open("Q4", r.Say("run.bypass"), r.Plan.Site.Phases, r.Plan.Grid.PassThroughA)
		}
	}
	if g := r.Plan.Site.Generator; g != nil {
		lines := r.Plan.Site.Phases
		if g.Phases > 0 {
			lines = g.Phases
		}
		open("Q8", r.Say("run.generator"), lines, r.generatorA())
	}
	return t.WithoutEmpty()
}
