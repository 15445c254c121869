package paper

import (
	"fmt"
	"math"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// hoursTable is every time that the papers tell of how long the bank lasts, each with its one meaning. The promise is the first.
func (r *report) hoursTable() *Table {
	p, b := r.plan, r.plan.Bank
	lasting := func(h float64, capped bool) Cell {
		c := r.num(h, 1)
		if capped {
			c.S = ">" + r.Fixed(h, 0)
		}
		return c
	}
	t := &Table{ID: "hours", Caption: r.Say("hours.caption"), Plain: true, Columns: []Column{right(r.Say("col.hours"), "h"), head(r.Say("col.what"))}}
	add := func(c Cell, what string) { t.Rows = append(t.Rows, Row{Cells: []Cell{c, cell(what)}}) }
	add(r.given(p.Site.Outage.AutonomyH), r.Say("hours.asked"))
	promised := "hours.promised"
	if p.Verdict() == verdict.Fail {
		promised = "hours.not-promised"
	}
	add(lasting(r.leastH, b.AutonomyCap), r.Say(promised, calendar.ClockAt(r.leastMin)))
	if len(r.relays()) > 0 {
		saved := r.outage.darkH
		if !r.outage.isDark {
			saved = float64(len(r.outage.soc)-1) / 60
		}
		add(lasting(saved, !r.outage.isDark), r.Say("hours.saved"))
	}
	add(lasting(b.AutonomyH, b.AutonomyCap), r.Say("hours.start", calendar.ClockAt(b.StartMin)))
	add(lasting(b.AutonomyNewH, b.AutonomyCap), r.Say("hours.new", calendar.ClockAt(b.StartMin)))
	t.Note = r.Say("hours.reserve", r.Fixed(100*b.FloorSoC, 0))
	return t
}

// studies are what the plan does when something is changed: what to switch off first, and which inputs matter most.
func (r *report) studies() ([]Section, error) {
	saving := Section{ID: "saving", Title: r.Say("saving.title")}
	if t := r.levelTable(); t != nil {
		saving.Blocks = append(saving.Blocks, Block{Table: t})
	}
	t, err := r.shedTable()
	if err != nil {
		return nil, err
	}
	saving.Blocks = append(saving.Blocks, Block{Table: t})
	influences, err := study.Sensitivity(r.plan.Facts)
	if err != nil {
		return nil, err
	}
	return []Section{saving, {ID: "sensitivity", Title: r.Say("sensitivity.title"), Blocks: []Block{{Table: r.sensitivityTable(influences)}}}}, nil
}

// longerBy is how much longer than now the bank is to last in the table of what to switch off, where the plan reaches its hours.
const longerBy = 1.5

// shedTable is what to switch off first so that the bank lasts as long as is wished or, where it does, half as long again.
func (r *report) shedTable() (*Table, error) {
	p := r.plan
	wished := p.Site.Outage.AutonomyH
	if r.leastH >= wished*(1-1e-9) {
		wished = math.Ceil(longerBy * r.leastH)
	}
	t := &Table{ID: "switch-off", Caption: r.Say("shed.caption", r.exactly(wished)), Columns: []Column{
		head(r.Say("col.load")), head(r.Say("col.circuit")), right(r.Say("col.priority"), ""), right(r.Say("col.energy"), "Wh"), right(r.Say("col.then"), "h"),
	}}
	shed, err := study.Shed(p.Facts, wished)
	if err != nil {
		return nil, err
	}
	for _, d := range shed.Drops {
		hours := r.num(d.Hours, 1)
		if d.Capped {
			hours.S = ">" + r.Fixed(d.Hours, 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(name(r.called(d.Load))), cell(r.ref(d.CircuitID)), r.num(float64(d.Priority), 0), r.num(d.EnergyWhPerDay, 0), hours}})
	}
	switch {
	case len(t.Rows) == 0:
		t.Note = r.Say("shed.nothing")
	case !shed.Reached:
		t.Note = r.Say("shed.not-reached", r.exactly(wished))
	default:
		t.Note = r.Say("shed.note")
	}
	return t, nil
}

// mostInfluences is how many inputs the table shows: those that move most.
const mostInfluences = 12

// sensitivityTable ranks the inputs by what a step of each moves.
func (r *report) sensitivityTable(influences []study.Influence) *Table {
	t := &Table{ID: "sensitivity", Caption: r.Say("sensitivity.caption"), Columns: []Column{
		head(r.Say("col.input")), right(r.Say("col.change"), ""), right(r.Say("col.hours-more"), "h"), head(r.Say("col.margin-of")), right(r.Say("col.margin-now"), "%"), right(r.Say("col.margin-then"), "%"), head(r.Say("col.then-fails")),
	}}
	for i, f := range influences {
		more := r.num(f.ChangeH, 1)
		if f.ChangeH >= 0.05 {
			more.S = "+" + more.S
		}
		check, was, is := cell(none), cell(none), cell(none)
		if f.Check != "" {
			check, was, is = cell(r.checkName(f.Check)), r.num(100*f.MarginWas, 0), r.num(100*f.MarginIs, 0)
		}
		var fails []string
		for _, id := range f.Fails {
			fails = append(fails, r.checkName(id))
		}
		t.Rows = append(t.Rows, Row{DataOnly: i >= mostInfluences, Cells: []Cell{cell(r.inputName(f.Input)), cell(r.step(f.Step)), more, check, was, is, orNone(cell(list(fails)))}})
	}
	t.Note = r.Say("sensitivity.note", calendar.ClockAt(r.leastMin))
	if n := len(influences) - mostInfluences; n > 0 {
		t.Note += " " + r.Say("sensitivity.less", n)
	}
	return t
}

// step writes the change of an input: "+10 %", "-5 K".
func (v voice) step(s string) string {
	number, unit, _ := strings.Cut(s, " ")
	out := v.Local(number)
	if unit != "" {
		out += hard + unit
	}
	return out
}

// inputName is an input of the site file in words: "practice.margin", or the key of a load behind its name.
func (r *report) inputName(input string) string {
	if load, key, ok := cutLast(input, ": "); ok {
		return fmt.Sprintf("%s: %s", name(r.called(load)), r.keyName(key))
	}
	_, key, _ := strings.Cut(input, ".")
	return r.keyName(key)
}

// cutLast cuts a text at the last place of a separator: names of loads may hold it.
func cutLast(s, by string) (before, after string, ok bool) {
	i := strings.LastIndex(s, by)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(by):], true
}
