package split

import (
	"math"
	"slices"

	"outlast/backup/allocate"
	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// A Decider works through splits of the circuits that the site file leaves to the planner. A split is told by picks:
// for each of the open circuits its phase on the backup board (0: all phases), or onMain.
type Decider struct {
	site   *site.Site
	shared *facts.Shared
	Open   []int  // indices of the circuits that are to be settled
	Must   []bool // of these: on the backup board in any case, only the phase is open
	base   map[string]verdict.Check
	only   []string           // the checks that count; nil: all
	tried  map[string]outcome // by picks
	placed map[string]placement
	// unsure says that some set was refused because no phases were found for it, without trying all.
	unsure bool
}

// onMain is the pick of a circuit that is left on the main board.
const onMain = -1

// NewDecider is ready to try splits of a site's circuits; only are the ids of the checks that count, none: all of them.
func NewDecider(s *site.Site, sh *facts.Shared, only ...string) *Decider {
	d := &Decider{site: s, shared: sh, only: only, tried: map[string]outcome{}, placed: map[string]placement{}}
	for i, c := range s.Circuits {
		if must := c.Board == loads.BoardBackup && c.AnyPhase; must || c.Board == loads.BoardEither {
			d.Open = append(d.Open, i)
			d.Must = append(d.Must, must)
		}
	}
	return d
}

// none is the split with all open circuits on the main board.
func (d *Decider) none() []int {
	picks := make([]int, len(d.Open))
	for n := range picks {
		picks[n] = onMain
	}
	return picks
}

// Split is the site with the open circuits where the picks put them.
func (d *Decider) Split(picks []int) *site.Site {
	s := *d.site
	s.Circuits = slices.Clone(s.Circuits)
	moved := map[string]int{}
	for n, i := range d.Open {
		c := &s.Circuits[i]
		c.Board = loads.BoardMain
		if picks[n] == onMain {
			continue
		}
		c.Board = loads.BoardBackup
		if c.AnyPhase && c.Phase != picks[n] {
			moved[c.ID] = picks[n]
		}
	}
	putOnPhases(&s, moved)
	return &s
}

// putOnPhases moves circuits, by id, and their loads to other phases. The circuits must be the site's own, not shared
// with another.
func putOnPhases(s *site.Site, moved map[string]int) {
	if len(moved) == 0 {
		return
	}
	for i, c := range s.Circuits {
		if phase, ok := moved[c.ID]; ok {
			s.Circuits[i].Phase = phase
		}
	}
	s.Loads = slices.Clone(s.Loads)
	for i, l := range s.Loads {
		if phase, ok := moved[l.CircuitID]; ok {
			s.Loads[i].Phase = phase
		}
	}
}

// setBase works the split through against which the others are held.
func (d *Decider) setBase(picks []int) error {
	d.base = nil
	p, err := d.work(d.Split(picks))
	if err != nil {
		return err
	}
	d.base, d.tried, d.placed = p.ByID(), map[string]outcome{}, map[string]placement{}
	return nil
}

// work does the checks of a split that can fail: those of the wires and the generator only if no other one settles it.
func (d *Decider) work(s *site.Site) (*facts.Facts, error) {
	a, err := d.shared.Ask(s, facts.Trial(s))
	if err != nil {
		return nil, err
	}
	e := facts.Trial(s)
	e.Enough = func(p *facts.Facts) bool { return d.only != nil || d.base != nil && len(d.broken(p)) > 0 }
	return d.shared.Serve(s, a, e)
}

// broken finds the checks of a worked split that fail, and did not fail as badly without the undecided circuits.
func (d *Decider) broken(p *facts.Facts) []*verdict.Check {
	var out []*verdict.Check
	for i := range p.Checks {
		if c := &p.Checks[i]; d.breaks(c) {
			out = append(out, c)
		}
	}
	return out
}

// breaks says whether a check counts, fails, and did not fail as badly without the undecided circuits.
func (d *Decider) breaks(c *verdict.Check) bool {
	if c.Status != verdict.Fail || d.only != nil && !slices.Contains(d.only, c.ID) {
		return false
	}
	b, ok := d.base[c.ID]
	return !ok || b.Status != verdict.Fail || c.Margin < b.Margin-verdict.Slack
}

// allowance is by how much a limit may be exceeded, as a factor: where the check fails without the undecided circuits
// already, it may as far as it does there.
func (d *Decider) allowance(check string) float64 {
	if b := d.base[check]; b.Status == verdict.Fail {
		return 1 - min(0, b.Margin) + verdict.Slack
	}
	return 1 + verdict.Slack
}

// An outcome is what became of a split.
type outcome struct {
	broken   *verdict.Check // the first check that breaks, nil for none
	hopeless bool           // it would on other phases as well
}

// try works a split through, once.
func (d *Decider) try(picks []int) outcome {
	key := make([]byte, len(picks))
	for n, pick := range picks {
		key[n] = byte(pick + 1)
	}
	o, known := d.tried[string(key)]
	if known {
		return o
	}
	p, err := d.work(d.Split(picks))
	if err != nil {
		o = outcome{&verdict.Check{ID: verdict.Unworkable, Status: verdict.Fail, Reason: wording.ReasonOf(err)}, true}
	} else if broken := d.broken(p); len(broken) > 0 {
		o = outcome{broken[0], d.base[broken[0].ID].Status != verdict.Fail && onAnyPhase(p, broken[0].ID)}
	}
	d.tried[string(key)] = o
	return o
}

// onAnyPhase says whether a check that fails would on other phases of the circuits as well: it does not ask for phases,
// or all of them together are too much.
func onAnyPhase(p *facts.Facts, id string) bool {
	if !verdict.Depends(id, verdict.OnPhases) {
		return true
	}
	switch id {
	case "inverter-continuous":
		return p.Demand.Scheduled.VA > p.Inverter.LimitVA()*(1+verdict.Slack)
	case "inverter-continuous-w":
		return p.Demand.Scheduled.W > p.Inverter.LimitW()*(1+verdict.Slack)
	case "inverter-surge":
		return slices.ContainsFunc(p.Starts.All,
			func(st facts.Start) bool { return st.VA > p.Inverter.StartLimitVA(st.Seconds)*(1+verdict.Slack) })
	}
	return false
}

// judge works a candidate through for the search. Adding a circuit is taken never to make a failing split pass, as
// demands only grow: so the search may cut off whatever contains a refused set.
func (d *Decider) judge(c allocate.Choice) allocate.Verdict {
	broken := d.Place(c.Selected).broken
	if broken == nil {
		return allocate.Verdict{OK: true}
	}
	return allocate.Verdict{Limit: broken.ID, Excess: math.Abs(broken.Demand - broken.Limit), Unit: broken.Unit,
		Exact: d.site.Strings == 0 && verdict.Depends(broken.ID, verdict.OnStrings)}
}

// mostImportant is the set of open circuits that serves most on as many ways as the board has, whatever the equipment.
func (d *Decider) mostImportant() ([]bool, error) {
	result, err := d.solve(d.onWays(), nil)
	if err != nil {
		return nil, err
	}
	if !result.Found { // more circuits must be on the board than it has ways: the plan says so
		return slices.Clone(d.Must), nil
	}
	return result.Selected, nil
}
