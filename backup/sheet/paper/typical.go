package paper

import "outlast/loads"

// typicalTable lists what rests on classes of appliances, and how far it spreads; nil where nothing does.
func (r *report) typicalTable() *Table {
	t := &Table{ID: "typical", Caption: r.say("typical.caption"), Note: r.say("typical.note"), Columns: []Column{
		head(r.say("col.load")), head(r.say("col.class")), right(r.say("col.runs"), "W"), right(r.say("col.starts"), "VA"), right(r.say("col.day-hours"), "h"),
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
		c = Cell{Text: Text{S: r.short(typical)}, Exact: exact(typical)}
	}
	if low < high {
		c.S += " (" + r.short(low) + "–" + r.short(high) + ")"
	}
	return c
}
