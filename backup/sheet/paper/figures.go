package paper

import (
	"fmt"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/sheet/paper/words"
)

// The tables of the figures that a plan found, in the order in which they follow from each other.

// demandTable is what the backup board asks for.
func (r *report) demandTable() *Table {
	d := r.plan.Demand
	t := &Table{ID: "demand", Caption: r.Say("demand.caption", r.Say(monthID(r.plan.Month))), Columns: []Column{head(r.Say("col.demand")), right("W", ""), right("VA", ""), head(r.Say("col.remark"))}}
	rows := []Row{
		{Cells: []Cell{cell(r.Say("demand.connected")), r.num(d.Connected.W, 0), r.num(d.Connected.VA, 0), cell("")}},
		{Cells: []Cell{cell(r.Say("demand.scheduled")), r.num(d.Scheduled.W, 0), r.num(d.Scheduled.VA, 0), cell(r.Say("demand.at", calendar.Clock(d.Scheduled.AtMin)))}},
	}
	if n := len(d.Scheduled.PhaseW); n > 1 { // the total would hide one that is too full
		g, share := r.plan.Inverter, float64(n)
		remark := r.Say("demand.phase-remark", r.Amount(g.LimitW()/share, "W"), r.Amount(g.LimitVA()/share, "VA"))
		for i := range n {
			rows = append(rows, Row{Cells: []Cell{cell(r.Say("day.phase", i+1)), r.num(d.Scheduled.PhaseW[i], 0), r.num(d.Scheduled.PhaseVA[i], 0), cell(remark)}})
		}
	}
	t.Rows = append(rows, []Row{
		{Cells: []Cell{cell(r.Say("demand.probable")), r.num(d.ProbableW, 0), cell("–"), cell(r.Say("demand.moments", r.Short(100*r.plan.Site.Practice.Confidence)))}},
		{Cells: []Cell{cell(r.Say("demand.mean")), r.num(d.EnergyWhPerDay/24, 0), cell("–"), cell(r.Say("demand.day", r.Amount(d.EnergyWhPerDay, "Wh")))}},
	}...)
	return t
}

// startTable is every start against the rating for its time.
func (r *report) startTable() *Table {
	t := &Table{ID: "starts", Caption: r.Say("starts.caption"), Columns: []Column{
		head(r.Say("col.load")), right(r.Say("col.at"), ""), right(r.Say("col.seconds"), "s"), right(r.Say("col.phase"), ""), right(r.Say("col.all"), "VA"), right(r.Say("col.bears"), "VA"), right(r.Say("col.left"), "%"),
	}}
	for _, st := range r.plan.Starts.All {
		phase := cell(r.Say("phase.all"))
		if st.Phase > 0 {
			phase = cell(fmt.Sprint(st.Phase))
		}
		left := cell("–")
		if st.LimitVA > 0 {
			left = r.num(100*(st.LimitVA-st.DemandVA)/st.LimitVA, 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.startName(st.Load)), cell(calendar.Clock(st.AtMin)), {Text: Text{S: r.Short(st.Seconds)}, Exact: exact(st.Seconds)}, phase,
			r.num(st.DemandVA, 0), r.num(st.LimitVA, 0), left}})
	}
	restart := r.plan.Starts.Restart
	switch order, rest := r.restartNames(); {
	case len(t.Rows) == 0:
		t.Note = r.Say("starts.none")
	case restart.FitsAtOnce || len(restart.Order) == 0 || len(order) == 0:
	case rest == restAnyOrder:
		t.Note = r.Say("starts.order-rest", inTurn(order))
	case rest == restByLoad:
		t.Note = r.Say("starts.order-loads", calendar.Clock(restart.TightAtMin), inTurn(order))
	default:
		t.Note = r.Say("starts.order", inTurn(order))
	}
	return t
}

// restartNames are the whole names of the steps of a restart, with their breakers.
func (r *report) restartNames() (names []string, rest restOfRestart) {
	order, rest := r.restartSteps()
	for _, step := range order {
		names = append(names, r.ref(step.circuitID)+hard+name(r.called(step.label)))
	}
	return names, rest
}

