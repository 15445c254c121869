package paper

import (
	"fmt"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
)

// The tables of the figures that a plan found, in the order in which they follow from each other.

// demandTable is what the backup board asks for.
func (r *report) demandTable() *doc.Table {
	d := r.Plan.Demand
	t := &doc.Table{ID: "demand", Caption: r.Say("demand.caption", r.MonthName(r.Plan.Month)),
		Columns: []doc.Column{doc.Head(r.Say("col.demand")), doc.Right("W", ""), doc.Right("VA", ""),
			doc.Head(r.Say("col.remark"))}}
	rows := []doc.Row{
		{Cells: []doc.Cell{doc.Plain(r.Say("demand.connected")), r.Num(d.Connected.W, 0), r.Num(d.Connected.VA, 0),
			doc.Plain("")}},
		{Cells: []doc.Cell{doc.Plain(r.Say("demand.scheduled")), r.Num(d.Scheduled.W, 0), r.Num(d.Scheduled.VA, 0),
			doc.Plain(r.Say("demand.at", calendar.Clock(d.Scheduled.AtMin)))}},
	}
	if n := len(d.Scheduled.PhaseW); n > 1 { // the total would hide one that is too full
		g, share := r.Plan.Inverter, float64(n)
		remark := r.Say("demand.phase-remark", r.Amount(g.LimitW()/share, "W"), r.Amount(g.LimitVA()/share, "VA"))
		for i := range n {
			rows = append(rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say("day.phase", i+1)),
				r.Num(d.Scheduled.PhaseW[i], 0), r.Num(d.Scheduled.PhaseVA[i], 0), doc.Plain(remark)}})
		}
	}
	t.Rows = append(rows, []doc.Row{
		{Cells: []doc.Cell{doc.Plain(r.Say("demand.probable")), r.Num(d.ProbableW, 0), doc.Plain("–"),
			doc.Plain(r.Say("demand.moments", r.Short(100*r.Plan.Site.Practice.Confidence)))}},
		{Cells: []doc.Cell{doc.Plain(r.Say("demand.mean")), r.Num(d.EnergyWhPerDay/24, 0), doc.Plain("–"),
			doc.Plain(r.Say("demand.day", r.Amount(d.EnergyWhPerDay, "Wh")))}},
	}...)
	return t
}

// startTable is every start against the rating for its time.
func (r *report) startTable() *doc.Table {
	t := &doc.Table{ID: "starts", Caption: r.Say("starts.caption"), Columns: []doc.Column{
		doc.Head(r.Say("col.load")), doc.Right(r.Say("col.at"), ""), doc.Right(r.Say("col.seconds"), "s"),
		doc.Right(r.Say("col.phase"), ""), doc.Right(r.Say("col.all"), "VA"), doc.Right(r.Say("col.bears"), "VA"),
		doc.Right(r.Say("col.left"), "%"),
	}}
	for _, st := range r.Plan.Starts.All {
		phase := doc.Plain(r.Say("phase.all"))
		if st.Phase > 0 {
			phase = doc.Plain(fmt.Sprint(st.Phase))
		}
		left := doc.Plain("–")
		if st.LimitVA > 0 {
			left = r.Num(100*(st.LimitVA-st.DemandVA)/st.LimitVA, 0)
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.startName(st.Load)),
			doc.Plain(calendar.Clock(st.AtMin)), {Text: doc.Text{S: r.Short(st.Seconds)},
				Exact: findings.Exact(st.Seconds)}, phase,
			r.Num(st.DemandVA, 0), r.Num(st.LimitVA, 0), left}})
	}
	restart := r.Plan.Starts.Restart
	switch order, rest := r.restartNames(); {
	case len(t.Rows) == 0:
		t.Note = r.Say("starts.none")
	case restart.FitsAtOnce || len(restart.Order) == 0 || len(order) == 0:
	case rest == restAnyOrder:
		t.Note = r.Say("starts.order-rest", r.InTurn(order...))
	case rest == restByLoad:
		t.Note = r.Say("starts.order-loads", calendar.Clock(restart.TightAtMin), r.InTurn(order...))
	default:
		t.Note = r.Say("starts.order", r.InTurn(order...))
	}
	return t
}

// restartNames are the whole names of the steps of a restart, with their breakers.
func (r *report) restartNames() (names []string, rest restOfRestart) {
	order, rest := r.restartSteps()
	for _, step := range order {
		names = append(names, r.Ref(step.circuitID)+speech.Hard+speech.Name(r.Called(step.label)))
	}
	return names, rest
}

