package paper

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// devices is the section of switches, protective devices and conductors.
func (r *report) devices() doc.Section {
	s := doc.Section{ID: "devices", Title: r.Say("devices.title"),
		Blocks: []doc.Block{{Table: r.deviceTable()}, doc.Para(r.runsText()), {Table: r.runTable()}}}
	if len(r.Plan.WireNotes) > 0 {
		l := &doc.List{}
		for _, n := range r.Plan.WireNotes {
			l.Items = append(l.Items, item(r.Prose(n)))
		}
		s.Blocks = append(s.Blocks, doc.Block{List: l})
	}
	return s
}

// A device is what stands under one mark of the diagram. What neither the file gives nor the planner chooses is to be
// chosen by a licensed person: the remark says for what.
type device struct {
	mark, what    string
	pieces        int
	rated         doc.Cell
	poles         string
	volts, breaks doc.Cell
	remark        string
}

// deviceTable has a row for every mark of the diagram but the circuits, which have theirs in the schedules.
func (r *report) deviceTable() *doc.Table {
	t := &doc.Table{ID: "devices", Named: true, Caption: r.Say("devices.caption"), Note: r.Say("devices.note"),
		Columns: []doc.Column{
			doc.Tight(r.Say("col.mark")), doc.Head(r.Say("col.device")), doc.Right(r.Say("col.pieces"), ""),
			doc.Right(r.Say("col.rated"), "A"), doc.Right(r.Say("col.poles"), ""),
			doc.Right(r.Say("col.volts"), "V"), doc.Right(r.Say("col.breaks"), "A"), doc.Head(r.Say("col.remark")),
		}}
	for _, d := range r.allDevices() {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.mark), doc.Plain(d.what),
			r.Num(float64(d.pieces), 0), orNone(d.rated), orNone(doc.Plain(d.poles)), orNone(d.volts), orNone(d.breaks),
			doc.Plain(d.remark)}})
	}
	return t
}

// allDevices are those of the diagram, by their marks.
func (r *report) allDevices() []device {
	all := r.supplyDevices()
	all = append(all, r.boardDevices()...)
	all = append(all, r.bankDevices()...)
	for i := range r.Plan.Site.Arrays {
		all = append(all, r.arrayDevices(i)...)
	}
	all = append(all, r.generatorDevices()...)
	slices.SortStableFunc(all, func(a, b device) int { return cmp.Compare(markOrder(a.mark), markOrder(b.mark)) })
	return all
}

// markOrder sorts marks by their letter, as they are read off the diagram, then by their first number.
func markOrder(mark string) int { return 10*strings.IndexByte("TQSF", mark[0]) + int(mark[1]-'0') }

// orNone is a cell, with a dash where it is empty.
func orNone(c doc.Cell) doc.Cell {
	if c.S == "" {
		return doc.Plain(doc.None)
	}
	return c
}

// atLeast is the cell of a rating that is not chosen, but may not be less: rounded up to a whole one, as labels are.
func (r *report) atLeast(x float64) doc.Cell {
	if x <= 0 {
		return doc.Plain(doc.None)
	}
	return doc.Cell{Text: doc.Text{S: "≥" + speech.Hard + r.Fixed(math.Ceil(x-1e-6), 0)}, Exact: findings.Exact(x)}
}

// poles are those of a switch or breaker; a switch of the supply may have to open the neutral too.
func (r *report) poles(lines int, neutral bool) string {
	s := strconv.Itoa(lines)
	if neutral {
		s += speech.Hard + "+" + speech.Hard + "N"
	}
	return s
}

// acVolts is the voltage between what a device with so many lines switches.
func (r *report) acVolts(lines int) doc.Cell {
	s := r.Plan.Site
	switch {
	case lines == 1:
		return r.Given(s.NominalV)
	case s.Phases == 2:
		return r.Given(2 * s.NominalV)
	}
	return r.Num(findings.BetweenLines(s.NominalV), 0)
}

// ratedOf is the rating of the device of a run, with a star where the planner chose it.
func (r *report) ratedOf(run *conductors.Run) doc.Cell {
	if run == nil || run.DeviceA == 0 {
		return doc.Plain(doc.None)
	}
	c := r.Given(run.DeviceA)
	if run.DeviceChosen {
		c.S += "*"
	}
	return c
}