// startName is a load that starts, and whether its figures are its own.
func (r *report) startName(load string) string {
	if r.plan.Site.RestsOnClass(load) {
		return name(r.called(load)) + " (" + r.Say("note.typical") + ")"
	}
	return clean(r.called(load))
}

// values makes a table of named figures.
func (r *report) values(id, caption string, rows ...[4]any) *Table {
	t := &Table{ID: id, Caption: caption, Columns: []Column{head(r.Say("col.what")), right(r.Say("col.value"), ""), tight(r.Say("col.unit")), head(r.Say("col.remark"))}}
	for _, row := range rows {
		value, ok := row[1].(Cell)
		if !ok {
			value = cell(row[1].(string))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(row[0].(string)), value, cell(row[2].(string)), cell(row[3].(string))}})
	}
	return t
}

func (r *report) inverterTable() *Table {
	g, s := r.plan.Inverter, r.plan.Site
	return r.values("inverter", r.Say("inverter.caption", g.Count, r.equipmentName(g.Unit.ID, g.Unit.Label)),
		[4]any{r.Say("inverter.rated"), r.num(g.RatedVA(), 0), "VA", r.Amount(g.RatedW(), "W")},
		[4]any{r.Say("inverter.derated"), r.num(g.DeratedVA(), 0), "VA", r.Say("inverter.derated-remark", r.Amount(g.DeratedW(), "W"), r.Temperature(s.HottestC), r.Amount(s.AltitudeM, "m"))},
		[4]any{r.Say("inverter.passes"), r.orDash(g.PassThroughA(), 0), "A", r.Say("inverter.asked", r.Amount(r.plan.Grid.PassThroughA, "A"))},
		[4]any{r.Say("inverter.takes"), r.orDash(g.ACInputA(), 0), "A", r.Say("inverter.asked", r.Amount(r.plan.Grid.InputA, "A"))},
		[4]any{r.Say("inverter.idle"), r.num(g.IdleW(), 0), "W", ""})
}

func (r *report) bankTable() *Table {
	b, z := r.plan.Bank, r.plan.Bank.Sizing
	chosen := r.Say("bank.given")
	if b.Sized {
		chosen = r.Say("bank.sized")
	}
	t := r.values("bank", r.Say("bank.caption", b.Units(), r.equipmentName(b.Unit.ID, b.Unit.Label), r.Say("chemistry."+string(b.Unit.Chemistry))),
		[4]any{r.Say("bank.layout"), fmt.Sprintf("%d × %d", b.Strings, b.Series), "", r.Say("bank.layout-remark", chosen)},
		[4]any{r.Say("bank.voltage"), r.num(b.NominalV(), 1), "V", r.Say("bank.empty", r.Amount(b.MinV(), "V"))},
		[4]any{r.Say("bank.energy"), r.num(b.EnergyDCWh, 0), "Wh", r.Say("bank.energy-remark", r.Amount(b.EnergyACWh, "Wh"))},
		[4]any{r.Say("bank.depth"), r.num(100*b.DoD, 0), "%", r.Say("bank.depth-remark", r.Fixed(100*z.UsableFraction, 0))},
		[4]any{r.Say("bank.cold"), r.num(100*z.KTemperature, 0), "%", r.Temperature(r.plan.Site.ColdestC)},
		[4]any{r.Say("bank.rate"), r.num(100*z.KRate, 0), "%", r.Amount(z.MeanCurrentA, "A")},
		[4]any{r.Say("bank.needed"), r.num(z.RequiredAh, 0), "Ah", r.Say("bank.needed-remark")},
		[4]any{r.Say("bank.installed"), r.num(b.CapacityAh(), 0), "Ah", r.Count(b.Units(), "bank.units")})
	if m := b.MassKg(); m > 0 {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say("bank.weight")), r.mass(m), cell(r.massUnit()), cell(r.Say("bank.weight-remark"))}})
	}
	return t
}

