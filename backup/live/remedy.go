package live

import (
	"cmp"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/loads"
)

// mostTried is how many loads or circuits a remedy is looked for among, those first that people would rather do
// without.
const mostTried = 12

// remedy is the cheapest change with which a check of a bar that fails would pass: what costs nothing before what does.
func (a *answering) remedy(f *facts.Facts, c verdict.Check) string {
	tried := remedies{a, f, c.ID}
	switch c.ID {
	case "bank-capacity":
		if n := f.Bank.Sizing.Strings; n > f.Bank.Strings {
			return a.Say("live.remedy.strings", a.Count(n, "unit.strings"))
		}
	case "pass-through":
		if text := tried.move(); text != "" {
			return text
		}
	default:
		if text := tried.holdOff(); text != "" {
			return text
		}
	}
	if c.ID != "bank-capacity" {
		for _, inv := range f.Site.LargerInverters() {
			v := *f.Site
			v.Inverter = inv
			if tried.passes(&v, f.Asked) {
				return a.Say("live.remedy.inverter", a.equipment(inv.Label, inv.ID))
			}
		}
	}
	kind, _ := verdict.KindOf(c.ID)
	return a.Say("change." + string(kind.Means))
}

// remedies are tried for a check of the inverters.
type remedies struct {
	*answering
	plan *facts.Facts
	id   string
}

// passes says whether the check passes for a changed site; asked is nil where its loads or boards are what changed.
func (r remedies) passes(s *site.Site, asked *facts.Asked) bool {
	sh := r.plan.Shared.ForOtherLoads(r.plan.Shared.Ctx)
	var err error
	if asked == nil {
		if asked, err = sh.Ask(s, facts.Trial(s)); err != nil {
			return false
		}
	}
	fails, err := sh.FailsAlone(s, asked)
	return err == nil && !slices.ContainsFunc(fails, func(c verdict.Check) bool { return c.ID == r.id })
}

// holdOff is one load to leave off: the one that counts least, of those the one that takes most.
func (r remedies) holdOff() string {
	s := r.plan.Site
	var may []int
	used := map[string]bool{}
	for _, l := range r.plan.InOutage() {
		used[l.Name] = true
	}
	for i, l := range s.Loads {
		if used[l.Name] && !l.Medical {
			may = append(may, i)
		}
	}
	slices.SortStableFunc(may, func(x, y int) int {
		a, b := &s.Loads[x], &s.Loads[y]
		return cmp.Or(cmp.Compare(b.Priority, a.Priority), cmp.Compare(b.RunningAll().VA(), a.RunningAll().VA()))
	})
	for _, i := range may[:min(len(may), mostTried)] {
		v := *s
		v.Loads = slices.Clone(s.Loads)
		v.Loads[i].HeldOff = true
		if r.passes(&v, nil) {
			return r.Say("live.remedy.hold-off", r.name(s.Loads[i].Name))
		}
	}
	return ""
}

// move is one circuit to put on the main board: the one that counts least, of those the one that takes most.
func (r remedies) move() string {
	s := r.plan.Site
	var may []facts.Circuit
	for _, c := range r.Circuits {
		if c.OnBackup && !slices.ContainsFunc(c.Loads, func(l loads.Load) bool { return l.Medical }) {
			may = append(may, c)
		}
	}
	slices.SortStableFunc(may, func(x, y facts.Circuit) int {
		return cmp.Or(cmp.Compare(y.Priority, x.Priority), cmp.Compare(y.Running.VA, x.Running.VA))
	})
	for _, c := range may[:min(len(may), mostTried)] {
		v := *s
		v.Circuits = slices.Clone(s.Circuits)
		for i := range v.Circuits {
			if v.Circuits[i].ID == c.ID {
				v.Circuits[i].Board = loads.BoardMain
			}
		}
		if r.passes(&v, nil) {
			return r.Say("live.remedy.move", r.name(c.Label))
		}
	}
	return ""
}

// chosenToFit says whether the planner chose what a check compares, so that it cannot but pass.
func (a *answering) chosenToFit(id string) bool {
	for _, r := range a.Runs {
		if r.ID == id {
			return r.ConductorChosen && r.DeviceChosen
		}
	}
	return false
}
