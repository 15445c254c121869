package live

import (
	"cmp"
	"fmt"
	"slices"

	"outlast/backup/conductors"
	"outlast/backup/edit"
	"outlast/backup/facts"
	"outlast/backup/verdict"
	"outlast/loads"
)

// circuits are the rows of the house: those of the backup board first, the longest-lived before the others.
func (a *answering) circuits() []Circuit {
	index := make(map[string]int, len(a.Site.Loads))
	for i, l := range a.Site.Loads {
		index[l.Name] = i
	}
	anyPhase := map[string]bool{}
	for _, c := range a.given.Circuits {
		anyPhase[c.ID] = c.AnyPhase
	}
	marks := a.marks()
	out := []Circuit{}
	ways := map[bool]int{}
	for _, c := range a.Circuits {
		ways[c.OnBackup]++
		row := Circuit{
			Ref: Ref{At: c.ID}, ID: c.ID, Label: a.name(c.Label), Board: string(loads.BoardMain),
			Asked: string(c.Asked), Assumed: c.Assumed,
			Breaker: fmt.Sprintf("M%d", ways[false]), Priority: c.Priority, RunningW: c.Running.W,
			EnergyWh: c.EnergyWhPerDay,
			Reason:   a.sentence(c.Reason()), Mark: marks[c.ID], Loads: make([]LoadState, 0, len(c.Loads)),
		}
		if c.OnBackup {
			row.Board, row.Breaker = string(loads.BoardBackup), fmt.Sprintf("B%d", ways[true])
		}
		row.Strips, row.EndMin, row.EndWord = a.strips(c)
		switch {
		case c.Assumed:
			row.Write = a.written(c, index)
		case c.OnBackup && anyPhase[c.ID]: // of the main board the planner picks none
			row.Write = []edit.Change{{Do: "set", Table: "circuit", At: c.ID, Key: "phase", Value: c.Phase}}
		}
		for _, l := range c.Loads {
			row.Loads = append(row.Loads, a.load(l, index[l.Name]))
		}
		out = append(out, row)
	}
	lives := func(c Circuit) int {
		switch {
		case c.Board == string(loads.BoardMain):
			return -2
		case len(c.Strips) == 0:
			return -1
		case c.EndMin == nil:
			return a.run.Minutes
		}
		return *c.EndMin
	}
	slices.SortStableFunc(out, func(x, y Circuit) int {
		return cmp.Or(cmp.Compare(lives(y), lives(x)), cmp.Compare(x.Priority, y.Priority))
	})
	return out
}

// written are the changes that put an assumed circuit into the file. Its circuit breaker, which nobody has told, is not
// written: a figure of the file is taken for one that somebody knows.
func (a *answering) written(c facts.Circuit, index map[string]int) []edit.Change {
	values := map[string]any{"id": c.ID, "board": string(c.Board)}
	if c.Label != c.ID {
		values["label"] = c.Label
	}
	if a.Site.Phases > 1 {
		values["phase"] = c.Phase
	}
	out := []edit.Change{{Do: "add", Table: "circuit", Values: values}}
	for _, l := range c.Loads {
		ref := loadRef(l, index[l.Name])
		out = append(out, edit.Change{Do: "set", Table: "load", At: ref.At, Place: ref.Place, Key: "circuit",
			Value: c.ID})
	}
	return out
}

// load is a load as it stands.
func (a *answering) load(l loads.Load, index int) LoadState {
	out := LoadState{
		Ref: loadRef(l, index), Name: a.name(l.Name), Quantity: l.Quantity, HoursDay: l.HoursPerDay,
		RunningW: l.RunningW, Priority: l.Priority, HeldOff: l.HeldOff, OutOfSeason: !l.Months.Has(a.month.Month),
		Medical: l.Medical,
	}
	if t := l.Typical; t != nil {
		for _, key := range t.Keys {
			switch key {
			case "running_w":
				out.LowW, out.HighW = t.Low.RunningW, t.High.RunningW
			case "starting_va", "starting_w", "motor":
				key = "starting_va"
			case "hours_per_day":
			default:
				continue
			}
			out.Typical = append(out.Typical, key)
		}
	}
	return out
}