// equipmentName is the id of an entry and its label, translated if it is in the words of the generic catalog.
func (r *report) equipmentName(id, label string) string {
	if text, ok := words.Equipment(r.Lang, label, r.Local); ok {
		label = text
	}
	switch {
	case label == "":
		return name(id)
	case id == "":
		return name(label)
	}
	return name(id) + ", " + name(label)
}

// circuitTable says for every circuit on which board it is, and why.
func (r *report) circuitTable() *Table {
	t := &Table{ID: "circuits", Caption: r.Say("circuits.caption"), Columns: []Column{
		head(r.Say("col.circuit")), head(r.Say("col.board")), right(r.Say("col.energy"), "Wh"), right(r.Say("col.moved"), "h"), right(r.Say("col.priority"), ""), head(r.Say("col.why")),
	}}
	for _, onBackup := range []bool{true, false} {
		for _, c := range r.plan.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			board := r.Say("board.main")
			if c.OnBackup {
				board = r.Say("board.backup")
			}
			t.Rows = append(t.Rows, Row{Cells: []Cell{cell(clean(r.called(c.Label))), cell(board), r.num(c.EnergyWhPerDay, 0), r.moved(c.ID), r.num(float64(c.Priority), 0), cell(r.prose(c.Reason))}})
		}
	}
	t.Note = r.Say("circuits.moved", calendar.ClockAt(r.leastMin))
	if a := r.plan.Allocation; a != nil {
		how := "circuits.proven"
		if !a.Proven {
			how = "circuits.unproven"
		}
		t.Note += " " + r.Say(how)
	}
	return t
}

// eventTable says what loses power when.
func (r *report) eventTable() *Table {
	t := &Table{ID: "events", Caption: r.Say("events.caption", calendar.Clock(r.outage.startMin)), Columns: []Column{right(r.Say("col.after"), "h"), right(r.Say("col.at"), ""), head(r.Say("col.event"))}, Plain: true}
	dark := map[int]bool{}
	for _, e := range r.outage.events {
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
			text = r.Say("event."+kind, name(r.called(e.Load)))
		default:
			text = r.Say("event." + strings.ReplaceAll(kind, " ", "-"))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{r.num(float64(e.Min)/60, 1), cell(calendar.Clock((r.outage.startMin + e.Min) % dayMin)), cell(text)}})
	}
	if len(t.Rows) == 0 {
		t.Note = r.Say("events.none", r.hours(float64(len(r.outage.soc)-1)/60))
	}
	return t
}

// mostEvents keeps a bank that flickers at its end from filling pages.
const mostEvents = 40

// moved is the cell of what the autonomy gains or loses when a circuit changes boards.
func (r *report) moved(id string) Cell {
	m, ok := r.moves[id]
	switch {
	case !ok:
		return cell("–")
	case m.Capped:
		return Cell{Text: Text{S: ">" + r.Fixed(m.Hours, 0)}, Exact: exact(m.Hours)}
	}
	c := r.num(m.Hours, 1)
	if m.Hours >= 0.05 {
		c.S = "+" + c.S
	}
	return c
}

// levelTable is how long the bank lasts when only the more important loads are used; nil where that makes no difference.
func (r *report) levelTable() *Table {
	if len(r.levels) < 2 {
		return nil
	}
	t := &Table{ID: "levels", Caption: r.Say("levels.caption"), Plain: true, Note: r.Say("levels.note"), Columns: []Column{
		head(r.Say("col.in-use")), right(r.Say("col.loads"), ""), right(r.Say("col.energy"), "Wh"), right(r.Say("col.autonomy"), "h"), right(r.Say("col.from"), ""),
	}}
	for i, l := range r.levels {
		label := r.Say("level.one")
		switch {
		case i == len(r.levels)-1:
			label = r.Say("level.all")
		case l.Priority > 1:
			label = r.Say("level.to", l.Priority)
		}
		hours := r.num(l.Hours, 1)
		if l.Capped {
			hours.S = ">" + r.Fixed(l.Hours, 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(label), r.num(float64(l.Loads), 0), r.num(l.EnergyWhPerDay, 0), hours, cell(calendar.ClockAt(l.StartMin))}})
	}
	return t
}
