package paper

import "outlast/loads"

// typicalTable lists what rests on classes of appliances, and how far it spreads; nil where nothing does.
func (r *report) typicalTable() *Table {
	t := &Table{ID: "typical", Caption: r.Say("typical.caption"), Note: r.Say("typical.note"), Columns: []Column{
		head(r.Say("col.load")), head(r.Say("col.class")), right(r.Say("col.runs"), "W"), right(r.Say("col.starts"), "VA"), right(r.Say("col.day-hours"), "h"),
	}}
	for i := range r.plan.Site.Loads {
		l := &r.plan.Site.Loads[i]
		if !l.RestsOnClass() {
			continue
		}
		low, high := l.Typical.Low, l.Typical.High
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(name(r.called(l.Name))), cell(clean(l.Typical.Class)), r.spread(l.RunningW, low.RunningW, high.RunningW),
			r.spread(startVA(l.Start), startVA(low.Start), startVA(high.Start)), r.spread(l.HoursPerDay, low.HoursPerDay, high.HoursPerDay)}})
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
func (r *report) spread(typical, low, high float64) Cell {
	c := r.orDash(typical, 0)
	if typical != 0 {
		c = Cell{Text: Text{S: r.Short(typical)}, Exact: exact(typical)}
	}
	if low < high {
		c.S += " (" + r.Short(low) + "–" + r.Short(high) + ")"
	}
	return c
}