// feedA is the current of one phase of the backup board that its switches must carry: what the breakers Q3 let through,
// and at least what the board draws from the grid.
func (r *report) feedA() float64 {
	p := r.Plan
	a := p.Grid.PassThroughA
	if run := r.Run(conductors.Feeder); run != nil {
		a = max(a, run.DeviceA*float64(run.Count*p.Inverter.Unit.Phases)/float64(p.Site.Phases))
	}
	return a
}

// supplyDevices are those from the grid to the inverter.
func (r *report) supplyDevices() []device {
	lines := r.Plan.Site.Phases
	grid := r.Say("device.breaks-grid")
	in := device{mark: "Q2", what: r.Say("device.Q2"), pieces: r.Plan.Inverter.Count,
		rated: r.ratedOf(r.Run(conductors.Input)),
		poles: r.poles(r.Plan.Inverter.Unit.Phases, false), volts: r.acVolts(r.Plan.Inverter.Unit.Phases)}
	in.remark = r.breakerRemark(r.Run(conductors.Input), "device.bears-input", grid)
	return []device{
		{mark: "T1", what: r.Say("line.sensor"), pieces: lines, remark: r.Say("device.T1-for")},
		{mark: "Q1", what: r.Say("isolation.Q1"), pieces: 1, rated: r.atLeast(r.gridA()), poles: r.poles(lines, true),
			volts:  r.acVolts(lines),
			remark: r.Say("device.Q1-for", r.Amount(r.gridA(), "A"))},
		in,
		{mark: "Q4", what: r.Say("device.Q4"), pieces: 1, rated: r.atLeast(r.Plan.Grid.PassThroughA),
			poles: r.poles(lines, false), volts: r.acVolts(lines),
			remark: r.InTurn(r.Say("device.Q4-for", r.Amount(r.Plan.Grid.PassThroughA, "A")), grid)},
	}
}

// gridA is the current of one phase that the backup board and the chargers draw from the grid: what the main switch
// carries of them.
func (r *report) gridA() float64 { return max(r.Plan.Grid.InputA, r.Plan.Grid.PassThroughA) }

// breakerRemark says what limits the rating of a breaker, and what it has to break.
func (r *report) breakerRemark(run *conductors.Run, bears, breaks string) string {
	switch {
	case run == nil || run.DeviceA == 0:
		return r.InTurn(r.Say("device.open"), breaks)
	case run.BearsA > 0:
		return r.InTurn(r.Say(bears, r.Amount(run.BearsA, "A")), breaks)
	}
	return breaks
}

// boardDevices are those from the inverter to the backup board.
func (r *report) boardDevices() []device {
	lines, own := r.Plan.Site.Phases, r.Plan.Inverter.Unit.Phases
	out := device{mark: "Q3", what: r.Say("device.Q3"), pieces: r.Plan.Inverter.Count,
		rated: r.ratedOf(r.Run(conductors.Feeder)), poles: r.poles(own, false), volts: r.acVolts(own)}
	out.remark = r.breakerRemark(r.Run(conductors.Feeder), "device.bears-relay", r.Say("device.breaks-grid"))
	feed := func(mark, what string) device {
		return device{mark: mark, what: what, pieces: 1, rated: r.atLeast(r.feedA()), poles: r.poles(lines, true),
			volts: r.acVolts(lines), remark: r.Say("device.feed-for")}
	}
	return []device{out, feed("S1", r.Say("device.S1")), feed("Q5", r.Say("isolation.Q5"))}
}

