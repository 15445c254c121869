// Package split decides which circuits go on which board and phase, and tells why each of the others is left out.
package split

import (
	"fmt"
	"slices"
	"sync"

	"outlast/backup/allocate"
	"outlast/backup/facts"
	"outlast/backup/fault"
	"outlast/backup/site"
	"outlast/loads"
)

// An Allocation is how the circuits were decided whose board, or whose phase, the site file leaves to the planner.
type Allocation struct {
	Proven  bool  // no better split exists; false: the search was ended first
	Checked int   // splits that were worked through
	Served  []int // loads on the circuits that may go on either board and are served, by priority 1 to 5
	Of      []int // and how many there are
	// Picked are the ids of the circuits on the backup board whose phase was picked.
	Picked []string

	leftOut func() []LeftOut
}

// LeftOut tells of each circuit that may go on either board and was left out, why. It costs more than the decision, and
// is worked out when it is first asked for.
func (a *Allocation) LeftOut() []LeftOut { return a.leftOut() }

// maxNodes ends the search for the best split. Homes need a few hundred nodes; the limit only keeps a freak from
// running for ever.
const maxNodes = 2_000_000

// Levels is the number of priorities.
const Levels = 5

// Decide puts every circuit that may go on either board on one of them, and every circuit whose phase is left open on a
// phase, so that the best split of the design's rule comes out: the most loads of priority 1, then of priority 2 and so
// on, and of equal splits the one with less energy. Each candidate is worked through like any plan; one is good if no
// check fails on it that does not fail without the undecided circuits, and none of those gets worse. Of the phases that
// pass, those are taken that carry most evenly.
//
// It returns a copy of the site with every circuit on a board and a phase; nil for the allocation when there was
// nothing to decide.
func Decide(s *site.Site, sh *facts.Shared) (*site.Site, *Allocation, error) {
	d := NewDecider(s, sh)
	if len(d.Open) == 0 {
		return s, nil, nil
	}
	picks, err := d.settleMusts()
	if err != nil {
		return nil, nil, err
	}
	if err := d.setBase(picks); err != nil {
		return nil, nil, err
	}
	result, err := d.solve(d.problem(), d.judge)
	if err != nil {
		return nil, nil, err
	}
	if result.Found {
		picks = d.Place(result.Selected).Picks
	}
	picks = d.EvenOut(picks)
	a := &Allocation{Proven: result.Status != allocate.Stopped && !d.unsure, Checked: len(d.tried),
		Served: make([]int, Levels), Of: make([]int, Levels)}
	for n, i := range d.Open {
		c := s.Circuits[i]
		if picks[n] != onMain && c.AnyPhase {
			a.Picked = append(a.Picked, c.ID)
		}
		if d.Must[n] {
			continue
		}
		for k, v := range d.values(n) {
			a.Of[k] += int(v)
			if picks[n] != onMain {
				a.Served[k] += int(v)
			}
		}
	}
	a.leftOut = sync.OnceValue(func() (out []LeftOut) {
		for n := range d.Open {
			if picks[n] == onMain {
				out = append(out, d.leftOut(picks, n))
			}
		}
		return out
	})
	return d.Split(picks), a, nil
}

// settleMusts picks the phases of the circuits that must be on the backup board, with the undecided ones on the main
// board. Where no phases pass, the checks of the plan say what fails.
func (d *Decider) settleMusts() ([]int, error) {
	if !slices.Contains(d.Must, true) {
		return d.none(), nil
	}
	if err := d.setBase(d.none()); err != nil {
		return nil, err
	}
	return d.EvenOut(d.Place(d.Must).Picks), nil
}

// solve finds the best set; check works a candidate through, nil: what meets the problem is good.
func (d *Decider) solve(p allocate.Problem, check func(allocate.Choice) allocate.Verdict) (allocate.Result, error) {
	ctx := d.shared.Ctx
	result, err := allocate.Solve(p, allocate.Options{MaxNodes: maxNodes, Check: check,
		Stop: func() bool { return ctx.Err() != nil }})
	if err := ctx.Err(); err != nil {
		return result, err
	}
	if err != nil {
		return result, fmt.Errorf("the circuits cannot be allocated: %w", fault.Reason(err))
	}
	return result, nil
}

// values counts the loads of an open circuit that are used in the month, by priority.
func (d *Decider) values(n int) []float64 {
	v := make([]float64, Levels)
	for _, l := range d.used(n) {
		v[l.Priority-1]++
	}
	return v
}

// used are the loads of an open circuit that are used in an outage in the month.
func (d *Decider) used(n int) []loads.Load {
	return loads.InMonth(site.InUse(d.site.OnCircuit(d.site.Circuits[d.Open[n]].ID)), d.site.Outage.Month)
}

// LeftOutOf finds the explanation for a circuit that was left out; nil for the others.
func (a *Allocation) LeftOutOf(id string) *LeftOut {
	if a == nil {
		return nil
	}
	list := a.LeftOut()
	if i := slices.IndexFunc(list, func(o LeftOut) bool { return o.ID == id }); i >= 0 {
		return &list[i]
	}
	return nil
}
