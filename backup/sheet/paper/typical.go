package paper

import (
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
	"outlast/loads"
)

// typicalTable lists what rests on classes of appliances, and how far it spreads; nil where nothing does.
func (r *report) typicalTable() *doc.Table {
	t := &doc.Table{ID: "typical", Caption: r.Say("typical.caption"), Note: r.Say("typical.note"),
		Columns: []doc.Column{
			doc.Head(r.Say("col.load")), doc.Head(r.Say("col.class")), doc.Right(r.Say("col.runs"), "W"),
			doc.Right(r.Say("col.starts"), "VA"), doc.Right(r.Say("col.day-hours"), "h"),
		}}
	for i := range r.Plan.Site.Loads {
		l := &r.Plan.Site.Loads[i]
		if !l.RestsOnClass() {
			continue
		}
		low, high := l.Typical.Low, l.Typical.High
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(speech.Name(r.Called(l.Name))),
			doc.Plain(speech.Clean(l.Typical.Class)), r.spread(l.RunningW, low.RunningW, high.RunningW),
			r.spread(startVA(l.Start), startVA(low.Start), startVA(high.Start)),
			r.spread(l.HoursPerDay, low.HoursPerDay, high.HoursPerDay)}})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return t
}

func startVA(s *loads.Start) float64 {
	if s == nil {
		return 0
	}
	return s.VA()
}

// spread is a figure and the span in which others are.
func (r *report) spread(typical, low, high float64) doc.Cell {
	c := r.orDash(typical, 0)
	if typical != 0 {
		c = doc.Cell{Text: doc.Text{S: r.Short(typical)}, Exact: findings.Exact(typical)}
	}
	if low < high {
		c.S += " (" + r.Short(low) + wording.RangeDash + r.Short(high) + ")"
	}
	return c
}