// startName is a load that starts, and whether its figures are its own.
func (r *report) startName(load string) string {
	if r.Plan.Site.RestsOnClass(load) {
		return speech.Name(r.Called(load)) + " (" + r.Say("note.typical") + ")"
	}
	return speech.Clean(r.Called(load))
}

// values makes a table of named figures.
func (r *report) values(id, caption string, rows ...[4]any) *doc.Table {
	t := &doc.Table{ID: id, Caption: caption, Columns: []doc.Column{doc.Head(r.Say("col.what")),
		doc.Right(r.Say("col.value"), ""), doc.Tight(r.Say("col.unit")), doc.Head(r.Say("col.remark"))}}
	for _, row := range rows {
		value, ok := row[1].(doc.Cell)
		if !ok {
			value = doc.Plain(row[1].(string))
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(row[0].(string)), value, doc.Plain(row[2].(string)),
			doc.Plain(row[3].(string))}})
	}
	return t
}

func (r *report) inverterTable() *doc.Table {
	g, s := r.Plan.Inverter, r.Plan.Site
	return r.values("inverter", r.Say("inverter.caption", g.Count, r.EquipmentName(g.Unit.ID, g.Unit.Label)),
		[4]any{r.Say("inverter.rated"), r.Num(g.RatedVA(), 0), "VA", r.Amount(g.RatedW(), "W")},
		[4]any{r.Say("inverter.derated"), r.Num(g.DeratedVA(), 0), "VA",
			r.Say("inverter.derated-remark", r.Amount(g.DeratedW(), "W"), r.Temperature(s.HottestC),
				r.Amount(s.AltitudeM, "m"))},
		[4]any{r.Say("inverter.passes"), r.asGiven(g.PassThroughA()), "A",
			r.Say("inverter.asked", r.Amount(r.Plan.Grid.PassThroughA, "A"))},
		[4]any{r.Say("inverter.takes"), r.asGiven(g.ACInputA()), "A",
			r.Say("inverter.asked", r.Amount(r.Plan.Grid.InputA, "A"))},
		[4]any{r.Say("inverter.idle"), r.asGiven(g.IdleW()), "W", ""})
}

func (r *report) bankTable() *doc.Table {
	b, z := r.Plan.Bank, r.Plan.Bank.Sizing
	chosen := r.Say("bank.given")
	if b.Sized {
		chosen = r.Say("bank.sized")
	}
	needed := r.least(r.Plan.EnoughAh())
	needed.Exact = findings.Exact(z.RequiredAh) // whoever counts on wants it unrounded
	t := r.values("bank", r.Say("bank.caption", b.Units(), r.EquipmentName(b.Unit.ID, b.Unit.Label),
		r.Say("chemistry."+string(b.Unit.Chemistry))),
		[4]any{r.Say("bank.layout"), fmt.Sprintf("%d × %d", b.Strings, b.Series), "",
			r.Say("bank.layout-remark", chosen)},
		[4]any{r.Say("bank.voltage"), r.Num(b.NominalV(), 1), "V", r.Say("bank.empty", r.Amount(b.MinV(), "V"))},
		[4]any{r.Say("bank.energy"), r.Num(b.EnergyDCWh, 0), "Wh",
			r.Say("bank.energy-remark", r.Amount(b.EnergyACWh, "Wh"))},
		[4]any{r.Say("bank.depth"), r.Num(100*b.DoD, 0), "%", r.Say("bank.depth-remark",
			r.Fixed(100*z.UsableFraction, 0))},
		[4]any{r.Say("bank.cold"), r.Num(100*z.KTemperature, 0), "%", r.Temperature(r.Plan.Site.ColdestC)},
		[4]any{r.Say("bank.rate"), r.Num(100*z.KRate, 0), "%", r.Amount(z.MeanCurrentA, "A")},
		[4]any{r.Say("bank.needed"), needed, "Ah", r.Say("bank.needed-remark")},
		[4]any{r.Say("bank.installed"), r.Num(b.CapacityAh(), 0), "Ah", r.Count(b.Units(), "bank.units")})
	if m := b.MassKg(); m > 0 {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say("bank.weight")), r.Mass(m),
			doc.Plain(r.MassUnit()), doc.Plain(r.Say("bank.weight-remark"))}})
	}
	return t
}