// bankDevices are the isolator and the fuses of the bank.
func (r *report) bankDevices() []device {
	run := r.Run(conductors.Bank)
	count := r.Plan.Inverter.Count
	if run == nil {
		return []device{{mark: "Q6", what: r.Say("device.Q6"), pieces: count, poles: "2", remark: r.Say("device.open")},
			{mark: "F1", what: r.Say("device.F1"), pieces: count, remark: r.Say("device.open")}}
	}
	out := []device{
		{mark: "Q6", what: r.Say("device.Q6"), pieces: count, rated: r.atLeast(run.Isolator.A), poles: "2",
			volts: r.atLeast(run.Isolator.V), remark: r.Say("device.Q6-for")},
		{mark: "F1", what: r.Say("device.F1-" + string(run.Device)), pieces: count, rated: r.ratedOf(run), poles: "1",
			volts:  r.atLeast(run.DeviceNeeds.V),
			breaks: r.atLeast(run.DeviceNeeds.BreaksA), remark: r.Say("device.F1-for")},
	}
	if !r.StringsFused() {
		return out
	}
	fuse := device{mark: r.stringFuses(), what: r.Say("device.string-fuse"), pieces: r.Plan.Bank.Strings,
		rated: r.atLeast(run.StringFuse.A), poles: "1",
		volts: r.atLeast(run.StringFuse.V), breaks: r.atLeast(run.StringFuse.BreaksA),
		remark: r.Say("device.string-fuse-advised")}
	if run.StringFuse.A > 0 {
		fuse.rated = r.Given(run.StringFuse.A)
		fuse.rated.S += "*"
	}
	if run.StringsWantFuses {
		fuse.remark = r.Say("device.string-fuse-wanted")
	}
	return append(out, fuse)
}

// stringFuses are the marks of the fuses in the strings of the bank, the first and the last.
func (r *report) stringFuses() string {
	return findings.StringFuse(1) + wording.RangeDash + findings.StringFuse(r.Plan.Bank.Strings)
}

// arrayDevices are the isolators and the fuses in the strings of an array.
func (r *report) arrayDevices(i int) []device {
	run := r.ArrayRun(i)
	d := device{mark: r.OfArray("Q7", i), what: r.Say("device.Q7", i+1), pieces: r.Plan.Site.Arrays[i].Strings,
		poles: "2", remark: r.Say("device.Q7-for")}
	if run == nil {
		d.remark = r.Say("device.open")
		return []device{d}
	}
	d.rated, d.volts = r.atLeast(run.Isolator.A), r.atLeast(run.Isolator.V)
	if run.DeviceA == 0 {
		return []device{d}
	}
	return []device{d, {mark: r.OfArray("F7", i), what: r.Say("device.F7", i+1), pieces: run.Count,
		rated: r.ratedOf(run), poles: "1", volts: r.atLeast(run.DeviceNeeds.V),
		remark: r.Say("device.F7-for")}}
}

// generatorA is the current of a line of the generator at its rating.
func (r *report) generatorA() float64 {
	g, s := r.Plan.Site.Generator, r.Plan.Site
	lines, volts := s.Phases, s.NominalV
	if g.Phases > 0 {
		lines = g.Phases
	}
	if g.OutputV > 0 {
		volts = g.OutputV
	}
	return g.RatedVA / float64(lines) / volts
}

// generatorFaultA is its short-circuit current at the terminals, by its transient reactance; 0: not known.
func (r *report) generatorFaultA() float64 {
	practice, err := r.Plan.Site.Practice.Wiring.Filled()
	if err != nil {
		return 0
	}
	return r.generatorA() / practice.GeneratorReactance
}

// generatorDevices are its breaker and the changeover in front of the inverter.
func (r *report) generatorDevices() []device {
	g, p := r.Plan.Site.Generator, r.Plan
	if g == nil {
		return nil
	}
	lines := p.Site.Phases
	if g.Phases > 0 {
		lines = g.Phases
	}
	through, fault := r.generatorA(), r.generatorFaultA()
	if run := r.Run(conductors.Input); run != nil {
		through = max(through, run.DeviceA*float64(run.Count*p.Inverter.Unit.Phases)/float64(p.Site.Phases))
	}
	return []device{
		{mark: "Q8", what: r.Say("device.Q8"), pieces: 1, rated: r.atLeast(r.generatorA()),
			poles: r.poles(lines, false), volts: r.acVolts(lines), breaks: r.atLeast(fault),
			remark: r.Say("device.Q8-for", r.Amount(r.generatorA(), "A"), r.Amount(fault, "A"))},
		{mark: "S2", what: r.Say("device.S2"), pieces: 1, rated: r.atLeast(through),
			poles: r.poles(p.Site.Phases, true), volts: r.acVolts(p.Site.Phases), remark: r.Say("device.S2-for")},
	}
}
