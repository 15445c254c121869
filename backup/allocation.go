package backup

import (
	"fmt"
	"math"
	"slices"

	"outlast/backup/allocate"
	"outlast/backup/inverter"
	"outlast/loads"
)

// An Allocation is how the circuits that may go on either board were decided.
type Allocation struct {
	Proven  bool              // no better split exists; false: the search was ended first
	Checked int               // splits that were worked through
	Served  []int             // loads on the decided circuits that are served, by priority 1 to 5
	Of      []int             // and how many there are
	out     map[string]string // by circuit: what keeps it out
}

// maxNodes ends the search for the best split. Homes need a few hundred nodes; the limit only keeps a freak from running for ever.
const maxNodes = 2_000_000

// decide puts every circuit that may go on either board on one of them, so that the best split of the design's rule comes out:
// the most loads of priority 1, then of priority 2 and so on, and of equal splits the one with less energy. Each candidate is
// worked through like any plan; one is good if no check fails on it that does not fail without the undecided circuits, and none of
// those gets worse.
//
// It returns a copy of the site with every circuit on a board; nil for the allocation when there was nothing to decide.
func decide(s *Site) (*Site, *Allocation, error) {
	var open []int // indices of the undecided circuits
	for i, c := range s.Circuits {
		if c.Board == loads.BoardEither {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return s, nil, nil
	}
	d := decider{site: s, open: open}
	base, err := work(d.split(make([]bool, len(open))))
	if err != nil {
		return nil, nil, err
	}
	d.base = base.byID()
	problem := d.problem()
	result, err := allocate.Solve(problem, allocate.Options{MaxNodes: maxNodes, Check: d.judge})
	if err != nil {
		return nil, nil, fmt.Errorf("the circuits cannot be allocated: %s", trimPrefix(err))
	}
	chosen := result.Selected
	if !result.Found {
		chosen = make([]bool, len(open))
	}
	a := &Allocation{Proven: result.Status != allocate.Stopped, Checked: result.Checks, Served: make([]int, levels), Of: make([]int, levels), out: map[string]string{}}
	for n := range open {
		for k, v := range problem.Items[n].Values {
			a.Of[k] += int(v)
			if chosen[n] {
				a.Served[k] += int(v)
			}
		}
		if !chosen[n] {
			a.out[s.Circuits[open[n]].ID] = d.whyOut(chosen, n)
		}
	}
	return d.split(chosen), a, nil
}

// levels is the number of priorities.
const levels = 5

// decider holds what the search needs to work a candidate through.
type decider struct {
	site *Site
	open []int
	base map[string]Check
}

// split is the site with the open circuits on the backup board where chosen says so, on the main board otherwise.
func (d decider) split(chosen []bool) *Site {
	s := *d.site
	s.Circuits = slices.Clone(s.Circuits)
	for n, i := range d.open {
		s.Circuits[i].Board = loads.BoardMain
		if chosen[n] {
			s.Circuits[i].Board = loads.BoardBackup
		}
	}
	return &s
}

// byBank says whether a check depends on the number of strings. A bank that the planner sizes grows with the split, so these checks
// don't decide then: more strings would come for more circuits.
func byBank(id string) bool {
	switch id {
	case "bank-capacity", "autonomy", "bank-charge-rate", "bank-parallel", "dc-current", "dc-surge-current", "surge-sag", "ventilation":
		return true
	}
	return false
}

// breaks finds the first check of a worked split that fails, and did not fail as badly without the undecided circuits.
func (d decider) breaks(p *Plan) *Check {
	for i, c := range p.Checks {
		if c.Status != Fail || (d.site.Strings == 0 && byBank(c.ID)) {
			continue
		}
		if b, ok := d.base[c.ID]; ok && b.Status == Fail && c.Margin >= b.Margin-slack {
			continue
		}
		return &p.Checks[i]
	}
	return nil
}

// judge works a candidate through. Adding a circuit never makes a failing split pass: demands only grow. So the search may cut off
// whatever contains a refused set.
func (d decider) judge(c allocate.Choice) allocate.Verdict {
	p, err := work(d.split(c.Selected))
	if err != nil {
		return allocate.Verdict{Limit: "plan"}
	}
	if broken := d.breaks(p); broken != nil {
		return allocate.Verdict{Limit: broken.ID, Excess: math.Abs(broken.Demand - broken.Limit), Unit: broken.Unit}
	}
	return allocate.Verdict{OK: true}
}

// problem states the search: what each circuit is worth, and sums that every good split meets, so that few candidates have to be
// worked through. The sums are weaker than the checks: watts instead of vectors, and interlocked loads not counted.
func (d decider) problem() allocate.Problem {
	s := d.site
	p := allocate.Problem{Limits: allocate.Unlimited()}
	fixed := loads.InMonth(InUse(s.OnBoard(loads.BoardBackup)), s.Outage.Month)
	if s.Ways > 0 {
		used := 0
		for _, c := range s.Circuits {
			if c.Board == loads.BoardBackup {
				used++
			}
		}
		p.Limits.Ways = max(0, float64(s.Ways-used))
	}
	var mine [][]loads.Load
	for _, i := range d.open {
		c := s.Circuits[i]
		on := loads.InMonth(InUse(s.OnCircuit(c.ID)), s.Outage.Month)
		item := allocate.Item{ID: c.ID, Ways: 1, Values: make([]float64, levels), Phases: []int{allocate.AllPhases}}
		for _, l := range on {
			item.Values[l.Priority-1]++
			item.EnergyWhPerDay += l.EnergyWhPerDay()
		}
		mine = append(mine, on)
		p.Items = append(p.Items, item)
	}
	if limit := d.wattLimit(); d.base["inverter-continuous-w"].Status != Fail && d.base["inverter-continuous"].Status != Fail {
		for _, at := range startsOfIntervals(s.Loads) {
			row := allocate.Row{Name: "watts at " + Clock(at), Unit: "W", Limit: limit - wattsAt(fixed, at), Amount: make([]float64, len(d.open))}
			total := 0.0
			for n := range d.open {
				row.Amount[n] = wattsAt(mine[n], at)
				total += row.Amount[n]
			}
			if row.Limit = max(0, row.Limit*(1+slack)); total > row.Limit {
				p.Rows = append(p.Rows, row)
			}
		}
	}
	return p
}

// wattLimit is the most watts that either rating allows; watts never exceed volt-amperes.
func (d decider) wattLimit() float64 {
	s := d.site
	g, err := inverter.New(s.Inverter, s.InverterCount, s.Phases, s.HottestC, s.AltitudeM)
	if err != nil {
		return math.Inf(1)
	}
	return min(g.DeratedW(), g.DeratedVA())
}

// startsOfIntervals are the minutes at which a window of a load begins, and midnight: demand is highest at one of them.
func startsOfIntervals(ls []loads.Load) []int {
	at := map[int]bool{0: true}
	for _, l := range ls {
		for _, w := range l.Windows {
			at[w.StartMin] = true
		}
	}
	var out []int
	for m := range at {
		out = append(out, m)
	}
	slices.Sort(out)
	return out
}

// wattsAt is what surely runs together in a minute: loads with an interlock are left out.
func wattsAt(ls []loads.Load, minute int) float64 {
	w := 0.0
	for _, l := range ls {
		if l.Interlock == "" && l.ActiveAt(minute) {
			w += l.RunningAll().W
		}
	}
	return w
}

// whyOut says what keeps a circuit out of the chosen split, by how much, and what would let it in.
func (d decider) whyOut(chosen []bool, n int) string {
	with := slices.Clone(chosen)
	with[n] = true
	s := d.split(with)
	p, err := work(s)
	if err != nil {
		return "left out: " + trimPrefix(err)
	}
	broken := d.breaks(p)
	if broken == nil {
		return "left out: nothing on it is needed in an outage in this month, and it would take energy"
	}
	by := fmt.Sprintf("%s over", Amount(broken.Demand-broken.Limit, broken.Unit))
	if broken.AtLeast {
		by = fmt.Sprintf("%s short", Amount(broken.Limit-broken.Demand, broken.Unit))
	}
	if broken.ID == "autonomy" {
		by = fmt.Sprintf("%s short", Amount(broken.Demand-broken.Limit, broken.Unit))
	}
	text := fmt.Sprintf("left out by %s, %s", broken.ID, by)
	if help := d.letsIn(s, n); help != "" {
		text += "; " + help + " would let it in"
	}
	return text
}

// letsIn looks for the smallest change with which a split passes: a load of the circuit held off, more strings, a larger inverter.
func (d decider) letsIn(s *Site, n int) string {
	passes := func(change func(*Site)) bool {
		v := *s
		change(&v)
		p, err := work(&v)
		return err == nil && d.breaks(p) == nil
	}
	id := s.Circuits[d.open[n]].ID
	for i, l := range s.Loads {
		if l.CircuitID != id || l.HeldOff || l.Medical {
			continue
		}
		if others := slices.ContainsFunc(s.Loads, func(o loads.Load) bool { return o.CircuitID == id && o.Name != l.Name && !o.HeldOff }); !others {
			continue // a circuit with nothing left on it is no help
		}
		if passes(func(v *Site) {
			v.Loads = slices.Clone(v.Loads)
			v.Loads[i].HeldOff = true
		}) {
			return fmt.Sprintf("holding off %q", l.Name)
		}
	}
	if s.Strings > 0 {
		for more := 1; more <= 3; more++ {
			if passes(func(v *Site) { v.Strings += more }) {
				return plural(more, "more string", "more strings")
			}
		}
	}
	for _, inv := range s.largerInverters() {
		if passes(func(v *Site) { v.Inverter = inv }) {
			return fmt.Sprintf("an inverter of %s (%s)", Amount(inv.RatedVA, "VA"), inv.ID)
		}
	}
	return ""
}
