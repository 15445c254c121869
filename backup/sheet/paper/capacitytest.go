package paper

import (
	"outlast/backup/capacity"
	"outlast/backup/sheet/paper/doc"
)

// capacityTest is the sheet of the test at commissioning and once a year: which load, how long, which voltage when,
// when to stop, with boxes for the readings. ok is false where no test can be laid out.
func (r *report) capacityTest() (s doc.Section, ok bool) {
	p := r.Plan
	t, ok := capacity.Test(p.Facts)
	if !ok {
		return s, false
	}
	lead := p.Bank.Unit.Chemistry.LeadAcid()
	s = doc.Section{ID: "capacity-test", Title: r.Say("capacity.title"),
		Blocks: []doc.Block{doc.Para(r.Say("capacity.text", r.Fixed(100*p.Site.Practice.EndOfLife, 0)))}}
	safety := &doc.Box{Kind: "safety", Title: r.Say("capacity.safety"), Items: []doc.Item{
		item(r.Say("capacity.medical")), item(r.Say("capacity.weather")), item(r.Say("capacity.watch"))}}
	if lead {
		safety.Items = append(safety.Items, item(r.Say("capacity.air")))
	}
	s.Blocks = append(s.Blocks, doc.Block{Box: safety})

	var steps []doc.Item
	step := func(id string, args ...any) { steps = append(steps, item(r.Say(id, args...))) }
	if lead {
		step("capacity.full-lead")
	} else {
		step("capacity.full-lithium")
	}
	step("capacity.warm", r.Temperature(15), r.Temperature(30))
	open := r.Say("capacity.open")
	if len(p.Site.Arrays) > 0 {
		open += " " + r.Say("capacity.open-array")
	}
	if p.Site.Generator != nil {
		open += " " + r.Say("capacity.open-generator")
	}
	steps = append(steps, item(open))
	load := r.Say("capacity.load", r.Amount(t.LoadW, "W"))
	if t.Limited {
		load += " " + r.Say("capacity.load-limited")
	}
	steps = append(steps, item(load))
	step("capacity.read")
	if lead {
		step("capacity.stop-lead", r.Amount(t.StopV, "V"))
	} else {
		step("capacity.stop-lithium", r.Fixed(100*t.StopSoC, 0), r.Amount(t.StopV, "V"))
	}
	step("capacity.recharge")
	step("capacity.judge", r.Fixed(t.PlannedH, 1), r.Fixed(t.NewH, 1))
	s.Blocks = append(s.Blocks, doc.Block{List: &doc.List{Ordered: true, Items: steps}},
		doc.Block{Table: r.capacityReadings(t)},
		doc.Block{Fields: &doc.Fields{Rows: []doc.Item{{Lead: r.Say("capacity.load-read")},
			{Lead: r.Say("capacity.temperature-read")}, {Lead: r.Say("capacity.stop-read")}, {Lead: r.Say("sign.who")},
			{Lead: r.Say("sign.date")}, {Lead: r.Say("capacity.result")}}}},
		doc.Para(r.Say("capacity.log", r.Say("capacity.heads"), "outlast compare --log")))
	return s, true
}

// capacityReadings is what is expected when, with room for what is read.
func (r *report) capacityReadings(t capacity.TestPlan) *doc.Table {
	out := &doc.Table{ID: "capacity-test", Caption: r.Say("capacity.caption", r.Amount(t.LoadW, "W"),
		r.Temperature(t.TempC)), Note: r.Say("capacity.note"),
		Columns: []doc.Column{doc.Right(r.Say("col.after"), "h")}}
	if t.HasVolts {
		out.Columns = append(out.Columns, doc.Right(r.Say("capacity.new"), "V"),
			doc.Right(r.Say("capacity.planned"), "V"))
	}
	out.Columns = append(out.Columns, doc.Right(r.Say("capacity.new"), "%"), doc.Right(r.Say("capacity.planned"), "%"),
		doc.Blank(r.Say("capacity.clock")), doc.Blank("V"), doc.Blank("%"))
	cell := func(v float64, decimals int) doc.Cell {
		if v != v {
			return doc.Plain(doc.None)
		}
		return r.Num(v, decimals)
	}
	for _, row := range t.Rows {
		cells := []doc.Cell{r.Num(row.AtH, 2)}
		if t.HasVolts {
			cells = append(cells, cell(row.NewV, 1), cell(row.PlannedV, 1))
		}
		cells = append(cells, cell(100*row.NewSoC, 0), cell(100*row.PlannedSoC, 0), doc.Plain(""), doc.Plain(""),
			doc.Plain(""))
		out.Rows = append(out.Rows, doc.Row{Cells: cells})
	}
	return out
}