// circuitTable says for every circuit on which board it is, and why.
func (r *report) circuitTable() *doc.Table {
	t := &doc.Table{ID: "circuits", Caption: r.Say("circuits.caption"), Columns: []doc.Column{
		doc.Head(r.Say("col.circuit")), doc.Head(r.Say("col.board")), doc.Right(r.Say("col.energy"), "Wh"),
		doc.Right(r.Say("col.moved"), "h"), doc.Right(r.Say("col.priority"), ""), doc.Head(r.Say("col.why")),
	}}
	for _, onBackup := range []bool{true, false} {
		for _, c := range r.Plan.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			board := r.Say("board.main")
			if c.OnBackup {
				board = r.Say("board.backup")
			}
			t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(speech.Clean(r.Called(c.Label))),
				doc.Plain(board), r.Num(c.EnergyWhPerDay, 0), r.moved(c.ID), r.Num(float64(c.Priority), 0),
				doc.Plain(r.Prose(c.Reason()))}})
		}
	}
	t.Note = r.Say("circuits.moved", calendar.ClockAt(r.LeastMin))
	if a := r.Plan.Allocation; a != nil {
		how := "circuits.proven"
		if !a.Proven {
			how = "circuits.unproven"
		}
		t.Note += " " + r.Say(how)
	}
	return t
}

// eventTable says what loses power when.
func (r *report) eventTable() *doc.Table {
	t := &doc.Table{ID: "events", Caption: r.Say("events.caption", calendar.Clock(r.Outage.StartMin)),
		Columns: []doc.Column{doc.Right(r.Say("col.after"), "h"), doc.Right(r.Say("col.at"), ""),
			doc.Head(r.Say("col.event"))}, Plain: true}
	dark := map[int]bool{}
	for _, e := range r.Outage.Events {
		if len(t.Rows) == mostEvents {
			t.Note = r.Say("events.more")
			break
		}
		var text string
		switch kind := string(e.Kind); kind {
		case "dark", "return":
			if dark[e.Min] {
				continue // all circuits of the board at once
			}
			dark[e.Min] = true
			text = r.Say("event." + kind)
		case "dropped", "restored":
			text = r.Say("event."+kind, speech.Name(r.Called(e.Load)))
		default:
			text = r.Say("event." + strings.ReplaceAll(kind, " ", "-"))
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{r.Num(float64(e.Min)/60, 1),
			doc.Plain(calendar.Clock((r.Outage.StartMin + e.Min) % findings.DayMin)), doc.Plain(text)}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.Say("events.none", r.Hours(float64(len(r.Outage.SoC)-1)/60))
	}
	return t
}

// mostEvents keeps a bank that flickers at its end from filling pages.
const mostEvents = 40

// moved is the cell of what the autonomy gains or loses when a circuit changes boards.
func (r *report) moved(id string) doc.Cell {
	m, ok := r.Moves[id]
	switch {
	case !ok:
		return doc.Plain("–")
	case m.Capped:
		return doc.Cell{Text: doc.Text{S: ">" + r.Fixed(m.Hours, 0)}, Exact: findings.Exact(m.Hours)}
	}
	c := r.Num(m.Hours, 1)
	if m.Hours >= 0.05 {
		c.S = "+" + c.S
	}
	return c
}

// levelTable is how long the bank lasts when only the more important loads are used; nil where that makes no
// difference.
func (r *report) levelTable() *doc.Table {
	if len(r.Levels) < 2 {
		return nil
	}
	t := &doc.Table{ID: "levels", Caption: r.Say("levels.caption"), Plain: true, Note: r.Say("levels.note"),
		Columns: []doc.Column{
			doc.Head(r.Say("col.in-use")), doc.Right(r.Say("col.loads"), ""), doc.Right(r.Say("col.energy"), "Wh"),
			doc.Right(r.Say("col.autonomy"), "h"), doc.Right(r.Say("col.from"), ""),
		}}
	for i, l := range r.Levels {
		label := r.Say("level.one")
		switch {
		case i == len(r.Levels)-1:
			label = r.Say("level.all")
		case l.Priority > 1:
			label = r.Say("level.to", l.Priority)
		}
		hours := r.Num(l.Hours, 1)
		if l.Capped {
			hours.S = ">" + r.Fixed(l.Hours, 0)
		}
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(label), r.Num(float64(l.Loads), 0),
			r.Num(l.EnergyWhPerDay, 0), hours, doc.Plain(calendar.ClockAt(l.StartMin))}})
	}
	return t
}
