package paper

import (
	"fmt"
	"math"

	"outlast/backup/calendar"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// hoursTable is every time that the papers tell of how long the bank lasts, each with its one meaning. The promise is
// the first.
func (r *report) hoursTable() *doc.Table {
	p, b := r.Plan, r.Plan.Bank
	lasting := func(h float64, capped bool) doc.Cell {
		c := r.Num(h, 1)
		if capped {
			c.S = ">" + r.Fixed(h, 0)
		}
		return c
	}
	t := &doc.Table{ID: "hours", Caption: r.Say("hours.caption"), Plain: true,
		Columns: []doc.Column{doc.Right(r.Say("col.hours"), "h"), doc.Head(r.Say("col.what"))}}
	add := func(c doc.Cell, what string) { t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{c, doc.Plain(what)}}) }
	add(r.Given(p.Site.Outage.AutonomyH), r.Say("hours.asked"))
	promised := "hours.promised"
	if p.Verdict() == verdict.Fail {
		promised = "hours.not-promised"
	}
	add(lasting(r.LeastH, b.AutonomyCap), r.Say(promised, calendar.ClockAt(r.LeastMin)))
	if len(r.Relays()) > 0 {
		saved := r.Outage.DarkH
		if !r.Outage.IsDark {
			saved = float64(len(r.Outage.SoC)-1) / 60
		}
		add(lasting(saved, !r.Outage.IsDark), r.Say("hours.saved"))
	}
	add(lasting(b.AutonomyH, b.AutonomyCap), r.Say("hours.start", calendar.ClockAt(b.StartMin)))
	add(lasting(b.AutonomyNewH, b.AutonomyCap), r.Say("hours.new", calendar.ClockAt(b.StartMin)))
	t.Note = r.Say("hours.reserve", r.Fixed(100*b.FloorSoC, 0))
	return t
}

// studies are what the plan does when something is changed: what to switch off first, and which inputs matter most.
func (r *report) studies() ([]doc.Section, error) {
	saving := doc.Section{ID: "saving", Title: r.Say("saving.title")}
	if t := r.levelTable(); t != nil {
		saving.Blocks = append(saving.Blocks, doc.Block{Table: t})
	}
	t, err := r.shedTable()
	if err != nil {
		return nil, err
	}
	saving.Blocks = append(saving.Blocks, doc.Block{Table: t})
	influences, err := study.Sensitivity(r.Plan.Facts)
	if err != nil {
		return nil, err
	}
	return []doc.Section{saving, {ID: "sensitivity", Title: r.Say("sensitivity.title"),
		Blocks: []doc.Block{{Table: r.sensitivityTable(influences)}}}}, nil
}

// longerBy is how much longer than now the bank is to last in the table of what to switch off, where the plan reaches
// its hours.
const longerBy = 1.5

// shedTable is what to switch off first so that the bank lasts as long as is wished or, where it does, half as long
// again.
func (r *report) shedTable() (*doc.Table, error) {
	p := r.Plan
	wished := p.Site.Outage.AutonomyH
	if r.LeastH >= wished*(1-1e-9) {
		wished = math.Ceil(longerBy * r.LeastH)
	}
	t := &doc.Table{ID: "switch-off", Caption: r.Say("shed.caption", r.Exactly(wished)), Columns: []doc.Column{
		doc.Head(r.Say("col.load")), doc.Head(r.Say("col.circuit")), doc.Right(r.Say("col.priority"), ""),
		doc.Right(r.Say("col.energy"), "Wh"), doc.Right(r.Say("col.then"), "h"),
	}}
	shed, err := study.Shed(p.Facts, wished)
	if err != nil {
		return nil, err
	}
	for _, d := range shed.Drops {
		hours := r.Num(d.Hours, 1)
		if d.Capped {
			hours.S = ">" + r.Fixed(d.Hours, 0)
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(speech.Name(r.Called(d.Load))),
			doc.Plain(r.Ref(d.CircuitID)), r.Num(float64(d.Priority), 0), r.Num(d.EnergyWhPerDay, 0), hours}})
	}
	switch {
	case len(t.Rows) == 0:
		t.Note = r.Say("shed.nothing")
	case !shed.Reached:
		t.Note = r.Say("shed.not-reached", r.Exactly(wished))
	default:
		t.Note = r.Say("shed.note")
	}
	return t, nil
}

// mostInfluences is how many inputs the table shows: those that move most.
const mostInfluences = 12

// sensitivityTable ranks the inputs by what a step of each moves.
func (r *report) sensitivityTable(influences []study.Influence) *doc.Table {
	t := &doc.Table{ID: "sensitivity", Caption: r.Say("sensitivity.caption"), Columns: []doc.Column{
		doc.Head(r.Say("col.input")), doc.Right(r.Say("col.change"), ""), doc.Right(r.Say("col.hours-more"), "h"),
		doc.Head(r.Say("col.margin-of")), doc.Right(r.Say("col.margin-now"), "%"),
		doc.Right(r.Say("col.margin-then"), "%"), doc.Head(r.Say("col.then-fails")),
	}}
	for i, f := range influences {
		more := r.Num(f.ChangeH, 1)
		if f.ChangeH >= 0.05 {
			more.S = "+" + more.S
		}
		check, was, is := doc.Plain(doc.None), doc.Plain(doc.None), doc.Plain(doc.None)
		if f.Check != "" {
			check, was, is = doc.Plain(r.CheckName(f.Check)), r.Num(100*f.MarginWas, 0), r.Num(100*f.MarginIs, 0)
		}
		var fails []string
		for _, id := range f.Fails {
			fails = append(fails, r.CheckName(id))
		}
		t.Rows = append(t.Rows, doc.Row{DataOnly: i >= mostInfluences,
			Cells: []doc.Cell{doc.Plain(r.inputName(f.Input)), doc.Plain(stepText(r.Voice, f.Step)), more, check, was,
				is, orNone(doc.Plain(findings.List(fails)))}})
	}
	t.Note = r.Say("sensitivity.note", calendar.ClockAt(r.LeastMin))
	if n := len(influences) - mostInfluences; n > 0 {
		t.Note += " " + r.Say("sensitivity.less", n)
	}
	return t
}

// stepText writes the change of an input: "+10 %", "-5 K".
func stepText(v findings.Voice, s study.Step) string {
	out := v.Local(study.Step{By: s.By}.String())
	if s.Unit != "" {
		out += speech.Hard + s.Unit
	}
	return out
}

// inputName is an input of the site file in words, a load's behind its name.
func (r *report) inputName(in study.Input) string {
	if in.Load != "" {
		return fmt.Sprintf("%s: %s", speech.Name(r.Called(in.Load)), r.KeyName(in.Key))
	}
	return r.KeyName(in.Key)
}