// marks say what circuits break, as far as the plan knows it.
func (a *answering) marks() map[string]string {
	out := map[string]string{}
	mark := func(circuit, text string) {
		if out[circuit] == "" {
			out[circuit] = text
		}
	}
	circuitOf := map[string]string{}
	for _, l := range a.Site.Loads {
		circuitOf[l.Name] = l.CircuitID
	}
	for _, st := range a.Starts.All {
		if st.DemandVA > st.LimitVA*(1+verdict.Slack) {
			mark(circuitOf[st.Load], a.Say("live.mark.start", a.name(st.Load)))
		}
	}
	if blocked := a.Starts.Restart.Blocked; blocked != "" && !a.Starts.Restart.FitsAtOnce &&
		len(a.Starts.Restart.Order) == 0 {
		say := "live.mark.beside"
		if a.BlockedAlone() {
			say = "live.mark.alone"
		}
		mark(circuitOf[blocked], a.Say(say, a.name(blocked)))
	}
	for _, run := range a.Runs {
		if run.Kind == conductors.Circuit && run.Check.Status == verdict.Fail {
			mark(run.Of, a.CheckWords("trouble.", run.Check.ID))
		}
	}
	for _, l := range a.HeldOff {
		if a.SlipGoesDark(l) {
			mark(l.CircuitID, a.Say("live.mark.slip", a.name(l.Name)))
		}
	}
	return out
}

// bars are the four limits that the page draws, by the checks that they tell of.
var bars = []struct {
	bar    string
	checks []string
}{
	{"at-once", []string{"inverter-continuous", "inverter-continuous-w"}},
	{"start", []string{"inverter-surge"}},
	{"pass-through", []string{"pass-through"}},
	{"energy", []string{"bank-capacity"}},
}

// limits are the four bars of a plan.
func (a *answering) limits(f *facts.Facts) []Limit {
	checks := f.ByID()
	var out []Limit
	for _, b := range bars {
		var list []verdict.Check
		for _, id := range b.checks {
			list = append(list, checks[id])
		}
		c := worstOf(list)
		l := a.limit(c)
		l.Bar, l.Name = b.bar, a.Say("live.bar."+b.bar)
		l.Phases = phases(f, b.bar, c)
		if b.bar == "energy" { // of the whole bank, as people know it
			v := f.Bank.NominalV()
			l.Value, l.Unit = c.Demand*v, "Wh"
			if l.Limit != nil {
				limit := c.Limit * v
				l.Limit = &limit
				l.Text = a.against(l.Value, limit, "Wh")
			}
		}
		if c.Status == verdict.Fail {
			l.Remedy = a.remedy(f, c)
		}
		out = append(out, l)
	}
	return out
}

// limit tells of a check as a bar.
func (a *answering) limit(c verdict.Check) Limit {
	demand, limit, unit := c.Shown()
	told, _, _ := c.Told()
	l := Limit{ID: c.ID, Name: a.CheckName(c.ID), Status: string(c.Status), Value: demand, Unit: unit,
		Sentence: a.sentence(c.Reason), Text: a.Amount(told, unit)}
	if c.HasLimit {
		l.Limit = &limit
		l.Text = a.against(told, limit, unit)
	}
	if c.Status == verdict.Fail {
		l.Sentence = a.CheckWords("trouble.", c.ID)
	}
	return l
}

// against is a value against its limit in words; one that is just beyond it is seen to be.
func (a *answering) against(value, limit float64, unit string) string {
	x, y := a.Apart(value, limit, unit)
	return a.Say("live.of", x, y)
}

// phases are a bar's parts, where the home has several phases.
func phases(f *facts.Facts, bar string, c verdict.Check) (out []PhasePart) {
	n := f.Site.Phases
	if n == 1 || !c.HasLimit {
		return nil
	}
	for i := range n {
		part := PhasePart{Phase: i + 1}
		switch {
		case c.ID == "inverter-continuous":
			part.Value, part.Limit = f.Demand.Scheduled.PhaseVA[i], f.Inverter.LimitVA()/float64(n)
		case c.ID == "inverter-continuous-w":
			part.Value, part.Limit = f.Demand.Scheduled.PhaseW[i], f.Inverter.LimitW()/float64(n)
		case bar == "pass-through":
			part.Value, part.Limit = f.Grid.Demand.PhaseVA[i]/f.Site.NominalV, c.Limit
		default:
			return nil
		}
		out = append(out, part)
	}
	return out
}

// firstLimit is what is reached first: the first check that fails, else the tightest.
func (a *answering) firstLimit() *Limit {
	var first *verdict.Check
	for i := range a.Checks {
		c := &a.Checks[i]
		switch {
		case first != nil && first.Status == verdict.Fail:
		case c.Status == verdict.Fail:
			first = c
		case !c.Ranks() || a.chosenToFit(c.ID):
		case first == nil || c.Margin < first.Margin:
			first = c
		}
	}
	if first == nil {
		return nil
	}
	l := a.limit(*first)
	for i := range a.out.Limits {
		if a.out.Limits[i].ID == first.ID {
			l = a.out.Limits[i]
		}
	}
	return &l
}
